//! Concrete changes of a recipe for what tasters miss or have too much of: each one change, as a document.
//!
//! The steps are small enough to be taken back and large enough to be tasted (our judgement, no published source).

use super::{ChangeCode, Gas, Way};
use crate::engine::formulation::{Formulation, StoppedBy};
use crate::engine::log::entry::Sense;
use crate::engine::recipe::{
    Aim, Amount, Composition, Finish, Ingredient, Kind, Recipe, Target, When,
};

/// Of the gravity at the end.
const FINISH_STEP: f64 = 0.004;
/// Of strength, % ABV.
const ABV_STEP: f64 = 1.0;
/// Of the starting gravity, for as much strength.
const GRAVITY_STEP: f64 = 0.0075;
/// Of acid, g/L.
const ACID_STEP: f64 = 0.5;
/// Of tannin, g/L.
const TANNIN_STEP: f64 = 0.1;
/// Of the temperature, °C.
const TEMPERATURE_STEP: f64 = 2.0;
/// Fruit, spice and wood that are there already: more by this factor, less by the other.
const SCALES: [f64; 2] = [1.25, 0.8];
/// Room that a yeast keeps below its tolerance, % ABV (common practice, no published source).
const HEADROOM: f64 = 1.5;

/// One change.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What is changed.
    pub code: ChangeCode,
    /// The sense for which it is made.
    pub sense: Sense,
    /// Which way that should go.
    pub way: Way,
    /// The recipe so changed.
    pub recipe: Recipe,
}

/// What could be changed for a sense, the plainest first; empty where this recipe has nothing that does it.
pub fn changes(recipe: &Recipe, numbers: &Formulation, sense: Sense, way: Way) -> Vec<Change> {
    let base = Base { recipe, numbers };
    let more = way == Way::More;
    let found = match sense {
        Sense::Sweetness => match more {
            true => vec![base.end_higher(FINISH_STEP)],
            false => vec![
                base.end_lower(FINISH_STEP),
                base.drier_by_strength(),
                base.more_acid(),
            ],
        },
        Sense::Acidity => match more {
            true => vec![base.more_acid()],
            false => vec![base.less_acid(), base.end_higher(FINISH_STEP)],
        },
        Sense::Tannin => match more {
            true => vec![base.more_tannin()],
            false => vec![base.less_tannin(), base.end_higher(FINISH_STEP)],
        },
        Sense::Warmth => match more {
            true => vec![base.strength(ABV_STEP)],
            false => vec![base.strength(-ABV_STEP), base.cooler()],
        },
        Sense::Body => match more {
            true => vec![base.end_higher(FINISH_STEP), base.strength(ABV_STEP)],
            false => vec![base.end_lower(FINISH_STEP), base.strength(-ABV_STEP)],
        },
        Sense::Honey => match more {
            true => vec![base.honey_at_the_end(), base.scaled_fruit(SCALES[1])],
            false => vec![base.end_lower(FINISH_STEP), base.scaled_fruit(SCALES[0])],
        },
        Sense::Fruit => vec![base.scaled_fruit(SCALES[usize::from(!more)])],
        Sense::Spice => vec![base.scaled_spice(SCALES[usize::from(!more)])],
        Sense::Sparkle => vec![base.gas(more)],
    };
    let found = found.into_iter().flatten();
    found
        .map(|(code, recipe)| Change {
            code,
            sense,
            way,
            recipe,
        })
        .collect()
}

type Changed = Option<(ChangeCode, Recipe)>;

struct Base<'a> {
    recipe: &'a Recipe,
    numbers: &'a Formulation,
}

/// A gravity as it is written.
fn written(sg: f64) -> f64 {
    (sg * 1000.0).round() / 1000.0
}

