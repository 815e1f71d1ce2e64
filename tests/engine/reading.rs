//! Strict reading: what is unknown, doubled, missing or of another kind is named with its place, and nothing else is refused.

use mustwright::engine::problem::{Problem, ProblemCode};
use mustwright::engine::reading::{ReadError, read};
use mustwright::engine::recipe::*;
use mustwright::engine::{Settings, formulate_text};

use crate::documents::*;

/// A document with every key there is.
const WHOLE: &str = r#"{
  "version": 1, "title": "Cherry at Whitsun", "notes": "second try", "style": "melomel",
  "declared": {"sweetness": "semi-sweet", "strength": "standard", "carbonation": "still"},
  "volume_l": 20.5, "aim": {"abv_percent": 12.5}, "finish": {"sweeten_to_sg": 1.012}, "filler": "birch sap",
  "ingredients": [
    {"key": "honey/clover", "name": "clover honey", "kind": "honey", "when": "must", "amount": {"share": 1.0},
     "composition": {"water": 0.18, "fermentable": 0.73, "unfermentable": 0.09, "insoluble": 0,
       "yan_mg_per_kg": 20, "ta_g_per_kg": 1.5, "density_kg_per_l": 1.42, "spread": {"water": 0.01, "fermentable": 0.03}},
     "price_per_kg": 9.5, "note": "from the shelf"},
    {"name": "sour cherry", "kind": "fruit", "form": "frozen", "days": 10, "when": "primary", "amount": {"kg": 2.5},
     "composition": {"water": 0.84, "fermentable": 0.08, "unfermentable": 0.05, "insoluble": 0.03}},
    {"name": "birch sap", "kind": "juice", "composition": {"water": 0.99, "fermentable": 0.01, "unfermentable": 0, "insoluble": 0}},
    {"name": "oak", "kind": "wood", "form": "whole", "when": "ageing", "amount": {"g_per_l": 2}},
    {"name": "vanilla", "kind": "spice", "form": "tincture", "when": "secondary", "amount": {"l": 0.02},
     "composition": {"water": 1, "fermentable": 0, "unfermentable": 0, "insoluble": 0}},
    {"name": "heather honey", "kind": "honey", "when": "sweeten", "amount": {"share": 2},
     "composition": {"water": 0.19, "fermentable": 0.71, "unfermentable": 0.1, "insoluble": 0}}
  ],
  "yeasts": [
    {"key": "Y04", "name": "red wine yeast", "tolerance_abv_percent": 15, "nitrogen_need": "medium", "temperature_c": [15, 30], "when": "pitch", "attenuation_percent": 100},
    {"name": "finisher", "tolerance_abv_percent": 17, "nitrogen_need": "low", "when": "later"},
    {"name": "bottler", "tolerance_abv_percent": 14, "nitrogen_need": "high", "when": "bottle"}
  ],
  "nutrients": [{"key": "dap", "name": "DAP", "ammonium_yan_mg_per_g": 212.13, "organic_yan_mg_per_g": 0, "max_g_per_l": 0.5, "price_per_kg": 12, "share": 0.5}],
  "feeding": "full", "temperature_c": 19,
  "vessel": {"name": "big one", "kind": "bucket", "brim_l": 30, "wide_mouth": true, "headspace_fraction": 0.2, "loss_l": 1.5},
  "water_report": {"ions": {"Ca": 40, "HCO3": 120}, "salts": {"CaCl2.2H2O": 2}},
  "process": [{"when": "mixing day", "text": "warm the honey"}, {"text": "rack"}],
  "typed": {"/volume_l": "20,5 l", "/ingredients/1/amount/kg": "5.5 lb"}
}"#;

fn problems(text: &str) -> Vec<Problem> {
    match read(text) {
        Ok(_) => Vec::new(),
        Err(ReadError::Problems(problems)) => problems,
        Err(ReadError::NotJson(fault)) => panic!("{fault:?} in {text}"),
    }
}

