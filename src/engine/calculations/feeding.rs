//! Feeding: the grams of each feed that a named plan of the nutrition reference gives, followed exactly.

use super::{Calculation, Input, Key, Output};
use crate::engine::balance::{Liquid, ferment};
use crate::engine::check::{DOSE_G_PER_L, Range, VOLUME_L};
use crate::engine::density::fraction_of_sg;
use crate::engine::feeding::{need_per_gram, sugar_of_gravity};
use crate::engine::problem::{Arguments, ProblemCode};
use crate::engine::recipe::NitrogenNeed;

/// `litres` at `og` for a yeast of that `nitrogen_need`, less `must_yan_mg_per_l`, by a `plan`: `dap_then_organic`,
/// `organic_only`, `mixed_only`, `mixed_then_dap_then_organic` (which fixes `mixed_g_per_l`) or `organic_first_then_dap`
/// (which fixes `organic_g_per_l`); DAP to `dap_cap_g_per_l`.
///
/// The one-third break is by `expected_fg`; absent, by what honey of which 0.89 of the solids ferment would leave (common
/// practice, no published source). Yields: DAP by its formula; others and need classes common practice, no published source.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "feeding",
    inputs: &[
        Key::required("litres"),
        Key::required("og"),
        Key::required("nitrogen_need"),
        Key::or("must_yan_mg_per_l", 0.0),
        Key::required("plan"),
        Key::or("dap_cap_g_per_l", 0.96),
        Key::optional("mixed_g_per_l"),
        Key::optional("organic_g_per_l"),
        Key::optional("expected_fg"),
    ],
    outputs: &[
        "sugar_g_per_l",
        "demand_mg_per_l",
        "deficit_mg_per_l",
        "dap_g",
        "organic_g",
        "mixed_g",
        "shortfall_mg_per_l",
        "one_third_break_sg",
    ],
    make,
};

/// Nitrogen of diammonium phosphate, mg/g.
pub const DAP_MG_PER_G: f64 = 212.13;
/// Nitrogen of inactivated yeast, mg/g.
pub const ORGANIC_MG_PER_G: f64 = 40.0;
/// Nitrogen of mixed nutrient, mg/g.
pub const MIXED_MG_PER_G: f64 = 100.0;
/// DAP in mixed nutrient, g/g: (100 − 40)/(212.13 − 40).
pub const DAP_IN_MIXED: f64 = 0.35;
/// Part of honey's solids that ferments (common practice, no published source).
const FERMENTABLE_OF_SOLIDS: f64 = 0.89;

const OG: Range = Range {
    low: 1.0,
    high: 1.2,
};
const YAN: Range = Range {
    low: 0.0,
    high: 10_000.0,
};

#[derive(Clone, Copy, PartialEq)]
enum Plan {
    DapThenOrganic,
    OrganicOnly,
    MixedOnly,
    MixedThenDapThenOrganic,
    OrganicFirstThenDap,
}

impl Plan {
    const ALL: [Plan; 5] = [
        Plan::DapThenOrganic,
        Plan::OrganicOnly,
        Plan::MixedOnly,
        Plan::MixedThenDapThenOrganic,
        Plan::OrganicFirstThenDap,
    ];

    fn as_str(self) -> &'static str {
        match self {
            Plan::DapThenOrganic => "dap_then_organic",
            Plan::OrganicOnly => "organic_only",
            Plan::MixedOnly => "mixed_only",
            Plan::MixedThenDapThenOrganic => "mixed_then_dap_then_organic",
            Plan::OrganicFirstThenDap => "organic_first_then_dap",
        }
    }

    /// The key whose g/L the plan fixes.
    fn fixes(self) -> Option<&'static str> {
        match self {
            Plan::MixedThenDapThenOrganic => Some("mixed_g_per_l"),
            Plan::OrganicFirstThenDap => Some("organic_g_per_l"),
            _ => None,
        }
    }
}

/// Grams per litre of each feed, and what stays unmet.
struct Doses {
    dap: f64,
    organic: f64,
    mixed: f64,
    shortfall: f64,
}

