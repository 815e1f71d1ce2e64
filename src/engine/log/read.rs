//! Strict reading of a log from JSON: every unknown key, double key, missing or wrong value is named with its place.

use super::entry::{
    Addition, Aspect, Became, Bottles, Deed, Entry, Feed, Glass, How, Mixed, Move, Note, Package,
    Part, Pitch, PlanStep, Rack, Reading, Sample, Sense, Stock, Tasting, Trial, What, Why,
};
use super::ranges::{deed_faults, faults};
use crate::engine::allergens;
use crate::engine::json::{Json, Members, Reader, pointer};
use crate::engine::problem::{Arguments, Problem, ProblemCode};
use crate::engine::reading::parts::composition;

/// Reads one entry: `{"entry": 7, "hours": 49.5, "kind": "reading", "data": {…}}`.
///
/// # Errors
/// Every fault with its JSON Pointer, which begins at the entry.
pub fn entry(json: &Json) -> Result<Entry, Vec<Problem>> {
    let mut reader = Reader::default();
    let read = whole_entry(&mut reader, json);
    match read {
        Some(entry) if reader.problems.is_empty() => {
            let faults = faults(&entry);
            if faults.is_empty() {
                Ok(entry)
            } else {
                Err(faults)
            }
        }
        _ => Err(reader.problems),
    }
}

/// Reads the data of one kind of entry; `degas` and `aerate` have none.
///
/// # Errors
/// Every fault with its JSON Pointer, which begins at the data; an unknown kind at `/kind`.
pub fn deed(kind: &str, data: &Json) -> Result<Deed, Vec<Problem>> {
    let mut reader = Reader::default();
    let read = of_kind(&mut reader, kind, data, "", "/kind");
    match read {
        Some(deed) if reader.problems.is_empty() => {
            let faults = deed_faults(&deed, "");
            if faults.is_empty() {
                Ok(deed)
            } else {
                Err(faults)
            }
        }
        _ => Err(reader.problems),
    }
}

fn whole_entry(reader: &mut Reader, json: &Json) -> Option<Entry> {
    let members = reader.object(json, "", &["entry", "hours", "kind", "data"])?;
    reader.required(&members, "entry");
    let entry = whole_number(reader, &members, "entry");
    let hours = reader.required_number(&members, "hours");
    let kind = reader.required_text(&members, "kind");
    let nothing = Json::Object(Vec::new());
    let data = members.get("data").unwrap_or(&nothing);
    let deed = of_kind(reader, &kind, data, "/data", "/kind")?;
    Some(Entry {
        entry: u32::try_from(entry?).ok()?,
        hours,
        deed,
    })
}

/// A number without a fraction that fits an entry's number, a count or a score.
fn whole_number(reader: &mut Reader, members: &Members<'_>, key: &str) -> Option<i64> {
    let number = reader.number(members, key)?;
    let least = if matches!(key, "entry" | "count") {
        0.0
    } else {
        f64::from(i32::MIN)
    };
    if number.fract() == 0.0 && (least..=f64::from(i32::MAX)).contains(&number) {
        return Some(number as i64);
    }
    reader.wrong_kind(pointer(members.path, key), "a whole number");
    None
}

fn small(reader: &mut Reader, members: &Members<'_>, key: &str) -> Option<i32> {
    whole_number(reader, members, key).and_then(|number| i32::try_from(number).ok())
}

