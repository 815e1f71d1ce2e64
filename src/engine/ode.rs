//! Ordinary differential equations: the adaptive Dormand–Prince pair of order 5(4), with dense output within each step.
//!
//! Dormand and Prince 1980 (J. Comput. Appl. Math. 6:19); the dense output of Hairer, Nørsett and Wanner, Solving
//! Ordinary Differential Equations I, section II.6. Coefficients from memory: verify; the tests compare with exact
//! solutions, where a wrong one would show as a lower order.

use std::ops::ControlFlow;

/// The most steps, taken and refused, that one solution spends.
pub const MOST_STEPS: usize = 20_000;

/// One accepted step, to be read anywhere between its ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step<const N: usize> {
    /// Where it begins.
    pub from: f64,
    /// Where it ends; less than `from` plus its width where it was cut short.
    pub to: f64,
    width: f64,
    shape: [[f64; N]; 5],
}

impl<const N: usize> Step<N> {
    /// The state at a time between the ends, to order 4.
    pub fn at(&self, time: f64) -> [f64; N] {
        std::array::from_fn(|i| self.component_at(time, i))
    }

    /// One component of the state at a time between the ends.
    pub fn component_at(&self, time: f64, i: usize) -> f64 {
        let done = (time - self.from) / self.width;
        let left = 1.0 - done;
        let [a, b, c, d, e] = &self.shape;
        a[i] + done * (b[i] + left * (c[i] + done * (d[i] + left * e[i])))
    }

    /// How wide it was taken.
    pub fn width(&self) -> f64 {
        self.width
    }

    /// The same step, ended at a time within it.
    pub fn cut(self, to: f64) -> Self {
        Step {
            to: to.clamp(self.from, self.to),
            ..self
        }
    }
}

/// How exact each component must be: the error of a step stays below `absolute + relative × |value|`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance<const N: usize> {
    /// Relative part.
    pub relative: f64,
    /// Absolute part of each component, in its own unit.
    pub absolute: [f64; N],
}

/// A solution that did not get to its end: a value was not finite, or the steps were spent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unsolved;

const A: [[f64; 6]; 6] = [
    [1.0 / 5.0, 0.0, 0.0, 0.0, 0.0, 0.0],
    [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0],
    [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0],
    [
        19_372.0 / 6_561.0,
        -25_360.0 / 2_187.0,
        64_448.0 / 6_561.0,
        -212.0 / 729.0,
        0.0,
        0.0,
    ],
    [
        9_017.0 / 3_168.0,
        -355.0 / 33.0,
        46_732.0 / 5_247.0,
        49.0 / 176.0,
        -5_103.0 / 18_656.0,
        0.0,
    ],
    [
        35.0 / 384.0,
        0.0,
        500.0 / 1_113.0,
        125.0 / 192.0,
        -2_187.0 / 6_784.0,
        11.0 / 84.0,
    ],
];
const C: [f64; 6] = [0.2, 0.3, 0.8, 8.0 / 9.0, 1.0, 1.0];
/// The solution of order 5 less the one of order 4.
const ERROR: [f64; 7] = [
    71.0 / 57_600.0,
    0.0,
    -71.0 / 16_695.0,
    71.0 / 1_920.0,
    -17_253.0 / 339_200.0,
    22.0 / 525.0,
    -1.0 / 40.0,
];
const DENSE: [f64; 7] = [
    -12_715_105_075.0 / 11_282_082_432.0,
    0.0,
    87_487_479_700.0 / 32_700_410_799.0,
    -10_690_763_975.0 / 1_880_347_072.0,
    701_980_252_875.0 / 199_316_789_632.0,
    -1_453_857_185.0 / 822_651_844.0,
    69_997_945.0 / 29_380_423.0,
];

/// Follows `slope` from `state` at `start` to `end`, handing each accepted step to `each`, which may change the state
/// that the next step begins with, or break off. Answers the state at the end, or where it was broken off.
///
/// `end` not before `start`, all values finite.
///
/// # Errors
/// [`Unsolved`] when a value is not finite or [`MOST_STEPS`] were not enough.
pub fn solve<const N: usize>(
    slope: impl Fn(f64, &[f64; N]) -> [f64; N],
    (start, end): (f64, f64),
    state: [f64; N],
    tolerance: &Tolerance<N>,
    each: impl FnMut(&Step<N>, &mut [f64; N]) -> ControlFlow<()>,
) -> Result<[f64; N], Unsolved> {
    solve_on(slope, (start, end), state, tolerance, None, each)
}

