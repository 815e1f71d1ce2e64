//! What to make of the vessel: room for foam, bag and bucket for fruit, glass for clearing, brim and shoulder.
//!
//! Common practice, no published source; the room wanted is the engine's.

use super::Case;
use crate::catalogue::{VesselKind, catalogue};
use crate::engine::recipe::{Form, Kind, Recipe, Vessel, When};
use crate::web::units;

/// Kilograms of fruit that float in the must.
fn fruit_kg(case: &Case<'_>) -> f64 {
    let floats = |item: &crate::engine::recipe::Ingredient| {
        item.kind == Kind::Fruit
            && matches!(item.when, When::Must | When::Primary)
            && item.form != Some(Form::Juice)
    };
    let lines = case.numbers.ingredients.iter();
    lines
        .filter(|line| case.recipe.ingredients.get(line.index).is_some_and(floats))
        .filter_map(|line| line.kg)
        .sum()
}

/// Litres of this must that the vessel takes with room for foam.
pub fn takes_l(case: &Case<'_>) -> Option<f64> {
    let fit = case.numbers.vessel.as_ref()?;
    let vessel = case.recipe.vessel.as_ref()?;
    let whole = case.numbers.whole.as_ref()?;
    let takes = whole.volume_l * vessel.brim_l / fit.brim_wanted_l;
    Some(takes).filter(|takes| takes.is_finite() && *takes > 0.0)
}

/// What there is to say, the most urgent first.
pub(super) fn advice(case: &Case<'_>) -> Vec<String> {
    let units = case.reader.units;
    let (Some(fit), Some(whole)) = (&case.numbers.vessel, &case.numbers.whole) else {
        return Vec::new();
    };
    let volume = |litres| units::volume(litres, units);
    let fruit = fruit_kg(case);
    let mut said = Vec::new();
    let Some(vessel) = &case.recipe.vessel else {
        said.push(format!(
            "{} of this must want a vessel of about {} to the brim, so that the foam stays inside.",
            volume(whole.volume_l),
            volume(fit.brim_wanted_l)
        ));
        if fruit > 0.0 {
            said.push(
                "With fruit in it take a bucket with a wide lid, and put the fruit into a bag."
                    .to_owned(),
            );
        }
        return said;
    };
    let takes = takes_l(case).unwrap_or(vessel.brim_l);
    said.push(match fit.fits {
        Some(false) => format!(
            "Too small: with room for the foam it takes about {} of this must. Make that much, or take one that holds {} to the brim.",
            volume(takes),
            volume(fit.brim_wanted_l)
        ),
        _ => format!(
            "There is room for the foam: it would take up to {} of this must.",
            volume(takes)
        ),
    });
    said.extend(by_kind(case.recipe, vessel, fruit));
    said
}

fn by_kind(recipe: &Recipe, vessel: &Vessel, fruit: f64) -> Vec<String> {
    let kind = vessel.kind.as_deref().unwrap_or_default();
    let is = |of: VesselKind| kind == of.word();
    let glass = is(VesselKind::Demijohn) || is(VesselKind::Carboy);
    let narrow = vessel.wide_mouth == Some(false) || (vessel.wide_mouth.is_none() && glass);
    let mut said: Vec<&str> = Vec::new();
    if fruit > 0.0 && narrow {
        said.push("Fruit swells, rises and plugs a narrow neck: let it work in a wide bucket, with the fruit in a bag, and rack into this one afterwards.");
    } else if fruit > 0.0 {
        said.push(
            "Put the fruit into a bag: it comes out in one piece, and is pushed under twice a day.",
        );
    }
    if glass && fruit <= 0.0 {
        said.push("Fill glass no higher than its shoulder, where it begins to narrow, until the foam is over; then top it up into the neck. Glass shows when the mead is clear.");
    }
    if is(VesselKind::Bucket) {
        said.push("A bucket is for the weeks in which it works. Then rack into a vessel that you can fill to the neck: a bucket lets air in, and four to six weeks in it are enough.");
    }
    if is(VesselKind::Keg) || is(VesselKind::Barrel) {
        said.push("Better for ageing and serving than for the first weeks: foam and lees are hard to get out of it.");
    }
    let sold = catalogue().vessels().iter().any(|usual| {
        vessel.name.as_deref() == Some(usual.name.as_str()) && vessel.brim_l == usual.brim_l
    });
    if sold {
        said.push("Sizes are sold by the shoulder or by the brim. To know yours, set it on a scale, fill it to the brim with water and read: a kilogram is a litre.");
    }
    let foams = recipe
        .ingredients
        .iter()
        .any(|item| item.kind == Kind::Malt || item.name.to_lowercase().contains("bochet"));
    if foams {
        said.push(
            "Malt and burnt honey foam hard: lay the airlock's tube into a jar for the first days.",
        );
    }
    let caution = catalogue()
        .vessels()
        .iter()
        .find(|usual| usual.kind.word() == kind)
        .and_then(|usual| usual.caution.as_deref())
        .filter(|_| !is(VesselKind::Bucket));
    said.extend(caution);
    said.into_iter().map(str::to_owned).collect()
}
