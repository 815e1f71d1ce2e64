//! What a judge does not taste, held against what is declared of an entry.

use super::declared::{Character, Declared};
use crate::engine::allergens;

impl Character {
    /// Its word in documents, and among what a judge does not taste.
    pub fn word(self) -> &'static str {
        match self {
            Character::Plain => "plain",
            Character::Fruit => "fruit",
            Character::Spice => "spice",
            Character::Pepper => "pepper",
        }
    }
}

/// Whether one of the judge's words forbids this glass: an allergen that is declared or that a name of what is in it gives
/// away, the kind of mead (`fruit`, `spice`, `pepper`), or a word that stands in its special ingredients. Upper and lower
/// case are one; an empty word forbids nothing. Rather one glass too many than one that harms.
pub fn forbids<S: AsRef<str>>(abstains: &[S], declared: &Declared) -> bool {
    if abstains.is_empty() {
        return false;
    }
    let said = format!("{}\n{}", declared.special, declared.note).to_lowercase();
    let given_away = allergens::of_words(&said);
    abstains.iter().any(|word| {
        let word = word.as_ref().trim().to_lowercase();
        let is_declared = || {
            declared
                .allergens
                .iter()
                .any(|one| one.trim().to_lowercase() == word)
        };
        !word.is_empty()
            && (declared.character.word() == word
                || is_declared()
                || given_away.contains(&word.as_str())
                || said.contains(&word))
    })
}
