//! What is wrong with a text of documents, and what a form has no field for, in words.

use serde_json::Value;

use super::{MOST, OneOf, ROWS, Taken};
use crate::engine::json::pointer;
use crate::engine::problem::{Problem, ProblemCode};
use crate::engine::recipe::Recipe;
use crate::web::units::Units;
use crate::web::words::{place, problem_sentence_at};

/// One document and what is said of it.
pub(super) struct Told {
    pub heading: String,
    pub lines: Vec<String>,
}

/// What is wrong with the text as a whole, in a sentence.
pub(super) fn of_whole(taken: &Taken) -> Option<String> {
    match taken {
        Taken::NotJson(told) => Some(format!(
            "This is no recipe document: it cannot be read{}. Take it as Mustwright wrote it, from its first bracket to its last.",
            line_of(told)
        )),
        Taken::Zero(at) => Some(format!(
            "At “{}” stands a zero character, which no text has. Take it out.",
            place(at)
        )),
        Taken::Count(0) => Some("The list is empty: it holds no recipe.".to_owned()),
        Taken::Count(count) => Some(format!(
            "These are {count} recipes. Bring in at most {MOST} at once."
        )),
        Taken::Each(_) => None,
    }
}

/// " in line 3, at character 5", from the words of the reader of JSON.
fn line_of(told: &str) -> String {
    let numbers = told.rsplit_once(" at line ").map(|(_, rest)| rest);
    let at = numbers.and_then(|rest| rest.split_once(" column "));
    match at {
        Some((line, column)) => format!(" in line {line}, at character {column}"),
        None => String::new(),
    }
}

/// What is said of each document.
pub(super) fn of_each(each: &[OneOf], units: Units) -> Vec<Told> {
    let alone = each.len() == 1;
    let heading = |index: usize, title: &str| match (alone, title.is_empty()) {
        (true, true) => "The recipe".to_owned(),
        (true, false) => format!("“{title}”"),
        (false, true) => format!("Recipe {}", index + 1),
        (false, false) => format!("Recipe {}, “{title}”", index + 1),
    };
    let told = each.iter().enumerate().map(|(index, one)| Told {
        heading: heading(index, &one.title),
        lines: match &one.read {
            Ok(_) => vec!["Nothing is wrong with it.".to_owned()],
            Err(problems) => problems.iter().map(|of| line(of, units)).collect(),
        },
    });
    told.collect()
}

/// "Ingredient 2, amount: …"
fn line(problem: &Problem, units: Units) -> String {
    let at = place(&problem.path);
    let mut letters = at.chars();
    let at: String = letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default();
    let (given, most) = (
        problem.arguments.number("given"),
        problem.arguments.number("high"),
    );
    let is_text = is_text(&problem.path);
    let is_list = ROWS.contains(&problem.path.as_str());
    let sentence = match (problem.code, given, most) {
        (ProblemCode::OutOfRange, Some(given), Some(most)) if is_text => {
            format!("{given} characters are too many. Write at most {most}.")
        }
        (ProblemCode::OutOfRange, Some(given), Some(most)) if is_list => {
            format!("{given} of a kind are too many. The form holds at most {most}.")
        }
        _ => {
            let arguments = serde_json::to_value(&problem.arguments).unwrap_or_default();
            problem_sentence_at(problem.code.as_str(), &problem.path, &arguments, units).sentence
        }
    };
    format!("{at}: {sentence}")
}

/// Whether a place holds words; what is out of range there is their length.
fn is_text(path: &str) -> bool {
    let last = path.rsplit('/').next().unwrap_or_default();
    path.starts_with("/typed/")
        || path.starts_with("/declared/")
        || [
            "title", "notes", "style", "filler", "key", "name", "note", "text", "when",
        ]
        .contains(&last)
        || path == "/vessel/kind"
}

/// Places of a document that a form does not hold, in words; what was typed is no part of it, and a number that a
/// percentage cost its last bits is the same number.
pub(super) fn not_held(document: &Recipe, held: &Recipe) -> Vec<String> {
    let mut found = Vec::new();
    let values = (serde_json::to_value(document), serde_json::to_value(held));
    if let (Ok(document), Ok(held)) = values {
        differences(&document, &held, "", &mut found);
    }
    found
}

fn differences(one: &Value, other: &Value, at: &str, found: &mut Vec<String>) {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) => {
            let keys = one
                .keys()
                .chain(other.keys().filter(|key| !one.contains_key(*key)));
            for key in keys.filter(|key| !at.is_empty() || *key != "typed") {
                let part = |of: &serde_json::Map<String, Value>| {
                    of.get(key).cloned().unwrap_or(Value::Null)
                };
                differences(&part(one), &part(other), &pointer(at, key), found);
            }
        }
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            for (index, (one, other)) in one.iter().zip(other).enumerate() {
                differences(one, other, &format!("{at}/{index}"), found);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap_or(0.0), b.as_f64().unwrap_or(0.0));
            if (a - b).abs() > 1e-9 * b.abs() {
                found.push(place(at));
            }
        }
        (one, other) if one == other => {}
        _ => found.push(place(at)),
    }
}
