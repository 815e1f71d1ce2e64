//! From an aim to amounts: honey, and water or a filler, for a gravity or a strength in a volume, or the volume itself.

use super::balance::{Liquid, add_water_for_volume};
use super::course::{Fault, Plan, Sweetening, follow};
use super::density::{WATER_20, fraction_of_sg};
use super::numeric::{between, find_root};
use super::prepare::{Item, Quantity, solved_by_aim};
use super::problem::{Arguments, Problem, ProblemCode};
use super::recipe::{Aim, Finish, Recipe, Target, When};
use super::sweetening::SweetenBy;
use super::whole::{Mix, STRONGEST, WEAKEST, Whole};

/// Every amount, in kilograms, in the order of the document.
#[derive(Clone, Debug, Default)]
pub(super) struct Amounts {
    pub volume_l: f64,
    /// Of each item; what sweetens by share is in `sweetening`.
    pub kg: Vec<f64>,
    pub water_kg: f64,
    /// Item and kilograms of what is added to sweeten.
    pub sweetening: Vec<(usize, f64)>,
}

impl Amounts {
    /// What sweetens, item by item, kg; `None` for what does not.
    pub fn sweetening_of_each(&self) -> Vec<Option<f64>> {
        let mut each = vec![None; self.kg.len()];
        for (index, kg) in &self.sweetening {
            if let Some(sum) = each.get_mut(*index) {
                *sum = Some(sum.unwrap_or(0.0) + kg);
            }
        }
        each
    }
}

/// How far above the yeast's limit strengths are searched, % ABV, so that a wish for just the limit has an answer.
const HAIR_ABV: f64 = 1e-9;

/// Strength of the finished mead for a must; beyond every strength where no such must exists.
fn strength(whole: &Whole, mix: Option<Mix>, plan: impl Fn(&Mix) -> Plan) -> f64 {
    let Some(mix) = mix else {
        return 1000.0;
    };
    let course = follow(&whole.liquid(&mix), &plan(&mix));
    match course.fault {
        // A must that starts below the gravity to stop at has not fermented when it stops.
        Some(Fault::ArrestOutOfReach { wanted, og, .. }) if og < wanted => 0.0,
        _ => course.end.state().abv_percent,
    }
}

/// What to find the amounts for, besides the items.
pub(super) struct Task<'a> {
    pub recipe: &'a Recipe,
    pub items: &'a [Item],
    pub tolerance_abv: f64,
}

/// Solves the aim.
///
/// # Errors
/// The problem that makes it impossible; nothing is clamped.
pub(super) fn solve(task: &Task<'_>) -> Result<Amounts, Problem> {
    let whole = Whole::new(task.items);
    if whole.filler.mass_kg() <= 0.0 {
        return Err(filler_too_strong(task));
    }
    let mix = match task.recipe.aim {
        Aim::Amounts => fill(&whole, task.recipe.volume_l.unwrap_or(0.0)),
        Aim::Target(target) => {
            let volume_l = task.recipe.volume_l.unwrap_or(0.0);
            let range = Some((WEAKEST, STRONGEST));
            aim(task, &whole, target, range, |w| {
                whole.at_volume(w, volume_l)
            })
        }
        Aim::UseHoney { kg, target } => use_honey(task, &whole, kg, target),
    }?;
    if mix.share_kg < -1e-9 * mix.volume_l {
        let arguments = Arguments::none().with("honey_kg", mix.share_kg);
        return Err(Problem::new(ProblemCode::HoneyNegative, "/aim", arguments));
    }
    if mix.filler_kg < -1e-9 * mix.volume_l {
        return Err(no_room(task, &whole, &mix));
    }
    Ok(amounts(task, &mix))
}

