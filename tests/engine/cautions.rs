//! Every caution code, from a recipe that earns it, and silence where it is not earned.

mod harm;
mod mead;

use std::collections::HashSet;

use mustwright::engine::problem::{CautionCode, Severity};
use mustwright::engine::recipe::*;

use crate::documents::*;

fn with(change: impl Fn(&mut Recipe)) -> Recipe {
    let mut recipe = traditional();
    change(&mut recipe);
    recipe
}

/// A caution, its weight, a recipe that earns it, and the same recipe mended so that it goes away.
type Case = (CautionCode, Severity, Recipe, Recipe);

/// The traditional with one ingredient more.
fn ingredient(item: Ingredient) -> Recipe {
    with(|r| r.ingredients.push(item.clone()))
}

fn named(name: &str, kind: Kind, when: When) -> Ingredient {
    let mut item = fruit(Amount::Kg(1.0));
    item.name = name.to_owned();
    item.kind = kind;
    item.when = when;
    item
}

fn cases() -> Vec<Case> {
    [first_cases(), harm::cases(), mead::cases()].concat()
}

fn first_cases() -> Vec<Case> {
    let plain = traditional;
    let strong = || with(|r| r.aim = Aim::Target(Target::Abv(13.0)));
    let vessel = |brim_l: f64| {
        with(move |r| {
            r.vessel = Some(Vessel {
                brim_l,
                ..Vessel::default()
            });
        })
    };
    let fed = |feed: Nutrient, level: FeedingLevel| {
        with(move |r| {
            r.nutrients = vec![feed.clone()];
            r.feeding = level;
            r.yeasts[0].nitrogen_need = NitrogenNeed::High;
        })
    };
    let share = |feed: Nutrient| Nutrient {
        share: Some(1.0),
        ..feed
    };
    vec![
        (
            CautionCode::LittleHeadroom,
            Severity::Watch,
            strong(),
            plain(),
        ),
        (
            CautionCode::MustBeStoppedByHand,
            Severity::Watch,
            with(|r| r.finish = Finish::ArrestTo(1.020)),
            with(|r| {
                r.finish = Finish::ArrestTo(1.020);
                r.yeasts = vec![yeast(12.4)];
            }),
        ),
        (
            CautionCode::EndsAtYeastLimit,
            Severity::Watch,
            amounts(20.0, vec![honey(Amount::Kg(8.0))]),
            strong(),
        ),
        (
            CautionCode::SecondaryCanFerment,
            Severity::Watch,
            ingredient(named("cherry", Kind::Fruit, When::Secondary)),
            ingredient(named("cherry", Kind::Fruit, When::Primary)),
        ),
        (
            CautionCode::AcidNotCounted,
            Severity::Note,
            ingredient(Ingredient {
                when: When::Ageing,
                ..pinch("acid blend", Kind::Acid, 1.0)
            }),
            ingredient(Ingredient {
                when: When::Ageing,
                ..pinch("oak", Kind::Wood, 1.0)
            }),
        ),
        (
            CautionCode::AcidBeforeFermenting,
            Severity::Watch,
            ingredient(pinch("acid blend", Kind::Acid, 1.0)),
            ingredient(Ingredient {
                when: When::Ageing,
                ..pinch("acid blend", Kind::Acid, 1.0)
            }),
        ),
        (
            CautionCode::MuchOrganicFeed,
            Severity::Note,
            fed(share(organic()), FeedingLevel::Full),
            fed(organic(), FeedingLevel::Full),
        ),
        (
            CautionCode::AmmoniumCeiling,
            Severity::Note,
            fed(share(dap()), FeedingLevel::Full),
            fed(dap(), FeedingLevel::Full),
        ),
        (
            CautionCode::FeedBeyond,
            Severity::Note,
            fed(dap(), FeedingLevel::Full),
            with(|r| {
                r.nutrients = vec![mixed(), dap()];
                r.yeasts[0].nitrogen_need = NitrogenNeed::Low;
            }),
        ),
        (
            CautionCode::NoFeed,
            Severity::Watch,
            plain(),
            fed(mixed(), FeedingLevel::Lean),
        ),
        (
            CautionCode::StirBeforeFeeding,
            Severity::Watch,
            fed(mixed(), FeedingLevel::Usual),
            with(|r| {
                // All at the pitch: there is no gas yet.
                r.aim = Aim::Target(Target::Abv(6.0));
                r.nutrients = vec![mixed()];
            }),
        ),
        (
            CautionCode::VeryStrongMust,
            Severity::Watch,
            with(|r| r.aim = Aim::Target(Target::Gravity(1.141))),
            with(|r| r.aim = Aim::Target(Target::Gravity(1.139))),
        ),
        (
            CautionCode::OutsideYeastTemperature,
            Severity::Watch,
            with(|r| {
                r.temperature_c = Some(24.0);
                r.yeasts[0].temperature_c = Some([14.0, 20.0]);
            }),
            with(|r| {
                r.temperature_c = Some(20.0);
                r.yeasts[0].temperature_c = Some([14.0, 20.0]);
            }),
        ),
        (
            CautionCode::VesselTooSmall,
            Severity::Watch,
            vessel(19.0),
            vessel(25.0),
        ),
        (
            CautionCode::FoamMayOverflow,
            Severity::Watch,
            vessel(21.0),
            vessel(23.6),
        ),
        (
            CautionCode::StabiliseBeforeBottling,
            Severity::Danger,
            with(|r| r.finish = Finish::SweetenTo(1.005)),
            plain(),
        ),
        (
            CautionCode::SweeteningUnused,
            Severity::Note,
            ingredient(Ingredient {
                when: When::Sweeten,
                ..honey(Amount::Share(1.0))
            }),
            with(|r| {
                r.ingredients.push(Ingredient {
                    when: When::Sweeten,
                    ..honey(Amount::Share(1.0))
                });
                r.finish = Finish::SweetenTo(1.010);
            }),
        ),
        (
            CautionCode::FillerAmountUnused,
            Severity::Note,
            with(|r| {
                r.ingredients.push(juice(Amount::Litres(3.0)));
                r.filler = Some("apple juice".to_owned());
            }),
            with(|r| {
                r.ingredients.push(juice(Amount::Litres(0.0)));
                r.filler = Some("apple juice".to_owned());
            }),
        ),
        (
            CautionCode::HotPepper,
            Severity::Danger,
            ingredient(pinch("Habanero pepper", Kind::Spice, 1.0)),
            ingredient(pinch("Black pepper", Kind::Spice, 1.0)),
        ),
        (
            CautionCode::FruitStones,
            Severity::Danger,
            ingredient(named("Sour cherry", Kind::Fruit, When::Primary)),
            ingredient(named("Sour cherry", Kind::Juice, When::Primary)),
        ),
        (
            CautionCode::RawElderberry,
            Severity::Danger,
            ingredient(named("Elderberries", Kind::Fruit, When::Primary)),
            ingredient(named("Strawberry", Kind::Fruit, When::Primary)),
        ),
        (
            CautionCode::HotHoney,
            Severity::Danger,
            with(|r| r.ingredients[0].name = "Browned honey".to_owned()),
            plain(),
        ),
        (
            CautionCode::CarbonDioxide,
            Severity::Danger,
            plain(),
            with(|r| r.volume_l = Some(4.5)),
        ),
    ]
}

