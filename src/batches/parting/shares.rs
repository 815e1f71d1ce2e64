//! Which share of a mead goes where, so that nothing is lost and nothing is made.

/// How much more than reckoned parts may hold, as a part of it, and litres besides: what two measurings differ by (our
/// judgement, no published source).
const MORE: f64 = 0.1;
const MORE_L: f64 = 0.5;
/// Litres that are nothing.
const NOTHING_L: f64 = 1e-6;

/// How a mead is parted.
#[derive(Clone, Debug, PartialEq)]
pub struct Shares {
    /// How much there was, where the parts show that the log reckons otherwise, L.
    pub measured_l: Option<f64>,
    /// Of each part, the share that is not in it.
    pub left: Vec<f64>,
    /// The share that leaves the batch.
    pub gone: f64,
}

/// The parts hold more than there can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TooMuch;

/// How much of what is reckoned to be there the parts leave out, L, where it is more than two measurings differ by.
pub fn missing_l(reckoned_l: f64, litres: &[f64]) -> Option<f64> {
    let missing = reckoned_l - litres.iter().sum::<f64>();
    (missing > reckoned_l * MORE + MORE_L).then_some(missing)
}

/// Parts `litres` off what is reckoned to be there. When nothing stays, or the parts hold more, they are the measure.
///
/// # Errors
/// [`TooMuch`] when no measuring errs so far.
pub fn shares(reckoned_l: f64, litres: &[f64], rest_stays: bool) -> Result<Shares, TooMuch> {
    let sum: f64 = litres.iter().sum();
    if sum > reckoned_l * (1.0 + MORE) + MORE_L {
        return Err(TooMuch);
    }
    let measures = !rest_stays || sum > reckoned_l;
    let whole = if measures { sum } else { reckoned_l };
    let differs = (sum - reckoned_l).abs() > NOTHING_L;
    Ok(Shares {
        measured_l: (measures && differs).then_some(sum),
        left: litres
            .iter()
            .map(|part| (1.0 - part / whole).max(0.0))
            .collect(),
        gone: (sum / whole).min(1.0),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sum_of_parts(shares: &Shares) -> f64 {
        let parts = shares.left.iter().map(|left| 1.0 - left);
        parts.sum::<f64>() + 1.0 - shares.gone
    }

    #[test]
    fn all_of_it_is_somewhere() {
        for (reckoned, litres, stays) in [
            (20.0, vec![4.5, 4.5, 4.5, 4.5], true),
            (20.0, vec![4.5, 4.5, 4.5, 4.5], false),
            (18.0, vec![9.5, 9.5], true),
            (18.0, vec![9.0, 9.0], true),
            (5.0, vec![1.0], true),
        ] {
            let found = shares(reckoned, &litres, stays).unwrap();
            assert!((sum_of_parts(&found) - 1.0).abs() < 1e-12, "{litres:?}");
            let whole = found.measured_l.unwrap_or(reckoned);
            for (part, left) in litres.iter().zip(&found.left) {
                assert!(((1.0 - left) * whole - part).abs() < 1e-9);
            }
        }
        assert_eq!(
            shares(18.0, &[9.5, 9.5], true).unwrap().measured_l,
            Some(19.0)
        );
        assert_eq!(shares(20.0, &[4.5], false).unwrap().gone, 1.0);
        assert_eq!(shares(18.0, &[9.0, 9.0], true).unwrap().measured_l, None);
    }

    #[test]
    fn what_the_parts_leave_out_is_told_once_it_is_more_than_measuring_errs() {
        assert_eq!(missing_l(20.0, &[9.0, 9.0]), None);
        assert_eq!(missing_l(20.0, &[9.0, 8.5]), None);
        assert_eq!(missing_l(20.0, &[9.0, 8.0]), Some(3.0));
        assert_eq!(missing_l(20.0, &[11.0, 10.0]), None);
    }

    #[test]
    fn more_than_any_measuring_errs_is_refused() {
        assert_eq!(shares(10.0, &[6.0, 6.0], true), Err(TooMuch));
        assert!(shares(10.0, &[5.5, 5.5], true).is_ok());
    }
}
