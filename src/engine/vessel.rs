//! How the must fits its vessel, and what is left to bottle.
//!
//! All headspaces and losses: common practice, no published source.

use super::cost;
use super::density::sucrose_density_20;
use super::formulate::Balance;
use super::formulation::{Bottles, FeedingPlan, Formulation, Package, VesselFit};
use super::pitching::is_ale_kind;
use super::prepare::{Item, solved_by_aim};
use super::recipe::{Form, Kind, Recipe, When};
use super::style::foams_much;

/// Room for foam over fruit, litres per kg.
const FRUIT_HEADSPACE_L_PER_KG: f64 = 0.35;
/// What unpressed fruit keeps back, litres per kg.
const FRUIT_KEEPS_L_PER_KG: f64 = 0.4;
/// Bottle sizes that are counted, litres.
const BOTTLE_SIZES_L: [f64; 3] = [0.75, 0.5, 0.33];

/// The part of a vessel that may stay empty while a mead ages in it: glass and whatever else is filled to the neck, and a
/// keg. A barrel is full (common practice, no published source).
pub const AGEING_HEADSPACE: f64 = 0.03;
const KEG_HEADSPACE: f64 = 0.05;

/// The part of a vessel of this kind, by the word of the recipe document, that may stay empty while a mead ages in it.
pub fn ageing_headspace(kind: &str) -> f64 {
    match kind {
        "keg" => KEG_HEADSPACE,
        "barrel" => 0.0,
        _ => AGEING_HEADSPACE,
    }
}

/// What stays behind between the first fermentation and the bottles, litres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Losses {
    /// On the lees of the first racking.
    pub first_racking_l: f64,
    /// In the fruit, which is not pressed.
    pub fruit_l: f64,
    /// On the lees of the later racking.
    pub later_racking_l: f64,
    /// In hose and vessel when it is bottled.
    pub bottling_l: f64,
}

impl Losses {
    /// All of them, litres.
    pub fn total_l(&self) -> f64 {
        self.first_racking_l + self.fruit_l + self.later_racking_l + self.bottling_l
    }

    /// The same shares of so many litres in all; where nothing is lost, nothing still.
    pub fn shared_out(&self, litres: f64) -> Losses {
        let factor = match self.total_l() {
            total if total > 0.0 => litres / total,
            _ => return *self,
        };
        Losses {
            first_racking_l: factor * self.first_racking_l,
            fruit_l: factor * self.fruit_l,
            later_racking_l: factor * self.later_racking_l,
            bottling_l: factor * self.bottling_l,
        }
    }
}

/// What stays behind of so many litres of finished mead with so much fruit, kg, in or after it; `vessels` says in how many it
/// ferments and in how many it stands afterwards, for each has its least losses. Negative litres lose as none do.
///
/// 4 % and at least 0.25 L; 2 % and at least 0.15 L; 0.15 L; 0.4 L/kg (common practice, no published source).
pub fn losses(finished_l: f64, fruit_kg: f64, vessels: [u32; 2]) -> Losses {
    let [first, later] = vessels.map(f64::from);
    Losses {
        first_racking_l: (0.04 * finished_l).max(0.25 * first),
        fruit_l: FRUIT_KEEPS_L_PER_KG * fruit_kg,
        later_racking_l: (0.02 * finished_l).max(0.15 * later),
        bottling_l: 0.15 * later,
    }
}

/// Litres that one kilogram of an item takes up, its solid matter included.
fn litres_per_kg(item: &Item) -> f64 {
    let known = item
        .density
        .filter(|density| *density > 0.0)
        .map(|density| 1.0 / density);
    known.unwrap_or_else(|| {
        let dissolved = item.parts.mass_kg();
        let solids = if dissolved > 0.0 {
            item.parts.solids_kg() / dissolved
        } else {
            0.0
        };
        // Without a density of its own, fruit weighs what its juice weighs.
        1000.0 / sucrose_density_20(solids)
    })
}

