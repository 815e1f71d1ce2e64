//! Dangers that somebody may go past, with a reason that stays in the log.

use crate::batches::opened::Opened;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Became, PlanStep};
use crate::web::error::Error;
use crate::web::typed::Typed;

/// The longest reason, in letters.
const REASON_MAX: usize = 300;
/// The field of a reason.
pub const FIELD: &str = "reason";

/// What is dangerous about going on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Danger {
    /// Nobody knows that it is finished.
    NotFinished,
    /// Sugar goes into a mead that was not stabilised.
    NotStabilised,
    /// More sulfite than some law allows.
    MuchSulfite,
    /// More sorbate than some law allows.
    MuchSorbate,
    /// A blend has live yeast and sugar that it can use.
    WakesUp,
}

impl Danger {
    const ALL: [Danger; 5] = [
        Danger::NotFinished,
        Danger::NotStabilised,
        Danger::MuchSulfite,
        Danger::MuchSorbate,
        Danger::WakesUp,
    ];

    /// Its key in the log.
    fn key(self) -> &'static str {
        match self {
            Danger::NotFinished => "finishing-not-finished",
            Danger::NotStabilised => "finishing-not-stabilised",
            Danger::MuchSulfite => "finishing-much-sulfite",
            Danger::MuchSorbate => "finishing-much-sorbate",
            Danger::WakesUp => "finishing-wakes-up",
        }
    }

    /// What was left out by going on, as the log names it.
    fn name(self) -> &'static str {
        match self {
            Danger::NotFinished => "Waiting until it is surely finished",
            Danger::NotStabilised => "Stabilising before the sugar",
            Danger::MuchSulfite => "Keeping within the limits for sulfite",
            Danger::MuchSorbate => "Keeping within the limits for sorbate",
            Danger::WakesUp => "Keeping live yeast from the sugar of another mead",
        }
    }

    /// The reason that was given for going past it.
    pub fn reason_given(self, opened: &Opened) -> Option<&str> {
        opened
            .entries
            .iter()
            .rev()
            .find_map(|entry| match &entry.deed {
                Deed::Step(step) if step.step == self.key() => step.reason.as_deref(),
                _ => None,
            })
    }

    /// What the log keeps of it.
    pub fn passed(self, reason: &str) -> Deed {
        Deed::Step(PlanStep {
            step: self.key().to_owned(),
            is: Became::Skipped,
            reason: Some(reason.to_owned()),
            to_hours: None,
        })
    }
}

/// The names of what can be left out here, by their keys.
pub fn dangers_passed() -> impl Iterator<Item = (String, String)> {
    let all = Danger::ALL.into_iter();
    all.map(|danger| (danger.key().to_owned(), danger.name().to_owned()))
}

/// Those of some dangers for which no reason was given yet.
pub fn unexplained(opened: &Opened, dangers: &[Danger]) -> Vec<Danger> {
    let open = |danger: &&Danger| danger.reason_given(opened).is_none();
    dangers.iter().filter(open).copied().collect()
}

/// What the log keeps of going past these dangers; without a reason a fault, and nothing.
///
/// # Errors
/// When the field came twice.
pub fn read(typed: &mut Typed<'_>, dangers: &[Danger]) -> Result<Vec<Deed>, Error> {
    let why = "This can hurt somebody. Write why you go on all the same: it stays in the log.";
    let reason = match dangers {
        [] => return Ok(Vec::new()),
        _ => typed.wanted(FIELD, REASON_MAX, why)?,
    };
    Ok(dangers
        .iter()
        .map(|danger| danger.passed(&reason))
        .collect())
}
