//! Sulfite: how much protects at this pH, and the grams that bring it.

use super::{Calculation, Input, Key, Output};
use crate::engine::check::{Range, VOLUME_L};
use crate::engine::problem::{Arguments, CautionCode, ProblemCode, Severity};
use crate::engine::sulfite::{
    HIGHEST_LIMIT_MG_PER_L, LOWEST_LIMIT_MG_PER_L, MUCH_MG_PER_L, Salt, USUAL_PKA, molecular_part,
};

/// `litres` of mead at `ph` with `free_so2_mg_per_l` free: what must be free for `molecular_so2_mg_per_l` (0.5 for dry meads, 0.8
/// for sweet ones: common practice), and the grams of `salt` (`potassium_metabisulfite`, `sodium_metabisulfite`) that bring what is
/// lacking, none of it bound. 0 g where enough is free. `pka` 1.81 is the careful one.
///
/// More than 350 mg/L free is refused: 27 CFR 4.22(b)(1), the highest limit known here, and that one is for the total.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "sulfite",
    inputs: &[
        Key::required("litres"),
        Key::required("ph"),
        Key::or("free_so2_mg_per_l", 0.0),
        Key::required("molecular_so2_mg_per_l"),
        Key::or_word("salt", "potassium_metabisulfite"),
        Key::or("pka", USUAL_PKA),
    ],
    outputs: &[
        "free_needed_mg_per_l",
        "grams",
        "molecular_now_mg_per_l",
        "cautions",
    ],
    make,
};

const PH: Range = Range {
    low: 2.5,
    high: 5.0,
};
const FREE: Range = Range {
    low: 0.0,
    high: 1_000.0,
};
const MOLECULAR: Range = Range {
    low: 0.0,
    high: 5.0,
};
const PKA: Range = Range {
    low: 1.5,
    high: 3.0,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let litres = input.number("litres", VOLUME_L);
    let ph = input.number("ph", PH);
    let free = input.number("free_so2_mg_per_l", FREE);
    let molecular = input.number("molecular_so2_mg_per_l", MOLECULAR);
    let salt = input.word("salt", &Salt::ALL, Salt::as_str);
    let pka = input.number("pka", PKA);
    let (litres, ph, free, molecular) = (litres?, ph?, free?, molecular?);
    let (salt, pka) = (salt?, pka?);

    let part = molecular_part(ph, pka);
    let needed = molecular / part;
    if needed > HIGHEST_LIMIT_MG_PER_L {
        let arguments = Arguments::none()
            .with("given_mg_per_l", needed)
            .with("limit_mg_per_l", HIGHEST_LIMIT_MG_PER_L);
        return input.problem(
            ProblemCode::AboveEveryLimit,
            "/molecular_so2_mg_per_l",
            arguments,
        );
    }
    let grams = (needed - free).max(0.0) * litres / 1000.0 / salt.so2_g_per_g();
    let then = needed.max(free);
    if then > LOWEST_LIMIT_MG_PER_L {
        let arguments = Arguments::none()
            .with("so2_mg_per_l", then)
            .with("most_mg_per_l", LOWEST_LIMIT_MG_PER_L);
        input.caution(CautionCode::MuchSulfite, Severity::Danger, arguments);
    }
    if needed > MUCH_MG_PER_L {
        let arguments = Arguments::none().with("free_mg_per_l", needed);
        input.caution(CautionCode::LowerPhFirst, Severity::Watch, arguments);
    }
    if grams > 0.0 {
        input.caution(
            CautionCode::SulfiteFumes,
            Severity::Danger,
            Arguments::none(),
        );
    }
    Some(vec![needed.into(), grams.into(), (free * part).into()])
}
