//! What an organiser looks at before the release: odd sheets, odd agreements, what is open. Categories in which the organiser has
//! an entry are left to somebody else.

use std::collections::BTreeSet;

use super::model::{FlightRow, Gathered, SheetRow};
use super::words;
use crate::competitions::judging::paths as judging;
use crate::competitions::model::{Category, CategoryId};
use crate::engine::contest::results::{Answer, Open, Ranked};
use crate::engine::contest::review::{of_agreed, of_sheet};
use crate::engine::contest::rules::Rules;
use crate::web::paths::Base;

/// A sheet with what is odd about it.
pub struct OddSheet {
    pub code: String,
    pub judge: String,
    pub flight: i32,
    pub odd: Vec<String>,
    /// Where it is read and given back.
    pub url: String,
}

/// What there is to look at.
#[derive(Default)]
pub struct Look {
    /// Sheets that were looked through.
    pub sheets: usize,
    pub odd: Vec<OddSheet>,
    pub oddly_agreed: Vec<String>,
    pub open: Openings,
    /// What would come out: a category, and its places under codes.
    pub places: Vec<(String, String)>,
}

/// What of a competition an organiser looks through.
#[derive(Clone, Copy)]
pub struct Scope<'a> {
    pub categories: &'a [Category],
    /// Categories that are left to somebody else.
    pub walled: &'a BTreeSet<CategoryId>,
}

/// For whom it is drawn up.
pub struct Reader<'a> {
    pub base: &'a Base,
    pub competition: &'a str,
    pub rules: &'a Rules,
    pub scope: Scope<'a>,
}

/// What is open, in sentences.
#[derive(Default)]
pub struct Openings {
    /// What must be mended first.
    pub holds_up: Vec<String>,
    /// What is worth a look.
    pub worth: Vec<String>,
    /// Something is open in a category that is left to somebody else.
    pub elsewhere: bool,
}

impl Scope<'_> {
    /// Whether a flight is left to somebody else: it is of such a category, or holds the best of all of them.
    pub fn leaves(&self, flight: &FlightRow) -> bool {
        match flight.category {
            Some(category) => self.walled.contains(&category),
            None => !self.walled.is_empty(),
        }
    }

    fn name(&self, number: u32) -> String {
        let found = self
            .categories
            .iter()
            .find(|one| one.place.unsigned_abs() == number);
        found.map_or_else(|| format!("category {number}"), |one| one.name.clone())
    }

    /// Whether what is open belongs to a flight or category that is left to somebody else.
    fn is_elsewhere(&self, gathered: &Gathered, open: &Open) -> bool {
        let of_number = |number: u32| {
            let found = self
                .categories
                .iter()
                .find(|one| one.place.unsigned_abs() == number);
            found.is_some_and(|one| self.walled.contains(&one.id))
        };
        let of_flight = |number: u32| {
            let found = gathered
                .flights
                .iter()
                .find(|one| one.number.unsigned_abs() == number);
            found.is_some_and(|flight| self.leaves(flight))
        };
        match open {
            Open::NoFlight { code } => {
                let entry = gathered.inputs.entries.iter().find(|one| one.code == *code);
                entry.is_some_and(|entry| of_number(entry.category))
            }
            Open::NoFinal { category } | Open::NotInFinal { category, .. } => of_number(*category),
            Open::NotAgreed { flight }
            | Open::OrderUnread { flight }
            | Open::NotTastedAgain { flight, .. }
            | Open::NoNumber { flight, .. } => of_flight(*flight),
            Open::NoBest => false,
        }
    }

    /// What is open, without what is left to somebody else.
    pub fn open(&self, gathered: &Gathered, answer: &Answer) -> Openings {
        let mut found = Openings::default();
        for open in &answer.open {
            if self.is_elsewhere(gathered, open) {
                found.elsewhere = true;
                continue;
            }
            let said = words::open(open, |number| self.name(number));
            match open.holds_up() {
                true => found.holds_up.push(said),
                false => found.worth.push(said),
            }
        }
        found
    }
}

impl Reader<'_> {
    /// Draws it up.
    pub fn look(&self, gathered: &Gathered, answer: &Answer) -> Look {
        let mut look = Look::default();
        for flight in gathered
            .flights
            .iter()
            .filter(|flight| !self.scope.leaves(flight))
        {
            let own = gathered.sheets.iter().filter(|row| row.flight == flight.id);
            let own: Vec<&SheetRow> = own.collect();
            look.sheets += own.len();
            look.odd
                .extend(own.iter().filter_map(|row| self.odd(flight, row)));
            look.oddly_agreed.extend(self.oddly_agreed(flight, &own));
        }
        look.places = self.places(answer);
        look.open = self.scope.open(gathered, answer);
        look
    }

    /// Places as they would come out, without categories that are left to somebody else.
    fn places(&self, answer: &Answer) -> Vec<(String, String)> {
        let is_left = |number: u32| {
            let scope = self.scope;
            let left = scope.categories.iter();
            let mut left = left.filter(|one| scope.walled.contains(&one.id));
            left.any(|one| one.place.unsigned_abs() == number)
        };
        let best = answer.best.iter().filter(|_| self.scope.walled.is_empty());
        let best = best.map(|ranked| ("Best of show".to_owned(), in_order(ranked)));
        let decided = answer.categories.iter().filter(|one| !is_left(one.number));
        let decided = decided.filter_map(|one| {
            let ranked = one.ranked.as_ref()?;
            Some((self.scope.name(one.number), in_order(ranked)))
        });
        best.chain(decided).collect()
    }

    fn odd(&self, flight: &FlightRow, row: &SheetRow) -> Option<OddSheet> {
        let odd: Vec<String> = of_sheet(self.rules, &row.sheet)
            .iter()
            .map(words::odd)
            .collect();
        let path = judging::PAPER.with(&[
            self.competition,
            &flight.public_id,
            &row.code,
            &row.judge_public_id,
        ]);
        (!odd.is_empty()).then(|| OddSheet {
            code: row.code.clone(),
            judge: row.judge_name.clone(),
            flight: flight.number,
            odd,
            url: self.base.link(&path),
        })
    }

    fn oddly_agreed(&self, flight: &FlightRow, sheets: &[&SheetRow]) -> Vec<String> {
        // In a final the order alone counts.
        let with_points = flight
            .agreed
            .entries
            .iter()
            .filter(|one| one.points.is_some());
        let said = with_points.flat_map(|agreed| {
            let own = sheets.iter().filter(|row| row.code == agreed.code);
            let totals: Vec<u32> = own.filter_map(|row| row.sheet.total(self.rules)).collect();
            let odd = of_agreed(self.rules, agreed, &totals);
            odd.into_iter().map(|odd| {
                let odd = words::oddly_agreed(&odd);
                format!("{} in flight {}: {odd}.", agreed.code, flight.number)
            })
        });
        said.collect()
    }
}

/// "1st AB123, 2nd CD234".
fn in_order(ranked: &Ranked) -> String {
    let places = ranked.placed.iter();
    let told = places.map(|placed| format!("{} {}", words::ordinal(placed.place), placed.code));
    told.collect::<Vec<String>>().join(", ")
}
