//! Amounts as they can be weighed out: to the steps of a member's scales, juice to what a jug shows, honey in whole jars.

use super::goes_in_at_first;
use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Ingredient, Kind, Recipe, When};
use crate::engine::scaling::{Rounded, Scale, round_by};
use crate::engine::{Settings, density_of};
use crate::vessels::instruments::{Hydrometer, KitchenScale, Owned, What};
use crate::web::units::{Units, water_in_steps};
use crate::web::viewer;

/// The step of a hydrometer of which nothing is known, SG (common practice, no published source).
const USUAL_STEP_SG: f64 = 0.001;
/// The least difference of strength that anybody can tell from two readings, % ABV: what half a step of both makes, about
/// (our judgement, no published source).
const SEEN_ABV: f64 = 0.1;

/// What a member weighs and reads with.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// Their scales, the finest first.
    pub scales: Vec<KitchenScale>,
    pub powder_step_g: f64,
    pub honey_step_g: f64,
    /// The finest of their hydrometers.
    pub hydrometer: Option<Hydrometer>,
    pub units: Units,
}

impl Weighing {
    /// From a member's settings and instruments; what is put away is left out.
    pub fn of(settings: &viewer::Settings, instruments: &[Owned]) -> Weighing {
        let used = || instruments.iter().filter(|it| !it.retired);
        let mut scales: Vec<KitchenScale> = used()
            .filter_map(|it| match it.is.what {
                What::Scale(scale) => Some(scale),
                _ => None,
            })
            .collect();
        scales.sort_by(|one, other| one.step_g.total_cmp(&other.step_g));
        let hydrometers = used().filter_map(|it| match it.is.what {
            What::Hydrometer(hydrometer) => Some(hydrometer),
            _ => None,
        });
        Weighing {
            scales,
            powder_step_g: settings.powder_step_g,
            honey_step_g: settings.honey_step_g,
            hydrometer: hydrometers.min_by(|one, other| one.step_sg.total_cmp(&other.step_sg)),
            units: settings.units,
        }
    }

    /// The step in which so much of it is weighed, g: the finest scale that bears it; else, where there are scales, the largest of
    /// them, in goes; else the settings.
    pub fn step_g(&self, heavy: bool, kg: f64) -> f64 {
        let bears = self.scales.iter().find(|scale| scale.most_g >= kg * 1000.0);
        let largest = || {
            let scales = self.scales.iter();
            scales.max_by(|one, other| one.most_g.total_cmp(&other.most_g))
        };
        match (bears.or_else(largest), heavy) {
            (Some(scale), _) => scale.step_g,
            (None, true) => self.honey_step_g,
            (None, false) => self.powder_step_g,
        }
    }

    /// The nearest mass that can be weighed; what is less than half a step stays as it is, for it is not left out.
    pub fn round(&self, heavy: bool, kg: f64) -> f64 {
        match Scale::Step(self.step_g(heavy, kg)).round(kg) {
            rounded if rounded > 0.0 => rounded,
            _ => kg,
        }
    }

    /// The least difference of gravity that shows, SG.
    pub fn sees_sg(&self) -> f64 {
        self.hydrometer
            .map_or(USUAL_STEP_SG / 2.0, |hydrometer| hydrometer.sees_sg())
    }
}

/// Whether it is weighed on the scale for honey, and not on that for powders.
pub fn is_heavy(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Honey
            | Kind::Fruit
            | Kind::Juice
            | Kind::Syrup
            | Kind::Sugar
            | Kind::Malt
            | Kind::Other
    )
}

/// Honeys that make the must, and do not only sweeten.
pub fn honeys_of_the_must(recipe: &Recipe) -> impl Iterator<Item = &Ingredient> {
    let all = recipe.ingredients.iter();
    all.filter(|item| item.kind == Kind::Honey && goes_in_at_first(item.when))
}

/// Honey in the must, kg.
pub fn honey_kg(recipe: &Recipe, numbers: &Formulation) -> f64 {
    let lines = numbers.ingredients.iter().filter(|line| {
        let item = recipe.ingredients.get(line.index);
        item.is_some_and(|item| item.kind == Kind::Honey) && goes_in_at_first(line.when)
    });
    lines.filter_map(|line| line.kg).sum()
}

/// Weighs a recipe out. With `jars` the honey of the must is that many times what was solved, which makes whole jars of all
/// portions together, and is not rounded again.
pub fn weigh(
    recipe: &Recipe,
    settings: &Settings,
    weighing: &Weighing,
    jars: Option<f64>,
) -> Rounded {
    let rounding = |index: usize, when: When, kg: f64| {
        let Some(item) = recipe.ingredients.get(index) else {
            return kg;
        };
        let in_jars = item.kind == Kind::Honey && goes_in_at_first(when);
        match (jars.filter(|_| in_jars), item.kind) {
            (Some(factor), _) => kg * factor,
            (None, Kind::Juice) => match density_of(item) {
                Some(density) => match water_in_steps(kg / density, weighing.units).0 * density {
                    rounded if rounded > 0.0 => rounded,
                    _ => kg,
                },
                None => weighing.round(true, kg),
            },
            (None, kind) => weighing.round(is_heavy(kind), kg),
        }
    };
    let mut rounded = round_by(recipe, settings, &rounding);
    if let Some(plan) = &mut rounded.weighed.feeding {
        for addition in &mut plan.additions {
            addition.grams = weighing.round(false, addition.grams / 1000.0) * 1000.0;
        }
    }
    rounded
}

/// One number before and after the rounding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    pub from: f64,
    pub to: f64,
    /// Whether the member's instruments show it.
    pub seen: bool,
}

impl Moved {
    fn of(from: f64, to: f64, least: f64) -> Moved {
        Moved {
            from,
            to,
            seen: (to - from).abs() >= least - 1e-12,
        }
    }
}

/// What the rounding did.
#[derive(Clone, Debug, PartialEq)]
pub struct Effect {
    pub og: Moved,
    pub fg: Moved,
    pub abv: Moved,
    /// Words for the sweetness before and after, where they differ.
    pub sweetness: Option<(String, String)>,
}

impl Effect {
    /// Whether any of it shows.
    pub fn is_seen(&self) -> bool {
        self.og.seen || self.fg.seen || self.abv.seen || self.sweetness.is_some()
    }
}

/// What the rounding did; `None` where there are no numbers.
pub fn effect(rounded: &Rounded, weighing: &Weighing) -> Option<Effect> {
    let both = |numbers: &Formulation| Some((numbers.whole.clone()?, numbers.finished.clone()?));
    let (og, end) = both(&rounded.exact)?;
    let (weighed_og, weighed_end) = both(&rounded.weighed)?;
    let word = |numbers: &Formulation| numbers.style.as_ref()?.sweetness.value.clone();
    let words = word(&rounded.exact).zip(word(&rounded.weighed));
    let sees = weighing.sees_sg();
    let fg = Moved::of(end.fg, weighed_end.fg, sees);
    Some(Effect {
        og: Moved::of(og.og, weighed_og.og, sees),
        // A hair over the border of a word is no other taste.
        sweetness: words.filter(|(from, to)| from != to && fg.seen),
        fg,
        abv: Moved::of(end.abv_percent, weighed_end.abv_percent, SEEN_ABV),
    })
}
