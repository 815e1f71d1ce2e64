//! What a program sends to be saved: a document in an envelope, read strictly, each fault with its place.

use axum::http::StatusCode;

use crate::api::fault::{Fault, no_json};
use crate::engine::json::{Json, Members, NotJson, Reader};
use crate::engine::problem::{Arguments, Problem, ProblemCode};
use crate::engine::reading::read_json;
use crate::engine::recipe::Recipe;
use crate::recipes::documents::{faults_of, too_long, zero_in};
use crate::recipes::model::{NOTE_MAX, Visibility};

/// A revision as a program sends it.
pub(super) struct Sent {
    pub recipe: Recipe,
    pub note: String,
    pub visibility: Option<Visibility>,
}

const WORDS: &str = "private, club, link";

fn refused(problems: Vec<Problem>) -> Fault {
    Fault::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "What was sent has problems",
    )
    .problems(problems)
}

/// JSON without a zero character, which no database stores.
fn parse(text: &str) -> Result<Json, Fault> {
    let json = Json::parse(text).map_err(|NotJson(detail)| no_json(detail))?;
    match zero_in(&json, "") {
        None => Ok(json),
        Some(place) => {
            let arguments = Arguments::none().with("expected", "a text without a zero character");
            let problem = Problem::new(ProblemCode::WrongKind, place, arguments);
            Err(refused(vec![problem]))
        }
    }
}

/// Reads the envelope of a revision.
pub(super) fn sent(text: &str) -> Result<Sent, Fault> {
    let json = parse(text)?;
    let mut reader = Reader::default();
    let Some(members) = reader.object(&json, "", &["document", "note", "visibility"]) else {
        return Err(refused(reader.problems));
    };
    let note = reader.text(&members, "note").unwrap_or_default();
    let visibility = visibility_in(&mut reader, &members);
    let document = reader.required(&members, "document").cloned();
    let mut problems = reader.problems;
    too_long(&mut problems, "/note", &note, 0, NOTE_MAX);
    let recipe = document.map(read_json).transpose();
    match recipe {
        Ok(Some(mut recipe)) => {
            recipe.title = recipe.title.trim().to_owned();
            problems.extend(below_document(faults_of(&recipe)));
            match problems.is_empty() {
                true => Ok(Sent {
                    recipe,
                    note: note.trim().to_owned(),
                    visibility,
                }),
                false => Err(refused(problems)),
            }
        }
        Ok(None) => Err(refused(problems)),
        Err(found) => {
            problems.extend(below_document(found));
            Err(refused(problems))
        }
    }
}

/// Reads the envelope of who may see a recipe.
pub(super) fn shared(text: &str) -> Result<Visibility, Fault> {
    let json = parse(text)?;
    let mut reader = Reader::default();
    let wanted = reader
        .object(&json, "", &["visibility"])
        .and_then(|members| {
            reader.required(&members, "visibility");
            visibility_in(&mut reader, &members)
        });
    match wanted {
        Some(wanted) if reader.problems.is_empty() => Ok(wanted),
        _ => Err(refused(reader.problems)),
    }
}

fn visibility_in(reader: &mut Reader, members: &Members<'_>) -> Option<Visibility> {
    reader.word(
        members,
        "visibility",
        |word| word.parse().ok(),
        || WORDS.to_owned(),
    )
}

fn below_document(problems: Vec<Problem>) -> impl Iterator<Item = Problem> {
    problems.into_iter().map(|problem| Problem {
        path: format!("/document{}", problem.path),
        ..problem
    })
}