/// Fixed amounts: water, or the filler, fills the volume.
fn fill(whole: &Whole, volume_l: f64) -> Result<Mix, Problem> {
    let base = whole.fixed + whole.per_litre * volume_l;
    let filler_kg = if whole.filled_by_water {
        Some(add_water_for_volume(&base, volume_l))
    } else {
        // A negative root is wanted too: it says by how much the ingredients are too many.
        let full = volume_l * 2.0 / whole.filler.mass_kg();
        find_root(
            |kg| {
                let liquid = base + whole.filler * kg;
                if liquid.mass_kg() > 0.0 {
                    liquid.state().volume_l - volume_l
                } else {
                    -volume_l
                }
            },
            -base.mass_kg() / whole.filler.mass_kg() - full,
            full,
            1e-12 * volume_l,
        )
    };
    match filler_kg {
        Some(filler_kg) if filler_kg.is_finite() => Ok(Mix {
            volume_l,
            share_kg: 0.0,
            filler_kg,
        }),
        _ => Err(Problem::new(
            ProblemCode::OutsideTheModel,
            "/ingredients",
            Arguments::none(),
        )),
    }
}

/// The volume for the honey one has. Where the balance honeys sweeten too, what one has is for both.
fn use_honey(task: &Task<'_>, whole: &Whole, kg: f64, target: Target) -> Result<Mix, Problem> {
    let solve = |in_must: f64| {
        let range = whole.strengths_of_honey(in_must);
        aim(task, whole, target, range, |w| whole.at_honey(w, in_must))
    };
    let mut in_must = kg;
    let mut mix = solve(in_must)?;
    if SweetenBy::choose(task.items, mix.volume_l) != Some(SweetenBy::BalanceHoney) {
        return Ok(mix);
    }
    // The sweetening grows with the must, so a few rounds settle it; without fixed ingredients one does.
    for _ in 0..40 {
        let after = plan(task, mix.volume_l, task.tolerance_abv);
        let total = in_must + follow(&whole.liquid(&mix), &after).sweetening_kg;
        if (total - kg).abs() <= 1e-13 * kg {
            break;
        }
        in_must *= kg / total;
        mix = solve(in_must)?;
    }
    Ok(mix)
}

fn aim(
    task: &Task<'_>,
    whole: &Whole,
    target: Target,
    range: Option<(f64, f64)>,
    mix_at: impl Fn(f64) -> Option<Mix>,
) -> Result<Mix, Problem> {
    let out_of_reach = |sg: f64| {
        let arguments = Arguments::none().with("wanted_sg", sg);
        Problem::new(ProblemCode::GravityOutOfReach, "/aim/gravity_sg", arguments)
    };
    let unsolved = || match task.recipe.aim {
        Aim::UseHoney { kg, .. } => Problem::new(
            ProblemCode::VolumeOutOfReach,
            "/aim",
            Arguments::none().with("honey_kg", kg),
        ),
        _ => filler_too_strong(task),
    };
    match target {
        Target::Gravity(sg) => {
            let w = fraction_of_sg(sg)
                .filter(|w| *w <= 0.85)
                .ok_or_else(|| out_of_reach(sg))?;
            mix_at(w).ok_or_else(unsolved)
        }
        Target::Abv(wanted) => {
            // A hair above the yeast's limit, so that a wish for just that limit has one answer: the least honey.
            let plan_for = |volume_l| plan(task, volume_l, task.tolerance_abv + HAIR_ABV);
            // What follows depends on the volume alone, which here mostly stays.
            let usual = plan_for(task.recipe.volume_l.unwrap_or(0.0));
            let plan = |mix: &Mix| match task.recipe.aim {
                Aim::UseHoney { .. } => plan_for(mix.volume_l),
                Aim::Target(_) | Aim::Amounts => usual,
            };
            let miss = |w: f64| strength(whole, mix_at(w), plan) - wanted;
            // About 17.6 g/L of honey solids make one percent, and what is left at a stop comes on top: most answers
            // lie near.
            let left = match task.recipe.finish {
                Finish::ArrestTo(sg) => (2.4 * (sg - 1.0)).max(0.0),
                _ => 0.0,
            };
            let near = 0.0176 * wanted;
            let (weakest, strongest) = range.ok_or_else(unsolved)?;
            let low = between(left + near * 0.55, weakest, strongest);
            let high = between(left + near * 1.3, weakest, strongest);
            if let Some(w) = find_root(miss, low, high, 1e-12)
                && let Some(mix) = mix_at(w)
                && miss(w).abs() < 1e-6
            {
                return Ok(mix);
            }
            let (least, most) = (miss(weakest) + wanted, miss(strongest) + wanted);
            if most < wanted && strongest == STRONGEST {
                return Err(Problem::new(
                    ProblemCode::YeastCannotReach,
                    "/aim/abv_percent",
                    Arguments::none()
                        .with("wanted", wanted)
                        .with("reachable", most.min(task.tolerance_abv)),
                ));
            }
            if least > wanted && least < 1000.0 && matches!(task.recipe.aim, Aim::Target(_)) {
                let arguments = Arguments::none()
                    .with("wanted_abv_percent", wanted)
                    .with("least_abv_percent", least);
                return Err(Problem::new(ProblemCode::HoneyNegative, "/aim", arguments));
            }
            let w = find_root(miss, weakest, strongest, 1e-12).ok_or_else(unsolved)?;
            // Where no such must exists the search ends at the edge, not at the strength.
            match mix_at(w) {
                Some(mix) if miss(w).abs() < 1e-6 => Ok(mix),
                _ => Err(unsolved()),
            }
        }
    }
}

