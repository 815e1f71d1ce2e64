//! The shopping list: what a recipe wants, rounded up to what shops sell. Sizes of jars, bags and sachets are common practice,
//! no published source; no price is known but those in the recipe.

mod at_home;
mod sold;
mod yeast;

use super::{Reader, salt_words, spoons, tools};
use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Finish, Kind, Nutrient, Recipe};
use crate::engine::stoichiometry::{SO2_PER_POTASSIUM_METABISULFITE, SORBIC_ACID_PER_SORBATE};
use crate::engine::water::read_salts;
use crate::web::units::{self, Units};

use at_home::{NOTHING, at_home_kg, have_words};
pub use sold::jar_kg;
use sold::{by_weight, carton_l, count, counted, jars};
use yeast::yeasts;

pub use yeast::SACHETS_G;

/// One thing to buy.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Buy {
    pub what: String,
    /// What this mead takes: "5.15 kg".
    pub wants: String,
    /// The number that tells it, by its key; empty for none.
    pub told_by: String,
    /// What stands at home of it: "2.4 kg"; empty for nothing.
    pub have: String,
    /// What to ask for: "6 jars of 1 kg".
    pub buy: String,
    /// What that costs at the reader's own price, or the recipe's.
    pub cost: Option<f64>,
}

/// The list, with what it costs as far as prices are known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shopping {
    pub lines: Vec<Buy>,
    pub cost: Option<f64>,
    /// Whether something on it has no price.
    pub partly: bool,
}

/// Sulfur dioxide and sorbic acid to have in the house for a sweet mead, mg/L: the most of the usual doses (common practice,
/// no published source). The day's own dose follows from pH and strength.
const SULFUR_DIOXIDE_MG_PER_L: f64 = 75.0;
const SORBIC_ACID_MG_PER_L: f64 = 200.0;
/// The list for a recipe as it is weighed.
pub fn list(recipe: &Recipe, numbers: &Formulation, reader: &Reader) -> Shopping {
    let units = reader.units;
    if numbers.finished.is_none() {
        return Shopping::default();
    }
    let mut lines = ingredients(recipe, numbers, reader);
    lines.extend(yeasts(recipe, numbers, reader));
    lines.extend(feeds(recipe, numbers, reader));
    lines.extend(salts(recipe, units));
    lines.extend(stabilisers(recipe, numbers));
    lines.extend(bottles(recipe, numbers));
    let known: Vec<f64> = lines.iter().filter_map(|line| line.cost).collect();
    Shopping {
        cost: (!known.is_empty()).then(|| known.iter().sum()),
        partly: lines.iter().any(|line| line.cost.is_none()),
        lines,
    }
}

/// Everything weighed, each once, whenever it goes in.
fn ingredients(recipe: &Recipe, numbers: &Formulation, reader: &Reader) -> Vec<Buy> {
    let units = reader.units;
    let mut bought = Vec::new();
    for (index, item) in recipe.ingredients.iter().enumerate() {
        let of_item = || {
            numbers
                .ingredients
                .iter()
                .filter(|line| line.index == index)
        };
        let kg: f64 = of_item().filter_map(|line| line.kg).sum();
        let litres: f64 = of_item().filter_map(|line| line.litres).sum();
        let first = numbers
            .ingredients
            .iter()
            .position(|line| line.index == index);
        if kg <= 0.0 {
            continue;
        }
        let litre_kg = if litres > 0.0 { kg / litres } else { 1.0 };
        let have_kg = at_home_kg(reader, item.key.as_deref(), &item.name, litre_kg);
        let missing_kg = (kg - have_kg).max(0.0);
        let (buy, bought_kg) = match item.kind {
            _ if missing_kg < 1e-6 => (NOTHING.to_owned(), 0.0),
            Kind::Honey => jars(missing_kg, units),
            Kind::Juice if litres > 0.0 => {
                let cartons = count(missing_kg / litre_kg, carton_l(units));
                let size = units::volume(carton_l(units), units);
                let words = format!("{} of {size}", counted(cartons, "carton", "cartons"));
                (words, litre_kg * cartons * carton_l(units))
            }
            _ => by_weight(missing_kg, units),
        };
        bought.push(Buy {
            what: item.name.clone(),
            wants: match item.kind {
                Kind::Juice if litres > 0.0 => units::volume(litres, units),
                _ => units::mass(kg, units),
            },
            told_by: first.map_or(String::new(), |at| format!("amount-{}", at + 1)),
            have: have_words(reader, item.key.as_deref(), &item.name),
            buy,
            cost: match bought_kg > 0.0 {
                true => item.price_per_kg.map(|price| price * bought_kg),
                false => Some(0.0),
            },
        });
    }
    bought
}

