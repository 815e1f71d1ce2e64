//! Whether a batch fits the vessels that were chosen, and what else would: the next larger of one's own, or several.

use super::{Choice, Goal, Made, Several, takes_l};
use crate::engine::recipe::{Form, Kind, Recipe};
use crate::engine::vessel::ageing_headspace;
use crate::engine::{Settings, recipe};

/// The most vessels that anybody would share a batch out to.
const MOST_SHARED: u32 = 6;
/// What is left beside full vessels is a small part of the batch, for topping up, or they are the wrong ones.
const LEFT_OVER: f64 = 0.15;

/// What stands in the way in the first vessels, or after.
#[derive(Clone, Debug, PartialEq)]
pub enum Trouble {
    /// The first vessels take less, litres.
    TooSmall {
        takes_l: f64,
        instead: Option<Several>,
    },
    /// Fruit in a vessel with a narrow mouth.
    FruitInNarrow(Choice),
    /// More than there are of it.
    NotSoMany(Choice, u32),
    /// So many litres do not go into the later vessels, which hold so many.
    Overflows { over_l: f64, full_l: f64 },
    /// So much air, litres, stands over the mead in the later ones, of which so much, litres, would do no harm.
    AirOverIt {
        air_l: f64,
        least_l: f64,
        instead: Option<Several>,
    },
}

/// Whether fruit with skins floats in the must.
fn has_fruit(recipe: &Recipe) -> bool {
    recipe.ingredients.iter().any(|item| {
        item.kind == Kind::Fruit
            && matches!(item.when, recipe::When::Must | recipe::When::Primary)
            && item.form != Some(Form::Juice)
    })
}

/// The fewest of one vessel that hold so much: of the member's own the smallest that does alone, else the fewest of one kind that
/// they have, else a usual one.
pub fn which_holds(
    wanted_l: f64,
    all: &[Choice],
    holds: &dyn Fn(&Choice) -> Option<f64>,
) -> Option<Several> {
    let enough = |count: u32, litres: f64| f64::from(count) * litres >= wanted_l * (1.0 - 1e-9);
    let mut best: Option<(bool, u32, f64, &Choice)> = None;
    for of in all {
        let Some(litres) = holds(of) else { continue };
        let most = of
            .have
            .map_or(1, |have| have.unsigned_abs())
            .min(MOST_SHARED);
        let Some(count) = (1..=most).find(|count| enough(*count, litres)) else {
            continue;
        };
        let rank = (!of.is_mine(), count, f64::from(count) * litres, of);
        let better = best.as_ref().is_none_or(|(usual, many, most, _)| {
            (rank.0, rank.1)
                .cmp(&(*usual, *many))
                .then(rank.2.total_cmp(most))
                .is_lt()
        });
        if better {
            best = Some(rank);
        }
    }
    best.map(|(_, count, _, of)| (count, of.clone()))
}

/// The member's own vessels for ageing that so much fills to the neck, with little left over.
pub fn filled_of_mine(litres: f64, all: &[Choice]) -> Option<(Several, f64)> {
    use crate::catalogue::VesselKind;
    let ages =
        |of: &&Choice| of.is_mine() && !matches!(of.kind, VesselKind::Bucket | VesselKind::Tank);
    let mut best: Option<(Several, f64)> = None;
    for of in all.iter().filter(ages) {
        let full_l = of.full_l();
        let count = (litres / full_l + 1e-6).floor();
        let have = of.have.unwrap_or(0).unsigned_abs();
        if count < 1.0 || count > f64::from(have.min(MOST_SHARED)) {
            continue;
        }
        let left = (litres - count * full_l).max(0.0);
        let better = best.as_ref().is_none_or(|(_, least)| left < *least);
        if left <= LEFT_OVER * litres && better {
            best = Some(((count as u32, of.clone()), left));
        }
    }
    best
}

/// Everything that stands in the way, the gravest first.
pub fn troubles(own: &Recipe, made: &Made, all: &[Choice], settings: &Settings) -> Vec<Trouble> {
    let mut found = Vec::new();
    if let Some(takes) = made.takes_l
        && made.volume_l > takes * (1.0 + 1e-9)
        && made.wish.goal != Goal::FillFirst
    {
        let holds = |of: &Choice| takes_l(own, of, settings);
        let usable: Vec<Choice> = all.iter().filter(|of| ferments_in(of)).cloned().collect();
        found.push(Trouble::TooSmall {
            takes_l: takes,
            instead: which_holds(made.volume_l, &usable, &holds),
        });
    }
    let chosen = made.wish.first.iter().chain(&made.wish.later);
    for (count, of) in chosen {
        if of.have.is_some_and(|have| have.unsigned_abs() < *count) {
            found.push(Trouble::NotSoMany(of.clone(), *count));
        }
    }
    if has_fruit(own) {
        let narrow = made.wish.first.iter().find(|(_, of)| !of.wide_mouth);
        found.extend(narrow.map(|(_, of)| Trouble::FruitInNarrow(of.clone())));
    }
    if let Some((count, of)) = &made.wish.later {
        found.extend(later(made, *count, of, all));
    }
    found
}

/// Whether a must would be put into it to ferment: what is hard to clean and vents badly is kept for later.
fn ferments_in(of: &Choice) -> bool {
    use crate::catalogue::VesselKind;
    !matches!(of.kind, VesselKind::Keg | VesselKind::Barrel)
}

fn later(made: &Made, count: u32, of: &Choice, all: &[Choice]) -> Option<Trouble> {
    let stands_l = made.chain.secondary_l;
    let brims_l = f64::from(count) * of.brim_l;
    let least_l = brims_l * ageing_headspace(of.kind.word());
    let air_l = brims_l - stands_l;
    // The batch is rounded up to what can be measured: a glass more than full is no trouble.
    let glass_l = 0.01 * brims_l;
    if air_l < -glass_l {
        return Some(Trouble::Overflows {
            over_l: -air_l,
            full_l: brims_l,
        });
    }
    (air_l > least_l + glass_l).then(|| Trouble::AirOverIt {
        air_l,
        least_l,
        instead: filled_of_mine(stands_l, all).map(|(several, _)| several),
    })
}
