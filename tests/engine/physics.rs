//! Densities, gravities, hydrometer, units and roots against published tables, and laws they must keep.

use mustwright::engine::alcohol::*;
use mustwright::engine::density::*;
use mustwright::engine::hydrometer::correct_reading;
use mustwright::engine::numeric::{MOST_EVALUATIONS, find_root};
use mustwright::engine::units::*;
use proptest::prelude::*;

use crate::support::{any_number, close, table};

/// IAPWS-95 formulation of water.
#[test]
fn water_agrees_with_the_international_formulation() {
    for row in table("water_density") {
        let found = water_density(row.number("temp_c"));
        row.expect("density_kg_m3", found, row.number("tolerance_kg_m3"));
    }
}

/// CRC Handbook of Chemistry and Physics, 102nd ed., Concentrative Properties of Aqueous Solutions.
#[test]
fn sucrose_agrees_with_the_handbook() {
    for row in table("sucrose_density_20c") {
        let (w, tolerance) = (
            row.number("mass_pct") / 100.0,
            row.number("tolerance_kg_m3"),
        );
        assert_eq!(row.number("temp_c"), 20.0);
        row.expect("density_kg_m3", sucrose_density_20(w), tolerance);
        row.expect("density_kg_m3", sucrose_density(w, 20.0), tolerance);
    }
}

/// ICUMSA SPS-4 by an independent implementation.
#[test]
fn sucrose_at_other_temperatures() {
    for row in table("sucrose_density_temperature") {
        let found = sucrose_density(row.number("mass_pct") / 100.0, row.number("temp_c"));
        // Far inside the stated tolerance: the same formula, printed to three decimals.
        assert!(row.number("tolerance_kg_m3") > 0.0006);
        row.expect("density_kg_m3", found, 0.0006);
    }
}

/// ICUMSA SPS-4, the ASBC polynomial, by an independent implementation.
#[test]
fn brix_and_gravity() {
    for row in table("brix_sg") {
        let brix = row.number("mass_pct");
        let (w, tolerance) = (brix / 100.0, row.number("tolerance_sg"));
        row.expect("sg_20_20", sg_of_fraction(w), tolerance);
        row.expect("sg_60f_60f", sg_60f_of_fraction(w), tolerance);
        row.expect("sg_air_20_20", sg_air_of_fraction(w), tolerance);
        if let Some(plato) = row.optional("plato_asbc_of_sg_air") {
            // The polynomial is steep: the rounding of the printed gravity alone is worth 0.0013 °P, so our own is used.
            close(plato_asbc(sg_air_of_fraction(w)), plato, 0.0015, "ASBC");
        }
        let back = fraction_of_sg(row.number("sg_20_20")).expect("a gravity of the table");
        // Half a unit of the printed fifth decimal of SG is 0.0015 % of sugar.
        close(
            100.0 * back,
            brix,
            0.0015,
            "mass percent of a printed gravity",
        );
    }
}

/// "Both within 0.015 of the ICUMSA inversion to 1.10; above that ASBC drifts low (−0.05 at 1.16, −0.09 at 1.179)".
#[test]
fn older_polynomials_agree_where_they_are_good() {
    for i in 0..=236 {
        let w = f64::from(i) / 1000.0;
        let sg = sg_air_of_fraction(w);
        close(plato_asbc(sg), 100.0 * w, 0.016, "ASBC");
        close(brix_nbs(sg), 100.0 * w, 0.016, "NBS");
    }
    for (sg, drift) in [(1.16, -0.05), (1.179, -0.09)] {
        let w = find_root(|w| sg_air_of_fraction(w) - sg, 0.0, 0.85, 1e-12).expect("bracketed");
        close(plato_asbc(sg) - 100.0 * w, drift, 0.006, "ASBC, strong");
    }
}

/// White (1975) as in Crane, from memory, and the fit of the engine's physics reference.
#[test]
fn honey_density_agrees_with_the_honey_table() {
    for row in table("honey_density") {
        let found = honey_density(1.0 - row.number("moisture_pct") / 100.0);
        row.expect("fit_density_kg_m3", found, 0.06);
        row.expect("sg_20_20", found / WATER_20, row.number("tolerance_sg"));
    }
}

