//! Sweetening three ways: each reaches what it was asked, dilutes, and stops short first.

use mustwright::engine::balance::Liquid;
use mustwright::engine::finish::sweetness::{
    Cannot, Mead, Sweetener, Target, as_sweet_as_sugar, sweeten,
};
use proptest::prelude::*;

use super::mead;
use crate::calculations::numbers;
use crate::support::close;

fn honey() -> Sweetener {
    Sweetener {
        per_kg: Liquid {
            water_kg: 0.18,
            sugar_kg: 0.73,
            extract_kg: 0.09,
            ethanol_kg: 0.0,
        },
        acid_g_per_kg: 5.0,
        sweet_kg_per_kg: 0.73,
    }
}

fn stevia() -> Sweetener {
    Sweetener {
        per_kg: Liquid {
            extract_kg: 1.0,
            ..Liquid::default()
        },
        acid_g_per_kg: 0.0,
        sweet_kg_per_kg: as_sweet_as_sugar("stevia").expect("it is known"),
    }
}

fn dry() -> Mead {
    Mead {
        liquid: mead(20.0, 0.998, 12.5, 1.0),
        acid_g: Some(20.0 * 5.5),
    }
}

#[test]
fn to_a_gravity_it_is_what_the_single_calculation_says() {
    let found = sweeten(&dry(), &honey(), Target::Gravity(1.012)).expect("an amount");
    let input = r#"{"litres": 20, "fg": 0.998, "abv_percent": 12.5, "target_sg": 1.012,
        "composition": {"water": 0.18, "fermentable": 0.73, "unfermentable": 0.09, "insoluble": 0},
        "residual_sugar_g_per_l": 1}"#;
    let answer = numbers("sweeten", input);
    for (key, is) in [
        ("kg", found.kg),
        ("litres", found.state.volume_l),
        ("sg", found.state.sg),
        ("abv_percent", found.state.abv_percent),
        ("sugar_g_per_l", found.sweet_g_per_l),
    ] {
        close(is, answer[key], 1e-9, key);
    }
    assert!(found.state.abv_percent < 12.5, "it is diluted");
    close(found.first_sg, 1.012 - 0.0025, 1e-9, "a little short first");
    assert!(found.first_kg < found.kg);
}

#[test]
fn what_cannot_be_is_told() {
    let mead = dry();
    let of = |sweetener: &Sweetener, target| sweeten(&mead, sweetener, target).err();
    assert_eq!(
        of(&honey(), Target::Gravity(0.990)),
        Some(Cannot::ThereAlready)
    );
    assert_eq!(of(&honey(), Target::Sugar(0.5)), Some(Cannot::ThereAlready));
    assert_eq!(
        of(&honey(), Target::SugarToAcid(0.1)),
        Some(Cannot::ThereAlready)
    );
    assert_eq!(
        of(&stevia(), Target::Gravity(1.012)),
        Some(Cannot::NotByGravity)
    );
    let thin = Sweetener {
        per_kg: Liquid {
            water_kg: 0.9,
            sugar_kg: 0.1,
            ..Liquid::default()
        },
        acid_g_per_kg: 30.0,
        sweet_kg_per_kg: 0.1,
    };
    assert_eq!(of(&thin, Target::Sugar(200.0)), Some(Cannot::TooWeak));
    assert_eq!(
        of(&thin, Target::SugarToAcid(5.0)),
        Some(Cannot::TooWeak),
        "more acid than sugar joins"
    );
    assert_eq!(of(&thin, Target::Gravity(1.08)), Some(Cannot::TooWeak));
    let unknown = Mead {
        acid_g: None,
        ..mead
    };
    let found = sweeten(&unknown, &honey(), Target::SugarToAcid(4.0));
    assert_eq!(found.err(), Some(Cannot::AcidUnknown));
}

#[test]
fn what_is_sweet_without_weight_moves_no_gravity() {
    let found = sweeten(&dry(), &stevia(), Target::Sugar(35.0)).expect("an amount");
    close(
        found.kg,
        20.0 * 0.034 / 250.0,
        1e-5,
        "34 g/L more than there is",
    );
    close(found.state.sg, 0.998, 1e-4, "gravity");
    close(
        found.first_kg,
        0.75 * found.kg,
        1e-12,
        "three quarters first",
    );
}

proptest! {
    #[test]
    fn each_way_reaches_its_target(
        litres in 0.5_f64..500.0,
        sg in 0.996_f64..1.01,
        abv in 5.0_f64..16.0,
        acid in 2.0_f64..9.0,
        sugar in 15.0_f64..150.0,
        ratio in 3.0_f64..30.0,
    ) {
        let mead = Mead { liquid: mead(litres, sg, abv, 1.0), acid_g: Some(acid * litres) };
        let by_sugar = sweeten(&mead, &honey(), Target::Sugar(sugar)).expect("an amount");
        close(by_sugar.sweet_g_per_l, sugar, 1e-6, "sugar");
        let by_acid = sweeten(&mead, &honey(), Target::SugarToAcid(ratio)).expect("an amount");
        let acid = by_acid.acid_g_per_l.expect("acid");
        close(by_acid.sweet_g_per_l / acid, ratio, 1e-6, "ratio");
        for found in [by_sugar, by_acid] {
            prop_assert!(found.first_kg <= found.kg && found.first_kg >= 0.0);
            prop_assert!(found.first_sg <= found.state.sg + 1e-12);
            prop_assert!(found.state.abv_percent < abv);
            // Ethanol neither joins nor leaves.
            let ethanol = found.state.abv_percent * found.state.volume_l;
            close(ethanol, abv * litres, 1e-6 * litres, "ethanol");
            // Asked by the gravity that came out, it is the same amount.
            let again = sweeten(&mead, &honey(), Target::Gravity(found.state.sg)).expect("an amount");
            close(again.kg, found.kg, 1e-6 * (1.0 + found.kg), "the same by gravity");
        }
    }
}
