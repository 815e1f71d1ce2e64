//! What is measured and added changes the state as it should: volume, losses, strength, attenuation, the yeast.

use mustwright::engine::log::Start;
use mustwright::engine::log::start::FERMENTABLE_PART;

use super::*;
use crate::support::close;

const DAY: f64 = 24.0;

fn begun(more: Vec<Entry>) -> State {
    let mut entries = vec![at(0.0, mixed(20.0, 1.086)), at(1.0, pitch())];
    entries.extend(more);
    after(&start(), entries)
}

#[test]
fn a_measured_must_replaces_the_planned_one() {
    let state = after(&start(), vec![at(0.0, mixed(21.5, 1.081))]);
    close(state.volume_l, 21.5, 1e-9, "litres");
    close(state.sg, 1.081, 1e-9, "gravity");
    close(state.og, 1.081, 1e-9, "OG");
    // The solids are as they were composed: 73 of 82 parts ferment.
    close(
        state.sugar_g_per_l / state.extract_g_per_l,
        73.0 / 82.0,
        1e-9,
        "part that ferments",
    );
    let more_water = after(
        &start(),
        vec![at(
            0.0,
            Deed::Mixed(Mixed {
                volume_l: Some(22.0),
                ..Mixed::default()
            }),
        )],
    );
    close(more_water.volume_l, 22.0, 1e-9, "litres");
    close(
        more_water.flows.vessel.solids_kg(),
        start().must.solids_kg(),
        1e-12,
        "the honey is the honey",
    );
}

#[test]
fn a_quarter_of_the_planned_must_is_a_quarter_of_it() {
    // Nobody boils three quarters of the water away: there is less of the same, read with its gravity or without.
    let whole = after(&start(), Vec::new());
    let quarter = whole.volume_l / 4.0;
    for sg in [None, Some(whole.sg), Some(whole.sg + 0.004)] {
        let reading = Reading {
            sg,
            volume_l: Some(quarter),
            ..Reading::default()
        };
        let state = after(&start(), vec![at(0.5, Deed::Reading(reading))]);
        close(state.volume_l, quarter, 1e-6, "litres");
        close(state.sg, sg.unwrap_or(whole.sg), 1e-6, "gravity");
        assert_eq!(state.questions, []);
    }
}

#[test]
fn volume_and_losses_are_told_by_their_reasons() {
    let state = begun(vec![
        at(10.0 * DAY, sample(0.2)),
        at(
            11.0 * DAY,
            Deed::Sample(Sample {
                litres: 0.3,
                returned: true,
            }),
        ),
        at(
            30.0 * DAY,
            Deed::Rack(Rack {
                volume_l: Some(19.0),
                ..Rack::default()
            }),
        ),
        at(
            60.0 * DAY,
            Deed::Reading(Reading {
                volume_l: Some(18.7),
                ..Reading::default()
            }),
        ),
        at(90.0 * DAY, package(Some(18.2))),
    ]);
    let losses = state.losses;
    close(losses.samples_l, 0.2, 1e-9, "samples");
    close(losses.racking_l, 0.8, 1e-9, "racking");
    close(losses.racking_estimated_l, 0.0, 0.0, "all of it measured");
    close(losses.unexplained_l, 0.3, 1e-9, "unexplained");
    close(losses.packaging_l, 0.5, 1e-9, "packaging");
    close(state.packaged_l, 18.2, 1e-9, "packaged");
    close(state.volume_l, 0.0, 1e-9, "left");
    assert!(state.sg > 1.08, "what was there last is still told");
}

/// Nobody measured: the usual losses of the trade, and said to be estimated.
#[test]
fn rackings_that_nobody_measured_lose_the_usual() {
    let state = begun(vec![
        at(30.0 * DAY, Deed::Rack(Rack::default())),
        at(60.0 * DAY, Deed::Rack(Rack::default())),
    ]);
    let usual = 0.8 + 0.02 * 19.2;
    close(state.losses.racking_l, usual, 1e-9, "racking");
    close(state.losses.racking_estimated_l, usual, 1e-9, "estimated");
}

/// What still stands in the vessel after a first filling is no loss.
#[test]
fn a_half_packaged_batch_is_still_there() {
    let state = begun(vec![at(90.0 * DAY, package(Some(10.0)))]);
    close(state.volume_l, 10.0, 1e-9, "left");
    close(state.losses.total_l(), 0.0, 0.0, "lost");
    let bottles = begun(vec![at(
        90.0 * DAY,
        Deed::Package(Package {
            bottles: vec![
                Bottles {
                    size_l: 0.75,
                    count: 20,
                },
                Bottles {
                    size_l: 0.33,
                    count: 10,
                },
            ],
            ..Package::default()
        }),
    )]);
    close(bottles.packaged_l, 18.3, 1e-9, "what the bottles hold");
    close(
        bottles.losses.packaging_l,
        1.7,
        1e-9,
        "a small rest is lost",
    );
}