/// CRC Handbook, 102nd ed.: glucose and fructose solutions, whose mean is invert sugar (each printed to 0.1 kg/m³).
#[test]
fn honey_density_agrees_with_invert_sugar() {
    for row in table("invert_sugar_density_20c") {
        let w = row.number("mass_pct") / 100.0;
        let printed = 1000.0 * row.number("invert_minus_sucrose_g_cm3");
        let found = honey_density(w) - sucrose_density_20(w);
        close(found, printed, 0.25, "invert sugar less sucrose");
    }
}

/// NBS Bulletin vol. 9 (Osborne et al. 1913) as in Perry and in Simmonds; CRC Handbook, 102nd ed.
#[test]
fn ethanol_agrees_with_the_old_tables() {
    for row in table("ethanol_density") {
        let found = ethanol_density(row.number("mass_pct") / 100.0, row.number("temp_c"));
        row.expect("density_kg_m3", found, row.number("tolerance_kg_m3"));
    }
}

/// OIML R 22 (1975) by an independent implementation.
#[test]
fn ethanol_by_the_general_formula() {
    for row in table("ethanol_density_r22") {
        let found = ethanol_density(row.number("mass_pct") / 100.0, row.number("temp_c"));
        // Far inside the stated tolerance: the same formula, printed to three decimals.
        assert!(row.number("tolerance_kg_m3") > 0.0006);
        row.expect("density_kg_m3", found, 0.0006);
    }
}

/// OIML R 22 (1975); the 40, 50 and 96 % rows agree with the International Alcoholometric Tables.
#[test]
fn ethanol_by_volume_and_by_mass() {
    for row in table("ethanol_mass_volume_20c") {
        let abv = row.number("abv_pct");
        let p = mass_fraction_of_abv(abv);
        row.expect("mass_pct", 100.0 * p, row.number("tolerance_mass_pct"));
        row.expect(
            "density_kg_m3",
            ethanol_density_20(p),
            row.number("tolerance_kg_m3"),
        );
        let tolerance = row.number("tolerance_kg_m3") / WATER_20;
        row.expect("sg_20_20", relative_density_of_abv(abv), tolerance);
        close(
            abv_of_mass_fraction(p),
            abv,
            1e-9,
            "back to percent by volume",
        );
    }
}

/// US Pharmacopeia alcoholometric table, from NBS Bulletin vol. 9.
#[test]
fn ethanol_by_volume_at_60_fahrenheit() {
    for row in table("ethanol_mass_volume_60f") {
        let p = mass_fraction_of_abv_60f(row.number("abv_60f_pct"));
        row.expect("mass_pct", 100.0 * p, row.number("tolerance_mass_pct"));
        row.expect(
            "sg_air_60f_60f",
            sg_air_60f_of_ethanol(p),
            row.number("tolerance_sg"),
        );
    }
}

/// OIV-MA-AS2-03B (Tabarié's additivity of relative densities), by an independent implementation.
#[test]
fn gravity_of_a_wine_from_alcohol_and_extract() {
    for row in table("wine_sg_tabarie") {
        let (abv, extract) = (row.number("abv_pct"), row.number("extract_g_l"));
        let found = relative_density_of_abv(abv) + relative_density_of_extract(extract) - 1.0;
        row.expect("sg_20_20", found, row.number("tolerance_sg"));
    }
}

/// A reading corrected; `None` as well for what is no gravity, temperature or strength at all.
fn corrected(reading: f64, at: f64, calibration: f64, abv: f64) -> Option<f64> {
    let (reading, abv) = (SpecificGravity::new(reading)?, Abv::new(abv)?);
    let (at, calibration) = (Celsius::new(at)?, Celsius::new(calibration)?);
    correct_reading(reading, at, calibration, abv).map(SpecificGravity::get)
}

/// ICUMSA SPS-4 and OIML R 22 with the buoyancy of a glass hydrometer, by an independent implementation.
#[test]
fn hydrometer_away_from_its_temperature() {
    for row in table("hydrometer_correction") {
        let found = corrected(
            row.number("reading_sg"),
            row.number("temp_c"),
            row.number("cal_temp_c"),
            row.number("abv_pct"),
        );
        let found = found.expect("a reading of the table");
        row.expect("corrected_sg", found, row.number("tolerance_sg"));
    }
}

