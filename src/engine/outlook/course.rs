//! How a fermentation goes: its last readings against the forecast made before them.
//!
//! A stall is suspected as the reference on kinetics says (section 7), and where nothing moves for 72 h although sugar is
//! left. What only looks slow in the first 72 h is asked about first: a lid that leaks makes a silent airlock.

use super::start::Must;
use super::{NINETY, READING_SD};
use crate::engine::forecast::{Fit, Prior, Reading};
use crate::engine::problem::codes;

codes! {
    /// How a fermentation goes, by its own readings against the forecast made before the last of them.
    Course {
        /// Within the first day, when nothing needs to be seen yet.
        Early = "early",
        /// Nothing was read since the pitch, or since the liquid was changed.
        NotRead = "not_read",
        /// As it should.
        OnCourse = "on_course",
        /// Faster than expected.
        AheadOfForecast = "ahead_of_forecast",
        /// It looks slow or still, but within the first 72 h a lid that leaks looks like that too: ask before warning.
        AskAboutTheLid = "ask_about_the_lid",
        /// Slower than expected.
        Slow = "slow",
        /// It may have stopped with sugar left that the yeast could use.
        PossibleStall = "possible_stall",
        /// It stands still with sugar left, near what the yeast bears.
        AtItsLimit = "at_its_limit",
        /// It stands still and next to no sugar is left. No leave to bottle: that asks for more.
        Ended = "ended",
    }
}

/// Nothing needs to be seen before, h after the pitch (common practice, no published source).
const EARLY_H: f64 = 24.0;
/// No warning before without asking about the lid, h after the pitch (common practice, no published source).
const LID_H: f64 = 72.0;
/// A gravity above its band for so long is a possible stall, h (reference on kinetics, section 7).
const ABOVE_H: f64 = 48.0;
/// A rate below this part of the forecast's is a possible stall (reference on kinetics, section 7).
const PART_OF_RATE: f64 = 0.25;
/// A forecast fall that is told from the errors of three readings, SG: four of their standard deviations (our judgement).
const TELLING_FALL: f64 = 4.0 * READING_SD;
/// Readings this far apart and equal stand still, h (our judgement, no published source; bottling asks for 14 days).
const STILL_H: f64 = 72.0;
/// Gravities that count as equal (common practice, no published source).
const EQUAL_SG: f64 = 0.001;
/// A sound mead may stand this much above its driest, SG (common practice, no published source).
const NEAR_DRY_SG: f64 = 0.005;
/// A yeast's limit is known to this, % by volume (common practice, no published source).
const NEAR_LIMIT_ABV: f64 = 1.5;
/// Binary numbers cannot hold thousandths.
const HAIR: f64 = 1e-9;

/// What a course is judged by. Hours count from where the outlook begins, `since_pitch_h` from the pitch.
pub(super) struct Case<'a> {
    /// In order of time.
    pub readings: &'a [Reading],
    pub now_h: f64,
    pub since_pitch_h: f64,
    pub must: &'a Must,
    /// Fitted to all readings.
    pub found: &'a Fit<'a>,
    /// Fitted to [`known_before`].
    pub before: &'a Fit<'a>,
    pub prior: Prior,
    pub lid_is_tight: bool,
}

/// The readings that make the forecast by which the last ones are judged: all but the last three, and none of the time in
/// which a stall would have to show.
pub(super) fn known_before(readings: &[Reading]) -> &[Reading] {
    let but_three = readings.len().saturating_sub(3);
    let count = first_judged(readings).map_or(but_three, |first| first.min(but_three));
    &readings[..count]
}

/// The last reading that is at least [`ABOVE_H`] older than the newest.
fn first_judged(readings: &[Reading]) -> Option<usize> {
    let last = readings.last()?;
    readings
        .iter()
        .rposition(|one| last.hours - one.hours >= ABOVE_H - HAIR)
}

pub(super) fn course(case: &Case<'_>) -> Course {
    match judged(case) {
        Course::Slow | Course::PossibleStall
            if case.since_pitch_h < LID_H && !case.lid_is_tight =>
        {
            Course::AskAboutTheLid
        }
        course => course,
    }
}

fn judged(case: &Case<'_>) -> Course {
    if case.now_h < EARLY_H {
        return Course::Early;
    }
    let Some(last) = case.readings.last() else {
        return Course::NotRead;
    };
    let is_near_dry = last.sg <= case.must.dry_sg() + NEAR_DRY_SG + HAIR;
    let is_still = stands_still(case.readings);
    if is_near_dry && is_still {
        return Course::Ended;
    }
    let is_stalled = is_still || is_above_for_long(case) || is_far_too_slow(case);
    if is_stalled && !is_near_dry {
        let limit = case.must.tolerance_abv() - NEAR_LIMIT_ABV;
        return match case.must.abv_at(last.sg) >= limit {
            true => Course::AtItsLimit,
            false => Course::PossibleStall,
        };
    }
    let expected = case.before.gravity_at(last.hours);
    // As slow or fast from its beginning on as one batch in twenty is.
    let unlike = NINETY * case.prior.sd;
    let off = match case.found.is_fitted() {
        true => case.found.factors()[1].ln() - case.prior.ln_uptake,
        false => 0.0,
    };
    match () {
        () if is_near_dry => Course::OnCourse,
        () if last.sg > expected.high || off < -unlike => Course::Slow,
        () if last.sg < expected.low || off > unlike => Course::AheadOfForecast,
        () => Course::OnCourse,
    }
}

/// Whether the readings of the last 72 h or more are equal.
fn stands_still(readings: &[Reading]) -> bool {
    let Some(last) = readings.last() else {
        return false;
    };
    let equal = readings
        .iter()
        .rev()
        .take_while(|one| (one.sg - last.sg).abs() <= EQUAL_SG + HAIR);
    equal
        .last()
        .is_some_and(|oldest| last.hours - oldest.hours >= STILL_H - HAIR)
}

/// Whether every reading of the last 48 h or more lies above the band that was forecast for it.
fn is_above_for_long(case: &Case<'_>) -> bool {
    first_judged(case.readings).is_some_and(|first| {
        case.readings[first..]
            .iter()
            .all(|one| one.sg > case.before.gravity_at(one.hours).high)
    })
}

/// Whether the last three readings fall at less than a quarter of the rate forecast for them.
fn is_far_too_slow(case: &Case<'_>) -> bool {
    let [.., a, b, c] = case.readings else {
        return false;
    };
    let forecast = [a, b, c].map(|one| (one.hours, case.before.gravity_at(one.hours).best));
    let read = [a, b, c].map(|one| (one.hours, one.sg));
    let wanted = rate(forecast);
    wanted * (c.hours - a.hours) >= TELLING_FALL && rate(read) < PART_OF_RATE * wanted
}

/// The fall of three readings, SG per hour, by least squares; 0 where they are of one hour.
fn rate(readings: [(f64, f64); 3]) -> f64 {
    let mean = |of: fn(&(f64, f64)) -> f64| readings.iter().map(of).sum::<f64>() / 3.0;
    let (hours, sg) = (mean(|one| one.0), mean(|one| one.1));
    let spread: f64 = readings.iter().map(|one| (one.0 - hours).powi(2)).sum();
    let together: f64 = readings
        .iter()
        .map(|one| (one.0 - hours) * (one.1 - sg))
        .sum();
    if spread > 0.0 {
        -together / spread
    } else {
        0.0
    }
}
