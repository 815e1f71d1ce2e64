//! Water: salts against the check table, charges, alkalinity, and what a report may name.

use std::collections::BTreeMap;

use mustwright::engine::problem::ProblemCode;
use mustwright::engine::recipe::*;
use mustwright::engine::sulfite::{self, MOST_CHLORINE_MG_PER_L, against_chlorine_g};
use mustwright::engine::water::{
    ALKALINITY, Ions, SALTS, Salt, meaning, mix, read_ions, read_salts,
};
use proptest::prelude::*;

use crate::documents::*;
use crate::support::{any_number, close, table};

fn named(pairs: &[(&str, f64)]) -> BTreeMap<String, f64> {
    pairs
        .iter()
        .map(|(name, value)| ((*name).to_owned(), *value))
        .collect()
}

fn ions(pairs: &[(&str, f64)]) -> Ions {
    read_ions(&named(pairs), "").expect("a report")
}

fn of(ions: &Ions, name: &str) -> f64 {
    ions.of(name).expect(name)
}

/// The whole table of salts; tolerance of its header.
#[test]
fn what_a_gram_of_each_salt_makes() {
    let rows = table("water_salts");
    assert_eq!(rows.len(), SALTS.len(), "a salt without a row");
    for row in &rows {
        let salts = read_salts(&named(&[(row.text("salt"), 1.0)]), "").expect("a salt");
        let water = mix(1.0, &Ions::default(), &salts).expect("water");
        let found = of(&water.ions, row.text("ion"));
        row.expect("mg_per_l_per_g_per_l", found, 0.05);
        row.expect(
            "alkalinity_caco3_mg_l_per_g_l",
            water.alkalinity_mg_per_l_caco3,
            0.05,
        );
        // A gram of an anhydrous salt is a gram of ions; water of crystallisation is none.
        let sum = water.ions.sum();
        let dry = !row.text("salt").contains("H2O");
        assert!(if dry {
            (sum - 1000.0).abs() < 0.05
        } else {
            sum < 1000.0
        });
    }
}

/// Figures of the reference on physical chemistry, section 10, that the table leaves out; as printed there.
#[test]
fn the_other_ions_of_the_salts() {
    for (salt, ion, mg) in [
        ("CaSO4.2H2O", "SO4", 557.9),
        ("CaCl2.2H2O", "Cl", 482.3),
        ("CaCl2", "Cl", 638.9),
        ("MgSO4.7H2O", "SO4", 389.7),
        ("MgCl2.6H2O", "Cl", 348.8),
        ("NaCl", "Cl", 606.6),
        ("KCl", "Cl", 475.5),
        ("K2SO4", "SO4", 551.3),
        ("NaHCO3", "HCO3", 726.3),
        ("KHCO3", "HCO3", 609.5),
        ("K2CO3", "CO3", 434.2),
    ] {
        let salt = Salt::named(salt).expect(salt);
        close(of(&salt.ions_mg_per_g(), ion), mg, 0.06, salt.name());
    }
}

#[test]
fn every_salt_is_neutral() {
    for salt in SALTS {
        let imbalance = salt.ions_mg_per_g().charge_imbalance();
        close(imbalance.expect("ions"), 0.0, 0.01, salt.formula());
    }
}

/// A report worked by hand: Ca 60/20.039 + Mg 12/12.1525 + Na 20/22.99 + K 2/39.098 = 4.9027 meq/L against
/// HCO3 200/61.016 + SO4 40/48.028 + Cl 28/35.45 = 4.9005.
#[test]
fn charges_and_alkalinity_of_a_report() {
    let report = ions(&[
        ("Ca", 60.0),
        ("Mg", 12.0),
        ("Na", 20.0),
        ("K", 2.0),
        ("HCO3", 200.0),
        ("SO4", 40.0),
        ("Cl", 28.0),
    ]);
    let imbalance = report.charge_imbalance().expect("charges");
    close(imbalance, 100.0 * 0.0022 / 9.8032, 0.01, "imbalance");
    // 200 mg/L × 0.8202 (reference, section 10).
    close(report.alkalinity(), 164.04, 0.05, "alkalinity");
    // One figure forgotten, and the report says so.
    let forgotten = ions(&[("Ca", 60.0), ("Mg", 12.0), ("HCO3", 100.0)]);
    assert!(forgotten.charge_imbalance().expect("charges") > 5.0);
    assert_eq!(Ions::default().charge_imbalance(), None);
    close(
        ions(&[("Cl", 5.0)]).charge_imbalance().expect("charges"),
        -100.0,
        1e-12,
        "nothing but chloride",
    );
}

