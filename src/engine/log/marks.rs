//! When what was reached: hours since the batch began, between two readings in proportion.

use super::judge::SAME_SG;
use crate::engine::finish::still::{Read, at_rest};

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
    /// The first of two readings that show the end: equal, 14 days apart, without gas and warm enough.
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
    /// Whether the gas was stirred out first; `None` where nobody said.
    pub degassed: Option<bool>,
    /// Of the must then, °C; `None` where nobody measured.
    pub must_c: Option<f64>,
}

impl Counted {
    pub fn as_read(&self) -> Read {
        Read {
            hours: self.hours,
            sg: self.sg,
            degassed: self.degassed,
            must_c: self.must_c,
        }
    }
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
    let end = end(counted, marks.first_fall);
    marks.end = end.map(|(first, _)| first);
    marks.end_shown = end.map(|(_, second)| second);
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

/// The first two readings that show the end, as hours.
fn end(counted: &[Counted], first_fall: Option<f64>) -> Option<(f64, f64)> {
    let fell = first_fall?;
    let mut reads: Vec<Read> = Vec::new();
    let mut additions = 0;
    for read in counted.iter().filter(|read| read.hours >= fell) {
        if read.additions != additions {
            additions = read.additions;
            reads.clear();
        }
        reads.push(read.as_read());
        if let Some((first, second)) = at_rest(&reads) {
            return Some((first.hours, second.hours));
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
