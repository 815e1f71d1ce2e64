//! Honeys and other ingredients against the reference tables.

use std::collections::HashSet;

use approx::assert_abs_diff_eq;
use mustwright::catalogue::{Entry, Kind, Stage, catalogue};
use mustwright::engine::density::relative_density_of_extract;
use mustwright::web::units::TypedAmount;

use super::{cell, rows_of, table};

fn ingredients() -> impl Iterator<Item = &'static Entry> {
    catalogue().honeys().iter().chain(catalogue().others())
}

#[test]
fn every_composition_closes() {
    let mut counted = 0;
    for entry in ingredients() {
        let Some(c) = entry.composition else { continue };
        counted += 1;
        assert_abs_diff_eq!(
            c.water + c.fermentable + c.unfermentable + c.insoluble,
            1.0,
            epsilon = 0.0005
        );
        for part in [c.water, c.fermentable, c.unfermentable, c.insoluble] {
            assert!((0.0..=1.0).contains(&part), "{}: {part}", entry.key);
        }
    }
    assert!(counted > 80, "{counted}");
}

#[test]
fn what_has_no_composition_is_only_what_is_dosed() {
    for entry in ingredients().filter(|entry| entry.composition.is_none()) {
        assert!(
            matches!(
                entry.kind,
                Kind::Spice | Kind::Wood | Kind::Tannin | Kind::Enzyme | Kind::Fining
            ),
            "{}",
            entry.key
        );
        let [low, high] = entry
            .usual_g_per_l
            .unwrap_or_else(|| panic!("{} has no usual amount", entry.key));
        assert!(0.0 < low && low < high, "{}", entry.key);
        assert_eq!(
            entry.default_amount,
            Some(TypedAmount::GramsPerLitre(low)),
            "{}",
            entry.key
        );
    }
}

#[test]
fn other_ingredients_agree_with_the_composition_table() {
    let table = table("composition.csv");
    let rows = rows_of("others.json");
    for (key, row) in &rows {
        let entry = catalogue().find(key).unwrap();
        let row = &table[row];
        let percent = |name| cell(row, name);
        match entry.composition {
            None => assert_eq!(percent("water_pct"), None, "{key}"),
            Some(c) => {
                let sugars = percent("total_sugars_pct").unwrap();
                let share = percent("fermentable_share").unwrap();
                // The table closes within 0.1 %.
                assert_abs_diff_eq!(
                    c.water * 100.0,
                    percent("water_pct").unwrap(),
                    epsilon = 0.1
                );
                assert_abs_diff_eq!(c.fermentable * 100.0, sugars * share, epsilon = 0.1);
                assert_abs_diff_eq!(
                    c.unfermentable * 100.0,
                    percent("unfermentable_soluble_pct").unwrap(),
                    epsilon = 0.1
                );
                assert_abs_diff_eq!(
                    c.insoluble * 100.0,
                    percent("insoluble_pct").unwrap(),
                    epsilon = 0.1
                );
            }
        }
        assert_eq!(entry.yan_mg_per_kg, percent("yan_mg_per_kg"), "{key}");
        assert_eq!(entry.ph, percent("ph"), "{key}");
        assert_eq!(entry.density_kg_per_l, percent("density_kg_per_l"), "{key}");
        let equivalent = match row["ta_as"].as_str() {
            "malic" => 67.04,
            "citric" => 64.04,
            "tartaric" => 75.04,
            _ => f64::NAN,
        };
        match (entry.ta_g_per_kg, percent("ta_g_per_kg")) {
            (Some(ours), Some(theirs)) => {
                // 0.02 g/kg: the table rounds to a hundredth of a gram and more coarsely.
                assert_abs_diff_eq!(ours / 75.04, theirs / equivalent, epsilon = 1e-9);
            }
            (None, None) => {}
            other => panic!("{key}: {other:?}"),
        }
        assert!(entry.source.starts_with(row["source"].as_str()), "{key}");
    }
    // Every row but the two of honey is in the catalogue.
    let used: HashSet<&String> = rows.iter().map(|(_, row)| row).collect();
    let missed: Vec<&String> = table
        .keys()
        .filter(|name| !used.contains(name) && table[*name]["kind"] != "honey")
        .collect();
    assert!(missed.is_empty(), "{missed:?}");
}

