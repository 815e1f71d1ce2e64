//! The forecast against the check runs of the reference on kinetics, a general-purpose solver, and a fit with known truth.

use mustwright::engine::forecast::{
    Addition, At, Fitting, HORIZON_H, Outcome, Plan, Prior, Reading, Stretch, fit, run,
};
use proptest::prelude::*;

use crate::support::{Row, any_number, close, table};

const AT_20: &[Stretch] = &[Stretch {
    from_h: 0.0,
    temperature_c: 20.0,
}];

fn plan<'a>(sugar: f64, nitrogen: f64, additions: &'a [Addition]) -> Plan<'a> {
    Plan {
        sugar_g_per_l: sugar,
        yan_mg_per_l: nitrogen,
        pitch_g_per_l: 0.25,
        ethanol_g_per_l: 0.0,
        temperatures: AT_20,
        additions,
        growth_factor: 1.0,
        uptake_factor: 1.0,
        holds_growth: true,
    }
}

/// "24 h:40 mg/L;at S=2/3 S0:50 mg/L"
fn additions_of(row: &Row) -> Vec<Addition> {
    let parts = row.text("additions").split(';');
    parts
        .filter(|part| !part.is_empty())
        .map(|part| {
            let (at, yan) = part.rsplit_once(':').expect("a colon");
            let at = match at.strip_suffix(" h") {
                Some(hours) => At::Hours(hours.parse().expect("hours")),
                None if at == "at S=2/3 S0" => At::SugarUsed(1.0 / 3.0),
                None => panic!("{at}"),
            };
            let yan_mg_per_l = yan.trim_end_matches(" mg/L").parse().expect("a number");
            Addition { at, yan_mg_per_l }
        })
        .collect()
}

/// Every run of the published model, K16 and K17 with the other reading of its rate of uptake, which is a factor of
/// e^-0.68. Times within 0.5 %; the table is computed with two integrators that agree to 2e-4.
#[test]
fn every_run_of_the_table() {
    let mut rows = 0;
    for row in table("kinetics") {
        let kind = row.text("type");
        if !kind.starts_with("check") || row.text("model") != "Coleman2007" {
            continue;
        }
        rows += 1;
        let additions = additions_of(&row);
        let temperatures = [Stretch {
            from_h: 0.0,
            temperature_c: row.number("T_c"),
        }];
        let plan = Plan {
            pitch_g_per_l: row.number("X0_g_l"),
            temperatures: &temperatures,
            uptake_factor: match kind {
                "check_variant_b0=-2.98" => (-0.68_f64).exp(),
                _ => 1.0,
            },
            holds_growth: false,
            ..plan(row.number("S0_g_l"), row.number("N0_mg_l"), &additions)
        };
        let line = run(&plan, HORIZON_H).expect("a run");
        let marks = [
            ("t_one_third_h", line.hours_to_use(1.0 / 3.0)),
            ("t_half_h", line.hours_to_use(0.5)),
            ("t_95pct_h", line.hours_to_use(0.95)),
            ("t_below_2gl_h", line.hours_to(2.0)),
        ];
        for (column, found) in marks {
            match row.text(column) {
                "NA" => assert_eq!(found, None, "{}: {column}", row.text("id")),
                _ => row.expect(column, found.expect(column), 0.005 * row.number(column)),
            }
        }
        row.expect("S_240h_g_l", line.sugar_at(240.0), 0.02);
        row.expect("S_480h_g_l", line.sugar_at(480.0), 0.02);
        row.expect("S_final_g_l", line.end_sugar_g_per_l(), 0.02);
        let dry = row.text("outcome").starts_with("dry");
        let ended = match dry {
            true => Outcome::Dry,
            false => Outcome::SugarLeft,
        };
        assert_eq!(line.outcome(), ended, "{}", row.text("id"));
    }
    assert_eq!(rows, 18);
}

/// Steps of temperature, additions by the clock and by the sugar, factors, growth held, alcohol that is there before:
/// every row of the table that a general-purpose solver made.
#[test]
fn our_own_musts_against_a_general_purpose_solver() {
    let rows = table("kinetics_honey");
    assert_eq!(rows.len(), 4);
    for row in rows {
        let temperatures: Vec<Stretch> = row
            .text("temperatures")
            .split(';')
            .map(|part| {
                let (from, celsius) = part.split_once(':').expect("a colon");
                Stretch {
                    from_h: from.parse().expect("hours"),
                    temperature_c: celsius.parse().expect("a number"),
                }
            })
            .collect();
        let additions = additions_of(&row);
        let plan = Plan {
            pitch_g_per_l: row.number("X0_g_l"),
            ethanol_g_per_l: row.number("E0_g_l"),
            temperatures: &temperatures,
            growth_factor: row.number("growth"),
            uptake_factor: row.number("uptake"),
            ..plan(row.number("S0_g_l"), row.number("N0_mg_l"), &additions)
        };
        let line = run(&plan, HORIZON_H).expect("a run");
        for (column, part) in [
            ("t_one_third_h", 1.0 / 3.0),
            ("t_half_h", 0.5),
            ("t_95pct_h", 0.95),
        ] {
            let found = line.hours_to_use(part).expect(column);
            row.expect(column, found, 1e-3 * row.number(column));
        }
        match (line.hours_to(2.0), row.text("t_below_2gl_h")) {
            (found, "NA") => assert_eq!(found, None, "{}", row.text("id")),
            (found, _) => row.expect("t_below_2gl_h", found.expect("reached"), 0.3),
        }
        for (column, hours) in [
            ("S_100h_g_l", 100.0),
            ("S_240h_g_l", 240.0),
            ("S_1999h_g_l", 1999.0),
        ] {
            row.expect(column, line.sugar_at(hours), 0.02);
        }
    }
}

