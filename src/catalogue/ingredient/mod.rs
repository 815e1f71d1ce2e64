//! Honeys and other ingredients, with composition by mass as the recipe document wants it.

mod kind;
mod made_of;
mod seeded;

use super::{Certainty, colour};
use crate::web::units::TypedAmount;

pub use kind::{Form, Kind, Stage};
pub use made_of::{Composition, Spread};
pub(super) use seeded::{honeys, others};

/// What is particular to a honey.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct HoneyTraits {
    /// Colour on the Pfund scale, mm, low and high.
    pub pfund_mm: Option<[f64; 2]>,
    /// What the Pfund scale does not see: reddish, greenish.
    pub hue: Option<String>,
    /// How loud it is, 1 to 5.
    pub intensity: Option<u8>,
    /// What it goes with.
    pub pairing: String,
    /// Where the colour comes from.
    pub source_colour: String,
    /// Sugars, percent by weight of the honey.
    pub fructose_percent: Option<f64>,
    pub glucose_percent: Option<f64>,
    pub sucrose_percent: Option<f64>,
}

impl HoneyTraits {
    /// A strength of taste in words.
    pub fn loudness(intensity: u8) -> &'static str {
        match intensity {
            0 | 1 => "very mild",
            2 => "mild",
            3 => "in between",
            4 => "strong",
            _ => "very strong",
        }
    }

    /// The colour classes from its palest to its darkest.
    pub fn colours(&self) -> Vec<colour::Class> {
        self.pfund_mm.map(colour::classes).unwrap_or_default()
    }
}

/// One honey or other ingredient.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Stable, kebab-case, never used again for something else.
    pub key: String,
    pub name: String,
    /// What it is, in plain words.
    pub words: String,
    pub kind: Kind,
    pub form: Option<Form>,
    /// When it usually goes in.
    pub when: Stage,
    /// `None` for what brings no sugar worth counting.
    pub composition: Option<Composition>,
    /// Nitrogen that yeast can use, mg/kg; `None` for honey, which counts as nothing unless measured.
    pub yan_mg_per_kg: Option<f64>,
    /// Titratable acid as tartaric, g/kg.
    pub ta_g_per_kg: Option<f64>,
    pub ph: Option<f64>,
    /// Kilograms per litre at 20 °C of the flesh or liquid; `None` for honey, whose density follows from its water.
    pub density_kg_per_l: Option<f64>,
    pub spread: Option<Spread>,
    /// The usual amount, grams per litre of must, low and high.
    pub usual_g_per_l: Option<[f64; 2]>,
    /// How many days it usually stays in, low and high; tasting decides.
    pub days: Option<[f64; 2]>,
    /// What a new row proposes: honey a share, what is dosed its low end; `None` leaves the field to the maker.
    pub default_amount: Option<TypedAmount>,
    pub honey: Option<HoneyTraits>,
    /// What can hurt someone.
    pub caution: Option<String>,
    pub note: Option<String>,
    pub source: String,
    pub certainty: Certainty,
}
