//! Strict reading of a recipe document: every unknown key, double key, missing or wrong value is named with its place.

use std::collections::BTreeMap;

use super::json::{Json, Members, NotJson, Reader, pointer};
use super::problem::{Arguments, Problem, ProblemCode};
use super::recipe::{
    Aim, Amount, Composition, CompositionSpread, Declared, FeedingLevel, Finish, Form, Ingredient,
    Kind, NitrogenNeed, Nutrient, Recipe, Step, Target, VERSION, Vessel, WaterReport, When, Yeast,
    YeastWhen,
};

/// Why a text did not become a recipe.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadError {
    /// The text is no JSON.
    NotJson(NotJson),
    /// It is JSON, but no recipe document.
    Problems(Vec<Problem>),
}

/// Reads a recipe document from JSON text.
///
/// # Errors
/// [`ReadError::NotJson`], or [`ReadError::Problems`] with every fault and its JSON Pointer.
pub fn read(text: &str) -> Result<Recipe, ReadError> {
    let json = Json::parse(text).map_err(ReadError::NotJson)?;
    let mut reader = Reader::default();
    let recipe = recipe(&mut reader, &upgrade(json));
    match recipe {
        Some(recipe) if reader.problems.is_empty() => Ok(recipe),
        _ => Err(ReadError::Problems(reader.problems)),
    }
}

/// Brings a document of an older version to this one. Version 1 is the first, so there is nothing to bring yet.
fn upgrade(json: Json) -> Json {
    json
}

/// All words of a set, for a message.
fn words<T: Copy>(all: &[T], word: impl Fn(T) -> &'static str) -> String {
    all.iter()
        .map(|item| word(*item))
        .collect::<Vec<_>>()
        .join(", ")
}

const RECIPE_KEYS: &[&str] = &[
    "version",
    "title",
    "notes",
    "style",
    "declared",
    "volume_l",
    "aim",
    "finish",
    "filler",
    "ingredients",
    "yeasts",
    "nutrients",
    "feeding",
    "temperature_c",
    "vessel",
    "water_report",
    "process",
    "typed",
];

fn recipe(reader: &mut Reader, json: &Json) -> Option<Recipe> {
    let members = reader.object(json, "", RECIPE_KEYS)?;
    let version = reader.required_number(&members, "version");
    if version.is_finite() && version != f64::from(VERSION) {
        reader.problem(
            ProblemCode::VersionUnknown,
            "/version",
            Arguments::none()
                .with("given", version)
                .with("known", f64::from(VERSION)),
        );
    }
    let aim = reader
        .required(&members, "aim")
        .and_then(|json| aim(reader, json));
    let finish = reader
        .required(&members, "finish")
        .and_then(|json| finish(reader, json));
    let ingredients = reader
        .list(&members, "ingredients")
        .iter()
        .filter_map(|(path, json)| ingredient(reader, json, path))
        .collect();
    let yeasts = reader
        .list(&members, "yeasts")
        .iter()
        .filter_map(|(path, json)| yeast(reader, json, path))
        .collect();
    let nutrients = reader
        .list(&members, "nutrients")
        .iter()
        .filter_map(|(path, json)| nutrient(reader, json, path))
        .collect();
    let process = reader
        .list(&members, "process")
        .iter()
        .filter_map(|(path, json)| step(reader, json, path))
        .collect();
    Some(Recipe {
        version: VERSION,
        title: reader.text(&members, "title").unwrap_or_default(),
        notes: reader.text(&members, "notes").unwrap_or_default(),
        style: reader.text(&members, "style"),
        declared: members
            .get("declared")
            .and_then(|json| declared(reader, json)),
        volume_l: reader.number(&members, "volume_l"),
        aim: aim.unwrap_or(Aim::Amounts),
        finish: finish.unwrap_or(Finish::Dry),
        filler: reader.text(&members, "filler"),
        ingredients,
        yeasts,
        nutrients,
        feeding: reader
            .word(
                &members,
                "feeding",
                FeedingLevel::from_word,
                &words(FeedingLevel::ALL, FeedingLevel::as_str),
            )
            .unwrap_or(FeedingLevel::Usual),
        temperature_c: reader.number(&members, "temperature_c"),
        vessel: members.get("vessel").and_then(|json| vessel(reader, json)),
        water_report: members
            .get("water_report")
            .and_then(|json| water_report(reader, json)),
        process,
        typed: members
            .get("typed")
            .map(|json| texts(reader, json, "/typed"))
            .unwrap_or_default(),
    })
}