/// What is asked of a run half way is what a second run begun with it finds.
#[test]
fn a_run_goes_on_from_where_it_is_cut() {
    let whole = run(&plan(240.0, 150.0, &[]), HORIZON_H).expect("a run");
    let used = 240.0 - whole.sugar_at(60.0);
    assert!(whole.nitrogen_at(60.0) < 1.0, "{}", whole.nitrogen_at(60.0));
    let rest = Plan {
        pitch_g_per_l: whole.cells_at(60.0),
        ethanol_g_per_l: used * (-0.598_f64).exp(),
        ..plan(240.0 - used, whole.nitrogen_at(60.0), &[])
    };
    let rest = run(&rest, HORIZON_H).expect("a run");
    for hours in [10.0, 40.0, 90.0] {
        close(
            rest.sugar_at(hours),
            whole.sugar_at(60.0 + hours),
            0.05,
            "sugar",
        );
    }
}

/// The reference's map for its example: extract by Tabarie's relation, 245 g/L of sugar with 12 g/L that do not ferment,
/// 0.484 g of alcohol reported for each gram used; alcohol's own gravity by the cubic of the reference, section 4.
fn gravity_of_example(used: f64) -> f64 {
    let extract =
        mustwright::engine::density::relative_density_of_extract(245.0 * (1.0 - used) + 12.0);
    let a = 245.0 * used * 0.484 / 7.8924;
    let alcohol = 1.0 - 1.52341e-3 * a + 1.99359e-5 * a * a - 2.73826e-7 * a * a * a;
    extract + alcohol - 1.0
}

fn example() -> (Vec<Reading>, Vec<Addition>) {
    let readings = table("kinetics_fit_example")
        .iter()
        .map(|row| Reading {
            hours: row.number("time_h"),
            sg: row.number("sg_reading_20_20"),
        })
        .collect();
    let additions = [24.0, 48.0, 72.0].map(|hours| Addition {
        at: At::Hours(hours),
        yan_mg_per_l: 50.0,
    });
    (readings, additions.to_vec())
}

fn fitting<'a>(readings: &'a [Reading], additions: &'a [Addition]) -> Fitting<'a> {
    Fitting {
        plan: Plan {
            pitch_g_per_l: 0.35,
            ..plan(245.0, 30.0, additions)
        },
        gravity: &gravity_of_example,
        readings,
        sigma: 0.0015,
        prior: Prior {
            ln_growth: 0.0,
            ln_uptake: 0.0,
            sd: 0.5,
        },
        horizon_h: HORIZON_H,
    }
}

/// Accepted: the factor on uptake within 2 % of 0.5987, the 95 % mark within 2 h of 219.2 h (reference on kinetics,
/// section 7); the truth behind the readings is 0.60 and 219.6 h.
#[test]
fn the_fit_finds_what_made_the_readings() {
    let (readings, additions) = example();
    let found = fit(fitting(&readings, &additions)).expect("a fit");
    let [_, uptake] = found.factors();
    close(uptake, 0.5987, 0.02 * 0.5987, "uptake");
    let [growth_sd, uptake_sd] = found.sd();
    close(growth_sd, 0.344, 0.06, "sd of ln growth");
    close(uptake_sd, 0.0188, 0.004, "sd of ln uptake");
    let mark = found.hours_to_use(0.95).expect("reached");
    close(mark.best, 219.2, 2.0, "95 %");
    assert!(mark.low < 219.6 && 219.6 < mark.high, "{mark:?}");
    close(
        mark.high - mark.low,
        10.8,
        3.0,
        "width of the 90 % interval",
    );
    for one in &readings {
        let band = found.gravity_at(one.hours);
        close(band.best, one.sg, 0.0045, "within three of its errors");
        assert!(band.low <= band.best && band.best <= band.high);
    }
}

