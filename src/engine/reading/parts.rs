//! Strict reading of the lists and parts of a recipe document.

use std::collections::BTreeMap;

use super::{one_of, words};
use crate::engine::json::{Json, Reader, pointer};
use crate::engine::problem::{Arguments, ProblemCode};
use crate::engine::recipe::{
    Amount, Composition, CompositionSpread, Form, Ingredient, Kind, NitrogenNeed, Nutrient, Step,
    Vessel, WaterReport, When, Yeast, YeastWhen,
};

const INGREDIENT_KEYS: &[&str] = &[
    "key",
    "name",
    "kind",
    "form",
    "days",
    "when",
    "amount",
    "composition",
    "price_per_kg",
    "note",
];

pub(super) fn ingredient(reader: &mut Reader, json: &Json, path: &str) -> Option<Ingredient> {
    let members = reader.object(json, path, INGREDIENT_KEYS)?;
    let name = reader.required_text(&members, "name");
    reader.required(&members, "kind");
    let kind = reader.word(&members, "kind", Kind::from_word, || {
        words(Kind::ALL, Kind::as_str)
    });
    Some(Ingredient {
        key: reader.text(&members, "key"),
        name,
        kind: kind.unwrap_or(Kind::Other),
        form: reader.word(&members, "form", Form::from_word, || {
            words(Form::ALL, Form::as_str)
        }),
        days: reader.number(&members, "days"),
        when: reader
            .word(&members, "when", When::from_word, || {
                words(When::ALL, When::as_str)
            })
            .unwrap_or(When::Must),
        amount: members
            .get("amount")
            .and_then(|json| amount(reader, json, &pointer(path, "amount"))),
        composition: members
            .get("composition")
            .and_then(|json| composition(reader, json, &pointer(path, "composition"))),
        price_per_kg: reader.number(&members, "price_per_kg"),
        note: reader.text(&members, "note"),
    })
}

fn amount(reader: &mut Reader, json: &Json, path: &str) -> Option<Amount> {
    let members = reader.object(json, path, &["share", "kg", "l", "g_per_l"])?;
    let given: Vec<&str> = ["share", "kg", "l", "g_per_l"]
        .into_iter()
        .filter(|key| members.get(key).is_some())
        .collect();
    let [key] = given.as_slice() else {
        one_of(reader, path, "share, kg, l, g_per_l");
        return None;
    };
    let value = reader.required_number(&members, key);
    Some(match *key {
        "share" => Amount::Share(value),
        "kg" => Amount::Kg(value),
        "l" => Amount::Litres(value),
        _ => Amount::GramsPerLitre(value),
    })
}

const COMPOSITION_KEYS: &[&str] = &[
    "water",
    "fermentable",
    "unfermentable",
    "insoluble",
    "yan_mg_per_kg",
    "ta_g_per_kg",
    "density_kg_per_l",
    "spread",
];

pub(in crate::engine) fn composition(
    reader: &mut Reader,
    json: &Json,
    path: &str,
) -> Option<Composition> {
    let members = reader.object(json, path, COMPOSITION_KEYS)?;
    let spread_path = pointer(path, "spread");
    let spread = members
        .get("spread")
        .and_then(|json| reader.object(json, &spread_path, &["water", "fermentable"]))
        .map(|members| CompositionSpread {
            water: reader.number(&members, "water"),
            fermentable: reader.number(&members, "fermentable"),
        });
    Some(Composition {
        water: reader.required_number(&members, "water"),
        fermentable: reader.required_number(&members, "fermentable"),
        unfermentable: reader.required_number(&members, "unfermentable"),
        insoluble: reader.required_number(&members, "insoluble"),
        yan_mg_per_kg: reader.number(&members, "yan_mg_per_kg"),
        ta_g_per_kg: reader.number(&members, "ta_g_per_kg"),
        density_kg_per_l: reader.number(&members, "density_kg_per_l"),
        spread,
    })
}

const YEAST_KEYS: &[&str] = &[
    "key",
    "name",
    "tolerance_abv_percent",
    "nitrogen_need",
    "temperature_c",
    "when",
    "attenuation_percent",
];

