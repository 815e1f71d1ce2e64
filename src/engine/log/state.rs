//! The state of a batch: everything that follows from its log. Numbers are unrounded; nothing here is ever NaN or infinite.

use super::compare::Compared;
use super::marks::Marks;
use super::question::Question;
use crate::engine::balance::Liquid;

/// The state of a batch after its last entry. Once nothing is left, gravity and strength are those of what was there last.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct State {
    /// Litres at 20 °C in the vessel.
    pub volume_l: f64,
    /// SG 20/20.
    pub sg: f64,
    /// % ABV by mass balance.
    pub abv_percent: f64,
    /// % by mass.
    pub abw_percent: f64,
    /// Sugar that yeast can use, g/L.
    pub sugar_g_per_l: f64,
    /// All dissolved solids, g/L.
    pub extract_g_per_l: f64,
    /// SG 20/20 of all that was there to ferment, in its volume; what sweetens after stabilising is no part of it.
    pub og: f64,
    /// How far it has come, up to stabilising.
    pub attenuation: Attenuation,
    /// The rule of first and last gravity, which knows of no addition; `None` without two of them.
    pub simple: Option<Simple>,
    /// Where it will end.
    pub expected: Expected,
    /// Strength at which the yeast stops, % ABV; `None` where no yeast is known.
    pub tolerance_abv_percent: Option<f64>,
    /// Whether yeast was pitched, or it was found to ferment.
    pub fermenting: bool,
    /// Whether it was stabilised, and no yeast pitched since.
    pub stabilised: bool,
    /// Nitrogen.
    pub nitrogen: Nitrogen,
    /// Titratable acidity as tartaric, g/L: as measured last, or as planned, with what changed it since.
    pub ta_g_per_l: Option<f64>,
    /// All sulfur dioxide that went in, mg/L now.
    pub total_so2_mg_per_l: f64,
    /// All sorbic acid that went in, mg/L now.
    pub sorbic_mg_per_l: f64,
    /// The last pH.
    pub ph: Option<Measured>,
    /// The last free sulfur dioxide, mg/L.
    pub free_so2_mg_per_l: Option<Measured>,
    /// The last temperature of the must, °C.
    pub must_temperature_c: Option<Measured>,
    /// What stayed behind.
    pub losses: Losses,
    /// Litres filled into bottles and kegs.
    pub packaged_l: f64,
    /// Where all mass is.
    #[serde(skip)]
    pub flows: Flows,
    /// What it cost.
    pub cost: Cost,
    /// When what was reached.
    pub marks: Marks,
    /// The state at each reading.
    pub points: Vec<Point>,
    /// The must as planned and as made; `None` without a plan or a reading of it.
    pub compared: Option<Compared>,
    /// What the log leaves in doubt.
    pub questions: Vec<Question>,
}

/// How much of what was there is gone, %.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Attenuation {
    /// By the gravities alone, (OG − SG)/(OG − 1); above 100 for an SG below 1.
    pub apparent_percent: f64,
    /// Of the dissolved solids, as mass fractions.
    pub real_percent: f64,
}

/// First and last gravity.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Simple {
    /// The first that counts, SG 20/20.
    pub first_sg: f64,
    /// The last that counts, SG 20/20.
    pub last_sg: f64,
    /// % ABV from these two alone; `None` where no fermentation leads from one to the other.
    pub abv_percent: Option<f64>,
}

/// Where a batch will end if nothing more is done.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Expected {
    /// SG 20/20.
    pub fg: f64,
    /// % ABV.
    pub abv_percent: f64,
    /// Sugar that will still ferment, g/L of what is there now. Two equal readings 14 days apart leave at most 3.
    pub fermentable_g_per_l: f64,
    /// SG 20/20 where a third of the sugar that ferments is gone.
    pub one_third_sg: f64,
}

/// Nitrogen, mg/L; what was fed is counted per litre of the day it was fed.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Nitrogen {
    /// Fed as ammonium.
    pub ammonium_mg_per_l: f64,
    /// Fed in organic form.
    pub organic_mg_per_l: f64,
    /// Planned to be fed; `None` without a plan.
    pub planned_mg_per_l: Option<f64>,
    /// What the must brings; `None` without a plan.
    pub of_must_mg_per_l: Option<f64>,
    /// Each feed.
    pub feeds: Vec<GivenFeed>,
}

/// One feed that was given.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct GivenFeed {
    /// The entry.
    pub entry: u32,
    /// Hours since the batch began.
    pub hours: f64,
    /// Nitrogen as ammonium, mg/L.
    pub ammonium_mg_per_l: f64,
    /// Nitrogen in organic form, mg/L.
    pub organic_mg_per_l: f64,
}

/// A value and when it was measured.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Measured {
    /// The entry.
    pub entry: u32,
    /// Hours since the batch began.
    pub hours: f64,
    /// The value, in the unit of the field's name.
    pub value: f64,
}

/// What stayed behind, litres.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Losses {
    /// On the lees and in the fruit.
    pub racking_l: f64,
    /// The part of it that nobody measured: the usual.
    pub racking_estimated_l: f64,
    /// Tasted and measured.
    pub samples_l: f64,
    /// In hose and vessel when it was packaged.
    pub packaging_l: f64,
    /// Measured to be less than reckoned.
    pub unexplained_l: f64,
}

impl Losses {
    /// All of them, litres.
    pub fn total_l(&self) -> f64 {
        self.racking_l + self.samples_l + self.packaging_l + self.unexplained_l
    }
}

/// Where all mass is: `begun` + `added` = in the vessel + `lost` + `packaged` + `parted` + `co2_kg` + `yeast_kg`, with what is still
/// in the fruit counted as in the vessel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flows {
    /// What it began with, put right by what was measured of it.
    pub begun: Liquid,
    /// What went in since.
    pub added: Liquid,
    /// What is in the vessel.
    pub vessel: Liquid,
    /// What is still in the fruit.
    pub in_fruit: Liquid,
    /// What stayed behind.
    pub lost: Liquid,
    /// What is in bottles and kegs.
    pub packaged: Liquid,
    /// What went into other vessels or batches.
    pub parted: Liquid,
    /// Carbon dioxide, kg.
    pub co2_kg: f64,
    /// Yeast grown, kg.
    pub yeast_kg: f64,
}

/// What it cost, in the club's currency.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Cost {
    /// What it began with; `None` where a price is missing.
    pub begun: Option<f64>,
    /// What was added and fed since, as far as its cost is written down.
    pub added: f64,
    /// Both; `None` where what it began with is not known.
    pub total: Option<f64>,
}

/// The state at one reading.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Point {
    /// The entry.
    pub entry: u32,
    /// Hours since the batch began.
    pub hours: f64,
    /// The gravity that was read, SG 20/20 (of a refractometer: converted, before fermentation only).
    pub read_sg: Option<f64>,
    /// Whether it counts.
    pub used: bool,
    /// SG 20/20 by mass balance.
    pub sg: f64,
    /// % ABV by mass balance.
    pub abv_percent: f64,
    /// Sugar that yeast can use, g/L.
    pub sugar_g_per_l: f64,
    /// Litres.
    pub volume_l: f64,
    /// The part of the sugar that ferments which is gone, 0 to 1, as it was reckoned then.
    pub part: f64,
}