fn doses(plan: Plan, deficit: f64, cap: f64, fixed: f64) -> Doses {
    let none = Doses {
        dap: 0.0,
        organic: 0.0,
        mixed: 0.0,
        shortfall: 0.0,
    };
    let dap_for = |rest: f64, cap: f64| (rest / DAP_MG_PER_G).min(cap).max(0.0);
    match plan {
        Plan::OrganicOnly => Doses {
            organic: deficit / ORGANIC_MG_PER_G,
            ..none
        },
        Plan::MixedOnly => Doses {
            mixed: deficit / MIXED_MG_PER_G,
            ..none
        },
        Plan::DapThenOrganic | Plan::MixedThenDapThenOrganic => {
            let mixed = if plan == Plan::DapThenOrganic {
                0.0
            } else {
                fixed
            };
            let rest = (deficit - MIXED_MG_PER_G * mixed).max(0.0);
            let dap = dap_for(rest, cap - DAP_IN_MIXED * mixed);
            let organic = (rest - DAP_MG_PER_G * dap).max(0.0) / ORGANIC_MG_PER_G;
            Doses {
                dap,
                organic,
                mixed,
                ..none
            }
        }
        Plan::OrganicFirstThenDap => {
            let rest = (deficit - ORGANIC_MG_PER_G * fixed).max(0.0);
            let dap = dap_for(rest, cap);
            Doses {
                dap,
                organic: fixed,
                shortfall: (rest - DAP_MG_PER_G * dap).max(0.0),
                ..none
            }
        }
    }
}

/// Final gravity of a must of that gravity, all of honey.
fn usual_fg(og: f64) -> Option<f64> {
    let w = fraction_of_sg(og)?;
    let must = Liquid {
        water_kg: 1.0 - w,
        sugar_kg: FERMENTABLE_OF_SOLIDS * w,
        extract_kg: (1.0 - FERMENTABLE_OF_SOLIDS) * w,
        ethanol_kg: 0.0,
    };
    Some(ferment(&must, 1.0).state().sg)
}

fn make(input: &mut Input<'_>) -> Option<Output> {
    let litres = input.number("litres", VOLUME_L);
    let og = input.number("og", OG);
    let need = input.word("nitrogen_need", NitrogenNeed::ALL, NitrogenNeed::as_str);
    let measured = input.number("must_yan_mg_per_l", YAN);
    let plan = input.word("plan", &Plan::ALL, Plan::as_str);
    let cap = input.number("dap_cap_g_per_l", DOSE_G_PER_L);
    let fg_range = Range {
        low: 0.9,
        high: og.unwrap_or(OG.high),
    };
    let expected = input.number("expected_fg", fg_range);
    let mut fixed = Some(0.0);
    for key in ["mixed_g_per_l", "organic_g_per_l"] {
        let value = input.number(key, DOSE_G_PER_L);
        match plan.map(|plan| plan.fixes() == Some(key)) {
            Some(true) if !input.has(key) => {
                let arguments = Arguments::none().with("key", key);
                fixed = input.problem(ProblemCode::Missing, &format!("/{key}"), arguments);
            }
            Some(true) => fixed = value,
            // A dose that the plan does not fix is not looked at.
            _ => {}
        }
    }
    let (litres, og, need, plan) = (litres?, og?, need?, plan?);

    let sugar = sugar_of_gravity(og).max(0.0);
    let demand = need_per_gram(need) * sugar;
    let deficit = (demand - measured?).max(0.0);
    let doses = doses(plan, deficit, cap?, fixed?);
    let fg = expected.or_else(|| usual_fg(og));
    Some(vec![
        sugar.into(),
        demand.into(),
        deficit.into(),
        (doses.dap * litres).into(),
        (doses.organic * litres).into(),
        (doses.mixed * litres).into(),
        doses.shortfall.into(),
        fg.map(|fg| og - (og - fg) / 3.0).into(),
    ])
}