#[test]
fn honeys_agree_with_the_varietal_table_and_the_practice_of_what_they_leave() {
    let table = table("honey_varietals.csv");
    let rows = rows_of("honeys.json");
    assert_eq!(rows.len(), table.len());
    for (key, row) in &rows {
        let entry = catalogue().find(key).unwrap();
        let row = &table[row];
        let c = entry.composition.unwrap();
        let water = cell(row, "moisture_pct").unwrap() / 100.0;
        assert_abs_diff_eq!(c.water, water, epsilon = 1e-12);
        let share = c.fermentable / (1.0 - c.water);
        assert_abs_diff_eq!(
            share,
            if key == "honey-forest" { 0.85 } else { 0.89 },
            epsilon = 1e-9
        );
        assert!(c.insoluble <= 0.001, "{key}");
        assert_eq!(entry.yan_mg_per_kg, None, "{key}");
        // 29.12 meq/kg is 2.185 g/kg as tartaric.
        assert_abs_diff_eq!(entry.ta_g_per_kg.unwrap(), 2.185, epsilon = 0.001);
        let spread = entry.spread.unwrap();
        assert_abs_diff_eq!(spread.water, 0.0146, epsilon = 1e-12);
        assert_abs_diff_eq!(spread.fermentable, 0.0124, epsilon = 0.0004);
        assert_eq!(entry.default_amount, Some(TypedAmount::Share(1.0)));
        let traits = entry.honey.as_ref().unwrap();
        assert_eq!(Some(traits.pfund_mm[0]), cell(row, "pfund_low_mm"));
        assert_eq!(
            f64::from(traits.intensity),
            cell(row, "intensity_1_5").unwrap()
        );
    }
    assert_eq!(catalogue().honeys()[0].key, "honey-wildflower");
    assert!(
        catalogue()
            .others()
            .iter()
            .all(|entry| entry.kind != Kind::Honey)
    );
}

#[test]
fn three_hundred_grams_of_average_honey_per_litre_give_the_gravity_of_the_table() {
    // Gravity check values of the composition notes: honey of 17.2 % water, made up to volume at 20 °C.
    let honey = catalogue()
        .find("honey-wildflower")
        .unwrap()
        .composition
        .unwrap();
    for (grams, expected) in [
        (100.0, 1.0320),
        (200.0, 1.0637),
        (300.0, 1.0952),
        (400.0, 1.1266),
    ] {
        let extract = grams * (honey.fermentable + honey.unfermentable);
        assert_abs_diff_eq!(
            relative_density_of_extract(extract),
            expected,
            epsilon = 0.0006
        );
    }
}

#[test]
fn pure_acids_weigh_as_their_equivalents() {
    let ta = |key| catalogue().find(key).unwrap().ta_g_per_kg.unwrap();
    assert_abs_diff_eq!(ta("tartaric-acid"), 1000.0, epsilon = 1e-9);
    // The reference table of acids: 1 g of tartaric does what 0.8934 g of malic and 0.8534 g of citric do.
    assert_abs_diff_eq!(ta("malic-acid"), 1000.0 / 0.8934, epsilon = 0.5);
    assert_abs_diff_eq!(ta("citric-acid"), 1000.0 / 0.8534, epsilon = 0.5);
    // 1 g/L of potassium bicarbonate takes 0.7496 g/L off (table of acid changes).
    assert_abs_diff_eq!(ta("potassium-bicarbonate"), -749.6, epsilon = 0.1);
    for key in ["tartaric-acid", "malic-acid", "citric-acid"] {
        let acid = catalogue().find(key).unwrap();
        assert_eq!(acid.when, Stage::Ageing);
        assert!(
            acid.caution
                .as_ref()
                .unwrap()
                .contains("Not before fermenting")
        );
    }
}

#[test]
fn what_can_hurt_carries_its_caution() {
    for (key, word) in [
        ("elderberry", "heat"),
        ("star-fruit", "kidney"),
        ("rhubarb", "leaves"),
        ("apricot", "stones"),
        ("peach", "stones"),
        ("nutmeg", "5 g"),
        ("star-anise", "Chinese"),
        ("cinnamon", "coumarin"),
        ("chili-dried", "gloves"),
        ("hops", "dogs"),
        ("malt-extract-dry", "gluten"),
        ("potassium-bicarbonate", "foam"),
    ] {
        let caution = catalogue()
            .find(key)
            .unwrap()
            .caution
            .as_deref()
            .unwrap_or("");
        assert!(caution.contains(word), "{key}: {caution}");
    }
}