#[test]
fn alkalinity_may_stand_for_bicarbonate() {
    let report = ions(&[("alkalinity_caco3", 164.04)]);
    close(of(&report, "bicarbonate"), 200.0, 0.05, "bicarbonate");
    close(report.alkalinity(), 164.04, 1e-9, "and back");
}

/// Two halves with half the salts each, poured together, are one water; twice the litres want twice the salts.
#[test]
fn salts_go_by_the_litre() {
    let report = ions(&[("Ca", 40.0), ("HCO3", 122.0)]);
    let salts =
        |k: f64| read_salts(&named(&[("gypsum", 2.0 * k), ("KHCO3", 3.0 * k)]), "").expect("salts");
    let one = mix(10.0, &report, &salts(1.0)).expect("water");
    let two = mix(20.0, &report, &salts(2.0)).expect("water");
    for ((name, a), (_, b)) in one.ions.iter().zip(two.ions.iter()) {
        close(a, b, 1e-9 * a.abs(), name);
    }
    close(of(&one.ions, "ca"), 40.0 + 0.2 * 232.79, 0.01, "calcium");
    assert_eq!(
        one.charge_imbalance_percent,
        mix(10.0, &report, &[])
            .expect("water")
            .charge_imbalance_percent,
        "salts hide no slip of the report"
    );
}

#[test]
fn names_are_read_as_people_write_them() {
    let formulas = ions(&[("Ca", 40.0), ("HCO3", 122.0)]);
    assert_eq!(formulas, ions(&[("calcium", 40.0), ("Bicarbonate", 122.0)]));
    for (written, formula) in [
        ("gypsum", "CaSO4.2H2O"),
        ("CaSO4·2H2O", "CaSO4.2H2O"),
        ("epsom salt", "MgSO4.7H2O"),
        ("cacl2", "CaCl2"),
        ("Potassium bicarbonate", "KHCO3"),
    ] {
        assert_eq!(Salt::named(written).map(Salt::formula), Some(formula));
    }
}

#[test]
fn what_is_not_known_is_named() {
    let codes = |report: &[(&str, f64)]| {
        let problems = read_ions(&named(report), "/report").expect_err("problems");
        let told = problems
            .iter()
            .map(|problem| (problem.code, problem.path.clone()));
        told.collect::<Vec<_>>()
    };
    assert_eq!(
        codes(&[("unobtainium", 3.0)]),
        [(ProblemCode::UnknownWord, "/report/unobtainium".to_owned())]
    );
    assert_eq!(
        codes(&[("Ca", 3.0), ("calcium", 3.0)]),
        [(ProblemCode::DuplicateKey, "/report/calcium".to_owned())]
    );
    assert_eq!(
        codes(&[("HCO3", 3.0), ("alkalinity_caco3", 3.0)]),
        [(
            ProblemCode::DuplicateKey,
            "/report/alkalinity_caco3".to_owned()
        )]
    );
    assert_eq!(
        codes(&[("Ca", -3.0)]),
        [(ProblemCode::OutOfRange, "/report/Ca".to_owned())]
    );
    for (salts, code) in [
        (&[("sand", 1.0)][..], ProblemCode::UnknownWord),
        (
            &[("NaCl", 1.0), ("table_salt", 1.0)],
            ProblemCode::DuplicateKey,
        ),
        (&[("NaCl", f64::NAN)], ProblemCode::OutOfRange),
    ] {
        let problems = read_salts(&named(salts), "/salts").expect_err("problems");
        assert_eq!(problems[0].code, code);
    }
}

proptest! {
    #[test]
    fn no_number_makes_a_nan(
        litres in any_number(),
        report in any_number(),
        grams in any_number(),
    ) {
        let read = (
            read_ions(&named(&[("Ca", report), ("Cl", report)]), ""),
            read_salts(&named(&[("gypsum", grams), ("chalk", grams)]), ""),
        );
        if let (Ok(ions), Ok(salts)) = read
            && let Some(water) = mix(litres, &ions, &salts)
        {
            prop_assert!(water.ions.iter().all(|(_, mg)| mg.is_finite() && mg >= 0.0));
            prop_assert!(water.alkalinity_mg_per_l_caco3.is_finite());
            prop_assert!(water.charge_imbalance_percent.is_none_or(f64::is_finite));
        }
    }
}

