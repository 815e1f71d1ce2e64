//! The days of a mead, counted from its mixing day: when it is racked, stabilised, bottled, and good.
//!
//! Common practice, no published source.

use super::making::Made;
use crate::engine::ageing;
use crate::engine::recipe::{Finish, Kind, When};

/// Weeks until it is racked first, in days: light, usual, strong.
const FIRST_RACKING: [i64; 3] = [14, 28, 42];
/// Starting gravities from which it takes longer.
const USUAL_OG: f64 = 1.060;
const STRONG_OG: f64 = 1.110;
/// Between two readings that are to be equal.
const BETWEEN_READINGS: i64 = 14;
/// From stabilising to sweetening, and from there under the airlock.
const TO_SWEETENING: i64 = 2;
const UNDER_AIRLOCK: i64 = 14;
/// From the first racking to the next, where there is time.
const TO_NEXT_RACKING: i64 = 56;
/// What a bottle rests before it is good: a still one that has aged, a light one, and one in which sugar makes gas.
const REST: i64 = 14;
const SHORT_REST: i64 = 2;
const MAKES_GAS: i64 = 28;

/// Something to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    Mix,
    FruitOut,
    Rack,
    SpiceOut,
    ReadAgain,
    RackAgain,
    Stabilise,
    Sweeten,
    Bottle,
    Pour,
}

/// What decides the days.
#[derive(Clone, Debug, PartialEq)]
pub struct Traits {
    /// The engine's words for the style.
    pub family: String,
    pub strength: String,
    pub og: f64,
    pub sweetened: bool,
    pub sparkling: bool,
    /// Days that fruit lies in it while it ferments.
    pub fruit_days: Option<i64>,
    /// Days that spice lies in it afterwards.
    pub spice_days: Option<i64>,
}

impl Traits {
    /// Those of a batch.
    pub fn of(made: &Made, sparkling: bool) -> Traits {
        let (recipe, numbers) = (&made.recipe, &made.numbers);
        let style = numbers.style.as_ref();
        let word = |word: Option<&crate::engine::formulation::StyleWord>| {
            word.and_then(|word| word.value.clone()).unwrap_or_default()
        };
        let days = |kind: Kind, when: When| {
            let those = recipe.ingredients.iter();
            let those = those.filter(|item| item.kind == kind && item.when == when);
            those.filter_map(|item| item.days).reduce(f64::max)
        };
        Traits {
            family: word(style.map(|style| &style.family)),
            strength: word(style.map(|style| &style.strength)),
            og: numbers.whole.as_ref().map_or(1.0, |whole| whole.og),
            sweetened: matches!(recipe.finish, Finish::SweetenTo(_)),
            sparkling,
            fruit_days: days(Kind::Fruit, When::Primary).map(|days| days.ceil() as i64),
            spice_days: days(Kind::Spice, When::Secondary).map(|days| days.ceil() as i64),
        }
    }
}

/// The days of a mead.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// Days after the mixing day and what is to be done, in order.
    pub steps: Vec<(i64, Step)>,
    /// Days until it is good to drink.
    pub ready: i64,
    /// Days until it is at its best.
    pub best: i64,
}

/// The course of such a mead.
pub fn course(of: &Traits) -> Course {
    let [earliest, best] = ageing::months(&of.family, &of.strength).map(ageing::days_of);
    let [light, usual, strong] = FIRST_RACKING;
    let rack = match of.og {
        og if og < USUAL_OG => light,
        og if og < STRONG_OG => usual,
        _ => strong,
    };
    let equal = rack + BETWEEN_READINGS;
    let sweeten = equal + TO_SWEETENING;
    let soonest = match of.sweetened {
        true => sweeten + UNDER_AIRLOCK,
        false => equal,
    };
    let rest = match (of.sparkling, of.strength.as_str()) {
        (true, _) => MAKES_GAS,
        (false, "hydromel") => SHORT_REST,
        (false, _) => REST,
    };
    let ready = earliest.max(soonest + rest);
    let bottle = ready - rest;
    let rack_again = match of.sweetened {
        true => equal,
        false => bottle.min(rack + TO_NEXT_RACKING),
    };
    let mut steps = vec![
        (0, Step::Mix),
        (rack, Step::Rack),
        (equal, Step::ReadAgain),
        (rack_again, Step::RackAgain),
        (bottle, Step::Bottle),
        (ready, Step::Pour),
    ];
    if let Some(days) = of.fruit_days {
        steps.push((days.min(rack), Step::FruitOut));
    }
    if let Some(days) = of.spice_days {
        steps.push((rack + days, Step::SpiceOut));
    }
    if of.sweetened {
        steps.push((equal, Step::Stabilise));
        steps.push((sweeten, Step::Sweeten));
    }
    steps.sort_by_key(|(day, step)| (*day, *step as u8));
    Course {
        steps,
        ready,
        best: best.max(ready),
    }
}
