//! Two recipes side by side: what goes in, what to do and the notes, also what is the same.

use crate::engine::recipe::Step;
use crate::recipes::compare::{Change, Side, amounts_beside};
use crate::recipes::numbers::Piece;
use crate::recipes::numbers::steps::{StepLine, steps};
use crate::recipes::pairs::pair_up;
use crate::web::units::Units;

/// Everything that is read line by line.
pub(super) struct Beside {
    pub amounts: Vec<Change>,
    /// Steps that follow from the numbers, where they differ.
    pub steps: Vec<Change>,
    /// The makers' own steps.
    pub own_steps: Vec<Change>,
    /// The notes, if there are any.
    pub notes: Option<Change>,
}

/// Both sides, line by line.
pub(super) fn beside(before: &Side<'_>, after: &Side<'_>, units: Units) -> Beside {
    let reckoned = |side: &Side<'_>| steps(side.recipe, side.numbers, units);
    let mut followed = followed(&reckoned(before), &reckoned(after));
    followed.retain(Change::changes);
    let (left, right) = (&before.recipe.notes, &after.recipe.notes);
    Beside {
        amounts: amounts_beside(before, after),
        steps: followed,
        own_steps: own(&before.recipe.process, &after.recipe.process),
        notes: (!left.trim().is_empty() || !right.trim().is_empty())
            .then(|| both("Notes", left, right)),
    }
}

fn both(label: &str, before: &str, after: &str) -> Change {
    let or_none = |text: &str| match text.trim() {
        "" => "none".to_owned(),
        text => text.to_owned(),
    };
    Change {
        label: label.to_owned(),
        before: or_none(before),
        after: or_none(after),
    }
}

fn followed(before: &[StepLine], after: &[StepLine]) -> Vec<Change> {
    type Two<'a> = (usize, &'a StepLine);
    let same = |a: Two<'_>, b: Two<'_>| a.1.lead == b.1.lead;
    let words = |line: Option<&StepLine>| {
        let pieces = line.map(|line| line.text.as_slice()).unwrap_or_default();
        pieces
            .iter()
            .map(|piece: &Piece| piece.text.as_str())
            .collect::<String>()
    };
    let line = |(at, to): (Option<usize>, Option<usize>)| {
        let (old, new) = (
            at.and_then(|at| before.get(at)),
            to.and_then(|to| after.get(to)),
        );
        Some(both(old.or(new)?.name(), &words(old), &words(new)))
    };
    let pairs = pair_up(before, after, &[&same]);
    pairs.into_iter().filter_map(line).collect()
}

fn own(before: &[Step], after: &[Step]) -> Vec<Change> {
    type Two<'a> = (usize, &'a Step);
    let same = |a: Two<'_>, b: Two<'_>| a.1 == b.1;
    let at_once = |a: Two<'_>, b: Two<'_>| !a.1.when.trim().is_empty() && a.1.when == b.1.when;
    let in_turn = |a: Two<'_>, b: Two<'_>| a.0 == b.0;
    let line = |(at, to): (Option<usize>, Option<usize>)| {
        let (old, new) = (
            at.and_then(|at| before.get(at)),
            to.and_then(|to| after.get(to)),
        );
        let when = old.or(new)?.when.trim();
        let moved = old.zip(new).is_some_and(|(old, new)| old.when != new.when);
        let words = |step: Option<&Step>| match step {
            Some(step) if moved => format!("{}: {}", step.when.trim(), step.text),
            Some(step) => step.text.clone(),
            None => String::new(),
        };
        let label = match when {
            "" => "step",
            _ if moved => "step",
            when => when,
        };
        Some(both(label, &words(old), &words(new)))
    };
    let pairs = pair_up(before, after, &[&same, &at_once, &in_turn]);
    pairs.into_iter().filter_map(line).collect()
}
