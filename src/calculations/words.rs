//! Words and figures that several answers share.

use super::model::Table;
use crate::catalogue::catalogue;
use crate::engine::units::PSI_KPA;
use crate::web::units::{self, Units};

/// A powder as a scale reads it; a reader of ounces finds both where it is more than an ounce.
pub fn powder(grams: f64, units: Units) -> String {
    match units {
        Units::Metric => units::mass(grams / 1000.0, units),
        _ => units::mass_both(grams / 1000.0, units),
    }
}

/// Grams of a feed in level teaspoons: "about 2.5 level teaspoons (± 20 %)"; empty below an eighth.
pub fn teaspoons(feed: &str, grams: f64) -> String {
    let spoon = catalogue()
        .find_feed(feed)
        .and_then(|feed| feed.grams_per_teaspoon);
    match spoon.map(|spoon| (grams / spoon * 4.0).round() / 4.0) {
        Some(1.0) => "about 1 level teaspoon (±\u{a0}20\u{a0}%)".to_owned(),
        Some(spoons) if spoons > 0.0 => {
            format!(
                "about {} level teaspoons (±\u{a0}20\u{a0}%)",
                units::plain(spoons, 2)
            )
        }
        _ => String::new(),
    }
}

/// A pressure to set on a gauge, in both units, the reader's own first.
pub fn gauge(kpa: f64, units: Units) -> String {
    let bar = format!("{} bar", units::fixed(kpa / 100.0, 2));
    let psi = format!("{} psi", units::fixed(kpa / PSI_KPA, 1));
    match units {
        Units::Us => format!("{psi} ({bar})"),
        _ => format!("{bar} ({psi})"),
    }
}

/// Pressure for an axis, and the name of its unit.
pub fn pressure_axis(kpa: f64, units: Units) -> f64 {
    if units == Units::Us {
        kpa / PSI_KPA
    } else {
        kpa / 100.0
    }
}

/// The unit of [`pressure_axis`].
pub fn pressure_unit(units: Units) -> &'static str {
    if units == Units::Us { "psi" } else { "bar" }
}

/// A temperature for an axis.
pub fn degrees(celsius: f64, units: Units) -> f64 {
    if units == Units::Us {
        celsius * 1.8 + 32.0
    } else {
        celsius
    }
}

/// A large mass for an axis.
pub fn heavy(kg: f64, units: Units) -> f64 {
    if units == Units::Metric {
        kg
    } else {
        kg / units::KG_PER_POUND
    }
}

/// A large volume for an axis.
pub fn large(litres: f64, units: Units) -> f64 {
    match units {
        Units::Metric => litres,
        Units::Us => litres / units::US_GALLON_L,
        Units::Imperial => litres / units::IMPERIAL_GALLON_L,
    }
}

/// Volumes of gas.
pub fn volumes(volumes: f64) -> String {
    format!("{} volumes", units::plain(volumes, 2))
}

/// mg/L as a laboratory writes it.
pub fn milligrams(mg_per_l: f64) -> String {
    let decimals = if mg_per_l.abs() < 9.95 { 1 } else { 0 };
    format!("{} mg/L", units::fixed(mg_per_l, decimals))
}

/// A gravity with one place more than a hydrometer has.
pub fn fine_gravity(sg: f64) -> String {
    units::fixed(sg, 4)
}

/// A table.
pub fn table<const N: usize>(
    caption: impl Into<String>,
    heads: [&str; N],
    rows: impl IntoIterator<Item = [String; N]>,
) -> Table {
    Table {
        caption: caption.into(),
        heads: heads.map(str::to_owned).into(),
        rows: rows.into_iter().map(Vec::from).collect(),
    }
}
