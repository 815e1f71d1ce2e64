//! The club's own figures in words: for a table, and beside the book on the sheet of a batch.

use super::figures::{BOOK_L, SEASONS, book_loss, days, fg_off, keys, loss, losses_of_kinds};
use super::store::Done;
use crate::batches::opened::Opened;
use crate::engine::log::house::{Figure, figure};
use crate::web::units;

/// One line: what it is about, what the book says, what the club's batches came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub name: String,
    pub book: String,
    pub own: String,
    pub range: String,
    pub count: String,
}

/// "3 batches".
pub fn count_words(count: usize) -> String {
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
    let book = format!("{} of {BOOK_L} litres", part_words(book_loss()));
    let rows = losses_of_kinds(all).into_iter();
    rows.map(|(vessel, own)| row(vessel, book.clone(), own, part_words))
        .collect()
}

/// "7 %".
pub fn part_words(part: f64) -> String {
    units::percent(100.0 * part, 0)
}

/// "25 days".
pub fn days_words(days: f64) -> String {
    format!("{} days", units::plain(days, 0))
}

/// Days from the pitch to the end, by the season of the mixing.
pub fn days_of_seasons(all: &[Done]) -> Vec<Row> {
    let shown = |days: f64| units::plain(days, 0);
    let rows = SEASONS.into_iter().filter_map(|season| {
        let own = days(all, season)?;
        Some(row(
            season.0.to_owned(),
            "the forecast’s".to_owned(),
            own,
            shown,
        ))
    });
    rows.collect()
}

/// What the club's own figures say of a batch, beside what the book says; first those that it is reckoned with.
pub fn of_batch(all: &[Done], opened: &Opened) -> Vec<String> {
    let own = &opened.batch.own;
    let fg = match (opened.book_fg, own.fg_off) {
        (Some(book), Some(off)) => Some(reckoned_fg(book, off)),
        (Some(book), None) => other_fg(all, opened, book),
        (None, _) => None,
    };
    let loss = match own.loss_part {
        Some(part) => Some(format!(
            "It is reckoned with {} staying behind, as in the club’s own {} ({}); the book says {}.",
            part_words(part.median),
            count_words(part.count),
            range_words(part, part_words),
            part_words(book_loss())
        )),
        None => other_loss(all, opened),
    };
    let days = own.end_days.map(|days| {
        format!(
            "Until its own gravities tell better, its end is that of the club’s own {} of its season: after {} ({}).",
            count_words(days.count),
            days_words(days.median),
            range_words(days, |days| units::plain(days, 0))
        )
    });
    fg.into_iter().chain(loss).chain(days).collect()
}

fn range_words(of: Figure, shown: impl Fn(f64) -> String) -> String {
    format!("{} to {}", shown(of.low), shown(of.high))
}

fn reckoned_fg(book: f64, off: Figure) -> String {
    format!(
        "It is reckoned to end at {}, as the club’s own {} with this yeast let one expect ({}); the book ends it at {}.",
        units::gravity(book + off.median),
        count_words(off.count),
        range_words(off, |off| units::gravity(book + off)),
        units::gravity(book)
    )
}

/// What the club's own batches with this yeast came to, where the book's FG is reckoned with.
fn other_fg(all: &[Done], opened: &Opened, book: f64) -> Option<String> {
    let yeast = opened.recipe.yeasts.first()?.key.as_deref()?;
    let off = fg_off(all, yeast)?;
    Some(format!(
        "The book ends it at {}. The club’s own {} with this yeast let one expect {} ({}).",
        units::gravity(book),
        count_words(off.count),
        units::gravity(book + off.median),
        range_words(off, |off| units::gravity(book + off))
    ))
}

/// The same of what stays behind.
fn other_loss(all: &[Done], opened: &Opened) -> Option<String> {
    let vessel = opened.recipe.vessel.as_ref()?.kind.as_deref()?;
    let own = loss(all, vessel)?;
    Some(format!(
        "Of what is in a {vessel}, {} stayed behind in the club’s own {} ({}); the book says {}.",
        part_words(own.median),
        count_words(own.count),
        range_words(own, part_words),
        part_words(book_loss())
    ))
}

#[cfg(test)]
mod tests {
    use super::super::figures::season_of;
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

    #[test]
    fn each_month_has_its_season() {
        let of = |month| season_of(month).map(|season| season.0);
        assert_eq!(of(12), Some("December to February"));
        assert_eq!(of(2), Some("December to February"));
        assert_eq!(of(7), Some("June to August"));
        assert!((1..=12).all(|month| of(month).is_some()) && of(13).is_none());
    }
}
