//! What a batch begins with: the must and all that will join it at once, from a recipe or from what is in the vessel.

use super::state::State;
use crate::engine::balance::{BY_PRODUCTS_PER_SUGAR, ETHANOL_PER_SUGAR, Liquid};
use crate::engine::formulate::{Settings, solved, tolerance};
use crate::engine::formulation::Formulation;
use crate::engine::numeric::between;
use crate::engine::prepare::{Item, solved_by_aim};
use crate::engine::recipe::{Kind, Recipe, When};
use crate::engine::solver::Amounts;
use crate::engine::vessel::unpressed_fruit_kg;

/// Part of the solids of a honey must that ferments where nothing else is known (widely seen; our judgement, no published
/// source).
pub const FERMENTABLE_PART: f64 = 0.89;

/// What a batch begins with, before anybody has measured anything.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Start {
    /// What a hydrometer reads first, kg.
    #[serde(skip)]
    pub must: Liquid,
    /// What the recipe lets join in the first fermentation, above all fruit: its sugar comes out within days. The log does not
    /// add it again.
    #[serde(skip)]
    pub later: Liquid,
    /// Fruit that keeps some of the mead back, kg.
    pub fruit_kg: f64,
    /// Strength at which the yeast stops, % ABV; `None` where no yeast is known.
    pub tolerance_abv_percent: Option<f64>,
    /// Whether it ferments already, so that no pitch is waited for.
    pub fermenting: bool,
    /// Whether it was stabilised before it came here.
    pub stabilised: bool,
    /// Titratable acidity as tartaric, g/L of everything.
    pub ta_g_per_l: Option<f64>,
    /// Sulfur dioxide that it brings along, mg/L.
    pub total_so2_mg_per_l: f64,
    /// Sorbic acid that it brings along, mg/L.
    pub sorbic_mg_per_l: f64,
    /// What all of it cost; `None` where a price is missing.
    pub cost: Option<f64>,
    /// What was planned; `None` without a recipe.
    pub plan: Option<Planned>,
}

/// What a recipe plans.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Planned {
    /// Litres of the must, without what joins later.
    pub must_volume_l: f64,
    /// Litres of everything that ferments.
    pub volume_l: f64,
    /// SG 20/20 of the must.
    pub must_sg: f64,
    /// SG 20/20 of everything that ferments, its fruit's sugar come out.
    pub whole_sg: f64,
    /// SG 20/20 at which the first fermentation ends by itself.
    pub natural_fg: f64,
    /// SG 20/20 of the finished mead, sweetened.
    pub fg: f64,
    /// Strength of the finished mead, % ABV.
    pub abv_percent: f64,
    /// Nitrogen that the must brings, mg/L.
    pub yan_of_must_mg_per_l: f64,
    /// Nitrogen to be fed, mg/L, without what is more than helps.
    pub yan_fed_mg_per_l: f64,
    /// Dry yeast, g.
    pub yeast_g: f64,
    /// Must temperature, °C.
    pub temperature_c: Option<f64>,
    /// Honey in the must, kg.
    pub honey_kg: f64,
    /// Dissolved solids in a kilogram of it.
    pub honey_solids: f64,
}

impl Start {
    /// What the recipe begins with, its amounts solved as its formulation has them. `None` where it has faults.
    ///
    /// What goes in after the first fermentation is no part of it: the log adds that.
    pub fn of_recipe(recipe: &Recipe) -> Option<Self> {
        let (solved, numbers) = solved(recipe, &Settings::default());
        let (items, amounts) = solved?;
        let whole = numbers.whole.as_ref()?;
        let finished = numbers.finished.as_ref()?;
        let of = |wanted: When| {
            let chosen = items.iter().zip(&amounts.kg);
            chosen
                .filter(|(item, _)| item.when == wanted)
                .map(|(item, kg)| item.parts * *kg)
                .sum::<Liquid>()
        };
        let mut must = Liquid::water(amounts.water_kg) + of(When::Must);
        let mut later = of(When::Primary);
        // Where all the liquid comes with the fruit there is nothing to wait for.
        if numbers.must.is_none() {
            must = must + later;
            later = Liquid::default();
        }
        let read = must.state();
        let (honey_kg, honey_solids) = honey(&items, &amounts);
        Some(Start {
            must,
            later,
            fruit_kg: fruit_kg(recipe, &numbers),
            tolerance_abv_percent: Some(tolerance(recipe)),
            ta_g_per_l: whole.ta_g_per_l,
            cost: cost(&numbers),
            plan: Some(Planned {
                must_volume_l: read.volume_l,
                volume_l: whole.volume_l,
                must_sg: read.sg,
                whole_sg: whole.og,
                natural_fg: finished.natural_fg,
                fg: finished.fg,
                abv_percent: finished.abv_percent,
                yan_of_must_mg_per_l: whole.yan_mg_per_l.unwrap_or(0.0),
                yan_fed_mg_per_l: numbers.feeding.as_ref().map_or(0.0, |feeding| {
                    (feeding.deficit_mg_per_l - feeding.beyond_mg_per_l).max(0.0)
                }),
                yeast_g: numbers.pitching.as_ref().map_or(0.0, |pitch| pitch.yeast_g),
                temperature_c: recipe.temperature_c,
                honey_kg,
                honey_solids,
            }),
            ..Start::default()
        })
    }

