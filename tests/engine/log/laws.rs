//! Laws: no mass is made or lost, the order of what commutes does not matter, the parts of a batch are the batch.

use mustwright::engine::balance::{CO2_PER_ETHANOL, ETHANOL_PER_SUGAR, Liquid};
use mustwright::engine::density::{ETHANOL_20, WATER_20, relative_density_of_abv};
use mustwright::engine::log::{Start, replay};
use proptest::prelude::*;

use super::*;
use crate::documents::{fruit, honey};
use crate::support::{close, table};
use mustwright::engine::recipe::{Amount, Recipe};

const DAY: f64 = 24.0;

fn balanced(state: &State, what: &str) {
    let flows = state.flows;
    let came = (flows.begun + flows.added).mass_kg();
    let kept = [
        flows.vessel,
        flows.in_fruit,
        flows.lost,
        flows.packaged,
        flows.parted,
    ];
    let is = kept.into_iter().sum::<Liquid>().mass_kg() + flows.co2_kg + flows.yeast_kg;
    close(is, came, 1e-9 * (1.0 + came), what);
}

/// A batch with everything that moves mass.
fn long_log() -> Vec<Entry> {
    let honey_fruit = Deed::Addition(Addition {
        kg: Some(2.0),
        composition: Some(parts(0.85, 0.07, 0.04, 0.04)),
        ..Addition::of("raspberry", What::Fruit)
    });
    let mead = Deed::Addition(Addition {
        litres: Some(1.0),
        sg: Some(1.004),
        abv_percent: Some(12.0),
        ..Addition::of("older mead", What::Mead)
    });
    vec![
        at(0.0, mixed(20.3, 1.084)),
        at(1.0, pitch()),
        at(2.0 * DAY, sample(0.1)),
        at(3.0 * DAY, reads(1.060)),
        at(4.0 * DAY, honey_of(0.7, Why::StepFeed)),
        at(8.0 * DAY, reads(1.030)),
        at(12.0 * DAY, honey_fruit),
        at(16.0 * DAY, reads(1.015)),
        at(17.0 * DAY, Deed::Part(Part { share: 0.2 })),
        at(30.0 * DAY, reads(1.001)),
        at(31.0 * DAY, rack_loss(0.6)),
        at(32.0 * DAY, mead),
        at(40.0 * DAY, water_of(0.4)),
        at(60.0 * DAY, stabilise()),
        at(61.0 * DAY, honey_of(0.5, Why::Sweeten)),
        at(65.0 * DAY, trial(50.0, &[0.0, 1.0, 2.0])),
        at(70.0 * DAY, Deed::Rack(Rack::default())),
        at(80.0 * DAY, package(Some(10.0))),
    ]
}

#[test]
fn no_mass_is_made_or_lost_at_any_moment() {
    let entries = log(long_log());
    let with_fruit = Recipe {
        ingredients: vec![honey(Amount::Share(1.0)), fruit(Amount::Kg(3.0))],
        ..traditional()
    };
    for start in [start(), Start::of_recipe(&with_fruit).expect("a start")] {
        for many in 0..=entries.len() {
            let state = replay(&start, &entries[..many]);
            balanced(&state, &format!("after {many}"));
        }
        let state = replay(&start, &entries);
        close(state.packaged_l, 10.0, 1e-9, "packaged");
        assert!(state.losses.racking_l > 0.9);
        assert!(state.flows.co2_kg > 1.0);
    }
}

/// Where more is measured than was reckoned, more of everything was there from the beginning.
#[test]
fn a_volume_put_right_keeps_the_balance() {
    let state = after(
        &start(),
        vec![
            at(0.0, mixed(20.0, 1.086)),
            at(1.0, pitch()),
            at(30.0 * DAY, reads(1.000)),
            at(
                40.0 * DAY,
                Deed::Rack(Rack {
                    volume_l: Some(20.1),
                    ..Rack::default()
                }),
            ),
        ],
    );
    assert_eq!(state.questions, []);
    close(state.volume_l, 20.1, 1e-9, "litres");
    balanced(&state, "with more than was reckoned");
}

/// Ethanol and carbon dioxide come out of the same sugar.
#[test]
fn ethanol_and_gas_belong_together() {
    let state = after(
        &start(),
        vec![
            at(0.0, pitch()),
            at(3.0 * DAY, reads(1.050)),
            at(20.0 * DAY, reads(1.002)),
        ],
    );
    let ethanol = state.flows.vessel.ethanol_kg;
    close(
        state.flows.co2_kg,
        ethanol * CO2_PER_ETHANOL,
        1e-12,
        "carbon dioxide",
    );
    let used = ethanol / ETHANOL_PER_SUGAR;
    close(
        state.flows.begun.sugar_kg - state.flows.vessel.sugar_kg,
        used,
        1e-9,
        "sugar used",
    );
}

