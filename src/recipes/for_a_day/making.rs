//! The batch behind a wish: its recipe, how much must it takes, and the vessels that it goes through.

use super::vessels::{Filled, fill};
use super::{Kind, Wish};
use crate::catalogue;
use crate::engine::chain::{Batch, Chain};
use crate::engine::problem::Problem;
use crate::engine::recipe::{self, Declared, Recipe, When};
use crate::engine::vessel::unpressed_fruit_kg;
use crate::engine::{Formulation, Settings, formulate};
use crate::recipes::buckets::smallest_bucket;
use crate::recipes::starters;
use crate::web::units::{IMPERIAL_GALLON_L, US_GALLON_L, Units};

/// Headroom under the yeast's limit, % ABV (common practice, no published source).
const HEADROOM_ABV: f64 = 1.5;
/// The volume at which a recipe is tried, litres: everything in it grows with it.
const TRIED_L: f64 = 10.0;
/// In so many vessels it may ferment.
const MOST_VESSELS: u32 = 12;
/// Days that fruit lies in the must (common practice, no published source).
const FRUIT_DAYS: f64 = 8.0;

/// A batch that leaves enough to fill.
#[derive(Clone, Debug)]
pub struct Made {
    pub recipe: Recipe,
    pub numbers: Formulation,
    pub chain: Chain,
    /// In how many of which bucket it ferments.
    pub ferments_in: (u32, &'static catalogue::Vessel),
    /// What each of them should hold to the brim, litres.
    pub brim_wanted_l: f64,
    /// In how many of which vessels it stands afterwards, filled to the neck.
    pub ages_in: Vec<(u32, &'static catalogue::Vessel)>,
}

/// Solves the batch: the least must whose vessels are full and leave so much to fill.
///
/// # Errors
/// What stands in the way of its numbers; nothing named where no usual vessels are large enough.
pub fn make(wish: &Wish, units: Units) -> Result<Made, Vec<Problem>> {
    let mut recipe = recipe_of(wish, TRIED_L)?;
    let tried = formulate(&recipe, &Settings::default());
    let (Some(finished), Some(fit)) = (&tried.finished, &tried.vessel) else {
        return Err(tried.problems);
    };
    let grows = finished.volume_l / TRIED_L;
    let fruit_kg_per_l = unpressed_fruit_kg(&recipe, &tried) / finished.volume_l;
    for vessels in 1..=MOST_VESSELS {
        let Some(Filled { ages_in, chain }) =
            fill(wish.amount.litres(), fruit_kg_per_l, vessels, units)
        else {
            break;
        };
        let (volume_l, typed) = rounded_up(chain.finished_l / grows, units);
        let brim_wanted_l = fit.brim_wanted_l / TRIED_L * volume_l / f64::from(vessels);
        let Some(bucket) = smallest_bucket(brim_wanted_l, units) else {
            continue;
        };
        recipe.volume_l = Some(volume_l);
        recipe.typed = [("/volume_l".to_owned(), typed)].into();
        recipe.vessel = (vessels == 1).then(|| bucket.for_recipe());
        let numbers = formulate(&recipe, &Settings::default());
        let Some(finished) = &numbers.finished else {
            return Err(numbers.problems);
        };
        let afterwards = ages_in.iter().map(|(count, _)| *count).sum();
        let batch = Batch {
            fruit_kg_per_l,
            vessels: [vessels, afterwards],
            ..Batch::default()
        };
        return Ok(Made {
            chain: batch.follow(finished.volume_l),
            ferments_in: (vessels, bucket),
            brim_wanted_l,
            ages_in,
            recipe,
            numbers,
        });
    }
    Err(Vec::new())
}

/// The recipe at a volume, with a yeast that can finish it.
fn recipe_of(wish: &Wish, litres: f64) -> Result<Recipe, Vec<Problem>> {
    let starter = starters::find(starter_of(wish.kind)).ok_or_else(Vec::new)?;
    let mut recipe = starter.made_for(litres, wish.abv_percent, wish.sweetness.finish());
    for item in &mut recipe.ingredients {
        // Fruit from the start: it has given all and is out before anything is sweetened.
        if item.when == When::Secondary && wish.kind == Kind::Raspberry {
            let fruit = item.kind == recipe::Kind::Fruit;
            item.when = if fruit { When::Primary } else { When::Must };
            item.days = fruit.then_some(FRUIT_DAYS);
        }
    }
    recipe.process.clear();
    if wish.sparkling {
        recipe.declared = Some(Declared {
            carbonation: Some("sparkling".to_owned()),
            ..Declared::default()
        });
    }
    let headroom = formulate(&recipe, &Settings::default())
        .limits
        .map_or(0.0, |limits| limits.headroom_abv_percent);
    if headroom < HEADROOM_ABV
        && let Some(strong) = starters::strong_yeast()
    {
        recipe.yeasts = vec![strong];
    }
    Ok(recipe)
}

/// The starter recipe that such a mead is made after.
pub fn starter_of(kind: Kind) -> &'static str {
    match kind {
        Kind::Plain => "plain-and-dry",
        Kind::Raspberry => "raspberries-afterwards",
        Kind::Spiced => "orange-peel-and-cinnamon",
        Kind::Apple => "from-the-orchard",
        Kind::Browned => "browned-honey",
    }
}

/// A volume that can be read off a bucket, no smaller, and as one would type it.
pub fn rounded_up(litres: f64, units: Units) -> (f64, String) {
    let (step_l, unit_l, unit) = match units {
        Units::Metric => (0.05, 1.0, "L"),
        Units::Us => (0.02 * US_GALLON_L, US_GALLON_L, "gal"),
        Units::Imperial => (0.02 * IMPERIAL_GALLON_L, IMPERIAL_GALLON_L, "gal"),
    };
    let steps = (litres / step_l - 1e-9).ceil();
    let text = crate::web::units::plain(steps * step_l / unit_l, 2);
    let volume_l = text.parse::<f64>().map_or(litres, |typed| typed * unit_l);
    (volume_l, format!("{text} {unit}"))
}
