//! Results as everybody reads them: the best of the show, the first places of each category, how ties came apart; and all places
//! as a table for spreadsheets.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::IntoResponse;
use serde_json::{Value, json};
use sqlx::PgConnection;

use super::model::{Frozen, Made};
use super::words::{self, ordinal};
use super::{paths, store};
use crate::app::App;
use crate::competitions::model::Competition;
use crate::competitions::opened::Opened;
use crate::competitions::paths as competitions;
use crate::competitions::phases::Act;
use crate::competitions::shown::shell;
use crate::engine::contest::results::{PRIZES, Placed, Ranked};
use crate::portability::sheet::{Column, table};
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::viewer::{Member, MemberId};

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::RESULTS, show)
        .on(paths::RESULTS_CSV, as_table)
}

/// Released results.
pub(super) struct Released {
    pub opened: Opened,
    pub frozen: Frozen,
}

impl Released {
    pub fn competition(&self) -> &Competition {
        &self.opened.competition
    }

    /// The name of a category's number.
    pub fn category(&self, number: u32) -> String {
        let mut all = self.frozen.inputs.categories.iter();
        let found = all.rfind(|one| one.number == number);
        found.map(|one| one.name.clone()).unwrap_or_default()
    }

    /// The name of an entry's category.
    pub fn category_of(&self, code: &str) -> String {
        let entry = self
            .frozen
            .inputs
            .entries
            .iter()
            .find(|one| one.code == *code);
        entry.map_or_else(String::new, |entry| self.category(entry.category))
    }
}

/// Opens released results; before the release there are none, for nobody.
pub(super) async fn released(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Released, Error> {
    let opened = Opened::read(conn, member, id).await?;
    if !opened.allows(Act::ReadResults) {
        return Err(Error::not_found());
    }
    let frozen = store::frozen(conn, opened.competition.id).await?;
    let frozen = frozen.ok_or_else(Error::not_found)?;
    Ok(Released { opened, frozen })
}

/// A place on the page.
struct Line {
    place: String,
    name: String,
    by: String,
    code: String,
    /// Points, where one table gave them, or the sum of places.
    told: String,
    category: String,
}

/// A list of places.
struct Places {
    name: String,
    lines: Vec<Line>,
    ties: Vec<String>,
    /// How many were judged besides.
    others: usize,
}

impl Places {
    /// Whether its lines come from several categories.
    fn has_categories(&self) -> bool {
        self.lines.iter().any(|line| !line.category.is_empty())
    }
}

/// An entry of the viewer's own.
struct Own {
    name: String,
    told: String,
    url: String,
}

#[derive(Template)]
#[template(path = "competitions/results.html")]
struct ResultsPage {
    shell: Shell,
    title: String,
    competition_url: String,
    rehearsal: bool,
    when: String,
    entries: usize,
    own: Vec<Own>,
    best: Option<Places>,
    categories: Vec<Places>,
    csv_url: String,
    recount_url: String,
    statistics_url: String,
    hash: String,
}

/// Who made what, by code; several made one together.
type Makers = BTreeMap<String, Vec<Made>>;

async fn makers(conn: &mut PgConnection, competition: &Competition) -> Result<Makers, Error> {
    let mut makers = Makers::new();
    for (code, made) in store::makers(conn, competition.id).await? {
        makers.entry(code).or_default().push(made);
    }
    Ok(makers)
}

/// Whoever entered it first, then those who made it with them.
fn by(made: &[Made]) -> String {
    let names: Vec<String> = made.iter().map(|one| one.by.clone()).collect();
    words::listed(&names)
}

fn called(made: &[Made]) -> String {
    made.first().map(|one| one.name.clone()).unwrap_or_default()
}

fn line(placed: &Placed, makers: &Makers, category: String) -> Line {
    let made = makers.get(&placed.code).map_or(&[][..], Vec::as_slice);
    Line {
        place: ordinal(placed.place),
        name: called(made),
        by: by(made),
        code: placed.code.clone(),
        told: match (placed.points, placed.sum) {
            (Some(points), _) => format!("{points} points at its table"),
            (None, Some(sum)) => format!("sum of places {sum}"),
            (None, None) => String::new(),
        },
        category,
    }
}

fn places(
    name: String,
    ranked: &Ranked,
    (makers, others): (&Makers, usize),
    category: impl Fn(&str) -> String,
) -> Places {
    let first = ranked.placed.iter().filter(|placed| placed.place <= PRIZES);
    let lines: Vec<Line> = first
        .map(|placed| line(placed, makers, category(&placed.code)))
        .collect();
    let among = |code: &String| lines.iter().any(|line| line.code == *code);
    let ties = ranked
        .steps
        .iter()
        .filter(|step| step.codes.iter().any(among));
    Places {
        ties: ties.map(words::step).collect(),
        others: (ranked.placed.len() + others).saturating_sub(lines.len()),
        lines,
        name,
    }
}

fn own(released: &Released, makers: &Makers, app: &App, viewer: MemberId) -> Vec<Own> {
    let mine = makers
        .iter()
        .filter(|(_, made)| made.iter().any(|one| one.member == viewer));
    let competition = released.competition().public_id.as_str();
    mine.map(|(code, made)| {
        let answer = &released.frozen.answer;
        let place = answer
            .place_of(code)
            .map(|placed| format!("{} place in its category", ordinal(placed.place)));
        let best = answer
            .best_of(code)
            .map(|placed| format!("{} of the best of the show", ordinal(placed.place)));
        let told: Vec<String> = best.into_iter().chain(place).collect();
        Own {
            name: called(made),
            told: match told.is_empty() {
                true => format!("{code}, with its sheets"),
                false => format!("{code}: {}", told.join(", ")),
            },
            url: app.site.base().link(&paths::OWN.with(&[competition, code])),
        }
    })
    .collect()
}

async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let released = released(&mut conn, &member, &id).await?;
    let competition = released.competition();
    let makers = makers(&mut conn, competition).await?;
    drop(conn);
    let (base, frozen) = (app.site.base(), &released.frozen);
    let categories = frozen.answer.categories.iter().filter_map(|one| {
        let ranked = one.ranked.as_ref()?;
        let others = (&makers, one.unplaced.len());
        Some(places(
            released.category(one.number),
            ranked,
            others,
            |_| String::new(),
        ))
    });
    let best = frozen.answer.best.as_ref().map(|ranked| {
        places("Best of show".to_owned(), ranked, (&makers, 0), |code| {
            released.category_of(code)
        })
    });
    let at = |route: crate::web::paths::Route| base.link(&route.with(&[&id]));
    let when = competition
        .released_at
        .map(|at| day(at, member.settings.zone));
    page(&ResultsPage {
        title: competition.title.clone(),
        competition_url: at(competitions::COMPETITION),
        rehearsal: competition.rehearsal,
        when: when.unwrap_or_default(),
        entries: frozen.inputs.entries.len(),
        own: own(&released, &makers, &app, member.id),
        best,
        categories: categories.collect(),
        csv_url: at(paths::RESULTS_CSV),
        recount_url: at(paths::RECOUNT),
        statistics_url: at(paths::STATISTICS),
        hash: frozen.hash_text(),
        shell: shell(&app, &member),
    })
}

