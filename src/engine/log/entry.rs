//! One entry of a batch's log: when, and what was done or read. All quantities carry their unit in the name.

pub use super::bench::{Glass, Stock, Trial};
pub use super::liquid::{Bottles, How, Move, Package, Part, Rack, Sample};

use crate::engine::recipe::Composition;
use crate::engine::words::words;

pub use super::tasting::{Aspect, Described, Sense, Tasting};

/// One entry. A correction has replaced what it corrects before it comes here, and struck entries are left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Its number in the batch; decides the order of entries of the same moment.
    pub entry: u32,
    /// Hours since the batch began: the mixing.
    pub hours: f64,
    /// What was done or read.
    pub deed: Deed,
}

/// What was done or read.
#[derive(Clone, Debug, PartialEq)]
pub enum Deed {
    /// The must as it was really made.
    Mixed(Mixed),
    /// Yeast went in.
    Pitch(Pitch),
    /// Something was measured.
    Reading(Reading),
    /// Nutrient went in.
    Feed(Feed),
    /// Anything else went in.
    Addition(Addition),
    /// Gas was stirred out.
    Degas,
    /// Air was stirred in.
    Aerate,
    /// Moved off the lees.
    Rack(Rack),
    /// Some was taken out.
    Sample(Sample),
    /// Filled into bottles or a keg.
    Package(Package),
    /// A part went into another vessel or batch.
    Part(Part),
    /// Words.
    Note(Note),
    /// What it tasted like.
    Tasting(Tasting),
    /// What became of a step of the plan.
    Step(PlanStep),
    /// Into another vessel, all of it.
    Move(Move),
    /// Glasses on the bench.
    Trial(Trial),
}

/// The must as it was really made: what a hydrometer reads, without the sugar of fruit that goes in later.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Mixed {
    /// Litres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_l: Option<f64>,
    /// SG 20/20, temperature corrected.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sg: Option<f64>,
    /// Of the must, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
}

/// Yeast went in.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Pitch {
    /// The yeast's name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Dry yeast, g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yeast_g: Option<f64>,
    /// Strength at which it stops, % ABV.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance_abv_percent: Option<f64>,
    /// Whether it was woken in water.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rehydrated: Option<bool>,
}

/// What was measured; at least one value.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Reading {
    /// SG 20/20, temperature corrected: what counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sg: Option<f64>,
    /// The scale as it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub read_sg: Option<f64>,
    /// Of the sample, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// Of the must, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub must_temperature_c: Option<f64>,
    /// By refractometer, mass %; counts only before fermentation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub brix: Option<f64>,
    /// pH.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph: Option<f64>,
    /// Titratable acidity as tartaric, g/L.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ta_g_per_l: Option<f64>,
    /// Litres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_l: Option<f64>,
    /// Free sulfur dioxide, mg/L.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub free_so2_mg_per_l: Option<f64>,
    /// Whether the sample was free of gas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub degassed: Option<bool>,
    /// What it was read with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
}

/// Nutrient went in.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Feed {
    /// Its name.
    pub name: String,
    /// Grams of it.
    pub grams: f64,
    /// Nitrogen as ammonium, mg per g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ammonium_yan_mg_per_g: Option<f64>,
    /// Nitrogen in organic form, mg per g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub organic_yan_mg_per_g: Option<f64>,
    /// What it cost, in the club's currency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
}

words! {
    /// What was added.
    What {
        /// Honey.
        Honey = "honey",
        /// Sugar or syrup.
        Sugar = "sugar",
        /// Fruit: its sugar comes out in days.
        Fruit = "fruit",
        /// Juice.
        Juice = "juice",
        /// Water.
        Water = "water",
        /// Another mead.
        Mead = "mead",
        /// Acid.
        Acid = "acid",
        /// What takes acidity away.
        Neutraliser = "neutraliser",
        /// Mineral salt.
        Salt = "salt",
        /// Spice, herb, flower.
        Spice = "spice",
        /// Wood.
        Wood = "wood",
        /// Tannin.
        Tannin = "tannin",
        /// Enzyme.
        Enzyme = "enzyme",
        /// Fining.
        Fining = "fining",
        /// Sulfite.
        Sulfite = "sulfite",
        /// Sorbate.
        Sorbate = "sorbate",
        /// Anything else.
        Other = "other",
    }
}

words! {
    /// Why it was added.
    Why {
        /// It belongs to the must.
        Must = "must",
        /// Honey fed in steps.
        StepFeed = "step_feed",
        /// After the first fermentation.
        Secondary = "secondary",
        /// To sweeten.
        Sweeten = "sweeten",
        /// To fill the vessel.
        TopUp = "top_up",
        /// To put right acidity, strength or taste.
        Adjust = "adjust",
        /// So that nothing ferments any more.
        Stabilise = "stabilise",
        /// So that it makes gas in the bottle.
        Prime = "prime",
        /// Anything else.
        Other = "other",
    }
}

/// Something went in. At most one of `kg`, `litres` and `grams`.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Addition {
    /// Its name.
    pub name: String,
    /// What it is.
    pub what: What,
    /// Why it went in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<Why>,
    /// Kilograms.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kg: Option<f64>,
    /// Litres of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub litres: Option<f64>,
    /// Grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grams: Option<f64>,
    /// What it is made of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub composition: Option<Composition>,
    /// SG 20/20 of a mead that is added.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sg: Option<f64>,
    /// Strength of a mead that is added, % ABV.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub abv_percent: Option<f64>,
    /// Sugar that yeast can use in a mead that is added, g/L of it; else the usual part of its solids.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sugar_g_per_l: Option<f64>,
    /// By how much acidity rises (negative: falls), as tartaric, g/L.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ta_change_g_per_l: Option<f64>,
    /// Sulfur dioxide it brings, mg/L.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub so2_mg_per_l: Option<f64>,
    /// Sorbic acid it brings, mg/L.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sorbic_mg_per_l: Option<f64>,
    /// Codes of the allergens that it brings, of a mead that is added.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub allergens: Vec<String>,
    /// What it cost, in the club's currency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
}

impl Addition {
    /// An addition of that name with nothing else said.
    pub fn of(name: &str, what: What) -> Self {
        Addition {
            name: name.to_owned(),
            what,
            why: None,
            kg: None,
            litres: None,
            grams: None,
            composition: None,
            sg: None,
            abv_percent: None,
            sugar_g_per_l: None,
            ta_change_g_per_l: None,
            so2_mg_per_l: None,
            sorbic_mg_per_l: None,
            allergens: Vec::new(),
            cost: None,
        }
    }
}

/// Words.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Note {
    /// The words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
}

words! {
    /// What became of a step.
    Became {
        /// Done.
        Done = "done",
        /// Left out.
        Skipped = "skipped",
        /// Put off or brought forward.
        Moved = "moved",
    }
}

/// What became of a step of the plan.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PlanStep {
    /// The step's key.
    pub step: String,
    /// What became of it.
    pub is: Became,
    /// Why.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Where it was moved to, hours since the batch began.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_hours: Option<f64>,
}
