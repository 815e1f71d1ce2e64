//! The one place where the engine's codes become English: a table of sentences with the arguments set into them.
//!
//! A sentence names its arguments in braces with the way to print them: `{wanted:abv}`, `{kg:mass}`, `{name}`.

use serde_json::Value;

use super::units::{self, Units};

mod cautions;
pub mod contest;
mod log;
mod measure;
pub mod outlook;
mod places;
mod plan;
mod problems;
mod reasons;
pub mod tasting;
pub mod trouble;

pub use log::{likely, question};
pub use places::place;
pub use plan::{beware, step_missed, step_name, step_why};
pub use reasons::reason;

/// What one code says: two or three words that lead, and a sentence or two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Saying {
    pub code: &'static str,
    pub lead: &'static str,
    pub sentence: &'static str,
}

/// A saying with its arguments set in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Words {
    pub lead: String,
    pub sentence: String,
}

/// Every caution that has words.
pub fn caution_sayings() -> &'static [Saying] {
    cautions::SAYINGS
}

/// Every problem that has words.
pub fn problem_sayings() -> &'static [Saying] {
    problems::SAYINGS
}

/// A caution in English; `arguments` is the object of the caution's arguments.
pub fn caution_sentence(code: &str, arguments: &Value, units: Units) -> Words {
    say(cautions::SAYINGS, code, "", arguments, units)
}

/// A problem in English; `arguments` is the object of the problem's arguments.
pub fn problem_sentence(code: &str, arguments: &Value, units: Units) -> Words {
    say(problems::SAYINGS, code, "", arguments, units)
}

/// The same at a place of a document or a calculation's input (a JSON Pointer), whose key says what is measured.
pub fn problem_sentence_at(code: &str, path: &str, arguments: &Value, units: Units) -> Words {
    say(problems::SAYINGS, code, path, arguments, units)
}

fn say(table: &[Saying], code: &str, path: &str, arguments: &Value, units: Units) -> Words {
    match table.iter().find(|saying| saying.code == code) {
        Some(saying) => Words {
            lead: saying.lead.to_owned(),
            sentence: set_in(saying.sentence, path, arguments, units),
        },
        // A test keeps this from happening; should it happen all the same, the code is better than silence.
        None => Words {
            lead: "Take note".to_owned(),
            sentence: format!(
                "The numbers carry a remark that has no words yet: {}.",
                code.replace('_', " ")
            ),
        },
    }
}

/// Sets the arguments into a sentence.
fn set_in(sentence: &str, path: &str, arguments: &Value, units: Units) -> String {
    let mut text = String::with_capacity(sentence.len() + 16);
    let mut rest = sentence;
    while let Some((before, after)) = rest.split_once('{') {
        text.push_str(before);
        let Some((slot, behind)) = after.split_once('}') else {
            rest = after;
            break;
        };
        let (name, way) = slot.split_once(':').unwrap_or((slot, ""));
        let number = arguments.get(name).and_then(Value::as_f64);
        text.push_str(&match (way, number) {
            ("here", Some(number)) => measure::print_at(path, number, units),
            _ => print(arguments.get(name), way, units),
        });
        rest = behind;
    }
    text.push_str(rest);
    text
}

/// The ways to print an argument, for the test that reads the tables.
pub const WAYS: [&str; 21] = [
    "",
    "here",
    "abv",
    "gravity",
    "mass",
    "volume",
    "temperature",
    "dose",
    "g_per_l",
    "mg_per_l",
    "percent",
    "field",
    "fraction",
    "grams",
    "points",
    "list",
    "reason",
    "pressure",
    "word",
    "whole",
    "hundredths",
];

fn print(value: Option<&Value>, way: &str, units: Units) -> String {
    let Some(value) = value else {
        return "–".to_owned();
    };
    if let Some(number) = value.as_f64() {
        return print_number(number, way, units);
    }
    match value {
        Value::String(text) if way == "field" => field(text),
        Value::String(code) if way == "reason" => reason(code).unwrap_or(code).to_owned(),
        Value::String(text) if way == "word" => word(text),
        Value::String(text) => text.clone(),
        Value::Array(parts) => listed(
            &parts
                .iter()
                .map(|part| print(Some(part), way, units))
                .collect::<Vec<_>>(),
        ),
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        _ => "–".to_owned(),
    }
}

/// A word of a calculation as a maker says it.
fn word(word: &str) -> String {
    match word {
        "K2CO3" => "potassium carbonate".to_owned(),
        "KHCO3" => "potassium bicarbonate".to_owned(),
        "CaCO3" => "calcium carbonate (chalk)".to_owned(),
        "NaHCO3" => "sodium bicarbonate (baking soda)".to_owned(),
        other => other.replace('_', " "),
    }
}

/// A key of the recipe document as the beginning of a sentence.
fn field(key: &str) -> String {
    match key {
        "volume_l" => "The volume".to_owned(),
        "amount" => "An amount".to_owned(),
        "aim" => "What the recipe aims for".to_owned(),
        "finish" => "How it is to end".to_owned(),
        "name" => "A name".to_owned(),
        "kind" => "What kind of thing it is".to_owned(),
        "brim_l" => "The volume to the brim".to_owned(),
        other => format!("“{other}”"),
    }
}

fn print_number(number: f64, way: &str, units: Units) -> String {
    match way {
        "abv" => units::abv(number),
        "gravity" => units::gravity(number),
        "mass" => units::mass(number, units),
        "volume" => units::volume(number, units),
        "temperature" => units::temperature(number, units),
        "dose" => units::dose(number, units),
        "g_per_l" => units::grams_per_litre(number),
        "mg_per_l" => format!("{} mg/L", units::plain(number, 0)),
        "percent" => format!("{} %", units::plain(number, 1)),
        "fraction" => format!("{} %", units::plain(number * 100.0, 2)),
        "grams" => units::mass(number / 1000.0, units),
        "pressure" => units::pressure(number, units),
        "points" => units::plain(number, 1),
        "whole" => units::plain(number, 0),
        "hundredths" => units::plain(number, 2),
        _ => units::plain(number, 3),
    }
}

/// "a", "a and b", "a, b and c".
fn listed(parts: &[String]) -> String {
    match parts {
        [] => "–".to_owned(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
