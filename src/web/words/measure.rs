//! What a number at a place of a document measures: its key says so, and the reader's units print it.

use super::print_number;
use crate::web::units::{self, Units};

/// The key of a place: its last part that is no number of a list.
fn key_of(path: &str) -> &str {
    path.rsplit('/')
        .find(|part| part.parse::<usize>().is_err())
        .unwrap_or_default()
}

/// A number with its unit, as a reader of these units reads it.
pub(super) fn print_at(path: &str, number: f64, units: Units) -> String {
    let key = key_of(path);
    let with = |unit: &str| format!("{} {unit}", units::plain(number, 3));
    if path.contains("/ions/") {
        return with("mg/L");
    }
    if path.contains("/salts/") {
        return print_number(number, "grams", units);
    }
    let is = |end: &str| key == end.trim_start_matches('_') || key.ends_with(end);
    // The longer endings first: "mg_per_l" also ends in "_l".
    match () {
        () if is("price_per_kg") => units::price_per_mass(number, units),
        () if is("_mg_per_kg") => with("mg/kg"),
        () if is("_mg_per_g") => with("mg/g"),
        () if is("_mg_per_l") => with("mg/L"),
        () if is("_kg_per_l") => with("kg/L"),
        () if is("_kg_per_m3") => with("kg/m³"),
        () if is("_g_per_kg") => with("g/kg"),
        () if is("_g_per_l") => print_number(number, "g_per_l", units),
        () if is("_percent") => print_number(number, "percent", units),
        () if is("_sg") || matches!(key, "og" | "fg") => print_number(number, "gravity", units),
        () if is("_c") => print_number(number, "temperature", units),
        () if is("_kg") => print_number(number, "mass", units),
        () if is("_l") || is("_litres") => print_number(number, "volume", units),
        () if is("_fraction") || is_fraction(path, key) => print_number(number, "fraction", units),
        () if is("_days") => with("days"),
        () if is("_brix") => with("°Bx"),
        () => print_number(number, "", units),
    }
}

/// Parts of a whole whose keys name the part and not the measure.
fn is_fraction(path: &str, key: &str) -> bool {
    let part = matches!(key, "water" | "fermentable" | "unfermentable" | "insoluble");
    part || (key == "share" && path.starts_with("/nutrients/"))
}