fn codes(text: &str) -> Vec<(ProblemCode, String)> {
    let problems = problems(text).into_iter();
    problems
        .map(|problem| (problem.code, problem.path))
        .collect()
}

#[test]
fn a_document_with_every_key_is_read_and_comes_back() {
    let recipe = read(WHOLE).expect("a recipe");
    assert_eq!(recipe.title, "Cherry at Whitsun");
    assert_eq!(recipe.aim, Aim::Target(Target::Abv(12.5)));
    assert_eq!(recipe.finish, Finish::SweetenTo(1.012));
    assert_eq!(recipe.ingredients[1].form, Some(Form::Frozen));
    assert_eq!(recipe.ingredients[2].amount, None);
    assert_eq!(recipe.ingredients[4].amount, Some(Amount::Litres(0.02)));
    assert_eq!(recipe.yeasts[0].temperature_c, Some([15.0, 30.0]));
    assert_eq!(recipe.yeasts[2].when, YeastWhen::Bottle);
    assert_eq!(recipe.nutrients[0].share, Some(0.5));
    assert_eq!(recipe.feeding, FeedingLevel::Full);
    assert_eq!(
        recipe.vessel.as_ref().and_then(|vessel| vessel.loss_l),
        Some(1.5)
    );
    assert_eq!(
        recipe.typed.get("/volume_l").map(String::as_str),
        Some("20,5 l")
    );
    let again = read(&text(&recipe)).expect("what was written");
    assert_eq!(again, recipe);
    // Every key of the text is in what was written: nothing is forgotten.
    let (there, here): (serde_json::Value, serde_json::Value) = (
        serde_json::from_str(WHOLE).expect("JSON"),
        serde_json::to_value(&recipe).expect("JSON"),
    );
    assert_contains(&here, &there, "");
    assert!(sound(&recipe).finished.is_some());
}

fn assert_contains(all: &serde_json::Value, some: &serde_json::Value, path: &str) {
    use serde_json::Value;
    match (all, some) {
        (Value::Object(all), Value::Object(some)) => {
            for (key, value) in some {
                let found = all
                    .get(key)
                    .unwrap_or_else(|| panic!("{path}/{key} forgotten"));
                assert_contains(found, value, &format!("{path}/{key}"));
            }
        }
        (Value::Array(all), Value::Array(some)) => {
            assert_eq!(all.len(), some.len(), "{path}");
            for (index, (all, some)) in all.iter().zip(some).enumerate() {
                assert_contains(all, some, &format!("{path}/{index}"));
            }
        }
        (Value::Number(a), Value::Number(b)) => assert_eq!(a.as_f64(), b.as_f64(), "{path}"),
        (a, b) => assert_eq!(a, b, "{path}"),
    }
}

/// Every object of the document, as a place in `WHOLE` after which a key can be put.
const OBJECTS: &[(&str, &str)] = &[
    ("{\n  \"version\"", ""),
    ("\"declared\": {", "/declared"),
    ("\"aim\": {", "/aim"),
    ("\"finish\": {", "/finish"),
    ("\"amount\": {\"share\": 1.0", "/ingredients/0/amount"),
    (
        "\"composition\": {\"water\": 0.18",
        "/ingredients/0/composition",
    ),
    ("\"spread\": {", "/ingredients/0/composition/spread"),
    ("{\"name\": \"sour cherry\"", "/ingredients/1"),
    ("{\"name\": \"finisher\"", "/yeasts/1"),
    ("{\"key\": \"dap\"", "/nutrients/0"),
    ("\"vessel\": {", "/vessel"),
    ("\"water_report\": {", "/water_report"),
    ("{\"text\": \"rack\"", "/process/1"),
];

