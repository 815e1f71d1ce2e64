//! Every problem code, from a document that has just that fault.

use std::collections::HashSet;

use mustwright::engine::problem::{Problem, ProblemCode};
use mustwright::engine::reading::{ReadError, read};
use mustwright::engine::recipe::*;
use mustwright::engine::{Settings, formulate_text};

use crate::documents::*;
use crate::support::close;

/// A recipe and the one problem it should have: code and place.
fn cases() -> Vec<(Recipe, ProblemCode, &'static str)> {
    let with = |change: &dyn Fn(&mut Recipe)| {
        let mut recipe = traditional();
        change(&mut recipe);
        recipe
    };
    let strong = |recipe: &mut Recipe| recipe.ingredients.push(juice(Amount::Kg(1.0)));
    vec![
        (
            with(&|r| r.volume_l = None),
            ProblemCode::Missing,
            "/volume_l",
        ),
        (
            with(&|r| r.volume_l = Some(0.0)),
            ProblemCode::OutOfRange,
            "/volume_l",
        ),
        (
            with(&|r| r.yeasts.clear()),
            ProblemCode::YeastMissing,
            "/yeasts",
        ),
        (
            with(&|r| {
                r.yeasts = vec![Yeast {
                    when: YeastWhen::Bottle,
                    ..yeast(12.0)
                }]
            }),
            ProblemCode::YeastMissing,
            "/yeasts",
        ),
        (
            with(&|r| r.yeasts[0].temperature_c = Some([25.0, 15.0])),
            ProblemCode::RangeReversed,
            "/yeasts/0/temperature_c",
        ),
        (
            with(&|r| {
                strong(r);
                r.ingredients[1].composition = Some(parts(0.5, 0.4, 0.05, 0.0));
            }),
            ProblemCode::CompositionSum,
            "/ingredients/1/composition",
        ),
        (
            with(&|r| {
                strong(r);
                r.ingredients[1].composition = None;
            }),
            ProblemCode::CompositionNeeded,
            "/ingredients/1/composition",
        ),
        (
            with(&|r| r.ingredients.push(fruit(Amount::Litres(2.0)))),
            ProblemCode::DensityNeeded,
            "/ingredients/1/amount",
        ),
        (
            with(&|r| r.ingredients[0].amount = Some(Amount::Share(0.0))),
            ProblemCode::SharesAllZero,
            "/ingredients",
        ),
        (
            with(&|r| {
                let mut sweet = honey(Amount::Share(0.0));
                sweet.when = When::Sweeten;
                r.ingredients.push(sweet);
            }),
            ProblemCode::SharesAllZero,
            "/ingredients",
        ),
        (
            with(&|r| {
                let syrup = parts(0.2, 0.0, 0.8, 0.0);
                r.ingredients
                    .push(item("gum", Kind::Other, Amount::Share(1.0), syrup));
            }),
            ProblemCode::ShareWithoutSugar,
            "/ingredients/1/amount",
        ),
        (
            with(&|r| r.aim = Aim::Amounts),
            ProblemCode::ShareWithFixedAmounts,
            "/ingredients/0/amount",
        ),
        (
            with(&|r| {
                let mut late = honey(Amount::Share(1.0));
                late.when = When::Secondary;
                r.ingredients.push(late);
            }),
            ProblemCode::ShareWithFixedAmounts,
            "/ingredients/1/amount",
        ),
        (
            with(&|r| r.ingredients[0].amount = Some(Amount::Kg(5.0))),
            ProblemCode::NothingToSolve,
            "/ingredients",
        ),
        (
            with(&|r| r.filler = Some("birch sap".to_owned())),
            ProblemCode::FillerUnknown,
            "/filler",
        ),
        (
            with(&|r| {
                let mut other = honey(Amount::Share(1.0));
                other.name = "other honey".to_owned();
                other.amount = None;
                r.ingredients.push(other);
                r.filler = Some("other honey".to_owned());
            }),
            ProblemCode::FillerTooStrong,
            "/filler",
        ),
        (
            with(&|r| r.ingredients.push(juice(Amount::Kg(60.0)))),
            ProblemCode::HoneyNegative,
            "/aim",
        ),
        (
            // What joins later makes more by itself than the aim asks for.
            with(&|r| {
                let mut late = honey(Amount::Kg(4.0));
                late.when = When::Secondary;
                r.ingredients.push(late);
                r.aim = Aim::Target(Target::Abv(2.0));
            }),
            ProblemCode::HoneyNegative,
            "/aim",
        ),
        (
            with(&|r| {
                r.ingredients.push(fruit(Amount::Kg(30.0)));
            }),
            ProblemCode::NoRoomForWater,
            "/aim",
        ),
        (
            amounts(2.0, vec![honey(Amount::Kg(5.0))]),
            ProblemCode::NoRoomForWater,
            "/volume_l",
        ),
        (
            with(&|r| r.aim = Aim::Target(Target::Gravity(1.46))),
            ProblemCode::GravityOutOfReach,
            "/aim/gravity_sg",
        ),
        (
            with(&|r| {
                // So much sugar per litre that no volume is as weak as the aim.
                r.aim = Aim::UseHoney {
                    kg: 3.0,
                    target: Target::Gravity(1.050),
                };
                let sugar = item(
                    "sugar",
                    Kind::Sugar,
                    Amount::GramsPerLitre(300.0),
                    parts(0.0, 1.0, 0.0, 0.0),
                );
                r.ingredients.push(sugar);
            }),
            ProblemCode::VolumeOutOfReach,
            "/aim",
        ),
        (
            with(&|r| r.aim = Aim::Target(Target::Abv(14.5))),
            ProblemCode::YeastCannotReach,
            "/aim/abv_percent",
        ),
        (
            with(&|r| r.finish = Finish::SweetenTo(0.990)),
            ProblemCode::AlreadySweeter,
            "/finish/sweeten_to_sg",
        ),
        (
            {
                let sugar = item(
                    "sugar",
                    Kind::Sugar,
                    Amount::Kg(4.0),
                    parts(0.0, 1.0, 0.0, 0.0),
                );
                let mut recipe = amounts(20.0, vec![sugar]);
                recipe.finish = Finish::SweetenTo(1.010);
                recipe
            },
            ProblemCode::NothingToSweetenWith,
            "/finish",
        ),
        (
            with(&|r| {
                let mut weak = juice(Amount::Share(1.0));
                weak.when = When::Sweeten;
                r.ingredients.push(weak);
                r.finish = Finish::SweetenTo(1.060);
            }),
            ProblemCode::SweetenerTooWeak,
            "/finish/sweeten_to_sg",
        ),
        (
            with(&|r| {
                r.aim = Aim::Target(Target::Gravity(1.090));
                r.finish = Finish::ArrestTo(1.010);
            }),
            ProblemCode::FinishOverdetermined,
            "/finish/arrest_to_sg",
        ),
        (
            {
                let mut recipe = amounts(20.0, vec![honey(Amount::Kg(5.0))]);
                recipe.finish = Finish::ArrestTo(0.980);
                recipe
            },
            ProblemCode::ArrestOutOfReach,
            "/finish/arrest_to_sg",
        ),
        (
            {
                let mut sugar = item(
                    "sugar",
                    Kind::Sugar,
                    Amount::Kg(500.0),
                    parts(0.0, 1.0, 0.0, 0.0),
                );
                sugar.when = When::Sweeten;
                amounts(1.0, vec![honey(Amount::Kg(0.3)), sugar])
            },
            ProblemCode::OutsideTheModel,
            "/ingredients",
        ),
    ]
}

