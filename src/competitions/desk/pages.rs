//! The desk itself: a code to type, and the entries by where their bottles are.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::bottle::walls_off;
use super::paths;
use crate::app::App;
use crate::competitions::entries::{self, Entry, codes};
use crate::competitions::flights::conflicts;
use crate::competitions::model::{Category, Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::shown::Way;
use crate::competitions::{self, shown};
use crate::web::form::FormState;
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::Base;
use crate::web::shell::Shell;
use crate::web::viewer::Member;

/// The way from the competition's page, for stewards and organisers.
pub(in crate::competitions) fn ways(opened: &Opened, base: &Base) -> Vec<Way> {
    let sees = opened.has(Duty::Steward) || opened.has(Duty::Organiser);
    if !sees || opened.competition.phase < Phase::Open {
        return Vec::new();
    }
    let about = "Bottles by their codes: received, looked at, missing.".to_owned();
    vec![Way {
        url: base.link(&paths::DESK.with(&[opened.competition.public_id.as_str()])),
        words: "The desk",
        about,
    }]
}

/// An entry in a list.
struct Row {
    url: String,
    code: String,
    category: String,
    says: String,
    is_walled: bool,
}

/// Entries that stand alike.
struct Group {
    heading: &'static str,
    rows: Vec<Row>,
}

#[derive(Template)]
#[template(path = "competitions/desk/desk.html")]
struct DeskPage {
    shell: Shell,
    title: String,
    competition_url: String,
    action: String,
    lead: String,
    groups: Vec<Group>,
    form: FormState,
}

#[derive(Deserialize)]
pub(super) struct Asked {
    code: Option<String>,
}

/// What is still to be done about an entry, as headings in the order of the page.
const HEADINGS: [&str; 4] = [
    "Not received yet",
    "To be looked at",
    "Ready",
    "Missing, late or withdrawn",
];

fn group_of(entry: &Entry) -> usize {
    match entry.arrival {
        _ if entry.withdrawn_at.is_some() => 3,
        None => 0,
        Some(arrival) if !arrival.can_be_poured() => 3,
        Some(_) if entry.checked_at.is_none() => 1,
        Some(_) => 2,
    }
}

fn says(entry: &Entry) -> String {
    match (entry.withdrawn_at, entry.arrival, entry.bottles_here) {
        (Some(_), ..) => "withdrawn".to_owned(),
        (_, None, _) => String::new(),
        (_, Some(arrival), Some(1)) => format!("one bottle {}", arrival.says()),
        (_, Some(arrival), Some(many)) if many > 1 => format!("{many} bottles {}", arrival.says()),
        (_, Some(arrival), _) => arrival.says().to_owned(),
    }
}

pub(super) async fn desk(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Steward, Duty::Organiser])?;
    let competition = opened.competition.id;
    let entries = entries::store::all(&mut conn, competition).await?;
    let categories = competitions::store::categories(&mut conn, competition).await?;
    let walls = conflicts::store::walled_off(&mut conn, competition, member.id).await?;
    drop(conn);
    let mut form = FormState::new();
    if let Some(text) = &asked.code {
        let code = codes::read(text);
        if let Some(known) = entries.iter().find(|one| Some(&one.code) == code.as_ref()) {
            let bottle = paths::BOTTLE.with(&[&id, &known.code]);
            return see_other(app.site.base(), &bottle);
        }
        form.set("code", text.clone());
        let why = "No entry has this code. Look at the bottle again: two letters and three digits, such as AX292.";
        form.refuse("code", why);
    }
    let is_walled = |entry: &Entry| walls_off(&opened, &walls, entry.category);
    let groups = groups(&app, &id, &entries, &categories, is_walled);
    let desk = DeskPage {
        shell: shown::shell(&app, &member),
        title: opened.competition.title.clone(),
        competition_url: app
            .site
            .base()
            .link(&competitions::paths::COMPETITION.with(&[&id])),
        action: app.site.base().link(&paths::DESK.with(&[&id])),
        lead: lead(&entries),
        groups,
        form,
    };
    match desk.form.is_sound() {
        true => page(&desk),
        false => form_again(&desk),
    }
}

fn groups(
    app: &App,
    id: &str,
    entries: &[Entry],
    categories: &[Category],
    is_walled: impl Fn(&Entry) -> bool,
) -> Vec<Group> {
    let row = |entry: &Entry| Row {
        url: app
            .site
            .base()
            .link(&paths::BOTTLE.with(&[id, &entry.code])),
        code: entry.code.clone(),
        category: categories
            .iter()
            .find(|one| one.id == entry.category)
            .map_or(String::new(), |one| one.name.clone()),
        says: says(entry),
        is_walled: is_walled(entry),
    };
    HEADINGS
        .into_iter()
        .enumerate()
        .map(|(at, heading)| Group {
            heading,
            rows: entries
                .iter()
                .filter(|entry| group_of(entry) == at)
                .map(row)
                .collect(),
        })
        .filter(|group| !group.rows.is_empty())
        .collect()
}

fn lead(entries: &[Entry]) -> String {
    let in_all = entries.iter().filter(|one| one.withdrawn_at.is_none());
    let here = in_all.clone().filter(|one| one.can_be_poured()).count();
    match in_all.count() {
        0 => "Nothing is entered yet.".to_owned(),
        1 => format!("{here} of one entry is here."),
        all => format!("{here} of {all} entries are here."),
    }
}
