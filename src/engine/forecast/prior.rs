//! What is believed of the factors before any reading, and factors drawn from it.

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

    /// The logarithms of both factors, drawn so often: evenly spread, not random, so that the same batch shows the same band.
    pub(super) fn drawn(&self, times: usize) -> impl Iterator<Item = [f64; 2]> + '_ {
        (1..=times).map(move |index| {
            [
                self.ln_growth + self.sd * normal_quantile(halton(index, 2)),
                self.ln_uptake + self.sd * normal_quantile(halton(index, 3)),
            ]
        })
    }
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