/// What follows the first fermentation, for a must of that volume.
pub(super) fn plan(task: &Task<'_>, volume_l: f64, tolerance_abv: f64) -> Plan {
    let mut secondary = Liquid::default();
    let mut fixed_sweetening = Liquid::default();
    for item in task.items {
        let kg = match item.quantity {
            Quantity::Fixed(kg) => kg,
            Quantity::PerLitre(kg) => kg * volume_l,
            Quantity::Share(_) | Quantity::Filler => continue,
        };
        match item.when {
            When::Secondary | When::Ageing => secondary = secondary + item.parts * kg,
            When::Sweeten => fixed_sweetening = fixed_sweetening + item.parts * kg,
            When::Must | When::Primary => {}
        }
    }
    let sweetener = match task.recipe.finish {
        Finish::SweetenTo(_) => {
            SweetenBy::choose(task.items, volume_l).map(|by| by.one_kilogram(task.items, volume_l))
        }
        _ => None,
    };
    Plan {
        finish: task.recipe.finish,
        tolerance_abv,
        secondary,
        fixed_sweetening,
        sweetening: Sweetening::Solve(sweetener),
    }
}

fn amounts(task: &Task<'_>, mix: &Mix) -> Amounts {
    let shares: f64 = task
        .items
        .iter()
        .filter(|item| solved_by_aim(item.when))
        .filter_map(|item| match item.quantity {
            Quantity::Share(share) => Some(share),
            _ => None,
        })
        .sum();
    let mut water_kg = mix.filler_kg.max(0.0);
    let kg = task
        .items
        .iter()
        .map(|item| match item.quantity {
            Quantity::Fixed(kg) => kg,
            Quantity::PerLitre(kg) => kg * mix.volume_l,
            Quantity::Share(share) if solved_by_aim(item.when) => {
                mix.share_kg.max(0.0) * share / shares
            }
            Quantity::Share(_) => 0.0,
            Quantity::Filler => {
                water_kg = 0.0;
                mix.filler_kg.max(0.0)
            }
        })
        .collect();
    Amounts {
        volume_l: mix.volume_l,
        kg,
        water_kg,
        sweetening: Vec::new(),
    }
}

fn filler_too_strong(task: &Task<'_>) -> Problem {
    let name = task.recipe.filler.as_deref().unwrap_or("");
    Problem::new(
        ProblemCode::FillerTooStrong,
        "/filler",
        Arguments::none().with("name", name),
    )
}

fn no_room(task: &Task<'_>, whole: &Whole, mix: &Mix) -> Problem {
    let litres = mix.filler_kg / WATER_20 * 1000.0;
    let named = match &task.recipe.filler {
        Some(name) => Arguments::none().with("filler", name.as_str()),
        None => Arguments::none(),
    };
    let least = whole
        .liquid(&Mix {
            filler_kg: 0.0,
            ..*mix
        })
        .state()
        .volume_l;
    let path = if matches!(task.recipe.aim, Aim::Amounts) {
        "/volume_l"
    } else {
        "/aim"
    };
    let arguments = named
        .with("litres", litres)
        .with("volume_l", mix.volume_l)
        .with("at_least_l", least);
    Problem::new(ProblemCode::NoRoomForWater, path, arguments)
}
