//! An entry of one's own after the release: its place, what its table agreed on, every sheet. Judges stand there by number.

use askama::Template;
use axum::extract::{Path, State};

use super::model::{Mine, SheetRow};
use super::shown::{Released, released};
use super::words::ordinal;
use super::{paths, store};
use crate::app::App;
use crate::competitions::entries::codes;
use crate::competitions::judging::words::fault_name;
use crate::competitions::shown::shell;
use crate::engine::contest::frozen::{Flight, Kind};
use crate::engine::contest::rules::Rules;
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::viewer::Member;

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::OWN, show)
        .on(paths::CERTIFICATE, certificate)
}

/// One section of a sheet.
struct Section {
    name: String,
    points: String,
    comment: String,
}

/// A judge's sheet.
struct SheetPart {
    heading: String,
    total: String,
    band: String,
    sections: Vec<Section>,
    faults: Vec<String>,
    advice: String,
}

#[derive(Template)]
#[template(path = "competitions/own.html")]
struct OwnPage {
    shell: Shell,
    title: String,
    results_url: String,
    name: String,
    code: String,
    category: String,
    places: Vec<String>,
    agreed: Vec<String>,
    sheets: Vec<SheetPart>,
    notes_url: Option<String>,
    certificate_url: String,
}

#[derive(Template)]
#[template(path = "competitions/certificate.html")]
struct CertificatePage {
    shell: Shell,
    title: String,
    own_url: String,
    name: String,
    by: String,
    code: String,
    category: String,
    places: Vec<String>,
    band: String,
    when: String,
    club: String,
}

/// An entry of the viewer's own; others' are not there.
async fn mine(
    app: &App,
    member: &Member,
    (id, code): (&str, &str),
) -> Result<(Released, Mine, Vec<SheetRow>), Error> {
    let mut conn = app.pool.acquire().await?;
    let released = released(&mut conn, member, id).await?;
    let code = codes::read(code).ok_or_else(Error::not_found)?;
    let competition = released.competition().id;
    let mine = store::mine(&mut conn, competition, member.id, &code).await?;
    let mine = mine.ok_or_else(Error::not_found)?;
    let sheets = store::sheets(&mut conn, competition).await?;
    let own = sheets.into_iter().filter(|row| row.code == mine.code);
    let own = own.collect();
    Ok((released, mine, own))
}

/// "1st of the best of the show", "2nd place in Fruit, light", "3rd place at its table".
fn places(released: &Released, code: &str) -> Vec<String> {
    let answer = &released.frozen.answer;
    let best = answer.best_of(code);
    let best = best.map(|placed| format!("{} of the best of the show", ordinal(placed.place)));
    let category = released.category_of(code);
    match (best, answer.place_of(code)) {
        (best, Some(placed)) => {
            let place = format!("{} place in {category}", ordinal(placed.place));
            best.into_iter().chain([place]).collect()
        }
        (Some(best), None) => vec![best],
        (None, None) => {
            let at_table = answer.flights.iter().flat_map(|ranked| &ranked.placed);
            let own = at_table.filter(|placed| placed.code == code);
            own.map(|placed| format!("{} place at its table", ordinal(placed.place)))
                .collect()
        }
    }
}

/// What a flight is called in a sentence.
fn flight_words(flight: &Flight) -> String {
    match flight.kind {
        Kind::First => format!("Flight {}", flight.number),
        Kind::Final => "The final".to_owned(),
        Kind::Best => "The best of the show".to_owned(),
    }
}

/// What each table agreed on about it.
fn agreed(released: &Released, code: &str) -> Vec<String> {
    let flights = released.frozen.inputs.flights.iter();
    let said = flights.filter_map(|flight| {
        let agreed = flight.agreed.iter().find(|one| one.code == *code)?;
        let mut said = Vec::new();
        if let Some(points) = agreed.points {
            said.push(format!("{points} points agreed"));
        }
        if let Some(place) = agreed.place {
            let of = flight.codes.len();
            said.push(format!("{} of {of} at the table", ordinal(place)));
        }
        if let Some(spread) = agreed.spread {
            said.push(match spread {
                0 => "judges’ totals alike".to_owned(),
                1 => "judges’ totals 1 point apart".to_owned(),
                many => format!("judges’ totals {many} points apart"),
            });
        }
        if agreed.tasted_again {
            said.push("tasted again".to_owned());
        }
        Some(format!("{}: {}.", flight_words(flight), said.join(", ")))
    });
    said.collect()
}

fn part(rules: &Rules, number: usize, row: &SheetRow) -> SheetPart {
    let total = row.sheet.total(rules);
    let band = total.and_then(|total| rules.band(total));
    let sections = rules.sections.iter().map(|section| {
        let marked = row.sheet.sections.get(&section.key);
        let points = marked.and_then(|marked| marked.points);
        Section {
            name: section.name.clone(),
            points: points.map_or("none".to_owned(), |points| {
                format!("{points} of {}", section.most)
            }),
            comment: marked
                .map(|marked| marked.comment.clone())
                .unwrap_or_default(),
        }
    });
    let faults = row
        .sheet
        .faults
        .iter()
        .map(|code| fault_name(code).to_owned());
    SheetPart {
        heading: format!("Judge {number}"),
        total: total.map_or(String::new(), |total| {
            format!("{total} of {}", rules.most())
        }),
        band: band.map(|band| band.words.clone()).unwrap_or_default(),
        sections: sections.collect(),
        faults: faults.collect(),
        advice: row.sheet.advice.clone(),
    }
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, code)): Path<(String, String)>,
) -> Answer {
    let (released, mine, sheets) = mine(&app, &member, (&id, &code)).await?;
    let base = app.site.base();
    let competition = released.competition();
    let rules = &competition.rules;
    let sheets = (1..)
        .zip(&sheets)
        .map(|(number, row)| part(rules, number, row));
    let notes = mine.batch.as_ref();
    page(&OwnPage {
        title: competition.title.clone(),
        results_url: base.link(&paths::RESULTS.with(&[&id])),
        name: mine.name,
        category: released.category_of(&mine.code),
        places: places(&released, &mine.code),
        agreed: agreed(&released, &mine.code),
        sheets: sheets.collect(),
        notes_url: notes.map(|batch| base.link(&paths::NOTES.with(&[batch]))),
        certificate_url: base.link(&paths::CERTIFICATE.with(&[&id, &mine.code])),
        code: mine.code,
        shell: shell(&app, &member),
    })
}

async fn certificate(
    State(app): State<App>,
    member: Member,
    Path((id, code)): Path<(String, String)>,
) -> Answer {
    let (released, mine, _) = mine(&app, &member, (&id, &code)).await?;
    let competition = released.competition();
    let points = released
        .frozen
        .answer
        .flights
        .iter()
        .flat_map(|ranked| &ranked.placed);
    let points = points
        .filter(|placed| placed.code == mine.code)
        .find_map(|one| one.points);
    let band = points.and_then(|points| competition.rules.band(points));
    let when = competition
        .released_at
        .map(|at| day(at, member.settings.zone));
    let shell = shell(&app, &member);
    page(&CertificatePage {
        title: competition.title.clone(),
        own_url: app.site.base().link(&paths::OWN.with(&[&id, &mine.code])),
        category: released.category_of(&mine.code),
        places: places(&released, &mine.code),
        band: band.map(|band| band.words.clone()).unwrap_or_default(),
        when: when.unwrap_or_default(),
        club: shell.club_name.clone(),
        name: mine.name,
        by: mine.by,
        code: mine.code,
        shell,
    })
}
