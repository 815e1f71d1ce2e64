//! The document's ingredients as the solver wants them: dissolved parts per kilogram, and how the amount is given.

use super::balance::Liquid;
use super::check::filler_index;
use super::density::{honey_density, sucrose_density_20};
use super::names::Words;
use super::problem::{Arguments, Problem, ProblemCode};
use super::recipe::{Aim, Amount, Composition, Form, Ingredient, Kind, Recipe, When};

/// How much of an item there is, before anything is solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Quantity {
    /// Kilograms.
    Fixed(f64),
    /// Kilograms per litre of the whole must's volume.
    PerLitre(f64),
    /// Parts by mass of what the aim asks for.
    Share(f64),
    /// Fills the volume.
    Filler,
}

/// One ingredient, ready for the balance.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub when: When,
    pub kind: Kind,
    /// Dissolved parts of one kilogram as weighed.
    pub parts: Liquid,
    pub quantity: Quantity,
    /// kg/L, where it is known.
    pub density: Option<f64>,
    /// Acid as tartaric, kg per kg.
    pub acid: Option<f64>,
    /// Nitrogen, mg per kg.
    pub yan: Option<f64>,
    pub price: Option<f64>,
    /// The telling words of its name.
    pub words: Words,
}

/// Dissolved parts of one kilogram.
pub(super) fn dissolved(kind: Kind, composition: &Composition) -> Liquid {
    let (sugar_kg, extract_kg) = match kind {
        Kind::Sweetener => (0.0, composition.fermentable + composition.unfermentable),
        _ => (composition.fermentable, composition.unfermentable),
    };
    Liquid {
        water_kg: composition.water,
        sugar_kg,
        extract_kg,
        ethanol_kg: 0.0,
    }
}

/// Density at 20 °C, kg/L: the ingredient's own; else for honey the fit of physics section 3, for liquids the sucrose
/// relation of section 2. `None` for whole fruit and dry matter.
pub fn density_of(item: &Ingredient) -> Option<f64> {
    let composition = item.composition.as_ref()?;
    if composition.density_kg_per_l.is_some() {
        return composition.density_kg_per_l;
    }
    let dissolved = composition.water + composition.fermentable + composition.unfermentable;
    if dissolved <= 0.0 {
        return None;
    }
    let solids = (composition.fermentable + composition.unfermentable) / dissolved;
    match item.kind {
        Kind::Honey => Some(honey_density(solids) / 1000.0),
        _ if is_liquid(item, composition) => Some(sucrose_density_20(solids) / 1000.0),
        _ => None,
    }
}

fn is_liquid(item: &Ingredient, composition: &Composition) -> bool {
    match (item.kind, item.form) {
        (Kind::Juice | Kind::Syrup, _) | (_, Some(Form::Juice | Form::Tincture)) => true,
        (Kind::Fruit | Kind::Spice | Kind::Wood | Kind::Sugar, _) => false,
        _ => composition.water >= 0.1 && composition.insoluble <= 0.05,
    }
}

/// Every ingredient prepared, or the problems that keep it from being.
///
/// The document must have passed [`super::check::check`].
pub(super) fn prepare(recipe: &Recipe) -> Result<Vec<Item>, Vec<Problem>> {
    let filler = filler_index(recipe);
    let mut problems = Vec::new();
    let mut items = Vec::with_capacity(recipe.ingredients.len());
    for (index, ingredient) in recipe.ingredients.iter().enumerate() {
        let named = || Arguments::none().with("name", ingredient.name.as_str());
        let path = format!("/ingredients/{index}/amount");
        let density = density_of(ingredient);
        let parts = ingredient
            .composition
            .as_ref()
            .map(|parts| dissolved(ingredient.kind, parts))
            .unwrap_or_default();
        let quantity = match ingredient.amount {
            _ if filler == Some(index) => Quantity::Filler,
            Some(Amount::Kg(kg)) => Quantity::Fixed(kg),
            Some(Amount::GramsPerLitre(dose)) => Quantity::PerLitre(dose / 1000.0),
            Some(Amount::Litres(litres)) => match density {
                Some(density) => Quantity::Fixed(litres * density),
                None => {
                    problems.push(Problem::new(ProblemCode::DensityNeeded, path, named()));
                    continue;
                }
            },
            Some(Amount::Share(share)) => {
                if parts.sugar_kg <= 0.0 {
                    problems.push(Problem::new(ProblemCode::ShareWithoutSugar, path, named()));
                    continue;
                }
                if solved_by_aim(ingredient.when) && recipe.aim == Aim::Amounts {
                    problems.push(Problem::new(
                        ProblemCode::ShareWithFixedAmounts,
                        path,
                        named(),
                    ));
                    continue;
                }
                Quantity::Share(share)
            }
            // Checked before: only the filler may lack an amount.
            None => continue,
        };
        items.push(Item {
            when: ingredient.when,
            kind: ingredient.kind,
            parts,
            quantity,
            density,
            acid: ingredient
                .composition
                .as_ref()
                .and_then(|c| c.ta_g_per_kg)
                .map(|grams| grams / 1000.0),
            yan: ingredient
                .composition
                .as_ref()
                .and_then(|c| c.yan_mg_per_kg),
            price: ingredient.price_per_kg,
            words: Words::of_name(&ingredient.name),
        });
    }
    shares(recipe, &items, &mut problems);
    if problems.is_empty() {
        Ok(items)
    } else {
        Err(problems)
    }
}

/// Whether a share of this stage belongs to the aim (else it sweetens, or has nothing to solve it).
pub(super) fn solved_by_aim(when: When) -> bool {
    matches!(when, When::Must | When::Primary)
}

fn shares(recipe: &Recipe, items: &[Item], problems: &mut Vec<Problem>) {
    let mut total = [0.0; 2];
    let mut any = [false; 2];
    for (index, item) in items.iter().enumerate() {
        let Quantity::Share(share) = item.quantity else {
            continue;
        };
        let stage = match item.when {
            When::Must | When::Primary => 0,
            When::Sweeten => 1,
            // Nothing solves a share of what joins later.
            When::Secondary | When::Ageing => {
                let name = recipe
                    .ingredients
                    .get(index)
                    .map_or("", |item| item.name.as_str());
                problems.push(Problem::new(
                    ProblemCode::ShareWithFixedAmounts,
                    format!("/ingredients/{index}/amount"),
                    Arguments::none().with("name", name),
                ));
                continue;
            }
        };
        if let (Some(total), Some(any)) = (total.get_mut(stage), any.get_mut(stage)) {
            *total += share;
            *any = true;
        }
    }
    for ((total, any), stage) in total.into_iter().zip(any).zip(["must", "sweeten"]) {
        if any && total <= 0.0 {
            let arguments = Arguments::none().with("stage", stage);
            problems.push(Problem::new(
                ProblemCode::SharesAllZero,
                "/ingredients",
                arguments,
            ));
        }
    }
    if !any[0] && recipe.aim != Aim::Amounts {
        problems.push(Problem::new(
            ProblemCode::NothingToSolve,
            "/ingredients",
            Arguments::none(),
        ));
    }
}