#[test]
fn an_unknown_key_is_named_in_every_object() {
    for (place, path) in OBJECTS {
        let opened = place.find('{').expect("an object") + 1;
        let (before, after) = place.split_at(opened);
        let text = WHOLE.replacen(
            place,
            &format!("{before}\"colour/~\": [1, {{}}], {after}"),
            1,
        );
        assert_ne!(text, WHOLE, "{place}");
        let found = problems(&text);
        let [problem] = found.as_slice() else {
            panic!("{path}: {found:?}")
        };
        assert_eq!(problem.code, ProblemCode::UnknownKey);
        // RFC 6901: ~ and / escaped.
        assert_eq!(problem.path, format!("{path}/colour~1~0"));
        assert_eq!(problem.arguments.text("key"), Some("colour/~"));
    }
}

#[test]
fn a_key_that_stands_twice_is_named() {
    for (from, to, path) in [
        (
            "\"volume_l\": 20.5",
            "\"volume_l\": 20.5, \"volume_l\": 20.5",
            "/volume_l",
        ),
        (
            "\"brim_l\": 30",
            "\"brim_l\": 30, \"brim_l\": null",
            "/vessel/brim_l",
        ),
        (
            "\"Ca\": 40",
            "\"Ca\": 40, \"Ca\": 41",
            "/water_report/ions/Ca",
        ),
        (
            "\"/volume_l\": \"20,5 l\"",
            "\"/volume_l\": \"20,5 l\", \"/volume_l\": \"x\"",
            "/typed/~1volume_l",
        ),
        (
            "\"kg\": 2.5",
            "\"kg\": 2.5, \"kg\": 2.5",
            "/ingredients/1/amount/kg",
        ),
        (
            "\"insoluble\": 0.03",
            "\"insoluble\": 0.03, \"insoluble\": 0.03",
            "/ingredients/1/composition/insoluble",
        ),
    ] {
        let text = WHOLE.replacen(from, to, 1);
        assert_eq!(codes(&text), [(ProblemCode::DuplicateKey, path.to_owned())]);
    }
}

#[test]
fn another_kind_of_value_is_named() {
    for (from, to, path) in [
        ("\"version\": 1", "\"version\": \"1\"", "/version"),
        (
            "\"title\": \"Cherry at Whitsun\"",
            "\"title\": {}",
            "/title",
        ),
        ("\"notes\": \"second try\"", "\"notes\": 1", "/notes"),
        (
            "\"style\": \"melomel\"",
            "\"style\": [\"melomel\"]",
            "/style",
        ),
        (
            "\"declared\": {\"sweetness\": \"semi-sweet\"",
            "\"declared\": {\"sweetness\": false",
            "/declared/sweetness",
        ),
        ("\"volume_l\": 20.5", "\"volume_l\": \"20.5\"", "/volume_l"),
        (
            "{\"abv_percent\": 12.5}",
            "{\"abv_percent\": \"12.5\"}",
            "/aim/abv_percent",
        ),
        ("{\"abv_percent\": 12.5}", "12.5", "/aim"),
        ("{\"sweeten_to_sg\": 1.012}", "\"dry\"", "/finish"),
        ("{\"sweeten_to_sg\": 1.012}", "{\"dry\": 1}", "/finish/dry"),
        ("\"filler\": \"birch sap\"", "\"filler\": true", "/filler"),
        (
            "\"ingredients\": [",
            "\"ingredients\": [7, ",
            "/ingredients/0",
        ),
        ("\"days\": 10", "\"days\": \"10\"", "/ingredients/1/days"),
        ("{\"kg\": 2.5}", "2.5", "/ingredients/1/amount"),
        (
            "\"insoluble\": 0.03",
            "\"insoluble\": [0.03]",
            "/ingredients/1/composition/insoluble",
        ),
        (
            "\"spread\": {\"water\": 0.01",
            "\"spread\": {\"water\": \"0.01\"",
            "/ingredients/0/composition/spread/water",
        ),
        ("[15, 30]", "15", "/yeasts/0/temperature_c"),
        ("[15, 30]", "[15]", "/yeasts/0/temperature_c"),
        ("[15, 30]", "[15, \"30\"]", "/yeasts/0/temperature_c"),
        (
            "\"share\": 0.5",
            "\"share\": \"half\"",
            "/nutrients/0/share",
        ),
        (
            "\"wide_mouth\": true",
            "\"wide_mouth\": 1",
            "/vessel/wide_mouth",
        ),
        ("\"Ca\": 40", "\"Ca\": \"40\"", "/water_report/ions/Ca"),
        ("\"text\": \"rack\"", "\"text\": 3", "/process/1/text"),
        (
            "\"/volume_l\": \"20,5 l\"",
            "\"/volume_l\": 20.5",
            "/typed/~1volume_l",
        ),
    ] {
        let text = WHOLE.replacen(from, to, 1);
        assert_ne!(text, WHOLE, "{from}");
        let found = codes(&text);
        assert_eq!(found, [(ProblemCode::WrongKind, path.to_owned())], "{to}");
    }
    assert_eq!(codes("[]"), [(ProblemCode::WrongKind, String::new())]);
}

