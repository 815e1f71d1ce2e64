//! A document that is opened in the form and saved again says the same, in whatever units it is read.

use mustwright::engine::reading;
use mustwright::engine::recipe::Recipe;
use mustwright::recipes::forms::{Workbench, fill};
use mustwright::recipes::model::{Numbers, Visibility};
use mustwright::recipes::saving::{SaveRevision, Target, store::save_revision};
use mustwright::web::form::Posted;
use mustwright::web::units::Units;
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::{Value, json};

use super::documents::recipe;
use super::{a_club, check, edited, filled};

/// Whether two documents say the same; what was typed is no part of it, and a percentage may cost the last bits.
pub(super) fn differences(one: &Value, other: &Value, at: &str, found: &mut Vec<String>) {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) => {
            let keys = one
                .keys()
                .chain(other.keys().filter(|key| !one.contains_key(*key)));
            for key in keys.filter(|key| !at.is_empty() || *key != "typed") {
                let part = |object: &serde_json::Map<String, Value>| {
                    object.get(key).cloned().unwrap_or(Value::Null)
                };
                differences(&part(one), &part(other), &format!("{at}/{key}"), found);
            }
        }
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            for (index, (one, other)) in one.iter().zip(other).enumerate() {
                differences(one, other, &format!("{at}/{index}"), found);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (
                a.as_f64().unwrap_or(f64::NAN),
                b.as_f64().unwrap_or(f64::NAN),
            );
            if !(a == b || (a - b).abs() <= 1e-12 * b.abs()) {
                found.push(format!("{at}: {a} became {b}"));
            }
        }
        (one, other) if one == other => {}
        (one, other) => found.push(format!("{at}: {one} became {other}")),
    }
}

/// Opened by a member of these units and sent as a browser sends it.
fn opened(recipe: &Recipe, units: Units) -> Workbench {
    let filled = filled(recipe, units);
    let sent = filled
        .pairs()
        .into_iter()
        .map(|(name, text)| (name, text.replace('\n', "\r\n")));
    Workbench::read(&Posted::from_pairs(sent)).expect("a form of ours")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn document_to_form_and_back_is_the_same_document(recipe in recipe(), other in select(&Units::ALL[..])) {
        let before = serde_json::to_value(&recipe).unwrap();
        for units in Units::ALL {
            let form = opened(&recipe, units);
            let first = check(&form, units);
            prop_assert!(first.faults.is_empty(), "{units}: {:?}", first.faults);
            let mut found = Vec::new();
            differences(&before, &serde_json::to_value(&first.recipe).unwrap(), "", &mut found);
            prop_assert!(found.is_empty(), "{units}: {found:#?}");
            // Once more by the same member: the very texts. Then by another: still the same numbers.
            prop_assert_eq!(opened(&first.recipe, units).pairs(), form.pairs());
            let second = check(&opened(&first.recipe, other), other);
            let third = check(&opened(&second.recipe, units), units);
            for (by, again) in [(other, &second), (units, &third)] {
                let mut found = Vec::new();
                differences(&before, &serde_json::to_value(&again.recipe).unwrap(), "", &mut found);
                prop_assert!(found.is_empty(), "{units}, then {by}: {found:#?}");
            }
        }
    }
}

#[test]
fn the_document_of_a_form_that_is_saved_can_be_read_strictly() {
    let form = fill::fresh(Units::Imperial);
    let recipe = check(&form, Units::Imperial).recipe;
    let text = serde_json::to_string(&recipe).unwrap();
    let read = reading::read(&text).expect("a document");
    assert_eq!(read, recipe);
}

