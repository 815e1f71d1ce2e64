//! What stabilises a finished mead: sulfite by its pH, sorbate by its strength.

use crate::engine::stoichiometry::SORBIC_ACID_PER_SORBATE;
use crate::engine::sulfite::{MUCH_MG_PER_L, Salt, USUAL_PKA, molecular_part};

/// Molecular sulfur dioxide that protects a sweet mead, and a dry one, mg/L (common practice, no published source).
pub const MOLECULAR_SWEET: f64 = 0.8;
/// See [`MOLECULAR_SWEET`].
pub const MOLECULAR_DRY: f64 = 0.5;
/// A third to a half of the first dose is bound (common practice, no published source).
pub const FIRST_DOSE: f64 = 1.5;
/// A first dose where nobody can measure the pH, mg/L in all (common practice, no published source).
pub const WITHOUT_PH_MG_PER_L: [f64; 2] = [50.0, 75.0];

/// What is known where sulfite is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// pH; without it there is no exact dose.
    pub ph: Option<f64>,
    /// Whether sugar stays or goes in.
    pub is_sweet: bool,
    /// Free sulfur dioxide as measured since the last dose, mg/L.
    pub free_mg_per_l: Option<f64>,
    /// Whether none has gone in yet.
    pub is_first: bool,
    /// Litres.
    pub litres: f64,
}

/// Sulfite that is wanted, as potassium metabisulfite.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sulfite {
    /// A dose for the pH.
    ByPh(ByPh),
    /// A careful guess.
    WithoutPh {
        /// Sulfur dioxide in all, least and most, mg/L.
        mg_per_l: [f64; 2],
        /// Salt, least and most, g.
        grams: [f64; 2],
    },
    /// Some went in, and nobody has measured since what of it is free: no more before that.
    MeasureFirst,
}

/// A dose for the pH.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByPh {
    /// That pH.
    pub ph: f64,
    /// Free sulfur dioxide that the aim would want, mg/L.
    pub wanted_mg_per_l: f64,
    /// Free sulfur dioxide that is aimed at, mg/L: less than wanted where the pH is too high for it.
    pub free_mg_per_l: f64,
    /// What of that is molecular, mg/L.
    pub molecular_mg_per_l: f64,
    /// What goes in, mg/L.
    pub dose_mg_per_l: f64,
    /// Salt, g.
    pub grams: f64,
}

impl ByPh {
    /// Whether the pH is so high that the aim is not chased.
    pub fn is_held_back(&self) -> bool {
        self.wanted_mg_per_l > MUCH_MG_PER_L
    }
}

/// Grams of potassium metabisulfite that bring so many mg/L of sulfur dioxide into so many litres.
pub fn metabisulfite_g(mg_per_l: f64, litres: f64) -> f64 {
    mg_per_l * litres / 1000.0 / Salt::PotassiumMetabisulfite.so2_g_per_g()
}

/// The sulfite for a mead: 0.8 mg/L molecular for a sweet one, 0.5 for a dry one, and half as much again the first time. Where
/// the pH asks for more than 100 mg/L free, 0.5 mg/L molecular or those 100 are taken: at pH 4.0 nobody chases 0.8.
///
/// pH 2 to 8, the rest from 0 up.
pub fn sulfite(asked: &Asked) -> Sulfite {
    if !asked.is_first && asked.free_mg_per_l.is_none() {
        return Sulfite::MeasureFirst;
    }
    let Some(ph) = asked.ph else {
        return Sulfite::WithoutPh {
            mg_per_l: WITHOUT_PH_MG_PER_L,
            grams: WITHOUT_PH_MG_PER_L.map(|dose| metabisulfite_g(dose, asked.litres)),
        };
    };
    let part = molecular_part(ph, USUAL_PKA);
    let aim = match asked.is_sweet {
        true => MOLECULAR_SWEET,
        false => MOLECULAR_DRY,
    };
    let wanted_mg_per_l = aim / part;
    let free_mg_per_l = match wanted_mg_per_l > MUCH_MG_PER_L {
        true => (MOLECULAR_DRY / part).min(MUCH_MG_PER_L),
        false => wanted_mg_per_l,
    };
    let binds = match asked.is_first {
        true => FIRST_DOSE,
        false => 1.0,
    };
    let dose_mg_per_l = binds * (free_mg_per_l - asked.free_mg_per_l.unwrap_or(0.0)).max(0.0);
    Sulfite::ByPh(ByPh {
        ph,
        wanted_mg_per_l,
        free_mg_per_l,
        molecular_mg_per_l: free_mg_per_l * part,
        dose_mg_per_l,
        grams: metabisulfite_g(dose_mg_per_l, asked.litres),
    })
}

/// Sorbic acid that a mead of so much alcohol wants, mg/L: 200 to 12 %, 150 at 13 and 14 %, 100 above (common practice, no
/// published source).
pub fn sorbic_acid_mg_per_l(abv_percent: f64) -> f64 {
    match abv_percent {
        abv if abv <= 12.5 => 200.0,
        abv if abv <= 14.0 => 150.0,
        _ => 100.0,
    }
}

/// Grams of potassium sorbate that bring so many mg/L of sorbic acid into so many litres.
pub fn sorbate_g(mg_per_l: f64, litres: f64) -> f64 {
    mg_per_l * litres / 1000.0 / SORBIC_ACID_PER_SORBATE
}
