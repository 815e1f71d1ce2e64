//! What is declared of an entry, in words.

use crate::engine::contest::declared::{Character, Declared, Sparkle, Sweetness};
use crate::web::units;

/// How sweet.
pub fn sweetness(sweetness: Sweetness) -> &'static str {
    match sweetness {
        Sweetness::Dry => "dry",
        Sweetness::SemiSweet => "semi-sweet",
        Sweetness::Sweet => "sweet",
    }
}

/// How much gas.
pub fn sparkle(sparkle: Sparkle) -> &'static str {
    match sparkle {
        Sparkle::Still => "still",
        Sparkle::Lightly => "lightly sparkling",
        Sparkle::Sparkling => "sparkling",
    }
}

/// What is in it besides honey.
pub fn character(character: Character) -> &'static str {
    match character {
        Character::Plain => "plain",
        Character::Fruit => "with fruit",
        Character::Spice => "with spice",
        Character::Pepper => "with hot pepper",
    }
}

/// In one line: "12.5 %, semi-sweet, still, with fruit".
pub fn declared(declared: &Declared) -> String {
    format!(
        "{} %, {}, {}, {}",
        units::plain(declared.abv_percent, 1),
        sweetness(declared.sweetness),
        sparkle(declared.sparkle),
        character(declared.character)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_line_says_all_of_it() {
        let entry = Declared {
            abv_percent: 12.0,
            sweetness: Sweetness::SemiSweet,
            sparkle: Sparkle::Lightly,
            character: Character::Fruit,
            ..Declared::default()
        };
        assert_eq!(
            declared(&entry),
            "12 %, semi-sweet, lightly sparkling, with fruit"
        );
    }
}
