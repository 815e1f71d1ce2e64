//! The page of the chain: what was done, in order, and whether every row still fits the one before it.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use serde_json::Value;

use super::words::{Doer, told};
use super::{Link, broken, store};
use crate::app::App;
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::organise::paths;
use crate::competitions::paths as all;
use crate::competitions::shown::shell;
use crate::recipes::public_id::PublicId;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

/// Rows on one page.
const SHOWN: usize = 100;

struct Row {
    number: i32,
    when: String,
    who: String,
    what: String,
    about: String,
    reason: String,
    fits: bool,
}

#[derive(Template)]
#[template(path = "competitions/organise/deeds.html")]
struct DeedsPage {
    shell: Shell,
    competition_url: String,
    title: String,
    count: usize,
    broken: Option<i32>,
    /// Hash of the last row.
    last: String,
    rows: Vec<Row>,
    earlier_url: Option<String>,
}

#[derive(Deserialize)]
pub struct Asked {
    before: Option<i32>,
}

/// Who reads the chain, as far as it matters for what may be told.
#[derive(Clone, Copy)]
struct Reader {
    released: bool,
    organises: bool,
    /// They judge or pour: a code beside a time, at which somebody changed an entry, paid or brought a bottle, would tell them
    /// whose it is.
    blind: bool,
}

impl Reader {
    /// Whether this part of a deed stays hidden until the release.
    fn hides(self, doer: Doer, key: &str) -> bool {
        let code = doer == Doer::Maker || (self.blind && key == "code");
        !self.released && code
    }
}

/// What a deed was about, in a line: what is short in it, by its own words.
/// What says by a number of our own which row it was about.
const ROWS: [&str; 4] = ["row", "member", "judge", "category"];

fn about(link: &Link, doer: Doer, reader: Reader) -> String {
    let phase = |key: &str| {
        let word = link.about.get(key).and_then(Value::as_str)?;
        Phase::from_word(word).map(Phase::says)
    };
    if let Some((from, to)) = phase("from").zip(phase("to")) {
        return format!("from “{from}” to “{to}”");
    }
    let Value::Object(said) = &link.about else {
        return String::new();
    };
    let told = said.iter().filter(|(key, _)| !reader.hides(doer, key));
    let short = told.filter_map(|(key, value)| {
        let value = match value {
            // A public id says nothing to anybody.
            Value::String(text) if text.parse::<PublicId>().is_ok() => return None,
            Value::String(text) if !text.is_empty() && text.chars().count() <= 60 => text.clone(),
            // Nor does the number of a row.
            Value::Number(_) if ROWS.contains(&key.as_str()) => return None,
            Value::Number(number) => number.to_string(),
            Value::Bool(true) => "yes".to_owned(),
            // What was not so needs no word.
            Value::Bool(false) => return None,
            _ => return None,
        };
        Some(format!("{}: {value}", key.replace('_', " ")))
    });
    short.collect::<Vec<_>>().join(", ")
}

/// Who did it, as far as the reader may know.
fn who(link: &Link, doer: Doer, reader: Reader) -> String {
    let known = match doer {
        Doer::Told => true,
        Doer::Maker => reader.released,
        Doer::Helper => reader.released && reader.organises,
    };
    match (&link.by_name, doer) {
        (None, _) => "by itself".to_owned(),
        (Some(name), _) if known => name.clone(),
        (_, Doer::Helper) => "a judge or steward".to_owned(),
        _ => "somebody, told after the release".to_owned(),
    }
}

fn hex(hash: &[u8]) -> String {
    hash.iter().map(|byte| format!("{byte:02x}")).collect()
}

pub(in crate::competitions) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let reader = Reader {
        released: !opened.competition.phase.is_blind(),
        organises: opened.has(Duty::Organiser),
        blind: opened.is_blind(),
    };
    if !reader.released && !reader.organises {
        return Err(Error::not_found());
    }
    let links = store::all(&mut conn, opened.competition.id).await?;
    drop(conn);
    let broken = broken(&links);
    let before = asked.before.unwrap_or(i32::MAX);
    let shown = links.iter().rev().filter(|link| link.number < before);
    let rows: Vec<Row> = shown
        .take(SHOWN)
        .map(|link| {
            let (what, doer) = told(&link.deed);
            Row {
                number: link.number,
                when: moment(link.at, member.settings.zone),
                who: who(link, doer, reader),
                what,
                about: about(link, doer, reader),
                reason: link.reason.clone(),
                fits: broken.is_none_or(|first| link.number < first),
            }
        })
        .collect();
    let base = app.site.base();
    let here = paths::DEEDS.with(&[&id]);
    let earlier = rows.last().map(|row| row.number).filter(|last| *last > 1);
    page(&DeedsPage {
        shell: shell(&app, &member),
        competition_url: base.link(&all::COMPETITION.with(&[&id])),
        title: opened.competition.title.clone(),
        count: links.len(),
        broken,
        last: links.last().map_or(String::new(), |link| hex(&link.hash)),
        earlier_url: earlier.map(|last| base.link(&format!("{here}?before={last}"))),
        rows,
    })
}