fn with_water(ions: &[(&str, f64)], salts: &[(&str, f64)]) -> Recipe {
    Recipe {
        water_report: Some(WaterReport {
            ions: named(ions),
            salts: named(salts),
        }),
        ..traditional()
    }
}

/// The salts go into the water of the recipe, not into its must.
#[test]
fn a_recipes_salts_go_into_its_water() {
    let numbers = sound(&with_water(
        &[("Ca", 40.0), ("Cl", 71.0)],
        &[("KHCO3", 5.0)],
    ));
    let litres = numbers.whole.as_ref().expect("a must").water_l;
    assert!((15.0..18.0).contains(&litres), "{litres}");
    let water = numbers.water.expect("water");
    close(
        of(&water.ions, "k"),
        5.0 * 390.54 / litres,
        0.01,
        "potassium",
    );
    close(
        water.alkalinity_mg_per_l_caco3,
        5.0 * 499.86 / litres,
        0.01,
        "alkalinity",
    );
    let imbalance = water.charge_imbalance_percent.expect("a report");
    close(imbalance, 0.0, 0.5, "40 of calcium, 71 of chloride");
}

#[test]
fn without_a_report_or_water_nothing_is_said_of_it() {
    assert_eq!(sound(&traditional()).water, None);
    assert_eq!(sound(&with_water(&[], &[])).water, None);
    let mut all_juice = with_water(&[("Ca", 40.0)], &[]);
    all_juice.ingredients.push(juice(Amount::Litres(0.0)));
    all_juice.filler = Some("apple juice".to_owned());
    assert_eq!(sound(&all_juice).water, None);
}

/// A name that is not known is a problem beside its number; what does not depend on it is told.
#[test]
fn an_unknown_name_in_the_report_leaves_the_rest_standing() {
    let numbers = numbers(&with_water(
        &[("Ca", 40.0), ("gold", 1.0)],
        &[("sand", 1.0)],
    ));
    let told: Vec<(ProblemCode, &str)> = numbers
        .problems
        .iter()
        .map(|problem| (problem.code, problem.path.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            (ProblemCode::UnknownWord, "/water_report/ions/gold"),
            (ProblemCode::UnknownWord, "/water_report/salts/sand"),
        ]
    );
    assert!(numbers.water.is_none() && numbers.finished.is_some());
    // Out of reach and misspelt: both are said.
    let mut recipe = with_water(&[("gold", 1.0)], &[]);
    recipe.aim = Aim::Target(Target::Abv(20.0));
    assert_eq!(
        problem_codes(&crate::documents::numbers(&recipe)),
        [ProblemCode::YeastCannotReach, ProblemCode::UnknownWord]
    );
}

/// Mole for mole: 70.90 g of chlorine take 64.058 g of sulfur dioxide, which is half a mole of either salt (222.307 and
/// 190.099 g). At the most that is allowed in the United States a tablet of half a gram does for twenty US gallons, as is
/// common practice.
#[test]
fn sulfite_takes_up_chlorine_mole_for_mole() {
    let [potassium, sodium] = sulfite::Salt::ALL;
    close(
        against_chlorine_g(potassium, 70.90, 1000.0),
        111.1535,
        1e-3,
        "potassium",
    );
    close(
        against_chlorine_g(sodium, 70.90, 1000.0),
        95.0495,
        1e-3,
        "sodium",
    );
    close(
        against_chlorine_g(potassium, MOST_CHLORINE_MG_PER_L, 20.0 * 3.785_411_784),
        0.475,
        0.001,
        "twenty gallons",
    );
    for (chlorine, litres) in [(f64::NAN, 1.0), (1.0, f64::NAN), (-1.0, 5.0), (1.0, -5.0)] {
        assert_eq!(against_chlorine_g(potassium, chlorine, litres), 0.0);
    }
}

#[test]
fn a_name_in_a_report_means_one_thing() {
    for (name, word) in [
        ("Ca", Some("calcium")),
        (" Calcium ", Some("calcium")),
        ("HCO3", Some("bicarbonate")),
        ("Alkalinity CaCO3", Some(ALKALINITY)),
        ("gold", None),
    ] {
        assert_eq!(meaning(name), word, "{name}");
    }
}
