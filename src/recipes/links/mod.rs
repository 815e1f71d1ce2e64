//! Links to a recipe: for whoever is not of the club. Each is shown once, has a note for whom it is, and can be taken back.

mod forms;
pub mod pages;
pub mod store;

use chrono::{DateTime, NaiveDate, Utc};

use super::model::{Recipe, Revision, Visibility};
use crate::web::policy::Facts;

/// The most links of one recipe.
pub const MOST: i64 = 30;
/// The longest note, in characters.
pub const NOTE_MAX: usize = 80;

/// One link, as its owner sees it: without its token, of which only the hash is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    pub public_id: String,
    pub note: String,
    pub created_at: DateTime<Utc>,
    pub opened_on: Option<NaiveDate>,
}

/// What is told to whoever opens a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terms {
    /// Who sees it; links open only while that is whoever holds one.
    pub visibility: Visibility,
    /// The owner's name.
    pub signed: bool,
    /// Search engines may list it.
    pub searchable: bool,
}

/// A recipe as a link opens it: the newest revision.
#[derive(Debug, Clone, PartialEq)]
pub struct Linked {
    pub recipe: Recipe,
    pub revision: Revision,
    pub terms: Terms,
}

impl Linked {
    /// What the policy decides by, for somebody who holds the link.
    pub fn facts(&self) -> Facts {
        Facts {
            holds_link: true,
            ..self.recipe.facts()
        }
    }
}

/// The hash of a link as a form carries it: it lets a recipe name what it was started from, and opens nothing.
pub fn written(held: &[u8]) -> String {
    held.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// A hash read back from a form.
pub fn read(text: &str) -> Option<Vec<u8>> {
    let digits: Option<Vec<u32>> = text.chars().map(|c| c.to_digit(16)).collect();
    let digits = digits.filter(|digits| digits.len() == 64)?;
    let byte = |pair: &[u32]| pair.iter().fold(0, |sum, digit| sum << 4 | *digit as u8);
    Some(digits.chunks(2).map(byte).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hash_comes_back_from_a_form_and_nothing_else_is_one() {
        let held = crate::web::random::hash_of("a token");
        let text = written(&held);
        assert_eq!((text.len(), read(&text)), (64, Some(held.to_vec())));
        for text in [
            "",
            "00",
            &text[1..],
            &text.replace('a', "x"),
            &"é".repeat(64),
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
