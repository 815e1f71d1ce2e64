//! What the club's own figures offer in place of the book's where a batch is begun, in words.

use super::figures::{SEASONS, book_loss, days, fg_off, loss};
use super::store::Done;
use super::words::{count_words, days_words, part_words};
use crate::engine::log::house::Figure;
use crate::web::legible::capitalised;
use crate::web::units;

/// The fields by which each is taken.
pub const FG: &str = "own_fg";
pub const LOSS: &str = "own_loss";
pub const DAYS: &str = "own_days";

/// A figure that may be taken in place of the book's.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    pub field: &'static str,
    pub label: String,
    /// From how many batches it comes, and what the book says.
    pub hint: String,
}

/// "7 % (6 % to 8 %, 3 batches)".
fn figure_words(of: Figure, shown: impl Fn(f64) -> String) -> String {
    let [low, median, high] = [of.low, of.median, of.high].map(shown);
    format!("{median} ({low} to {high}, {})", count_words(of.count))
}

/// Where it ends, with the yeast of this key; the book ends it at `book`, SG.
pub fn end(all: &[Done], yeast: Option<&str>, book: Option<f64>) -> Option<Offer> {
    let (off, book) = (fg_off(all, yeast?)?, book?);
    Some(Offer {
        field: FG,
        label: format!(
            "It ends at {}, as the club’s own batches with this yeast did",
            units::gravity(book + off.median)
        ),
        hint: format!(
            "From {}, which let one expect {} to {}. The book says {}.",
            count_words(off.count),
            units::gravity(book + off.low),
            units::gravity(book + off.high),
            units::gravity(book)
        ),
    })
}

/// Where each of these yeasts ends, by key and name, of which there is a figure: for a mead of which neither yeast nor gravity
/// is known yet.
pub fn ends(all: &[Done], yeasts: &[(String, String)]) -> Option<Offer> {
    let told: Vec<String> = yeasts
        .iter()
        .filter_map(|(key, name)| {
            let off = fg_off(all, key)?;
            let [low, median, high] = [off.low, off.median, off.high].map(off_words);
            let count = count_words(off.count);
            Some(format!("{name}: {median} ({low} to {high}, {count})"))
        })
        .collect();
    (!told.is_empty()).then(|| Offer {
        field: FG,
        label: "It ends where the club’s own batches with its yeast did".to_owned(),
        hint: format!(
            "Beside what the book says of its gravity, which follows from where it began. {}.",
            told.join("; ")
        ),
    })
}

/// "0.004 above".
fn off_words(off: f64) -> String {
    let size = units::plain(off.abs(), 3);
    match off {
        _ if off.abs() < 0.000_5 => "the same".to_owned(),
        _ if off < 0.0 => format!("{size} below"),
        _ => format!("{size} above"),
    }
}

/// What stays behind in vessels of these kinds.
pub fn losses(all: &[Done], kinds: &[&str]) -> Option<Offer> {
    let mut told: Vec<String> = Vec::new();
    for kind in kinds {
        if let Some(of) = loss(all, kind) {
            let words = format!("in a {kind} {}", figure_words(of, part_words));
            if !told.contains(&words) {
                told.push(words);
            }
        }
    }
    (!told.is_empty()).then(|| Offer {
        field: LOSS,
        label: "So much stays behind as in the club’s own batches".to_owned(),
        hint: format!(
            "{} stayed behind. The book says {} of ten litres.",
            capitalised(&told.join("; ")),
            part_words(book_loss())
        ),
    })
}

/// How many days it takes, for each season in which it may be mixed.
pub fn course(all: &[Done]) -> Option<Offer> {
    let told: Vec<String> = SEASONS
        .into_iter()
        .filter_map(|season| {
            let of = days(all, season)?;
            let [low, high] = [of.low, of.high].map(|days| units::plain(days, 0));
            Some(format!(
                "mixed from {} {} ({low} to {high}, {})",
                season.0,
                days_words(of.median),
                count_words(of.count)
            ))
        })
        .collect();
    (!told.is_empty()).then(|| Offer {
        field: DAYS,
        label: "It takes as many days to its end as the club’s own batches of its season".to_owned(),
        hint: format!(
            "{}. They date its plan in place of the book and the forecast, until its own gravities tell better.",
            capitalised(&told.join("; "))
        ),
    })
}

/// From what its forecast begins, where that is the club's own batches.
pub fn forecast_words(from: usize) -> String {
    match from {
        0 => String::new(),
        many => format!(
            "Its forecast begins from the club’s own {many} finished batches, in place of the book’s judgement."
        ),
    }
}

/// Why days cannot be taken.
pub fn no_days(season: &str) -> String {
    format!(
        "The club has no days yet of what is mixed from {season}. Leave this unticked, or choose another day."
    )
}
