//! Sorbate: the grams of potassium sorbate for a dose of sorbic acid.

use super::{Calculation, Input, Key, Output};
use crate::engine::check::{Range, VOLUME_L};
use crate::engine::problem::{Arguments, CautionCode, ProblemCode, Severity};
use crate::engine::stoichiometry::SORBIC_ACID_PER_SORBATE;

/// `litres` to hold `sorbic_acid_mg_per_l`: the grams of potassium sorbate, 74.64 % of which is sorbic acid.
///
/// Above 200 mg/L (OIV Code II.3.4.5) a caution, above 300 (27 CFR 24.246, from memory) refused.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "sorbate",
    inputs: &[
        Key::required("litres"),
        Key::required("sorbic_acid_mg_per_l"),
    ],
    outputs: &["grams", "cautions"],
    make,
};

const LOWER_LIMIT: f64 = 200.0;
const HIGHER_LIMIT: f64 = 300.0;
const SORBIC_ACID: Range = Range {
    low: 0.0,
    high: 10_000.0,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let litres = input.number("litres", VOLUME_L);
    let dose = input.number("sorbic_acid_mg_per_l", SORBIC_ACID);
    let (litres, dose) = (litres?, dose?);
    if dose > HIGHER_LIMIT {
        let arguments = Arguments::none()
            .with("given_mg_per_l", dose)
            .with("limit_mg_per_l", HIGHER_LIMIT);
        return input.problem(
            ProblemCode::AboveEveryLimit,
            "/sorbic_acid_mg_per_l",
            arguments,
        );
    }
    if dose > LOWER_LIMIT {
        let arguments = Arguments::none()
            .with("sorbic_acid_mg_per_l", dose)
            .with("most_mg_per_l", LOWER_LIMIT);
        input.caution(CautionCode::MuchSorbate, Severity::Watch, arguments);
    }
    if dose > 0.0 {
        input.caution(
            CautionCode::SorbateNeedsSulfite,
            Severity::Watch,
            Arguments::none(),
        );
    }
    Some(vec![
        (dose * litres / 1000.0 / SORBIC_ACID_PER_SORBATE).into(),
    ])
}