/// Fruit keeps its sugar for days, and what is taken out early takes its sugar along.
#[test]
fn fruit_gives_its_sugar_over_days() {
    use crate::documents::{fruit, honey};
    use mustwright::engine::recipe::{Amount, Recipe};
    let recipe = Recipe {
        ingredients: vec![honey(Amount::Share(1.0)), fruit(Amount::Kg(4.0))],
        ..traditional()
    };
    let start = Start::of_recipe(&recipe).expect("a start");
    let (must, whole) = (plan(&start).must_volume_l, plan(&start).volume_l);
    let volumes: Vec<f64> = [0.0, 4.0, 8.0, 20.0]
        .into_iter()
        .map(|days| after(&start, vec![at(days * DAY, Deed::Degas)]).volume_l)
        .collect();
    close(volumes[0], must, 1e-9, "at first the must");
    close(volumes[1], (must + whole) / 2.0, 2e-3, "half of it");
    close(volumes[2], whole, 1e-9, "all out");
    close(volumes[3], whole, 1e-9, "and no more");
    let early = after(&start, vec![at(4.0 * DAY, rack_loss(0.0))]);
    close(
        early.flows.lost.sugar_kg,
        4.0 * 0.07 / 2.0,
        1e-9,
        "half the sugar went with it",
    );
    close(
        early.flows.in_fruit.mass_kg(),
        0.0,
        0.0,
        "none is waited for",
    );
}

#[test]
fn attenuation_apparent_and_real() {
    let state = begun(vec![at(30.0 * DAY, reads(1.010))]);
    close(
        state.attenuation.apparent_percent,
        100.0 * 76.0 / 86.0,
        1e-6,
        "apparent",
    );
    // By the balance about 0.81 of the apparent one, as Balling found (about: the yield of this balance is its own).
    let part = state.attenuation.real_percent / state.attenuation.apparent_percent;
    assert!((0.79..0.84).contains(&part), "{part}");
    let simple = state.simple.expect("a pair");
    close(
        simple.abv_percent.expect("a strength"),
        state.abv_percent,
        1e-9,
        "with nothing added both rules agree",
    );
}

/// The yeast that was really pitched decides where it will end.
#[test]
fn the_pitched_yeast_takes_the_planned_ones_place() {
    let pitch = |tolerance| {
        Deed::Pitch(Pitch {
            tolerance_abv_percent: Some(tolerance),
            ..Pitch::default()
        })
    };
    let weak = after(&start(), vec![at(1.0, pitch(8.0))]);
    close(
        weak.expected.abv_percent,
        8.0,
        1e-9,
        "it stops at its limit",
    );
    assert!(weak.expected.fg > 1.02);
    let rescued = after(
        &start(),
        vec![at(1.0, pitch(8.0)), at(50.0 * DAY, pitch(16.0))],
    );
    assert!(rescued.expected.fg < 1.0, "the stronger one goes on");
}

/// "In the vessel since 3 May, about 1.040 and 6 %."
#[test]
fn a_batch_without_a_recipe_begins_with_what_is_there() {
    let unfermentable = 1.0 - FERMENTABLE_PART;
    let start = Start::of_reading(5.0, 1.040, 6.0, unfermentable).expect("a start");
    let state = after(&start, vec![at(100.0, reads(1.010))]);
    close(state.sg, 1.010, 1e-9, "gravity");
    assert!(
        state.abv_percent > 9.5 && state.abv_percent < 10.5,
        "{}",
        state.abv_percent
    );
    // The same must from the beginning comes by the same gravities.
    let fresh = Start::of_reading(5.0, state.og, 0.0, unfermentable).expect("a start");
    let again = after(
        &fresh,
        vec![at(20.0, reads(1.040)), at(100.0, reads(1.010))],
    );
    assert_eq!(again.questions, [], "nobody knows when it began");
    close(again.abv_percent, state.abv_percent, 1e-6, "ABV");
    close(again.points[0].abv_percent, 6.0, 1e-6, "ABV on the way");
    close(again.expected.fg, state.expected.fg, 1e-6, "expected FG");
    assert_eq!(again.marks.pitch, Some(0.0));
}

#[test]
fn what_no_must_can_have_come_to_is_no_start() {
    assert_eq!(Start::of_reading(5.0, 0.950, 3.0, 0.11), None);
    assert_eq!(Start::of_reading(f64::NAN, 1.090, 0.0, 0.11), None);
    assert_eq!(Start::of_reading(5.0, 1.090, 0.0, 1.5), None);
}

