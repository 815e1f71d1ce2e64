//! Salts that are added to water: what they are made of, and how they are named.

use std::collections::BTreeMap;

use super::{
    BICARBONATE, CALCIUM, CARBONATE, CHLORIDE, HYDROXIDE, Ions, KINDS, MAGNESIUM, POTASSIUM,
    SODIUM, SULFATE, folded, twice, unknown,
};
use crate::engine::check::WATER;
use crate::engine::json::pointer;
use crate::engine::problem::Problem;

/// A salt: the names it is known by (its formula first), g/mol, how many of which ions, and what of it dissolves in plain
/// water at 20 °C, g/L, where that is little.
#[derive(Debug)]
pub struct Salt {
    names: [&'static str; 2],
    molar_mass: f64,
    ions: [(usize, f64); 2],
    dissolves_g_per_l: Option<f64>,
}

const fn salt(
    names: [&'static str; 2],
    molar_mass: f64,
    positive: (usize, f64),
    negative: (usize, f64),
) -> Salt {
    Salt {
        names,
        molar_mass,
        ions: [positive, negative],
        dissolves_g_per_l: None,
    }
}

const fn barely(salt: Salt, dissolves_g_per_l: f64) -> Salt {
    Salt {
        dissolves_g_per_l: Some(dissolves_g_per_l),
        ..salt
    }
}

/// Every salt that can be reckoned with. Molar masses: IUPAC 2021, abridged; solubilities: phreeqc (reference on physical
/// chemistry, section 10), of calcite without carbon dioxide.
pub const SALTS: &[Salt] = &[
    barely(
        salt(
            ["CaSO4.2H2O", "gypsum"],
            172.164,
            (CALCIUM, 1.0),
            (SULFATE, 1.0),
        ),
        2.55,
    ),
    salt(
        ["CaCl2.2H2O", "calcium_chloride_dihydrate"],
        147.008,
        (CALCIUM, 1.0),
        (CHLORIDE, 2.0),
    ),
    salt(
        ["CaCl2", "calcium_chloride_anhydrous"],
        110.978,
        (CALCIUM, 1.0),
        (CHLORIDE, 2.0),
    ),
    salt(
        ["MgSO4.7H2O", "epsom_salt"],
        246.466,
        (MAGNESIUM, 1.0),
        (SULFATE, 1.0),
    ),
    salt(
        ["MgCl2.6H2O", "magnesium_chloride"],
        203.295,
        (MAGNESIUM, 1.0),
        (CHLORIDE, 2.0),
    ),
    salt(
        ["NaCl", "table_salt"],
        58.440,
        (SODIUM, 1.0),
        (CHLORIDE, 1.0),
    ),
    salt(
        ["KCl", "potassium_chloride"],
        74.548,
        (POTASSIUM, 1.0),
        (CHLORIDE, 1.0),
    ),
    salt(
        ["K2SO4", "potassium_sulfate"],
        174.253,
        (POTASSIUM, 2.0),
        (SULFATE, 1.0),
    ),
    salt(
        ["NaHCO3", "sodium_bicarbonate"],
        84.006,
        (SODIUM, 1.0),
        (BICARBONATE, 1.0),
    ),
    salt(
        ["KHCO3", "potassium_bicarbonate"],
        100.114,
        (POTASSIUM, 1.0),
        (BICARBONATE, 1.0),
    ),
    salt(
        ["K2CO3", "potassium_carbonate"],
        138.205,
        (POTASSIUM, 2.0),
        (CARBONATE, 1.0),
    ),
    barely(
        salt(
            ["CaCO3", "chalk"],
            100.086,
            (CALCIUM, 1.0),
            (CARBONATE, 1.0),
        ),
        0.012,
    ),
    salt(
        ["Ca(OH)2", "slaked_lime"],
        74.092,
        (CALCIUM, 1.0),
        (HYDROXIDE, 2.0),
    ),
];

impl Salt {
    /// The salt of that formula or name; capitals, blanks and the kind of dot do not matter.
    pub fn named(name: &str) -> Option<&'static Salt> {
        let name = folded(name);
        SALTS.iter().find(|salt| {
            salt.names
                .iter()
                .any(|known| known.eq_ignore_ascii_case(&name))
        })
    }

    /// Its formula.
    pub fn formula(&self) -> &'static str {
        self.names[0]
    }

    /// Its name in words.
    pub fn name(&self) -> &'static str {
        self.names[1]
    }

    /// The ions of one gram, mg.
    pub fn ions_mg_per_g(&self) -> Ions {
        let mut ions = Ions::default();
        for (ion, count) in self.ions {
            if let (Some(mg), Some(kind)) = (ions.mg_per_l.get_mut(ion), KINDS.get(ion)) {
                *mg += 1000.0 * count * kind.molar_mass / self.molar_mass;
            }
        }
        ions
    }

    /// The most of it that dissolves in plain water, g/L, where that is little; `None` for what dissolves well.
    pub fn dissolves_g_per_l(&self) -> Option<f64> {
        self.dissolves_g_per_l
    }
}

/// The salts that go in, formula or name → g, 0 to 100,000; `place` is where they stand in the document.
///
/// # Errors
/// Every unknown name, every salt that stands there twice, and every number out of range, each with its place.
pub fn read_salts(
    salts: &BTreeMap<String, f64>,
    place: &str,
) -> Result<Vec<(&'static Salt, f64)>, Vec<Problem>> {
    let mut known: Vec<(&'static Salt, f64)> = Vec::new();
    let mut problems = Vec::new();
    for (name, grams) in salts {
        let path = || pointer(place, name);
        match Salt::named(name) {
            None => {
                let all: Vec<&str> = SALTS.iter().map(Salt::formula).collect();
                problems.push(unknown(name, &all.join(", "), path()));
            }
            Some(_) if !WATER.holds(*grams) => problems.push(WATER.problem(*grams, path())),
            Some(salt) if known.iter().any(|(other, _)| std::ptr::eq(*other, salt)) => {
                problems.push(twice(name, path()));
            }
            Some(salt) => known.push((salt, *grams)),
        }
    }
    if problems.is_empty() {
        Ok(known)
    } else {
        Err(problems)
    }
}
