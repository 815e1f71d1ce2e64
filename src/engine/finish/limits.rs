//! What the law of several places allows of sulfite and sorbate. Written for wine: for honey wine a country may say otherwise.

use crate::engine::sulfite::{HIGHEST_LIMIT_MG_PER_L, LOWEST_LIMIT_MG_PER_L};

/// Sorbic acid in wine: OIV Code II.3.4.5; for the European Union Regulation 2019/934 (from memory: verify), mg/L.
pub const LOWEST_SORBIC_MG_PER_L: f64 = 200.0;
/// Sorbic acid in the United States, mg/L (27 CFR 24.246, from memory: verify).
pub const HIGHEST_SORBIC_MG_PER_L: f64 = 300.0;
/// Sulfur dioxide from which a label must name it, mg/L (27 CFR 4.32(e); EU 1169/2011 annex II).
pub const LABEL_MG_PER_L: f64 = 10.0;
/// Sugar above which a wine counts as sweet for sulfur dioxide, g/L (OIV-MA-C1-01).
const SWEETER_G_PER_L: f64 = 4.0;

/// One limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Whose.
    pub place: &'static str,
    /// For what.
    pub of: &'static str,
    /// mg/L.
    pub most_mg_per_l: f64,
    /// Where that stands.
    pub source: &'static str,
}

const OIV: &str = "International Organisation of Vine and Wine";
const EU: &str = "European Union";
const US: &str = "United States";

/// Limits for all sulfur dioxide of a mead with so much sugar, the lowest first.
pub fn of_sulfite(sugar_g_per_l: f64) -> Vec<Limit> {
    let oiv = |of, most_mg_per_l| Limit {
        place: OIV,
        of,
        most_mg_per_l,
        source: "OIV-MA-C1-01",
    };
    let us = Limit {
        place: US,
        of: "any wine",
        most_mg_per_l: HIGHEST_LIMIT_MG_PER_L,
        source: "27 CFR 4.22(b)(1)",
    };
    match sugar_g_per_l > SWEETER_G_PER_L {
        true => vec![oiv("more than 4 g/L of sugar", 300.0), us],
        false => vec![
            oiv("red, up to 4 g/L of sugar", LOWEST_LIMIT_MG_PER_L),
            oiv("white or rosé, up to 4 g/L of sugar", 200.0),
            us,
        ],
    }
}

/// Limits for sorbic acid, the lowest first.
pub fn of_sorbate() -> [Limit; 3] {
    let of = |place, most_mg_per_l, source| Limit {
        place,
        of: "any wine",
        most_mg_per_l,
        source,
    };
    [
        of(OIV, LOWEST_SORBIC_MG_PER_L, "OIV Code II.3.4.5"),
        of(
            EU,
            LOWEST_SORBIC_MG_PER_L,
            "Regulation 2019/934, from memory: verify",
        ),
        of(
            US,
            HIGHEST_SORBIC_MG_PER_L,
            "27 CFR 24.246, from memory: verify",
        ),
    ]
}

/// Those that so much is beyond.
pub fn passed(limits: &[Limit], mg_per_l: f64) -> Vec<Limit> {
    let beyond = |limit: &&Limit| mg_per_l > limit.most_mg_per_l + 1e-6;
    limits.iter().filter(beyond).copied().collect()
}