impl Base<'_> {
    fn with(&self, change: impl FnOnce(&mut Recipe)) -> Recipe {
        let mut recipe = self.recipe.clone();
        change(&mut recipe);
        recipe
    }

    fn ending(&self, finish: Finish) -> Recipe {
        self.with(|recipe| recipe.finish = finish)
    }

    /// Sweeter and fuller at the end.
    fn end_higher(&self, step: f64) -> Changed {
        let fg = self.numbers.finished.as_ref()?.fg;
        Some(match self.recipe.finish {
            Finish::Dry => {
                let to = written(fg + step);
                (
                    ChangeCode::SweetenTo { from: fg, to },
                    self.ending(Finish::SweetenTo(to)),
                )
            }
            Finish::SweetenTo(from) => {
                let to = written(from + step);
                (
                    ChangeCode::EndAt { from, to },
                    self.ending(Finish::SweetenTo(to)),
                )
            }
            Finish::ArrestTo(from) => {
                let to = written(from + step);
                (
                    ChangeCode::EndAt { from, to },
                    self.ending(Finish::ArrestTo(to)),
                )
            }
        })
    }

    /// Drier and lighter at the end; nothing where it ends by itself.
    fn end_lower(&self, step: f64) -> Changed {
        let natural = self.numbers.finished.as_ref()?.natural_fg;
        let lower = |from: f64| written(from - step);
        match self.recipe.finish {
            Finish::Dry => None,
            Finish::SweetenTo(from) | Finish::ArrestTo(from) if lower(from) <= natural + 0.001 => {
                Some((ChangeCode::EndDry { from }, self.ending(Finish::Dry)))
            }
            Finish::SweetenTo(from) => {
                let to = lower(from);
                Some((
                    ChangeCode::EndAt { from, to },
                    self.ending(Finish::SweetenTo(to)),
                ))
            }
            Finish::ArrestTo(from) => {
                let to = lower(from);
                Some((
                    ChangeCode::EndAt { from, to },
                    self.ending(Finish::ArrestTo(to)),
                ))
            }
        }
    }

    /// Less honey leaves less sugar behind, where the yeast stops before it is all gone.
    fn drier_by_strength(&self) -> Changed {
        let stopped = self.numbers.limits.as_ref()?.stopped_by == StoppedBy::Tolerance;
        match (stopped, self.recipe.finish) {
            (true, Finish::Dry) => self.strength(-ABV_STEP),
            _ => None,
        }
    }

    /// Honey that is kept back for the end smells of honey still.
    fn honey_at_the_end(&self) -> Changed {
        match self.recipe.finish {
            Finish::ArrestTo(_) => None,
            _ => self.end_higher(FINISH_STEP),
        }
    }

    /// Stronger or weaker by so much; nothing where the yeast does not reach it.
    fn strength(&self, step: f64) -> Changed {
        let from = self.numbers.finished.as_ref()?.abv_percent;
        let tolerance = self
            .recipe
            .yeasts
            .iter()
            .map(|yeast| yeast.tolerance_abv_percent);
        let end = tolerance.fold(0.0, f64::max);
        let to = from + step;
        if to < 3.0 || step > 0.0 && to > end - HEADROOM {
            return None;
        }
        let gravity = step / ABV_STEP * GRAVITY_STEP;
        let moved = |target: Target| match target {
            Target::Abv(abv) => Target::Abv(((abv + step) * 10.0).round() / 10.0),
            Target::Gravity(sg) => Target::Gravity(written(sg + gravity)),
        };
        let recipe = self.with(|recipe| match &mut recipe.aim {
            Aim::Target(target) | Aim::UseHoney { target, .. } => *target = moved(*target),
            Aim::Amounts => {
                let honeys = recipe.ingredients.iter_mut().filter(|one| {
                    one.kind == Kind::Honey && matches!(one.when, When::Must | When::Primary)
                });
                honeys.for_each(|honey| scale(honey, to / from));
            }
        });
        (recipe != *self.recipe).then_some((ChangeCode::Strength { from, to }, recipe))
    }

    fn cooler(&self) -> Changed {
        let from = self.recipe.temperature_c?;
        let to = from - TEMPERATURE_STEP;
        let coldest = self
            .recipe
            .yeasts
            .iter()
            .filter_map(|yeast| yeast.temperature_c);
        let coldest = coldest.map(|[low, _]| low).fold(10.0, f64::max);
        (to >= coldest).then(|| {
            let recipe = self.with(|recipe| recipe.temperature_c = Some(to));
            (ChangeCode::Cooler { from, to }, recipe)
        })
    }

    /// After fermenting: acid before it is a classic stall (common practice, no published source).
    fn more_acid(&self) -> Changed {
        let recipe = self.with(|recipe| {
            let added = |one: &&mut Ingredient| {
                one.kind == Kind::Acid && matches!(one.amount, Some(Amount::GramsPerLitre(_)))
            };
            match recipe.ingredients.iter_mut().find(added) {
                Some(acid) => raise(acid, ACID_STEP),
                None => recipe.ingredients.push(at_the_end(
                    "Tartaric acid",
                    Kind::Acid,
                    ACID_STEP,
                    Some(1000.0),
                )),
            }
        });
        Some((ChangeCode::MoreAcid(ACID_STEP), recipe))
    }

    fn less_acid(&self) -> Changed {
        self.scaled(|one| one.kind == Kind::Acid, 0.5)
            .map(|recipe| (ChangeCode::LessAcid(0.5), recipe))
    }

    fn more_tannin(&self) -> Changed {
        let recipe = self.with(|recipe| {
            let added = |one: &&mut Ingredient| {
                one.kind == Kind::Tannin && matches!(one.amount, Some(Amount::GramsPerLitre(_)))
            };
            match recipe.ingredients.iter_mut().find(added) {
                Some(tannin) => raise(tannin, TANNIN_STEP),
                None => recipe.ingredients.push(at_the_end(
                    "Wine tannin",
                    Kind::Tannin,
                    TANNIN_STEP,
                    None,
                )),
            }
        });
        Some((ChangeCode::MoreTannin(TANNIN_STEP), recipe))
    }

    fn less_tannin(&self) -> Changed {
        self.scaled(|one| matches!(one.kind, Kind::Tannin | Kind::Wood), 0.5)
            .map(|recipe| (ChangeCode::LessTannin(0.5), recipe))
    }

    fn scaled_fruit(&self, factor: f64) -> Changed {
        let filler = self.recipe.filler.as_deref();
        self.scaled(
            |one| {
                matches!(one.kind, Kind::Fruit | Kind::Juice) && Some(one.name.as_str()) != filler
            },
            factor,
        )
        .map(|recipe| (ChangeCode::Fruit(factor), recipe))
    }

    /// One step more or less gas, by the maker's own word, which the plan goes by.
    fn gas(&self, more: bool) -> Changed {
        let own = self.recipe.declared.as_ref();
        let words = own.and_then(|own| own.carbonation.as_deref());
        let from = Gas::of_words(words);
        let to = from.next(more)?;
        let was_in_keg = words.is_some_and(|words| words.to_lowercase().contains("keg"));
        let in_keg = to != Gas::Still && (was_in_keg || self.recipe.finish != Finish::Dry);
        let recipe = self.with(|recipe| {
            let declared = recipe.declared.get_or_insert_default();
            declared.carbonation = Some(match in_keg {
                true => format!("{}, in a keg", to.word()),
                false => to.word().to_owned(),
            });
        });
        Some((ChangeCode::Gas { from, to, in_keg }, recipe))
    }

    fn scaled_spice(&self, factor: f64) -> Changed {
        self.scaled(|one| matches!(one.kind, Kind::Spice | Kind::Wood), factor)
            .map(|recipe| (ChangeCode::Spice(factor), recipe))
    }

    /// What is so by that factor; `None` where nothing is.
    fn scaled(&self, is: impl Fn(&Ingredient) -> bool, factor: f64) -> Option<Recipe> {
        let recipe = self.with(|recipe| {
            let found = recipe.ingredients.iter_mut().filter(|one| is(one));
            found.for_each(|one| scale(one, factor));
        });
        (recipe != *self.recipe).then_some(recipe)
    }
}

