//! The forecast fitted to readings: two factors by Levenberg–Marquardt with a log-normal prior, and its interval.

use super::model::{Plan, Timeline, run};

/// A gravity that was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Hours after the pitch.
    pub hours: f64,
    /// SG 20/20, temperature corrected.
    pub sg: f64,
}

/// What is believed of the two factors before any reading: normal in the logarithm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// Mean of ln(factor on growth).
    pub ln_growth: f64,
    /// Mean of ln(factor on sugar uptake).
    pub ln_uptake: f64,
    /// Standard deviation of both.
    pub sd: f64,
}

impl Prior {
    /// Before a club has finished batches of its own: growth as published, uptake in honey must at 0.6 of it, a factor of
    /// two either way (our judgement, no published source).
    pub const HONEY: Prior = Prior {
        ln_growth: 0.0,
        ln_uptake: -0.510_825_623_765_990_7,
        sd: 0.5,
    };

    /// Centred on the factors of finished batches, once there are five: the mean of their logarithms. `None` before that.
    pub fn of_batches(factors: &[(f64, f64)]) -> Option<Prior> {
        let sound = |(growth, uptake): &&(f64, f64)| *growth > 0.0 && *uptake > 0.0;
        let logs: Vec<(f64, f64)> = factors
            .iter()
            .filter(sound)
            .map(|(growth, uptake)| (growth.ln(), uptake.ln()))
            .filter(|(growth, uptake)| growth.is_finite() && uptake.is_finite())
            .collect();
        let mean =
            |of: fn(&(f64, f64)) -> f64| logs.iter().map(of).sum::<f64>() / logs.len() as f64;
        (logs.len() >= 5).then(|| Prior {
            ln_growth: mean(|(growth, _)| *growth),
            ln_uptake: mean(|(_, uptake)| *uptake),
            sd: Prior::HONEY.sd,
        })
    }
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
const NUDGE: f64 = 1e-5;
/// The logarithms are kept within a factor of about 50 either way.
const WIDEST: f64 = 4.0;
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
    let (ln, covariance) = if few {
        let variance = prior.sd * prior.sd;
        (mean, [[variance, 0.0], [0.0, variance]])
    } else {
        let starts = [mean, [mean[0] - 0.5, mean[1] - 0.5]];
        let found = starts
            .iter()
            .filter_map(|start| descend(&fitting, &used, *start))
            .min_by(|a, b| a.1.total_cmp(&b.1))?;
        let j = jacobian(&fitting, &used, found.0)?;
        (found.0, inverse(normal(&j.1))?)
    };
    let draws = if few { draw(&fitting) } else { Vec::new() };
    Some(Fit {
        best: timeline(&fitting, ln)?,
        nudged: [
            timeline(&fitting, [ln[0] + NUDGE, ln[1]])?,
            timeline(&fitting, [ln[0], ln[1] + NUDGE])?,
        ],
        ln,
        covariance,
        draws,
        fitting,
    })
}

fn timeline(fitting: &Fitting<'_>, ln: [f64; 2]) -> Option<Timeline> {
    let plan = Plan {
        growth_factor: ln[0].exp(),
        uptake_factor: ln[1].exp(),
        ..fitting.plan
    };
    run(&plan, fitting.horizon_h)
}

/// Residuals in standard deviations: of each reading, then of the two logarithms from the prior.
fn residuals(fitting: &Fitting<'_>, used: &[Reading], ln: [f64; 2]) -> Option<Vec<f64>> {
    let line = timeline(fitting, ln)?;
    let of_reading =
        |one: &Reading| ((fitting.gravity)(line.used_at(one.hours)) - one.sg) / fitting.sigma;
    let prior = &fitting.prior;
    let rows = used.iter().map(of_reading).chain([
        (ln[0] - prior.ln_growth) / prior.sd,
        (ln[1] - prior.ln_uptake) / prior.sd,
    ]);
    let rows: Vec<f64> = rows.collect();
    rows.iter().all(|row| row.is_finite()).then_some(rows)
}

type Rows = Vec<[f64; 2]>;

