//! Root finding: bracketed, bounded, never a NaN.

/// The most evaluations of the function that [`find_root`] spends.
pub const MOST_EVALUATIONS: usize = 100;

/// Finds a zero of a continuous function between `low` and `high`.
///
/// Chandrupatla's method (1997): inverse quadratic interpolation where it is safe, bisection elsewhere. `tolerance` is the
/// absolute width of the answer's bracket; what is finer than the spacing of floating-point numbers, negative or not a
/// number counts as that spacing. `None` when the ends are not finite, when the function has the same sign at both (a zero
/// at an end is found), when a value is not finite, or when [`MOST_EVALUATIONS`] were not enough.
pub fn find_root(
    mut f: impl FnMut(f64) -> f64,
    low: f64,
    high: f64,
    tolerance: f64,
) -> Option<f64> {
    if !(high - low).is_finite() {
        return None;
    }
    let (mut near, mut far) = (low, high);
    let (mut f_near, mut f_far) = (f(near), f(far));
    if !f_near.is_finite() || !f_far.is_finite() {
        return None;
    }
    if f_near == 0.0 {
        return Some(near);
    }
    if f_far == 0.0 {
        return Some(far);
    }
    if (f_near > 0.0) == (f_far > 0.0) {
        return None;
    }
    let tolerance = if tolerance.is_finite() {
        tolerance.max(0.0)
    } else {
        0.0
    };
    let mut share = 0.5;
    for _ in 2..MOST_EVALUATIONS {
        let x = near + share * (far - near);
        let f_x = f(x);
        if !f_x.is_finite() {
            return None;
        }
        let (old, f_old);
        if (f_x > 0.0) == (f_near > 0.0) {
            (old, f_old) = (near, f_near);
        } else {
            (old, f_old) = (far, f_far);
            (far, f_far) = (near, f_near);
        }
        (near, f_near) = (x, f_x);

        let (best, f_best) = if f_near.abs() < f_far.abs() {
            (near, f_near)
        } else {
            (far, f_far)
        };
        let width = (far - near).abs();
        let limit = (2.0 * f64::EPSILON * best.abs() + 0.5 * tolerance) / width;
        if f_best == 0.0 || width == 0.0 || limit > 0.5 {
            return Some(best);
        }
        let xi = (near - far) / (old - far);
        let phi = (f_near - f_far) / (f_old - f_far);
        share = if phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi {
            f_near / (f_far - f_near) * (f_old / (f_far - f_old))
                + (old - near) / (far - near)
                    * (f_near / (f_old - f_near))
                    * (f_far / (f_old - f_far))
        } else {
            0.5
        };
        share = between(share, limit, 1.0 - limit);
    }
    None
}

/// A step of Newton's method so short that what is left, about its square, is rounding.
pub(crate) const CLOSE_STEP: f64 = 3e-8;

/// `x` limited to the range; a NaN becomes its low end.
#[inline]
pub(crate) fn between(x: f64, low: f64, high: f64) -> f64 {
    x.max(low).min(high)
}

/// The value of a polynomial and of its slope; the coefficients from the constant upwards.
///
/// Even and odd powers are summed apart, so that the processor works on four short chains instead of two long ones.
#[inline]
pub(crate) fn polynomial<const N: usize>(coefficients: &[f64; N], x: f64) -> (f64, f64) {
    let square = x * x;
    let (mut even, mut even_slope) = (0.0, 0.0);
    let (mut odd, mut odd_slope) = (0.0, 0.0);
    for (power, c) in coefficients.iter().enumerate().rev() {
        if power % 2 == 0 {
            even_slope = even_slope * square + even;
            even = even * square + c;
        } else {
            odd_slope = odd_slope * square + odd;
            odd = odd * square + c;
        }
    }
    (even + x * odd, odd + 2.0 * x * (even_slope + x * odd_slope))
}

/// Newton's method on a smooth, rising function without an inner bend, from a start that is already close.
///
/// `f` returns value and slope. The answer is within rounding of the zero; at most ten steps are made and the answer stays
/// in the range. Meant for the density relations, whose inversions are proved over their whole range by the tests.
#[inline]
pub(crate) fn newton(f: impl Fn(f64) -> (f64, f64), start: f64, low: f64, high: f64) -> f64 {
    let mut x = start;
    for _ in 0..10 {
        let (value, slope) = f(x);
        let step = value / slope;
        x = between(x - step, low, high);
        if step.abs() < CLOSE_STEP {
            break;
        }
    }
    x
}
