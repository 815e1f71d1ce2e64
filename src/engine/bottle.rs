//! Bottles and the gas that they bear, and what sugars are worth as gas.

use super::stoichiometry::{CO2_PER_HEXOSE, HEXOSE_PER_MONOHYDRATE, HEXOSE_PER_SUCROSE};

/// The most gas that any bottle may hold, volumes.
pub const MOST_VOLUMES: f64 = 5.0;
/// The temperature for which a bottle's pressure is told: a warm day, or a parcel in the sun, °C.
pub const WARM_DAY_C: f64 = 30.0;

/// What kind of bottle it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bottle {
    /// Made for still drinks: wine, spirits, water without gas; jars and demijohns too.
    Still,
    /// An ordinary beer bottle.
    Beer,
    /// A heavy bottle, sold with a rating for gas.
    Heavy,
    /// Made for sparkling wine, with a wired closure.
    SparklingWine,
}

impl Bottle {
    /// Every kind, the weakest first.
    pub const ALL: [Bottle; 4] = [
        Bottle::Still,
        Bottle::Beer,
        Bottle::Heavy,
        Bottle::SparklingWine,
    ];

    /// Its word in documents.
    pub fn as_str(self) -> &'static str {
        match self {
            Bottle::Still => "still",
            Bottle::Beer => "beer",
            Bottle::Heavy => "heavy",
            Bottle::SparklingWine => "sparkling_wine",
        }
    }

    /// Volumes of carbon dioxide that it may hold: 2.5, 3.5 and 5 for the three made for gas (common practice, no published
    /// source). A still bottle may hold no gas but what a still mead keeps of its own fermentation: 1 volume, as at 10 °C
    /// (our judgement, no published source).
    pub fn most_volumes(self) -> f64 {
        match self {
            Bottle::Still => 1.0,
            Bottle::Beer => 2.5,
            Bottle::Heavy => 3.5,
            Bottle::SparklingWine => MOST_VOLUMES,
        }
    }

    /// The weakest kind made for gas that may hold that many volumes; `None` where no bottle may.
    pub fn for_gas(volumes: f64) -> Option<Bottle> {
        Bottle::ALL
            .into_iter()
            .filter(|bottle| *bottle != Bottle::Still)
            .find(|bottle| volumes <= bottle.most_volumes())
    }
}

/// A sugar to prime with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PrimingSugar {
    /// Glucose without water.
    GlucoseAnhydrous,
    /// Glucose with the water it is usually sold with.
    GlucoseMonohydrate,
    /// Fruit sugar.
    Fructose,
    /// Table sugar.
    Sucrose,
    /// Honey of whose mass 80 % is sugar that ferments.
    Honey80,
    /// Honey of whose mass 77 % is sugar that ferments.
    Honey77,
}

impl PrimingSugar {
    /// Every one of them.
    pub const ALL: [PrimingSugar; 6] = [
        PrimingSugar::GlucoseAnhydrous,
        PrimingSugar::GlucoseMonohydrate,
        PrimingSugar::Fructose,
        PrimingSugar::Sucrose,
        PrimingSugar::Honey80,
        PrimingSugar::Honey77,
    ];

    /// Its word in documents.
    pub fn as_str(self) -> &'static str {
        match self {
            PrimingSugar::GlucoseAnhydrous => "glucose_anhydrous",
            PrimingSugar::GlucoseMonohydrate => "glucose_monohydrate",
            PrimingSugar::Fructose => "fructose",
            PrimingSugar::Sucrose => "sucrose",
            PrimingSugar::Honey80 => "honey_80pct_fermentable_hexose",
            PrimingSugar::Honey77 => "honey_77pct_fermentable_hexose",
        }
    }

    /// g of carbon dioxide from 1 g of it, nothing lost: the most it can make, so that a dose never makes more than wanted.
    pub fn co2_g_per_g(self) -> f64 {
        CO2_PER_HEXOSE
            * match self {
                PrimingSugar::GlucoseAnhydrous | PrimingSugar::Fructose => 1.0,
                PrimingSugar::GlucoseMonohydrate => HEXOSE_PER_MONOHYDRATE,
                PrimingSugar::Sucrose => HEXOSE_PER_SUCROSE,
                PrimingSugar::Honey80 => 0.80,
                PrimingSugar::Honey77 => 0.77,
            }
    }
}
