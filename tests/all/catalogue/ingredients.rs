//! Honeys and other ingredients against the reference tables.

use std::collections::HashSet;

use approx::assert_abs_diff_eq;
use mustwright::catalogue::colour::{self, Class};
use mustwright::catalogue::{Certainty, Entry, Form, Kind, Stage, catalogue};
use mustwright::engine::density::relative_density_of_extract;
use mustwright::web::units::TypedAmount;

use super::{cell, rows_of, table};

fn ingredients() -> impl Iterator<Item = &'static Entry> {
    let catalogue = catalogue();
    catalogue
        .honeys()
        .iter()
        .chain(catalogue.others())
        .chain(catalogue.retired())
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
        assert!(entry.usual_g_per_l.is_some(), "{}", entry.key);
    }
}

#[test]
fn what_is_not_honey_or_sugar_has_a_usual_amount_whose_low_end_is_proposed() {
    for entry in ingredients().filter(|entry| entry.kind != Kind::Honey) {
        let Some([low, high]) = entry.usual_g_per_l else {
            assert!(
                matches!(entry.kind, Kind::Syrup | Kind::Sugar | Kind::Malt),
                "{} has no usual amount",
                entry.key
            );
            continue;
        };
        assert!(0.0 < low && low < high && high <= 1_100.0, "{}", entry.key);
        assert_eq!(
            entry.default_amount,
            Some(TypedAmount::GramsPerLitre(low)),
            "{}",
            entry.key
        );
    }
    // Fruit as the notes on practice have it, kg per litre.
    for (key, low, high) in [
        ("raspberry", 0.1, 0.25),
        ("black-currant", 0.1, 0.25),
        ("sour-cherry", 0.25, 0.5),
        ("sweet-cherry", 0.25, 0.5),
        ("blueberry", 0.3, 0.5),
        ("strawberry", 0.4, 0.7),
        ("peach", 0.4, 0.7),
    ] {
        let usual = catalogue().find(key).unwrap().usual_g_per_l;
        assert_eq!(usual, Some([low * 1000.0, high * 1000.0]), "{key}");
    }
}

#[test]
fn what_is_taken_out_again_says_after_how_many_days() {
    for entry in ingredients().filter(|entry| matches!(entry.kind, Kind::Spice | Kind::Wood)) {
        let [low, high] = entry
            .days
            .unwrap_or_else(|| panic!("{} has no days", entry.key));
        assert!(1.0 <= low && low < high && high <= 365.0, "{}", entry.key);
        assert!(entry.source.contains("days: "), "{}", entry.key);
    }
    // The notes on practice: chips 1 to 3 weeks, cubes 4 to 12, cinnamon and clove 3 to 14 days, hot pepper 1 to 5.
    for (key, days) in [
        ("oak-chips", [7.0, 21.0]),
        ("oak-cubes", [28.0, 84.0]),
        ("cinnamon", [3.0, 14.0]),
        ("clove", [3.0, 14.0]),
        ("jalapeno", [1.0, 5.0]),
        ("chili-red", [1.0, 5.0]),
        ("serrano", [1.0, 5.0]),
        ("chili-dried", [1.0, 5.0]),
    ] {
        assert_eq!(catalogue().find(key).unwrap().days, Some(days), "{key}");
    }
}

#[test]
fn each_form_of_fruit_says_how_much_of_its_sugar_comes_out_when() {
    let forms: Vec<Form> = catalogue().sugar_out().iter().map(|out| out.form).collect();
    // A tincture brings none.
    let wanted: Vec<Form> = Form::ALL
        .into_iter()
        .filter(|form| *form != Form::Tincture)
        .collect();
    assert_eq!(forms, wanted);
    let out = |form| {
        let found = catalogue().sugar_out().iter().find(|out| out.form == form);
        let found = found.unwrap();
        (found.percent, found.days)
    };
    assert_eq!(out(Form::Whole), ([50.0, 60.0], [7.0, 10.0]));
    assert_eq!(out(Form::Crushed), ([85.0, 85.0], [7.0, 10.0]));
    assert_eq!(out(Form::Frozen), ([90.0, 95.0], [7.0, 10.0]));
    assert_eq!(out(Form::Juice), ([100.0, 100.0], [0.0, 0.0]));
    for out in catalogue().sugar_out() {
        assert!(out.percent[0] <= out.percent[1] && out.percent[1] <= 100.0);
        assert!(out.days[0] <= out.days[1]);
        assert!(!out.words.is_empty() && out.source.len() > 10);
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
        if let (Some(low), Some(high)) = (percent("dose_low_g_per_l"), percent("dose_high_g_per_l"))
        {
            assert_eq!(entry.usual_g_per_l, Some([low, high]), "{key}");
        }
        assert_eq!(mark(entry.certainty), row["certainty"], "{key}");
        // The table points to a file beside it; a page has none.
        let note = row["note"].replace(": see safety.md", "");
        assert_eq!(entry.note.as_deref().unwrap_or_default(), note, "{key}");
    }
    // Every row but the two of honey is in the catalogue.
    let used: HashSet<&String> = rows.iter().map(|(_, row)| row).collect();
    let missed: Vec<&String> = table
        .keys()
        .filter(|name| !used.contains(name) && table[*name]["kind"] != "honey")
        .collect();
    assert!(missed.is_empty(), "{missed:?}");
}

