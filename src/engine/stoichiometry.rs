//! Masses that chemistry fixes: what part of an additive does the work, and what sugar turns into.
//!
//! All from the IUPAC abridged standard atomic weights (2021).

/// g/mol of carbon dioxide.
const CARBON_DIOXIDE: f64 = 44.009;
/// g/mol of ethanol.
const ETHANOL: f64 = 46.069;
/// g/mol of glucose, and of fructose.
const HEXOSE: f64 = 180.156;
/// g/mol of water.
const WATER: f64 = 18.015;
/// g/mol of sucrose.
const SUCROSE: f64 = 342.297;
/// g/mol of sulfur dioxide.
const SULFUR_DIOXIDE: f64 = 64.058;
/// g/mol of chlorine, Cl₂.
const CHLORINE: f64 = 70.90;

/// g of sulfur dioxide in 1 g of potassium metabisulfite, K₂S₂O₅.
pub const SO2_PER_POTASSIUM_METABISULFITE: f64 = 2.0 * SULFUR_DIOXIDE / 222.307;
/// g of sulfur dioxide in 1 g of sodium metabisulfite, Na₂S₂O₅.
pub const SO2_PER_SODIUM_METABISULFITE: f64 = 2.0 * SULFUR_DIOXIDE / 190.099;
/// g of sulfur dioxide that takes up 1 g of chlorine: SO₂ + Cl₂ + 2 H₂O → H₂SO₄ + 2 HCl. A mole of chloramine, counted as
/// the mole of chlorine that it stands for, takes as much.
pub const SO2_PER_CHLORINE: f64 = SULFUR_DIOXIDE / CHLORINE;
/// g of sorbic acid in 1 g of potassium sorbate.
pub const SORBIC_ACID_PER_SORBATE: f64 = 112.128 / 150.218;
/// g of glucose and fructose from 1 g of sucrose, which takes up water as it splits.
pub const HEXOSE_PER_SUCROSE: f64 = 2.0 * HEXOSE / SUCROSE;
/// g of glucose in 1 g of glucose monohydrate.
pub const HEXOSE_PER_MONOHYDRATE: f64 = HEXOSE / (HEXOSE + WATER);
/// g of ethanol from 1 g of glucose or fructose, nothing lost (Gay-Lussac).
pub const ETHANOL_PER_HEXOSE: f64 = 2.0 * ETHANOL / HEXOSE;
/// g of carbon dioxide from 1 g of glucose or fructose, nothing lost (Gay-Lussac).
pub const CO2_PER_HEXOSE: f64 = 2.0 * CARBON_DIOXIDE / HEXOSE;
