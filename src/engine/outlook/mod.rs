//! What a batch's own readings say of the weeks ahead: the fitted forecast, its band, its dates, and whether it goes as it should.
//!
//! The model and its limits: the reference on kinetics. It looks from the last change of the liquid (honey fed in a step,
//! fruit, juice, water): what was there before counts as a new must with the cells, nitrogen and alcohol that were in it.
//! Readings from before such a change say how far that must had come, and nothing of the factors after it.

mod course;
mod limits;
mod start;

pub use course::Course;
pub use limits::Limit;

use crate::engine::balance::{Liquid, StoppedBy};
use crate::engine::forecast::{
    Band, Fitting, HORIZON_H, Reading, SUGAR_AT_END_G_PER_L, Stretch, fit, run,
};
use start::Start;

/// Standard deviation of one reading of a hydrometer, SG (reference on kinetics, section 7: 0.001 to 0.002).
pub const READING_SD: f64 = 0.0015;

/// Points of the band.
pub const POINTS: usize = 200;

/// ± this many standard deviations hold 90 % of a normal distribution.
const NINETY: f64 = 1.645;

/// When nitrogen goes in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum When {
    /// Hours after the pitch.
    Hours(f64),
    /// Once the gravity has fallen to this SG.
    Gravity(f64),
    /// Whichever of the two is first: hours, SG.
    Either(f64, f64),
}

/// Nitrogen given or planned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feed {
    /// When.
    pub when: When,
    /// mg N per litre of the must.
    pub yan_mg_per_l: f64,
}

/// Something that changes the liquid after the pitch: honey in steps, fruit, juice, water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Hours after the pitch. What lies after now is not looked at.
    pub hours: f64,
    /// Its dissolved parts, kg, for the same volume as the must of [`Known`].
    pub parts: Liquid,
}

/// What is known of a batch, in plain numbers. All hours count from the pitch.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// The must at the pitch with everything that will ferment, kg.
    pub must: Liquid,
    /// Dry yeast, g/L, above 0.
    pub pitch_g_per_l: f64,
    /// Alcohol that the yeast bears, % by volume.
    pub tolerance_abv_percent: f64,
    /// Nitrogen in the must at the pitch, mg/L.
    pub yan_mg_per_l: f64,
    /// Nitrogen given later, and what of the plan is still to come; in any order.
    pub feeds: Vec<Feed>,
    /// Must temperatures in order of time; the first holds from the pitch on. At least one.
    pub temperatures: Vec<Stretch>,
    /// Gravities read since the pitch, corrected; in any order.
    pub readings: Vec<Reading>,
    /// What changed the liquid since the pitch; in any order.
    pub changes: Vec<Change>,
    /// Hours since the pitch; what is read later is not looked at.
    pub now_h: f64,
    /// Factors on growth and on sugar uptake of batches that were finished; used once there are five.
    pub earlier: Vec<(f64, f64)>,
    /// Whether somebody looked and found that gas leaves by the airlock alone.
    pub lid_is_tight: bool,
}

/// Why there is no outlook.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// The must holds no sugar that this yeast could use, or no volume.
    Sugar,
    /// No yeast.
    Yeast,
    /// No temperature.
    Temperature,
    /// A number that is none, or far outside of anything real.
    Number,
}

/// The range of gravities to be read at an hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Hours since the pitch.
    pub hours: f64,
    /// 5th centile, most likely, 95th centile, SG.
    pub sg: Band,
}

/// One factor of the model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factor {
    /// What the published rate is multiplied by.
    pub value: f64,
    /// Standard deviation of its natural logarithm.
    pub sd_of_ln: f64,
}

/// Which data the outlook was made from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Used {
    /// Readings since the outlook's beginning.
    pub readings: usize,
    /// Feeds since the outlook's beginning.
    pub feeds: usize,
    /// Changes of the liquid that lie behind.
    pub changes: usize,
    /// Finished batches that the belief before any reading is centred on; 0 while they are fewer than five.
    pub batches: usize,
}

/// What is to be expected of a batch. Hours count from the pitch; bands are 90 % intervals.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Whether readings were enough to fit the two factors; if not, the band is that of what is usual.
    pub is_fitted: bool,
    /// Where it begins: the pitch, or the last change of the liquid.
    pub from_h: f64,
    /// Gravity there, SG.
    pub og: f64,
    /// What ends it.
    pub stopped_by: StoppedBy,
    /// Gravity at its end, SG: best, and between a yeast that bears more and one that bears less than it is said to.
    pub fg: Band,
    /// Strength at its end, % by volume.
    pub abv_percent: f64,
    /// [`POINTS`] points from `from_h` to where it ends.
    pub points: Vec<Point>,
    /// The line before any reading, at the same hours: hours, SG.
    pub planned: Vec<(f64, f64)>,
    /// What would be read now.
    pub now: Band,
    /// When a third of the fall is done, h; `None` when it does not get there within the horizon.
    pub one_third_h: Option<Band>,
    /// When 95 % of the sugar is used, h.
    pub ninety_five_h: Option<Band>,
    /// When less than 2 g/L of what can ferment is left, h.
    pub end_h: Option<Band>,
    /// On growth. Badly known where feeding and not growth limits the first days: nothing is to be concluded from it.
    pub growth: Factor,
    /// On the use of sugar.
    pub uptake: Factor,
    /// How it goes.
    pub course: Course,
    /// What it should not be trusted in.
    pub limits: Vec<Limit>,
    /// What it was made from.
    pub used: Used,
}