/// A mark as the tables write it.
fn mark(certainty: Certainty) -> &'static str {
    match certainty {
        Certainty::Published => "published",
        Certainty::CommonPractice => "common practice",
        Certainty::FromMemory => "from memory: verify",
    }
}

#[test]
fn the_everyday_honey_is_the_average_of_the_survey() {
    let row = &table("composition.csv")["honey, general average (US survey)"];
    let entry = catalogue().find("honey-wildflower").unwrap();
    let c = entry.composition.unwrap();
    assert_eq!(Some(c.water * 100.0), cell(row, "water_pct"));
    assert_eq!(entry.ph, cell(row, "ph"));
    // The table's acid is counted as gluconic, one acid group of 196.16 g; ours as tartaric.
    let gluconic = cell(row, "ta_g_per_kg").unwrap();
    let ours = entry.ta_g_per_kg.unwrap() / 75.04 * 196.16;
    assert_abs_diff_eq!(ours, gluconic, epsilon = 0.02);
    // What ferments is the practice's share, less than the sugars of the table.
    assert!(c.fermentable * 100.0 < cell(row, "total_sugars_pct").unwrap());
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
        let colour = traits.pfund_mm.unwrap();
        assert_eq!(Some(colour[0]), cell(row, "pfund_low_mm"));
        assert_eq!(Some(colour[1]), cell(row, "pfund_high_mm"));
        assert_eq!(traits.fructose_percent, cell(row, "fructose_pct"), "{key}");
        assert_eq!(traits.glucose_percent, cell(row, "glucose_pct"), "{key}");
        assert_eq!(traits.sucrose_percent, cell(row, "sucrose_pct"), "{key}");
        assert_eq!(entry.ph, cell(row, "ph"), "{key}");
        assert!(entry.words.ends_with(row["flavour"].as_str()), "{key}");
        assert_eq!(traits.pairing, row["pairing"]);
        let note = entry.note.as_deref().unwrap_or_default();
        assert_eq!(note, row["caution"], "{key}");
        assert_eq!(traits.source_colour, row["source_colour"]);
        match row["source_composition"].as_str() {
            // Of these flowers there is no table: the survey's mean stands in, and says so.
            "common practice" => assert!(entry.source.contains("no table of this flower")),
            source => assert!(entry.source.contains(source), "{key}"),
        }
        if let Some(hue) = &traits.hue {
            assert!(row["colour_class"].contains(hue.as_str()), "{key}");
        } else {
            assert!(!row["colour_class"].contains("ish"), "{key}");
        }
        assert_eq!(
            traits.intensity.map(f64::from).unwrap(),
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
fn colours_are_the_classes_of_the_standard() {
    // US Standards for Grades of Extracted Honey 1985, as in the notes on composition.
    for (mm, words) in [
        (0.0, "water white"),
        (8.0, "water white"),
        (8.1, "extra white"),
        (17.0, "extra white"),
        (17.1, "white"),
        (34.0, "white"),
        (34.1, "extra light amber"),
        (50.0, "extra light amber"),
        (50.1, "light amber"),
        (85.0, "light amber"),
        (85.1, "amber"),
        (114.0, "amber"),
        (114.1, "dark amber"),
        (150.0, "dark amber"),
    ] {
        assert_eq!(Class::of(mm).words(), words, "{mm}");
    }
    let of = |range| colour::words(&colour::classes(range));
    assert_eq!(of([20.0, 50.0]), "white to extra light amber");
    assert_eq!(of([10.0, 15.0]), "extra white");
    assert_eq!(colour::classes([5.0, 120.0]), Class::ALL);
    assert_eq!(colour::words(&[]), "");
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
    assert_abs_diff_eq!(ta("potassium-carbonate"), -1086.0, epsilon = 0.1);
    assert_abs_diff_eq!(ta("calcium-carbonate"), -1499.6, epsilon = 0.1);
    // 0.5 g/L of pure lactic acid adds 0.4165 g/L; the solution holds 80 %.
    assert_abs_diff_eq!(ta("lactic-acid"), 0.8 * 833.0, epsilon = 0.5);
    for key in ["tartaric-acid", "malic-acid", "citric-acid", "lactic-acid"] {
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
        ("potassium-carbonate", "gloves"),
        ("xylitol", "dogs"),
        ("lactose", "milk"),
        ("isinglass", "fish"),
        ("chitosan", "shellfish"),
        ("glucoamylase", "bottle"),
        ("elderflower", "stems"),
        ("raisin", "dogs"),
        ("cocoa-nibs", "dogs"),
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
