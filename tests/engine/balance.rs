//! The mass balance against worked cases and facts of the trade.

use mustwright::engine::balance::*;
use mustwright::engine::density::*;
use mustwright::engine::numeric::find_root;
use mustwright::engine::units::{POUND_KG, US_GALLON_L};

use crate::support::{Row, close, table};

/// The dissolved parts of one kg of an ingredient, from the columns of a table.
fn dissolved(row: &Row, prefix: &str) -> Liquid {
    Liquid {
        water_kg: row.number(&format!("{prefix}_water_frac")),
        sugar_kg: row.number(&format!("{prefix}_sugar_frac")),
        extract_kg: row.number(&format!("{prefix}_extract_frac")),
        ethanol_kg: 0.0,
    }
}

fn percent_of(value: f64, percent: f64) -> f64 {
    value.abs() * percent / 100.0
}

/// Honey of 78 % sugar, 4 % other solids, 18 % water.
const HONEY: Liquid = Liquid {
    water_kg: 0.18,
    sugar_kg: 0.78,
    extract_kg: 0.04,
    ethanol_kg: 0.0,
};

/// The whole table of musts, by an independent implementation; tolerances of its header.
#[test]
fn musts_and_what_becomes_of_them() {
    for row in table("must_balance") {
        let must = dissolved(&row, "honey") * row.number("honey_kg")
            + dissolved(&row, "other") * row.number("other_kg")
            + Liquid::water(row.number("water_kg"));
        let before = must.state();
        let share = |column: &str| percent_of(row.number(column), 0.1);
        row.expect("must_mass_kg", must.mass_kg(), share("must_mass_kg"));
        row.expect("must_volume_l", before.volume_l, share("must_volume_l"));
        row.expect(
            "must_mass_pct",
            100.0 * must.solids_kg() / must.mass_kg(),
            0.01,
        );
        row.expect("og_20_20", before.sg, 0.0002);

        let tolerance = row.optional("tolerance_abv_pct");
        let done = ferment_to_tolerance(&must, tolerance.unwrap_or(100.0));
        let after = done.liquid.state();
        assert_eq!(
            done.stopped_by,
            match tolerance {
                Some(_) => StoppedBy::Tolerance,
                None => StoppedBy::Sugar,
            }
        );
        row.expect("abv_pct", after.abv_percent, 0.02);
        row.expect("fg_20_20", after.sg, 0.0002);
        let g_per_l = |kg: f64| 1000.0 * kg / after.volume_l;
        row.expect("residual_sugar_g_l", g_per_l(done.liquid.sugar_kg), 0.5);
        row.expect("total_extract_g_l", g_per_l(done.liquid.solids_kg()), 0.5);
        row.expect("final_volume_l", after.volume_l, share("final_volume_l"));
        row.expect("ethanol_kg", done.liquid.ethanol_kg, share("ethanol_kg"));
        row.expect("co2_kg", done.co2_kg, share("co2_kg"));
        row.expect("biomass_kg", done.biomass_kg, share("biomass_kg"));
    }
}

/// The whole table of sweetened meads, by an independent implementation; tolerances of its header.
#[test]
fn sweetening() {
    for row in table("backsweeten") {
        let must = dissolved(&row, "honey") * row.number("honey_kg")
            + Liquid::water(row.number("water_kg"));
        let tolerance = row.optional("tolerance_abv_pct").unwrap_or(100.0);
        let mead = ferment_to_tolerance(&must, tolerance).liquid;
        let before = mead.state();
        row.expect("fg_before", before.sg, 0.0002);
        row.expect("abv_before_pct", before.abv_percent, 0.02);
        let share = |column: &str, percent: f64| percent_of(row.number(column), percent);
        row.expect(
            "volume_before_l",
            before.volume_l,
            share("volume_before_l", 0.1),
        );

        let honey = dissolved(&row, "sweet");
        let target = row.number("target_fg");
        let kg = sweeten_to(&mead, &honey, target).expect("within reach");
        row.expect("sweet_honey_kg", kg, share("sweet_honey_kg", 0.5));
        let sweet = mead + honey * kg;
        let after = sweet.state();
        close(after.sg, target, 1e-10, "the wanted gravity");
        row.expect("abv_after_pct", after.abv_percent, 0.02);
        row.expect(
            "volume_after_l",
            after.volume_l,
            share("volume_after_l", 0.1),
        );
        let sugar = 1000.0 * sweet.sugar_kg / after.volume_l;
        row.expect("sugar_after_g_l", sugar, 0.5);
    }
}

