//! Deciding the next one: from what tasters said to whether it can be judged yet, what stands out, and what to do otherwise.

mod change;
mod code;
mod heard;
pub mod mend;

pub use change::{Change, changes};
pub use code::{ChangeCode, Gas};
pub use heard::{Answer, Heard, Penalty, Way, WhyNot, heard};

use super::log::entry::{Sense, Tasting};

/// Heat, acid and sulfur are judged no earlier than at this age, days: four months (common practice, no published source).
pub const TASTE_AGAIN_DAYS: f64 = 122.0;

/// What time alone may put right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Complaint {
    /// Too warm in the mouth.
    Heat,
    /// Too sour.
    Acid,
    /// It smells of matches or eggs.
    Sulfur,
}

impl Complaint {
    /// All of them.
    pub const ALL: [Complaint; 3] = [Complaint::Heat, Complaint::Acid, Complaint::Sulfur];

    fn is_in(self, tasting: &Tasting) -> bool {
        let much = |sense| tasting.of(sense).is_some_and(|value| value > 0);
        match self {
            Complaint::Heat => much(Sense::Warmth),
            Complaint::Acid => much(Sense::Acidity),
            Complaint::Sulfur => smells_of_sulfur(tasting),
        }
    }

    /// The complaint that too much of a sense is.
    fn of(sense: Sense) -> Option<Complaint> {
        match sense {
            Sense::Warmth => Some(Complaint::Heat),
            Sense::Acidity => Some(Complaint::Acid),
            _ => None,
        }
    }
}

/// Words by which people tell sulfur.
const SULFUR: &[&str] = &[
    "sulfur",
    "sulphur",
    "sulfid",
    "sulphid",
    "rotten egg",
    "eggs",
    "struck match",
    "matches",
    "burnt rubber",
    "sewer",
];

fn smells_of_sulfur(tasting: &Tasting) -> bool {
    use super::log::entry::Aspect;
    let sides = [
        Aspect::Look,
        Aspect::Aroma,
        Aspect::Taste,
        Aspect::Body,
        Aspect::Finish,
    ];
    let described = sides
        .into_iter()
        .filter_map(|side| tasting.described.of(side));
    let mut words = tasting.text.as_deref().into_iter().chain(described);
    words.any(|text| {
        let text = text.to_lowercase();
        SULFUR.iter().any(|word| text.contains(word))
    })
}

/// A complaint that was heard before its time, and by nobody since.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Again {
    /// Of what.
    pub complaint: Complaint,
    /// How many said so.
    pub answers: usize,
    /// The age from which on it is judged, days.
    pub at_days: f64,
}

/// What should be tasted again before anything is changed for it.
pub fn taste_again(answers: &[Answer]) -> Vec<Again> {
    let ripe = answers.iter().any(|one| one.age_days >= TASTE_AGAIN_DAYS);
    let of = |complaint: Complaint| {
        let early = answers.iter().filter(|one| one.age_days < TASTE_AGAIN_DAYS);
        let said = early.filter(|one| complaint.is_in(&one.tasting)).count();
        (said > 0 && !ripe).then_some(Again {
            complaint,
            answers: said,
            at_days: TASTE_AGAIN_DAYS,
        })
    };
    Complaint::ALL.into_iter().filter_map(of).collect()
}