#[test]
fn what_must_be_there_is_asked_for() {
    assert_eq!(
        codes("{}"),
        [("/version"), ("/aim"), ("/finish")].map(|path| (ProblemCode::Missing, path.to_owned()))
    );
    for (from, path) in [
        ("\"name\": \"clover honey\", ", "/ingredients/0/name"),
        ("\"kind\": \"fruit\", ", "/ingredients/1/kind"),
        (
            "\"fermentable\": 0.08, ",
            "/ingredients/1/composition/fermentable",
        ),
        (
            "\"tolerance_abv_percent\": 17, ",
            "/yeasts/1/tolerance_abv_percent",
        ),
        ("\"nitrogen_need\": \"low\", ", "/yeasts/1/nitrogen_need"),
        ("\"brim_l\": 30, ", "/vessel/brim_l"),
        ("\"text\": \"rack\"", "/process/1/text"),
    ] {
        let text = WHOLE.replacen(from, "", 1);
        assert_ne!(text, WHOLE, "{from}");
        assert_eq!(codes(&text), [(ProblemCode::Missing, path.to_owned())]);
    }
}

#[test]
fn words_and_choices_are_known_ones() {
    for (from, to, path) in [
        (
            "\"kind\": \"fruit\"",
            "\"kind\": \"vegetable\"",
            "/ingredients/1/kind",
        ),
        (
            "\"form\": \"frozen\"",
            "\"form\": \"Frozen\"",
            "/ingredients/1/form",
        ),
        (
            "\"when\": \"primary\"",
            "\"when\": \"soon\"",
            "/ingredients/1/when",
        ),
        (
            "\"nitrogen_need\": \"low\"",
            "\"nitrogen_need\": \"none\"",
            "/yeasts/1/nitrogen_need",
        ),
        (
            "\"when\": \"later\"",
            "\"when\": \"must\"",
            "/yeasts/1/when",
        ),
        ("\"feeding\": \"full\"", "\"feeding\": \"\"", "/feeding"),
        (
            "{\"sweeten_to_sg\": 1.012}",
            "{\"dry\": false}",
            "/finish/dry",
        ),
    ] {
        let text = WHOLE.replacen(from, to, 1);
        assert_eq!(codes(&text), [(ProblemCode::UnknownWord, path.to_owned())]);
    }
    for (from, to, path) in [
        ("{\"abv_percent\": 12.5}", "{}", "/aim"),
        (
            "{\"abv_percent\": 12.5}",
            "{\"abv_percent\": 12.5, \"gravity_sg\": 1.1}",
            "/aim",
        ),
        (
            "{\"abv_percent\": 12.5}",
            "{\"abv_percent\": 12.5, \"amounts\": true}",
            "/aim",
        ),
        ("{\"abv_percent\": 12.5}", "{\"use_honey_kg\": 2.7}", "/aim"),
        ("{\"sweeten_to_sg\": 1.012}", "{}", "/finish"),
        (
            "{\"sweeten_to_sg\": 1.012}",
            "{\"dry\": true, \"arrest_to_sg\": 1.01}",
            "/finish",
        ),
        ("{\"kg\": 2.5}", "{}", "/ingredients/1/amount"),
        (
            "{\"kg\": 2.5}",
            "{\"kg\": 2.5, \"l\": 2}",
            "/ingredients/1/amount",
        ),
    ] {
        let text = WHOLE.replacen(from, to, 1);
        assert_eq!(codes(&text), [(ProblemCode::OneOf, path.to_owned())]);
    }
}

