//! The forecast fitted to readings: two factors with a log-normal prior, and the interval of what follows from them.

use super::descent::{NUDGE, Slope, WIDEST, nudged, timeline};
use super::model::{Plan, Timeline};
use super::prior::Prior;

/// A gravity that was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Hours after the pitch.
    pub hours: f64,
    /// SG 20/20, temperature corrected.
    pub sg: f64,
}

/// What a fit is made from.
pub struct Fitting<'a> {
    /// The fermentation; its two factors are not looked at.
    pub plan: Plan<'a>,
    /// From the part of the sugar that is used, 0 to 1, to SG 20/20: the mass balance of this must.
    pub gravity: &'a dyn Fn(f64) -> f64,
    /// In any order.
    pub readings: &'a [Reading],
    /// Standard deviation of a reading, SG: 0.001 to 0.002 for a hydrometer.
    pub sigma: f64,
    /// What is believed before.
    pub prior: Prior,
    /// How far to look, h.
    pub horizon_h: f64,
}

/// Low end, best value, high end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// 5th centile.
    pub low: f64,
    /// What is most likely.
    pub best: f64,
    /// 95th centile.
    pub high: f64,
}

/// A fitted fermentation.
pub struct Fit<'a> {
    fitting: Fitting<'a>,
    /// ln of the factors on growth and on uptake.
    ln: [f64; 2],
    covariance: [[f64; 2]; 2],
    best: Timeline,
    // With each logarithm a little larger, for slopes.
    nudged: [Timeline; 2],
    /// Draws of the prior, where readings are too few to fit.
    draws: Vec<Timeline>,
}

/// Readings from which on the two factors are fitted; before that the prior's own band is shown.
pub const FEWEST_READINGS: usize = 3;

/// ± this many standard deviations hold 90 % of a normal distribution.
const NINETY: f64 = 1.645;
const DRAWS: usize = 101;

/// Fits the two factors to the readings; with fewer than [`FEWEST_READINGS`] the prior stands.
///
/// `None` when the plan, the sigma or the prior is not sound; readings that are not finite or before the pitch are not
/// used. Method: the reference on kinetics, section 7.
pub fn fit(fitting: Fitting<'_>) -> Option<Fit<'_>> {
    let prior = fitting.prior;
    let sound = fitting.sigma > 0.0 && prior.sd > 0.0 && fitting.sigma.is_finite();
    let believed = prior.ln_growth.abs() <= WIDEST && prior.ln_uptake.abs() <= WIDEST;
    if !(sound && believed) {
        return None;
    }
    let used: Vec<Reading> = fitting
        .readings
        .iter()
        .copied()
        .filter(|one| one.hours >= 0.0 && one.hours.is_finite() && one.sg.is_finite())
        .collect();
    let mean = [prior.ln_growth, prior.ln_uptake];
    let few = used.len() < FEWEST_READINGS;
    let slope = Slope {
        fitting: &fitting,
        used: &used,
    };
    let ln = match few {
        true => mean,
        false => slope.least([mean, mean.map(|ln| ln - 0.5)])?.ln,
    };
    let line = |ln: [f64; 2]| timeline(&fitting, ln, fitting.horizon_h);
    let best = line(ln)?;
    let [growth, uptake] = nudged(ln);
    let nudged = [line(growth)?, line(uptake)?];
    let variance = prior.sd * prior.sd;
    let covariance = match few {
        true => [[variance, 0.0], [0.0, variance]],
        false => slope.covariance(ln, &best, &nudged)?,
    };
    let draws = match few {
        true => prior.drawn(DRAWS).filter_map(line).collect(),
        false => Vec::new(),
    };
    Some(Fit {
        ln,
        covariance,
        best,
        nudged,
        draws,
        fitting,
    })
}

impl Fit<'_> {
    /// Factors on growth and on uptake.
    pub fn factors(&self) -> [f64; 2] {
        [self.ln[0].exp(), self.ln[1].exp()]
    }

    /// Standard deviations of the logarithms of the factors. That of growth is wide where feeding, not growth, limits the
    /// first days: nothing is to be concluded from it.
    pub fn sd(&self) -> [f64; 2] {
        [self.covariance[0][0].sqrt(), self.covariance[1][1].sqrt()]
    }

    /// The most likely run.
    pub fn timeline(&self) -> &Timeline {
        &self.best
    }

    /// Whether readings were enough for a fit.
    pub fn is_fitted(&self) -> bool {
        self.draws.is_empty()
    }

    /// Gravity to be read after so many hours, with the reading's own error in the band.
    pub fn gravity_at(&self, hours: f64) -> Band {
        let of = |line: &Timeline| (self.fitting.gravity)(line.used_at(hours));
        let sigma = self.fitting.sigma;
        if self.is_fitted() {
            let best = of(&self.best);
            let slopes = [0, 1].map(|i| (of(&self.nudged[i]) - best) / NUDGE);
            let half = NINETY * (self.variance(slopes) + sigma * sigma).sqrt();
            // No reading lies above the start or below the end but by its own error.
            let own = NINETY * sigma;
            let (most, least) = ((self.fitting.gravity)(0.0), (self.fitting.gravity)(1.0));
            return Band {
                low: (best - half).max(least - own).min(best),
                best,
                high: (best + half).min(most + own).max(best),
            };
        }
        let values: Vec<f64> = self.draws.iter().map(of).collect();
        let band = centiles(values, of(&self.best));
        Band {
            low: band.low - NINETY * sigma,
            high: band.high + NINETY * sigma,
            ..band
        }
    }

    /// When this part of the sugar, 0 to 1, is used, h; never before the last reading shows it can be. `None` when it is
    /// not within the horizon.
    pub fn hours_to_use(&self, part: f64) -> Option<Band> {
        self.hours(|line| line.hours_to_use(part))
    }

    /// When no more than this is left, h.
    pub fn hours_to(&self, sugar_g_per_l: f64) -> Option<Band> {
        self.hours(|line| line.hours_to(sugar_g_per_l))
    }

    fn hours(&self, of: impl Fn(&Timeline) -> Option<f64>) -> Option<Band> {
        let best = of(&self.best)?;
        if !self.is_fitted() {
            // A draw that never gets there is as late as can be.
            let values = self.draws.iter().map(|line| of(line).unwrap_or(f64::MAX));
            let band = centiles(values.collect(), best);
            return Some(Band {
                high: band.high.min(self.fitting.horizon_h.max(best)),
                ..band
            });
        }
        let slope = |i: usize| of(&self.nudged[i]).map(|hours| (hours - best) / NUDGE);
        let half = NINETY * self.variance([slope(0)?, slope(1)?]).sqrt();
        let last = self
            .fitting
            .readings
            .iter()
            .map(|one| one.hours)
            .fold(0.0, f64::max);
        // What has not come by the last reading comes no earlier than it.
        let low = (best - half).max(0.0);
        let low = if best > last { low.max(last) } else { low };
        Some(Band {
            low,
            best,
            high: best + half,
        })
    }

    fn variance(&self, [g, u]: [f64; 2]) -> f64 {
        let c = &self.covariance;
        (g * g * c[0][0] + 2.0 * g * u * c[0][1] + u * u * c[1][1]).max(0.0)
    }
}

fn centiles(mut values: Vec<f64>, best: f64) -> Band {
    values.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let index = (share * values.len().saturating_sub(1) as f64).round() as usize;
        values.get(index).copied().unwrap_or(best)
    };
    Band {
        low: at(0.05).min(best),
        best,
        high: at(0.95).max(best),
    }
}
