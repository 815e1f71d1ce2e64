//! Water: what a report says of its ions, and what salts make of it. Milligrams per litre at 20 °C.

mod salts;

use std::collections::BTreeMap;

use serde::ser::{Serialize, SerializeMap, Serializer};

use super::check::WATER;
use super::json::pointer;
use super::problem::{Arguments, Problem, ProblemCode};
use super::recipe::WaterReport;

pub use self::salts::{SALTS, Salt, read_salts};

/// An ion that a report may name: its word, its formula, g/mol (IUPAC 2021, abridged), and its charge.
struct Kind {
    name: &'static str,
    formula: &'static str,
    molar_mass: f64,
    charge: f64,
}

const fn kind(name: &'static str, formula: &'static str, molar_mass: f64, charge: f64) -> Kind {
    Kind {
        name,
        formula,
        molar_mass,
        charge,
    }
}

/// How many ions are told apart.
const IONS: usize = 10;
const CALCIUM: usize = 0;
const MAGNESIUM: usize = 1;
const SODIUM: usize = 2;
const POTASSIUM: usize = 3;
const BICARBONATE: usize = 4;
const CARBONATE: usize = 5;
const HYDROXIDE: usize = 6;
const SULFATE: usize = 7;
const CHLORIDE: usize = 8;

const KINDS: [Kind; IONS] = [
    kind("calcium", "ca", 40.078, 2.0),
    kind("magnesium", "mg", 24.305, 2.0),
    kind("sodium", "na", 22.990, 1.0),
    kind("potassium", "k", 39.098, 1.0),
    kind("bicarbonate", "hco3", 61.016, -1.0),
    kind("carbonate", "co3", 60.008, -2.0),
    kind("hydroxide", "oh", 17.007, -1.0),
    kind("sulfate", "so4", 96.056, -2.0),
    kind("chloride", "cl", 35.45, -1.0),
    kind("nitrate", "no3", 62.004, -1.0),
];

/// The key under which a report may give its alkalinity, mg/L as CaCO3, in place of bicarbonate.
pub const ALKALINITY: &str = "alkalinity_caco3";

/// mg of CaCO3 in one milliequivalent of alkalinity.
pub const CACO3_PER_MEQ: f64 = 50.043;

/// A name as it is compared: small letters, one kind of dot, no blanks.
fn folded(name: &str) -> String {
    let small = name.trim().to_lowercase();
    small.replace(['·', '•', '*'], ".").replace([' ', '-'], "_")
}

/// Amounts of all ions, mg/L.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ions {
    mg_per_l: [f64; IONS],
}

impl Ions {
    /// The names under which they stand in JSON, in this order.
    pub fn names() -> impl Iterator<Item = &'static str> {
        KINDS.iter().map(|kind| kind.name)
    }

    /// The amount of the ion of that name or formula, mg/L; `None` for an unknown one.
    pub fn of(&self, name: &str) -> Option<f64> {
        self.mg_per_l.get(position(&folded(name))?).copied()
    }

    /// Every name with its amount, mg/L.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, f64)> {
        Self::names().zip(self.mg_per_l)
    }

    /// All of them together, mg/L.
    pub fn sum(&self) -> f64 {
        self.mg_per_l.iter().fold(0.0, |sum, mg| sum + mg)
    }

    /// What neutralises acid, mg/L as CaCO3: milliequivalents of bicarbonate, carbonate and hydroxide × 50.043.
    pub fn alkalinity(&self) -> f64 {
        let alkaline = [BICARBONATE, CARBONATE, HYDROXIDE];
        CACO3_PER_MEQ
            * alkaline
                .into_iter()
                .fold(0.0, |sum, ion| sum + self.charges(ion).abs())
    }

    /// Milliequivalents per litre, with their sign.
    fn charges(&self, ion: usize) -> f64 {
        let amount = self.mg_per_l.get(ion).zip(KINDS.get(ion));
        amount.map_or(0.0, |(mg, kind)| mg / kind.molar_mass * kind.charge)
    }

    /// By how much the charges of the ions miss each other, % of all charges: above 0 where positive ones are more, ± 100
    /// where one side is missing. `None` where there are none.
    pub fn charge_imbalance(&self) -> Option<f64> {
        let (mut difference, mut all) = (0.0, 0.0);
        for ion in 0..IONS {
            let charges = self.charges(ion);
            difference += charges;
            all += charges.abs();
        }
        (all > 0.0).then(|| 100.0 * difference / all)
    }
}

impl Serialize for Ions {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(IONS))?;
        for (name, mg) in self.iter() {
            map.serialize_entry(name, &mg)?;
        }
        map.end()
    }
}

fn position(folded: &str) -> Option<usize> {
    KINDS
        .iter()
        .position(|kind| kind.name == folded || kind.formula == folded)
}

