//! Sorbate: the grams of potassium sorbate for a dose of sorbic acid.

use super::{Calculation, Input, Key, Output};
use crate::engine::check::{Range, VOLUME_L};
use crate::engine::finish::limits::{HIGHEST_SORBIC_MG_PER_L, LOWEST_SORBIC_MG_PER_L};
use crate::engine::finish::stabilising::sorbate_g;
use crate::engine::problem::{Arguments, CautionCode, ProblemCode, Severity};

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

const SORBIC_ACID: Range = Range {
    low: 0.0,
    high: 10_000.0,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let litres = input.number("litres", VOLUME_L);
    let dose = input.number("sorbic_acid_mg_per_l", SORBIC_ACID);
    let (litres, dose) = (litres?, dose?);
    if dose > HIGHEST_SORBIC_MG_PER_L {
        let arguments = Arguments::none()
            .with("given_mg_per_l", dose)
            .with("limit_mg_per_l", HIGHEST_SORBIC_MG_PER_L);
        return input.problem(
            ProblemCode::AboveEveryLimit,
            "/sorbic_acid_mg_per_l",
            arguments,
        );
    }
    if dose > LOWEST_SORBIC_MG_PER_L {
        let arguments = Arguments::none()
            .with("sorbic_acid_mg_per_l", dose)
            .with("most_mg_per_l", LOWEST_SORBIC_MG_PER_L);
        input.caution(CautionCode::MuchSorbate, Severity::Watch, arguments);
    }
    if dose > 0.0 {
        input.caution(
            CautionCode::SorbateNeedsSulfite,
            Severity::Watch,
            Arguments::none(),
        );
    }
    Some(vec![sorbate_g(dose, litres).into()])
}
