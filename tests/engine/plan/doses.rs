//! Doses of a plan: reckoned where the log knows enough, by the engine's own formulas; else what has to be measured.

use mustwright::engine::plan::*;
use mustwright::engine::problem::CautionCode;
use mustwright::engine::stoichiometry::SO2_PER_POTASSIUM_METABISULFITE;

use super::{at, fed, melomel, pitched, steps_of};
use crate::documents::*;
use crate::support::close;

fn ended(ph: f64, hours: f64) -> Facts {
    Facts {
        end_seen_h: Some(500.0),
        ph: Some(Measured { value: ph, hours }),
        volume_l: Some(19.0),
        ..pitched()
    }
}

fn metabisulfite(facts: &Facts) -> Option<[f64; 2]> {
    let steps = steps_of(&melomel(), facts);
    let amounts = at(&steps, "stabilise").amounts.iter();
    let mut those = amounts.filter_map(|amount| match amount {
        Amount::Metabisulfite {
            grams,
            free_mg_per_l,
            ..
        } => Some([*grams, *free_mg_per_l]),
        _ => None,
    });
    those.next()
}

#[test]
fn without_a_ph_of_the_finished_mead_there_is_no_exact_dose() {
    // 50 to 75 mg/L of 19 L, 57.63 % of the salt.
    let without = |facts: &Facts| {
        let steps = steps_of(&melomel(), facts);
        let amounts = at(&steps, "stabilise").amounts.iter();
        let mut those = amounts.filter_map(|amount| match amount {
            Amount::Reckon {
                calculation: "sulfite",
                needs: Needs::Ph,
                without_g,
            } => *without_g,
            _ => None,
        });
        those.next()
    };
    for facts in [
        Facts {
            ph: None,
            ..ended(3.5, 600.0)
        },
        // Of the must, not of the mead.
        ended(3.5, 40.0),
        Facts {
            end_seen_h: None,
            ..ended(3.5, 600.0)
        },
    ] {
        assert_eq!(metabisulfite(&facts), None);
        let [low, high] = without(&facts).expect("a range");
        close(low, 0.05 * 19.0 / 0.5763, 1e-3, "least");
        close(high, 0.075 * 19.0 / 0.5763, 1e-3, "most");
    }
}

#[test]
fn by_the_ph_and_half_as_much_again() {
    let [grams, free] = metabisulfite(&ended(3.5, 600.0)).expect("a dose");
    // Physics reference, section 8: at pH 3.5 2.0006 % of what is free is molecular; 0.8 mg/L of that for a sweet mead.
    close(free, 0.8 / 0.020006, 0.01, "free");
    let wanted = 1.5 * free * 19.0 / 1000.0 / SO2_PER_POTASSIUM_METABISULFITE;
    close(grams, wanted, 1e-9, "grams");
}

#[test]
fn a_high_ph_is_not_chased() {
    let facts = ended(4.0, 600.0);
    let [_, free] = metabisulfite(&facts).expect("a dose");
    // 0.8 would want 125 mg/L: 0.5 is taken, and the pH had better come down.
    assert!(free < 100.0, "{free}");
    let steps = steps_of(&melomel(), &facts);
    let cautions = &at(&steps, "stabilise").cautions;
    let lower = cautions
        .iter()
        .find(|caution| caution.code == CautionCode::LowerPhFirst)
        .expect("a word about it");
    let wanted = lower.arguments.number("free_mg_per_l").expect("a number");
    close(wanted, 125.0, 1.0, "wanted");
    for ph in [4.5, 6.0, 9.0] {
        let [grams, free] = metabisulfite(&ended(ph, 600.0)).expect("a dose");
        assert!(free <= 100.0 && grams < 6.0, "pH {ph}");
    }
}

#[test]
fn sorbate_as_the_recipes_numbers_have_it_for_the_litres_there_are() {
    let numbers = sound(&melomel());
    let missing = numbers
        .cautions
        .iter()
        .find(|caution| caution.code == CautionCode::StabilisersMissing)
        .expect("a caution");
    let planned = missing.arguments.number("sorbate_g").expect("grams");
    let finished_l = numbers.finished.as_ref().expect("a mead").volume_l;
    let steps = steps_of(&melomel(), &ended(3.5, 600.0));
    let found = at(&steps, "stabilise")
        .amounts
        .iter()
        .find_map(|amount| match amount {
            Amount::Sorbate { grams } => Some(*grams),
            _ => None,
        });
    close(
        found.expect("sorbate"),
        planned * 19.0 / finished_l,
        1e-9,
        "sorbate",
    );
}

#[test]
fn bicarbonate_only_for_a_low_ph() {
    let bicarbonate = |ph: Option<f64>| {
        let facts = Facts {
            ph: ph.map(|value| Measured { value, hours: 30.0 }),
            ..pitched()
        };
        let steps = steps_of(&fed(), &facts);
        let step = at(&steps, "ph-1");
        let grams = step.amounts.iter().find_map(|amount| match amount {
            Amount::Bicarbonate { grams, below_ph } => Some([*grams, *below_ph]),
            _ => None,
        });
        (grams, step.state)
    };
    let needed = |(grams, state): (Option<[f64; 2]>, State)| {
        let [grams, below_ph] = grams.expect("a dose");
        close(grams, 5.0, 1e-6, "0.25 g/L of 20 L");
        assert_eq!(below_ph, 3.1);
        state
    };
    assert_eq!(needed(bicarbonate(None)), State::Open);
    let measured = State::Done { hours: 30.0 };
    assert_eq!(needed(bicarbonate(Some(2.9))), measured);
    assert_eq!(bicarbonate(Some(3.4)), (None, measured));
}

#[test]
fn free_sulfite_is_measured_first() {
    let facts = Facts {
        sulfited: true,
        ..pitched()
    };
    let steps = steps_of(&fed(), &facts);
    let check = at(&steps, "so2-1");
    assert_eq!(
        check.amounts,
        [Amount::Reckon {
            calculation: "sulfite",
            needs: Needs::PhAndFreeSo2,
            without_g: None
        }]
    );
}