fn feeds(recipe: &Recipe, numbers: &Formulation, reader: &Reader) -> Vec<Buy> {
    let units = reader.units;
    let Some(plan) = &numbers.feeding else {
        return Vec::new();
    };
    let of = |(index, feed): (usize, &Nutrient)| {
        let additions = plan
            .additions
            .iter()
            .filter(|addition| addition.index == index);
        let grams: f64 = additions.map(|addition| addition.grams).sum();
        let key = feed.key.as_deref();
        let missing_kg = grams / 1000.0 - at_home_kg(reader, key, &feed.name, 1.0);
        let (words, kg) = match missing_kg < 1e-6 {
            true => (NOTHING.to_owned(), 0.0),
            false => by_weight(missing_kg, units),
        };
        let spoons = spoons::of_feed(grams, Some(feed), &reader.catalogue);
        (grams > 0.0).then(|| Buy {
            what: feed.name.clone(),
            wants: match spoons {
                Some(spoons) => format!("{}, {spoons}", units::mass(grams / 1000.0, units)),
                None => units::mass(grams / 1000.0, units),
            },
            told_by: "doses".to_owned(),
            have: have_words(reader, key, &feed.name),
            buy: words,
            cost: match kg > 0.0 {
                true => feed.price_per_kg.map(|price| price * kg),
                false => Some(0.0),
            },
        })
    };
    recipe.nutrients.iter().enumerate().filter_map(of).collect()
}

fn salts(recipe: &Recipe, units: Units) -> Vec<Buy> {
    let report = recipe.water_report.as_ref();
    let salts = report.map(|report| read_salts(&report.salts, ""));
    let known = salts.and_then(Result::ok).unwrap_or_default();
    known
        .into_iter()
        .filter(|(_, grams)| *grams > 0.0)
        .map(|(salt, grams)| Buy {
            what: salt_words(salt),
            wants: units::mass(grams / 1000.0, units),
            told_by: "minerals".to_owned(),
            buy: by_weight(grams / 1000.0, units).0,
            ..Buy::default()
        })
        .collect()
}

/// What keeps a sweet mead from starting again, unless the recipe has it.
fn stabilisers(recipe: &Recipe, numbers: &Formulation) -> Vec<Buy> {
    let litres = numbers
        .finished
        .as_ref()
        .map_or(0.0, |finished| finished.volume_l);
    if recipe.finish == Finish::Dry || litres <= 0.0 {
        return Vec::new();
    }
    let listed = |word: &str| {
        let mut items = recipe.ingredients.iter();
        items.any(|item| item.name.to_lowercase().contains(word))
    };
    let sulfite = SULFUR_DIOXIDE_MG_PER_L * litres / 1000.0 / SO2_PER_POTASSIUM_METABISULFITE;
    let sorbate = SORBIC_ACID_MG_PER_L * litres / 1000.0 / SORBIC_ACID_PER_SORBATE;
    [
        ("Potassium metabisulfite", "sulfite", sulfite),
        ("Potassium sorbate", "sorbate", sorbate),
    ]
    .into_iter()
    .filter(|(_, word, _)| !listed(word))
    .map(|(what, _, grams)| Buy {
        what: format!("{what}, by pH and strength on the day"),
        wants: format!("up to {} g", units::plain(grams.ceil(), 0)),
        buy: by_weight(grams / 1000.0, Units::Metric).0,
        ..Buy::default()
    })
    .collect()
}

