//! The order of pouring: no glass spoils the next.

use std::cmp::Ordering;

use mustwright::engine::contest::declared::{Character, Sweetness};
use mustwright::engine::contest::order::{Poured, Strength, compare, order};
use proptest::prelude::*;

use super::any::{a_character, a_sweetness};

fn glass(sweetness: Sweetness, abv: f64, character: Character) -> Poured {
    Poured {
        sweetness: Some(sweetness),
        abv_percent: Some(abv),
        character,
    }
}

fn any_glass() -> impl Strategy<Value = Poured> {
    let abv = prop_oneof![
        Just(None),
        Just(Some(f64::NAN)),
        (0.0..25.0f64).prop_map(Some)
    ];
    (proptest::option::of(a_sweetness()), abv, a_character()).prop_map(
        |(sweetness, abv_percent, character)| Poured {
            sweetness,
            abv_percent,
            character,
        },
    )
}

#[test]
fn dry_before_sweet_light_before_strong_plain_before_fruit_before_spice_before_pepper() {
    use Character::{Fruit, Pepper, Plain, Spice};
    use Sweetness::{Dry, SemiSweet, Sweet};
    let wanted = [
        glass(Dry, 5.0, Plain),
        glass(Dry, 11.0, Plain),
        glass(Dry, 12.5, Plain),
        glass(Dry, 9.0, Fruit),
        glass(Dry, 9.0, Spice),
        glass(Dry, 14.0, Plain),
        glass(SemiSweet, 6.0, Spice),
        glass(SemiSweet, 12.0, Fruit),
        glass(Sweet, 8.0, Plain),
        glass(Sweet, 16.0, Fruit),
        // What burns stays: it comes behind everything that does not.
        glass(Dry, 9.0, Pepper),
        glass(Sweet, 14.0, Pepper),
    ];
    for shift in 0..wanted.len() {
        let mut mixed = wanted;
        mixed.rotate_left(shift);
        mixed.reverse();
        let poured: Vec<Poured> = order(&mixed).into_iter().map(|at| mixed[at]).collect();
        assert_eq!(poured, wanted, "from {shift}");
    }
}

#[test]
fn strength_goes_by_steps() {
    for (abv, step) in [
        (0.0, Strength::Light),
        (7.4, Strength::Light),
        (7.5, Strength::Usual),
        (13.9, Strength::Usual),
        (14.0, Strength::Strong),
    ] {
        assert_eq!(Strength::of(abv), step, "{abv}");
    }
}

proptest! {
    #[test]
    fn it_is_a_total_order(one in any_glass(), two in any_glass(), three in any_glass()) {
        prop_assert_eq!(compare(&one, &two), compare(&two, &one).reverse());
        prop_assert_eq!(compare(&one, &one), Ordering::Equal);
        if compare(&one, &two) != Ordering::Greater && compare(&two, &three) != Ordering::Greater {
            prop_assert_ne!(compare(&one, &three), Ordering::Greater);
        }
    }

    /// Whatever the list, no glass stands before one that is milder in everything that counts.
    #[test]
    fn nothing_milder_comes_later(glasses in proptest::collection::vec(any_glass(), 0..12)) {
        let poured: Vec<Poured> = order(&glasses).into_iter().map(|at| glasses[at]).collect();
        prop_assert_eq!(poured.len(), glasses.len());
        for (at, first) in poured.iter().enumerate() {
            for later in &poured[at + 1..] {
                if let (Some(a), Some(b), Some(x), Some(y)) =
                    (first.sweetness, later.sweetness, first.abv_percent, later.abv_percent)
                    && !x.is_nan() && !y.is_nan()
                {
                    let harsher = a > b && x > y && first.character > later.character;
                    prop_assert!(!harsher, "{first:?} before {later:?}");
                    if first.character == Character::Pepper {
                        prop_assert_eq!(later.character, Character::Pepper);
                    }
                }
            }
        }
    }
}
