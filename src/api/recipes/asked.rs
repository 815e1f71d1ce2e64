//! What stands behind the question mark of an address, read strictly: what is unknown, doubled or odd is refused.

use axum::http::StatusCode;

use crate::api::fault::{Fault, Refusal};
use crate::recipes::model::{Cursor, Shelf};
use crate::web::form::Posted;

/// Entries on one page of a list, when nothing else is asked.
const USUAL: usize = 30;
/// The most of them.
const MOST: usize = 100;
/// The longest text to search for, characters.
const LONGEST: usize = 200;

fn refuse(detail: impl Into<String>) -> Refusal {
    Fault::new(
        StatusCode::BAD_REQUEST,
        "The address asks for something else",
    )
    .detail(detail)
    .into()
}

/// Which recipes.
pub(super) struct Recipes {
    pub shelf: Shelf,
    pub words: String,
    pub after: Option<Cursor>,
    pub limit: usize,
}

/// Which revisions.
pub(super) struct Revisions {
    pub before: Option<i32>,
    pub limit: usize,
}

fn read(query: Option<&str>, known: &[&str]) -> Result<Posted, Refusal> {
    let posted = Posted::read(query.unwrap_or_default().as_bytes(), 20)
        .map_err(|_| refuse("The query holds what is no text, or too much of it."))?;
    let odd = posted
        .pairs()
        .iter()
        .find(|(name, _)| !known.contains(&name.as_str()));
    match odd {
        None => Ok(posted),
        Some((name, _)) => Err(refuse(format!(
            "“{name}” is not known here. Known are: {}.",
            known.join(", ")
        ))),
    }
}

fn one<T>(
    posted: &Posted,
    name: &str,
    wanted: &str,
    read: impl Fn(&str) -> Option<T>,
) -> Result<Option<T>, Refusal> {
    let mut found = posted.all(name);
    let (first, second) = (found.next(), found.next());
    match (first, second) {
        (None, _) => Ok(None),
        (Some(text), None) => read(text)
            .map(Some)
            .ok_or_else(|| refuse(format!("“{name}” wants {wanted}."))),
        (Some(_), Some(_)) => Err(refuse(format!("“{name}” stands there twice."))),
    }
}

fn limit(posted: &Posted) -> Result<usize, Refusal> {
    let read = |text: &str| whole::<usize>(text).filter(|limit| (1..=MOST).contains(limit));
    let found = one(posted, "limit", "a whole number from 1 to 100", read)?;
    Ok(found.unwrap_or(USUAL))
}

/// A whole number in plain digits: no sign, no point.
pub(super) fn whole<T: std::str::FromStr>(text: &str) -> Option<T> {
    let plain = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// Reads what a list of recipes is asked for.
pub(super) fn recipes(query: Option<&str>) -> Result<Recipes, Refusal> {
    let posted = read(query, &["shelf", "q", "after", "limit"])?;
    let shelf = |word: &str| {
        word.parse::<Shelf>()
            .ok()
            .filter(|shelf| *shelf != Shelf::Bin)
    };
    let short = |text: &str| (text.chars().count() <= LONGEST).then(|| text.to_owned());
    Ok(Recipes {
        shelf: one(&posted, "shelf", "everything, mine or club", shelf)?.unwrap_or_default(),
        words: one(&posted, "q", "at most 200 characters", short)?.unwrap_or_default(),
        after: one(&posted, "after", "the “next” of an answer", |text| {
            let cursor = text.parse().ok();
            cursor.filter(|cursor| matches!(cursor, Cursor::Newest { .. }))
        })?,
        limit: limit(&posted)?,
    })
}

/// Reads what a list of revisions is asked for.
pub(super) fn revisions(query: Option<&str>) -> Result<Revisions, Refusal> {
    let posted = read(query, &["before", "limit"])?;
    let number = |text: &str| whole::<i32>(text).filter(|number| *number >= 1);
    Ok(Revisions {
        before: one(&posted, "before", "the number of a revision", number)?,
        limit: limit(&posted)?,
    })
}

/// Refuses any question where none is understood.
pub(in crate::api) fn nothing(query: Option<&str>) -> Result<(), Refusal> {
    let posted = Posted::read(query.unwrap_or_default().as_bytes(), 20);
    match posted {
        Ok(posted) if posted.is_empty() => Ok(()),
        _ => Err(refuse("Nothing may be asked here.")),
    }
}