/// Fruit with flesh or skins, kg, of the stages wanted.
fn fruit_kg(balance: &Balance<'_>, wanted: &dyn Fn(When) -> bool) -> f64 {
    let items = balance.items.iter().zip(&balance.amounts.kg).enumerate();
    items
        .filter(|(index, (item, _))| {
            let form = balance
                .recipe
                .ingredients
                .get(*index)
                .and_then(|ingredient| ingredient.form);
            item.kind == Kind::Fruit && form != Some(Form::Juice) && wanted(item.when)
        })
        .map(|(_, (_, kg))| *kg)
        .fold(0.0, |sum, kg| sum + kg)
}

/// Fruit with flesh or skins in the whole recipe, kg: it keeps some of the mead back, for nobody presses it.
pub fn unpressed_fruit_kg(recipe: &Recipe, numbers: &Formulation) -> f64 {
    let lines = numbers.ingredients.iter().filter(|line| {
        let item = recipe.ingredients.get(line.index);
        item.is_some_and(|item| item.kind == Kind::Fruit && item.form != Some(Form::Juice))
    });
    lines.filter_map(|line| line.kg).sum()
}

pub(super) fn fit(balance: &Balance<'_>) -> VesselFit {
    let items = balance.items.iter().zip(&balance.amounts.kg);
    let displacement: f64 = items
        .filter(|(item, _)| item.when == When::Primary)
        .map(|(item, kg)| litres_per_kg(item) * kg)
        .fold(0.0, |sum, litres| sum + litres);
    let fill = balance.must_volume_l + displacement;
    let vessel = balance.recipe.vessel.as_ref();
    let wanted = match vessel.and_then(|vessel| vessel.headspace_fraction) {
        Some(fraction) => fill / (1.0 - fraction),
        None => {
            let fraction = if foams_much(balance) {
                0.25
            } else if is_ale_kind(balance.recipe) {
                0.20
            } else {
                0.15
            };
            (fill + FRUIT_HEADSPACE_L_PER_KG * fruit_kg(balance, &solved_by_aim)) / (1.0 - fraction)
        }
    };
    // A vessel filled to the mark exactly still fits.
    let fits = vessel.map(|vessel| wanted <= vessel.brim_l * (1.0 + 1e-9));
    VesselFit {
        fill_l: fill,
        headspace_l: vessel.map(|vessel| vessel.brim_l - fill),
        fruit_displacement_l: displacement,
        brim_wanted_l: wanted,
        fits,
        advice: match (fits, vessel) {
            (None, _) | (_, None) => "choose_a_vessel",
            (Some(true), _) => "fits",
            (Some(false), Some(vessel)) if fill > vessel.brim_l => "too_small",
            (Some(false), Some(_)) => "foam_may_overflow",
        },
    }
}

/// Bottles of one size, litres, that so many litres fill to the last.
pub fn full(litres: f64, size_l: f64) -> u32 {
    (litres / size_l + 1e-9).floor().clamp(0.0, 1e9) as u32
}

pub(super) fn package(balance: &Balance<'_>, feeding: &FeedingPlan) -> Package {
    let volume = balance.finished.volume_l;
    let losses = balance
        .recipe
        .vessel
        .as_ref()
        .and_then(|vessel| vessel.loss_l)
        .unwrap_or_else(|| losses(volume, fruit_kg(balance, &|_| true), [1, 1]).total_l());
    let litres = (volume - losses).max(0.0);
    let bottles: Vec<Bottles> = BOTTLE_SIZES_L
        .into_iter()
        .map(|size_l| Bottles {
            size_l,
            count: full(litres, size_l),
        })
        .collect();
    let full = bottles.first().map_or(0, |bottles| bottles.count);
    let cost = cost::of_batch(balance, feeding);
    Package {
        litres,
        losses_l: losses,
        bottles,
        cost: cost.batch,
        cost_per_bottle: cost
            .batch
            .filter(|_| full > 0)
            .map(|cost| cost / f64::from(full)),
        unpriced: cost.unpriced,
    }
}
