//! The form of an entry: from text to what is said of it, and back.

use super::model::{Mine, NAME_MAX, NOTE_MAX, SPECIAL_MAX, Said};
use crate::competitions::model::Category;
use crate::engine::allergens;
use crate::engine::contest::declared::{Character, Declared, Sparkle, Sweetness};
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::typed::Typed;
use crate::web::units::{parse_percent, plain};
use crate::web::viewer::MemberId;
use crate::web::words::reason;

/// Fields with their labels, by which two texts of an entry are compared.
pub const FIELDS: &[(&str, &str)] = &[
    ("name", "What you call it"),
    ("category", "Category"),
    ("abv", "Strength"),
    ("sweetness", "Sweetness"),
    ("sparkle", "Sparkle"),
    ("character", "What is in it besides honey"),
    ("special", "Special ingredients"),
    ("allergens", "What some people react badly to"),
    ("note", "What else judges may read"),
    ("together_1", "Made together with"),
    ("together_2", "Made together with, second"),
    ("together_3", "Made together with, third"),
];

/// The fields of those who made it together.
pub const TOGETHER: [&str; 3] = ["together_1", "together_2", "together_3"];

/// Choices as they are read, from one end to the other.
pub const SWEETNESS: &[(&str, &str)] = &[
    ("dry", "dry"),
    ("semi_sweet", "semi-sweet"),
    ("sweet", "sweet"),
];
pub const SPARKLE: &[(&str, &str)] = &[
    ("still", "still"),
    ("lightly", "lightly sparkling"),
    ("sparkling", "sparkling"),
];
pub const CHARACTER: &[(&str, &str)] = &[
    ("plain", "honey alone"),
    ("fruit", "fruit"),
    (
        "spice",
        "spice, herbs, flowers or wood, with fruit or without",
    ),
    ("pepper", "hot pepper"),
];

/// The word of a choice, and back.
pub fn sweetness_word(sweetness: Sweetness) -> &'static str {
    match sweetness {
        Sweetness::Dry => "dry",
        Sweetness::SemiSweet => "semi_sweet",
        Sweetness::Sweet => "sweet",
    }
}

/// The word of a choice.
pub fn sparkle_word(sparkle: Sparkle) -> &'static str {
    match sparkle {
        Sparkle::Still => "still",
        Sparkle::Lightly => "lightly",
        Sparkle::Sparkling => "sparkling",
    }
}

fn sweetness(word: &str) -> Option<Sweetness> {
    let all = [Sweetness::Dry, Sweetness::SemiSweet, Sweetness::Sweet];
    all.into_iter().find(|one| sweetness_word(*one) == word)
}

fn sparkle(word: &str) -> Option<Sparkle> {
    let all = [Sparkle::Still, Sparkle::Lightly, Sparkle::Sparkling];
    all.into_iter().find(|one| sparkle_word(*one) == word)
}

fn character(word: &str) -> Option<Character> {
    let all = [
        Character::Plain,
        Character::Fruit,
        Character::Spice,
        Character::Pepper,
    ];
    all.into_iter().find(|one| one.word() == word)
}

/// A member who may have made it too: id, public id, name.
pub type Other = (MemberId, String, String);

/// What a form is read against.
pub struct Against<'a> {
    pub categories: &'a [Category],
    pub others: &'a [Other],
}

/// Reads an entry.
///
/// # Errors
/// When a field came twice.
pub fn read(posted: &Posted, against: &Against<'_>) -> Result<Result<Said, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let why = "Write what you call it: your own word, which judges never read.";
    let name = typed.wanted("name", NAME_MAX, why)?;
    let chosen = typed.text("category")?;
    let category = against
        .categories
        .iter()
        .find(|one| one.id.0.to_string() == chosen)
        .map(|one| one.id);
    if category.is_none() {
        typed.form.refuse("category", "Choose a category.");
    }
    let abv_percent = typed.read("abv", |text| parse_percent(text, 0.0, 25.0))?;
    if typed.text("abv")?.is_empty() {
        let why = "Write how strong it is, in per cent, such as 12.5.";
        typed.form.refuse("abv", why);
    }
    let sweetness = chosen_of(&mut typed, "sweetness", "how sweet it is", sweetness)?;
    let sparkle = chosen_of(&mut typed, "sparkle", "how much it sparkles", sparkle)?;
    let what = "what is in it besides honey";
    let character = chosen_of(&mut typed, "character", what, character)?;
    let special = typed.line("special", SPECIAL_MAX)?;
    let allergens = allergens_of(&mut typed)?;
    let note = typed.lines("note", NOTE_MAX)?;
    let together = together(&mut typed, against.others)?;
    let batch = posted.one("batch")?.parse::<PublicId>().ok();
    Ok(match (category, abv_percent) {
        (Some(category), Some(abv_percent)) if typed.form.is_sound() => Ok(Said {
            category,
            declared: Declared {
                abv_percent,
                sweetness: sweetness.unwrap_or_default(),
                sparkle: sparkle.unwrap_or_default(),
                character: character.unwrap_or_default(),
                special,
                allergens,
                note,
            },
            name,
            batch,
            together,
        }),
        _ => Err(typed.form),
    })
}

