//! What one judge says of one entry, and what a table agrees on.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::rules::Rules;

/// One section of a filled sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Marked {
    /// Points, from 0 to the most of the section; none while nobody has given any.
    pub points: Option<u32>,
    pub comment: String,
}

/// A filled sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Sheet {
    /// By the section's key.
    pub sections: BTreeMap<String, Marked>,
    /// Faults in the trade's words, as codes of `faults`.
    pub faults: Vec<String>,
    /// What to do next time.
    pub advice: String,
}

impl Sheet {
    /// The sum of points; none while a section has none, or has more than it may.
    pub fn total(&self, rules: &Rules) -> Option<u32> {
        rules.sections.iter().try_fold(0u32, |sum, section| {
            let points = self.sections.get(&section.key)?.points?;
            (points <= section.most).then_some(sum + points)
        })
    }

    /// The sum so far.
    pub fn running(&self, rules: &Rules) -> u32 {
        let points = |key: &String| self.sections.get(key).and_then(|marked| marked.points);
        rules
            .sections
            .iter()
            .filter_map(|section| points(&section.key))
            .sum()
    }
}

/// What a table agreed on for one entry.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct AgreedEntry {
    /// The entry's code.
    pub code: String,
    /// Agreed points; none in a final or a best of show, where only the order counts.
    pub points: Option<u32>,
    /// Its place in the flight, 1 the best; places may be shared. None: it is not placed.
    pub place: Option<u32>,
    /// Whether it goes on to the final of its category, or in a final to the best of show.
    pub goes_on: bool,
    /// How far apart the judges' totals lay.
    pub spread: Option<u32>,
    pub tasted_again: bool,
}

/// What a table agreed on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Agreed {
    pub entries: Vec<AgreedEntry>,
    /// In a final and for the best of show: each judge's order of codes, the best first, under the judge's number at the table.
    pub orders: Vec<Vec<String>>,
}
