//! Sulfur dioxide: how much of what is free protects, and how much salt brings it.

use super::numeric::between;
use super::stoichiometry::{
    SO2_PER_CHLORINE, SO2_PER_POTASSIUM_METABISULFITE, SO2_PER_SODIUM_METABISULFITE,
};

/// pKa of sulfurous acid in water at 20 °C, the usual and careful value (from memory, no published source at hand).
pub const USUAL_PKA: f64 = 1.81;
/// Free sulfur dioxide above which one had better lower the pH or protect less, mg/L (common practice, no published source).
pub const MUCH_MG_PER_L: f64 = 100.0;
/// Total sulfur dioxide at sale in dry red wine, the lowest of the OIV's limits, mg/L (OIV-MA-C1-01).
pub const LOWEST_LIMIT_MG_PER_L: f64 = 150.0;
/// Total sulfur dioxide in wine in the United States, mg/L (27 CFR 4.22(b)(1)); more is refused.
pub const HIGHEST_LIMIT_MG_PER_L: f64 = 350.0;

/// The most chlorine, or chloramine counted as chlorine, that drinking water may hold in the United States, mg/L, as the average
/// of a year (40 CFR 141.65).
pub const MOST_CHLORINE_MG_PER_L: f64 = 4.0;

/// A salt that brings sulfur dioxide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Salt {
    /// K₂S₂O₅.
    PotassiumMetabisulfite,
    /// Na₂S₂O₅.
    SodiumMetabisulfite,
}

impl Salt {
    /// Both.
    pub const ALL: [Salt; 2] = [Salt::PotassiumMetabisulfite, Salt::SodiumMetabisulfite];

    /// Its word in documents.
    pub fn as_str(self) -> &'static str {
        match self {
            Salt::PotassiumMetabisulfite => "potassium_metabisulfite",
            Salt::SodiumMetabisulfite => "sodium_metabisulfite",
        }
    }

    /// g of sulfur dioxide in 1 g of it.
    pub fn so2_g_per_g(self) -> f64 {
        match self {
            Salt::PotassiumMetabisulfite => SO2_PER_POTASSIUM_METABISULFITE,
            Salt::SodiumMetabisulfite => SO2_PER_SODIUM_METABISULFITE,
        }
    }
}

/// g of the salt that takes up the chlorine and the chloramine, both counted as chlorine in mg/L, of so many litres of water.
///
/// By stoichiometry, mole for mole, nothing to spare. Both from 0 up; below 0 and NaN count as 0.
pub fn against_chlorine_g(salt: Salt, chlorine_mg_per_l: f64, litres: f64) -> f64 {
    let chlorine_g = chlorine_mg_per_l.max(0.0) * litres.max(0.0) / 1000.0;
    chlorine_g * SO2_PER_CHLORINE / salt.so2_g_per_g()
}

/// The part of free sulfur dioxide that is molecular, which is what protects: 1/(1 + 10^(pH − pKa)), both 0 to 14.
///
/// Inputs outside are taken at the nearest end (NaN: at 0).
pub fn molecular_part(ph: f64, pka: f64) -> f64 {
    let (ph, pka) = (between(ph, 0.0, 14.0), between(pka, 0.0, 14.0));
    1.0 / (1.0 + 10_f64.powf(ph - pka))
}

/// Strengths of [`PK_T`], % by volume.
const PK_ABV: [f64; 4] = [0.0, 5.0, 10.0, 15.0];
/// Temperatures of [`PK_T`], °C.
const PK_CELSIUS: [f64; 5] = [20.0, 25.0, 30.0, 35.0, 40.0];
/// Thermodynamic constants of OIV-MA-AS323-04C, Table I (Usseglio-Tomasset and Bosia): a row for each strength.
const PK_T: [[f64; 5]; 4] = [
    [1.798, 2.000, 2.219, 2.334, 2.493],
    [1.897, 2.098, 2.299, 2.397, 2.527],
    [1.997, 2.198, 2.394, 2.488, 2.606],
    [2.099, 2.301, 2.503, 2.607, 2.728],
];

/// Where a value lies in a rising list: the index before it and the way to the next one, 0 to 1.
fn place<const N: usize>(list: &[f64; N], value: f64) -> (usize, f64) {
    let value = between(value, list[0], list[N - 1]);
    let index = list[1..N - 1].iter().filter(|at| **at <= value).count();
    (
        index,
        (value - list[index]) / (list[index + 1] - list[index]),
    )
}

/// pKa of sulfurous acid in a wine of that strength (0 to 15 % by volume) and temperature (20 to 40 °C).
///
/// The OIV's table, straight lines between its points, less 0.075 + 0.00065 × strength for the salts in wine (ionic strength
/// 0.038; that term is ours). It asks for less sulfite than [`USUAL_PKA`] does, and its steps by temperature are steeper than
/// the heat of the reaction explains, so it is no default. Inputs outside are taken at the nearest end (NaN: at the low end).
pub fn pka_in_wine(abv_percent: f64, t_c: f64) -> f64 {
    let (row, down) = place(&PK_ABV, abv_percent);
    let (column, along) = place(&PK_CELSIUS, t_c);
    let between_columns =
        |row: usize| PK_T[row][column] + along * (PK_T[row][column + 1] - PK_T[row][column]);
    let (above, below) = (between_columns(row), between_columns(row + 1));
    let abv = between(abv_percent, PK_ABV[0], PK_ABV[3]);
    above + down * (below - above) - (0.075 + 0.00065 * abv)
}
