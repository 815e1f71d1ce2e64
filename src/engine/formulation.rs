//! The answer: every number of a formulation. Numbers are unrounded; `null` means "cannot be said".

use super::problem::{Caution, Problem};
use super::recipe::When;
pub use super::water::Water;

/// What the engine makes of a recipe.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Formulation {
    /// Water (or filler) and everything with `when: must`: what a hydrometer reads at pitch.
    pub must: Option<Must>,
    /// Everything that will ferment at first; counted as OG.
    pub whole: Option<Must>,
    /// The finished mead.
    pub finished: Option<Finished>,
    /// What ends fermentation.
    pub limits: Option<Limits>,
    /// Every ingredient with its solved amount; sweetening as lines of its own. Water is none.
    pub ingredients: Vec<Line>,
    /// Marks on the way from OG to FG.
    pub ladder: Option<Ladder>,
    /// Style words, each with the rule that decided it.
    pub style: Option<Style>,
    /// Sugar against acid; `null` where no acidity is known.
    pub balance: Option<SugarAndAcid>,
    /// The feeding plan.
    pub feeding: Option<FeedingPlan>,
    /// The yeast to pitch.
    pub pitching: Option<Pitching>,
    /// The water with its salts; `null` without a report or salts, and where there is no water in the must.
    pub water: Option<Water>,
    /// How it fits the vessel.
    pub vessel: Option<VesselFit>,
    /// What is left to bottle.
    pub package: Option<Package>,
    /// Give or take; `null` where nothing spreads.
    pub spread: Option<Spread>,
    /// What to know before going on, the weightiest first.
    pub cautions: Vec<Caution>,
    /// What makes the answer wrong or impossible.
    pub problems: Vec<Problem>,
}

/// A must, before anything fermented.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Must {
    /// Liquid at 20 °C, litres; insoluble matter is not counted.
    pub volume_l: f64,
    /// Mass of the liquid, kg.
    pub mass_kg: f64,
    /// Water added, litres at 20 °C; 0 where a filler takes its place.
    pub water_l: f64,
    /// Dissolved solids, mass %.
    pub brix: f64,
    /// SG 20/20.
    pub og: f64,
    /// Fermentable sugar, g/L.
    pub sugar_g_per_l: f64,
    /// All dissolved solids, g/L.
    pub extract_g_per_l: f64,
    /// Titratable acidity as tartaric, g/L.
    pub ta_g_per_l: Option<f64>,
    /// Assimilable nitrogen, mg/L.
    pub yan_mg_per_l: Option<f64>,
}

/// The finished mead.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Finished {
    /// SG 20/20 after everything.
    pub fg: f64,
    /// % ABV after everything.
    pub abv_percent: f64,
    /// % by mass after everything.
    pub abw_percent: f64,
    /// Litres at 20 °C, before losses.
    pub volume_l: f64,
    /// Fermentable sugar left, g/L.
    pub residual_sugar_g_per_l: f64,
    /// Everything dissolved but alcohol, g/L.
    pub extract_g_per_l: f64,
    /// Titratable acidity as tartaric, g/L.
    pub ta_g_per_l: Option<f64>,
    /// SG at which the first fermentation ends by itself.
    pub natural_fg: f64,
    /// % ABV at the end of the first fermentation, stopped by hand or not.
    pub abv_before_sweetening_percent: f64,
    /// Apparent attenuation of the first fermentation, %.
    pub attenuation_percent: f64,
    /// Carbon dioxide given off, kg.
    pub co2_kg: f64,
    /// Yeast grown, kg.
    pub lees_kg: f64,
    /// 29 kJ per g ethanol, 17 kJ per g extract.
    pub energy_kj_per_100ml: f64,
}

/// What ends the first fermentation by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StoppedBy {
    /// No fermentable sugar is left.
    Sugar,
    /// The yeast's tolerance is reached.
    Tolerance,
}

/// What ends fermentation, and how much room is left.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Limits {
    /// What ends it by itself.
    pub stopped_by: StoppedBy,
    /// Tolerance less the strength before sweetening, % ABV.
    pub headroom_abv_percent: f64,
}

/// One ingredient with its solved amount.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Line {
    /// The ingredient's place in the document.
    #[serde(skip)]
    pub index: usize,
    /// Whether the engine solved the amount.
    #[serde(skip)]
    pub solved: bool,
    /// Its name.
    pub name: String,
    /// When it goes in.
    pub when: When,
    /// Mass, kg.
    pub kg: Option<f64>,
    /// Volume, litres; `null` where the density is not known.
    pub litres: Option<f64>,
    /// Fermentable sugar it brings, kg.
    pub sugar_kg: Option<f64>,
    /// 1000 (OG − 1) × its share of the whole must's extract; `null` for what is not in it.
    pub gravity_points: Option<f64>,
    /// Mass × price.
    pub cost: Option<f64>,
}

/// Marks on the way from OG to FG.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Ladder {
    /// A third of the way from OG to the natural FG.
    pub one_third_break_sg: f64,
    /// Where 9 % ABV is reached: ammonium is of no use below. `null` when it is not reached.
    pub ammonium_limit_sg: Option<f64>,
    /// Where the yeast's tolerance ends fermentation; `null` when sugar ends first.
    pub tolerance_sg: Option<f64>,
}

