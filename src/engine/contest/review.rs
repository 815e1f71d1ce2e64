//! What somebody should look at before sheets go back to makers: empty comments, points that do not add up, words that hurt.
//! It finds, and decides nothing: a person reads.

use super::rules::Rules;
use super::sheet::{AgreedEntry, Sheet};

/// What is odd about a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Odd {
    /// A section without points.
    NoPoints { section: String },
    /// More points than the section has.
    TooMany { section: String, points: u32 },
    /// Points for a section that the sheet does not have: it was written under other rules.
    NoSection { section: String },
    /// A section without a word.
    NoComment { section: String },
    /// Nothing for the next time.
    NoAdvice,
    /// A word that can hurt.
    Hurts { word: String },
}

/// Words that say nothing about a mead and something about whoever writes them. Ours; matched as whole words, with their endings.
const HURTS: &[&str] = &[
    "amateur",
    "awful",
    "bilge",
    "crap",
    "disgrace",
    "disgraceful",
    "disgust",
    "disgusting",
    "dreadful",
    "dreck",
    "filth",
    "filthy",
    "garbage",
    "horrible",
    "idiot",
    "incompetent",
    "joke",
    "laughable",
    "lazy",
    "ludicrous",
    "nasty",
    "pathetic",
    "pointless",
    "rubbish",
    "shit",
    "stupid",
    "swill",
    "terrible",
    "trash",
    "undrinkable",
    "vile",
    "worst",
    "worthless",
    "yuck",
];

/// Words of a text that can hurt, each once, as they stand in the list.
pub fn hurting(text: &str) -> Vec<&'static str> {
    let text = text.to_lowercase();
    let words: Vec<&str> = text.split(|letter: char| !letter.is_alphabetic()).collect();
    let is_said = |hurts: &&&str| {
        words.iter().any(|word| {
            let ending = word.strip_prefix(**hurts);
            ending.is_some_and(|ending| ["", "s", "y", "ly", "ty", "ing"].contains(&ending))
        })
    };
    HURTS.iter().filter(is_said).copied().collect()
}

/// What is odd about a sheet under these rules, in the order of its sections.
pub fn of_sheet(rules: &Rules, sheet: &Sheet) -> Vec<Odd> {
    let mut odd = Vec::new();
    for section in &rules.sections {
        let name = || section.name.clone();
        let marked = sheet.sections.get(&section.key);
        match marked.and_then(|marked| marked.points) {
            None => odd.push(Odd::NoPoints { section: name() }),
            Some(points) if points > section.most => odd.push(Odd::TooMany {
                section: name(),
                points,
            }),
            Some(_) => {}
        }
        if marked.is_none_or(|marked| marked.comment.trim().is_empty()) {
            odd.push(Odd::NoComment { section: name() });
        }
    }
    for (key, marked) in &sheet.sections {
        let known = rules.sections.iter().any(|section| section.key == *key);
        if !known && marked.points.is_some() {
            odd.push(Odd::NoSection {
                section: key.clone(),
            });
        }
    }
    if sheet.advice.trim().is_empty() {
        odd.push(Odd::NoAdvice);
    }
    let comments = sheet.sections.values().map(|marked| &marked.comment);
    let said: Vec<&str> = comments
        .chain([&sheet.advice])
        .map(String::as_str)
        .collect();
    odd.extend(
        hurting(&said.join("\n"))
            .into_iter()
            .map(|word| Odd::Hurts {
                word: word.to_owned(),
            }),
    );
    odd
}

/// What is odd about what a table agreed on for one entry, against the totals of its signed sheets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OddlyAgreed {
    /// Points that lie outside all its sheets, and it was not tasted again.
    Outside { points: u32, least: u32, most: u32 },
    /// Its sheets lie further apart than the rules allow, and it was not tasted again.
    FarApart { apart: u32 },
    /// Agreed, with fewer than two signed sheets.
    FewSheets { signed: usize },
}

/// What is odd about it.
pub fn of_agreed(rules: &Rules, agreed: &AgreedEntry, totals: &[u32]) -> Vec<OddlyAgreed> {
    let mut odd = Vec::new();
    if totals.len() < 2 {
        odd.push(OddlyAgreed::FewSheets {
            signed: totals.len(),
        });
    }
    let (Some(least), Some(most)) = (totals.iter().min(), totals.iter().max()) else {
        return odd;
    };
    let (least, most) = (*least, *most);
    if agreed.tasted_again {
        return odd;
    }
    if let Some(points) = agreed
        .points
        .filter(|points| *points < least || *points > most)
    {
        odd.push(OddlyAgreed::Outside {
            points,
            least,
            most,
        });
    }
    if most - least > rules.spread_most {
        odd.push(OddlyAgreed::FarApart {
            apart: most - least,
        });
    }
    odd
}
