//! What was put in besides the recipe: tasted from its first days on, and taken out when it has given enough.

use super::book::{Book, numbered};
use super::codes::{StepKind as Kind, Why};
use super::step::{Amount, At, Due, Step};

/// A step for each; racking leaves it behind.
pub(super) fn take_out(book: &mut Book<'_>) {
    let facts = book.facts;
    for one in &facts.steeping {
        let [first, last] = one.days.map(|days| days.round() as i32);
        let racked = facts.racked_h.iter().copied().find(|at| *at > one.hours);
        let left = racked.or(facts.packaged_h.filter(|at| *at > one.hours));
        let out = Step {
            amounts: vec![Amount::Steeps {
                name: one.name.clone(),
            }],
            due: Due::at(Some(At::exactly(one.hours).plus_days(
                first,
                first,
                last.max(first),
            ))),
            ..numbered("steeped", one.entry, Kind::TakeOut, Why::EnoughTaste)
        };
        book.add(out, left, None);
    }
}
