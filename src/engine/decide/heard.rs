//! What tasters said of each sense: the shares of too little, right and too much, and what each costs in liking.
//!
//! Penalty analysis of just-about-right scales: the mean liking of those who find it right less that of those who do not, looked
//! at where a fifth of the tasters or more stand on one side (the practice of sensory work, from memory; no published source at
//! hand). How few answers are too few is our judgement.

use super::{Complaint, TASTE_AGAIN_DAYS};
use crate::engine::log::entry::{Sense, Tasting};

/// With fewer answers no drop of liking is told.
pub const ENOUGH: usize = 10;
/// A side is looked at from this share on.
pub const SIDE: f64 = 0.2;
/// So many must find it right for their liking to be a measure.
const RIGHT: usize = 3;

/// One taster's answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Age of the mead since its mixing, days.
    pub age_days: f64,
    /// What was said.
    pub tasting: Tasting,
}

/// Which way something should go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// There is too little of it.
    More,
    /// There is too much of it.
    Less,
}

/// Why a drop of liking is not told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyNot {
    /// Fewer than ten answered both.
    FewAnswers,
    /// Less than a fifth stand on that side.
    SmallSide,
    /// Next to nobody finds it right.
    NobodyRight,
}

/// How much less it is liked by those on one side than by those who find it right; below 0: more.
pub type Penalty = Result<f64, WhyNot>;

/// What was said of one sense.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    /// Which.
    pub sense: Sense,
    /// Answers that say too little, right, too much.
    pub counts: [usize; 3],
    /// Answers that came too early to count: heat and acid before four months.
    pub early: usize,
    /// What too little of it costs in liking, and too much.
    pub penalties: [Penalty; 2],
    /// Which way it should go, if either.
    pub asks: Option<Way>,
    /// How much that matters: the share of that side, times its drop of liking where that is known, else 1; of fewer than ten
    /// answers so many tenths.
    pub weight: f64,
}

impl Heard {
    /// How many answers count.
    pub fn answers(&self) -> usize {
        self.counts.iter().sum()
    }

    /// The shares of too little, right and too much, 0 to 1; `None` without an answer.
    pub fn shares(&self) -> Option<[f64; 3]> {
        let all = self.answers();
        (all > 0).then(|| self.counts.map(|count| count as f64 / all as f64))
    }
}

/// What was said of every sense that anybody answered, what matters most first.
pub fn heard(answers: &[Answer]) -> Vec<Heard> {
    let mut all: Vec<Heard> = Sense::ALL
        .iter()
        .map(|sense| of_sense(answers, *sense))
        .filter(|heard| heard.answers() + heard.early > 0)
        .collect();
    all.sort_by(|one, other| other.weight.total_cmp(&one.weight));
    all
}

/// Whether an answer comes too early to be held against the recipe.
fn is_early(answer: &Answer, sense: Sense, value: i32) -> bool {
    value > 0 && Complaint::of(sense).is_some() && answer.age_days < TASTE_AGAIN_DAYS
}

fn of_sense(answers: &[Answer], sense: Sense) -> Heard {
    let said = answers.iter().filter_map(|answer| {
        let value = answer.tasting.of(sense)?;
        Some((answer, value))
    });
    let (early, said): (Vec<_>, Vec<_>) =
        said.partition(|(answer, value)| is_early(answer, sense, *value));
    let side = |wanted: i32| {
        said.iter()
            .filter(move |(_, value)| value.signum() == wanted)
    };
    let counts = [-1, 0, 1].map(|wanted| side(wanted).count());
    let liked = |wanted: i32| -> Vec<f64> {
        side(wanted)
            .filter_map(|(answer, _)| answer.tasting.liked().map(f64::from))
            .collect()
    };
    let (few, right, much) = (liked(-1), liked(0), liked(1));
    let all = few.len() + right.len() + much.len();
    let penalties = [
        penalty_of(&few, &right, all),
        penalty_of(&much, &right, all),
    ];
    let (asks, weight) = asks(counts, penalties);
    Heard {
        sense,
        counts,
        early: early.len(),
        penalties,
        asks,
        weight,
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

fn penalty_of(side: &[f64], right: &[f64], all: usize) -> Penalty {
    if all < ENOUGH {
        return Err(WhyNot::FewAnswers);
    }
    if (side.len() as f64) < SIDE * all as f64 {
        return Err(WhyNot::SmallSide);
    }
    if right.len() < RIGHT {
        return Err(WhyNot::NobodyRight);
    }
    Ok(mean(right) - mean(side))
}

/// Which way it should go: a side of at least a fifth, of half where fewer than ten answered, and twice the other; not where those
/// who stand there like it no less.
fn asks([few, right, much]: [usize; 3], penalties: [Penalty; 2]) -> (Option<Way>, f64) {
    let all = few + right + much;
    if all == 0 {
        return (None, 0.0);
    }
    let (way, count, other, penalty) = match few > much {
        true => (Way::More, few, much, penalties[0]),
        false => (Way::Less, much, few, penalties[1]),
    };
    let share = count as f64 / all as f64;
    let least = if all < ENOUGH { 0.5 } else { SIDE };
    let costs = penalty.unwrap_or(1.0);
    let stands_out = count > 0 && share >= least && count >= 2 * other && costs > 0.0;
    match stands_out {
        true => (
            Some(way),
            share * costs * all.min(ENOUGH) as f64 / ENOUGH as f64,
        ),
        false => (None, 0.0),
    }
}
