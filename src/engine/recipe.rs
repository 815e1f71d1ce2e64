//! The recipe document, version 1: what a maker writes down, in fixed units, before anything is solved.

use std::collections::BTreeMap;

use serde::ser::{Serialize, SerializeMap, Serializer};

pub use super::words::{FeedingLevel, Form, Kind, NitrogenNeed, When, YeastWhen};

/// The version this engine writes. Older ones are read through `reading::upgrade`.
pub const VERSION: u32 = 1;

/// A recipe document. Quantities carry their unit in the name; text is the maker's own.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Recipe {
    /// Always [`VERSION`].
    pub version: u32,
    /// The recipe's name.
    pub title: String,
    /// Anything the maker wants to say.
    pub notes: String,
    /// The maker's word for the style family; overrides the recognised one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub style: Option<String>,
    /// What the maker calls the mead.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub declared: Option<Declared>,
    /// Liquid of the whole must at 20 °C, litres. May be absent only where the volume is solved.
    pub volume_l: Option<f64>,
    /// What the recipe is solved for.
    pub aim: Aim,
    /// How fermentation ends.
    pub finish: Finish,
    /// Name of the ingredient that fills up in place of water.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub filler: Option<String>,
    /// Everything but water.
    pub ingredients: Vec<Ingredient>,
    /// At least one.
    pub yeasts: Vec<Yeast>,
    /// Feeds to hand.
    pub nutrients: Vec<Nutrient>,
    /// How gently the yeast is fed.
    pub feeding: FeedingLevel,
    /// Planned must temperature, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// Where it ferments.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vessel: Option<Vessel>,
    /// The water's analysis and the salts added to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_report: Option<WaterReport>,
    /// Steps in the maker's words.
    pub process: Vec<Step>,
    /// JSON Pointer into this document → the text as the member typed it; also of what the present choice leaves
    /// unused, under the pointer where another choice would have it. Nothing is reckoned from it.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub typed: BTreeMap<String, String>,
}

impl Default for Recipe {
    fn default() -> Self {
        Recipe {
            version: VERSION,
            title: String::new(),
            notes: String::new(),
            style: None,
            declared: None,
            volume_l: None,
            aim: Aim::Amounts,
            finish: Finish::Dry,
            filler: None,
            ingredients: Vec::new(),
            yeasts: Vec::new(),
            nutrients: Vec::new(),
            feeding: FeedingLevel::Usual,
            temperature_c: None,
            vessel: None,
            water_report: None,
            process: Vec::new(),
            typed: BTreeMap::new(),
        }
    }
}

/// The maker's own words for the mead.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Declared {
    /// Dry, semi-sweet, sweet …
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sweetness: Option<String>,
    /// Hydromel, standard, sack …
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strength: Option<String>,
    /// Still, petillant, sparkling …
    #[serde(skip_serializing_if = "Option::is_none")]
    pub carbonation: Option<String>,
}

/// A strength or a starting gravity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target {
    /// The finished mead's, after sweetening, % ABV.
    Abv(f64),
    /// Of the whole must, SG 20/20.
    Gravity(f64),
}

/// What the recipe is solved for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// A strength or a gravity in a given volume.
    Target(Target),
    /// Nothing: the amounts are fixed and water fills up.
    Amounts,
    /// The volume, from the honey one has.
    UseHoney {
        /// All ingredients with a share together, kg.
        kg: f64,
        /// The strength or gravity they should make.
        target: Target,
    },
}

impl Serialize for Aim {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        let target = match self {
            Aim::Amounts => {
                map.serialize_entry("amounts", &true)?;
                None
            }
            Aim::Target(target) => Some(target),
            Aim::UseHoney { kg, target } => {
                map.serialize_entry("use_honey_kg", kg)?;
                Some(target)
            }
        };
        match target {
            Some(Target::Abv(abv)) => map.serialize_entry("abv_percent", abv)?,
            Some(Target::Gravity(sg)) => map.serialize_entry("gravity_sg", sg)?,
            None => {}
        }
        map.end()
    }
}

/// How fermentation ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Finish {
    /// It ferments until the sugar or the yeast's tolerance ends.
    Dry,
    /// Then stabilised, and sweetened to this SG.
    SweetenTo(f64),
    /// Fermentation is stopped at this SG.
    ArrestTo(f64),
}

