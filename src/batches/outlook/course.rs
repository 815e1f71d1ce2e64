//! The outlook of an opened batch at an instant, and what lists keep of it.

use chrono::{DateTime, Utc};

use super::known::{Case, known};
use crate::batches::model::{Expected, Numbers};
use crate::batches::opened::Opened;
use crate::engine::forecast::{Band, Prior};
use crate::engine::outlook::{Course, Outlook, Unknown, outlook};

/// A batch's outlook, in hours since the pitch.
pub struct Sight {
    pub case: Case,
    pub outlook: Result<Outlook, Unknown>,
}

/// What is to be expected at an hour of the log; `earlier` are the factors of the club's finished batches.
pub fn sight(opened: &Opened, now_h: f64, earlier: Vec<(f64, f64)>, lid_is_tight: bool) -> Sight {
    let mut case = known(opened, now_h, earlier);
    case.known.lid_is_tight = lid_is_tight;
    let mut outlook = outlook(&case.known);
    if let Ok(outlook) = &mut outlook {
        take_own_days(opened, outlook);
    }
    Sight { outlook, case }
}

/// Until its readings tell better, it ends in as many days as the club's own batches took, where they were taken for it.
fn take_own_days(opened: &Opened, outlook: &mut Outlook) {
    let Some(days) = opened.batch.own.end_days.filter(|_| !outlook.is_fitted) else {
        return;
    };
    let end = Band {
        low: 24.0 * days.low,
        best: 24.0 * days.median,
        high: 24.0 * days.high,
    };
    outlook.end_h = Some(end);
    // Nearly all of the sugar is used before all of it is.
    outlook.ninety_five_h = outlook.ninety_five_h.map(|band| Band {
        low: band.low.min(end.low),
        best: band.best.min(end.best),
        high: band.high.min(end.high),
    });
}

/// Whether the club has finished enough batches for forecasts to begin from them.
pub fn has_own_prior(earlier: &[(f64, f64)]) -> bool {
    Prior::of_batches(earlier).is_some()
}

impl Sight {
    /// Where it is in its course; `None` where it is over or nothing can be said.
    pub fn course(&self) -> Option<Course> {
        let outlook = self.outlook.as_ref().ok()?;
        (self.case.is_pitched && !self.case.is_over).then_some(outlook.course)
    }

    /// When it is expected to have come so far; nothing before the yeast is in, and nothing once it is over.
    fn expected(&self, opened: &Opened) -> Expected {
        let Some(outlook) = self.outlook.as_ref().ok() else {
            return Expected::default();
        };
        if !self.case.is_pitched || self.case.is_over {
            return Expected::default();
        }
        let of = |band: Option<Band>| instants(opened, self.case.pitch_h, band?);
        Expected {
            one_third_at: of(outlook.one_third_h),
            still_at: of(outlook.end_h),
        }
    }

    /// Writes what lists and the club's own figures keep.
    pub fn note(&self, opened: &Opened, numbers: &mut Numbers) {
        numbers.course = self
            .course()
            .map_or(String::new(), |course| course.as_str().to_owned());
        if let Ok(outlook) = &self.outlook
            && outlook.is_fitted
        {
            numbers.growth_factor = Some(outlook.growth.value);
            numbers.uptake_factor = Some(outlook.uptake.value);
        }
        numbers.expected = self.expected(opened);
        let state = &opened.state;
        let marks = &state.marks;
        let shown =
            state.points.iter().rev().find(|point| {
                point.used && marks.end_shown.is_some_and(|shown| point.hours <= shown)
            });
        numbers.book_fg = opened.book_fg;
        numbers.real_fg = shown.and_then(|point| point.read_sg);
        numbers.end_days = marks.days_to(marks.end);
        numbers.loss_fraction = loss_fraction(opened);
    }
}

/// The three instants of a band; `None` where its likely time lies beyond any calendar.
fn instants(opened: &Opened, pitch_h: f64, band: Band) -> Option<Vec<DateTime<Utc>>> {
    let at = |hours: f64| opened.batch.at_hours(pitch_h + hours);
    let best = at(band.best)?;
    let [low, high] = [band.low, band.high].map(|hours| at(hours).unwrap_or(best));
    Some(vec![low.min(best), best, high.max(best)])
}

/// What stayed behind of all that was there; `None` until it is packaged.
fn loss_fraction(opened: &Opened) -> Option<f64> {
    let state = &opened.state;
    let all = (state.flows.begun + state.flows.added).state().volume_l;
    let is_done = state.marks.packaged.is_some() && state.volume_l <= 0.02 * all;
    let part = state.losses.total_l() / all;
    (is_done && (0.0..=1.0).contains(&part)).then_some(part)
}
