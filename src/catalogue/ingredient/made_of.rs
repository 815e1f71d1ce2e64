//! What an ingredient is made of, as mass fractions, and how much it varies.

use serde::{Deserialize, Serialize};

/// Fermentable share of honey solids (common practice, no published source); honeydew is lower and says so in the data.
pub(super) const FERMENTABLE_OF_HONEY_SOLIDS: f64 = 0.89;
/// The usual ± 0.03 of that share, taken as two standard deviations.
const FERMENTABLE_SHARE_SD: f64 = 0.015;
/// Standard deviation of honey moisture as a mass fraction (White et al. 1962, 490 samples: 1.46 points).
const HONEY_WATER_SD: f64 = 0.0146;
/// Insoluble matter of honey as a mass fraction; Codex allows at most 0.001.
const HONEY_INSOLUBLE: f64 = 0.0005;
/// Total acidity of honey, equivalents per kilogram (White et al. 1962: 29.12 meq/kg).
const HONEY_ACID_EQ_PER_KG: f64 = 0.029_12;
/// Grams of tartaric acid per equivalent (molar mass 150.09 g/mol, two acid groups).
const TARTARIC_G_PER_EQ: f64 = 75.04;
/// Titratable acid of a honey nobody measured, g/kg as tartaric.
pub(super) const HONEY_TA_G_PER_KG: f64 = HONEY_ACID_EQ_PER_KG * TARTARIC_G_PER_EQ;

/// Mass fractions as weighed; they sum to one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Composition {
    pub water: f64,
    pub fermentable: f64,
    pub unfermentable: f64,
    pub insoluble: f64,
}

/// Standard deviations of two mass fractions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    pub water: f64,
    pub fermentable: f64,
}

impl Spread {
    /// Of a honey with this water.
    pub fn of_honey(water: f64) -> Spread {
        Spread {
            water: HONEY_WATER_SD,
            fermentable: FERMENTABLE_SHARE_SD * (1.0 - water),
        }
    }
}

/// The percentages of a food table.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Percent {
    water: f64,
    sugars: f64,
    fermentable_share: f64,
    unfermentable_soluble: f64,
    insoluble: f64,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum Acid {
    Malic,
    Tartaric,
    Citric,
    Lactic,
}

/// Titratable acid, in the acid that the source counts in.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Acidity {
    g_per_kg: f64,
    r#as: Acid,
}

impl Composition {
    /// From percentages that close within rounding; what rounding left over is spread in proportion.
    pub(super) fn of(percent: &Percent) -> Composition {
        let fermentable = percent.sugars * percent.fermentable_share;
        // The table counts sugar that does not ferment among what is soluble and unfermentable.
        let unfermentable = percent.unfermentable_soluble;
        let sum = percent.water + fermentable + unfermentable + percent.insoluble;
        Composition {
            water: percent.water / sum,
            fermentable: fermentable / sum,
            unfermentable: unfermentable / sum,
            insoluble: percent.insoluble / sum,
        }
    }

    /// Of a honey by its water and the share of its solids that ferments.
    pub fn of_honey(water: f64, fermentable_share: f64) -> Composition {
        let solids = 1.0 - water;
        let fermentable = solids * fermentable_share;
        let insoluble = HONEY_INSOLUBLE;
        Composition {
            water,
            fermentable,
            unfermentable: solids - fermentable - insoluble,
            insoluble,
        }
    }

    /// Of a honey of which nothing but the water is known.
    pub fn of_usual_honey(water: f64) -> Composition {
        Composition::of_honey(water, FERMENTABLE_OF_HONEY_SOLIDS)
    }
}

impl Acidity {
    /// As tartaric, through the equivalent weights (molar mass over acid groups).
    pub(super) fn as_tartaric(&self) -> f64 {
        let g_per_eq = match self.r#as {
            Acid::Malic => 67.04,
            Acid::Tartaric => TARTARIC_G_PER_EQ,
            Acid::Citric => 64.04,
            Acid::Lactic => 90.08,
        };
        self.g_per_kg * TARTARIC_G_PER_EQ / g_per_eq
    }
}