/// A style word and the rule that decided it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct StyleWord {
    /// The word; `null` where no word fits.
    pub value: Option<String>,
    /// The rule.
    pub rule: &'static str,
}

/// Style words.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Style {
    /// Traditional, cyser, melomel …
    pub family: StyleWord,
    /// Hydromel, standard, sack.
    pub strength: StyleWord,
    /// Dry, semi-sweet, sweet.
    pub sweetness: StyleWord,
}

/// Nitrogen wanted, by two ways of reckoning.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Demand {
    /// Need of the yeast's class × sugar, mg N/L.
    pub class: f64,
    /// The line by must strength, mg N/L; `null` outside 21–27 °Bx.
    pub strength_line: Option<f64>,
}

/// When a feed goes in.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FeedAt {
    /// Hours after the pitch.
    Hours(f64),
    /// When the gravity has fallen to this SG.
    Gravity(f64),
}

/// One feed.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Addition {
    /// Place of the feed in the document.
    #[serde(skip)]
    pub index: usize,
    /// The feed's name.
    pub nutrient: String,
    /// Grams for the whole must.
    pub grams: f64,
    /// When.
    pub at: FeedAt,
    /// Ammonium nitrogen it brings, mg/L.
    pub ammonium_mg_per_l: f64,
    /// Organic nitrogen it brings, mg/L.
    pub organic_mg_per_l: f64,
    /// Mass × price.
    pub cost: Option<f64>,
}

/// The feeding plan.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct FeedingPlan {
    /// Sugar by the Plato polynomial of the OG, g/L.
    pub sugar_g_per_l: f64,
    /// What the yeast would take.
    pub demand: Demand,
    /// What is aimed at, mg N/L.
    pub target_mg_per_l: f64,
    /// What the must brings, mg N/L.
    pub must_mg_per_l: f64,
    /// What is to be fed, mg N/L.
    pub deficit_mg_per_l: f64,
    /// The feeds in time.
    pub additions: Vec<Addition>,
    /// Nitrogen not fed, for more would not help, mg N/L.
    pub beyond_mg_per_l: f64,
    /// The rule behind the timing: `all_at_pitch`, `four_parts`, `nothing_needed`, `no_feed`.
    pub why: &'static str,
}

/// Water to wake dry yeast in.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Rehydration {
    /// Whether it is wanted: dry pitching is accepted up to 1.060.
    pub wanted: bool,
    /// Water, g.
    pub water_g: f64,
    /// Lowest and highest temperature of that water, °C.
    pub temperature_c: [f64; 2],
}

/// The yeast to pitch.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Pitching {
    /// Dry yeast, g.
    pub yeast_g: f64,
    /// Whole sachets that hold at least as much.
    pub sachets: u32,
    /// How to wake it.
    pub rehydration: Rehydration,
}

/// How the must fits its vessel.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct VesselFit {
    /// Liquid and fruit together, litres.
    pub fill_l: f64,
    /// Brim less fill, litres; `null` without a vessel.
    pub headspace_l: Option<f64>,
    /// What fruit takes up, litres.
    pub fruit_displacement_l: f64,
    /// Brim volume that leaves room for foam, litres.
    pub brim_wanted_l: f64,
    /// Whether there is room; `null` without a vessel.
    pub fits: Option<bool>,
    /// `fits`, `foam_may_overflow`, `too_small`, or `choose_a_vessel`.
    pub advice: &'static str,
}

/// Bottles of one size.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Bottles {
    /// Litres of one bottle.
    pub size_l: f64,
    /// Full bottles.
    pub count: u32,
}

/// What is left to bottle.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Package {
    /// Finished volume less losses, litres; never below 0.
    pub litres: f64,
    /// What racking, lees, fruit and bottling keep back, litres.
    pub losses_l: f64,
    /// Full bottles by size.
    pub bottles: Vec<Bottles>,
    /// Cost of all ingredients, and of the feeds whose price is known; `null` unless every ingredient in it has a price.
    pub cost: Option<f64>,
    /// That of one bottle of 0.75 L; `null` where not one is filled, too.
    pub cost_per_bottle: Option<f64>,
    /// Names of the ingredients and feeds in it that have no price.
    pub unpriced: Vec<String>,
}

/// Sugar against acid in the finished mead.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SugarAndAcid {
    /// Fermentable sugar, g/L, for each g/L of titratable acidity as tartaric.
    pub sugar_to_acid: f64,
    /// `acid_leads`, `acid_a_little_ahead`, `sugar_a_little_ahead` or `sugar_leads`.
    pub band: &'static str,
}

/// Give or take: 10th and 90th centile, low and high.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Spread {
    /// OG of the whole must, SG 20/20.
    pub og: [f64; 2],
    /// FG of the finished mead, SG 20/20.
    pub fg: [f64; 2],
    /// Strength of the finished mead, % ABV.
    pub abv_percent: [f64; 2],
}