#[test]
fn each_caution_is_given_where_it_is_due_and_only_there() {
    for (code, severity, due, mended) in cases() {
        let numbers = sound(&due);
        let found = numbers.cautions.iter().find(|caution| caution.code == code);
        let found = found.unwrap_or_else(|| panic!("{code:?} missing: {:?}", numbers.cautions));
        assert_eq!(found.severity, severity, "{code:?}");
        let codes = caution_codes(&sound(&mended));
        assert!(!codes.contains(&code), "{code:?} not mended");
    }
}

#[test]
fn every_code_can_happen() {
    let seen: HashSet<CautionCode> = cases().iter().map(|case| case.0).collect();
    let calculated = crate::finishing::cautions_of_calculations();
    for code in CautionCode::ALL {
        let known = seen.contains(code) || calculated.contains(code.as_str());
        assert!(known, "{}", code.as_str());
    }
}

#[test]
fn the_weightiest_come_first() {
    let mut recipe = traditional();
    recipe.finish = Finish::SweetenTo(1.010);
    recipe
        .ingredients
        .push(pinch("acid blend", Kind::Acid, 1.0));
    let numbers = sound(&recipe);
    let weights: Vec<Severity> = numbers.cautions.iter().map(|c| c.severity).collect();
    assert!(weights.is_sorted_by(|a, b| a >= b), "{weights:?}");
    assert_eq!(weights.first(), Some(&Severity::Danger));
    assert_eq!(weights.last(), Some(&Severity::Note));
}
