//! One run of the kinetic model: additions of nitrogen by the hour or by the sugar used, temperatures by stretches.
//!
//! The equations and their source stand in [`kinetics`](crate::engine::kinetics). Only the part of the sugar that is used
//! is taken from the model: its ethanol exceeds what the sugar can give, so gravity and strength come from the balance.

use std::ops::ControlFlow;

use crate::engine::kinetics::{Conditions, Rates};
use crate::engine::numeric::find_root;
use crate::engine::ode::{Step, Tolerance, solve_on};

/// The longest that is looked ahead, h.
pub const HORIZON_H: f64 = 2_000.0;

/// Sugar below which a fermentation counts as ended, g/L.
pub const SUGAR_AT_END_G_PER_L: f64 = 2.0;

/// Sugar below which nothing more is followed, g/L.
const NOTHING_G_PER_L: f64 = 1e-4;
/// Nitrogen below which none is left, g/L: followed further, it would only make the steps small.
const NO_NITROGEN_G_PER_L: f64 = 1e-7;
/// What a fermentation that has not stopped uses in the last ten days of the horizon, g/L.
const STILL_WORKING_G_PER_L: f64 = 0.1;

const TOLERANCE: Tolerance<4> = Tolerance {
    relative: 1e-6,
    absolute: [1e-7, 1e-7, 1e-5, 1e-5],
};

/// When something is added.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum At {
    /// Hours after the pitch.
    Hours(f64),
    /// Once this part of the sugar is used, 0 to 1.
    SugarUsed(f64),
}

/// Nitrogen that is added.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Addition {
    /// When.
    pub at: At,
    /// mg N/L.
    pub yan_mg_per_l: f64,
}

/// A temperature from an hour on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Hours after the pitch.
    pub from_h: f64,
    /// Must temperature, °C; outside 11 to 35 its nearer end is taken.
    pub temperature_c: f64,
}

/// A fermentation to be forecast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan<'a> {
    /// Sugar at the start that can ferment, g/L, above 0 and at most 1,000.
    pub sugar_g_per_l: f64,
    /// Nitrogen at the start, mg/L.
    pub yan_mg_per_l: f64,
    /// Dry yeast, g/L, above 0.
    pub pitch_g_per_l: f64,
    /// Ethanol in it already, as the model counts it, g/L: 0 in a must.
    pub ethanol_g_per_l: f64,
    /// Temperatures in order of time; the first holds from the start on. At least one.
    pub temperatures: &'a [Stretch],
    /// Nitrogen added later.
    pub additions: &'a [Addition],
    /// Factor on the rate of growth, above 0.
    pub growth_factor: f64,
    /// Factor on the rate of sugar uptake, above 0.
    pub uptake_factor: f64,
    /// Whether growth is held at its most above 277 mg N/L, where the regression turns round.
    pub holds_growth: bool,
}

impl Plan<'_> {
    fn is_sound(&self) -> bool {
        let above = [
            self.sugar_g_per_l,
            self.pitch_g_per_l,
            self.growth_factor,
            self.uptake_factor,
        ];
        let not_below = |value: &f64| (0.0..=1e6).contains(value);
        above.iter().all(|value| *value > 0.0 && *value <= 1_000.0)
            && not_below(&self.yan_mg_per_l)
            && not_below(&self.ethanol_g_per_l)
            && !self.temperatures.is_empty()
            && self
                .temperatures
                .iter()
                .all(|stretch| stretch.from_h.is_finite() && stretch.temperature_c.is_finite())
            && self.additions.iter().all(|addition| {
                let (At::Hours(when) | At::SugarUsed(when)) = addition.at;
                not_below(&when) && not_below(&addition.yan_mg_per_l)
            })
    }

    fn temperature_at(&self, hours: f64) -> f64 {
        let begun = self.begun_at(hours);
        let now = self.temperatures.get(begun.saturating_sub(1));
        now.map_or(20.0, |stretch| stretch.temperature_c)
    }

    /// How many temperatures have begun.
    fn begun_at(&self, hours: f64) -> usize {
        let begun = |stretch: &Stretch| stretch.from_h <= hours;
        self.temperatures.partition_point(begun)
    }
}

