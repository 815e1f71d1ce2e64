//! Yeasts, feeds, vessels and style words against the reference tables.

use std::collections::{HashMap, HashSet};
use std::path::PathBuf;

use approx::assert_abs_diff_eq;
use mustwright::catalogue::{VesselKind, catalogue};

use super::{cell, table};

#[test]
fn yeasts_agree_with_the_class_table() {
    let table = table("yeast_classes.csv");
    assert_eq!(catalogue().yeasts().len(), table.len());
    for yeast in catalogue().yeasts() {
        let row = &table[&yeast.row];
        let [low, high] = yeast.tolerance_range;
        assert_eq!(Some(low), cell(row, "abv_tolerance_low_pct"));
        assert_eq!(Some(high), cell(row, "abv_tolerance_high_pct"));
        assert_abs_diff_eq!(
            yeast.tolerance_abv_percent(),
            (low + high) / 2.0,
            epsilon = 1e-12
        );
        assert_eq!(Some(yeast.temperature_c[0]), cell(row, "temp_low_c"));
        assert_eq!(Some(yeast.temperature_c[1]), cell(row, "temp_high_c"));
        assert_eq!(yeast.nitrogen_need.word(), row["nitrogen_class"]);
        assert_eq!(yeast.species, row["species"]);
        assert_eq!(yeast.attenuation, row["attenuation"]);
        let wanted = if yeast.group == "wine" {
            [35.0, 40.0]
        } else {
            [25.0, 30.0]
        };
        assert_eq!(yeast.rehydrate_c, wanted, "{}", yeast.key);
    }
    // Facts of the trade (common practice): ale yeasts stop before 15 %, many wine yeasts do not.
    let reach = |group: &str| {
        catalogue()
            .yeasts()
            .iter()
            .filter(|y| y.group == group)
            .map(|y| y.tolerance_range[1])
            .fold(0.0, f64::max)
    };
    assert!(reach("ale") < 15.0);
    assert!(reach("wine") > 15.0);
}

#[test]
fn feeds_carry_the_nitrogen_of_the_table() {
    let table = csv::Reader::from_path(
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference/nutrition.csv"),
    )
    .unwrap()
    .deserialize::<HashMap<String, String>>()
    .map(Result::unwrap)
    .filter(|row| row["type"] == "nutrient")
    .map(|row| (row["id"].clone(), row))
    .collect::<HashMap<_, _>>();
    for (key, id) in [
        ("feed-dap", "DAP"),
        ("feed-organic", "organic"),
        ("feed-mixed", "mixed"),
        ("feed-yeast-hulls", "hulls"),
    ] {
        let feed = catalogue().find_feed(key).unwrap();
        let total = cell(&table[id], "value").unwrap();
        assert_abs_diff_eq!(
            feed.ammonium_yan_mg_per_g + feed.organic_yan_mg_per_g,
            total,
            epsilon = 0.005
        );
        assert_eq!(feed.max_g_per_l, None);
    }
    // The ammonium part of the mixed nutrient is that of a DAP share of 0.35 (rounded in the notes).
    let mixed = catalogue().find_feed("feed-mixed").unwrap();
    assert_abs_diff_eq!(mixed.ammonium_yan_mg_per_g / 212.13, 0.35, epsilon = 0.002);
}

#[test]
fn vessels_and_families_are_complete() {
    for kind in VesselKind::ALL {
        assert!(
            catalogue()
                .vessels()
                .iter()
                .any(|vessel| vessel.kind == kind),
            "{}",
            kind.word()
        );
    }
    for vessel in catalogue().vessels() {
        assert!((1.0..=1000.0).contains(&vessel.brim_l), "{}", vessel.key);
        assert!(vessel.caution.is_some(), "{}", vessel.key);
    }
    let known: HashSet<String> = csv::Reader::from_path(
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference/styles.csv"),
    )
    .unwrap()
    .deserialize::<HashMap<String, String>>()
    .map(Result::unwrap)
    .filter(|row| row["type"] == "family")
    .map(|row| row["id"].clone())
    .collect();
    for family in catalogue().families() {
        assert!(known.contains(&family.code), "{}", family.code);
    }
    assert_eq!(
        catalogue().find_family("melomel").unwrap().words,
        "fruit mead"
    );
    assert_eq!(
        catalogue().find_family("style-melomel").unwrap().code,
        "melomel"
    );
}