pub(super) fn yeast(reader: &mut Reader, json: &Json, path: &str) -> Option<Yeast> {
    let members = reader.object(json, path, YEAST_KEYS)?;
    let name = reader.required_text(&members, "name");
    let tolerance_abv_percent = reader.required_number(&members, "tolerance_abv_percent");
    reader.required(&members, "nitrogen_need");
    let need = reader.word(&members, "nitrogen_need", NitrogenNeed::from_word, || {
        words(NitrogenNeed::ALL, NitrogenNeed::as_str)
    });
    let temperature_c = members
        .get("temperature_c")
        .and_then(|json| low_and_high(reader, json, &pointer(path, "temperature_c")));
    Some(Yeast {
        key: reader.text(&members, "key"),
        name,
        tolerance_abv_percent,
        nitrogen_need: need.unwrap_or(NitrogenNeed::Medium),
        temperature_c,
        when: reader
            .word(&members, "when", YeastWhen::from_word, || {
                words(YeastWhen::ALL, YeastWhen::as_str)
            })
            .unwrap_or(YeastWhen::Pitch),
        attenuation_percent: reader.number(&members, "attenuation_percent"),
    })
}

fn low_and_high(reader: &mut Reader, json: &Json, path: &str) -> Option<[f64; 2]> {
    if let Json::List(pair) = json
        && let [Json::Number(low), Json::Number(high)] = pair.as_slice()
    {
        return Some([*low, *high]);
    }
    let expected = Arguments::none().with("expected", "two numbers: lowest, highest");
    reader.problem(ProblemCode::WrongKind, path, expected);
    None
}

const NUTRIENT_KEYS: &[&str] = &[
    "key",
    "name",
    "ammonium_yan_mg_per_g",
    "organic_yan_mg_per_g",
    "max_g_per_l",
    "price_per_kg",
    "share",
];

pub(super) fn nutrient(reader: &mut Reader, json: &Json, path: &str) -> Option<Nutrient> {
    let members = reader.object(json, path, NUTRIENT_KEYS)?;
    Some(Nutrient {
        key: reader.text(&members, "key"),
        name: reader.required_text(&members, "name"),
        ammonium_yan_mg_per_g: reader
            .number(&members, "ammonium_yan_mg_per_g")
            .unwrap_or(0.0),
        organic_yan_mg_per_g: reader
            .number(&members, "organic_yan_mg_per_g")
            .unwrap_or(0.0),
        max_g_per_l: reader.number(&members, "max_g_per_l"),
        price_per_kg: reader.number(&members, "price_per_kg"),
        share: reader.number(&members, "share"),
    })
}

const VESSEL_KEYS: &[&str] = &[
    "name",
    "kind",
    "brim_l",
    "wide_mouth",
    "headspace_fraction",
    "loss_l",
];

pub(super) fn vessel(reader: &mut Reader, json: &Json) -> Option<Vessel> {
    let members = reader.object(json, "/vessel", VESSEL_KEYS)?;
    Some(Vessel {
        name: reader.text(&members, "name"),
        kind: reader.text(&members, "kind"),
        brim_l: reader.required_number(&members, "brim_l"),
        wide_mouth: reader.flag(&members, "wide_mouth"),
        headspace_fraction: reader.number(&members, "headspace_fraction"),
        loss_l: reader.number(&members, "loss_l"),
    })
}

pub(super) fn water_report(reader: &mut Reader, json: &Json) -> Option<WaterReport> {
    let members = reader.object(json, "/water_report", &["ions", "salts"])?;
    let mut numbers = |key: &str| match members.get(key) {
        Some(json) => numbers(reader, json, &pointer("/water_report", key)),
        None => BTreeMap::new(),
    };
    Some(WaterReport {
        ions: numbers("ions"),
        salts: numbers("salts"),
    })
}

/// An object of numbers under any names; `null` counts as absent.
pub(in crate::engine) fn numbers(
    reader: &mut Reader,
    json: &Json,
    path: &str,
) -> BTreeMap<String, f64> {
    let Some(members) = reader.object(json, path, &[]) else {
        return BTreeMap::new();
    };
    // A number of another kind has been named; the 0 in its place is never seen.
    members
        .iter()
        .filter(|(_, json)| **json != Json::Null)
        .map(|(key, json)| {
            let number = reader.as_number(json, || pointer(path, key));
            (key.to_owned(), number.unwrap_or(0.0))
        })
        .collect()
}

pub(super) fn texts(reader: &mut Reader, json: &Json, path: &str) -> BTreeMap<String, String> {
    let Some(members) = reader.object(json, path, &[]) else {
        return BTreeMap::new();
    };
    members
        .iter()
        .filter(|(_, json)| **json != Json::Null)
        .map(|(key, json)| {
            let text = reader.as_text(json, || pointer(path, key));
            (key.to_owned(), text.unwrap_or_default())
        })
        .collect()
}

pub(super) fn step(reader: &mut Reader, json: &Json, path: &str) -> Option<Step> {
    let members = reader.object(json, path, &["when", "text"])?;
    Some(Step {
        when: reader.text(&members, "when").unwrap_or_default(),
        text: reader.required_text(&members, "text"),
    })
}
