//! Alcohol: strength from an original and a final gravity.

use super::{Calculation, Input, Key, Output};
use crate::engine::alcohol::{Impossible, abv_from_gravities, duty_table_abv};
use crate::engine::check::Range;
use crate::engine::problem::{Arguments, ProblemCode};
use crate::engine::units::{Abv, SpecificGravity};

/// `og` (1 to 1.449) and `fg` (20/20) give strength and residual extract by the balance, all solids counted as sugar; beside
/// it the strength by the British duty table (Notice 226, from memory), not cut, null beyond a drop of 100.7 degrees.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "alcohol",
    inputs: &[Key::required("og"), Key::required("fg")],
    outputs: &[
        "abv_percent",
        "abw_percent",
        "residual_extract_g_per_l",
        "abv_by_duty_table_percent",
    ],
    make,
};

const OG: Range = Range {
    low: 1.0,
    high: 1.449,
};
const FG: Range = Range {
    low: 0.75,
    high: 1.449,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let (og, fg) = (input.number("og", OG), input.number("fg", FG));
    let (og, fg) = (SpecificGravity::new(og?)?, SpecificGravity::new(fg?)?);
    match abv_from_gravities(og, fg) {
        Ok(found) => Some(vec![
            found.abv_percent.into(),
            found.abw_percent.into(),
            found.residual_extract_g_per_l.into(),
            duty_table_abv(og, fg).map(Abv::get).into(),
        ]),
        Err(impossible) => {
            let arguments = Arguments::none().with("og", og.get()).with("fg", fg.get());
            let arguments = match impossible {
                Impossible::BelowFloor { floor_sg } => arguments.with("lowest_fg", floor_sg),
                _ => arguments,
            };
            input.problem(ProblemCode::ImpossibleGravities, "/fg", arguments)
        }
    }
}
