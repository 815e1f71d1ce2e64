//! Honey in steps: how much of it waits, and when each part goes in.
//!
//! Start at most 1.110, feed at 1.015, by 0.015; all nitrogen on the first must's sugar and half of the fed; stop 1 % under
//! the yeast's limit: common practice, no published source.

use super::book::{Book, Stand, numbered};
use super::codes::{StepKind as Kind, Why};
use super::days;
use super::step::{Amount, Due, Step};
use crate::engine::balance::{Liquid, ferment};
use crate::engine::feeding::{part_of_demand, sugar_of_gravity};
use crate::engine::formulation::{Formulation, Must};
use crate::engine::numeric::find_root;
use crate::engine::prepare::dissolved;
use crate::engine::problem::{Arguments, Caution, CautionCode as Code, Severity};
use crate::engine::recipe::{self, Recipe, When};
use crate::engine::step_feeding::{Feeding, dry_abv, plan};

const START_SG: f64 = 1.110;
const FEED_AT_SG: f64 = 1.015;
const STEP_SG: f64 = 0.015;
const MOST_NITROGEN: f64 = 250.0;

/// Honey that waits, and what the first must is without it.
pub(super) struct Held {
    /// Kilograms that wait.
    pub kg: f64,
    pub first_sg: f64,
    pub first_l: f64,
    pub break_sg: f64,
    /// What of each feed of the plan is wanted, 0 to 1.
    pub of_feeds: f64,
    pub feedings: Vec<Feeding>,
}

/// Whether the maker's own steps speak of it.
fn is_wanted(recipe: &Recipe) -> bool {
    recipe.process.iter().any(|step| {
        let text = format!("{} {}", step.when, step.text).to_lowercase();
        let steps = ["step feed", "step-feed"]
            .iter()
            .any(|words| text.contains(words));
        steps || (text.contains("in steps") && text.contains("honey"))
    })
}

fn liquid_of(must: &Must) -> Liquid {
    let per_litre = |grams: f64| grams * must.volume_l / 1000.0;
    Liquid {
        water_kg: must.mass_kg - per_litre(must.extract_g_per_l),
        sugar_kg: per_litre(must.sugar_g_per_l),
        extract_kg: per_litre(must.extract_g_per_l - must.sugar_g_per_l),
        ethanol_kg: 0.0,
    }
}

/// What waits, where the recipe says so and is stronger than what a yeast should begin with; of its own honeys in their
/// proportions.
pub(super) fn held(recipe: &Recipe, numbers: &Formulation) -> Option<Held> {
    if !is_wanted(recipe) {
        return None;
    }
    let must = numbers.must.as_ref()?;
    let all = liquid_of(must);
    if must.og <= START_SG {
        return None;
    }
    let (mut honeys, mut kg) = (Liquid::default(), 0.0);
    for line in &numbers.ingredients {
        let item = recipe.ingredients.get(line.index);
        let honey = item.filter(|item| item.kind == recipe::Kind::Honey);
        let Some((item, mass)) = honey.zip(line.kg) else {
            continue;
        };
        if line.when == When::Must {
            honeys = honeys + dissolved(item.kind, item.composition.as_ref()?) * mass;
            kg += mass;
        }
    }
    if kg <= 0.0 {
        return None;
    }
    let without = |part: f64| all + honeys * -part;
    let part = find_root(|part| without(part).state().sg - START_SG, 0.0, 1.0, 1e-12)?;
    let first = without(part);
    let honey = honeys * (1.0 / kg);
    let steps = plan(&first, &honey, FEED_AT_SG, STEP_SG, dry_abv(&all))?;
    let state = first.state();
    let first_fg = ferment(&first, first.sugar_kg).state().sg;
    Some(Held {
        kg: kg * part,
        first_sg: state.sg,
        first_l: state.volume_l,
        break_sg: state.sg - (state.sg - first_fg) / 3.0,
        of_feeds: of_feeds(
            recipe,
            numbers,
            state.sg,
            honeys.solids_kg() * part,
            state.volume_l,
        ),
        feedings: steps.feedings,
    })
}

/// The part of the planned nitrogen that is wanted when part of the sugar comes later, 0 to 1.
fn of_feeds(
    recipe: &Recipe,
    numbers: &Formulation,
    first_sg: f64,
    fed_kg: f64,
    litres: f64,
) -> f64 {
    let Some(feeding) = &numbers.feeding else {
        return 1.0;
    };
    let sugar = sugar_of_gravity(first_sg).max(0.0) + 0.5 * 1000.0 * fed_kg / litres;
    let demand = feeding.demand.class * sugar / feeding.sugar_g_per_l;
    let target = (part_of_demand(recipe.feeding) * demand).min(MOST_NITROGEN);
    // Both for their own litres: what is fed later brings volume, too.
    let whole_l = numbers
        .whole
        .as_ref()
        .map_or(litres, |whole| whole.volume_l);
    let part = (target - feeding.must_mg_per_l) * litres / (feeding.deficit_mg_per_l * whole_l);
    if part.is_nan() {
        1.0
    } else {
        part.clamp(0.0, 1.0)
    }
}

/// The feedings; the last of them, or the pitch.
pub(super) fn feed(book: &mut Book<'_>, pitch: &Stand, held: Option<&Held>) -> Option<Stand> {
    let held = held?;
    let mut last: Option<Stand> = None;
    for (feeding, number) in held.feedings.iter().zip(1..) {
        let after = last.as_ref().unwrap_or(pitch);
        let wait = match last {
            None => days::FIRST_HONEY,
            Some(_) => days::NEXT_HONEY,
        };
        let mut cautions = book.coded(&[Code::EndsAtYeastLimit]);
        let gas = Caution::new(Code::StirBeforeFeeding, Severity::Watch, Arguments::none());
        cautions.push(gas);
        let give = Step {
            amounts: vec![
                Amount::Honey {
                    kg: feeding.honey_kg,
                },
                Amount::Reads { sg: feeding.to_sg },
            ],
            due: Due {
                at: after.plus(wait),
                or_at_sg: Some(feeding.at_sg),
            },
            cautions,
            ..numbered("honey", number, Kind::HoneyFeed, Why::HoneyInSteps)
        };
        last = Some(book.add(give, None, Some(after)));
    }
    last
}