fn chosen_of<T>(
    typed: &mut Typed<'_>,
    field: &str,
    what: &str,
    read: impl Fn(&str) -> Option<T>,
) -> Result<Option<T>, Error> {
    let chosen = read(typed.text(field)?);
    if chosen.is_none() {
        typed.form.refuse(field, format!("Choose {what}."));
    }
    Ok(chosen)
}

/// Boxes that were ticked, and what was typed besides, separated by commas.
fn allergens_of(typed: &mut Typed<'_>) -> Result<Vec<String>, Error> {
    let mut found: Vec<String> = Vec::new();
    for code in allergens::codes() {
        if !typed.text(&box_of(code))?.is_empty() {
            found.push(code.to_owned());
        }
    }
    let others = typed.line("allergens", SPECIAL_MAX)?;
    for other in others.split(',').map(str::trim) {
        if !other.is_empty() && !found.iter().any(|known| known == other) {
            found.push(other.to_owned());
        }
    }
    Ok(found)
}

/// How an allergen reads: a code of the engine in words, whatever else as it was typed.
pub fn allergen_words(one: &str) -> &str {
    match allergens::codes().find(|code| *code == one) {
        Some(code) => reason(code).unwrap_or(code),
        None => one,
    }
}

/// The field of an allergen's box.
pub fn box_of(code: &str) -> String {
    format!("allergen_{code}")
}

fn together(typed: &mut Typed<'_>, others: &[Other]) -> Result<Vec<MemberId>, Error> {
    let mut found = Vec::new();
    for field in TOGETHER {
        let chosen = typed.text(field)?;
        if chosen.is_empty() {
            continue;
        }
        match others.iter().find(|(_, id, _)| id == chosen) {
            None => typed.form.refuse(field, "Choose one of the list."),
            Some((id, ..)) if found.contains(id) => {
                typed.form.refuse(field, "This member is chosen already.");
            }
            Some((id, ..)) => found.push(*id),
        }
    }
    Ok(found)
}

/// The form that holds what is declared.
pub fn fill(form: &mut FormState, declared: &Declared) {
    form.set("abv", plain(declared.abv_percent, 1));
    form.set("sweetness", sweetness_word(declared.sweetness));
    form.set("sparkle", sparkle_word(declared.sparkle));
    form.set("character", declared.character.word());
    form.set("special", declared.special.clone());
    form.set("note", declared.note.clone());
    let is_code = |one: &&String| allergens::codes().any(|code| code == one.as_str());
    let (codes, others): (Vec<&String>, Vec<&String>) =
        declared.allergens.iter().partition(is_code);
    for code in codes {
        form.set(&box_of(code), "yes");
    }
    let others: Vec<&str> = others.into_iter().map(String::as_str).collect();
    form.set("allergens", others.join(", "));
}

/// The form that holds an entry.
pub fn filled(mine: &Mine, others: &[Other]) -> FormState {
    let mut form = FormState::new();
    form.set("name", mine.name.clone());
    form.set("category", mine.entry.category.0.to_string());
    if let Some(batch) = &mine.batch {
        form.set("batch", batch.as_str());
    }
    fill(&mut form, &mine.entry.declared);
    let ids = mine.together.iter().filter_map(|(member, _)| {
        let other = others.iter().find(|(id, ..)| id == member)?;
        Some(other.1.clone())
    });
    for (field, id) in TOGETHER.into_iter().zip(ids) {
        form.set(field, id);
    }
    form
}
