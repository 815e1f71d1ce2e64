//! What a label says of a bottle; a stranger who scans it is told the same.

use chrono_tz::Tz;

use crate::batches::allergens;
use crate::batches::cellar::model::Lot;
use crate::batches::opened::Opened;
use crate::recipes::numbers::called;
use crate::web::dates::day;
use crate::web::units;
use crate::web::words::reason;

/// Sulfur dioxide from which it has to be named, mg/L (27 CFR 4.32(e); Regulation (EU) 1169/2011 annex II).
const NAMED_SO2_MG_PER_L: f64 = 10.0;

/// What is printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    pub name: String,
    /// "dry blackberry mead".
    pub style: String,
    /// "12.1 % vol".
    pub strength: String,
    /// "750 ml", "keg of 18 L".
    pub size: String,
    pub filled: String,
    /// "abcd-efgh-2345".
    pub code: String,
    /// What some people react badly to; nothing that is known.
    pub contains: Vec<String>,
}

impl Label {
    /// The label of a lot of a batch, in metric units: what a label may be read by is not known.
    pub fn of(opened: &Opened, lot: &Lot, zone: Tz) -> Label {
        Label {
            name: lot.batch_name.clone(),
            style: called(&opened.recipe, &opened.planned),
            strength: format!("{} % vol", units::fixed(opened.state.abv_percent, 1)),
            size: match lot.keg {
                true => format!(
                    "keg of {}",
                    units::volume(lot.size_l(), units::Units::Metric)
                ),
                false => units::volume(lot.size_l(), units::Units::Metric),
            },
            filled: day(lot.filled_at, zone),
            code: spaced(&lot.code),
            contains: contains(opened),
        }
    }

    /// "Contains gluten, sulfites."; empty for nothing.
    pub fn contains_words(&self) -> String {
        match self.contains.is_empty() {
            true => String::new(),
            false => format!("Contains {}.", self.contains.join(", ")),
        }
    }
}

/// A code in groups of four.
pub fn spaced(code: &str) -> String {
    let letters: Vec<char> = code.chars().collect();
    let groups: Vec<String> = letters
        .chunks(4)
        .map(|four| four.iter().collect())
        .collect();
    groups.join("-")
}

/// Allergens in words, and sulfites from where they have to be named.
fn contains(opened: &Opened) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for said in allergens::of(opened).iter().filter_map(|code| reason(code)) {
        if !words.iter().any(|known| known == said) {
            words.push(said.to_owned());
        }
    }
    if opened.state.total_so2_mg_per_l >= NAMED_SO2_MG_PER_L {
        words.push("sulfites".to_owned());
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_reads_in_groups() {
        assert_eq!(spaced("abcdefgh2345"), "abcd-efgh-2345");
    }
}