/// NBS corrections of a Brix hydrometer at 15 °C for 0 (5) 30 °Bx, from memory.
#[test]
fn hydrometer_in_brix_at_15_degrees() {
    for (brix, correction) in [
        (5.0, 0.22),
        (10.0, 0.24),
        (15.0, 0.26),
        (20.0, 0.28),
        (25.0, 0.30),
        (30.0, 0.32),
    ] {
        let reading = sg_of_fraction(brix / 100.0);
        let sg = corrected(reading, 15.0, 20.0, 0.0).expect("in range");
        let found = brix - 100.0 * fraction_of_sg(sg).expect("in range");
        close(found, correction, 0.015, "Brix correction");
    }
}

/// At its own temperature an instrument needs no correction, and out of range there is no answer.
#[test]
fn hydrometer_limits() {
    for sg in [0.99, 1.0, 1.1, 1.3] {
        let found = corrected(sg, 20.0, 20.0, 0.0).expect("in range");
        close(found, sg, 1e-12, "no correction");
    }
    assert_eq!(corrected(1.05, 90.0, 20.0, 0.0), None);
    assert_eq!(corrected(1.05, 50.0, 20.0, 12.0), None);
    assert_eq!(corrected(1.6, 20.0, 20.0, 0.0), None);
    assert_eq!(corrected(0.8, 20.0, 20.0, 0.0), None);
    assert_eq!(corrected(f64::NAN, 20.0, 20.0, 0.0), None);
}