fn one_of(reader: &mut Reader, path: &str, keys: &str) {
    reader.problem(
        ProblemCode::OneOf,
        path,
        Arguments::none().with("keys", keys),
    );
}

fn is_true(reader: &mut Reader, members: &Members<'_>, key: &str) {
    if reader.flag(members, key) == Some(false) {
        reader.problem(
            ProblemCode::UnknownWord,
            pointer(members.path, key),
            Arguments::none()
                .with("given", "false")
                .with("known", "true"),
        );
    }
}

fn aim(reader: &mut Reader, json: &Json) -> Option<Aim> {
    const KEYS: &[&str] = &["abv_percent", "gravity_sg", "amounts", "use_honey_kg"];
    let members = reader.object(json, "/aim", KEYS)?;
    let abv = members
        .get("abv_percent")
        .is_some()
        .then(|| reader.required_number(&members, "abv_percent"));
    let sg = members
        .get("gravity_sg")
        .is_some()
        .then(|| reader.required_number(&members, "gravity_sg"));
    let target = match (abv, sg) {
        (Some(abv), None) => Some(Target::Abv(abv)),
        (None, Some(sg)) => Some(Target::Gravity(sg)),
        _ => None,
    };
    let honey = members
        .get("use_honey_kg")
        .is_some()
        .then(|| reader.required_number(&members, "use_honey_kg"));
    let amounts = members.get("amounts").is_some();
    if amounts {
        is_true(reader, &members, "amounts");
    }
    match (amounts, honey, target, abv.is_some() || sg.is_some()) {
        (true, None, None, false) => Some(Aim::Amounts),
        (false, None, Some(target), _) => Some(Aim::Target(target)),
        (false, Some(kg), Some(target), _) => Some(Aim::UseHoney { kg, target }),
        _ => {
            one_of(
                reader,
                "/aim",
                "abv_percent, gravity_sg, amounts; use_honey_kg with abv_percent or gravity_sg",
            );
            None
        }
    }
}

fn finish(reader: &mut Reader, json: &Json) -> Option<Finish> {
    let members = reader.object(json, "/finish", &["dry", "sweeten_to_sg", "arrest_to_sg"])?;
    let given = ["dry", "sweeten_to_sg", "arrest_to_sg"].map(|key| members.get(key).is_some());
    match given {
        [true, false, false] => {
            is_true(reader, &members, "dry");
            Some(Finish::Dry)
        }
        [false, true, false] => Some(Finish::SweetenTo(
            reader.required_number(&members, "sweeten_to_sg"),
        )),
        [false, false, true] => Some(Finish::ArrestTo(
            reader.required_number(&members, "arrest_to_sg"),
        )),
        _ => {
            one_of(reader, "/finish", "dry, sweeten_to_sg, arrest_to_sg");
            None
        }
    }
}

fn declared(reader: &mut Reader, json: &Json) -> Option<Declared> {
    let members = reader.object(json, "/declared", &["sweetness", "strength", "carbonation"])?;
    Some(Declared {
        sweetness: reader.text(&members, "sweetness"),
        strength: reader.text(&members, "strength"),
        carbonation: reader.text(&members, "carbonation"),
    })
}

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

