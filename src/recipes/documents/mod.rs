//! Recipe documents on their way in and out: read strictly, one or several, each fault with its place.

pub mod pages;
mod words;

use serde_json::Value;

use super::forms::{LONGEST, MOST_ROWS};
use super::model::TITLE_MAX;
use crate::engine::check::check;
use crate::engine::json::{Json, NotJson, pointer};
use crate::engine::problem::{Arguments, Problem, ProblemCode};
use crate::engine::reading::read_json;
use crate::engine::recipe::{Kind, Recipe};

/// The most documents that come in together.
pub const MOST: usize = 20;

/// The lists that the form shows row by row.
const ROWS: [&str; 4] = ["/ingredients", "/yeasts", "/nutrients", "/process"];

/// A text that should hold documents.
#[derive(Debug, PartialEq)]
pub enum Taken {
    /// It is no JSON; where, as the reader of JSON says it.
    NotJson(String),
    /// A zero character stands at this place.
    Zero(String),
    /// An empty list, or more than [`MOST`].
    Count(usize),
    /// Each document, or what is wrong with it.
    Each(Vec<OneOf>),
}

/// One of the documents.
#[derive(Debug, PartialEq)]
pub struct OneOf {
    /// Its name, as far as it has one.
    pub title: String,
    pub read: Result<Box<Recipe>, Vec<Problem>>,
}

/// Reads a document, or a list of them.
pub fn take(text: &str) -> Taken {
    let json = match Json::parse(text) {
        Ok(json) => json,
        Err(NotJson(told)) => return Taken::NotJson(told),
    };
    if let Some(place) = zero_in(&json, "") {
        return Taken::Zero(place);
    }
    let documents = match json {
        Json::List(documents) => documents,
        one => vec![one],
    };
    match documents.len() {
        1..=MOST => Taken::Each(documents.into_iter().map(take_one).collect()),
        count => Taken::Count(count),
    }
}

fn take_one(json: Json) -> OneOf {
    let title = match &json {
        Json::Object(members) => members.iter().find_map(|(key, value)| match value {
            Json::Text(text) if key == "title" => Some(text.chars().take(TITLE_MAX).collect()),
            _ => None,
        }),
        _ => None,
    };
    let read = read_json(json).and_then(|mut recipe| {
        recipe.title = recipe.title.trim().to_owned();
        let mut faults = faults_of(&recipe);
        too_many_rows(&recipe, &mut faults);
        match faults.is_empty() {
            true => Ok(Box::new(recipe)),
            false => Err(faults),
        }
    });
    OneOf {
        title: title.unwrap_or_default(),
        read,
    }
}

/// A form of more rows than its own buttons make could not be sent.
fn too_many_rows(recipe: &Recipe, problems: &mut Vec<Problem>) {
    let honeys = recipe
        .ingredients
        .iter()
        .filter(|item| item.kind == Kind::Honey);
    let honeys = honeys.count();
    let counts = [
        honeys.max(recipe.ingredients.len() - honeys),
        recipe.yeasts.len(),
        recipe.nutrients.len(),
        recipe.process.len(),
    ];
    for (path, count) in ROWS.into_iter().zip(counts) {
        if count > MOST_ROWS {
            let arguments = Arguments::none()
                .with("given", count as f64)
                .with("low", 0.0)
                .with("high", MOST_ROWS as f64);
            problems.push(Problem::new(ProblemCode::OutOfRange, path, arguments));
        }
    }
}

/// Where a zero character stands.
pub fn zero_in(json: &Json, path: &str) -> Option<String> {
    match json {
        Json::Text(text) => text.contains('\0').then(|| path.to_owned()),
        Json::List(items) => items
            .iter()
            .enumerate()
            .find_map(|(index, item)| zero_in(item, &format!("{path}/{index}"))),
        Json::Object(members) => members.iter().find_map(|(key, item)| {
            let place = pointer(path, key);
            match key.contains('\0') {
                true => Some(place),
                false => zero_in(item, &place),
            }
        }),
        Json::Null | Json::Bool(_) | Json::Number(_) => None,
    }
}

/// What keeps a document from being saved: the same that keeps a form from it.
pub fn faults_of(recipe: &Recipe) -> Vec<Problem> {
    let mut problems = check(recipe);
    if recipe.title.is_empty() {
        let arguments = Arguments::none().with("key", "title");
        problems.push(Problem::new(ProblemCode::Missing, "/title", arguments));
    }
    too_long(&mut problems, "/title", &recipe.title, 1, TITLE_MAX);
    // The document's own texts, with their places.
    if let Ok(value) = serde_json::to_value(recipe) {
        long_texts(&value, "", &mut problems);
    }
    problems
}

fn long_texts(value: &Value, path: &str, problems: &mut Vec<Problem>) {
    match value {
        Value::String(text) if path != "/title" => {
            too_long(problems, path, text, 0, LONGEST);
        }
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                long_texts(item, &format!("{path}/{index}"), problems);
            }
        }
        Value::Object(members) => {
            for (key, item) in members {
                long_texts(item, &pointer(path, key), problems);
            }
        }
        _ => {}
    }
}

/// A text with more characters than may stand there; the arguments count characters.
pub fn too_long(problems: &mut Vec<Problem>, path: &str, text: &str, least: usize, most: usize) {
    let given = text.chars().count();
    if given > most {
        let arguments = Arguments::none()
            .with("given", given as f64)
            .with("low", least as f64)
            .with("high", most as f64);
        problems.push(Problem::new(ProblemCode::OutOfRange, path, arguments));
    }
}
