//! Laws the mass balance must keep, over musts and meads of every size and over every number there is.

use mustwright::engine::balance::*;
use mustwright::engine::density::*;
use proptest::prelude::*;

use crate::support::any_number;

/// Honey of 78 % sugar, 4 % other solids, 18 % water.
const HONEY: Liquid = Liquid {
    water_kg: 0.18,
    sugar_kg: 0.78,
    extract_kg: 0.04,
    ethanol_kg: 0.0,
};

/// Any must or mead: not more than 70 % solids, up to 30 % ethanol, from a gram to a tonne.
fn any_liquid() -> impl Strategy<Value = Liquid> {
    (0.001..1000.0, 0.0..0.6, 0.0..0.1, 0.0..0.3).prop_map(
        |(kg, sugar, extract, ethanol): (f64, f64, f64, f64)| {
            Liquid {
                water_kg: 1.0 - sugar - extract - ethanol,
                sugar_kg: sugar,
                extract_kg: extract,
                ethanol_kg: ethanol,
            } * kg
        },
    )
}

fn any_must() -> impl Strategy<Value = Liquid> {
    (0.001..1000.0, 0.01..0.5, 0.0..0.1).prop_map(|(kg, sugar, extract): (f64, f64, f64)| {
        Liquid {
            water_kg: 1.0 - sugar - extract,
            sugar_kg: sugar,
            extract_kg: extract,
            ethanol_kg: 0.0,
        } * kg
    })
}

fn relative(a: f64, b: f64) -> f64 {
    (a - b).abs() / b.abs().max(1e-300)
}