/// How it ends within the horizon.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Less than [`SUGAR_AT_END_G_PER_L`] is left.
    Dry,
    /// It has stopped with sugar left.
    SugarLeft,
    /// It is slow, but has not stopped.
    StillWorking,
}

impl Outcome {
    /// The word in answers.
    pub fn as_str(self) -> &'static str {
        match self {
            Outcome::Dry => "dry",
            Outcome::SugarLeft => "sugar_left",
            Outcome::StillWorking => "still_working",
        }
    }
}

/// The sugar over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Timeline {
    start_g_per_l: f64,
    steps: Vec<Step<4>>,
}

const CELLS: usize = 0;
const NITROGEN: usize = 1;
const SUGAR: usize = 3;

impl Timeline {
    /// The step of so many hours and where in it; before the start and after the end the nearest.
    fn step_at(&self, hours: f64) -> Option<(&Step<4>, f64)> {
        let after = self.steps.partition_point(|step| step.to < hours);
        let step = self.steps.get(after).or(self.steps.last())?;
        Some((step, hours.clamp(step.from, step.to)))
    }

    fn component_at(&self, hours: f64, of: usize) -> Option<f64> {
        let (step, at) = self.step_at(hours)?;
        Some(step.component_at(at, of))
    }

    /// Sugar after so many hours, g/L; before the start and after the end what it was there.
    pub fn sugar_at(&self, hours: f64) -> f64 {
        let sugar = self.component_at(hours, SUGAR);
        let sugar = sugar.unwrap_or(self.start_g_per_l);
        sugar.clamp(0.0, self.start_g_per_l)
    }

    /// Cells that are at work after so many hours, g/L.
    pub fn cells_at(&self, hours: f64) -> f64 {
        self.component_at(hours, CELLS)
            .map_or(0.0, |cells| cells.max(0.0))
    }

    /// Nitrogen that is left after so many hours, mg/L.
    pub fn nitrogen_at(&self, hours: f64) -> f64 {
        self.component_at(hours, NITROGEN)
            .map_or(0.0, |nitrogen| nitrogen.max(0.0) * 1_000.0)
    }

    /// Part of the sugar used after so many hours, 0 to 1.
    pub fn used_at(&self, hours: f64) -> f64 {
        1.0 - self.sugar_at(hours) / self.start_g_per_l
    }

    /// When no more than this is left, h; `None` when that does not come within what was followed.
    pub fn hours_to(&self, sugar_g_per_l: f64) -> Option<f64> {
        if sugar_g_per_l >= self.start_g_per_l {
            return Some(0.0);
        }
        let above = |step: &Step<4>| step.component_at(step.to, SUGAR) > sugar_g_per_l;
        let step = self.steps.get(self.steps.partition_point(above))?;
        Some(crossing(step, sugar_g_per_l))
    }

    /// When this part of the sugar is used, h.
    pub fn hours_to_use(&self, part: f64) -> Option<f64> {
        self.hours_to(self.start_g_per_l * (1.0 - part))
    }

    /// Sugar left at the end, g/L.
    pub fn end_sugar_g_per_l(&self) -> f64 {
        self.sugar_at(f64::INFINITY)
    }

    /// The last hour that was followed.
    pub fn end_h(&self) -> f64 {
        self.steps.last().map_or(0.0, |step| step.to)
    }

    /// How it ends.
    pub fn outcome(&self) -> Outcome {
        let left = self.end_sugar_g_per_l();
        if left < SUGAR_AT_END_G_PER_L {
            return Outcome::Dry;
        }
        match self.sugar_at(self.end_h() - 240.0) - left {
            used if used < STILL_WORKING_G_PER_L => Outcome::SugarLeft,
            _ => Outcome::StillWorking,
        }
    }
}

fn crossing(step: &Step<4>, sugar: f64) -> f64 {
    let over = |time: f64| step.component_at(time, SUGAR) - sugar;
    find_root(over, step.from, step.to, 1e-9).unwrap_or(step.to)
}