/// The outlook of a batch at an hour, fitted to the readings made until then.
///
/// Method: the reference on kinetics, sections 4 and 7. Only the part of the sugar that is used comes from the model; gravity
/// and strength come from the balance, so that the line ends where the recipe's numbers say. Sugar counts as far as the yeast
/// bears the alcohol.
///
/// # Errors
/// [`Unknown`] where something is missing without which nothing can be said.
pub fn outlook(known: &Known) -> Result<Outlook, Unknown> {
    let start = Start::of(known)?;
    let gravity = start.must.gravity_line();
    let fitted = |readings, horizon_h| {
        let fitting = Fitting {
            plan: start.plan(),
            gravity: &gravity,
            readings,
            sigma: READING_SD,
            prior: start.prior,
            horizon_h,
        };
        fit(fitting).ok_or(Unknown::Number)
    };
    let readings = start.readings.as_slice();
    let found = fitted(readings, HORIZON_H)?;
    let now_h = known.now_h - start.from_h;
    // Before any reading both are one, and the many runs of it are not made twice. It is compared with readings alone.
    let before = match readings.last() {
        None => None,
        Some(last) => {
            let until_h = last.hours.clamp(1.0, HORIZON_H);
            Some(fitted(course::known_before(readings), until_h)?)
        }
    };
    let course = course::course(&course::Case {
        readings,
        now_h,
        since_pitch_h: known.now_h,
        must: &start.must,
        found: &found,
        before: before.as_ref().unwrap_or(&found),
        prior: start.prior,
        lid_is_tight: known.lid_is_tight,
    });
    let later = |band: Band| Band {
        low: band.low + start.from_h,
        best: band.best + start.from_h,
        high: band.high + start.from_h,
    };
    let natural_sg = start.must.gravity(1.0);
    let third_sg = start.must.og - (start.must.og - natural_sg) / 3.0;
    let end_h = found.hours_to(SUGAR_AT_END_G_PER_L);
    let until_h = shown_until(end_h, now_h, readings);
    let hours = (0..POINTS).map(|n| until_h * n as f64 / (POINTS - 1) as f64);
    let plan = run(&start.plan(), HORIZON_H).ok_or(Unknown::Number)?;
    let used = found.timeline().used_at(f64::INFINITY);
    let is_dry = found.timeline().end_sugar_g_per_l() < SUGAR_AT_END_G_PER_L;
    let used = if is_dry { 1.0 } else { used };
    let [growth, uptake] = [0, 1].map(|which| Factor {
        value: found.factors()[which],
        sd_of_ln: found.sd()[which],
    });
    Ok(Outlook {
        is_fitted: found.is_fitted(),
        from_h: start.from_h,
        og: start.must.og,
        stopped_by: start.must.stopped_by,
        fg: start.must.end_gravity(used),
        abv_percent: start.must.after(used).state().abv_percent,
        points: hours
            .clone()
            .map(|hours| Point {
                hours: hours + start.from_h,
                sg: found.gravity_at(hours),
            })
            .collect(),
        planned: hours
            .map(|hours| (hours + start.from_h, gravity(plan.used_at(hours))))
            .collect(),
        now: found.gravity_at(now_h),
        one_third_h: start
            .must
            .part_at(third_sg)
            .and_then(|part| found.hours_to_use(part))
            .map(later),
        ninety_five_h: found.hours_to_use(0.95).map(later),
        end_h: end_h.map(later),
        growth,
        uptake,
        course,
        limits: limits::of(known, &start, found.is_fitted(), until_h),
        used: Used {
            readings: readings.len(),
            feeds: start.additions.len(),
            changes: start.changes,
            batches: start.batches,
        },
    })
}

/// How far the picture goes: to its likely end and what may be later, to now and to the last reading; no further than needed.
fn shown_until(end: Option<Band>, now_h: f64, readings: &[Reading]) -> f64 {
    /// Looked ahead where no end is in sight, h.
    const WITHOUT_END_H: f64 = 1_440.0;
    let end = end.map_or(WITHOUT_END_H, |band| band.high.min(1.5 * band.best));
    let last = readings.last().map_or(0.0, |reading| reading.hours);
    end.max(now_h).max(last).clamp(1.0, HORIZON_H)
}