/// Documents whose fault is in their text.
const TEXTS: &[(&str, ProblemCode, &str)] = &[
    (r#""colour":"red""#, ProblemCode::UnknownKey, "/colour"),
    (
        r#""title":"a","title":"b""#,
        ProblemCode::DuplicateKey,
        "/title",
    ),
    (r#""title":5"#, ProblemCode::WrongKind, "/title"),
    (r#""feeding":"much""#, ProblemCode::UnknownWord, "/feeding"),
    (
        r#""vessel":{"brim_l":5},"vessel":null,"filler":null"#,
        ProblemCode::DuplicateKey,
        "/vessel",
    ),
];

fn document(more: &str) -> String {
    format!(
        r#"{{"version":1,"volume_l":5,"aim":{{"amounts":true}},"finish":{{"dry":true}},
        "yeasts":[{{"name":"y","tolerance_abv_percent":14,"nitrogen_need":"low"}}],{more}}}"#
    )
}

#[test]
fn each_fault_is_named_and_placed_and_alone() {
    for (recipe, code, path) in cases() {
        let numbers = numbers(&recipe);
        let found: Vec<(ProblemCode, &str)> = numbers
            .problems
            .iter()
            .map(|problem: &Problem| (problem.code, problem.path.as_str()))
            .collect();
        assert_eq!(found, [(code, path)], "{recipe:?}");
        // The same through the text.
        let again = formulate_text(&text(&recipe), &Settings::default()).expect("JSON");
        assert_eq!(again, numbers);
    }
    for (more, code, path) in TEXTS {
        match read(&document(more)) {
            Err(ReadError::Problems(problems)) => {
                let [problem] = problems.as_slice() else {
                    panic!("{more}: {problems:?}");
                };
                assert_eq!((problem.code, problem.path.as_str()), (*code, *path));
            }
            other => panic!("{more}: {other:?}"),
        }
    }
}

#[test]
fn every_code_can_happen() {
    let mut seen: HashSet<ProblemCode> = cases().iter().map(|(_, code, _)| *code).collect();
    seen.extend(TEXTS.iter().map(|(_, code, _)| *code));
    // Shown in the tests of reading and of calculations.
    seen.extend([
        ProblemCode::VersionUnknown,
        ProblemCode::OneOf,
        ProblemCode::ImpossibleGravities,
        ProblemCode::AboveEveryLimit,
        ProblemCode::WrongDirection,
        ProblemCode::AlreadyFizzier,
        ProblemCode::NoBottleHolds,
    ]);
    for code in ProblemCode::ALL {
        assert!(seen.contains(code), "{}", code.as_str());
    }
}

#[test]
fn an_aim_out_of_reach_says_what_is_wanted_and_what_can_be() {
    let mut recipe = traditional();
    recipe.aim = Aim::Target(Target::Abv(16.0));
    recipe.style = Some("traditional".to_owned());
    recipe.temperature_c = Some(30.0);
    recipe.yeasts[0].temperature_c = Some([14.0, 20.0]);
    recipe.ingredients.push(pinch("oak chips", Kind::Wood, 2.0));
    let numbers = numbers(&recipe);
    let [problem] = numbers.problems.as_slice() else {
        panic!("{:?}", numbers.problems);
    };
    assert_eq!(problem.arguments.number("wanted"), Some(16.0));
    let reachable = problem.arguments.number("reachable").expect("a number");
    close(reachable, 14.0, 1e-6, "the yeast's limit");
    // What depends on the aim is null …
    assert!(numbers.must.is_none() && numbers.whole.is_none() && numbers.finished.is_none());
    assert!(numbers.limits.is_none() && numbers.ladder.is_none() && numbers.feeding.is_none());
    assert!(numbers.pitching.is_none() && numbers.vessel.is_none() && numbers.package.is_none());
    let [honey, oak] = numbers.ingredients.as_slice() else {
        panic!("{:?}", numbers.ingredients);
    };
    assert_eq!(honey.kg, None);
    // … and the rest stays.
    assert_eq!(oak.kg, Some(0.04));
    let style = numbers.style.as_ref().expect("the maker's word");
    assert_eq!(style.family.value.as_deref(), Some("traditional"));
    assert_eq!(style.strength.value, None);
    assert_eq!(numbers.cautions.len(), 1, "too warm for the yeast");
    // A finish that dilutes brings the reachable strength down.
    recipe.finish = Finish::SweetenTo(1.010);
    let mut tea = juice(Amount::Litres(5.0));
    tea.when = When::Secondary;
    recipe.ingredients.push(tea);
    let reachable = crate::documents::numbers(&recipe).problems[0]
        .arguments
        .number("reachable");
    assert!(
        reachable.is_some_and(|abv| (9.0..13.0).contains(&abv)),
        "{reachable:?}"
    );
}

#[test]
fn a_negative_amount_is_explained_in_numbers() {
    let mut recipe = traditional();
    recipe.ingredients.push(juice(Amount::Kg(60.0)));
    let honey_kg = numbers(&recipe).problems[0].arguments.number("honey_kg");
    assert!(honey_kg.is_some_and(|kg| kg < -0.5), "{honey_kg:?}");

    let recipe = amounts(2.0, vec![honey(Amount::Kg(5.0))]);
    let problem = &numbers(&recipe).problems[0];
    let litres = problem.arguments.number("litres").expect("litres");
    assert!(litres < -1.0, "{litres}");
    assert_eq!(problem.arguments.number("volume_l"), Some(2.0));
    let least = problem.arguments.number("at_least_l").expect("litres");
    // In so many litres there is room, with no water at all.
    let numbers = sound(&amounts(least, vec![honey(Amount::Kg(5.0))]));
    close(
        numbers.whole.expect("a must").water_l,
        0.0,
        1e-9,
        "no water",
    );
}
