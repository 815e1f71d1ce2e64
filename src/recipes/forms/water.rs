//! The water's part of the form: which field holds which ion, and how a document names them.

use std::collections::{BTreeMap, BTreeSet};

use crate::engine::recipe::WaterReport;
use crate::engine::water::{ALKALINITY, meaning};

/// Field and ion, as a report lists them; the last are seldom told.
pub const IONS: [(&str, &str); 11] = [
    ("water_calcium", "calcium"),
    ("water_magnesium", "magnesium"),
    ("water_sodium", "sodium"),
    ("water_potassium", "potassium"),
    ("water_bicarbonate", "bicarbonate"),
    ("water_alkalinity", ALKALINITY),
    ("water_sulfate", "sulfate"),
    ("water_chloride", "chloride"),
    ("water_nitrate", "nitrate"),
    ("water_carbonate", "carbonate"),
    ("water_hydroxide", "hydroxide"),
];

/// Where ions and salts stand in the document.
pub const IONS_AT: &str = "/water_report/ions";
pub const SALTS_AT: &str = "/water_report/salts";

/// What the hidden field carries of a report: spellings other than the usual, what has no field, which of several spellings
/// the field shows, and that there is a report at all where it says nothing.
pub fn to_carry(report: &WaterReport) -> String {
    let mut carried = WaterReport::default();
    let spelt = IONS.iter().filter_map(|(_, ion)| {
        let key = key_of(report, ion)?;
        let again = without_field(report).any(|(other, _)| meaning(other) == Some(*ion));
        (key != *ion || again).then(|| (key.to_owned(), 0.0))
    });
    carried.ions.extend(spelt);
    let rest = without_field(report).map(|(key, mg)| (key.clone(), *mg));
    carried.ions.extend(rest);
    let empty = report.ions.is_empty() && report.salts.is_empty();
    match empty || !carried.ions.is_empty() {
        true => serde_json::to_string(&carried).unwrap_or_default(),
        false => String::new(),
    }
}

/// What the hidden field brings back; `None` where it is empty.
pub fn carried(text: &str) -> Option<WaterReport> {
    let read = serde_json::from_str::<BTreeMap<String, BTreeMap<String, f64>>>(text).ok()?;
    let group = |name: &str| read.get(name).cloned().unwrap_or_default();
    Some(WaterReport {
        ions: group("ions"),
        salts: group("salts"),
    })
}

/// The key under which a report holds an ion: its own spelling, the first of several.
pub fn key_of<'a>(report: &'a WaterReport, ion: &'a str) -> Option<&'a str> {
    let keys = report.ions.keys().map(String::as_str);
    keys.into_iter().find(|key| meaning(key) == Some(ion))
}

/// What a report holds and no field shows: names that are not known, and those that stand there twice.
pub fn without_field(report: &WaterReport) -> impl Iterator<Item = (&String, &f64)> {
    let mut shown = BTreeSet::new();
    report
        .ions
        .iter()
        .filter(move |(key, _)| meaning(key).is_none_or(|ion| !shown.insert(ion)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::water::Ions;
    use crate::recipes::forms::SINGLE;

    #[test]
    fn every_ion_of_the_engine_has_a_field() {
        let ours: Vec<&str> = IONS.iter().map(|(_, ion)| *ion).collect();
        for ion in Ions::names().chain([ALKALINITY]) {
            assert!(ours.contains(&ion), "{ion}");
        }
        for (field, _) in IONS {
            assert!(SINGLE.contains(&field), "{field}");
        }
    }

    #[test]
    fn what_has_no_field_is_told_apart() {
        let ions = [("Ca", 40.0), ("calcium", 41.0), ("gold", 1.0)];
        let report = WaterReport {
            ions: ions.map(|(name, mg)| (name.to_owned(), mg)).into(),
            salts: BTreeMap::new(),
        };
        assert_eq!(key_of(&report, "calcium"), Some("Ca"));
        let rest: Vec<&str> = without_field(&report)
            .map(|(key, _)| key.as_str())
            .collect();
        assert_eq!(rest, ["calcium", "gold"]);
    }

    #[test]
    fn the_field_of_an_ion_that_stands_there_twice_stays_that_of_the_first() {
        for [first, second] in [["chloride", "cl"], ["Ca", "calcium"]] {
            let ion = meaning(first).unwrap();
            let report = WaterReport {
                ions: [(first.to_owned(), 20.0), (second.to_owned(), 30.0)].into(),
                salts: BTreeMap::new(),
            };
            let carried = carried(&to_carry(&report)).unwrap();
            assert_eq!(key_of(&carried, ion), Some(first));
            let rest: Vec<_> = without_field(&carried).collect();
            assert_eq!(rest, [(&second.to_owned(), &30.0)]);
        }
    }
}
