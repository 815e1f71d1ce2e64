//! Acid: the grams that change titratable acidity by so much.

use super::{Calculation, Input, Key, Output};
use crate::engine::acid::Addition;
use crate::engine::check::{Range, VOLUME_L};
use crate::engine::problem::{Arguments, CautionCode, ProblemCode, Severity};

/// `litres` whose titratable acidity is to change by `ta_change_g_per_l` (as tartaric; negative lowers it): the grams of
/// `acid`, one of `tartaric`, `malic`, `citric`, `citric_monohydrate`, `lactic` to raise it, `K2CO3`, `KHCO3`, `CaCO3`,
/// `NaHCO3` to lower it. Pure substances, by stoichiometry; carbon dioxide escapes, no bitartrate falls out.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "acid",
    inputs: &[
        Key::required("litres"),
        Key::required("acid"),
        Key::required("ta_change_g_per_l"),
    ],
    outputs: &["grams", "cautions"],
    make,
};

const CHANGE: Range = Range {
    low: -20.0,
    high: 20.0,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let litres = input.number("litres", VOLUME_L);
    let addition = input.word("acid", &Addition::ALL, Addition::as_str);
    let change = input.number("ta_change_g_per_l", CHANGE);
    let (litres, addition, change) = (litres?, addition?, change?);
    let named = || Arguments::none().with("name", addition.as_str());
    let grams = addition.grams(change, litres);
    if grams < 0.0 {
        return input.problem(ProblemCode::WrongDirection, "/ta_change_g_per_l", named());
    }
    if grams > 0.0 {
        match addition {
            Addition::Acid(_) => {
                input.caution(CautionCode::AcidHandling, Severity::Danger, named());
            }
            Addition::PotassiumCarbonate => {
                input.caution(CautionCode::Caustic, Severity::Danger, named());
                input.caution(CautionCode::NeutraliserFoams, Severity::Watch, named());
            }
            _ => input.caution(CautionCode::NeutraliserFoams, Severity::Watch, named()),
        }
    }
    // No −0 where nothing is to change.
    Some(vec![(grams + 0.0).into()])
}