    /// What is in a vessel, known by volume (L), SG 20/20 and strength (% ABV, 0 where it has not begun); it counts as
    /// fermenting, so that the first reading may be lower. `unfermentable` is that part of all solids it began with, 0 to 1.
    ///
    /// `None` where no must can have come to that: see [`Liquid::of_reading`].
    pub fn of_reading(
        volume_l: f64,
        sg: f64,
        abv_percent: f64,
        unfermentable: f64,
    ) -> Option<Self> {
        Some(Start {
            must: liquid_of_reading(volume_l, sg, abv_percent, unfermentable)?,
            fermenting: true,
            ..Start::default()
        })
    }

    /// What a share (0 to 1) of another batch begins with, taken out of that batch's state as it stood just before; its cost goes
    /// with it in proportion.
    pub fn of_part(parent: &State, share: f64) -> Self {
        let share = between(share, 0.0, 1.0);
        Start {
            must: parent.flows.vessel * share,
            later: parent.flows.in_fruit * share,
            tolerance_abv_percent: parent.tolerance_abv_percent,
            fermenting: parent.fermenting,
            stabilised: parent.stabilised,
            ta_g_per_l: parent.ta_g_per_l,
            total_so2_mg_per_l: parent.total_so2_mg_per_l,
            sorbic_mg_per_l: parent.sorbic_mg_per_l,
            cost: parent.cost.total.map(|cost| cost * share),
            ..Start::default()
        }
    }

    /// Everything that will ferment, kg.
    pub fn whole(&self) -> Liquid {
        self.must + self.later
    }
}

/// The liquid of this volume, SG 20/20 and strength, its solids parted into sugar and what does not ferment.
pub(super) fn liquid_of_reading(
    volume_l: f64,
    sg: f64,
    abv_percent: f64,
    unfermentable: f64,
) -> Option<Liquid> {
    if !(0.0..=1.0).contains(&unfermentable) {
        return None;
    }
    let mut liquid = Liquid::of_reading(volume_l, sg, abv_percent)?;
    let used = liquid.ethanol_kg / ETHANOL_PER_SUGAR;
    let by_products = used * BY_PRODUCTS_PER_SUGAR;
    let began_with = liquid.extract_kg - by_products + used;
    let left = (liquid.extract_kg - by_products - unfermentable * began_with)
        .min(liquid.extract_kg)
        .max(0.0);
    liquid.sugar_kg = left;
    liquid.extract_kg -= left;
    Some(liquid)
}

/// Honey of must and primary, kg, and the dissolved solids in a kilogram of it.
fn honey(items: &[Item], amounts: &Amounts) -> (f64, f64) {
    let honeys = items
        .iter()
        .zip(&amounts.kg)
        .filter(|(item, _)| item.kind == Kind::Honey && solved_by_aim(item.when));
    let (kg, solids) = honeys.fold((0.0, 0.0), |(sum, solids), (item, kg)| {
        (sum + kg, solids + item.parts.solids_kg() * kg)
    });
    (kg, if kg > 0.0 { solids / kg } else { 0.0 })
}

fn fruit_kg(recipe: &Recipe, numbers: &Formulation) -> f64 {
    let mut early = numbers.clone();
    early.ingredients.retain(|line| solved_by_aim(line.when));
    unpressed_fruit_kg(recipe, &early)
}

fn cost(numbers: &Formulation) -> Option<f64> {
    let lines = numbers.ingredients.iter();
    lines
        .filter(|line| solved_by_aim(line.when) && line.kg.is_some_and(|kg| kg > 0.0))
        .map(|line| line.cost)
        .sum()
}
