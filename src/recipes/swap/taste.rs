//! What a swap does to the taste, in words, as far as the catalogue knows both.
//!
//! Taste and company are common practice in our own words, no published source; colour and acid have theirs in the
//! catalogue.

use crate::catalogue::item::Item;
use crate::catalogue::{Entry, Feed, HoneyTraits, Yeast, colour};
use crate::recipes::compare::Change;
use crate::recipes::numbers::strength;
use crate::web::units::{self, Units};

/// Acids closer than this taste alike, grams per kilogram of the fruit.
const SOUR_ALIKE: f64 = 3.0;
/// Colours closer than this look alike, millimetres on the Pfund scale.
const COLOUR_ALIKE: f64 = 15.0;

/// What it does: a sentence or two, and what changes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taste {
    pub said: Vec<String>,
    pub changes: Vec<Change>,
}

/// From one thing of the catalogue to another; nothing is known of what is not in it.
pub fn taste(before: Option<Item<'_>>, after: Option<Item<'_>>, units: Units) -> Taste {
    match (before, after) {
        (Some(Item::Ingredient(was)), Some(Item::Ingredient(is))) => ingredient(was, is, units),
        (Some(Item::Yeast(was)), Some(Item::Yeast(is))) => yeast(was, is, units),
        (Some(Item::Feed(was)), Some(Item::Feed(is))) => feed(was, is, units),
        (Some(_), None) => unknown(
            "Nobody has written down how this one tastes: smell it and taste it before it goes in.",
        ),
        _ => unknown(
            "Nobody has written down how the other one tastes, so the two cannot be told apart here.",
        ),
    }
}

fn unknown(words: &str) -> Taste {
    Taste {
        said: vec![words.to_owned()],
        changes: Vec::new(),
    }
}

fn ingredient(was: &Entry, is: &Entry, units: Units) -> Taste {
    let mut said = Vec::new();
    let mut changes = Vec::new();
    if let (Some(old), Some(new)) = (&was.honey, &is.honey) {
        said.extend(loudness(old, new));
        said.extend(darkness(old, new));
        let loud = |honey: &HoneyTraits| {
            let told = honey
                .intensity
                .map(|loud| format!("{loud} of 5: {}", HoneyTraits::loudness(loud)));
            told.unwrap_or_else(|| "not written down".to_owned())
        };
        let classes = |honey: &HoneyTraits| match colour::words(&honey.colours()).as_str() {
            "" => "not written down".to_owned(),
            words => words.to_owned(),
        };
        changes.extend(Change::between("strength of taste", loud(old), loud(new)));
        changes.extend(Change::between(
            "colour of the honey",
            classes(old),
            classes(new),
        ));
    }
    changes.extend(Change::between("tastes of", &*was.words, &*is.words));
    if let (Some(old), Some(new)) = (&was.honey, &is.honey) {
        changes.extend(Change::between("goes with", &*old.pairing, &*new.pairing));
    } else {
        said.extend(sourness(was, is));
        let grams = |entry: &Entry| match entry.ta_g_per_kg {
            Some(acid) => format!("{} g/kg as tartaric", units::plain(acid, 1)),
            None => "not written down".to_owned(),
        };
        changes.extend(Change::between("acid in it", grams(was), grams(is)));
        let usual = |entry: &Entry| match entry.usual_g_per_l {
            Some([low, high]) => {
                format!(
                    "{} to {}",
                    units::dose(low, units),
                    units::dose(high, units)
                )
            }
            None => "not written down".to_owned(),
        };
        changes.extend(Change::between(
            "usually so much of it",
            usual(was),
            usual(is),
        ));
    }
    let note = |entry: &Entry| entry.note.clone().unwrap_or_default();
    changes.extend(Change::between("to know", note(was), note(is)));
    Taste { said, changes }
}

/// How the strength of taste moves.
fn loudness(was: &HoneyTraits, is: &HoneyTraits) -> Option<String> {
    let (old, new) = (was.intensity?, is.intensity?);
    let words = match i16::from(new) - i16::from(old) {
        ..=-2 => {
            "Much milder: less of the honey, and more of the yeast and of whatever else is in it."
        }
        -1 => "A little milder: yeast, fruit and spice show more.",
        0 => "About as strong in taste.",
        1 => "A little stronger in taste.",
        _ => {
            "Much stronger: it will lead, and may cover what is delicate beside it. A blend with a mild one tames it."
        }
    };
    Some(words.to_owned())
}

