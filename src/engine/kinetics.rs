//! How long the first third of the sugar takes: the kinetic model of a fermentation, stepped as far as feeding needs it.
//!
//! Coleman, Fish and Block 2007 (Appl. Environ. Microbiol. 73:5875) with the readings of the reference on kinetics; all
//! logarithms natural. Times are the fast edge for honey musts, so the rate of sugar uptake is taken times 0.6 (our
//! judgement, no published source).

/// Factor on the rate of sugar uptake in honey must (our judgement, no published source; a factor of 2 either way).
pub const HONEY_UPTAKE_FACTOR: f64 = 0.6;

/// Temperatures the parameters were fitted for, °C; others are taken at the nearer end.
pub const TEMPERATURE_RANGE_C: (f64, f64) = (11.0, 35.0);

/// g of ethanol that the model makes of 1 g of sugar: its logarithm is −0.598. More than sugar can give; within the model only.
pub(super) const MODEL_ETHANOL_PER_SUGAR: f64 = 0.549_910_357_721_601_6;

/// Nitrogen above which more makes no more cells in the regression, mg/L.
const MOST_CELLS_AT_MG_PER_L: f64 = 277.0;

/// Nitrogen added at an hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dose {
    /// Hours after the pitch.
    pub hours: f64,
    /// mg N/L.
    pub yan_mg_per_l: f64,
}

/// A fermentation to be timed. All values finite and not negative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ferment<'a> {
    /// Sugar at the start, g/L.
    pub sugar_g_per_l: f64,
    /// Nitrogen at the start, mg/L.
    pub yan_mg_per_l: f64,
    /// Must temperature, °C.
    pub temperature_c: f64,
    /// Dry yeast, g/L.
    pub pitch_g_per_l: f64,
    /// Later nitrogen, in order of time.
    pub doses: &'a [Dose],
    /// Factor on the rate of sugar uptake.
    pub uptake_factor: f64,
}

/// The model's rates at one temperature, for one plan of nitrogen.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rates {
    growth: f64,
    half_nitrogen: f64,
    death: f64,
    cells_per_nitrogen: f64,
    uptake: f64,
    half_sugar: f64,
    ethanol_per_sugar: f64,
}

/// What the rates depend on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Conditions {
    /// Must temperature, °C; outside [`TEMPERATURE_RANGE_C`] its nearer end is taken.
    pub temperature_c: f64,
    /// All nitrogen, at the start and added later, mg/L.
    pub nitrogen_mg_per_l: f64,
    /// Factor on the rate of growth.
    pub growth_factor: f64,
    /// Factor on the rate of sugar uptake.
    pub uptake_factor: f64,
    /// Whether growth is held at its most where the regression would make fewer cells of more nitrogen.
    pub holds_growth: bool,
}

impl Rates {
    pub(super) fn new(at: Conditions) -> Self {
        let t = at
            .temperature_c
            .clamp(TEMPERATURE_RANGE_C.0, TEMPERATURE_RANGE_C.1);
        let nitrogen = at.nitrogen_mg_per_l;
        let yield_at = |n: f64| (3.50 - 0.00361 * n).exp();
        let cells_per_nitrogen = if at.holds_growth && nitrogen > MOST_CELLS_AT_MG_PER_L {
            yield_at(MOST_CELLS_AT_MG_PER_L) * MOST_CELLS_AT_MG_PER_L / nitrogen
        } else {
            yield_at(nitrogen)
        };
        Rates {
            growth: (-3.92 + 0.0782 * t).exp() * at.growth_factor,
            half_nitrogen: (-4.73_f64).exp(),
            death: (-9.81 - 0.108 * t + 0.00478 * t * t).exp(),
            cells_per_nitrogen,
            uptake: (-2.30 + 0.0771 * t).exp() * at.uptake_factor,
            half_sugar: 2.33_f64.exp(),
            ethanol_per_sugar: MODEL_ETHANOL_PER_SUGAR,
        }
    }

    /// Derivatives of active cells, nitrogen, ethanol and sugar, per hour.
    pub(super) fn slope(&self, [cells, nitrogen, ethanol, sugar]: [f64; 4]) -> [f64; 4] {
        let (n, s) = (nitrogen.max(0.0), sugar.max(0.0));
        let grown = self.growth * n / (self.half_nitrogen + n) * cells;
        let made = self.uptake * s / (self.half_sugar + s) * cells;
        [
            grown - self.death * ethanol * cells,
            -grown / self.cells_per_nitrogen,
            made,
            -made / self.ethanol_per_sugar,
        ]
    }

    fn step(&self, y: [f64; 4], h: f64) -> [f64; 4] {
        let add = |k: [f64; 4], by: f64| -> [f64; 4] {
            [
                y[0] + by * k[0],
                y[1] + by * k[1],
                y[2] + by * k[2],
                y[3] + by * k[3],
            ]
        };
        let a = self.slope(y);
        let b = self.slope(add(a, h / 2.0));
        let c = self.slope(add(b, h / 2.0));
        let d = self.slope(add(c, h));
        let mean = |i: usize| -> f64 { a[i] + 2.0 * b[i] + 2.0 * c[i] + d[i] };
        let mut next = add([mean(0), mean(1), mean(2), mean(3)], h / 6.0);
        next[1] = next[1].max(0.0);
        next
    }
}

/// Hours until `used_g_per_l` of sugar are gone; `None` when that takes longer than `longest_h`.
///
/// `step_h`: 0.1 h is good to 0.01 h; 0.5 h to about 0.1 h at cellar temperatures (reference: kinetics, section 5).
/// Source: the model named at the head of this file.
pub fn hours_to_use(
    ferment: &Ferment<'_>,
    used_g_per_l: f64,
    longest_h: f64,
    step_h: f64,
) -> Option<f64> {
    let numbers = [
        ferment.sugar_g_per_l,
        ferment.yan_mg_per_l,
        ferment.pitch_g_per_l,
        used_g_per_l,
        longest_h,
        step_h,
    ];
    let sound = numbers
        .iter()
        .all(|value| value.is_finite() && *value >= 0.0);
    if !sound || step_h < 1e-3 || longest_h > 10_000.0 || used_g_per_l > ferment.sugar_g_per_l {
        return None;
    }
    let added: f64 = ferment.doses.iter().map(|dose| dose.yan_mg_per_l).sum();
    let rates = Rates::new(Conditions {
        temperature_c: ferment.temperature_c,
        nitrogen_mg_per_l: ferment.yan_mg_per_l + added,
        growth_factor: 1.0,
        uptake_factor: ferment.uptake_factor,
        holds_growth: true,
    });
    let goal = ferment.sugar_g_per_l - used_g_per_l;
    let mut y = [
        ferment.pitch_g_per_l,
        ferment.yan_mg_per_l / 1000.0,
        0.0,
        ferment.sugar_g_per_l,
    ];
    let mut doses = ferment.doses.iter().peekable();
    let mut t = 0.0;
    while t < longest_h {
        while let Some(dose) = doses.next_if(|dose| dose.hours <= t + 1e-9) {
            y[1] += dose.yan_mg_per_l / 1000.0;
        }
        let until_dose = doses.peek().map_or(step_h, |dose| dose.hours - t);
        let h = step_h.min(until_dose);
        let next = rates.step(y, h);
        if next[3] <= goal {
            let fallen = y[3] - next[3];
            return Some(if fallen > 0.0 {
                t + h * (y[3] - goal) / fallen
            } else {
                t
            });
        }
        y = next;
        t += h;
    }
    None
}