/// The order in which entries stand in the list is nothing; their hours are.
#[test]
fn the_order_of_the_list_does_not_matter() {
    let entries = log(long_log());
    let straight = replay(&start(), &entries);
    let mut other = entries;
    other.reverse();
    assert_eq!(replay(&start(), &other), straight);
    other.rotate_left(5);
    assert_eq!(replay(&start(), &other), straight);
}

/// Water and honey go in in either order; feeds and samples of nothing change nothing.
#[test]
fn what_commutes_commutes() {
    let one = after(
        &start(),
        vec![
            at(0.0, pitch()),
            at(DAY, water_of(1.0)),
            at(DAY, honey_of(1.0, Why::StepFeed)),
            at(9.0 * DAY, reads(1.020)),
        ],
    );
    let other = after(
        &start(),
        vec![
            at(0.0, pitch()),
            at(DAY, honey_of(1.0, Why::StepFeed)),
            at(DAY, Deed::Degas),
            at(DAY, water_of(1.0)),
            at(9.0 * DAY, reads(1.020)),
        ],
    );
    close(one.abv_percent, other.abv_percent, 1e-9, "ABV");
    close(one.volume_l, other.volume_l, 1e-9, "litres");
    close(one.og, other.og, 1e-12, "OG");
}

/// A reading brings the state to itself wherever the fermentation was thought to be: only the last one decides.
#[test]
fn readings_between_leave_no_trace_in_the_balance() {
    let few = after(
        &start(),
        vec![at(0.0, pitch()), at(30.0 * DAY, reads(1.004))],
    );
    let many = after(
        &start(),
        vec![
            at(0.0, pitch()),
            at(3.0 * DAY, reads(1.070)),
            at(6.0 * DAY, reads(1.045)),
            at(9.0 * DAY, reads(1.0455)),
            at(30.0 * DAY, reads(1.004)),
        ],
    );
    close(few.abv_percent, many.abv_percent, 1e-9, "ABV");
    close(few.flows.co2_kg, many.flows.co2_kg, 1e-9, "carbon dioxide");
}

/// A mix of water and alcohol alone.
fn spirit(litres: f64, abv_percent: f64) -> Liquid {
    let ethanol_kg = litres * abv_percent / 100.0 * ETHANOL_20 / 1000.0;
    let mass_kg = litres * relative_density_of_abv(abv_percent) * WATER_20 / 1000.0;
    Liquid {
        water_kg: mass_kg - ethanol_kg,
        ethanol_kg,
        ..Liquid::default()
    }
}

/// Dilution and topping up against the table of blends.
#[test]
fn dilution_agrees_with_the_table_of_blends() {
    for row in table("blend_alcohol") {
        let start = Start {
            must: spirit(row.number("a_l"), row.number("a_abv_pct")),
            ..Start::default()
        };
        let abv = row.number("b_abv_pct");
        let added = Deed::Addition(Addition {
            litres: Some(row.number("b_l")),
            sg: Some(relative_density_of_abv(abv)),
            abv_percent: Some(abv),
            ..Addition::of("other", if abv > 0.0 { What::Mead } else { What::Water })
        });
        let state = after(&start, vec![at(1.0, added)]);
        assert_eq!(state.questions, []);
        row.expect("mix_abv_pct", state.abv_percent, 0.01);
        row.expect("mix_volume_l", state.volume_l, 0.001);
    }
}

/// A dry mead read, stabilised and sweetened, against the table of sweetenings.
#[test]
fn sweetening_agrees_with_the_table() {
    for row in table("backsweeten") {
        let parts_of = |prefix: &str| {
            parts(
                row.number(&format!("{prefix}_water_frac")),
                row.number(&format!("{prefix}_sugar_frac")),
                row.number(&format!("{prefix}_extract_frac")),
                row.number(&format!("{prefix}_insoluble_frac")),
            )
        };
        let honey = parts_of("honey");
        let kg = row.number("honey_kg");
        let start = Start {
            must: Liquid {
                water_kg: kg * honey.water + row.number("water_kg"),
                sugar_kg: kg * honey.fermentable,
                extract_kg: kg * honey.unfermentable,
                ethanol_kg: 0.0,
            },
            tolerance_abv_percent: row.optional("tolerance_abv_pct"),
            ..Start::default()
        };
        let sweeten = Deed::Addition(Addition {
            why: Some(Why::Sweeten),
            kg: Some(row.number("sweet_honey_kg")),
            composition: Some(parts_of("sweet")),
            ..Addition::of("honey", What::Honey)
        });
        let state = after(
            &start,
            vec![
                at(0.0, pitch()),
                at(60.0 * DAY, reads(row.number("fg_before"))),
                at(70.0 * DAY, stabilise()),
                at(72.0 * DAY, sweeten),
            ],
        );
        assert_eq!(state.questions, []);
        row.expect("abv_after_pct", state.abv_percent, 0.02);
        row.expect("target_fg", state.sg, 0.0002);
        row.expect("volume_after_l", state.volume_l, 0.001 * state.volume_l);
        row.expect("sugar_after_g_l", state.sugar_g_per_l, 0.5);
    }
}

