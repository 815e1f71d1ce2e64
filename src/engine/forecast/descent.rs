//! Levenberg–Marquardt for the two factors: the residuals of the readings and of the prior, and the way down to their least.

use super::fit::{Fitting, Reading};
use super::model::{Plan, Timeline, run};

/// What a logarithm is moved by for slopes.
pub(super) const NUDGE: f64 = 1e-5;
/// The logarithms are kept within a factor of about 50 either way.
pub(super) const WIDEST: f64 = 4.0;
/// Two ways down that come so near to one another lead to the same place.
const SAME: f64 = 0.05;

type Rows = Vec<[f64; 2]>;

/// What is descended: nothing after the last reading is looked at.
pub(super) struct Slope<'a> {
    pub fitting: &'a Fitting<'a>,
    pub used: &'a [Reading],
}

/// A place on it.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub ln: [f64; 2],
    cost: f64,
}

/// The run with these logarithms of its factors.
pub(super) fn timeline(fitting: &Fitting<'_>, ln: [f64; 2], until_h: f64) -> Option<Timeline> {
    let plan = Plan {
        growth_factor: ln[0].exp(),
        uptake_factor: ln[1].exp(),
        ..fitting.plan
    };
    run(&plan, until_h)
}

/// The same with each logarithm a little larger.
pub(super) fn nudged([growth, uptake]: [f64; 2]) -> [[f64; 2]; 2] {
    [[growth + NUDGE, uptake], [growth, uptake + NUDGE]]
}

impl Slope<'_> {
    /// The deepest place that is found from either start. The second is left where it comes to where the first one led.
    pub(super) fn least(&self, starts: [[f64; 2]; 2]) -> Option<Place> {
        let first = self.descend(starts[0], None);
        let second = self.descend(starts[1], first);
        let found = first.into_iter().chain(second);
        found.min_by(|one, other| one.cost.total_cmp(&other.cost))
    }

    fn until_h(&self) -> f64 {
        let last = self.used.iter().map(|one| one.hours).fold(1.0, f64::max);
        last.min(self.fitting.horizon_h)
    }

    /// Residuals in standard deviations: of each reading, then of the two logarithms from the prior.
    fn residuals(&self, ln: [f64; 2], line: &Timeline) -> Option<Vec<f64>> {
        let fitting = self.fitting;
        let of_reading =
            |one: &Reading| ((fitting.gravity)(line.used_at(one.hours)) - one.sg) / fitting.sigma;
        let prior = &fitting.prior;
        let rows = self.used.iter().map(of_reading).chain([
            (ln[0] - prior.ln_growth) / prior.sd,
            (ln[1] - prior.ln_uptake) / prior.sd,
        ]);
        let rows: Vec<f64> = rows.collect();
        rows.iter().all(|row| row.is_finite()).then_some(rows)
    }

    fn residuals_at(&self, ln: [f64; 2]) -> Option<Vec<f64>> {
        let line = timeline(self.fitting, ln, self.until_h())?;
        self.residuals(ln, &line)
    }

    fn jacobian(&self, ln: [f64; 2], here: &[f64]) -> Option<Rows> {
        let [growth, uptake] = nudged(ln);
        let (growth, uptake) = (self.residuals_at(growth)?, self.residuals_at(uptake)?);
        Some(slopes(here, &growth, &uptake))
    }

    /// How well the logarithms are known where the descent ended, from the runs that are kept of it.
    pub(super) fn covariance(
        &self,
        ln: [f64; 2],
        best: &Timeline,
        [growth, uptake]: &[Timeline; 2],
    ) -> Option<[[f64; 2]; 2]> {
        let here = self.residuals(ln, best)?;
        let [more_growth, more_uptake] = nudged(ln);
        let growth = self.residuals(more_growth, growth)?;
        let uptake = self.residuals(more_uptake, uptake)?;
        inverse(normal(&slopes(&here, &growth, &uptake)))
    }

    fn descend(&self, start: [f64; 2], known: Option<Place>) -> Option<Place> {
        let mut ln = start;
        let mut here = self.residuals_at(ln)?;
        let mut rows = self.jacobian(ln, &here)?;
        let mut cost = squares(&here);
        let mut damping = 1e-3;
        for _ in 0..40 {
            let by = step(&rows, &here, damping)?;
            let next = [0, 1].map(|i| (ln[i] + by[i]).clamp(-WIDEST, WIDEST));
            let better = self
                .residuals_at(next)
                .map(|residuals| (squares(&residuals), residuals))
                .filter(|(next_cost, _)| *next_cost < cost);
            match better {
                Some((next_cost, residuals)) => {
                    // A hundredth of what the best known factors are known to, at the most.
                    let small =
                        by[0].abs().max(by[1].abs()) < 1e-5 || cost - next_cost < 1e-7 * cost;
                    ln = next;
                    cost = next_cost;
                    here = residuals;
                    let is_known = known
                        .is_some_and(|known| (0..2).all(|i| (known.ln[i] - ln[i]).abs() < SAME));
                    if small || is_known {
                        break;
                    }
                    damping = (damping / 10.0).max(1e-9);
                    rows = self.jacobian(ln, &here)?;
                }
                None if damping > 1e6 => break,
                None => damping *= 10.0,
            }
        }
        Some(Place { ln, cost })
    }
}

/// The damped step down.
fn step(rows: &Rows, here: &[f64], damping: f64) -> Option<[f64; 2]> {
    let n = normal(rows);
    let mut down = [0.0; 2];
    for (row, residual) in rows.iter().zip(here) {
        down[0] -= row[0] * residual;
        down[1] -= row[1] * residual;
    }
    let damped = [
        [n[0][0] * (1.0 + damping), n[0][1]],
        [n[1][0], n[1][1] * (1.0 + damping)],
    ];
    let inverse = inverse(damped)?;
    Some(inverse.map(|row| row[0] * down[0] + row[1] * down[1]))
}

fn slopes(here: &[f64], growth: &[f64], uptake: &[f64]) -> Rows {
    let nudged = growth.iter().zip(uptake);
    let rows = here.iter().zip(nudged);
    rows.map(|(at, (g, u))| [(g - at) / NUDGE, (u - at) / NUDGE])
        .collect()
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
