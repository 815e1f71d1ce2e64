//! Honeys and other ingredients, with composition by mass as the recipe document wants it.

use super::{Certainty, read};
use crate::web::units::{Bare, TypedAmount};
use serde::Deserialize;

/// Fermentable share of honey solids (common practice, no published source); honeydew is lower and says so in the data.
const FERMENTABLE_OF_HONEY_SOLIDS: f64 = 0.89;
/// The usual ± 0.03 of that share, taken as two standard deviations.
const FERMENTABLE_SHARE_SD: f64 = 0.015;
/// Standard deviation of honey moisture as a mass fraction (White et al. 1962, 490 samples: 1.46 points).
const HONEY_WATER_SD: f64 = 0.0146;
/// Insoluble matter of honey as a mass fraction; Codex allows at most 0.001.
const HONEY_INSOLUBLE: f64 = 0.0005;
/// Total acidity of honey, equivalents per kilogram (White et al. 1962: 29.12 meq/kg).
const HONEY_ACID_EQ_PER_KG: f64 = 0.029_12;
/// Grams of tartaric acid per equivalent (molar mass 150.09 g/mol, two acid groups).
const TARTARIC_G_PER_EQ: f64 = 75.04;

/// What an ingredient is; the words are those of the recipe document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    Honey,
    Fruit,
    Juice,
    Syrup,
    Sugar,
    Malt,
    Spice,
    Acid,
    Tannin,
    Salt,
    Enzyme,
    Wood,
    Fining,
    Sweetener,
    Other,
}

impl Kind {
    /// Every kind, in the order in which pages list them.
    pub const ALL: [Kind; 15] = [
        Kind::Honey,
        Kind::Fruit,
        Kind::Juice,
        Kind::Syrup,
        Kind::Sugar,
        Kind::Malt,
        Kind::Spice,
        Kind::Wood,
        Kind::Acid,
        Kind::Tannin,
        Kind::Salt,
        Kind::Enzyme,
        Kind::Fining,
        Kind::Sweetener,
        Kind::Other,
    ];

    /// The word of the recipe document.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Honey => "honey",
            Kind::Fruit => "fruit",
            Kind::Juice => "juice",
            Kind::Syrup => "syrup",
            Kind::Sugar => "sugar",
            Kind::Malt => "malt",
            Kind::Spice => "spice",
            Kind::Acid => "acid",
            Kind::Tannin => "tannin",
            Kind::Salt => "salt",
            Kind::Enzyme => "enzyme",
            Kind::Wood => "wood",
            Kind::Fining => "fining",
            Kind::Sweetener => "sweetener",
            Kind::Other => "other",
        }
    }

    /// What a bare number in the amount field of such an ingredient means.
    pub fn bare(self) -> Bare {
        match self {
            Kind::Honey | Kind::Fruit | Kind::Syrup | Kind::Sugar | Kind::Malt | Kind::Other => {
                Bare::LargeMass
            }
            Kind::Juice => Bare::Volume,
            Kind::Spice
            | Kind::Acid
            | Kind::Tannin
            | Kind::Salt
            | Kind::Enzyme
            | Kind::Wood
            | Kind::Fining
            | Kind::Sweetener => Bare::Grams,
        }
    }
}

/// The shape in which an ingredient is used; the words are those of the recipe document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Form {
    Whole,
    Crushed,
    Frozen,
    Puree,
    Juice,
    Dried,
    Tincture,
}

impl Form {
    /// The word of the recipe document.
    pub fn word(self) -> &'static str {
        match self {
            Form::Whole => "whole",
            Form::Crushed => "crushed",
            Form::Frozen => "frozen",
            Form::Puree => "puree",
            Form::Juice => "juice",
            Form::Dried => "dried",
            Form::Tincture => "tincture",
        }
    }
}

/// When an ingredient usually goes in; the words are those of the recipe document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Stage {
    Must,
    Primary,
    Secondary,
    Sweeten,
    Ageing,
}

impl Stage {
    /// The word of the recipe document.
    pub fn word(self) -> &'static str {
        match self {
            Stage::Must => "must",
            Stage::Primary => "primary",
            Stage::Secondary => "secondary",
            Stage::Sweeten => "sweeten",
            Stage::Ageing => "ageing",
        }
    }
}

/// Mass fractions as weighed; they sum to one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Composition {
    pub water: f64,
    pub fermentable: f64,
    pub unfermentable: f64,
    pub insoluble: f64,
}

/// Standard deviations of two mass fractions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    pub water: f64,
    pub fermentable: f64,
}

