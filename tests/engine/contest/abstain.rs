//! What a judge does not taste is kept from them.

use mustwright::engine::contest::abstain::forbids;
use mustwright::engine::contest::declared::{Character, Declared};

fn declared(allergens: &[&str], special: &str, character: Character) -> Declared {
    Declared {
        allergens: allergens.iter().map(|one| (*one).to_owned()).collect(),
        special: special.to_owned(),
        character,
        ..Declared::default()
    }
}

#[test]
fn an_allergen_counts_declared_or_given_away_by_a_name() {
    let nuts = declared(&["nuts"], "", Character::Plain);
    let almond = declared(&[], "Toasted Almond", Character::Plain);
    let plain = declared(&["milk"], "heather honey", Character::Plain);
    assert!(forbids(&["nuts"], &nuts));
    assert!(forbids(&[" Nuts "], &nuts));
    assert!(forbids(&["nuts"], &almond));
    assert!(!forbids(&["nuts"], &plain));
    assert!(forbids(&["egg", "milk"], &plain));
}

#[test]
fn a_kind_and_a_word_of_the_ingredients_count_too() {
    let chili = declared(&[], "smoked chili", Character::Pepper);
    assert!(forbids(&["pepper"], &chili));
    assert!(forbids(&["chili"], &chili));
    assert!(!forbids(&["fruit"], &chili));
    let note = Declared {
        note: "aged on walnut shells".to_owned(),
        ..Declared::default()
    };
    assert!(forbids(&["walnut"], &note));
}

#[test]
fn nothing_said_forbids_nothing() {
    let all = declared(&["nuts", "milk"], "almond", Character::Pepper);
    assert!(!forbids::<&str>(&[], &all));
    assert!(!forbids(&["", "  "], &all));
    assert!(!forbids(&["nuts"], &Declared::default()));
}
