//! Reckoning with moments and days, and the placing of a feed in the morning or the evening.

use super::step::{At, Due};

const DAY_H: f64 = 24.0;
/// More days than these are no plan.
const MOST_DAYS: f64 = 40_000.0;

/// When people are at home and awake: morning and evening, local hours (our judgement, no published source).
const MORNING: [f64; 2] = [7.0, 9.0];
const EVENING: [f64; 2] = [18.0, 20.0];

/// Hours as whole days, to the nearest.
pub(super) fn in_days(hours: f64) -> i32 {
    let days = (hours / DAY_H).round();
    // A cast of what is no number gives 0.
    days.clamp(-MOST_DAYS, MOST_DAYS) as i32
}

/// Whole days in so many hours: an evening more or less is no day.
fn whole_days(hours: f64) -> i32 {
    in_days(DAY_H * (hours / DAY_H).trunc())
}

impl At {
    /// An instant that is known.
    pub fn exactly(hours: f64) -> At {
        At::Instant {
            hours,
            from_h: hours,
            to_h: hours,
        }
    }

    /// About how many hours since the beginning: to put steps in order. A day counts as 24 hours.
    pub fn about_hours(&self) -> f64 {
        match *self {
            At::Instant { hours, .. } => hours,
            At::Day { since_h, days, .. } => since_h + DAY_H * f64::from(days),
        }
    }

    /// About the last hour of its window.
    pub fn about_latest(&self) -> f64 {
        match *self {
            At::Instant { to_h, .. } => to_h,
            At::Day {
                since_h, to_days, ..
            } => since_h + DAY_H * f64::from(to_days),
        }
    }

    /// So many days later, at the earliest `from`, at the latest `to`; the windows add up.
    pub(super) fn plus_days(&self, days: i32, from: i32, to: i32) -> At {
        match *self {
            At::Instant {
                hours,
                from_h,
                to_h,
            } => At::Day {
                since_h: hours,
                days,
                from_days: from.saturating_add(whole_days(from_h - hours)),
                to_days: to.saturating_add(whole_days(to_h - hours)),
            },
            At::Day {
                since_h,
                days: before,
                from_days,
                to_days,
            } => At::Day {
                since_h,
                days: before.saturating_add(days),
                from_days: from_days.saturating_add(from),
                to_days: to_days.saturating_add(to),
            },
        }
    }

    /// The same without its window.
    pub(super) fn without_window(self) -> At {
        match self {
            At::Instant { hours, .. } => At::exactly(hours),
            At::Day { since_h, days, .. } => At::Day {
                since_h,
                days,
                from_days: days,
                to_days: days,
            },
        }
    }

    /// The same, but not before `now`.
    pub(super) fn not_before(self, now: Option<f64>) -> At {
        match now {
            Some(now) if self.about_hours() < now => At::Instant {
                hours: now,
                from_h: now,
                to_h: self.about_latest().max(now),
            },
            _ => self,
        }
    }

    /// The same kind of time at another moment, as the maker chose it.
    pub(super) fn moved_to(this: Option<At>, to_hours: f64) -> At {
        match this {
            Some(At::Day { .. }) => At::Day {
                since_h: to_hours,
                days: 0,
                from_days: 0,
                to_days: 0,
            },
            _ => At::exactly(to_hours),
        }
    }
}

impl Due {
    /// Due then.
    pub(super) fn at(at: Option<At>) -> Due {
        Due { at, or_at_sg: None }
    }
}

/// The later of two.
pub(super) fn later(one: Option<At>, other: Option<At>) -> Option<At> {
    match (one, other) {
        (Some(one), Some(other)) if one.about_hours() < other.about_hours() => Some(other),
        (None, other) => other,
        (one, _) => one,
    }
}

/// Hours after the pitch at which a feed that is due at `hours` is best given: the morning (7 to 9) or evening (18 to 20) that
/// lies nearest within `give_or_take_h`, else `hours` as they are.
///
/// `pitch_hour_of_day` is the local hour of the pitch, 0 to 24. Between two that are as near the earlier is taken. What is not
/// finite is given back as it came. When people are awake: our judgement, no published source.
pub fn morning_or_evening(pitch_hour_of_day: f64, hours: f64, give_or_take_h: f64) -> f64 {
    let of_day = (pitch_hour_of_day + hours).rem_euclid(DAY_H);
    let windows = [MORNING, EVENING];
    let shifts = windows.iter().flat_map(|[from, to]| {
        [-DAY_H, 0.0, DAY_H].map(|days| of_day.clamp(from + days, to + days) - of_day)
    });
    let nearest = shifts
        .filter(|shift| shift.abs() <= give_or_take_h)
        .min_by(|a, b| a.abs().total_cmp(&b.abs()).then(a.total_cmp(b)));
    nearest.map_or(hours, |shift| hours + shift)
}
