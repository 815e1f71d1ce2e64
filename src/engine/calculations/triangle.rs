//! Triangle: whether a panel really tells two meads apart.

use super::{Calculation, Input, Key, Output};
use crate::engine::check::Range;
use crate::engine::triangle::{LARGEST_PANEL, critical_number, p_value, part_who_can_tell};

/// `correct` of `panel` tasters picked the odd glass of three: the chance of so many or more by luck alone, the least number of
/// right picks whose chance is at most `alpha` (null where not even all would do), and the estimated part of tasters who really
/// can tell (0 to 1). Exact binomial with 1/3; method ISO 4120.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "triangle",
    inputs: &[
        Key::required("panel"),
        Key::required("correct"),
        Key::required("alpha"),
    ],
    outputs: &["p_value", "critical_number", "part_who_can_tell"],
    make,
};

const ALPHA: Range = Range {
    low: 1e-9,
    high: 0.5,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let panel = input.whole_number("panel", 1, LARGEST_PANEL);
    let correct = input.whole_number("correct", 0, panel.unwrap_or(LARGEST_PANEL));
    let alpha = input.number("alpha", ALPHA);
    let (panel, correct, alpha) = (panel?, correct?, alpha?);
    Some(vec![
        p_value(panel, correct).into(),
        critical_number(panel, alpha).map(f64::from).into(),
        part_who_can_tell(panel, correct).into(),
    ])
}