/// What the form has no field for, and what it shows folded.
fn full_document() -> Value {
    json!({
        "version": 1,
        "title": "With everything",
        "notes": "Line one\nline two",
        "volume_l": 23.0,
        "aim": {"abv_percent": 13.0},
        "finish": {"sweeten_to_sg": 1.012},
        "declared": {"carbonation": "still"},
        "ingredients": [
            {"key": "honey-wildflower", "name": "Wildflower or mixed honey", "kind": "honey", "when": "must",
             "amount": {"share": 3.0},
             "composition": {"water": 0.171, "fermentable": 0.74, "unfermentable": 0.0885, "insoluble": 0.0005,
                             "ta_g_per_kg": 2.1, "spread": {"water": 0.012, "fermentable": 0.013}}},
            {"name": "Honey of the heath", "kind": "honey", "when": "must", "amount": {"share": 1.0},
             "composition": {"water": 0.19, "fermentable": 0.71, "unfermentable": 0.0995, "insoluble": 0.0005,
                             "spread": {"fermentable": 0.02}}},
            {"key": "sour-cherry", "name": "Sour cherry", "kind": "fruit", "form": "frozen", "days": 9.0,
             "when": "primary", "amount": {"kg": 3.4}, "price_per_kg": 4.2, "note": "stoned",
             "composition": {"water": 0.86, "fermentable": 0.085, "unfermentable": 0.04, "insoluble": 0.015}},
            {"key": "cinnamon", "name": "Cinnamon", "kind": "spice", "when": "ageing", "amount": {"g_per_l": 0.3}},
            {"key": "honey-of-the-keeper", "name": "Keeper's own", "kind": "honey", "when": "must",
             "amount": {"kg": 1.0},
             "composition": {"water": 0.2, "fermentable": 0.7, "unfermentable": 0.1, "insoluble": 0.0}}
        ],
        "yeasts": [
            {"key": "yeast-of-the-orchard", "name": "A yeast of the orchard", "tolerance_abv_percent": 9.0, "nitrogen_need": "medium",
             "when": "pitch", "attenuation_percent": 71.5},
            {"key": "yeast-red-fruity", "name": "Red-wine yeast, fruity", "tolerance_abv_percent": 15.0,
             "nitrogen_need": "medium", "temperature_c": [16.0, 26.0], "when": "later"}
        ],
        "nutrients": [
            {"key": "feed-organic", "name": "Organic nutrient", "ammonium_yan_mg_per_g": 0.0,
             "organic_yan_mg_per_g": 40.0, "max_g_per_l": 0.5, "share": 0.7},
            {"key": "feed-of-last-year", "name": "DAP", "ammonium_yan_mg_per_g": 212.13, "organic_yan_mg_per_g": 0.0,
             "share": 0.3}
        ],
        "feeding": "lean",
        "temperature_c": 18.5,
        "vessel": {"name": "the green one", "kind": "demijohn", "brim_l": 27.0, "wide_mouth": false,
                   "headspace_fraction": 0.1, "loss_l": 1.5},
        "water_report": {"ions": {"Ca": 61.5, "chloride": 20.0, "cl": 21.0, "Ca ": 3.0}, "salts": {"gypsum": 1.25, "NaCl": 0.3}},
        "process": [{"when": "day 2", "text": "stir"}]
    })
}

#[tokio::test]
async fn what_the_form_has_no_field_for_survives_an_edit_over_http() {
    let (club, ada, browser) = a_club().await;
    let document = full_document();
    let read = reading::read(&document.to_string()).expect("a document");
    let mut tx = club.pool().begin().await.expect("a transaction");
    let save = SaveRevision {
        author: ada.id,
        target: Target::New {
            visibility: Visibility::Private,
            started_from: None,
        },
        title: "With everything",
        document: &document,
        numbers: &Numbers {
            engine_version: "0".to_owned(),
            ..Numbers::default()
        },
        note: "",
        draft: None,
    };
    let saved = save_revision(&mut tx, &save, chrono::Utc::now())
        .await
        .expect("a save");
    tx.commit().await.expect("a commit");
    let sheet = format!("/recipes/{}", saved.recipe);
    for (number, units) in (2..).zip(Units::ALL) {
        sqlx::query("update members set units = $1")
            .bind(units)
            .execute(club.pool())
            .await
            .expect("other units");
        let done = edited(&browser, &sheet, number, &[]).await;
        assert_eq!(done.status, 303, "{units}: {}", done.text);
        let kept: Value =
            sqlx::query_scalar("select document from revisions order by id desc limit 1")
                .fetch_one(club.pool())
                .await
                .expect("a revision");
        let mut found = Vec::new();
        differences(&serde_json::to_value(&read).unwrap(), &kept, "", &mut found);
        assert!(found.is_empty(), "{units}: {found:#?}");
    }
}