/// The word of what a name in a report means: an ion's name, or [`ALKALINITY`]; `None` for what is not known.
pub fn meaning(name: &str) -> Option<&'static str> {
    let word = folded(name);
    if word == ALKALINITY {
        return Some(ALKALINITY);
    }
    KINDS.get(position(&word)?).map(|kind| kind.name)
}

/// A water with everything that was added to it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Water {
    /// Ions, mg/L, those of the salts included.
    pub ions: Ions,
    /// Alkalinity, mg/L as CaCO3, that of the salts included.
    pub alkalinity_mg_per_l_caco3: f64,
    /// By how much the charges in the report miss each other, %; `null` where it names none. Salts carry as much of either
    /// kind, so they would only hide a slip.
    pub charge_imbalance_percent: Option<f64>,
}

fn known_ions() -> String {
    let names: Vec<&str> = Ions::names().chain([ALKALINITY]).collect();
    names.join(", ")
}

fn unknown(given: &str, known: &str, path: String) -> Problem {
    let arguments = Arguments::none().with("given", given).with("known", known);
    Problem::new(ProblemCode::UnknownWord, path, arguments)
}

fn twice(key: &str, path: String) -> Problem {
    let arguments = Arguments::none().with("key", key);
    Problem::new(ProblemCode::DuplicateKey, path, arguments)
}

/// The ions of a report, name or formula → mg/L, 0 to 100,000; `place` is where it stands in the document.
///
/// `alkalinity_caco3` may stand in place of bicarbonate. What a report does not name counts as 0.
///
/// # Errors
/// Every unknown name, every ion that stands there twice, and every number out of range, each with its place.
pub fn read_ions(report: &BTreeMap<String, f64>, place: &str) -> Result<Ions, Vec<Problem>> {
    let mut ions = Ions::default();
    let mut seen = [false; IONS];
    let mut problems = Vec::new();
    for (name, value) in report {
        let path = || pointer(place, name);
        let word = folded(name);
        let (ion, mg) = if word == ALKALINITY {
            let molar_mass = KINDS.get(BICARBONATE).map_or(0.0, |kind| kind.molar_mass);
            (Some(BICARBONATE), value / CACO3_PER_MEQ * molar_mass)
        } else {
            (position(&word), *value)
        };
        let place_of_ion = ion.and_then(|ion| ions.mg_per_l.get_mut(ion).zip(seen.get_mut(ion)));
        let Some((there, seen)) = place_of_ion else {
            problems.push(unknown(name, &known_ions(), path()));
            continue;
        };
        if !WATER.holds(*value) {
            problems.push(WATER.problem(*value, path()));
        } else if *seen {
            problems.push(twice(name, path()));
        } else {
            *there = mg;
        }
        *seen = true;
    }
    if problems.is_empty() {
        Ok(ions)
    } else {
        Err(problems)
    }
}

/// So many litres (0.001 to 1e6) of a water with salts (g) in it; `None` for other volumes.
///
/// Everything counts as dissolved; see [`Salt::dissolves_g_per_l`] for what does not in plain water. Ions by stoichiometry,
/// within 0.05 mg/L per g/L of the check table.
pub fn mix(litres: f64, report: &Ions, salts: &[(&Salt, f64)]) -> Option<Water> {
    if !(1e-3..=1e6).contains(&litres) {
        return None;
    }
    let mut ions = *report;
    for (salt, grams) in salts {
        let per_gram = salt.ions_mg_per_g();
        for (mg, added) in ions.mg_per_l.iter_mut().zip(per_gram.mg_per_l) {
            *mg += added * grams / litres;
        }
    }
    Some(Water {
        ions,
        alkalinity_mg_per_l_caco3: ions.alkalinity(),
        charge_imbalance_percent: report.charge_imbalance(),
    })
}

/// The least water of a must that salts and a report can say something of, litres.
const LEAST_L: f64 = 1e-3;

/// A recipe's water with its salts, `litres` of it; `None` where neither report nor salts name anything, and where a filler takes
/// the water's place.
///
/// # Errors
/// Every name that is not known or stands there twice, with its place in the recipe document.
pub(super) fn of_recipe(
    report: Option<&WaterReport>,
    litres: f64,
) -> Result<Option<Water>, Vec<Problem>> {
    let Some(report) = report else {
        return Ok(None);
    };
    let ions = read_ions(&report.ions, "/water_report/ions");
    let salts = read_salts(&report.salts, "/water_report/salts");
    match (ions, salts) {
        (Ok(_), Ok(_)) if report.ions.is_empty() && report.salts.is_empty() => Ok(None),
        (Ok(_), Ok(_)) if litres < LEAST_L => Ok(None),
        (Ok(ions), Ok(salts)) => Ok(mix(litres, &ions, &salts)),
        (ions, salts) => {
            let problems = [ions.err(), salts.err()].into_iter().flatten().flatten();
            Err(problems.collect())
        }
    }
}
