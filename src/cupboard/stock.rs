//! A member's cupboard as the numbers of a recipe ask it: how much there is, and what it cost.

use std::sync::Arc;

use super::amount::{Amount, Measure};
use crate::catalogue::club::ClubCatalogue;
use crate::engine::Recipe;
use crate::web::money::Currency;

/// One thing that was put in.
#[derive(Clone, Debug, PartialEq)]
pub struct Have {
    pub key: Option<String>,
    pub name: String,
    pub left: Amount,
    /// What a kilogram, litre or piece cost.
    pub one_costs: Option<f64>,
}

impl Have {
    fn is(&self, key: Option<&str>, name: &str) -> bool {
        match (&self.key, key) {
            (Some(own), Some(key)) => own == key,
            _ => self.name.to_lowercase() == name.trim().to_lowercase(),
        }
    }
}

/// Everything that was put in, the newest first. Cheap to clone; a stranger's is empty.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stock {
    things: Arc<[Have]>,
    currency: Currency,
}

impl Stock {
    /// Of these things, paid for in this currency.
    pub fn of(things: impl IntoIterator<Item = Have>, currency: Currency) -> Stock {
        Stock {
            things: things.into_iter().collect(),
            currency,
        }
    }

    /// In what was paid.
    pub fn currency(&self) -> Currency {
        self.currency
    }

    fn things<'a>(&'a self, key: Option<&'a str>, name: &'a str) -> impl Iterator<Item = &'a Have> {
        self.things.iter().filter(move |have| have.is(key, name))
    }

    /// How much there is of an ingredient in one measure.
    pub fn left(&self, key: Option<&str>, name: &str, measure: Measure) -> f64 {
        let things = self.things(key, name);
        let left = things.filter(|have| have.left.measure == measure);
        left.map(|have| have.left.value).sum()
    }

    /// How much there is, each measure by itself, without those of which there is nothing.
    pub fn all_left(&self, key: Option<&str>, name: &str) -> Vec<Amount> {
        [Measure::Kg, Measure::Litres, Measure::Pieces]
            .into_iter()
            .map(|measure| Amount {
                value: self.left(key, name, measure),
                measure,
            })
            .filter(|amount| amount.value > 0.0)
            .collect()
    }

    /// What one kilogram, litre or piece cost when it was bought last.
    pub fn one_costs(&self, key: Option<&str>, name: &str, measure: Measure) -> Option<f64> {
        let mut things = self.things(key, name);
        things.find_map(|have| have.one_costs.filter(|_| have.left.measure == measure))
    }

    /// What a kilogram cost; what is bought by the litre needs its density.
    pub fn kilogram_costs(
        &self,
        key: Option<&str>,
        name: &str,
        density_kg_per_l: Option<f64>,
    ) -> Option<f64> {
        let poured = || {
            let litre = self.one_costs(key, name, Measure::Litres)?;
            density_kg_per_l
                .filter(|density| *density > 0.0)
                .map(|density| litre / density)
        };
        self.one_costs(key, name, Measure::Kg).or_else(poured)
    }

    /// Whether nothing was ever put in.
    pub fn is_empty(&self) -> bool {
        self.things.is_empty()
    }
}

/// The recipe with the prices that its reader pays: their own where they have one, else what the recipe says, else what
/// the jar on the shelf costs.
pub fn priced(recipe: &Recipe, stock: &Stock, catalogue: &ClubCatalogue) -> Recipe {
    let mut priced = recipe.clone();
    for item in &mut priced.ingredients {
        let key = item.key.as_deref();
        let parts = item.composition.as_ref();
        let density = parts
            .and_then(|parts| parts.density_kg_per_l)
            .or_else(|| catalogue.find(key?)?.density_kg_per_l);
        let own = stock.kilogram_costs(key, &item.name, density);
        let jar = || {
            let coins = catalogue.jar(key?)?.price_per_kg?;
            Some(coins as f64 / stock.currency.coins())
        };
        item.price_per_kg = own.or(item.price_per_kg).or_else(jar);
    }
    for feed in &mut priced.nutrients {
        let own = stock.kilogram_costs(feed.key.as_deref(), &feed.name, None);
        feed.price_per_kg = own.or(feed.price_per_kg);
    }
    priced
}

/// The recipe with the prices of the book in place of its reader's: what becomes a recipe of its own tells nothing of a
/// cupboard.
pub fn unpriced(recipe: &Recipe, book: &Recipe) -> Recipe {
    let mut own = recipe.clone();
    for (item, of) in own.ingredients.iter_mut().zip(&book.ingredients) {
        item.price_per_kg = of.price_per_kg;
    }
    for (feed, of) in own.nutrients.iter_mut().zip(&book.nutrients) {
        feed.price_per_kg = of.price_per_kg;
    }
    own
}

#[cfg(test)]
mod tests {
    use super::*;

    fn have(key: Option<&str>, name: &str, value: f64, measure: Measure, costs: f64) -> Have {
        Have {
            key: key.map(str::to_owned),
            name: name.to_owned(),
            left: Amount { value, measure },
            one_costs: Some(costs),
        }
    }

    #[test]
    fn what_is_left_adds_up_and_the_newest_price_counts() {
        let stock = Stock::of(
            [
                have(Some("honey-heather"), "Heather", 0.0, Measure::Kg, 14.0),
                have(Some("honey-heather"), "Heather", 2.5, Measure::Kg, 12.0),
                have(None, "heather", 0.5, Measure::Kg, 9.0),
                have(
                    Some("sour-cherry-juice"),
                    "Juice",
                    2.0,
                    Measure::Litres,
                    4.2,
                ),
            ],
            Currency::default(),
        );
        let key = Some("honey-heather");
        assert_eq!(stock.left(key, "Heather", Measure::Kg), 3.0);
        assert_eq!(stock.one_costs(key, "Heather", Measure::Kg), Some(14.0));
        assert_eq!(stock.left(Some("honey-lime"), "Lime", Measure::Kg), 0.0);
        let juice = Some("sour-cherry-juice");
        assert_eq!(stock.kilogram_costs(juice, "Juice", None), None);
        let by_weight = stock.kilogram_costs(juice, "Juice", Some(1.05)).unwrap();
        assert!((by_weight - 4.0).abs() < 1e-12);
    }
}