fn of_kind(
    reader: &mut Reader,
    kind: &str,
    data: &Json,
    path: &str,
    kind_path: &str,
) -> Option<Deed> {
    let Some((_, keys)) = KEYS.iter().find(|(name, _)| *name == kind) else {
        if !kind.is_empty() {
            let known = Deed::KINDS.join(", ");
            let arguments = Arguments::none()
                .with("given", kind)
                .with("known", known.as_str());
            reader.problem(ProblemCode::UnknownWord, kind_path, arguments);
        }
        return None;
    };
    let Json::Object(given) = data else {
        reader.wrong_kind(path.to_owned(), "an object");
        return None;
    };
    if keys.is_empty()
        && let Some((key, _)) = given.first()
    {
        let arguments = Arguments::none().with("key", key.as_str());
        reader.problem(ProblemCode::UnknownKey, pointer(path, key), arguments);
        return None;
    }
    let m = &reader.object(data, path, keys)?;
    Some(match kind {
        "mixed" => Deed::Mixed(Mixed {
            volume_l: reader.number(m, "volume_l"),
            sg: reader.number(m, "sg"),
            temperature_c: reader.number(m, "temperature_c"),
        }),
        "pitch" => Deed::Pitch(Pitch {
            name: reader.text(m, "name"),
            yeast_g: reader.number(m, "yeast_g"),
            tolerance_abv_percent: reader.number(m, "tolerance_abv_percent"),
            rehydrated: reader.flag(m, "rehydrated"),
        }),
        "reading" => Deed::Reading(reading(reader, m)),
        "feed" => Deed::Feed(Feed {
            name: reader.required_text(m, "name"),
            grams: reader.required_number(m, "grams"),
            ammonium_yan_mg_per_g: reader.number(m, "ammonium_yan_mg_per_g"),
            organic_yan_mg_per_g: reader.number(m, "organic_yan_mg_per_g"),
            cost: reader.number(m, "cost"),
        }),
        "addition" => Deed::Addition(addition(reader, m)),
        "degas" => Deed::Degas,
        "aerate" => Deed::Aerate,
        "rack" => Deed::Rack(Rack {
            into: reader.text(m, "into"),
            volume_l: reader.number(m, "volume_l"),
            loss_l: reader.number(m, "loss_l"),
        }),
        "sample" => Deed::Sample(Sample {
            litres: reader.required_number(m, "litres"),
            returned: reader.flag(m, "returned").unwrap_or(false),
        }),
        "package" => Deed::Package(package(reader, m)),
        "part" => Deed::Part(Part {
            share: reader.required_number(m, "share"),
        }),
        "note" => Deed::Note(Note {
            text: reader.text(m, "text"),
        }),
        "tasting" => Deed::Tasting(tasting(reader, m)),
        "step" => Deed::Step(PlanStep {
            step: reader.required_text(m, "step"),
            is: {
                reader.required(m, "is");
                let is = reader.word(m, "is", Became::from_word, || {
                    known(Became::ALL.iter().map(|w| w.as_str()))
                });
                // Where the word is missing or unknown a problem has been noted.
                is.unwrap_or(Became::Done)
            },
            reason: reader.text(m, "reason"),
            to_hours: reader.number(m, "to_hours"),
        }),
        "trial" => Deed::Trial(trial(reader, m)),
        _ => Deed::Move(Move {
            vessel: reader.text(m, "vessel"),
            brim_l: reader.number(m, "brim_l"),
            kind: reader.text(m, "kind"),
        }),
    })
}

fn known<'a>(words: impl Iterator<Item = &'a str>) -> String {
    words.collect::<Vec<_>>().join(", ")
}

const VALUES: &str = "sg, read_sg, temperature_c, must_temperature_c, brix, ph, ta_g_per_l, volume_l, free_so2_mg_per_l";

fn reading(reader: &mut Reader, m: &Members<'_>) -> Reading {
    if VALUES.split(", ").all(|key| m.get(key).is_none()) {
        let arguments = Arguments::none().with("keys", VALUES);
        reader.problem(ProblemCode::OneOf, m.path, arguments);
    }
    Reading {
        sg: reader.number(m, "sg"),
        read_sg: reader.number(m, "read_sg"),
        temperature_c: reader.number(m, "temperature_c"),
        must_temperature_c: reader.number(m, "must_temperature_c"),
        brix: reader.number(m, "brix"),
        ph: reader.number(m, "ph"),
        ta_g_per_l: reader.number(m, "ta_g_per_l"),
        volume_l: reader.number(m, "volume_l"),
        free_so2_mg_per_l: reader.number(m, "free_so2_mg_per_l"),
        degassed: reader.flag(m, "degassed"),
        instrument: reader.text(m, "instrument"),
    }
}

fn addition(reader: &mut Reader, m: &Members<'_>) -> Addition {
    let amounts = ["kg", "litres", "grams"];
    if amounts.iter().filter(|key| m.get(key).is_some()).count() > 1 {
        let arguments = Arguments::none().with("keys", "kg, litres, grams");
        reader.problem(ProblemCode::OneOf, m.path, arguments);
    }
    reader.required(m, "what");
    let what = reader.word(m, "what", What::from_word, || {
        known(What::ALL.iter().map(|what| what.as_str()))
    });
    let place = pointer(m.path, "composition");
    Addition {
        name: reader.required_text(m, "name"),
        // Where the word is missing or unknown a problem has been noted.
        what: what.unwrap_or(What::Other),
        why: reader.word(m, "why", Why::from_word, || {
            known(Why::ALL.iter().map(|why| why.as_str()))
        }),
        kg: reader.number(m, "kg"),
        litres: reader.number(m, "litres"),
        grams: reader.number(m, "grams"),
        composition: m
            .get("composition")
            .and_then(|json| composition(reader, json, &place)),
        sg: reader.number(m, "sg"),
        abv_percent: reader.number(m, "abv_percent"),
        sugar_g_per_l: reader.number(m, "sugar_g_per_l"),
        ta_change_g_per_l: reader.number(m, "ta_change_g_per_l"),
        so2_mg_per_l: reader.number(m, "so2_mg_per_l"),
        sorbic_mg_per_l: reader.number(m, "sorbic_mg_per_l"),
        allergens: allergen_codes(reader, m),
        cost: reader.number(m, "cost"),
    }
}

