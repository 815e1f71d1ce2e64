//! The same recipe for another volume, and amounts a kitchen scale can weigh.

use super::check::filler_index;
use super::formulate::{Settings, evaluate, solved, tolerance};
use super::formulation::Formulation;
use super::prepare::{Item, Quantity};
use super::recipe::{Aim, Amount, Recipe, When};
use super::solver::{Amounts, Task};

/// What a scale can weigh.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Scale {
    /// Coarser the heavier: < 10 g 0.1 g, < 100 g 1 g, < 1 kg 5 g, < 10 kg 10 g, else 50 g.
    #[default]
    Kitchen,
    /// Steps of so many grams throughout; at least 0.01.
    Step(f64),
}

impl Scale {
    /// The nearest mass it can show, kg. A step too small to see leaves the mass as it is.
    pub fn round(self, kg: f64) -> f64 {
        let grams = kg * 1000.0;
        let step = match self {
            Scale::Step(step) => step.max(0.01),
            Scale::Kitchen => match grams.abs() {
                g if g < 10.0 => 0.1,
                g if g < 100.0 => 1.0,
                g if g < 1_000.0 => 5.0,
                g if g < 10_000.0 => 10.0,
                _ => 50.0,
            },
        };
        let rounded = (grams / step).round() * step / 1000.0;
        if rounded.is_finite() { rounded } else { kg }
    }
}

/// The recipe at `k` times its size: volume, kilograms, litres and salts are multiplied; doses and shares stay.
///
/// `k` must be finite and above 0; else the recipe comes back as it is. What was typed no longer holds for numbers that
/// changed and is dropped.
pub fn scale(recipe: &Recipe, k: f64) -> Recipe {
    let mut scaled = recipe.clone();
    if !(k.is_finite() && k > 0.0) {
        return scaled;
    }
    scaled.volume_l = recipe.volume_l.map(|volume| volume * k);
    if let Aim::UseHoney { kg, .. } = &mut scaled.aim {
        *kg *= k;
    }
    for item in &mut scaled.ingredients {
        match &mut item.amount {
            Some(Amount::Kg(kg)) => *kg *= k,
            Some(Amount::Litres(litres)) => *litres *= k,
            Some(Amount::Share(_) | Amount::GramsPerLitre(_)) | None => {}
        }
    }
    if let Some(report) = &mut scaled.water_report {
        for grams in report.salts.values_mut() {
            *grams *= k;
        }
    }
    scaled.typed.retain(|path, _| {
        let changed = path == "/volume_l"
            || path == "/aim/use_honey_kg"
            || path.ends_with("/amount/kg")
            || path.ends_with("/amount/l")
            || path.starts_with("/water_report/salts/");
        !changed
    });
    scaled
}

/// A formulation as solved, and the same with amounts that can be weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct Rounded {
    /// As solved.
    pub exact: Formulation,
    /// As weighed: water refilled, evaluated again. The same as `exact` where nothing could be solved.
    pub weighed: Formulation,
}

/// Rounds every mass to what the scale can show, fills the volume up again and evaluates.
pub fn round(recipe: &Recipe, settings: &Settings, scale: Scale) -> Rounded {
    round_by(recipe, settings, &|_, _, kg| scale.round(kg))
}