/// How the colour moves.
fn darkness(was: &HoneyTraits, is: &HoneyTraits) -> Option<String> {
    let middle = |honey: &HoneyTraits| honey.pfund_mm.map(|[low, high]| f64::midpoint(low, high));
    let words = match middle(is)? - middle(was)? {
        less if less < -COLOUR_ALIKE => "The mead comes out paler.",
        more if more > COLOUR_ALIKE => "The mead comes out darker.",
        _ => "The colour stays much the same.",
    };
    Some(words.to_owned())
}

/// How the acid moves.
fn sourness(was: &Entry, is: &Entry) -> Option<String> {
    let words = match is.ta_g_per_kg? - was.ta_g_per_kg? {
        less if less < -SOUR_ALIKE => {
            "Less sour: taste when it is done, and add a little acid if it falls flat."
        }
        more if more > SOUR_ALIKE => {
            "Sourer: taste when it is done; a little sweetness balances it."
        }
        _ => "About as sour.",
    };
    Some(words.to_owned())
}

fn yeast(was: &Yeast, is: &Yeast, units: Units) -> Taste {
    let range = |yeast: &Yeast| {
        let [low, high] = yeast
            .temperature_c
            .map(|celsius| units::temperature(celsius, units));
        format!("{low} to {high}")
    };
    let changes = [
        Change::between("character", &*was.character, &*is.character),
        Change::between("what it is for", &*was.words, &*is.words),
        Change::between(
            "stops near",
            strength(was.tolerance_abv_percent()),
            strength(is.tolerance_abv_percent()),
        ),
        Change::between("at home at", range(was), range(is)),
        Change::between(
            "need of nitrogen",
            was.nitrogen_need.word(),
            is.nitrogen_need.word(),
        ),
    ];
    Taste {
        said: Vec::new(),
        changes: changes.into_iter().flatten().collect(),
    }
}

fn feed(was: &Feed, is: &Feed, units: Units) -> Taste {
    let organic =
        |feed: &Feed| feed.ammonium_yan_mg_per_g <= 0.0 && feed.organic_yan_mg_per_g > 0.0;
    let words = match (organic(was), organic(is)) {
        (false, true) => Some("Gentler: no ammonium, and of use to the end; it takes more grams."),
        (true, false) => {
            Some("Quicker: ammonium is taken up at once, but only until about 9 % alcohol.")
        }
        _ => None,
    };
    let mg = |number: f64| format!("{} mg in a gram", units::plain(number, 1));
    let dose = |[low, high]: [f64; 2]| {
        format!(
            "{} to {}",
            units::dose(low, units),
            units::dose(high, units)
        )
    };
    let changes = [
        Change::between("what it is", &*was.words, &*is.words),
        Change::between(
            "nitrogen as ammonium",
            mg(was.ammonium_yan_mg_per_g),
            mg(is.ammonium_yan_mg_per_g),
        ),
        Change::between(
            "nitrogen, organic",
            mg(was.organic_yan_mg_per_g),
            mg(is.organic_yan_mg_per_g),
        ),
        Change::between(
            "usual dose",
            dose(was.usual_g_per_l),
            dose(is.usual_g_per_l),
        ),
    ];
    Taste {
        said: words.map(str::to_owned).into_iter().collect(),
        changes: changes.into_iter().flatten().collect(),
    }
}

/// Whether so many grams in a litre are less or more of it than is usual.
pub fn amount(entry: &Entry, grams_per_l: Option<f64>, units: Units) -> Option<String> {
    let (grams, [low, high]) = (grams_per_l?, entry.usual_g_per_l?);
    let so = format!(
        "There are {} of it now, and {} to {} are usual:",
        units::dose(grams, units),
        units::dose(low, units),
        units::dose(high, units)
    );
    match grams {
        grams if grams < low * 0.95 => Some(format!("{so} it may hardly be noticed.")),
        grams if grams > high * 1.05 => Some(format!("{so} it may be too much.")),
        _ => None,
    }
}
