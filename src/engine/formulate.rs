//! From a recipe to its formulation: check, prepare, solve, evaluate.

use super::balance::{Liquid, ferment_to_abv};
use super::cautions;
use super::check::check;
use super::course::{Course, follow};
use super::density::WATER_20;
use super::feeding;
use super::formulation::{Finished, Formulation, Ladder, Limits, Line, Must, StoppedBy};
use super::json::NotJson;
use super::pitching;
use super::prepare::{Item, Quantity, prepare, solved_by_aim};
use super::problem::{Arguments, Problem, ProblemCode};
use super::reading::{ReadError, read};
use super::recipe::{Finish, Recipe, When, YeastWhen};
use super::solver::{Amounts, SweetenBy, Task, plan, solve};
use super::style;
use super::vessel;

/// Ammonium is of no use past this strength, % ABV (common practice; reference: nutrition, timing).
pub const AMMONIUM_LIMIT_ABV: f64 = 9.0;

/// What is the member's and not the recipe's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Grams in a sachet of yeast.
    pub sachet_g: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Settings { sachet_g: 5.0 }
    }
}

/// All numbers of a recipe. Same input, same bits; never panics; never NaN or infinity.
///
/// A recipe with faults gets a formulation whose `problems` name them; what depends on them is `None`.
pub fn formulate(recipe: &Recipe, settings: &Settings) -> Formulation {
    solved(recipe, settings).1
}

/// Reads a document and formulates it; a document with faults becomes a formulation with problems.
///
/// # Errors
/// [`NotJson`] when the text is no JSON.
pub fn formulate_text(text: &str, settings: &Settings) -> Result<Formulation, NotJson> {
    match read(text) {
        Ok(recipe) => Ok(formulate(&recipe, settings)),
        Err(ReadError::NotJson(fault)) => Err(fault),
        Err(ReadError::Problems(problems)) => Ok(Formulation {
            problems,
            ..Formulation::default()
        }),
    }
}

/// The formulation together with the amounts behind it, where there are any.
pub(super) fn solved(
    recipe: &Recipe,
    settings: &Settings,
) -> (Option<(Vec<Item>, Amounts)>, Formulation) {
    let failed = |problems| {
        (
            None,
            Formulation {
                problems,
                ..Formulation::default()
            },
        )
    };
    let problems = check(recipe);
    if !problems.is_empty() {
        return failed(problems);
    }
    let items = match prepare(recipe) {
        Ok(items) => items,
        Err(problems) => return failed(problems),
    };
    let task = Task {
        recipe,
        items: &items,
        tolerance_abv: tolerance(recipe),
    };
    let mut amounts = match solve(&task) {
        Ok(amounts) => amounts,
        Err(problem) => {
            let mut formulation = Formulation {
                problems: vec![problem],
                ..Formulation::default()
            };
            formulation.ingredients = unsolved_lines(recipe, &items);
            return (None, formulation);
        }
    };
    let formulation = evaluate(&task, &mut amounts, settings, false);
    (Some((items, amounts)), formulation)
}

/// Strength at which the strongest of the yeasts that ferment the must stops, % ABV.
pub(super) fn tolerance(recipe: &Recipe) -> f64 {
    let fermenting = recipe
        .yeasts
        .iter()
        .filter(|yeast| yeast.when != YeastWhen::Bottle);
    fermenting
        .map(|yeast| yeast.tolerance_abv_percent)
        .fold(0.0, f64::max)
}

/// What the other parts of the formulation are made from.
pub(super) struct Balance<'a> {
    pub recipe: &'a Recipe,
    pub items: &'a [Item],
    pub amounts: &'a Amounts,
    pub whole: &'a Must,
    pub whole_liquid: &'a Liquid,
    pub must_volume_l: f64,
    pub course: &'a Course,
    pub finished: &'a Finished,
    pub ladder: &'a Ladder,
    pub content: &'a style::Content,
    pub tolerance_abv: f64,
    pub settings: &'a Settings,
}

