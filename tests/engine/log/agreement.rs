//! A plan carried out to the letter ends where its formulation ends.

use mustwright::engine::log::Start;
use mustwright::engine::log::entry::*;
use mustwright::engine::recipe::*;

use super::*;
use crate::documents::{amounts, fruit, honey, item, juice, sound, traditional};
use crate::support::close;

const DAY: f64 = 24.0;

#[test]
fn a_dry_mead_ends_at_its_formulation() {
    let recipes = [
        traditional(),
        Recipe {
            volume_l: Some(4.5),
            aim: Aim::Target(Target::Gravity(1.120)),
            ..traditional()
        },
        Recipe {
            ingredients: vec![honey(Amount::Share(1.0)), fruit(Amount::Kg(3.0))],
            ..traditional()
        },
        amounts(
            10.0,
            vec![honey(Amount::Kg(2.0)), juice(Amount::Litres(4.0))],
        ),
    ];
    for recipe in recipes {
        let wanted = sound(&recipe).finished.expect("a finished mead");
        let start = Start::of_recipe(&recipe).expect("a start");
        let plan = plan(&start);
        let entries = vec![
            at(0.0, mixed(plan.must_volume_l, plan.must_sg)),
            at(2.0, pitch()),
            at(60.0 * DAY, reads(plan.natural_fg)),
        ];
        let state = after(&start, entries);
        assert_eq!(state.questions, []);
        close(state.sg, wanted.fg, 1e-6, "FG");
        close(state.abv_percent, wanted.abv_percent, 1e-4, "ABV");
        close(state.volume_l, wanted.volume_l, 1e-4, "litres");
        close(
            state.sugar_g_per_l,
            wanted.residual_sugar_g_per_l,
            1e-3,
            "sugar left",
        );
        close(
            state.flows.co2_kg,
            wanted.co2_kg,
            1e-5,
            "carbon dioxide, kg",
        );
        close(
            state.og,
            sound(&recipe).whole.expect("a must").og,
            1e-6,
            "OG of all",
        );
        close(state.expected.fg, wanted.natural_fg, 1e-6, "expected FG");
        close(state.expected.fermentable_g_per_l, 0.0, 1e-3, "to ferment");
    }
}

/// Before anything is read the forecast is the formulation's.
#[test]
fn the_forecast_at_the_start_is_the_formulations() {
    let recipe = Recipe {
        ingredients: vec![honey(Amount::Share(1.0)), fruit(Amount::Kg(3.0))],
        ..traditional()
    };
    let wanted = sound(&recipe);
    let finished = wanted.finished.expect("a finished mead");
    let state = after(&Start::of_recipe(&recipe).expect("a start"), vec![]);
    close(state.expected.fg, finished.natural_fg, 1e-9, "FG");
    close(
        state.expected.abv_percent,
        finished.abv_percent,
        1e-9,
        "ABV",
    );
    close(
        state.sg,
        wanted.must.expect("a must").og,
        1e-12,
        "what a hydrometer reads",
    );
}

#[test]
fn sweetened_after_stabilising_it_ends_at_its_formulation() {
    let recipe = Recipe {
        finish: Finish::SweetenTo(1.012),
        ..traditional()
    };
    let numbers = sound(&recipe);
    let wanted = numbers.finished.as_ref().expect("a finished mead");
    let kg = crate::documents::mass_of(&numbers, "honey", When::Sweeten);
    let start = Start::of_recipe(&recipe).expect("a start");
    let fg = plan(&start).natural_fg;
    let entries = vec![
        at(1.0, pitch()),
        at(40.0 * DAY, reads(fg)),
        at(60.0 * DAY, stabilise()),
        at(62.0 * DAY, honey_of(kg, Why::Sweeten)),
        at(80.0 * DAY, reads(1.012)),
    ];
    let state = after(&start, entries);
    assert_eq!(state.questions, []);
    close(state.sg, wanted.fg, 1e-6, "FG");
    close(state.abv_percent, wanted.abv_percent, 1e-4, "ABV");
    close(
        state.sugar_g_per_l,
        wanted.residual_sugar_g_per_l,
        1e-3,
        "sugar left",
    );
    close(
        state.expected.fermentable_g_per_l,
        0.0,
        0.0,
        "nothing ferments any more",
    );
    close(
        state.og,
        numbers.whole.expect("a must").og,
        1e-9,
        "sweetening is no part of the OG",
    );
}

/// Fruit after the first fermentation ferments too.
#[test]
fn fruit_in_the_secondary_ends_at_the_formulation() {
    let mut later = fruit(Amount::Kg(4.0));
    later.when = When::Secondary;
    let recipe = Recipe {
        aim: Aim::Target(Target::Gravity(1.080)),
        ingredients: vec![honey(Amount::Share(1.0)), later],
        ..traditional()
    };
    let wanted = sound(&recipe).finished.expect("a finished mead");
    let start = Start::of_recipe(&recipe).expect("a start");
    let fruit = Deed::Addition(Addition {
        why: Some(Why::Secondary),
        kg: Some(4.0),
        composition: Some(parts(0.85, 0.07, 0.04, 0.04)),
        ..Addition::of("raspberry", What::Fruit)
    });
    let entries = vec![
        at(1.0, pitch()),
        at(30.0 * DAY, reads(plan(&start).natural_fg)),
        at(30.0 * DAY, fruit),
        at(50.0 * DAY, reads(wanted.fg)),
    ];
    let state = after(&start, entries);
    assert_eq!(state.questions, []);
    close(state.abv_percent, wanted.abv_percent, 1e-4, "ABV");
    close(state.volume_l, wanted.volume_l, 1e-4, "litres");
    close(state.expected.fermentable_g_per_l, 0.0, 1e-3, "to ferment");
}

/// Honey from the start or fed in steps: the same amounts make the same mead.
#[test]
fn step_feeding_ends_where_all_at_once_would() {
    let all = amounts(10.0, vec![honey(Amount::Kg(3.2))]);
    let wanted = sound(&all);
    let finished = wanted.finished.as_ref().expect("a finished mead");
    let water_l = wanted.whole.as_ref().expect("a must").water_l;
    let mut half = all.clone();
    half.ingredients = vec![item("honey", Kind::Honey, Amount::Kg(1.6), honey_parts())];
    // The same water for half the honey.
    half.aim = Aim::Amounts;
    let mut start = Start::of_recipe(&half).expect("a start");
    start.must.water_kg = water_l * 0.998_203 + 1.6 * 0.18;
    start.plan = None;
    let entries = vec![
        at(0.0, reads(start.must.state().sg)),
        at(1.0, pitch()),
        at(7.0 * DAY, reads(1.012)),
        at(7.0 * DAY, honey_of(0.8, Why::StepFeed)),
        at(12.0 * DAY, reads(1.011)),
        at(12.0 * DAY, honey_of(0.8, Why::StepFeed)),
        at(60.0 * DAY, reads(finished.natural_fg)),
    ];
    let state = after(&start, entries);
    assert_eq!(state.questions, []);
    close(
        state.og,
        wanted.whole.as_ref().expect("a must").og,
        1e-5,
        "OG of all",
    );
    close(state.abv_percent, finished.abv_percent, 1e-3, "ABV");
    let simple = state.simple.expect("two gravities");
    assert!(
        simple.abv_percent.expect("a strength") < state.abv_percent - 3.0,
        "the rule of first and last gravity knows of no feeding"
    );
}
