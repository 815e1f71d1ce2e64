//! What the reader has at home of what a recipe wants.

use crate::cupboard::amount::Measure;
use crate::recipes::numbers::Reader;

/// What to ask for where enough stands at home.
pub(super) const NOTHING: &str = "nothing: you have enough";

/// What the reader has at home of an ingredient, in kilograms; what is poured by the weight of a litre.
pub(super) fn at_home_kg(reader: &Reader, key: Option<&str>, name: &str, litre_kg: f64) -> f64 {
    let left = |measure| reader.cupboard.left(key, name, measure);
    left(Measure::Kg) + left(Measure::Litres) * litre_kg
}

/// What the reader has at home, in words; empty for nothing.
pub(super) fn have_words(reader: &Reader, key: Option<&str>, name: &str) -> String {
    let have = reader.cupboard.all_left(key, name);
    let have: Vec<String> = have
        .iter()
        .map(|amount| amount.shown(reader.units))
        .collect();
    have.join(" and ")
}
