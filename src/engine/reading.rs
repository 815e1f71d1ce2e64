//! Strict reading of a recipe document: every unknown key, double key, missing or wrong value is named with its place.

pub(super) mod parts;

use self::parts::{ingredient, nutrient, step, texts, vessel, water_report, yeast};
use super::json::{Json, Members, NotJson, Reader, pointer};
use super::problem::{Arguments, Problem, ProblemCode};
use super::recipe::{Aim, Declared, FeedingLevel, Finish, Recipe, Target, VERSION};

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
    read_json(json).map_err(ReadError::Problems)
}

/// Reads a recipe document that stands inside other JSON; pointers begin at the document.
///
/// # Errors
/// Every fault with its JSON Pointer.
pub fn read_json(json: Json) -> Result<Recipe, Vec<Problem>> {
    let mut reader = Reader::default();
    let recipe = recipe(&mut reader, &upgrade(json));
    match recipe {
        Some(recipe) if reader.problems.is_empty() => Ok(recipe),
        _ => Err(reader.problems),
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
            .word(&members, "feeding", FeedingLevel::from_word, || {
                words(FeedingLevel::ALL, FeedingLevel::as_str)
            })
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