/// Runs the model to the `horizon_h`, or until no sugar is left.
///
/// `None` when the plan is not within what its fields say, or when the equations cannot be followed. Good to a
/// thousandth of the times of the reference's check rows.
pub fn run(plan: &Plan<'_>, horizon_h: f64) -> Option<Timeline> {
    if !(plan.is_sound() && horizon_h > 0.0 && horizon_h <= 20_000.0) {
        return None;
    }
    let added: f64 = plan.additions.iter().map(|one| one.yan_mg_per_l).sum();
    let rates_at = |hours: f64| {
        Rates::new(Conditions {
            temperature_c: plan.temperature_at(hours),
            nitrogen_mg_per_l: plan.yan_mg_per_l + added,
            growth_factor: plan.growth_factor,
            uptake_factor: plan.uptake_factor,
            holds_growth: plan.holds_growth,
        })
    };
    let mut waiting: Vec<Addition> = plan.additions.to_vec();
    let mut y = [
        plan.pitch_g_per_l,
        plan.yan_mg_per_l / 1_000.0,
        plan.ethanol_g_per_l,
        plan.sugar_g_per_l,
    ];
    let mut steps = Vec::with_capacity(128);
    let mut t = 0.0;
    while t < horizon_h && y[SUGAR] > NOTHING_G_PER_L {
        let used = 1.0 - y[SUGAR] / plan.sugar_g_per_l;
        waiting.retain(|addition| {
            let due = match addition.at {
                At::Hours(hours) => hours <= t,
                At::SugarUsed(part) => part <= used + 1e-12,
            };
            if due {
                y[1] += addition.yan_mg_per_l / 1_000.0;
            }
            !due
        });
        let until = next_change(plan, &waiting, t).min(horizon_h);
        // The sugar at which the next addition by sugar is due.
        let due_at = waiting
            .iter()
            .filter_map(|addition| match addition.at {
                At::SugarUsed(part) => Some(plan.sugar_g_per_l * (1.0 - part)),
                At::Hours(_) => None,
            })
            .fold(0.0, f64::max);
        let rates = rates_at(t);
        let mut cut = None;
        let reached = solve_on(
            |_, y| rates.slope(*y),
            (t, until),
            y,
            &TOLERANCE,
            width_of(&steps),
            |step, y| {
                if due_at > 0.0 && y[SUGAR] <= due_at {
                    let at = crossing(step, due_at);
                    cut = Some(at);
                    steps.push(step.cut(at));
                    return ControlFlow::Break(());
                }
                steps.push(*step);
                if y[1] < NO_NITROGEN_G_PER_L {
                    y[1] = 0.0;
                }
                if y[SUGAR] <= NOTHING_G_PER_L {
                    return ControlFlow::Break(());
                }
                ControlFlow::Continue(())
            },
        )
        .ok()?;
        match (cut, steps.last()) {
            (Some(at), Some(step)) => {
                y = step.at(at);
                // Exactly there: what is due at this sugar must not wait for rounding.
                y[SUGAR] = y[SUGAR].min(due_at);
                t = at;
            }
            (_, last) => {
                y = reached;
                t = last.map_or(until, |step| step.to);
            }
        }
    }
    Some(Timeline {
        start_g_per_l: plan.sugar_g_per_l,
        steps,
    })
}

/// The width of the steps so far, of which the last was cut short by what changes; no more than half a day.
fn width_of(steps: &[Step<4>]) -> Option<f64> {
    let last = steps.iter().rev().take(2).map(Step::width);
    last.reduce(f64::max).map(|width| width.min(12.0))
}

/// The next hour at which the temperature changes or something is added by the clock.
fn next_change(plan: &Plan<'_>, waiting: &[Addition], t: f64) -> f64 {
    let next = plan.temperatures.get(plan.begun_at(t));
    let stretches = next.map(|stretch| stretch.from_h);
    let additions = waiting.iter().filter_map(|addition| match addition.at {
        At::Hours(hours) => Some(hours),
        At::SugarUsed(_) => None,
    });
    additions
        .chain(stretches)
        .filter(|hours| *hours > t)
        .fold(f64::INFINITY, f64::min)
}
