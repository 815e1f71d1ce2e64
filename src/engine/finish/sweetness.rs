//! How much of a sweetener makes a finished mead as sweet as it should be: by gravity, by sugar, or by sugar against acid.

use crate::engine::balance::{Liquid, State, sweeten_to};
use crate::engine::numeric::find_root;

/// One stops this much short of the gravity that was chosen and tastes again: 0.002 to 0.003 (common practice, no published source).
pub const SHORT_SG: f64 = 0.0025;
/// Of what is sweet without weight so much goes in first (common practice, no published source).
pub const FIRST_PART: f64 = 0.75;
/// What is more than this many times as sweet as sugar does not show on a hydrometer.
const INTENSE: f64 = 5.0;

/// Catalogue key of what sweetens and does not ferment → how sweet a gram of it is, in grams of sugar (from memory: verify).
const AS_SWEET: &[(&str, f64)] = &[
    ("erythritol", 0.65),
    ("xylitol", 1.0),
    ("lactose", 0.25),
    ("stevia", 250.0),
    ("sucralose", 600.0),
];

/// How sweet a gram of a sweetener is that does not ferment, in grams of sugar; `None` where nothing is known.
pub fn as_sweet_as_sugar(key: &str) -> Option<f64> {
    let found = AS_SWEET.iter().find(|(known, _)| *known == key);
    found.map(|(_, times)| *times)
}

/// A mead that is to be sweetened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mead {
    /// All of it.
    pub liquid: Liquid,
    /// Its acid as tartaric, g in all; `None` where nobody knows.
    pub acid_g: Option<f64>,
}

/// What sweetens it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sweetener {
    /// Dissolved parts of a kilogram as weighed.
    pub per_kg: Liquid,
    /// Its acid as tartaric, g/kg.
    pub acid_g_per_kg: f64,
    /// Sugar as sweet as a kilogram of it, kg.
    pub sweet_kg_per_kg: f64,
}

impl Sweetener {
    /// Whether so little of it sweetens that no hydrometer shows it.
    pub fn is_intense(&self) -> bool {
        self.sweet_kg_per_kg > INTENSE
    }
}

/// How sweet it should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target {
    /// SG 20/20.
    Gravity(f64),
    /// As sweet as so much sugar, g/L.
    Sugar(f64),
    /// Grams of sugar for each gram of acid: what is perceived.
    SugarToAcid(f64),
}

/// Why there is no amount.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cannot {
    /// It is as sweet already, or sweeter.
    ThereAlready,
    /// No amount of this sweetener makes it so.
    TooWeak,
    /// Nobody knows its acid.
    AcidUnknown,
    /// No gravity shows this sweetener.
    NotByGravity,
}

/// A sweetened mead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sweetened {
    /// Of the sweetener, kg.
    pub kg: f64,
    /// What goes in first, before one tastes again, kg.
    pub first_kg: f64,
    /// Gravity after that, SG 20/20.
    pub first_sg: f64,
    /// Afterwards.
    pub state: State,
    /// As sweet as so much sugar, g/L.
    pub sweet_g_per_l: f64,
    /// Acid as tartaric, g/L.
    pub acid_g_per_l: Option<f64>,
}

/// Sweetens: nothing ferments, masses add, and the strength falls by what joins.
///
/// Gravities 0.9 to 1.3; sugar 0 to 600 g/L; sugar for acid 0 to 100.
///
/// # Errors
/// When there is no such amount.
pub fn sweeten(mead: &Mead, sweetener: &Sweetener, target: Target) -> Result<Sweetened, Cannot> {
    let kg = match target {
        Target::Gravity(sg) => by_gravity(&mead.liquid, sweetener, sg)?,
        Target::Sugar(g_per_l) => by_sugar(&mead.liquid, sweetener, g_per_l)?,
        Target::SugarToAcid(ratio) => by_acid(mead, sweetener, ratio)?,
    };
    if !kg.is_finite() {
        return Err(Cannot::TooWeak);
    }
    let end = mead.liquid + sweetener.per_kg * kg;
    let state = end.state();
    let first_kg = first(&mead.liquid, sweetener, kg, state.sg);
    let sweet_kg = mead.liquid.sugar_kg + sweetener.sweet_kg_per_kg * kg;
    let acid_g = mead
        .acid_g
        .map(|grams| grams + sweetener.acid_g_per_kg * kg);
    Ok(Sweetened {
        kg,
        first_kg,
        first_sg: (mead.liquid + sweetener.per_kg * first_kg).state().sg,
        state,
        sweet_g_per_l: 1000.0 * sweet_kg / state.volume_l,
        acid_g_per_l: acid_g.map(|grams| grams / state.volume_l),
    })
}

fn by_gravity(mead: &Liquid, sweetener: &Sweetener, sg: f64) -> Result<f64, Cannot> {
    if sweetener.is_intense() {
        return Err(Cannot::NotByGravity);
    }
    if sg < mead.state().sg {
        return Err(Cannot::ThereAlready);
    }
    sweeten_to(mead, &sweetener.per_kg, sg).ok_or(Cannot::TooWeak)
}

fn by_sugar(mead: &Liquid, sweetener: &Sweetener, g_per_l: f64) -> Result<f64, Cannot> {
    let has = |kg: f64| {
        let volume_l = (*mead + sweetener.per_kg * kg).state().volume_l;
        1000.0 * (mead.sugar_kg + sweetener.sweet_kg_per_kg * kg) / volume_l
    };
    if has(0.0) > g_per_l {
        return Err(Cannot::ThereAlready);
    }
    if sweetener.sweet_kg_per_kg <= 0.0 {
        return Err(Cannot::TooWeak);
    }
    // Thirty times what would do if it took no room.
    let most = 30.0 * g_per_l * mead.state().volume_l / 1000.0 / sweetener.sweet_kg_per_kg;
    find_root(|kg| has(kg) - g_per_l, 0.0, most, most * 1e-14).ok_or(Cannot::TooWeak)
}

/// Sugar and acid stand in the same litres: their volume does not matter.
fn by_acid(mead: &Mead, sweetener: &Sweetener, ratio: f64) -> Result<f64, Cannot> {
    let acid_g = mead.acid_g.filter(|grams| *grams > 0.0);
    let acid_g = acid_g.ok_or(Cannot::AcidUnknown)?;
    let lacking = ratio * acid_g / 1000.0 - mead.liquid.sugar_kg;
    if lacking < 0.0 {
        return Err(Cannot::ThereAlready);
    }
    let each = sweetener.sweet_kg_per_kg - ratio * sweetener.acid_g_per_kg / 1000.0;
    match each > 0.0 {
        true => Ok(lacking / each),
        false => Err(Cannot::TooWeak),
    }
}

/// What goes in before one tastes again: a little short of the gravity, at least half of the way.
fn first(mead: &Liquid, sweetener: &Sweetener, kg: f64, end_sg: f64) -> f64 {
    if sweetener.is_intense() {
        return FIRST_PART * kg;
    }
    let now_sg = mead.state().sg;
    let short = (end_sg - SHORT_SG).max((now_sg + end_sg) / 2.0);
    let by_gravity = sweeten_to(mead, &sweetener.per_kg, short);
    by_gravity.unwrap_or(FIRST_PART * kg).min(kg)
}