/// The numbers for given amounts. With `sweetening_given` the sweetening in `amounts` is taken as weighed; else it is
/// solved and written there.
pub(super) fn evaluate(
    task: &Task<'_>,
    amounts: &mut Amounts,
    settings: &Settings,
    sweetening_given: bool,
) -> Formulation {
    let (recipe, items) = (task.recipe, task.items);
    let of_stage = |wanted: &dyn Fn(When) -> bool| {
        let chosen = items
            .iter()
            .zip(&amounts.kg)
            .filter(|(item, _)| wanted(item.when));
        chosen.fold(Liquid::default(), |sum, (item, kg)| sum + item.parts * *kg)
    };
    let water = Liquid {
        water_kg: amounts.water_kg,
        ..Liquid::default()
    };
    let must_liquid = water + of_stage(&|when| when == When::Must);
    let whole_liquid = must_liquid + of_stage(&|when| when == When::Primary);
    let mut formulation = Formulation::default();
    if !(whole_liquid.mass_kg() > 0.0) {
        formulation.problems.push(outside());
        return formulation;
    }
    let must = must_of(items, amounts, &must_liquid, &|when| when == When::Must);
    let whole = must_of(items, amounts, &whole_liquid, &solved_by_aim);

    let mut after = plan(task, amounts.volume_l, task.tolerance_abv);
    if sweetening_given {
        let parts = amounts
            .sweetening
            .iter()
            .filter_map(|(index, kg)| items.get(*index).map(|item| item.parts * *kg));
        after.sweetening =
            super::course::Sweetening::Given(parts.fold(Liquid::default(), |sum, part| sum + part));
    }
    let course = follow(&whole_liquid, &after);
    if !sweetening_given && course.sweetening_kg > 0.0 {
        if let Some(by) = SweetenBy::choose(items, amounts.volume_l) {
            let parts = by.parts(items, amounts.volume_l);
            amounts.sweetening = parts
                .into_iter()
                .map(|(index, part)| (index, part * course.sweetening_kg))
                .collect();
        }
    }
    let finished = finished(items, amounts, &course, whole.og);
    if !all_finite(&whole, &finished) {
        formulation.problems.push(outside());
        return formulation;
    }
    if let Some(fault) = course.fault {
        formulation.problems.push(fault.problem());
    }
    let ladder = ladder(&whole_liquid, &whole, &finished, &course);
    let content = style::content(recipe, items, amounts);
    let balance = Balance {
        recipe,
        items,
        amounts,
        whole: &whole,
        whole_liquid: &whole_liquid,
        must_volume_l: must.volume_l,
        course: &course,
        finished: &finished,
        ladder: &ladder,
        content: &content,
        tolerance_abv: task.tolerance_abv,
        settings,
    };
    let feeding = feeding::plan(&balance);
    let fit = vessel::fit(&balance);
    formulation.package = Some(vessel::package(&balance));
    formulation.style = Some(style::recognise(&balance));
    formulation.pitching = Some(pitching::pitch(&balance));
    formulation.ingredients = lines(&balance);
    formulation.limits = Some(Limits {
        stopped_by: course.natural.stopped_by.into(),
        headroom_abv_percent: task.tolerance_abv - finished.abv_before_sweetening_percent,
    });
    formulation.cautions = cautions::all(&balance, &feeding, &fit);
    formulation.feeding = Some(feeding);
    formulation.vessel = Some(fit);
    formulation.ladder = Some(ladder);
    formulation.must = Some(must);
    formulation.whole = Some(whole);
    formulation.finished = Some(finished);
    formulation
}

impl From<super::balance::StoppedBy> for StoppedBy {
    fn from(by: super::balance::StoppedBy) -> Self {
        match by {
            super::balance::StoppedBy::Sugar => StoppedBy::Sugar,
            super::balance::StoppedBy::Tolerance => StoppedBy::Tolerance,
        }
    }
}

fn outside() -> Problem {
    Problem::new(
        ProblemCode::OutsideTheModel,
        "/ingredients",
        Arguments::none(),
    )
}

/// Sum over items of what they carry per kilogram; `None` if none of them carries it.
fn carried(
    items: &[Item],
    kg: &[f64],
    stage: &dyn Fn(When) -> bool,
    per_kg: &dyn Fn(&Item) -> Option<f64>,
) -> Option<f64> {
    let carriers = items.iter().zip(kg).filter(|(item, _)| stage(item.when));
    let mut known = carriers
        .filter_map(|(item, kg)| per_kg(item).map(|value| value * kg))
        .peekable();
    known.peek().is_some().then(|| known.sum())
}

fn must_of(
    items: &[Item],
    amounts: &Amounts,
    liquid: &Liquid,
    stage: &dyn Fn(When) -> bool,
) -> Must {
    let state = liquid.state();
    let per_l = |kg: f64| kg * 1000.0 / state.volume_l;
    Must {
        volume_l: state.volume_l,
        mass_kg: liquid.mass_kg(),
        water_l: amounts.water_kg / WATER_20 * 1000.0,
        brix: liquid.solids_kg() / liquid.mass_kg() * 100.0,
        og: state.sg,
        sugar_g_per_l: per_l(liquid.sugar_kg),
        extract_g_per_l: per_l(liquid.solids_kg()),
        ta_g_per_l: carried(items, &amounts.kg, stage, &|item| item.acid).map(per_l),
        yan_mg_per_l: carried(items, &amounts.kg, stage, &|item| item.yan)
            .map(|mg| mg / state.volume_l),
    }
}