/// Honey and water that fill `volume_l` at gravity `og` beside a fixed ingredient, by the closed form of the model.
fn fill(volume_l: f64, og: f64, honey: Liquid, fixed: Liquid) -> (f64, Liquid) {
    let w = fraction_of_sg(og).expect("in range");
    let mass = volume_l * sg_of_fraction(w) * WATER_20 / 1000.0;
    let honey_kg = (w * mass - fixed.solids_kg()) / honey.solids_kg();
    let dissolved = honey * honey_kg + fixed;
    let water = add_water_for_volume(&dissolved, volume_l);
    (honey_kg, dissolved + Liquid::water(water))
}

/// The whole table of solved recipes, by an independent implementation; tolerances of its header.
#[test]
fn honey_and_water_for_an_aim() {
    for row in table("must_solver") {
        let honey = dissolved(&row, "honey");
        let fixed = dissolved(&row, "other") * row.number("other_kg");
        let volume = row.number("volume_l");
        let filled = |og: f64| fill(volume, og, honey, fixed);
        let (least, most) = (1.02, 1.25);
        let og = match row.text("mode") {
            "og" => row.number("target_og"),
            "dry" => {
                let abv = row.number("target_abv_pct");
                let missing = |og| ferment(&filled(og).1, f64::MAX).state().abv_percent - abv;
                find_root(missing, least, most, 1e-12).expect("bracketed")
            }
            "abv_fg" => {
                let (abv, fg) = (row.number("target_abv_pct"), row.number("target_fg"));
                let missing = |og| ferment_to_tolerance(&filled(og).1, abv).liquid.state().sg - fg;
                find_root(missing, least, most, 1e-12).expect("bracketed")
            }
            other => panic!("unknown mode {other}"),
        };
        let (honey_kg, must) = filled(og);
        row.expect(
            "honey_kg",
            honey_kg,
            percent_of(row.number("honey_kg"), 0.1),
        );
        let water = must.water_kg - honey.water_kg * honey_kg - fixed.water_kg;
        row.expect("water_kg", water, percent_of(row.number("water_kg"), 0.1));
        let state = must.state();
        row.expect("og_20_20", state.sg, 0.0002);
        row.expect(
            "must_mass_pct",
            100.0 * must.solids_kg() / must.mass_kg(),
            0.01,
        );
        close(state.volume_l, volume, 1e-9, "the wanted volume");
    }
}

/// Mixing by mass, ICUMSA SPS-4; tolerances of the header.
#[test]
fn sugar_solutions_mixed() {
    for row in table("blend_sugar") {
        let part = |side: &str| {
            let kg = row.number(&format!("{side}_kg"));
            let w = row.number(&format!("{side}_mass_pct")) / 100.0;
            Liquid {
                water_kg: kg * (1.0 - w),
                sugar_kg: kg * w,
                ..Liquid::default()
            }
        };
        let (a, b) = (part("a"), part("b"));
        let mix = (a + b).state();
        row.expect(
            "mix_mass_pct",
            100.0 * (a + b).solids_kg() / (a + b).mass_kg(),
            0.001,
        );
        row.expect("mix_sg_20_20", mix.sg, 0.00005);
        row.expect("a_volume_l", a.state().volume_l, 0.0002);
        row.expect("b_volume_l", b.state().volume_l, 0.0002);
        row.expect("mix_volume_l", mix.volume_l, 0.0002);
    }
}

/// Mixing spirit, mead and water, OIML R 22; tolerances of the header.
#[test]
fn alcohol_mixed() {
    for row in table("blend_alcohol") {
        let part = |side: &str| {
            let abv = row.number(&format!("{side}_abv_pct"));
            let litres = row.number(&format!("{side}_l"));
            let p = mass_fraction_of_abv(abv);
            let kg = litres * ethanol_density_20(p) / 1000.0;
            Liquid {
                water_kg: kg * (1.0 - p),
                ethanol_kg: kg * p,
                ..Liquid::default()
            }
        };
        let mix = (part("a") + part("b")).state();
        row.expect("mix_abv_pct", mix.abv_percent, 0.01);
        row.expect("mix_volume_l", mix.volume_l, 0.001);
    }
}

/// Common practice, no published source: one pound of honey in a US gallon of must ferments to less than 7.5 %, three pounds to more
/// than 12 %.
#[test]
fn pounds_of_honey_per_gallon() {
    let dry = |pounds: f64| {
        let honey = HONEY * (pounds * POUND_KG);
        let must = honey + Liquid::water(add_water_for_volume(&honey, US_GALLON_L));
        close(must.state().volume_l, US_GALLON_L, 1e-9, "one gallon");
        ferment(&must, f64::MAX).state().abv_percent
    };
    assert!(dry(1.0) < 7.5, "{}", dry(1.0));
    assert!(dry(3.0) > 12.0, "{}", dry(3.0));
}