fn jacobian(fitting: &Fitting<'_>, used: &[Reading], ln: [f64; 2]) -> Option<(Vec<f64>, Rows)> {
    let here = residuals(fitting, used, ln)?;
    let growth = residuals(fitting, used, [ln[0] + NUDGE, ln[1]])?;
    let uptake = residuals(fitting, used, [ln[0], ln[1] + NUDGE])?;
    let rows = here
        .iter()
        .zip(growth.iter().zip(&uptake))
        .map(|(at, (g, u))| [(g - at) / NUDGE, (u - at) / NUDGE])
        .collect();
    Some((here, rows))
}

fn normal(rows: &Rows) -> [[f64; 2]; 2] {
    let mut sum = [[0.0; 2]; 2];
    for row in rows {
        for i in 0..2 {
            for j in 0..2 {
                sum[i][j] += row[i] * row[j];
            }
        }
    }
    sum
}

fn inverse([[a, b], [c, d]]: [[f64; 2]; 2]) -> Option<[[f64; 2]; 2]> {
    let determinant = a * d - b * c;
    let inverse = [
        [d / determinant, -b / determinant],
        [-c / determinant, a / determinant],
    ];
    inverse
        .iter()
        .flatten()
        .all(|v| v.is_finite())
        .then_some(inverse)
}

fn squares(rows: &[f64]) -> f64 {
    rows.iter().map(|row| row * row).sum()
}

/// Levenberg–Marquardt from one start: the logarithms and their sum of squares.
fn descend(fitting: &Fitting<'_>, used: &[Reading], start: [f64; 2]) -> Option<([f64; 2], f64)> {
    let mut ln = start;
    let (mut here, mut rows) = jacobian(fitting, used, ln)?;
    let mut cost = squares(&here);
    let mut damping = 1e-3;
    for _ in 0..40 {
        let n = normal(&rows);
        let mut down = [0.0; 2];
        for (row, residual) in rows.iter().zip(&here) {
            down[0] -= row[0] * residual;
            down[1] -= row[1] * residual;
        }
        let damped = [
            [n[0][0] * (1.0 + damping), n[0][1]],
            [n[1][0], n[1][1] * (1.0 + damping)],
        ];
        let step = inverse(damped)?;
        let by = [
            step[0][0] * down[0] + step[0][1] * down[1],
            step[1][0] * down[0] + step[1][1] * down[1],
        ];
        let next = [
            (ln[0] + by[0]).clamp(-WIDEST, WIDEST),
            (ln[1] + by[1]).clamp(-WIDEST, WIDEST),
        ];
        let better = residuals(fitting, used, next)
            .map(|rows| squares(&rows))
            .filter(|next| *next < cost);
        match better {
            Some(next_cost) => {
                let small = by[0].abs().max(by[1].abs()) < 1e-7 || cost - next_cost < 1e-9 * cost;
                ln = next;
                cost = next_cost;
                if small {
                    break;
                }
                damping = (damping / 10.0).max(1e-9);
                (here, rows) = jacobian(fitting, used, ln)?;
            }
            None if damping > 1e6 => break,
            None => damping *= 10.0,
        }
    }
    Some((ln, cost))
}

/// Runs with factors drawn from the prior: evenly spread, not random, so that the same batch shows the same band.
fn draw(fitting: &Fitting<'_>) -> Vec<Timeline> {
    let prior = fitting.prior;
    (1..=DRAWS)
        .filter_map(|index| {
            let growth = prior.ln_growth + prior.sd * normal_quantile(halton(index, 2));
            let uptake = prior.ln_uptake + prior.sd * normal_quantile(halton(index, 3));
            timeline(fitting, [growth, uptake])
        })
        .collect()
}

/// The `index`-th of Halton's evenly spread numbers between 0 and 1 (Halton 1960, Numer. Math. 2:84).
fn halton(mut index: usize, base: usize) -> f64 {
    let (mut sum, mut share) = (0.0, 1.0);
    while index > 0 {
        share /= base as f64;
        sum += share * (index % base) as f64;
        index /= base;
    }
    sum
}

/// Standard normal quantile, within 5e-4 (Abramowitz and Stegun 1964, 26.2.23).
fn normal_quantile(p: f64) -> f64 {
    let tail = p.min(1.0 - p).max(1e-12);
    let t = (-2.0 * tail.ln()).sqrt();
    let top = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let bottom = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    let z = t - top / bottom;
    if p < 0.5 { -z } else { z }
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