/// Three figures are as many as a kitchen scale shows.
fn short(value: f64) -> f64 {
    if value <= 0.0 || !value.is_finite() {
        return value;
    }
    let unit = 10_f64.powf(value.log10().floor() - 2.0);
    (value / unit).round() * unit
}

fn scale(one: &mut Ingredient, factor: f64) {
    one.amount = one.amount.map(|amount| match amount {
        Amount::Share(share) => Amount::Share(share * factor),
        Amount::Kg(kg) => Amount::Kg(short(kg * factor)),
        Amount::Litres(litres) => Amount::Litres(short(litres * factor)),
        Amount::GramsPerLitre(dose) => Amount::GramsPerLitre(short(dose * factor)),
    });
}

fn raise(one: &mut Ingredient, by: f64) {
    if let Some(Amount::GramsPerLitre(dose)) = one.amount {
        one.amount = Some(Amount::GramsPerLitre(dose + by));
    }
}

/// Something weighed in small amounts that goes in once it has fermented; its acidity as tartaric, g/kg.
fn at_the_end(name: &str, kind: Kind, g_per_l: f64, ta_g_per_kg: Option<f64>) -> Ingredient {
    Ingredient {
        key: None,
        name: name.to_owned(),
        kind,
        form: None,
        days: None,
        when: When::Ageing,
        amount: Some(Amount::GramsPerLitre(g_per_l)),
        composition: Some(Composition {
            unfermentable: 1.0,
            ta_g_per_kg,
            ..Composition::default()
        }),
        price_per_kg: None,
        note: None,
    }
}
