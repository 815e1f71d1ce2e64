//! When what was reached: hours since the batch began, between two readings in proportion.

use super::judge::SAME_SG;

/// Two readings this far apart and equal to [`END_SG`] show that it ended (common practice, no published source).
pub const END_H: f64 = 14.0 * 24.0;
/// See [`END_H`].
pub const END_SG: f64 = 0.001;

/// When what was reached, hours since the batch began; `None` for what has not been seen.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Marks {
    /// The yeast went in; 0 where it was there from the start.
    pub pitch: Option<f64>,
    /// The first reading below the first one.
    pub first_fall: Option<f64>,
    /// A third of the sugar that ferments was gone.
    pub one_third: Option<f64>,
    /// Half of it.
    pub half: Option<f64>,
    /// 95 % of it.
    pub nearly_all: Option<f64>,
    /// The first of two equal readings 14 days apart.
    pub end: Option<f64>,
    /// The second of them.
    pub end_shown: Option<f64>,
    /// It was stabilised.
    pub stabilised: Option<f64>,
    /// It was first packaged.
    pub packaged: Option<f64>,
}

impl Marks {
    /// Days from the pitch to a mark.
    pub fn days_to(&self, mark: Option<f64>) -> Option<f64> {
        Some((mark? - self.pitch?) / 24.0)
    }
}

/// A gravity that counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Counted {
    pub hours: f64,
    pub sg: f64,
    /// The part of the sugar that ferments which was gone.
    pub part: f64,
    /// How often something that changes gravity had gone in by then.
    pub additions: u32,
}

/// The marks that gravities show; `counted` in the order of time, until it was stabilised.
pub(super) fn of_readings(pitch: Option<f64>, counted: &[Counted]) -> Marks {
    let mut marks = Marks {
        pitch,
        ..Marks::default()
    };
    let Some(first) = counted.first() else {
        return marks;
    };
    let fell = |read: &Counted| {
        read.additions == first.additions && read.sg < first.sg - SAME_SG
            || read.additions > first.additions && read.part > 0.0
    };
    marks.first_fall = counted
        .iter()
        .find(|read| fell(read))
        .map(|read| read.hours);
    if let Some((end, shown)) = end(counted, marks.first_fall) {
        marks.end = Some(counted.get(end).map_or(0.0, |read| read.hours));
        marks.end_shown = Some(counted.get(shown).map_or(0.0, |read| read.hours));
    }
    // What was expected to ferment was a forecast; once it has ended, that is what fermented.
    let last = counted.last().map_or(0.0, |read| read.part);
    let all = if marks.end.is_some() && last > 0.0 {
        last
    } else {
        1.0
    };
    let reached = |part: f64| crossing(pitch, counted, part * all);
    marks.one_third = reached(1.0 / 3.0);
    marks.half = reached(0.5);
    marks.nearly_all = reached(0.95);
    marks
}

/// The first two readings that show the end, by their places.
fn end(counted: &[Counted], first_fall: Option<f64>) -> Option<(usize, usize)> {
    let fell = first_fall?;
    for (later, read) in counted.iter().enumerate() {
        let same = |other: &&Counted| {
            other.additions == read.additions
                && other.hours >= fell
                && (other.sg - read.sg).abs() <= END_SG + 1e-9
        };
        // Back from the later one, as long as nothing differs.
        let run = counted.iter().take(later).rev().take_while(same).count();
        let earlier = later - run;
        if counted
            .get(earlier)
            .is_some_and(|first| read.hours - first.hours >= END_H)
        {
            return Some((earlier, later));
        }
    }
    None
}

/// When a part of the sugar was gone, in proportion between the readings around it.
fn crossing(pitch: Option<f64>, counted: &[Counted], part: f64) -> Option<f64> {
    let mut before = pitch.map(|hours| (hours, 0.0));
    for read in counted {
        if read.part >= part - 1e-9 {
            return Some(match before {
                Some((hours, had)) if read.part > had && read.hours > hours => {
                    let way = ((part - had) / (read.part - had)).clamp(0.0, 1.0);
                    hours + way * (read.hours - hours)
                }
                _ => read.hours,
            });
        }
        // What was read before the yeast went in tells nothing of its pace.
        if before.is_none_or(|(hours, _)| read.hours >= hours) {
            before = Some((read.hours, read.part));
        }
    }
    None
}