fn finished(items: &[Item], amounts: &Amounts, course: &Course, og: f64) -> Finished {
    let end = &course.end;
    let state = end.state();
    let before = course.first.liquid.state();
    let per_l = |kg: f64| kg * 1000.0 / state.volume_l;
    let (ethanol, extract) = (per_l(end.ethanol_kg), per_l(end.solids_kg()));
    let acid = carried(items, &amounts.kg, &|_| true, &|item| item.acid);
    let sweetening = amounts.sweetening.iter();
    let acid_of_sweetening: f64 = sweetening
        .filter_map(|(index, kg)| items.get(*index)?.acid.map(|acid| acid * kg))
        .sum();
    Finished {
        fg: state.sg,
        abv_percent: state.abv_percent,
        abw_percent: state.abw_percent,
        volume_l: state.volume_l,
        residual_sugar_g_per_l: per_l(end.sugar_kg),
        extract_g_per_l: extract,
        ta_g_per_l: acid.map(|kg| per_l(kg + acid_of_sweetening)),
        natural_fg: course.natural.liquid.state().sg,
        abv_before_sweetening_percent: before.abv_percent,
        attenuation_percent: if og > 1.0 {
            (og - before.sg) / (og - 1.0) * 100.0
        } else {
            0.0
        },
        co2_kg: course.co2_kg,
        lees_kg: course.biomass_kg,
        energy_kj_per_100ml: (29.0 * ethanol + 17.0 * extract) / 10.0,
    }
}

fn all_finite(whole: &Must, finished: &Finished) -> bool {
    [
        whole.volume_l,
        whole.og,
        whole.brix,
        whole.sugar_g_per_l,
        finished.fg,
        finished.abv_percent,
        finished.volume_l,
        finished.extract_g_per_l,
        finished.attenuation_percent,
        finished.energy_kj_per_100ml,
    ]
    .iter()
    .all(|value| value.is_finite())
}

fn ladder(whole_liquid: &Liquid, whole: &Must, finished: &Finished, course: &Course) -> Ladder {
    let at_limit = ferment_to_abv(whole_liquid, AMMONIUM_LIMIT_ABV)
        .filter(|_| course.natural.liquid.state().abv_percent >= AMMONIUM_LIMIT_ABV);
    Ladder {
        one_third_break_sg: whole.og - (whole.og - finished.natural_fg) / 3.0,
        ammonium_limit_sg: at_limit.map(|reached| reached.liquid.state().sg),
        tolerance_sg: match course.natural.stopped_by {
            super::balance::StoppedBy::Tolerance => Some(finished.natural_fg),
            super::balance::StoppedBy::Sugar => None,
        },
    }
}

fn lines(balance: &Balance<'_>) -> Vec<Line> {
    let points_per_kg = 1000.0 * (balance.whole.og - 1.0) / balance.whole_liquid.solids_kg();
    let line = |index: usize, item: &Item, kg: f64, when: When, solved: bool| Line {
        index,
        solved,
        name: balance
            .recipe
            .ingredients
            .get(index)
            .map(|item| item.name.clone())
            .unwrap_or_default(),
        when,
        kg: Some(kg),
        litres: item.density.map(|density| kg / density),
        sugar_kg: Some(item.parts.sugar_kg * kg),
        gravity_points: (solved_by_aim(when) && points_per_kg.is_finite())
            .then(|| points_per_kg * item.parts.solids_kg() * kg),
        cost: item.price.map(|price| price * kg),
    };
    let stated = balance.items.iter().zip(&balance.amounts.kg).enumerate();
    let mut lines: Vec<Line> = stated
        // A share that sweetens has its line below, with the amount that was solved.
        .filter(|(_, (item, _))| {
            !(item.when == When::Sweeten && matches!(item.quantity, Quantity::Share(_)))
        })
        .map(|(index, (item, kg))| {
            let solved = matches!(item.quantity, Quantity::Share(_) | Quantity::Filler);
            line(index, item, *kg, item.when, solved)
        })
        .collect();
    let sweetening = balance.amounts.sweetening.iter();
    lines.extend(sweetening.filter_map(|(index, kg)| {
        let item = balance.items.get(*index)?;
        Some(line(*index, item, *kg, When::Sweeten, true))
    }));
    lines
}

/// What is known of the amounts when the aim could not be solved.
fn unsolved_lines(recipe: &Recipe, items: &[Item]) -> Vec<Line> {
    let lines = recipe.ingredients.iter().zip(items).enumerate();
    lines
        .map(|(index, (ingredient, item))| {
            let kg = match item.quantity {
                Quantity::Fixed(kg) => Some(kg),
                Quantity::PerLitre(kg)
                    if !matches!(recipe.aim, super::recipe::Aim::UseHoney { .. }) =>
                {
                    recipe.volume_l.map(|volume| volume * kg)
                }
                _ => None,
            };
            Line {
                index,
                solved: matches!(item.quantity, Quantity::Share(_) | Quantity::Filler),
                name: ingredient.name.clone(),
                when: ingredient.when,
                kg,
                litres: kg.zip(item.density).map(|(kg, density)| kg / density),
                sugar_kg: kg.map(|kg| kg * item.parts.sugar_kg),
                gravity_points: None,
                cost: kg.zip(item.price).map(|(kg, price)| kg * price),
            }
        })
        .collect()
}

/// Whether the recipe is left to ferment dry before anything else.
pub(super) fn ferments_dry(recipe: &Recipe) -> bool {
    !matches!(recipe.finish, Finish::ArrestTo(_))
}
