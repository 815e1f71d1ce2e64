//! The pages on safety: the index, one page per subject, a sheet for the wall.

use askama::Template;
use axum::Router;
use axum::extract::{Path, State};

use super::model::{Group, Section, Subject};
use super::tables::{self, Table};
use super::{figures, find, paths, subjects};
use crate::app::App;
use crate::batches;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::paths::{Base, Routes};
use crate::web::shell::Shell;
use crate::web::units::Units;
use crate::web::viewer::Viewer;

/// The routes of safety.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::INDEX, index)
        .on(paths::SHEET, sheet)
        .on(paths::SUBJECT, subject)
        .done()
}

/// A subject as the index lists it.
struct Line {
    url: String,
    name: &'static str,
    line: String,
    /// Its sections: address and heading.
    sections: Vec<(String, &'static str)>,
}

struct Part {
    heading: &'static str,
    lines: Vec<Line>,
}

#[derive(Template)]
#[template(path = "safety/index.html")]
struct IndexPage {
    shell: Shell,
    parts: Vec<Part>,
    sheet_url: String,
    trouble_url: String,
}

async fn index(State(app): State<App>, viewer: Viewer) -> Answer {
    let base = app.site.base();
    let units = viewer.settings().units;
    page(&IndexPage {
        shell: app.shell(&viewer),
        parts: Group::ALL.map(|group| part(group, base, units)).into(),
        sheet_url: base.link(paths::SHEET.path),
        trouble_url: base.link(batches::paths::TROUBLES.path),
    })
}

fn part(group: Group, base: &Base, units: Units) -> Part {
    let of_group = subjects().iter().filter(|subject| subject.group == group);
    Part {
        heading: group.heading(),
        lines: of_group
            .map(|subject| Line {
                url: base.link(&paths::subject(subject.key)),
                name: subject.name,
                line: figures::set(subject.line, units),
                sections: subject
                    .sections
                    .iter()
                    .map(|section| {
                        let path = paths::section(subject.key, section.anchor);
                        (base.link(&path), section.heading)
                    })
                    .collect(),
            })
            .collect(),
    }
}

/// A section as its page prints it.
struct Passage {
    anchor: &'static str,
    heading: &'static str,
    happens: String,
    tell: String,
    steps: Vec<String>,
    ask: String,
    sources: Vec<String>,
    table: Option<Table>,
}

#[derive(Template)]
#[template(path = "safety/subject.html")]
struct SubjectPage {
    shell: Shell,
    name: &'static str,
    line: String,
    passages: Vec<Passage>,
    index_url: String,
    sheet_url: String,
}

async fn subject(State(app): State<App>, viewer: Viewer, Path(key): Path<String>) -> Answer {
    let subject: &Subject = find(&key).ok_or_else(Error::not_found)?;
    let units = viewer.settings().units;
    let base = app.site.base();
    page(&SubjectPage {
        shell: app.shell(&viewer),
        name: subject.name,
        line: figures::set(subject.line, units),
        passages: subject
            .sections
            .iter()
            .map(|section| passage(section, units))
            .collect(),
        index_url: base.link(paths::INDEX.path),
        sheet_url: base.link(paths::SHEET.path),
    })
}

fn passage(section: &Section, units: Units) -> Passage {
    let set = |text: &str| figures::set(text, units);
    Passage {
        anchor: section.anchor,
        heading: section.heading,
        happens: set(section.happens),
        tell: set(section.tell),
        steps: section.steps.iter().map(|step| set(step)).collect(),
        ask: set(section.ask),
        sources: section
            .sources
            .iter()
            .map(|source| source.words())
            .collect(),
        table: section.beside.map(|beside| tables::of(beside, units)),
    }
}

#[derive(Template)]
#[template(path = "safety/sheet.html")]
struct SheetPage {
    shell: Shell,
    /// Name of the subject, and what to do.
    lines: Vec<(&'static str, String)>,
    index_url: String,
}

async fn sheet(State(app): State<App>, viewer: Viewer) -> Answer {
    let units = viewer.settings().units;
    page(&SheetPage {
        shell: app.shell(&viewer),
        lines: subjects()
            .iter()
            .map(|subject| (subject.name, figures::set(subject.wall, units)))
            .collect(),
        index_url: app.site.base().link(paths::INDEX.path),
    })
}
