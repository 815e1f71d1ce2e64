//! The club's own figures of its finished batches: for a yeast, for a kind of vessel, for a season.

use std::collections::BTreeSet;

use super::store::Done;
use crate::engine::log::house::{Figure, figure};
use crate::engine::vessel::losses;

/// Litres of which the book's losses are told.
pub const BOOK_L: f64 = 10.0;

/// A time of the year: its name and its months, so that it holds on both halves of the earth.
pub type Season = (&'static str, [i32; 3]);

/// All of them.
pub const SEASONS: [Season; 4] = [
    ("December to February", [12, 1, 2]),
    ("March to May", [3, 4, 5]),
    ("June to August", [6, 7, 8]),
    ("September to November", [9, 10, 11]),
];

/// What the book says stays behind, as a part.
pub fn book_loss() -> f64 {
    losses(BOOK_L, 0.0, [1, 1]).total_l() / BOOK_L
}

/// The keys that are among them, in order.
pub fn keys(all: &[Done], key: fn(&Done) -> Option<&String>) -> BTreeSet<&str> {
    all.iter().filter_map(key).map(String::as_str).collect()
}

/// How far from the book this yeast ends, SG.
pub fn fg_off(all: &[Done], yeast: &str) -> Option<Figure> {
    let of = all.iter().filter(|one| one.yeast.as_deref() == Some(yeast));
    figure(of.filter_map(|one| Some(one.real_fg? - one.book_fg?)))
}

/// What part stays behind in such a vessel.
pub fn loss(all: &[Done], vessel: &str) -> Option<Figure> {
    let of = all
        .iter()
        .filter(|one| one.vessel.as_deref() == Some(vessel));
    figure(of.filter_map(|one| one.loss_fraction))
}

/// The same of each kind of vessel of which there is enough.
pub fn losses_of_kinds(all: &[Done]) -> Vec<(String, Figure)> {
    let kinds = keys(all, |one| one.vessel.as_ref()).into_iter();
    kinds
        .filter_map(|kind| Some((kind.to_owned(), loss(all, kind)?)))
        .collect()
}

/// Days from the pitch to the end of what was mixed in this season.
pub fn days(all: &[Done], season: Season) -> Option<Figure> {
    let of = all.iter().filter(|one| season.1.contains(&one.month));
    figure(of.filter_map(|one| one.end_days))
}

/// The season of a month, 1 to 12.
pub fn season_of(month: u32) -> Option<Season> {
    let is_in = |season: &Season| season.1.iter().any(|one| one.unsigned_abs() == month);
    SEASONS.into_iter().find(is_in)
}
