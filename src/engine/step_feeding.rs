//! A strong mead fed with honey in steps: how much at which gravity, and what the yeast needs for it.

use super::balance::{Liquid, StoppedBy, ferment, ferment_to_gravity, sweeten_to};
use super::numeric::find_root;

/// The most feedings told apart; no plan within the ranges needs as many.
const MOST_FEEDINGS: usize = 80;

/// One feeding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feeding {
    /// The gravity it stands at when fed, SG.
    pub at_sg: f64,
    /// Its strength then, % by volume.
    pub abv_percent: f64,
    /// Honey given, kg.
    pub honey_kg: f64,
    /// Its gravity afterwards, SG.
    pub to_sg: f64,
    /// Its volume afterwards, litres.
    pub litres: f64,
}

/// A plan and what it makes.
#[derive(Clone, Debug, PartialEq)]
pub struct Steps {
    /// The feedings in order.
    pub feedings: Vec<Feeding>,
    /// The mead at its end.
    pub end: Liquid,
    /// All that went in, as if it had been one must: no hydrometer ever reads it.
    pub whole: Liquid,
}

/// The strength of a liquid when all its sugar has fermented, % by volume.
pub fn dry_abv(liquid: &Liquid) -> f64 {
    all_fermented(liquid).state().abv_percent
}

fn all_fermented(liquid: &Liquid) -> Liquid {
    ferment(liquid, liquid.sugar_kg)
}

/// Feeds a must until, all fermented, it has `wanted_abv` (% by volume): at `feed_at_sg`, or where its sugar ends above that,
/// it gets honey (dissolved parts of 1 kg in `honey`) that raises its gravity by `step_sg`; the last feeding is what is left.
///
/// Start at most 1.110, feed at 1.015 or below, by at most 0.015 to 0.020: common practice, no published source. The balance
/// is the formulation's own. `None` where the first must makes that strength already, where the honey cannot, and outside the model.
pub fn plan(
    must: &Liquid,
    honey: &Liquid,
    feed_at_sg: f64,
    step_sg: f64,
    wanted_abv: f64,
) -> Option<Steps> {
    let mut feedings = Vec::new();
    let mut liquid = *must;
    let mut whole = *must;
    if dry_abv(&liquid) >= wanted_abv {
        return None;
    }
    while feedings.len() < MOST_FEEDINGS {
        let low = match ferment_to_gravity(&liquid, feed_at_sg) {
            Some(at) if at.stopped_by == StoppedBy::Tolerance => at.liquid,
            _ => all_fermented(&liquid),
        };
        let stands = low.state();
        let step_kg = sweeten_to(&low, honey, stands.sg + step_sg)?;
        let fed = |kg: f64| low + *honey * kg;
        let last = dry_abv(&fed(step_kg)) >= wanted_abv;
        let honey_kg = if last {
            find_root(
                |kg| dry_abv(&fed(kg)) - wanted_abv,
                0.0,
                step_kg,
                step_kg * 1e-13,
            )?
        } else {
            step_kg
        };
        liquid = fed(honey_kg);
        whole = whole + *honey * honey_kg;
        let after = liquid.state();
        feedings.push(Feeding {
            at_sg: stands.sg,
            abv_percent: stands.abv_percent,
            honey_kg,
            to_sg: after.sg,
            litres: after.volume_l,
        });
        if last {
            return Some(Steps {
                feedings,
                end: all_fermented(&liquid),
                whole,
            });
        }
    }
    None
}
