//! The recount: what was frozen is reckoned again for whoever looks, and held against the hash and against what is there now.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::IntoResponse;

use super::gather::gather;
use super::paths;
use super::shown::released;
use crate::app::App;
use crate::competitions::shown::shell;
use crate::engine::contest::account::{account, hash};
use crate::engine::contest::draw::{Round, rounds};
use crate::engine::contest::frozen::Inputs;
use crate::engine::contest::results::Answer;
use crate::engine::contest::rules::Tie;
use crate::web::dates::moment;
use crate::web::pages::{Answer as Page, page};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::viewer::Member;

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::RECOUNT, show)
        .on(paths::RECOUNT_TEXT, as_text)
}

/// One draw, round by round.
struct Drawn {
    about: String,
    rounds: Vec<Round>,
}

#[derive(Template)]
#[template(path = "competitions/recount.html")]
struct RecountPage {
    shell: Shell,
    title: String,
    results_url: String,
    text_url: String,
    when: String,
    /// As it was kept.
    kept: String,
    /// Of the frozen inputs, reckoned for this page.
    again: String,
    /// Of what is in the tables now.
    now: String,
    /// Lines that what is there now has otherwise than what was frozen.
    otherwise: Vec<String>,
    draws: Vec<Drawn>,
    lines: usize,
    text: String,
}

/// Every draw that decided something, as anybody can repeat it.
fn draws(inputs: &Inputs, answer: &Answer) -> Vec<Drawn> {
    let Some(number) = &inputs.drawn_number else {
        return Vec::new();
    };
    let steps = answer.flights.iter().flat_map(|ranked| &ranked.steps);
    let drawn = steps.filter(|step| step.by == Tie::Drawn && !step.lacking);
    drawn
        .map(|step| Drawn {
            rounds: rounds(number, &step.about, &step.codes),
            about: step.about.clone(),
        })
        .collect()
}

/// Lines of one text that the other has not.
fn only_in(one: &str, other: &str) -> Vec<String> {
    let known: std::collections::BTreeSet<&str> = other.lines().collect();
    let lines = one.lines().filter(|line| !known.contains(line));
    lines.map(|line| line.trim().to_owned()).collect()
}

async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Page {
    let mut conn = app.pool.acquire().await?;
    let released = released(&mut conn, &member, &id).await?;
    let competition = released.competition();
    let gathered = gather(&mut conn, competition).await?;
    drop(conn);
    let frozen = &released.frozen;
    let (answer, text) = account(&frozen.inputs);
    let (_, now) = account(&gathered.inputs);
    let base = app.site.base();
    page(&RecountPage {
        title: competition.title.clone(),
        results_url: base.link(&paths::RESULTS.with(&[&id])),
        text_url: base.link(&paths::RECOUNT_TEXT.with(&[&id])),
        when: moment(frozen.at, member.settings.zone),
        kept: frozen.hash_text(),
        again: hash(&text),
        now: hash(&now),
        otherwise: only_in(&now, &text),
        draws: draws(&frozen.inputs, &answer),
        lines: text.lines().count(),
        text,
        shell: shell(&app, &member),
    })
}

async fn as_text(State(app): State<App>, member: Member, Path(id): Path<String>) -> Page {
    let mut conn = app.pool.acquire().await?;
    let released = released(&mut conn, &member, &id).await?;
    drop(conn);
    let (_, text) = account(&released.frozen.inputs);
    let headers = [
        (header::CONTENT_TYPE, "text/plain; charset=utf-8"),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"results.txt\"",
        ),
    ];
    Ok((headers, text).into_response())
}