#[test]
fn what_cannot_be_reached_is_said() {
    let must = HONEY * 3.0 + Liquid::water(7.0);
    let dry = ferment(&must, f64::MAX).state();
    let og = must.state().sg;
    assert_eq!(ferment_to_gravity(&must, dry.sg - 1e-6), None);
    assert_eq!(ferment_to_gravity(&must, og + 1e-6), None);
    assert_eq!(ferment_to_gravity(&must, f64::NAN), None);
    assert_eq!(ferment_to_abv(&must, dry.abv_percent + 1e-6), None);
    assert_eq!(ferment_to_abv(&must, -1e-6), None);
    assert_eq!(ferment_to_abv(&must, f64::NAN), None);
    let all = ferment_to_gravity(&must, dry.sg).expect("the floor itself");
    assert_eq!(all.stopped_by, StoppedBy::Sugar);
    let none = ferment_to_gravity(&must, og).expect("no fermentation");
    assert_eq!(
        (none.consumed_kg, none.stopped_by),
        (0.0, StoppedBy::Tolerance)
    );

    let mead = ferment(&must, f64::MAX);
    assert_eq!(sweeten_to(&mead, &HONEY, dry.sg), Some(0.0));
    assert_eq!(
        sweeten_to(&mead, &HONEY, dry.sg - 1e-6),
        None,
        "sweeter already"
    );
    assert_eq!(
        sweeten_to(&mead, &HONEY, HONEY.state().sg),
        None,
        "no mead is that sweet"
    );
    assert_eq!(
        sweeten_to(&mead, &Liquid::water(1.0), 1.0),
        None,
        "water does not sweeten"
    );
    let sweet = mead + HONEY;
    assert_eq!(
        sweeten_to(&sweet, &Liquid::water(1.0), sweet.state().sg - 0.01),
        None,
        "thinning is not sweetening"
    );
    assert_eq!(sweeten_to(&mead, &Liquid::default(), 1.0), None);
    assert_eq!(sweeten_to(&Liquid::default(), &HONEY, 1.0), None);
}

#[test]
fn a_strong_must_does_not_ferment() {
    let must = ferment(&(HONEY * 5.0 + Liquid::water(7.0)), 2.0);
    let abv = must.state().abv_percent;
    for tolerance in [abv - 3.0, abv, 0.0, -1.0, f64::NAN, f64::NEG_INFINITY] {
        let done = ferment_to_tolerance(&must, tolerance);
        close(done.consumed_kg, 0.0, 1e-9, "sugar used");
        assert_eq!(done.stopped_by, StoppedBy::Tolerance);
        close(done.liquid.state().abv_percent, abv, 1e-9, "strength");
    }
    let done = ferment_to_tolerance(&must, abv + 2.0);
    close(done.liquid.state().abv_percent, abv + 2.0, 1e-9, "strength");
    let done = ferment_to_tolerance(&must, f64::INFINITY);
    assert_eq!(
        (done.liquid.sugar_kg, done.stopped_by),
        (0.0, StoppedBy::Sugar)
    );
}

#[test]
fn an_empty_liquid_is_water_of_no_volume() {
    let state = Liquid::default().state();
    assert_eq!(
        (state.volume_l, state.sg, state.abv_percent),
        (0.0, 1.0, 0.0)
    );
    assert_eq!(add_water_for_volume(&HONEY, 0.0), -1.0);
    let litre = add_water_for_volume(&Liquid::default(), 1.0);
    close(litre, WATER_20 / 1000.0, 1e-12, "a litre of water");
}

/// A sweetener with alcohol and something that does not dissolve: poured together they have the gravity that was wanted.
#[test]
fn a_liqueur_sweetens_with_what_dissolves_of_it() {
    let must = Liquid::must_of_gravity(10.0, 1.090).expect("a must");
    let wine = ferment(&must, must.sugar_kg);
    let liqueur = Liquid {
        water_kg: 0.35,
        sugar_kg: 0.40,
        extract_kg: 0.0,
        ethanol_kg: 0.15,
    };
    let kg = sweeten_to(&wine, &liqueur, 1.010).expect("an amount");
    assert!(kg > 0.0, "{kg}");
    close((wine + liqueur * kg).state().sg, 1.010, 1e-8, "gravity");
}