/// Bottles for all of it, the last one perhaps not full, and as many closures with two to spare.
fn bottles(recipe: &Recipe, numbers: &Formulation) -> Vec<Buy> {
    let package = numbers.package.as_ref();
    let size = package.and_then(|package| Some((package.litres, package.bottles.first()?.size_l)));
    let Some((litres, size_l)) = size.filter(|(litres, _)| *litres > 0.0) else {
        return Vec::new();
    };
    let bottles = count(litres, size_l);
    let gas = tools::gas_is_wanted(recipe);
    let of = format!("of {} ml", units::plain(size_l * 1000.0, 0));
    vec![
        Buy {
            what: match gas {
                true => "Bottles made for gas".to_owned(),
                false => "Bottles".to_owned(),
            },
            wants: units::volume(litres, Units::Metric),
            told_by: "bottles".to_owned(),
            buy: format!("{} {of}", counted(bottles, "bottle", "bottles")),
            ..Buy::default()
        },
        Buy {
            what: match gas {
                true => "Crown caps, or wired stoppers, as the bottles ask".to_owned(),
                false => "Corks or caps, as the bottles ask".to_owned(),
            },
            buy: format!("{}, two of them to spare", units::plain(bottles + 2.0, 0)),
            ..Buy::default()
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::yeast::sachets;
    use super::*;
    use crate::catalogue::club::ClubCatalogue;
    use crate::cupboard::amount::Amount;
    use crate::cupboard::amount::Measure;
    use crate::cupboard::stock::{Have, Stock, priced};
    use crate::engine::{Settings, formulate};
    use crate::recipes::forms::check::check;
    use crate::recipes::forms::{Group, Workbench, fill};
    use crate::web::money::Currency;

    fn shopping(units: Units, change: impl FnOnce(&mut Workbench)) -> Shopping {
        shopping_with(units, Stock::default(), change)
    }

    fn shopping_with(
        units: Units,
        cupboard: Stock,
        change: impl FnOnce(&mut Workbench),
    ) -> Shopping {
        let mut form = fill::fresh(units);
        form.set("title", "Shopping");
        change(&mut form);
        let catalogue = ClubCatalogue::default();
        let checked = check(&form, units, &catalogue);
        assert_eq!(checked.faults, []);
        let recipe = priced(&checked.recipe, &cupboard, &catalogue);
        let numbers = formulate(&recipe, &Settings { sachet_g: 5.0 });
        let reader = Reader {
            units,
            zone: chrono_tz::UTC,
            now: chrono::DateTime::UNIX_EPOCH,
            sachet_g: 5.0,
            catalogue,
            cupboard,
            vessels: Vec::new(),
        };
        list(&recipe, &numbers, &reader)
    }

    fn line<'a>(list: &'a Shopping, what: &str) -> &'a Buy {
        let found = list.lines.iter().find(|line| line.what.starts_with(what));
        found.unwrap_or_else(|| panic!("no {what}: {list:#?}"))
    }

    #[test]
    fn sachets_are_told_in_every_size_that_is_sold() {
        assert_eq!(sachets(5.0, 5.0), "1 sachet of 5 g; or 1 of 8, 10 or 11 g");
        assert_eq!(
            sachets(9.5, 5.0),
            "2 sachets of 5 g; or 2 of 8 g; or 1 of 10 or 11 g"
        );
        assert_eq!(
            sachets(11.0, 11.0),
            "1 sachet of 11 g; or 3 of 5 g; or 2 of 8 or 10 g"
        );
    }

    #[test]
    fn the_list_has_all_that_goes_in_and_what_it_is_bottled_in() {
        let list = shopping(Units::Metric, |form| {
            if let Some(honey) = form.rows_mut(Group::Honey).first_mut() {
                honey.set("price", "10");
            }
        });
        let honey = line(&list, "Wildflower");
        assert_eq!(honey.buy, "6 jars of 1 kg", "{honey:?}");
        assert_eq!(honey.cost, Some(60.0), "six whole jars are paid for");
        assert_eq!(list.cost, Some(60.0));
        assert!(list.partly);
        assert!(
            line(&list, "Mixed nutrient")
                .wants
                .contains("level teaspoons")
        );
        let bottles = line(&list, "Bottles");
        let number: f64 = bottles
            .buy
            .split(' ')
            .next()
            .and_then(|n| n.parse().ok())
            .unwrap();
        assert!(
            bottles.buy.ends_with("of 750 ml") && number >= 22.0,
            "{bottles:?}"
        );
        assert!(
            line(&list, "Corks")
                .buy
                .starts_with(&units::plain(number + 2.0, 0))
        );
        assert!(!list.lines.iter().any(|line| line.what.contains("sorbate")));
    }

    #[test]
    fn a_sweet_mead_wants_both_powders() {
        let list = shopping(Units::Metric, |form| {
            form.set("finish", "sweeten");
            form.set("final_gravity", "1.015");
        });
        // 19 L: 75 mg/L of sulfur dioxide are 2.5 g, 200 mg/L of sorbic acid 5.1 g.
        assert!(
            line(&list, "Potassium metabisulfite")
                .wants
                .starts_with("up to 3 g")
        );
        assert!(
            line(&list, "Potassium sorbate")
                .wants
                .starts_with("up to 6 g")
        );
        assert_eq!(line(&list, "Potassium sorbate").buy, "6 g");
    }

    #[test]
    fn what_stands_at_home_is_not_bought_again_and_its_price_counts() {
        let have = |key: &str, value, measure, one_costs| Have {
            key: Some(key.to_owned()),
            name: key.to_owned(),
            left: Amount { value, measure },
            one_costs,
        };
        let stock = Stock::of(
            [
                have("honey-wildflower", 2.4, Measure::Kg, Some(8.0)),
                have("feed-mixed", 1.0, Measure::Kg, None),
            ],
            Currency::default(),
        );
        // 5.2 kg are wanted: 2.8 kg, in three jars of 1 kg, are missing, at 8.00 and not at the recipe's 10.00.
        let list = shopping_with(Units::Metric, stock, |form| {
            if let Some(honey) = form.rows_mut(Group::Honey).first_mut() {
                honey.set("price", "10");
            }
        });
        let honey = line(&list, "Wildflower");
        assert_eq!(
            (honey.have.as_str(), honey.buy.as_str()),
            ("2.4 kg", "3 jars of 1 kg"),
            "{honey:?}"
        );
        assert_eq!(honey.cost, Some(24.0));
        let feed = line(&list, "Mixed nutrient");
        assert_eq!((feed.buy.as_str(), feed.cost), (NOTHING, Some(0.0)));
    }

    #[test]
    fn no_price_is_made_up() {
        let list = shopping(Units::Us, |_| ());
        assert_eq!(list.cost, None);
        assert!(list.lines.iter().all(|line| line.cost.is_none()));
    }
}