/// A mead may end drier than its honey was thought to allow: then more of it fermented than was held possible.
#[test]
fn drier_than_the_book_is_believed() {
    let state = begun(vec![at(40.0 * DAY, reads(0.990))]);
    assert_eq!(state.questions, []);
    close(state.sg, 0.990, 1e-9, "gravity");
    close(state.sugar_g_per_l, 0.0, 1e-9, "sugar left");
    close(state.expected.fg, 0.990, 1e-9, "it is at its end");
    let simple = state.simple.and_then(|pair| pair.abv_percent);
    close(
        state.abv_percent,
        simple.expect("a strength"),
        1e-9,
        "nothing was added",
    );
}

/// Acid comes with the honey: a must with half of it has half the acidity.
/// Litres of honey weigh what honey weighs.
#[test]
fn honey_by_the_litre() {
    let litres = Deed::Addition(Addition {
        litres: Some(1.0),
        composition: Some(honey_parts()),
        ..Addition::of("honey", What::Honey)
    });
    let state = begun(vec![at(DAY, litres)]);
    // 18 % water: 1.42 kg/L at 20 °C, by its fit.
    close(state.flows.added.mass_kg(), 1.42, 0.01, "kg");
}

/// Yeast pitched into a stabilised mead is meant to ferment.
#[test]
fn pitched_again_it_is_no_longer_stabilised() {
    let again = begun(vec![
        at(30.0 * DAY, reads(1.010)),
        at(40.0 * DAY, stabilise()),
        at(50.0 * DAY, honey_of(0.5, Why::Sweeten)),
        at(60.0 * DAY, pitch()),
    ]);
    assert!(!again.stabilised);
    assert!(again.expected.fermentable_g_per_l > 20.0);
    assert!(again.expected.fg < 1.005);
}

/// A part that went into a batch of its own is what the rest is, and goes on as the rest does.
#[test]
fn a_part_becomes_a_batch_of_its_own() {
    let before = || {
        vec![
            at(
                DAY,
                Deed::Reading(Reading {
                    ta_g_per_l: Some(5.0),
                    ..Reading::default()
                }),
            ),
            at(10.0 * DAY, reads(1.030)),
            at(
                11.0 * DAY,
                Deed::Addition(Addition {
                    so2_mg_per_l: Some(30.0),
                    ..Addition::of("sulfite", What::Sulfite)
                }),
            ),
        ]
    };
    let parent = begun(before());
    let child = Start::of_part(&parent, 0.25);
    let alone = after(&child, vec![]);
    close(alone.volume_l, 0.25 * parent.volume_l, 1e-9, "litres");
    let mut later = before();
    later.push(at(40.0 * DAY, reads(1.001)));
    let pairs = [
        (parent, alone),
        (
            begun(later),
            after(&child, vec![at(29.0 * DAY, reads(1.001))]),
        ),
    ];
    for (one, other) in pairs {
        assert_eq!(other.questions, []);
        close(one.sg, other.sg, 1e-9, "gravity");
        close(one.abv_percent, other.abv_percent, 1e-9, "ABV");
        close(one.og, other.og, 1e-9, "OG");
        close(one.expected.fg, other.expected.fg, 1e-9, "expected FG");
        let acid = |state: &State| state.ta_g_per_l.expect("an acidity");
        close(acid(&one), acid(&other), 1e-9, "TA");
        close(
            one.total_so2_mg_per_l,
            other.total_so2_mg_per_l,
            1e-9,
            "SO2",
        );
    }
    let stable = begun(vec![
        at(10.0 * DAY, reads(1.030)),
        at(11.0 * DAY, stabilise()),
    ]);
    let part = after(&Start::of_part(&stable, 0.5), vec![]);
    assert!(part.stabilised);
    close(part.expected.fg, 1.030, 1e-9, "it stays where it is");
}

#[test]
fn glasses_on_the_bench_are_gone_from_the_vessel() {
    let before = replay(&start(), &log(vec![at(0.0, mixed(20.0, 1.086))]));
    let entries = log(vec![
        at(0.0, mixed(20.0, 1.086)),
        at(24.0, trial(50.0, &[0.0, 1.0, 2.0, 3.0])),
    ]);
    let after = replay(&start(), &entries);
    close(
        before.volume_l - after.volume_l,
        0.2,
        1e-9,
        "four times 50 ml",
    );
    close(after.losses.samples_l, 0.2, 1e-9, "as samples");
    close(after.sg, before.sg, 1e-12, "of the same mead");
}
