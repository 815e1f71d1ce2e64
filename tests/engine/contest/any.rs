//! Whatever can be declared of an entry.

use mustwright::engine::contest::declared::{Character, Declared, Sweetness};
use proptest::prelude::*;

pub fn a_sweetness() -> impl Strategy<Value = Sweetness> {
    prop_oneof![
        Just(Sweetness::Dry),
        Just(Sweetness::SemiSweet),
        Just(Sweetness::Sweet)
    ]
}

pub fn a_character() -> impl Strategy<Value = Character> {
    prop_oneof![
        Just(Character::Plain),
        Just(Character::Fruit),
        Just(Character::Spice),
        Just(Character::Pepper)
    ]
}

pub fn a_declared() -> impl Strategy<Value = Declared> {
    (0.0..20.0f64, a_sweetness(), a_character()).prop_map(|(abv_percent, sweetness, character)| {
        Declared {
            abv_percent,
            sweetness,
            character,
            ..Declared::default()
        }
    })
}
