//! What a batch costs, and whose price is not known.

use super::formulate::Balance;
use super::formulation::FeedingPlan;

/// A batch's cost.
pub(super) struct Cost {
    /// All ingredients, and the feeds whose price is known; `None` where an ingredient's price is missing, or there is nothing
    /// to pay for.
    pub batch: Option<f64>,
    /// Names of the ingredients and feeds in it that have no price, each once.
    pub unpriced: Vec<String>,
}

/// Cost of one feed of the plan; `None` where its price is not known.
pub(super) fn of_feed(price_per_kg: Option<f64>, grams: f64) -> Option<f64> {
    price_per_kg.map(|price| price * grams / 1000.0)
}

pub(super) fn of_batch(balance: &Balance<'_>, feeding: &FeedingPlan) -> Cost {
    let (recipe, amounts) = (balance.recipe, balance.amounts);
    let mut unpriced: Vec<String> = Vec::new();
    let mut missing = |name: &str| {
        if !unpriced.iter().any(|known| known == name) {
            unpriced.push(name.to_owned());
        }
    };
    let stated = amounts.kg.iter().copied().enumerate();
    let bought = stated
        .chain(amounts.sweetening.iter().copied())
        .filter(|(_, kg)| *kg > 0.0);
    let (mut total, mut complete) = (None, true);
    for (index, kg) in bought {
        match balance.items.get(index).and_then(|item| item.price) {
            Some(price) => total = Some(total.unwrap_or(0.0) + price * kg),
            None => {
                complete = false;
                if let Some(ingredient) = recipe.ingredients.get(index) {
                    missing(&ingredient.name);
                }
            }
        }
    }
    let mut feeds = 0.0;
    for addition in &feeding.additions {
        match addition.cost {
            Some(cost) => feeds += cost,
            None => missing(&addition.nutrient),
        }
    }
    Cost {
        batch: total.filter(|_| complete).map(|total| total + feeds),
        unpriced,
    }
}