const COLUMNS: &[Column] = &[
    ("category", "/category"),
    ("place", "/place"),
    ("code", "/code"),
    ("mead", "/mead"),
    ("by", "/by"),
    ("points at its table", "/points"),
    ("sum of places in the final", "/sum"),
    ("best of show, place", "/best"),
];

async fn as_table(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let released = released(&mut conn, &member, &id).await?;
    let makers = makers(&mut conn, released.competition()).await?;
    drop(conn);
    let answer = &released.frozen.answer;
    let row = |category: u32, code: &str, placed: Option<&Placed>| {
        // Names stand beside prizes; whoever has none reads their own place on their own page.
        let has_prize = placed.is_some_and(|placed| placed.place <= PRIZES);
        let made = makers
            .get(code)
            .filter(|_| has_prize)
            .map_or(&[][..], Vec::as_slice);
        json!({
            "category": released.category(category),
            "place": placed.map(|placed| placed.place),
            "code": code,
            "mead": called(made),
            "by": by(made),
            "points": placed.and_then(|placed| placed.points),
            "sum": placed.and_then(|placed| placed.sum),
            "best": answer.best_of(code).map(|placed| placed.place),
        })
    };
    let rows: Vec<Value> = answer
        .categories
        .iter()
        .flat_map(|one| {
            let ranked = one.ranked.iter().flat_map(|ranked| &ranked.placed);
            let placed = ranked.map(|placed| row(one.number, &placed.code, Some(placed)));
            let others = one.unplaced.iter().map(|code| row(one.number, code, None));
            placed.chain(others).collect::<Vec<Value>>()
        })
        .collect();
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"results.csv\"",
        ),
    ];
    Ok((headers, table(COLUMNS, "", &rows)).into_response())
}
