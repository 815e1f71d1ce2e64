//! The form of an own entry: from text to what is kept, every fault beside its field, and back.

use super::fields::{self, Field, LINE, LINES, Says};
use super::{Document, Sort};
use crate::catalogue::{Composition, Kind};
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::units::{self, Fault, Units};

/// The columns of the four parts.
const PARTS: [&str; 4] = ["water", "fermentable", "unfermentable", "insoluble"];
/// How far from one the four parts may sum: scales and labels round.
const CLOSES_WITHIN: f64 = 0.002;
/// Ranges: the names of both ends, and what to say when they stand the wrong way round.
const RANGES: &[(&str, &str, &str)] = &[
    (
        "usual_low",
        "usual_high",
        "Write an amount that is not below the first.",
    ),
    (
        "days_low",
        "days_high",
        "Write a number of days that is not below the first.",
    ),
    (
        "pfund_low",
        "pfund_high",
        "Write a colour that is not paler than the first.",
    ),
    (
        "tolerance_low",
        "tolerance_high",
        "Write a strength that is not below the first.",
    ),
    (
        "coldest",
        "warmest",
        "Write a temperature that is not below the first.",
    ),
    (
        "wake_low",
        "wake_high",
        "Write a temperature that is not below the first.",
    ),
];

/// Reads a posted form. The document is whole when the form is sound.
///
/// # Errors
/// When a field came twice.
pub fn read(posted: &Posted, sort: Sort, units: Units) -> Result<(Document, FormState), Error> {
    let mut form = FormState::of(posted);
    let mut document = Document::default();
    for field in fields::fields(sort) {
        let text = posted.one(field.name)?.trim();
        if text.is_empty() {
            if !field.wanted.is_empty() {
                form.refuse(field.name, field.wanted);
            }
        } else if field.says.is_text() {
            match read_text(field, text) {
                Ok(text) => document.set_text(field.name, &text),
                Err(why) => form.refuse(field.name, why),
            }
        } else {
            match read_number(field.says, text, units) {
                Ok(number) => {
                    document.set_number(field.name, Some(number));
                    document
                        .typed
                        .insert(field.name.to_owned(), text.to_owned());
                }
                Err(fault) => form.refuse(field.name, fault.to_string()),
            }
        }
    }
    for (low, high, why) in RANGES {
        if let (Some(from), Some(to)) = (document.number(low), document.number(high))
            && from > to
        {
            form.refuse(high, *why);
        }
    }
    if sort == Sort::Ingredient {
        make_up(&mut document, &mut form);
    }
    Ok((document, form))
}

fn read_text(field: &Field, text: &str) -> Result<String, String> {
    let most = match field.says {
        Says::Choice(choices) => {
            let known = choices.iter().any(|(value, _)| *value == text);
            return match known {
                true => Ok(text.to_owned()),
                false => Err("Choose one of the list.".to_owned()),
            };
        }
        Says::Lines => LINES,
        _ => LINE,
    };
    match text.chars().nth(most) {
        None => Ok(text.to_owned()),
        Some(_) => Err(format!("Write at most {most} characters here.")),
    }
}

fn read_number(says: Says, text: &str, units: Units) -> Result<f64, Fault> {
    match says {
        Says::Fraction => units::parse_percent(text, 0.0, 100.0).map(|percent| percent / 100.0),
        Says::Percent(low, high) => units::parse_percent(text, low, high),
        Says::Number(unit, low, high) => {
            // The unit stands behind the box; written into it, it is no fault.
            let bare = text.strip_suffix(unit).unwrap_or(text).trim();
            units::parse_number_within(bare, low, high)
        }
        Says::Whole(low, high) => units::parse_whole(text, low, high).map(f64::from),
        Says::Dose => units::parse_dose(text, units),
        Says::Temperature => units::parse_temperature(text, units),
        Says::Line | Says::Lines | Says::Choice(_) => units::parse_number(text),
    }
}