impl Serialize for Finish {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(1))?;
        match self {
            Finish::Dry => map.serialize_entry("dry", &true)?,
            Finish::SweetenTo(sg) => map.serialize_entry("sweeten_to_sg", sg)?,
            Finish::ArrestTo(sg) => map.serialize_entry("arrest_to_sg", sg)?,
        }
        map.end()
    }
}

/// How much of an ingredient.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// Parts by mass of what the aim asks for.
    Share(f64),
    /// Kilograms.
    Kg(f64),
    /// Litres of the ingredient.
    Litres(f64),
    /// Grams per litre of `volume_l`.
    GramsPerLitre(f64),
}

impl Serialize for Amount {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(1))?;
        match self {
            Amount::Share(share) => map.serialize_entry("share", share)?,
            Amount::Kg(kg) => map.serialize_entry("kg", kg)?,
            Amount::Litres(l) => map.serialize_entry("l", l)?,
            Amount::GramsPerLitre(dose) => map.serialize_entry("g_per_l", dose)?,
        }
        map.end()
    }
}

/// Mass fractions of an ingredient as weighed; they add up to 1 ± 0.002.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Composition {
    /// Water.
    pub water: f64,
    /// Sugar that ferments, counted as weighed.
    pub fermentable: f64,
    /// Dissolved matter that does not ferment.
    pub unfermentable: f64,
    /// Matter that does not dissolve: it counts in neither volume nor mass of the liquid.
    pub insoluble: f64,
    /// Assimilable nitrogen, mg/kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yan_mg_per_kg: Option<f64>,
    /// Titratable acidity as tartaric, g/kg (negative: it neutralises).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ta_g_per_kg: Option<f64>,
    /// Density at 20 °C, kg/L.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub density_kg_per_l: Option<f64>,
    /// Standard deviations of the fractions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spread: Option<CompositionSpread>,
}

/// Standard deviations of an ingredient's mass fractions.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct CompositionSpread {
    /// Of the water.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<f64>,
    /// Of the fermentable part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fermentable: Option<f64>,
}

/// One ingredient. Water is none.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Ingredient {
    /// Stable key into the catalogue the composition was copied from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
    /// The name the maker reads.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// In what form.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub form: Option<Form>,
    /// Contact time, days.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub days: Option<f64>,
    /// When it goes in.
    pub when: When,
    /// How much; absent only for the filler.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<Amount>,
    /// What it is made of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub composition: Option<Composition>,
    /// Price of a kilogram, in the club's currency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per_kg: Option<f64>,
    /// The maker's note.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// One yeast.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Yeast {
    /// Stable key into the catalogue.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
    /// The name the maker reads.
    pub name: String,
    /// Strength at which a well-fed ferment stops, % ABV.
    pub tolerance_abv_percent: f64,
    /// How much nitrogen it wants.
    pub nitrogen_need: NitrogenNeed,
    /// Lowest and highest must temperature, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<[f64; 2]>,
    /// When it goes in.
    pub when: YeastWhen,
    /// For ranks and cautions only, %.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub attenuation_percent: Option<f64>,
}

/// One feed to hand.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Nutrient {
    /// Stable key into the catalogue.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
    /// The name the maker reads.
    pub name: String,
    /// Nitrogen as ammonium, mg per g of powder.
    pub ammonium_yan_mg_per_g: f64,
    /// Nitrogen in organic form, mg per g of powder.
    pub organic_yan_mg_per_g: f64,
    /// The most of it, g per litre of whole must.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_g_per_l: Option<f64>,
    /// Price of a kilogram, in the club's currency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per_kg: Option<f64>,
    /// The part of the deficit it should cover, 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub share: Option<f64>,
}

/// Where it ferments.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Vessel {
    /// The name the maker gave it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Bucket, demijohn, carboy, keg …
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    /// Volume filled to the brim, litres.
    pub brim_l: f64,
    /// Whether a hand and a bag of fruit go through the mouth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wide_mouth: Option<bool>,
    /// Part of the brim volume to leave free; else the defaults of the trade.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub headspace_fraction: Option<f64>,
    /// What stays behind in all, litres; else the defaults of the trade.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loss_l: Option<f64>,
}

/// The water's analysis and the salts added.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct WaterReport {
    /// Ion → mg/L.
    pub ions: BTreeMap<String, f64>,
    /// Salt → g.
    pub salts: BTreeMap<String, f64>,
}

/// One step in the maker's words.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Step {
    /// When.
    pub when: String,
    /// What to do.
    pub text: String,
}