#[test]
fn roots_are_found_within_the_evaluations_promised() {
    let mut most = 0;
    type Named = (&'static str, fn(f64) -> f64);
    let functions: [Named; 7] = [
        ("line", |x| x - 0.3),
        ("cube", |x| (x - 0.3).powi(3)),
        ("ninth power", |x| (x - 0.3).powi(9)),
        ("step", |x| if x < 0.3 { -1.0 } else { 1.0 }),
        ("steep", |x| (60.0 * (x - 0.3)).tanh()),
        ("lopsided", |x| (50.0 * x).exp() - (15.0_f64).exp()),
        ("falling", |x| 0.3 - x),
    ];
    for (name, f) in functions {
        let mut spent = 0;
        let counted = |x: f64| {
            spent += 1;
            f(x)
        };
        let root = find_root(counted, -1.0, 7.0, 1e-10).expect("bracketed");
        let tolerance = if name == "ninth power" { 1e-3 } else { 1e-8 };
        close(root, 0.3, tolerance, name);
        most = most.max(spent);
    }
    assert!(most <= MOST_EVALUATIONS, "{most}");
    assert_eq!(find_root(|x| x * x + 1.0, -1.0, 1.0, 1e-9), None);
    assert_eq!(find_root(|_| f64::NAN, -1.0, 1.0, 1e-9), None);
    assert_eq!(find_root(|x| 1.0 / x, f64::NEG_INFINITY, 1.0, 1e-9), None);
    assert_eq!(find_root(|x| x, 0.0, 1.0, 1e-9), Some(0.0));
    assert_eq!(find_root(|x| x - 1.0, 0.0, 1.0, 1e-9), Some(1.0));
}

#[test]
fn units_refuse_what_is_out_of_range() {
    assert_eq!(Litres::new(20.0).map(Litres::get), Some(20.0));
    assert_eq!(Litres::new(-0.1), None);
    assert_eq!(Kilograms::new(f64::NAN), None);
    assert_eq!(Abv::new(100.1), None);
    assert_eq!(SpecificGravity::new(1.7), None);
    assert_eq!(
        serde_json::to_string(&Abv::new(12.5)).ok().as_deref(),
        Some("12.5")
    );
    assert_eq!(
        serde_json::from_str::<SpecificGravity>("1.1").ok(),
        SpecificGravity::new(1.1)
    );
    let refused = serde_json::from_str::<Litres>("-1").expect_err("a negative volume");
    assert!(
        refused.to_string().contains("litres must be between 0"),
        "{refused}"
    );
    close(
        celsius_of_fahrenheit(60.0),
        SIXTY_FAHRENHEIT_C,
        1e-12,
        "60 °F",
    );
    close(fahrenheit_of_celsius(20.0), 68.0, 1e-12, "20 °C");
    // NIST Handbook 44, appendix C.
    close(US_GALLON_L / US_FLUID_OUNCE_L, 128.0, 1e-12, "fluid ounces");
    close(OUNCE_KG, 0.028349523125, 1e-15, "ounce");
}

proptest! {
    #[test]
    fn inversions_come_back(w in 0.0..=0.85, p in 0.0..=1.0, abv in 0.0..=100.0) {
        let back = fraction_of_sg(sg_of_fraction(w)).expect("in range");
        prop_assert!((back - w).abs() < 1e-9, "{w} {back}");
        let back = fraction_of_concentration(w * sucrose_density_20(w));
        prop_assert!((back - w).abs() < 1e-9, "{w} {back}");
        let back = mass_fraction_of_abv(abv_of_mass_fraction(p));
        prop_assert!((back - p).abs() < 1e-6 && (p > 0.9999 || (back - p).abs() < 1e-9), "{p} {back}");
        let back = abv_of_mass_fraction(mass_fraction_of_abv(abv));
        prop_assert!((back - abv).abs() < 1e-9, "{abv} {back}");
    }

    #[test]
    fn a_warm_reading_is_corrected_back(sg in 0.99..1.2, t in 0.0..40.0, abv in 0.0..20.0) {
        // Read at t, corrected to 20 °C; the same liquid read the other way round must give the reading.
        let at_20 = corrected(sg, t, 20.0, abv).expect("in range");
        prop_assert!((at_20 - sg).abs() < 0.012);
        prop_assert_eq!((at_20 > sg + 3e-4) && t < 15.0, false);
        prop_assert_eq!((at_20 < sg - 3e-4) && t > 25.0, false);
    }

    #[test]
    fn stronger_solutions_are_denser(w in 0.0..0.84, step in 1e-6..0.01, t in 0.0..80.0) {
        prop_assert!(sucrose_density(w + step, t) > sucrose_density(w, t));
        prop_assert!(honey_density(w + step) > honey_density(w));
        prop_assert!(ethanol_density_20(w + step) < ethanol_density_20(w));
    }

    #[test]
    fn no_number_makes_a_nan(a in any_number(), b in any_number(), c in any_number(), d in any_number()) {
        let always = [
            water_density(a), sucrose_density(a, b), sucrose_density_20(a), sg_of_fraction(a),
            fraction_of_concentration(a), relative_density_of_extract(a), honey_density(a), sg_60f_of_fraction(a),
            sg_air_of_fraction(a), plato_asbc(a), brix_nbs(a), ethanol_density(a, b), ethanol_density_20(a),
            mass_fraction_of_abv(a), abv_of_mass_fraction(a), relative_density_of_abv(a),
            mass_fraction_of_abv_60f(a), sg_air_60f_of_ethanol(a), cut_to_one_decimal(a),
            celsius_of_fahrenheit(a), fahrenheit_of_celsius(a),
        ];
        prop_assert!(always.iter().all(|x| x.is_finite()), "{always:?}");
        let perhaps = [
            fraction_of_sg(a), apparent_fraction_of_sg(a), corrected(a, b, c, d),
            find_root(|x| x - a, b, c, d), find_root(|x| a * x * x + b, c, d, 0.0),
            Litres::new(a).map(Litres::get), Kilograms::new(a).map(Kilograms::get), Abv::new(a).map(Abv::get),
            SpecificGravity::new(a).map(SpecificGravity::get), Celsius::new(a).map(Celsius::get),
            GramsPerLitre::new(a).map(GramsPerLitre::get),
        ];
        prop_assert!(perhaps.iter().flatten().all(|x| x.is_finite()), "{perhaps:?}");
        let (Some(og), Some(fg)) = (SpecificGravity::new(a), SpecificGravity::new(b)) else {
            return Ok(());
        };
        let strengths = [potential_abv(og), balling_abv(og, fg), duty_table_abv(og, fg)];
        prop_assert!(strengths.iter().flatten().all(|abv| abv.get().is_finite()), "{strengths:?}");
        prop_assert!(lowest_final_gravity(og).is_none_or(|sg| sg.get().is_finite()));
        if let Ok(found) = abv_from_gravities(og, fg) {
            let all = [found.abv_percent, found.abw_percent, found.residual_extract_g_per_l,
                found.attenuation_percent, found.used_percent];
            prop_assert!(all.iter().all(|x| x.is_finite()), "{all:?}");
        }
    }
}