/// The same, going on with steps of a width that was taken before, where one is known: it is refused where it is too wide.
///
/// # Errors
/// As [`solve`].
pub fn solve_on<const N: usize>(
    slope: impl Fn(f64, &[f64; N]) -> [f64; N],
    (start, end): (f64, f64),
    state: [f64; N],
    tolerance: &Tolerance<N>,
    width: Option<f64>,
    mut each: impl FnMut(&Step<N>, &mut [f64; N]) -> ControlFlow<()>,
) -> Result<[f64; N], Unsolved> {
    let mut t = start;
    let mut y = state;
    let mut first = slope(t, &y);
    let width = width.unwrap_or_else(|| first_width(&y, &first, tolerance));
    let mut h = width.min(end - start);
    let mut refused = false;
    for _ in 0..MOST_STEPS {
        if t >= end {
            return Ok(y);
        }
        h = h.min(end - t);
        let (k, next) = stages(&slope, t, h, &y, first);
        let off = error_of(&k, h, &y, &next, tolerance);
        if !off.is_finite() || !next.iter().all(|value| value.is_finite()) {
            return Err(Unsolved);
        }
        let factor = (0.9 * off.powf(-0.2)).clamp(0.2, 5.0);
        if off > 1.0 {
            h *= factor.min(1.0);
            refused = true;
            continue;
        }
        // The last step ends exactly at the end, whatever rounding says.
        let to = if end - (t + h) < 1e-12 * end.abs().max(1.0) {
            end
        } else {
            t + h
        };
        let step = step_of(&k, (t, to), h, &y, &next);
        let mut begun = next;
        let flow = each(&step, &mut begun);
        t = to;
        first = if begun == next {
            k[6]
        } else {
            slope(t, &begun)
        };
        y = begun;
        if flow.is_break() {
            return Ok(y);
        }
        h *= if refused { factor.min(1.0) } else { factor };
        refused = false;
    }
    Err(Unsolved)
}

fn stages<const N: usize>(
    slope: &impl Fn(f64, &[f64; N]) -> [f64; N],
    t: f64,
    h: f64,
    y: &[f64; N],
    first: [f64; N],
) -> ([[f64; N]; 7], [f64; N]) {
    let mut k = [[0.0; N]; 7];
    k[0] = first;
    let mut at = *y;
    for (row, (weights, share)) in A.iter().zip(C).enumerate() {
        let sum = weighted(&weights[..=row], &k);
        at = std::array::from_fn(|i| y[i] + h * sum[i]);
        k[row + 1] = slope(t + share * h, &at);
    }
    (k, at)
}

/// The sum of slopes, each with its weight; all components at once.
fn weighted<const N: usize>(weights: &[f64], k: &[[f64; N]; 7]) -> [f64; N] {
    let mut sum = [0.0; N];
    for (weight, slope) in weights.iter().zip(k) {
        for (sum, slope) in sum.iter_mut().zip(slope) {
            *sum += weight * slope;
        }
    }
    sum
}

/// Root of the mean square of the errors in units of what is allowed.
fn error_of<const N: usize>(
    k: &[[f64; N]; 7],
    h: f64,
    y: &[f64; N],
    next: &[f64; N],
    tolerance: &Tolerance<N>,
) -> f64 {
    let mut sum = 0.0;
    let errors = weighted(&ERROR, k);
    for i in 0..N {
        let off = h * errors[i];
        let allowed = tolerance.absolute[i] + tolerance.relative * y[i].abs().max(next[i].abs());
        sum += (off / allowed) * (off / allowed);
    }
    // A step without any error must not make an infinite factor.
    (sum / N as f64).sqrt().max(1e-10)
}

fn step_of<const N: usize>(
    k: &[[f64; N]; 7],
    (from, to): (f64, f64),
    h: f64,
    y: &[f64; N],
    next: &[f64; N],
) -> Step<N> {
    let mut shape = [[0.0; N]; 5];
    let dense = weighted(&DENSE, k);
    for i in 0..N {
        let risen = next[i] - y[i];
        let bent = h * k[0][i] - risen;
        shape[0][i] = y[i];
        shape[1][i] = risen;
        shape[2][i] = bent;
        shape[3][i] = risen - h * k[6][i] - bent;
        shape[4][i] = h * dense[i];
    }
    Step {
        from,
        to,
        width: h,
        shape,
    }
}

/// A first width so small that a straight line changes nothing by more than a hundredth.
fn first_width<const N: usize>(y: &[f64; N], slope: &[f64; N], tolerance: &Tolerance<N>) -> f64 {
    let mut size = 0.0_f64;
    let mut speed = 0.0_f64;
    for i in 0..N {
        let allowed = tolerance.absolute[i] + tolerance.relative * y[i].abs();
        size = size.max((y[i] / allowed).abs());
        speed = speed.max((slope[i] / allowed).abs());
    }
    if size < 1e-5 || speed < 1e-5 || !(size / speed).is_finite() {
        1e-6
    } else {
        0.01 * size / speed
    }
}