proptest! {
    #[test]
    fn mass_is_conserved(must in any_liquid(), share in 0.0..1.0) {
        let x = share * must.sugar_kg;
        let after = ferment(&must, x);
        let sum = after.mass_kg() + co2_of_sugar(x) + biomass_of_sugar(x);
        prop_assert!(relative(sum, must.mass_kg()) < 1e-12, "{sum} {}", must.mass_kg());
        prop_assert_eq!(after.water_kg, must.water_kg);
        // Balling: 2.0665 kg of extract for 1 kg of ethanol.
        let lost = must.solids_kg() - after.solids_kg();
        let made = after.ethanol_kg - must.ethanol_kg;
        prop_assert!((lost - 2.0665 * made).abs() < 1e-12 * must.mass_kg());
        let done = ferment_to_tolerance(&must, 10.0);
        let sum = done.liquid.mass_kg() + done.co2_kg + done.biomass_kg;
        prop_assert!(relative(sum, must.mass_kg()) < 1e-12);
    }

    #[test]
    fn volume_solves_the_balance(liquid in any_liquid()) {
        let state = liquid.state();
        let extract = 1000.0 * liquid.solids_kg() / state.volume_l;
        let relative_density =
            relative_density_of_abv(state.abv_percent) + relative_density_of_extract(extract) - 1.0;
        let mass = state.volume_l * WATER_20 / 1000.0 * relative_density;
        prop_assert!(relative(mass, liquid.mass_kg()) < 1e-11, "{mass} {}", liquid.mass_kg());
        prop_assert!(relative(state.sg, relative_density) < 1e-11);
        prop_assert!(relative(state.density_kg_per_l * state.volume_l, liquid.mass_kg()) < 1e-12);
        let abw = 100.0 * liquid.ethanol_kg / liquid.mass_kg();
        prop_assert!((state.abw_percent - abw).abs() < 1e-9);
    }

    #[test]
    fn without_ethanol_only_solids_count(must in any_must(), trace in 1e-15..1e-9) {
        let state = must.state();
        let w = must.solids_kg() / must.mass_kg();
        prop_assert!(relative(state.sg, sg_of_fraction(w)) < 1e-15);
        // A trace of ethanol changes no more than a trace: the two branches meet.
        let with = Liquid { ethanol_kg: trace * must.mass_kg(), ..must }.state();
        prop_assert!((with.sg - state.sg).abs() < 2.0 * trace + 1e-14, "{} {}", with.sg, state.sg);
    }

    #[test]
    fn more_sugar_used_is_more_alcohol_and_a_lower_gravity(
        must in any_liquid(), share in 0.0..1.0, step in 1e-6..0.1,
    ) {
        prop_assume!(must.sugar_kg > 1e-3 * must.mass_kg());
        let less = ferment(&must, share * must.sugar_kg).state();
        let more = ferment(&must, (share + step) * must.sugar_kg).state();
        if share + step <= 1.0 {
            prop_assert!(more.abv_percent > less.abv_percent);
            prop_assert!(more.sg < less.sg);
        }
    }

    #[test]
    fn fermenting_to_an_aim_meets_it(must in any_liquid(), share in 0.0..1.0) {
        prop_assume!(must.sugar_kg > 1e-3 * must.mass_kg());
        let x = share * must.sugar_kg;
        let there = ferment(&must, x).state();
        let tight = 1e-9 * must.mass_kg();

        let done = ferment_to_gravity(&must, there.sg).expect("within reach");
        prop_assert!((done.consumed_kg - x).abs() < tight, "gravity: {} {x}", done.consumed_kg);
        prop_assert!((done.liquid.state().sg - there.sg).abs() < 1.1e-10);
        let done = ferment_to_abv(&must, there.abv_percent).expect("within reach");
        prop_assert!((done.consumed_kg - x).abs() < tight, "abv: {} {x}", done.consumed_kg);
        let done = ferment_to_tolerance(&must, there.abv_percent);
        prop_assert!((done.consumed_kg - x).abs() < tight, "tolerance: {} {x}", done.consumed_kg);
        prop_assert!(done.liquid.state().abv_percent <= there.abv_percent + 1e-9);
    }

    #[test]
    fn sweetening_meets_the_aim(mead in any_liquid(), share in 0.0..0.9) {
        let mead = mead + Liquid::water(0.3 * mead.mass_kg());
        let added = mead.mass_kg() * share / (1.0 - share);
        let target = (mead + HONEY * added).state().sg;
        let kg = sweeten_to(&mead, &HONEY, target).expect("within reach");
        prop_assert!((kg - added).abs() < 1e-8 * (mead.mass_kg() + added), "{kg} {added}");
    }

    #[test]
    fn water_fills_the_volume(solids in any_must(), litres in 0.001..1e4) {
        let water = add_water_for_volume(&solids, litres);
        let full = solids + Liquid::water(water);
        if full.water_kg >= 0.0 {
            prop_assert!(relative(full.state().volume_l, litres) < 1e-12);
        } else {
            // Solid sugar fills 1/1.552 L per kg: more does not go into the volume.
            prop_assert!(solids.solids_kg() / litres > 1.55);
        }
        // Too little room is a negative number, never clamped.
        prop_assert_eq!(water < 0.0, litres < solids.state().volume_l);
    }

    #[test]
    fn readings_come_back(mead in any_liquid()) {
        let state = mead.state();
        let back = Liquid::of_reading(state.volume_l, state.sg, state.abv_percent).expect("a liquid");
        prop_assert!(relative(back.mass_kg(), mead.mass_kg()) < 1e-9);
        prop_assert!((back.extract_kg - mead.solids_kg()).abs() < 1e-9 * mead.mass_kg());
        prop_assert!((back.ethanol_kg - mead.ethanol_kg).abs() < 1e-9 * mead.mass_kg());
    }

    #[test]
    fn size_does_not_matter(mead in any_liquid(), k in 1e-3..1e3) {
        let (one, many) = (mead.state(), (mead * k).state());
        prop_assert!(relative(many.volume_l, one.volume_l * k) < 1e-12);
        prop_assert!(relative(many.sg, one.sg) < 1e-13);
        let (one, many) = (ferment_to_tolerance(&mead, 14.0), ferment_to_tolerance(&(mead * k), 14.0));
        prop_assert!((many.consumed_kg - k * one.consumed_kg).abs() < 1e-9 * k * mead.mass_kg());
    }

    /// Every mixture, the absurd ones included: no water, nothing but ethanol, nothing but sugar.
    #[test]
    fn every_mixture_has_a_volume(a in 0.0..1.0, b in 0.0..1.0, c in 0.0..1.0, zero in 0..8) {
        let on = |bit: i32, x: f64| if zero & bit == 0 { x } else { 0.0 };
        let mix = Liquid { water_kg: on(1, a), sugar_kg: on(2, b), extract_kg: 0.0, ethanol_kg: on(4, c) };
        let state = mix.state();
        prop_assert!((0.75..=1.57).contains(&state.density_kg_per_l), "{state:?}");
        prop_assert!(relative(state.density_kg_per_l * state.volume_l, mix.mass_kg().max(1e-300)) < 1e-9 || mix.mass_kg() == 0.0);
        prop_assert!((0.0..=100.0).contains(&state.abv_percent));
    }

    #[test]
    fn no_number_makes_a_nan(
        a in any_number(), b in any_number(), c in any_number(), d in any_number(),
        e in any_number(), f in any_number(), g in any_number(),
    ) {
        let one = Liquid { water_kg: a, sugar_kg: b, extract_kg: c, ethanol_kg: d };
        let two = Liquid { water_kg: e, sugar_kg: f, extract_kg: g, ethanol_kg: a };
        let liquid = |l: Liquid| [l.water_kg, l.sugar_kg, l.extract_kg, l.ethanol_kg];
        let mut numbers = vec![one.mass_kg(), one.solids_kg(), co2_of_sugar(a), biomass_of_sugar(a)];
        numbers.extend(liquid(one + two));
        numbers.extend(liquid(one * e));
        numbers.extend(liquid(Liquid::water(a)));
        numbers.extend(liquid(ferment(&one, e)));
        numbers.extend(liquid([one, two].into_iter().sum()));
        let s = one.state();
        numbers.extend([s.volume_l, s.density_kg_per_l, s.sg, s.abv_percent, s.abw_percent]);
        let done = [
            Some(ferment_to_tolerance(&one, e)), ferment_to_gravity(&one, e), ferment_to_abv(&one, e),
        ];
        for done in done.into_iter().flatten() {
            numbers.extend(liquid(done.liquid));
            numbers.extend([done.consumed_kg, done.co2_kg, done.biomass_kg]);
            let s = done.liquid.state();
            numbers.extend([s.volume_l, s.density_kg_per_l, s.sg, s.abv_percent, s.abw_percent]);
        }
        numbers.extend(sweeten_to(&one, &two, e));
        numbers.push(add_water_for_volume(&one, e));
        for made in [Liquid::must_of_gravity(a, e), Liquid::of_reading(a, e, f)].into_iter().flatten() {
            numbers.extend(liquid(made));
        }
        prop_assert!(numbers.iter().all(|x| x.is_finite()), "{numbers:?}");
    }
}
