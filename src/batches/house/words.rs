//! The club's own figures in words: for a table, and beside the book on the sheet of a batch.

use std::collections::BTreeSet;

use super::store::Done;
use crate::batches::opened::Opened;
use crate::engine::log::house::{Figure, figure};
use crate::engine::vessel::losses;
use crate::web::units;

/// Litres of which the book's losses are told.
const BOOK_L: f64 = 10.0;

/// One line: what it is about, what the book says, what the club's batches came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub name: String,
    pub book: String,
    pub own: String,
    pub range: String,
    pub count: String,
}

fn count_words(count: usize) -> String {
    format!("{count} batches")
}

fn row(name: String, book: String, own: Figure, shown: impl Fn(f64) -> String) -> Row {
    Row {
        name,
        book,
        own: shown(own.median),
        range: format!("{} to {}", shown(own.low), shown(own.high)),
        count: count_words(own.count),
    }
}

fn keys(all: &[Done], key: fn(&Done) -> Option<&String>) -> BTreeSet<&str> {
    all.iter().filter_map(key).map(String::as_str).collect()
}

/// Gravity at the end for each yeast; `name` says what its key is called.
pub fn ends(all: &[Done], name: impl Fn(&str) -> String) -> Vec<Row> {
    let rows = keys(all, |one| one.yeast.as_ref())
        .into_iter()
        .filter_map(|yeast| {
            let of = || {
                all.iter()
                    .filter(move |one| one.yeast.as_deref() == Some(yeast))
            };
            let both = || of().filter(|one| one.book_fg.is_some() && one.real_fg.is_some());
            let own = figure(both().filter_map(|one| one.real_fg))?;
            let book = figure(both().filter_map(|one| one.book_fg))?;
            Some(row(
                name(yeast),
                units::gravity(book.median),
                own,
                units::gravity,
            ))
        });
    rows.collect()
}

/// What stays behind for each kind of vessel.
pub fn losses_of_vessels(all: &[Done]) -> Vec<Row> {
    let shown = |part: f64| units::percent(100.0 * part, 0);
    let book = format!("{} of {BOOK_L} litres", shown(book_loss()));
    let rows = keys(all, |one| one.vessel.as_ref())
        .into_iter()
        .filter_map(|vessel| {
            let of = all
                .iter()
                .filter(|one| one.vessel.as_deref() == Some(vessel));
            let own = figure(of.filter_map(|one| one.loss_fraction))?;
            Some(row(vessel.to_owned(), book.clone(), own, shown))
        });
    rows.collect()
}

fn book_loss() -> f64 {
    losses(BOOK_L, 0.0, [1, 1]).total_l() / BOOK_L
}

/// The seasons by their months, so that they hold on both halves of the earth.
const SEASONS: [(&str, [i32; 3]); 4] = [
    ("December to February", [12, 1, 2]),
    ("March to May", [3, 4, 5]),
    ("June to August", [6, 7, 8]),
    ("September to November", [9, 10, 11]),
];

/// Days from the pitch to the end, by the season of the mixing.
pub fn days_of_seasons(all: &[Done]) -> Vec<Row> {
    let shown = |days: f64| units::plain(days, 0);
    let rows = SEASONS.into_iter().filter_map(|(name, months)| {
        let of = all.iter().filter(|one| months.contains(&one.month));
        let own = figure(of.filter_map(|one| one.end_days))?;
        Some(row(
            name.to_owned(),
            "the forecast’s".to_owned(),
            own,
            shown,
        ))
    });
    rows.collect()
}

/// What the club's own figures say of a batch, beside what the book says.
pub fn of_batch(all: &[Done], opened: &Opened) -> Vec<String> {
    let yeast = opened
        .recipe
        .yeasts
        .first()
        .and_then(|yeast| yeast.key.as_deref());
    let book = opened.start.plan.as_ref().map(|plan| plan.natural_fg);
    let of_yeast = || {
        all.iter()
            .filter(|one| yeast.is_some() && one.yeast.as_deref() == yeast)
    };
    let off = figure(of_yeast().filter_map(|one| Some(one.real_fg? - one.book_fg?)));
    let fg = book.zip(off).map(|(book, off)| {
        format!(
            "The book ends it at {}. The club’s own {} with this yeast let one expect {} ({} to {}).",
            units::gravity(book),
            count_words(off.count),
            units::gravity(book + off.median),
            units::gravity(book + off.low),
            units::gravity(book + off.high)
        )
    });
    let vessel = opened
        .recipe
        .vessel
        .as_ref()
        .and_then(|vessel| vessel.kind.as_deref());
    let of_vessel = all
        .iter()
        .filter(|one| vessel.is_some() && one.vessel.as_deref() == vessel);
    let loss = figure(of_vessel.filter_map(|one| one.loss_fraction)).zip(vessel);
    let loss = loss.map(|(own, vessel)| {
        format!(
            "Of what is in a {vessel}, {} stayed behind in the club’s own {} ({} to {}); the book says {}.",
            units::percent(100.0 * own.median, 0),
            count_words(own.count),
            units::percent(100.0 * own.low, 0),
            units::percent(100.0 * own.high, 0),
            units::percent(100.0 * book_loss(), 0)
        )
    });
    fg.into_iter().chain(loss).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn done(real_fg: f64, loss: f64, days: f64, month: i32) -> Done {
        Done {
            yeast: Some("some".to_owned()),
            book_fg: Some(0.998),
            real_fg: Some(real_fg),
            vessel: Some("demijohn".to_owned()),
            loss_fraction: Some(loss),
            end_days: Some(days),
            month,
        }
    }

    #[test]
    fn three_batches_make_a_figure_and_two_do_not() {
        let all = [
            done(0.996, 0.06, 20.0, 12),
            done(1.000, 0.08, 30.0, 1),
            done(0.999, 0.07, 25.0, 2),
        ];
        let ends = ends(&all, str::to_uppercase);
        assert_eq!(ends.len(), 1);
        assert_eq!(
            (
                ends[0].name.as_str(),
                ends[0].book.as_str(),
                ends[0].own.as_str()
            ),
            ("SOME", "0.998", "0.999")
        );
        assert_eq!(ends[0].range, "0.996 to 1.000");
        assert_eq!(losses_of_vessels(&all)[0].own, "7 %");
        let days = days_of_seasons(&all);
        assert_eq!((days.len(), days[0].own.as_str()), (1, "25"));
        assert!(super::ends(&all[..2], str::to_owned).is_empty());
        assert!(losses_of_vessels(&all[..2]).is_empty());
    }
}