/// Fills in the part that follows from the others; says what is missing.
fn make_up(document: &mut Document, form: &mut FormState) {
    let unread = PARTS.iter().any(|part| form.fault(part).is_some());
    if unread {
        return;
    }
    let typed = PARTS.map(|part| document.number(part));
    let known = typed.iter().flatten().count();
    let is_honey = document.kind() == Kind::Honey;
    let sum: f64 = typed.iter().flatten().sum();
    let parts = match (known, typed) {
        (0, _) if is_honey => {
            form.refuse("water", "Write the water of the honey, such as 17.2 %.");
            return;
        }
        (0, _) => return,
        (1, [Some(water), ..]) if is_honey => {
            let parts = Composition::of_usual_honey(water);
            [
                parts.water,
                parts.fermentable,
                parts.unfermentable,
                parts.insoluble,
            ]
        }
        (4, [Some(a), Some(b), Some(c), Some(d)]) => {
            if (sum - 1.0).abs() > CLOSES_WITHIN {
                let sum = units::plain(sum * 100.0, 2);
                form.refuse(
                    "insoluble",
                    format!(
                        "The four parts make {sum} % together: write them so that they make 100 %."
                    ),
                );
                return;
            }
            // What rounding left over is spread in proportion.
            [a, b, c, d].map(|part| part / sum)
        }
        (3, _) if sum <= 1.0 + 1e-9 => typed.map(|part| part.unwrap_or((1.0 - sum).max(0.0))),
        (3, _) => {
            let sum = units::plain(sum * 100.0, 2);
            let last = PARTS.iter().zip(typed).rfind(|(_, part)| part.is_some());
            let field = last.map_or("water", |(field, _)| *field);
            form.refuse(
                field,
                format!(
                    "These parts make {sum} % together: write them so that they make at most 100 %."
                ),
            );
            return;
        }
        _ => {
            let missing = PARTS.iter().zip(typed).find(|(_, part)| part.is_none());
            let field = missing.map_or("water", |(field, _)| *field);
            form.refuse(
                field,
                "Write at least three of the four parts; the missing one is the rest.",
            );
            return;
        }
    };
    for (name, part) in PARTS.into_iter().zip(parts) {
        document.set_number(name, Some(part));
    }
}

/// The form that holds a document: numbers as they were typed where that reads the same for this reader.
pub fn filled(document: &Document, sort: Sort, units: Units) -> FormState {
    let mut form = FormState::new();
    // Parts that followed from others stay out of the boxes, so that they follow the next edit too.
    let given: Vec<&str> = match document.composition() {
        Some(parts) if follows_from_its_water(document, parts) => vec!["water"],
        _ => PARTS
            .into_iter()
            .filter(|part| document.typed.contains_key(*part))
            .collect(),
    };
    for field in fields::fields(sort) {
        let followed =
            PARTS.contains(&field.name) && !given.is_empty() && !given.contains(&field.name);
        if !followed {
            form.set(field.name, shown(document, field, units));
        }
    }
    form
}

/// Whether these are the parts of any honey with its water, none of them typed but that.
fn follows_from_its_water(document: &Document, parts: Composition) -> bool {
    let usual = Composition::of_usual_honey(parts.water);
    let mut others = PARTS.iter().skip(1);
    document.kind() == Kind::Honey
        && !others.any(|part| document.typed.contains_key(*part))
        && (parts.fermentable - usual.fermentable).abs() < 1e-9
}

/// What a field of a document says to a reader.
pub fn shown(document: &Document, field: &Field, units: Units) -> String {
    if field.says.is_text() {
        return document.text(field.name).to_owned();
    }
    let Some(value) = document.number(field.name) else {
        return String::new();
    };
    let same = |text: &&String| {
        read_number(field.says, text, units)
            .is_ok_and(|read| (read - value).abs() <= 1e-6 * value.abs().max(1e-6))
    };
    match document.typed.get(field.name).filter(same) {
        Some(typed) => typed.clone(),
        None => written(field.says, value, units),
    }
}

fn written(says: Says, value: f64, units: Units) -> String {
    match says {
        Says::Fraction => units::plain(value * 100.0, 4),
        Says::Dose => format!("{} g/L", units::plain(value, 4)),
        Says::Temperature => units::temperature_text(value, units),
        _ => units::plain(value, 4),
    }
}

/// What a field of a document says, for a list of changes: a choice in its words, a number with its unit.
pub fn told(document: &Document, field: &Field, units: Units) -> String {
    let text = shown(document, field, units);
    match field.says {
        _ if text.is_empty() => text,
        Says::Choice(choices) => {
            let known = choices.iter().find(|(value, _)| *value == text);
            known.map_or(text, |(_, words)| (*words).to_owned())
        }
        Says::Fraction | Says::Percent(..) if !text.contains('%') => format!("{text} %"),
        Says::Number(unit, ..) if !unit.is_empty() && !text.contains(unit) => {
            format!("{text} {unit}")
        }
        _ => text,
    }
}