proptest! {
    /// However a batch is parted, the parts together are the batch, and each is as strong.
    #[test]
    fn parts_are_the_whole(shares in prop::collection::vec(0.01..0.99_f64, 1..8), sg in 0.998..1.080_f64) {
        let before = vec![at(0.0, pitch()), at(20.0 * DAY, reads(sg))];
        let whole = after(&start(), before.clone());
        let mut entries = before;
        for share in &shares {
            entries.push(at(21.0 * DAY, Deed::Part(Part { share: *share })));
        }
        let rest = after(&start(), entries);
        let kept: f64 = shares.iter().map(|share| 1.0 - share).product();
        close(rest.volume_l, whole.volume_l * kept, 1e-9, "litres kept");
        close(rest.sg, whole.sg, 1e-12, "gravity");
        close(rest.abv_percent, whole.abv_percent, 1e-9, "ABV");
        close(rest.og, whole.og, 1e-12, "OG");
        close(rest.expected.fg, whole.expected.fg, 1e-9, "expected FG");
        let together = rest.flows.parted + rest.flows.vessel;
        close(together.mass_kg(), whole.flows.vessel.mass_kg(), 1e-9, "mass");
        close(together.ethanol_kg, whole.flows.vessel.ethanol_kg, 1e-9, "ethanol");
    }

    /// The same of what is in it: sugar, what does not ferment, alcohol and acid of the parts and of what stayed are what was.
    #[test]
    fn parts_and_what_stayed_hold_all_sugar_alcohol_and_acid(
        litres in prop::collection::vec(0.5..6.0_f64, 1..6),
        sg in 0.998..1.080_f64,
        ta in 3.0..9.0_f64,
        sulfited in any::<bool>(),
    ) {
        let mut before = vec![
            at(0.0, pitch()),
            at(20.0 * DAY, reads(sg)),
            at(20.5 * DAY, Deed::Reading(Reading { ta_g_per_l: Some(ta), ..Reading::default() })),
        ];
        if sulfited {
            before.push(at(20.6 * DAY, stabilise()));
        }
        let whole = after(&start(), before.clone());
        // As much as there is, or less: so many litres each, and the rest stays.
        let there = whole.volume_l;
        let sum: f64 = litres.iter().sum();
        let fits = (0.95 * there / sum).min(1.0);
        let shares: Vec<f64> = litres.iter().map(|litres| fits * litres / there).collect();
        let parted = |share: f64| {
            let mut entries = before.clone();
            entries.push(at(21.0 * DAY, Deed::Part(Part { share })));
            after(&start(), entries)
        };
        let mut pieces: Vec<State> = shares.iter().map(|share| parted(1.0 - share)).collect();
        pieces.push(parted(shares.iter().sum()));
        let total = |of: &dyn Fn(&State) -> f64| pieces.iter().map(of).sum::<f64>();
        let acid = |state: &State| state.ta_g_per_l.expect("it was measured") * state.volume_l;
        type Held<'a> = (&'a str, &'a dyn Fn(&State) -> f64);
        let held: [Held<'_>; 6] = [
            ("sugar", &|state| state.flows.vessel.sugar_kg),
            ("what does not ferment", &|state| state.flows.vessel.extract_kg),
            ("alcohol", &|state| state.flows.vessel.ethanol_kg),
            ("water", &|state| state.flows.vessel.water_kg),
            ("acid", &acid),
            ("sulfur dioxide", &|state| state.total_so2_mg_per_l * state.volume_l),
        ];
        for (name, of) in held {
            close(total(of), of(&whole), 1e-9 * (1.0 + of(&whole)), name);
        }
        prop_assert!(acid(&whole) > 0.0 && whole.flows.vessel.ethanol_kg > 0.0);
        prop_assert_eq!(whole.total_so2_mg_per_l > 0.0, sulfited);
    }

    /// Samples and rackings take sugar and alcohol in proportion.
    #[test]
    fn losses_change_no_concentration(litres in 0.01..5.0_f64) {
        let before = vec![at(0.0, pitch()), at(20.0 * DAY, reads(1.020))];
        let whole = after(&start(), before.clone());
        for lost in [sample(litres), rack_loss(litres)] {
            let mut entries = before.clone();
            entries.push(at(21.0 * DAY, lost));
            let state = after(&start(), entries);
            close(state.volume_l, whole.volume_l - litres, 1e-9, "litres");
            close(state.losses.total_l(), litres, 1e-9, "lost");
            close(state.abv_percent, whole.abv_percent, 1e-9, "ABV");
            close(state.sugar_g_per_l, whole.sugar_g_per_l, 1e-9, "sugar");
        }
    }
}