#[test]
fn another_version_is_refused_by_name() {
    for version in ["0", "2", "1.5", "-1", "1e300"] {
        let text = WHOLE.replacen("\"version\": 1", &format!("\"version\": {version}"), 1);
        let found = problems(&text);
        let [problem] = found.as_slice() else {
            panic!("{found:?}")
        };
        assert_eq!(
            (problem.code, problem.path.as_str()),
            (ProblemCode::VersionUnknown, "/version")
        );
        assert_eq!(problem.arguments.number("known"), Some(1.0));
    }
    assert_eq!(
        codes(&WHOLE.replacen("\"version\": 1", "\"version\": 1.0", 1)),
        []
    );
}

#[test]
fn null_is_the_same_as_absent() {
    let text = WHOLE
        .replacen("\"style\": \"melomel\"", "\"style\": null", 1)
        .replacen("\"days\": 10", "\"days\": null", 1)
        .replacen("\"temperature_c\": 19", "\"temperature_c\": null", 1)
        .replacen("\"Ca\": 40", "\"Ca\": null", 1);
    let recipe = read(&text).expect("a recipe");
    assert_eq!((recipe.style, recipe.temperature_c), (None, None));
    assert!(
        !recipe
            .water_report
            .expect("a report")
            .ions
            .contains_key("Ca")
    );
}

#[test]
fn every_fault_is_told_at_once() {
    let text = WHOLE
        .replacen("\"kind\": \"honey\"", "\"kind\": \"stone\"", 1)
        .replacen("\"brim_l\": 30", "\"brim\": 30", 1)
        .replacen("\"version\": 1", "\"version\": 9", 1);
    let mut paths: Vec<String> = codes(&text).into_iter().map(|(_, path)| path).collect();
    paths.sort();
    assert_eq!(
        paths,
        [
            "/ingredients/0/kind",
            "/version",
            "/vessel/brim",
            "/vessel/brim_l"
        ]
    );
    // Through the whole engine the same problems come, and everything else is null.
    let numbers = formulate_text(&text, &Settings::default()).expect("JSON");
    assert_eq!(numbers.problems.len(), 4);
    assert!(numbers.whole.is_none() && numbers.ingredients.is_empty());
}

#[test]
fn what_is_no_json_is_told_apart() {
    let deep = "[".repeat(100_000);
    for text in [
        "",
        "{",
        "nonsense",
        "{\"version\": NaN}",
        "{\"version\": 1e999}",
        "{} {}",
        deep.as_str(),
    ] {
        assert!(
            matches!(read(text), Err(ReadError::NotJson(_))),
            "{}",
            &text[..text.len().min(30)]
        );
    }
}

#[test]
fn a_great_many_keys_are_read_in_one_go() {
    use std::fmt::Write;
    let mut typed = String::new();
    for i in 0..100_000 {
        let _ = write!(typed, "\"/k{i}\": \"x\", ");
    }
    let text = WHOLE.replacen("\"typed\": {", &format!("\"typed\": {{{typed}"), 1);
    assert_eq!(read(&text).expect("a recipe").typed.len(), 100_002);
}