fn ingredient(reader: &mut Reader, json: &Json, path: &str) -> Option<Ingredient> {
    let members = reader.object(json, path, INGREDIENT_KEYS)?;
    let name = reader.required_text(&members, "name");
    reader.required(&members, "kind");
    let kind = reader.word(
        &members,
        "kind",
        Kind::from_word,
        &words(Kind::ALL, Kind::as_str),
    );
    Some(Ingredient {
        key: reader.text(&members, "key"),
        name,
        kind: kind.unwrap_or(Kind::Other),
        form: reader.word(
            &members,
            "form",
            Form::from_word,
            &words(Form::ALL, Form::as_str),
        ),
        days: reader.number(&members, "days"),
        when: reader
            .word(
                &members,
                "when",
                When::from_word,
                &words(When::ALL, When::as_str),
            )
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

fn composition(reader: &mut Reader, json: &Json, path: &str) -> Option<Composition> {
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

fn yeast(reader: &mut Reader, json: &Json, path: &str) -> Option<Yeast> {
    let members = reader.object(json, path, YEAST_KEYS)?;
    let name = reader.required_text(&members, "name");
    let tolerance_abv_percent = reader.required_number(&members, "tolerance_abv_percent");
    reader.required(&members, "nitrogen_need");
    let need = reader.word(
        &members,
        "nitrogen_need",
        NitrogenNeed::from_word,
        &words(NitrogenNeed::ALL, NitrogenNeed::as_str),
    );
    let temperature_c = match members.get("temperature_c") {
        None => None,
        Some(Json::List(pair)) => match pair.as_slice() {
            [Json::Number(low), Json::Number(high)] => Some([*low, *high]),
            _ => {
                let expected = Arguments::none().with("expected", "two numbers: lowest, highest");
                reader.problem(
                    ProblemCode::WrongKind,
                    pointer(path, "temperature_c"),
                    expected,
                );
                None
            }
        },
        Some(_) => {
            let expected = Arguments::none().with("expected", "two numbers: lowest, highest");
            reader.problem(
                ProblemCode::WrongKind,
                pointer(path, "temperature_c"),
                expected,
            );
            None
        }
    };
    Some(Yeast {
        key: reader.text(&members, "key"),
        name,
        tolerance_abv_percent,
        nitrogen_need: need.unwrap_or(NitrogenNeed::Medium),
        temperature_c,
        when: reader
            .word(
                &members,
                "when",
                YeastWhen::from_word,
                &words(YeastWhen::ALL, YeastWhen::as_str),
            )
            .unwrap_or(YeastWhen::Pitch),
        attenuation_percent: reader.number(&members, "attenuation_percent"),
    })
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

fn nutrient(reader: &mut Reader, json: &Json, path: &str) -> Option<Nutrient> {
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

fn vessel(reader: &mut Reader, json: &Json) -> Option<Vessel> {
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

fn water_report(reader: &mut Reader, json: &Json) -> Option<WaterReport> {
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

fn numbers(reader: &mut Reader, json: &Json, path: &str) -> BTreeMap<String, f64> {
    let Some(members) = reader.object(json, path, &[]) else {
        return BTreeMap::new();
    };
    members
        .iter()
        .map(|(key, _)| (key.to_owned(), reader.number(&members, key).unwrap_or(0.0)))
        .collect()
}

fn texts(reader: &mut Reader, json: &Json, path: &str) -> BTreeMap<String, String> {
    let Some(members) = reader.object(json, path, &[]) else {
        return BTreeMap::new();
    };
    members
        .iter()
        .map(|(key, _)| {
            (
                key.to_owned(),
                reader.text(&members, key).unwrap_or_default(),
            )
        })
        .collect()
}

fn step(reader: &mut Reader, json: &Json, path: &str) -> Option<Step> {
    let members = reader.object(json, path, &["when", "text"])?;
    Some(Step {
        when: reader.text(&members, "when").unwrap_or_default(),
        text: reader.required_text(&members, "text"),
    })
}
