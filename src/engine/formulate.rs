//! From a recipe to its formulation: check, prepare, solve, evaluate.

use super::balance::{Liquid, ferment_to_abv};
use super::cautions;
use super::check::check;
use super::course::{Course, Sweetening, follow};
use super::density::WATER_20;
use super::feeding;
use super::formulation::{Finished, Formulation, Ladder, Limits, Must, StoppedBy};
use super::json::NotJson;
use super::lines::{solved_lines, unsolved_lines};
use super::pitching;
use super::prepare::{Item, prepare, solved_by_aim};
use super::problem::{Arguments, Problem, ProblemCode};
use super::reading::{ReadError, read};
use super::recipe::{Finish, Recipe, When, YeastWhen};
use super::solver::{Amounts, Task, plan, solve};
use super::spread;
use super::style;
use super::sweetening::SweetenBy;
use super::taste;
use super::vessel;
use super::water;

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
            let mut problems = vec![problem];
            problems.extend(
                water::of_recipe(recipe.water_report.as_ref(), 1.0)
                    .err()
                    .unwrap_or_default(),
            );
            let formulation = Formulation {
                ingredients: unsolved_lines(recipe, &items),
                style: Some(style::as_declared(recipe)),
                cautions: cautions::without_amounts(recipe, &items),
                problems,
                ..Formulation::default()
            };
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

impl Balance<'_> {
    /// Tolerance less the strength before sweetening, % ABV; 0 where the yeast's limit is the end.
    pub fn headroom(&self) -> f64 {
        let headroom = self.tolerance_abv - self.finished.abv_before_sweetening_percent;
        if headroom > 1e-9 { headroom } else { 0.0 }
    }
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
    let added_water = Liquid {
        water_kg: amounts.water_kg,
        ..Liquid::default()
    };
    let must_liquid = added_water + of_stage(&|when| when == When::Must);
    let whole_liquid = must_liquid + of_stage(&|when| when == When::Primary);
    let mut formulation = Formulation::default();
    let must = must_of(items, amounts, &must_liquid, &|when| when == When::Must);
    let whole = must_of(items, amounts, &whole_liquid, &solved_by_aim);
    let Some(whole) = whole.filter(|_| described(&whole_liquid)) else {
        formulation.problems.push(outside());
        return formulation;
    };

    let mut after = plan(task, amounts.volume_l, task.tolerance_abv);
    if sweetening_given {
        after.sweetening = Sweetening::Given(of_amounts(items, &amounts.sweetening));
    }
    let course = follow(&whole_liquid, &after);
    if !sweetening_given
        && course.sweetening_kg > 0.0
        && let Some(by) = SweetenBy::choose(items, amounts.volume_l)
    {
        let parts = by.parts(items, amounts.volume_l).into_iter();
        amounts.sweetening = parts
            .map(|(index, part)| (index, part * course.sweetening_kg))
            .collect();
    }
    let finished = finished(items, amounts, &course, whole.og);
    if !described(&course.end) {
        formulation.problems.push(outside());
        formulation.must = must;
        formulation.whole = Some(whole);
        return formulation;
    }
    if let Some(fault) = course.fault {
        formulation.problems.push(fault.problem());
    }
    let ladder = ladder(&whole_liquid, &whole, &finished, &course);
    let content = style::content(items, amounts);
    let balance = Balance {
        recipe,
        items,
        amounts,
        whole: &whole,
        whole_liquid: &whole_liquid,
        must_volume_l: must.as_ref().map_or(0.0, |must| must.volume_l),
        course: &course,
        finished: &finished,
        ladder: &ladder,
        content: &content,
        tolerance_abv: task.tolerance_abv,
        settings,
    };
    after.sweetening = Sweetening::Given(of_amounts(items, &amounts.sweetening));
    formulation.spread = spread::spread(&balance, &after);
    match water::of_recipe(recipe.water_report.as_ref(), whole.water_l) {
        Ok(water) => formulation.water = water,
        Err(problems) => formulation.problems.extend(problems),
    }
    formulation.balance = taste::sugar_and_acid(&finished);
    let feeding = feeding::plan(&balance);
    let fit = vessel::fit(&balance);
    formulation.package = Some(vessel::package(&balance, &feeding));
    formulation.style = Some(style::recognise(&balance));
    formulation.pitching = Some(pitching::pitch(&balance));
    formulation.ingredients = solved_lines(&balance);
    formulation.limits = Some(Limits {
        stopped_by: course.natural.stopped_by.into(),
        headroom_abv_percent: balance.headroom(),
    });
    formulation.cautions = cautions::all(&balance, &feeding, &fit, formulation.water.as_ref());
    formulation.feeding = Some(feeding);
    formulation.vessel = Some(fit);
    formulation.ladder = Some(ladder);
    formulation.must = must;
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