/// Rounds every mass as `rounding` says of an ingredient by its place in the document, the time at which it goes in, and its
/// kilograms; fills the volume up again and evaluates. What `rounding` makes of it that is no mass leaves it as it is.
pub fn round_by(
    recipe: &Recipe,
    settings: &Settings,
    rounding: &dyn Fn(usize, When, f64) -> f64,
) -> Rounded {
    let (solution, exact) = solved(recipe, settings);
    let Some((items, amounts)) = solution else {
        return Rounded {
            weighed: exact.clone(),
            exact,
        };
    };
    let rounded = |index: usize, when: When, kg: f64| {
        let rounded = rounding(index, when, kg);
        match rounded.is_finite() && rounded >= 0.0 {
            true => rounded,
            false => kg,
        }
    };
    let mut weighed = Amounts {
        volume_l: amounts.volume_l,
        ..Amounts::default()
    };
    weighed.kg = items
        .iter()
        .zip(&amounts.kg)
        .enumerate()
        .map(|(index, (item, kg))| match item.quantity {
            Quantity::Filler => *kg,
            _ => rounded(index, item.when, *kg),
        })
        .collect();
    weighed.sweetening = amounts
        .sweetening
        .iter()
        .map(|(index, kg)| (*index, rounded(*index, When::Sweeten, *kg)))
        .collect();
    refill(&items, &mut weighed);
    let task = Task {
        recipe,
        items: &items,
        tolerance_abv: tolerance(recipe),
    };
    let mut formulation = evaluate(&task, &mut weighed, settings, true);
    // The faults of the finish are those of the recipe; with weighed sweetening nothing new is solved.
    formulation.problems.clone_from(&exact.problems);
    Rounded {
        exact,
        weighed: formulation,
    }
}

/// The recipe with the amounts that its numbers have in place of what the aim would solve: only what fills up, and what
/// sweetens to a gravity, is still left open. The recipe as it is where there are no numbers.
///
/// Amounts given as litres of an ingredient stay litres where the numbers know them.
pub fn with_amounts(recipe: &Recipe, numbers: &Formulation) -> Recipe {
    let mut given = recipe.clone();
    let Some(whole) = &numbers.whole else {
        return given;
    };
    given.volume_l = Some(whole.volume_l);
    given.aim = Aim::Amounts;
    let filler = filler_index(recipe);
    for (index, item) in given.ingredients.iter_mut().enumerate() {
        let open = item.when == When::Sweeten && matches!(item.amount, Some(Amount::Share(_)));
        // What sweetens has a line of its own, at another time than the ingredient itself.
        let mut lines = numbers.ingredients.iter();
        let line = lines.find(|line| line.index == index && line.when == item.when);
        let Some(line) = line.filter(|_| !open && filler != Some(index)) else {
            continue;
        };
        item.amount = match (item.amount, line.litres, line.kg) {
            (Some(Amount::Litres(_)), Some(litres), _) => Some(Amount::Litres(litres)),
            (_, _, Some(kg)) => Some(Amount::Kg(kg)),
            (amount, _, None) => amount,
        };
    }
    given.typed.retain(|path, _| {
        !(path == "/volume_l" || (path.starts_with("/ingredients/") && path.contains("/amount")))
    });
    given
}

/// Fills the volume with water, or with the filler, around rounded amounts.
fn refill(items: &[Item], amounts: &mut Amounts) {
    use super::balance::{Liquid, add_water_for_volume};
    let inside = |when: When| matches!(when, When::Must | When::Primary);
    let filler = items
        .iter()
        .position(|item| item.quantity == Quantity::Filler);
    let base = items
        .iter()
        .zip(&amounts.kg)
        .enumerate()
        .filter(|(index, (item, _))| inside(item.when) && Some(*index) != filler)
        .fold(Liquid::default(), |sum, (_, (item, kg))| {
            sum + item.parts * *kg
        });
    match filler {
        None => amounts.water_kg = add_water_for_volume(&base, amounts.volume_l).max(0.0),
        Some(index) => {
            let Some((item, kg)) = items.get(index).zip(amounts.kg.get_mut(index)) else {
                return;
            };
            let miss = |filler_kg: f64| {
                (base + item.parts * filler_kg).state().volume_l - amounts.volume_l
            };
            let high = *kg * 1.5 + 1.0;
            if let Some(filler_kg) =
                super::numeric::find_root(miss, 0.0, high, 1e-12 * amounts.volume_l)
            {
                *kg = filler_kg;
            }
        }
    }
}
