//! The commands that need no database: texts and exit codes.

use mustwright::commands::{calculate, formulate, input, list};
use mustwright::engine::calculations::LIST;
use serde_json::{Value, json};

const RECIPE: &str = r#"{"version": 1, "volume_l": 20, "aim": {"abv_percent": 12}, "finish": {"dry": true},
    "ingredients": [{"name": "honey", "kind": "honey", "amount": {"share": 1},
      "composition": {"water": 0.18, "fermentable": 0.73, "unfermentable": 0.09, "insoluble": 0}}],
    "yeasts": [{"name": "wine yeast", "tolerance_abv_percent": 14, "nitrogen_need": "medium"}]}"#;

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).expect("JSON")
}

#[test]
fn formulating_tells_everything_and_its_success_by_the_code() {
    let sound = formulate(RECIPE);
    assert_eq!((sound.code, sound.complaint.as_str()), (0, ""));
    assert_eq!(parsed(&sound.output)["limits"]["stopped_by"], "sugar");
    // The keys stand in the order of the contract.
    assert!(sound.output.find("\"must\"") < sound.output.find("\"whole\""));

    let faulty = formulate(&RECIPE.replace("12}", "19}"));
    assert_eq!((faulty.code, faulty.complaint.as_str()), (1, ""));
    assert_eq!(
        parsed(&faulty.output)["problems"][0]["code"],
        "yeast_cannot_reach"
    );
    assert!(parsed(&faulty.output)["ingredients"][0]["kg"].is_null());

    let unreadable = formulate("{");
    assert_eq!((unreadable.code, unreadable.output.as_str()), (2, ""));
    assert!(unreadable.complaint.contains("no JSON"));
}

#[test]
fn calculating_by_name() {
    let sound = calculate("gravity", r#"{"brix": 20}"#);
    assert_eq!(sound.code, 0);
    let sg = parsed(&sound.output)["sg"].as_f64().expect("SG");
    assert!((sg - 1.08292).abs() < 0.00005, "{sg}");
    let faulty = calculate("gravity", "{}");
    assert_eq!(faulty.code, 1);
    assert_eq!(
        parsed(&faulty.output),
        json!({"problems": [{"code": "one_of", "path": "", "arguments": {"keys": "sg, brix, density_kg_per_m3"}}]})
    );
    for (name, text) in [("gravity", "brix"), ("nothing", "{}")] {
        let refused = calculate(name, text);
        assert_eq!((refused.code, refused.output.as_str()), (2, ""));
        assert!(!refused.complaint.is_empty());
    }
    assert!(calculate("nothing", "{}").complaint.contains("hydrometer"));
}

#[test]
fn the_list_names_every_calculation_with_its_keys() {
    let list = list();
    assert_eq!(list.code, 0);
    for line in [
        "hydrometer",
        "  in   reading_sg temperature_c [calibration_c = 20] [abv_percent = 0]",
        "  out  sg",
        "  in   litres ph [free_so2_mg_per_l = 0] molecular_so2_mg_per_l [salt = potassium_metabisulfite] [pka = 1.81]",
        "  out  abv_percent abw_percent residual_extract_g_per_l abv_by_duty_table_percent",
    ] {
        assert!(
            list.output.lines().any(|found| found == line),
            "{line}: {}",
            list.output
        );
    }
    assert_eq!(list.output.lines().count(), 3 * LIST.len());
}

#[test]
fn a_file_is_read_or_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("recipe.json");
    std::fs::write(&file, RECIPE).expect("written");
    let path = file.to_str().expect("UTF-8");
    assert_eq!(input(path).expect("the text"), RECIPE);
    std::fs::write(&file, [0xff, 0xfe]).expect("written");
    assert_eq!(input(path).expect_err("not UTF-8").code, 2);
    let missing = input("/no/such/recipe.json").expect_err("no such file");
    assert_eq!(missing.code, 2);
    assert!(missing.complaint.contains("/no/such/recipe.json"));
}