/// Strongest solution the density relations describe, mass fraction of solids.
const STRONGEST_SOLUTION: f64 = 0.85;

/// Whether the density relations hold for a liquid: there is some, and it is no syrup thicker than they go.
fn described(liquid: &Liquid) -> bool {
    let mass = liquid.mass_kg();
    mass > 0.0 && liquid.solids_kg() <= STRONGEST_SOLUTION * mass
}

/// Sum of what amounts carry per kilogram; `None` if none of them carries it.
fn carried<'a>(
    items: &'a [Item],
    amounts: impl Iterator<Item = (usize, f64)> + 'a,
    per_kg: &'a dyn Fn(&Item) -> Option<f64>,
) -> Option<f64> {
    let mut known = amounts
        .filter(|(_, kg)| *kg > 0.0)
        .filter_map(|(index, kg)| Some(per_kg(items.get(index)?)? * kg))
        .peekable();
    known.peek().is_some().then(|| known.sum())
}

/// What these amounts of items dissolve to.
fn of_amounts(items: &[Item], amounts: &[(usize, f64)]) -> Liquid {
    let parts = amounts
        .iter()
        .filter_map(|(index, kg)| items.get(*index).map(|item| item.parts * *kg));
    parts.sum()
}

/// A must's numbers; `None` where there is no liquid to speak of.
fn must_of(
    items: &[Item],
    amounts: &Amounts,
    liquid: &Liquid,
    stage: &dyn Fn(When) -> bool,
) -> Option<Must> {
    let state = liquid.state();
    // All the liquid may come with the fruit: then the must before it is nothing, or a trace of rounding.
    if state.volume_l <= 1e-9 * amounts.volume_l {
        return None;
    }
    let per_l = |kg: f64| kg * 1000.0 / state.volume_l;
    let here = || {
        let chosen = items.iter().zip(&amounts.kg).enumerate();
        chosen
            .filter(|(_, (item, _))| stage(item.when))
            .map(|(index, (_, kg))| (index, *kg))
    };
    Some(Must {
        volume_l: state.volume_l,
        mass_kg: liquid.mass_kg(),
        water_l: amounts.water_kg / WATER_20 * 1000.0,
        brix: liquid.solids_kg() / liquid.mass_kg() * 100.0,
        og: state.sg,
        sugar_g_per_l: per_l(liquid.sugar_kg),
        extract_g_per_l: per_l(liquid.solids_kg()),
        ta_g_per_l: carried(items, here(), &|item| item.acid).map(per_l),
        yan_mg_per_l: carried(items, here(), &|item| item.yan).map(|mg| mg / state.volume_l),
    })
}

fn finished(items: &[Item], amounts: &Amounts, course: &Course, og: f64) -> Finished {
    let end = &course.end;
    let state = end.state();
    let before = course.first.liquid.state();
    let per_l = |kg: f64| kg * 1000.0 / state.volume_l;
    let (ethanol, extract) = (per_l(end.ethanol_kg), per_l(end.solids_kg()));
    let stated = amounts.kg.iter().copied().enumerate();
    let all = stated.chain(amounts.sweetening.iter().copied());
    Finished {
        fg: state.sg,
        abv_percent: state.abv_percent,
        abw_percent: state.abw_percent,
        volume_l: state.volume_l,
        residual_sugar_g_per_l: per_l(end.sugar_kg),
        extract_g_per_l: extract,
        ta_g_per_l: carried(items, all, &|item| item.acid).map(per_l),
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

fn ladder(whole_liquid: &Liquid, whole: &Must, finished: &Finished, course: &Course) -> Ladder {
    let at_limit = ferment_to_abv(whole_liquid, AMMONIUM_LIMIT_ABV)
        .filter(|_| course.first.liquid.state().abv_percent >= AMMONIUM_LIMIT_ABV);
    // Stopped by hand before the yeast's limit, the limit is not reached.
    let runs_out = course.first.consumed_kg >= course.natural.consumed_kg;
    Ladder {
        one_third_break_sg: whole.og - (whole.og - finished.natural_fg) / 3.0,
        ammonium_limit_sg: at_limit.map(|reached| reached.liquid.state().sg),
        tolerance_sg: match course.natural.stopped_by {
            super::balance::StoppedBy::Tolerance if runs_out => Some(finished.natural_fg),
            _ => None,
        },
    }
}

/// Whether the recipe is left to ferment dry before anything else.
pub(super) fn ferments_dry(recipe: &Recipe) -> bool {
    !matches!(recipe.finish, Finish::ArrestTo(_))
}