/// What is particular to a honey.
#[derive(Debug, Clone, PartialEq)]
pub struct HoneyTraits {
    /// Colour on the Pfund scale, mm, low and high.
    pub pfund_mm: [f64; 2],
    /// The colour classes that this range covers.
    pub colour: String,
    /// How loud it is, 1 to 5.
    pub intensity: u8,
    /// What it goes with.
    pub pairing: String,
    /// Where the colour comes from.
    pub source_colour: String,
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
    /// What a new row proposes: honey a share, what is dosed its low end; `None` leaves the field to the maker.
    pub default_amount: Option<TypedAmount>,
    pub honey: Option<HoneyTraits>,
    /// What can hurt someone.
    pub caution: Option<String>,
    pub note: Option<String>,
    pub source: String,
    pub certainty: Certainty,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HoneyRow {
    key: String,
    name: String,
    words: String,
    /// The name in the reference table that it comes from.
    #[serde(rename = "row")]
    _row: String,
    moisture_percent: f64,
    fermentable_share: Option<f64>,
    ph: Option<f64>,
    pfund_mm: [f64; 2],
    colour: String,
    intensity: u8,
    pairing: String,
    note: Option<String>,
    source: String,
    source_colour: String,
    certainty: Certainty,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Percent {
    water: f64,
    sugars: f64,
    fermentable_share: f64,
    unfermentable_soluble: f64,
    insoluble: f64,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum Acid {
    Malic,
    Tartaric,
    Citric,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Acidity {
    g_per_kg: f64,
    r#as: Acid,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OtherRow {
    key: String,
    name: String,
    words: String,
    kind: Kind,
    form: Option<Form>,
    when: Stage,
    #[serde(rename = "row")]
    _row: Option<String>,
    percent: Option<Percent>,
    ta: Option<Acidity>,
    yan_mg_per_kg: Option<f64>,
    ph: Option<f64>,
    density_kg_per_l: Option<f64>,
    usual_g_per_l: Option<[f64; 2]>,
    caution: Option<String>,
    note: Option<String>,
    source: String,
    certainty: Certainty,
}

impl Composition {
    /// From percentages that close within rounding; what rounding left over is spread in proportion.
    fn of(percent: &Percent) -> Composition {
        let fermentable = percent.sugars * percent.fermentable_share;
        // The table counts sugar that does not ferment among what is soluble and unfermentable.
        let unfermentable = percent.unfermentable_soluble;
        let sum = percent.water + fermentable + unfermentable + percent.insoluble;
        Composition {
            water: percent.water / sum,
            fermentable: fermentable / sum,
            unfermentable: unfermentable / sum,
            insoluble: percent.insoluble / sum,
        }
    }

    /// Of a honey by its water and the share of its solids that ferments.
    pub fn of_honey(water: f64, fermentable_share: f64) -> Composition {
        let solids = 1.0 - water;
        let fermentable = solids * fermentable_share;
        let insoluble = HONEY_INSOLUBLE;
        Composition {
            water,
            fermentable,
            unfermentable: solids - fermentable - insoluble,
            insoluble,
        }
    }
}

impl Acidity {
    /// As tartaric, through the equivalent weights (molar mass over acid groups).
    fn as_tartaric(&self) -> f64 {
        let g_per_eq = match self.r#as {
            Acid::Malic => 67.04,
            Acid::Tartaric => TARTARIC_G_PER_EQ,
            Acid::Citric => 64.04,
        };
        self.g_per_kg * TARTARIC_G_PER_EQ / g_per_eq
    }
}

pub(super) fn honeys() -> Vec<Entry> {
    read::<HoneyRow>("honeys", include_str!("data/honeys.json"))
        .into_iter()
        .map(honey)
        .collect()
}

fn honey(row: HoneyRow) -> Entry {
    let water = row.moisture_percent / 100.0;
    let share = row.fermentable_share.unwrap_or(FERMENTABLE_OF_HONEY_SOLIDS);
    Entry {
        key: row.key,
        name: row.name,
        words: row.words,
        kind: Kind::Honey,
        form: None,
        when: Stage::Must,
        composition: Some(Composition::of_honey(water, share)),
        yan_mg_per_kg: None,
        ta_g_per_kg: Some(HONEY_ACID_EQ_PER_KG * TARTARIC_G_PER_EQ),
        ph: row.ph,
        density_kg_per_l: None,
        spread: Some(Spread {
            water: HONEY_WATER_SD,
            fermentable: FERMENTABLE_SHARE_SD * (1.0 - water),
        }),
        usual_g_per_l: None,
        default_amount: Some(TypedAmount::Share(1.0)),
        honey: Some(HoneyTraits {
            pfund_mm: row.pfund_mm,
            colour: row.colour,
            intensity: row.intensity,
            pairing: row.pairing,
            source_colour: row.source_colour,
        }),
        caution: None,
        note: row.note,
        source: format!(
            "water: {}; fermentable share {share} of the solids: common practice, no published source; acid 29.12 meq/kg and water ± 1.46 points: White et al. 1962",
            row.source
        ),
        certainty: row.certainty,
    }
}

pub(super) fn others() -> Vec<Entry> {
    read::<OtherRow>("other ingredients", include_str!("data/others.json"))
        .into_iter()
        .map(other)
        .collect()
}

fn other(row: OtherRow) -> Entry {
    Entry {
        key: row.key,
        name: row.name,
        words: row.words,
        kind: row.kind,
        form: row.form,
        when: row.when,
        composition: row.percent.as_ref().map(Composition::of),
        yan_mg_per_kg: row.yan_mg_per_kg,
        ta_g_per_kg: row.ta.as_ref().map(Acidity::as_tartaric),
        ph: row.ph,
        density_kg_per_l: row.density_kg_per_l,
        spread: None,
        // The low end: one can add, and tasting decides.
        default_amount: row
            .usual_g_per_l
            .map(|[low, _]| TypedAmount::GramsPerLitre(low)),
        usual_g_per_l: row.usual_g_per_l,
        honey: None,
        caution: row.caution,
        note: row.note,
        source: row.source,
        certainty: row.certainty,
    }
}
