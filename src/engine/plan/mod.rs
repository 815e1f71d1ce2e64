//! The dated plan of a batch: every step from its recipe, its numbers and what the log says so far. Pure: the same facts, the same plan.

mod book;
mod codes;
mod days;
mod end;
mod facts;
mod feeds;
mod honey;
mod keep;
mod settle;
mod stabilise;
mod start;
mod steeping;
mod step;
mod time;
mod work;

pub use codes::{Beware, Missed, StepKind, Why};
pub use facts::{Facts, Forecast, Mark, Measured, Said, Steeping};
pub use step::{Amount, At, Due, Needs, State, Step};
pub use time::morning_or_evening;

use self::book::Book;
use super::formulation::Formulation;
use super::recipe::{Recipe, When};

/// Every step of a batch, in the order of doing; empty where the numbers do not say what goes in.
///
/// What is known counts first (done, seen), then what the maker chose (moved), then the forecast, then the days of the book. A
/// step that is overdue at `facts.now_h` moves what follows it. What follows a skipped step counts from where it stood. Hours
/// and days count from the beginning of the batch, its mixing. No field is ever NaN or infinite, whatever the facts.
///
/// Days, hours and doses: common practice, no published source, where their own comment names none.
pub fn plan(recipe: &Recipe, numbers: &Formulation, facts: &Facts) -> Vec<Step> {
    let known = numbers.must.is_some()
        && numbers.whole.is_some()
        && numbers.finished.is_some()
        && numbers.pitching.is_some();
    if !known {
        return Vec::new();
    }
    let facts = facts.sound();
    let mut book = Book::new(recipe, numbers, &facts);
    let held = honey::held(recipe, numbers);
    let held = held.as_ref();
    let begun = start::begin(&mut book, held);
    let pitch = &begun.pitch;
    let broken = work::the_break(&book, pitch, held);
    work::at_the_break(&mut book, pitch, &broken);
    feeds::feed(&mut book, pitch, &broken, held);
    let fruit_out = work::fruit(&mut book, begun.fruit.as_ref());
    let mut outs = 0;
    for when in [When::Must, When::Primary] {
        work::take_out(&mut book, when, pitch, &mut outs);
    }
    let fed = honey::feed(&mut book, pitch, held);
    let expected = work::the_end(&book, pitch, fed.as_ref(), fruit_out.as_ref());
    let last = fed.as_ref().unwrap_or(pitch);
    let ended = end::end(&mut book, last, expected, outs);
    start::later_yeasts(&mut book, pitch, &ended.end);
    keep::keep(&mut book, pitch, &ended);
    steeping::take_out(&mut book);
    book.finish()
}