/// Codes that the engine knows.
fn allergen_codes(reader: &mut Reader, m: &Members<'_>) -> Vec<String> {
    let mut codes = Vec::new();
    for (path, json) in reader.list(m, "allergens") {
        let Some(code) = reader.as_text(json, || path.clone()) else {
            continue;
        };
        match allergens::codes().any(|known| known == code) {
            true => codes.push(code),
            false => {
                let arguments = Arguments::none()
                    .with("given", code.as_str())
                    .with("known", known(allergens::codes()).as_str());
                reader.problem(ProblemCode::UnknownWord, path, arguments);
            }
        }
    }
    codes
}

fn tasting(reader: &mut Reader, m: &Members<'_>) -> Tasting {
    let mut tasting = Tasting {
        text: reader.text(m, "text"),
        liking: small(reader, m, "liking"),
        score: small(reader, m, "score"),
        character: small(reader, m, "character"),
        ..Tasting::default()
    };
    for sense in Sense::ALL {
        tasting.put(*sense, small(reader, m, sense.as_str()));
    }
    if let Some(words) = m.get("words") {
        let place = pointer(m.path, "words");
        let keys: Vec<&str> = Aspect::ALL.iter().map(|aspect| aspect.as_str()).collect();
        if let Some(words) = &reader.object(words, &place, &keys) {
            for aspect in Aspect::ALL {
                let said = reader.text(words, aspect.as_str());
                tasting.described.put(*aspect, said);
            }
        }
    }
    // Warmth stood under another name before.
    let older = small(reader, m, "alcohol");
    if older.is_some() && tasting.warmth.is_some() {
        let arguments = Arguments::none().with("keys", "warmth, alcohol");
        reader.problem(ProblemCode::OneOf, m.path, arguments);
    }
    tasting.warmth = tasting.warmth.or(older);
    tasting
}

fn package(reader: &mut Reader, m: &Members<'_>) -> Package {
    let mut bottles = Vec::new();
    for (path, json) in reader.list(m, "bottles") {
        if let Some(m) = reader.object(json, &path, &["size_l", "count"]) {
            reader.required(&m, "count");
            bottles.push(Bottles {
                size_l: reader.required_number(&m, "size_l"),
                count: whole_number(reader, &m, "count")
                    .and_then(|count| u32::try_from(count).ok())
                    .unwrap_or(0),
            });
        }
    }
    Package {
        litres: reader.number(m, "litres"),
        bottles,
        how: reader.word(m, "how", How::from_word, || {
            known(How::ALL.iter().map(|how| how.as_str()))
        }),
        volumes_co2: reader.number(m, "volumes_co2"),
    }
}

fn trial(reader: &mut Reader, m: &Members<'_>) -> Trial {
    reader.required(m, "stock");
    let stock = reader.word(m, "stock", Stock::from_word, || {
        known(Stock::ALL.iter().map(|stock| stock.as_str()))
    });
    let mut glasses = Vec::new();
    for (path, json) in reader.list(m, "glasses") {
        if let Some(m) = reader.object(json, &path, &["code", "stock_ml"]) {
            glasses.push(Glass {
                code: reader.required_text(&m, "code"),
                stock_ml: reader.required_number(&m, "stock_ml"),
            });
        }
    }
    let place = pointer(m.path, "composition");
    Trial {
        // Where the word is missing or unknown a problem has been noted.
        stock: stock.unwrap_or(Stock::Own),
        name: reader.required_text(m, "name"),
        composition: m
            .get("composition")
            .and_then(|json| composition(reader, json, &place)),
        sample_ml: reader.required_number(m, "sample_ml"),
        glasses,
        winner: reader.text(m, "winner"),
    }
}

/// Kind → the keys of its data.
#[rustfmt::skip]
const KEYS: &[(&str, &[&str])] = &[
    ("mixed", &["volume_l", "sg", "temperature_c"]),
    ("pitch", &["name", "yeast_g", "tolerance_abv_percent", "rehydrated"]),
    ("reading", &["sg", "read_sg", "temperature_c", "must_temperature_c", "brix", "ph", "ta_g_per_l", "volume_l",
        "free_so2_mg_per_l", "degassed", "instrument"]),
    ("feed", &["name", "grams", "ammonium_yan_mg_per_g", "organic_yan_mg_per_g", "cost"]),
    ("addition", &["name", "what", "why", "kg", "litres", "grams", "composition", "sg", "abv_percent",
        "sugar_g_per_l", "ta_change_g_per_l", "so2_mg_per_l", "sorbic_mg_per_l",
        "allergens", "cost"]),
    ("degas", &[]),
    ("aerate", &[]),
    ("rack", &["into", "volume_l", "loss_l"]),
    ("sample", &["litres", "returned"]),
    ("package", &["litres", "bottles", "how", "volumes_co2"]),
    ("part", &["share"]),
    ("note", &["text"]),
    ("tasting", &["text", "words", "liking", "score", "sweetness", "acidity", "tannin", "warmth", "body", "honey", "fruit",
        "spice", "sparkle", "alcohol", "character"]),
    ("step", &["step", "is", "reason", "to_hours"]),
    ("move", &["vessel", "brim_l", "kind"]),
    ("trial", &["stock", "name", "composition", "sample_ml", "glasses", "winner"]),
];