#[test]
fn readings_narrow_what_was_only_believed() {
    let (readings, additions) = example();
    let width = |count: usize| {
        let some = &readings[..count];
        let found = fit(Fitting {
            prior: Prior::HONEY,
            ..fitting(some, &additions)
        });
        let found = found.expect("a fit");
        assert_eq!(found.is_fitted(), count >= 3);
        let band = found.hours_to_use(0.95).expect("reached");
        assert!(band.low <= band.best && band.best <= band.high, "{band:?}");
        let gravity = found.gravity_at(120.0);
        assert!(gravity.low < gravity.best && gravity.best < gravity.high);
        band.high - band.low
    };
    let widths: Vec<f64> = [0, 4, 6, 8].map(width).to_vec();
    assert!(
        widths.windows(2).all(|pair| pair[1] < pair[0]),
        "{widths:?}"
    );
    // Before readings, a factor of two either way.
    assert!(widths[0] > 150.0);
}

/// Found by chance: so little sugar that the solver's own tolerance shows between its steps.
#[test]
fn little_sugar_is_followed_to_the_solvers_tolerance() {
    let temperatures = [Stretch {
        from_h: 0.0,
        temperature_c: 0.0,
    }];
    let plan = Plan {
        pitch_g_per_l: 0.9,
        temperatures: &temperatures,
        growth_factor: 1.161_289_189_275_623,
        uptake_factor: 0.9,
        ..plan(1.680_258_639_281_155_2, f64::MIN_POSITIVE, &[])
    };
    let line = run(&plan, HORIZON_H).expect("a run");
    let sugars: Vec<f64> = (0..200)
        .map(|step| line.sugar_at(f64::from(step) * 10.0))
        .collect();
    let rise = sugars
        .windows(2)
        .map(|pair| pair[1] - pair[0])
        .fold(0.0, f64::max);
    assert!(rise < 2e-5, "{rise} g/L");
    assert_eq!(line.outcome(), Outcome::Dry);
}

#[test]
fn nothing_comes_before_the_last_reading_that_had_not_come_by_then() {
    let (readings, additions) = example();
    let seven = &readings[..7];
    let found = fit(fitting(seven, &additions)).expect("a fit");
    let mark = found.hours_to_use(0.95).expect("reached");
    assert!(mark.low >= 168.0, "{mark:?}");
}

#[test]
fn a_clubs_own_batches_move_the_prior_once_there_are_five() {
    let batches = [(1.0, 0.4), (1.0, 0.4), (0.9, 0.4), (1.1, 0.4), (1.0, 0.4)];
    assert_eq!(Prior::of_batches(&batches[..4]), None);
    let prior = Prior::of_batches(&batches).expect("five");
    close(prior.ln_uptake, 0.4_f64.ln(), 1e-12, "ln uptake");
    assert_eq!(prior.sd, 0.5);
}

/// More cells do not come of more nitrogen than 277 mg/L: neither fewer.
#[test]
fn growth_is_held_where_the_regression_turns_round() {
    let at = |nitrogen| {
        let line = run(&plan(280.0, nitrogen, &[]), HORIZON_H).expect("a run");
        line.hours_to_use(0.95).expect("reached")
    };
    assert!((at(277.0) - at(400.0)).abs() < 0.02 * at(277.0));
    assert!(at(200.0) > at(277.0));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn sugar_never_rises_and_nothing_is_lost_of_hostile_numbers(
        numbers in prop::array::uniform7(any_number()),
        when in any_number(),
    ) {
        let [sugar, nitrogen, pitch, celsius, growth, uptake, later] = numbers;
        let temperatures = [Stretch { from_h: 0.0, temperature_c: celsius }];
        let additions = [Addition { at: At::Hours(when), yan_mg_per_l: later }];
        let plan = Plan {
            pitch_g_per_l: pitch,
            temperatures: &temperatures,
            growth_factor: growth,
            uptake_factor: uptake,
            ..plan(sugar, nitrogen, &additions)
        };
        if let Some(line) = run(&plan, HORIZON_H) {
            let mut before = sugar;
            for hours in 0..200 {
                let now = line.sugar_at(f64::from(hours) * 10.0);
                // The solver answers for 1e-5 g/L in each step, which shows where there is little sugar at all.
                prop_assert!(now.is_finite() && now >= 0.0 && now <= before + 1e-6 * sugar + 2e-5);
                before = now;
            }
        }
    }

    #[test]
    fn sane_fermentations_are_always_followed(
        sugar in 20.0..400.0_f64, nitrogen in 0.0..400.0_f64, celsius in 5.0..40.0_f64, uptake in 0.1..3.0_f64,
        part in 0.05..0.9_f64,
    ) {
        let temperatures = [Stretch { from_h: 0.0, temperature_c: celsius }];
        let additions = [Addition { at: At::SugarUsed(part), yan_mg_per_l: 60.0 }];
        let plan = Plan { temperatures: &temperatures, uptake_factor: uptake, ..plan(sugar, nitrogen, &additions) };
        let line = run(&plan, HORIZON_H).expect("a run");
        if let Some(hours) = line.hours_to_use(part) {
            prop_assert!((line.used_at(hours) - part).abs() < 1e-6);
        }
    }
}
