//! The shopping list: what a recipe wants, rounded up to what shops sell. Sizes of jars, bags and sachets are common practice,
//! no published source; no price is known but those in the recipe.

mod sold;

use super::{Reader, salt_words, spoons, tools};
use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Finish, Kind, Nutrient, Recipe, YeastWhen};
use crate::engine::stoichiometry::{SO2_PER_POTASSIUM_METABISULFITE, SORBIC_ACID_PER_SORBATE};
use crate::engine::water::read_salts;
use crate::web::units::{self, Units};

use sold::{by_weight, carton_l, count, counted, jars};

/// One thing to buy.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Buy {
    pub what: String,
    /// What this mead takes: "5.15 kg".
    pub wants: String,
    /// The number that tells it, by its key; empty for none.
    pub told_by: String,
    /// What to ask for: "6 jars of 1 kg".
    pub buy: String,
    /// What that costs at the recipe's own price.
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

/// Sizes of sachets that are sold, g.
pub const SACHETS_G: [f64; 4] = [5.0, 8.0, 10.0, 11.0];
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
    let mut lines = ingredients(recipe, numbers, units);
    lines.extend(yeasts(recipe, numbers, reader.sachet_g));
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
fn ingredients(recipe: &Recipe, numbers: &Formulation, units: Units) -> Vec<Buy> {
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
        let (buy, bought_kg) = match item.kind {
            Kind::Honey => jars(kg, units),
            Kind::Juice if litres > 0.0 => {
                let cartons = count(litres, carton_l(units));
                let size = units::volume(carton_l(units), units);
                let words = format!("{} of {size}", counted(cartons, "carton", "cartons"));
                (words, kg / litres * cartons * carton_l(units))
            }
            _ => by_weight(kg, units),
        };
        bought.push(Buy {
            what: item.name.clone(),
            wants: match item.kind {
                Kind::Juice if litres > 0.0 => units::volume(litres, units),
                _ => units::mass(kg, units),
            },
            told_by: first.map_or(String::new(), |at| format!("amount-{}", at + 1)),
            buy,
            cost: item.price_per_kg.map(|price| price * bought_kg),
        });
    }
    bought
}

fn yeasts(recipe: &Recipe, numbers: &Formulation, sachet_g: f64) -> Vec<Buy> {
    let grams = numbers
        .pitching
        .as_ref()
        .map_or(0.0, |pitching| pitching.yeast_g);
    let mut pitched = false;
    let mut bought = Vec::new();
    for yeast in &recipe.yeasts {
        let first = yeast.when == YeastWhen::Pitch && !std::mem::replace(&mut pitched, true);
        bought.push(Buy {
            what: yeast.name.clone(),
            wants: match first {
                true => units::mass(grams / 1000.0, Units::Metric),
                false => String::new(),
            },
            told_by: if first {
                "yeast".to_owned()
            } else {
                String::new()
            },
            buy: match first {
                true => sachets(grams, sachet_g),
                false => "1 sachet".to_owned(),
            },
            cost: None,
        });
    }
    bought
}

/// "1 sachet of 5 g; or 1 of 8, 10 or 11 g": the member's own size first, then what else is sold.
fn sachets(grams: f64, own_g: f64) -> String {
    let own = count(grams, own_g);
    let first = format!(
        "{} of {} g",
        counted(own, "sachet", "sachets"),
        units::plain(own_g, 1)
    );
    let mut others: Vec<(f64, Vec<String>)> = Vec::new();
    for size in SACHETS_G.into_iter().filter(|size| *size != own_g) {
        let number = count(grams, size);
        let words = units::plain(size, 0);
        match others.iter_mut().find(|(of, _)| *of == number) {
            Some((_, sizes)) => sizes.push(words),
            None => others.push((number, vec![words])),
        }
    }
    let told = others.iter().map(|(number, sizes)| {
        let sizes = match sizes.as_slice() {
            [] => String::new(),
            [one] => one.clone(),
            [start @ .., last] => format!("{} or {last}", start.join(", ")),
        };
        format!("{} of {sizes} g", units::plain(*number, 0))
    });
    std::iter::once(first)
        .chain(told)
        .collect::<Vec<_>>()
        .join("; or ")
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
        let (words, kg) = by_weight(grams / 1000.0, units);
        let spoons = spoons::of_feed(grams, Some(feed), &reader.catalogue);
        (grams > 0.0).then(|| Buy {
            what: feed.name.clone(),
            wants: match spoons {
                Some(spoons) => format!("{}, {spoons}", units::mass(grams / 1000.0, units)),
                None => units::mass(grams / 1000.0, units),
            },
            told_by: "doses".to_owned(),
            buy: words,
            cost: feed.price_per_kg.map(|price| price * kg),
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
            cost: None,
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
            cost: None,
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
    use super::*;
    use crate::catalogue::club::ClubCatalogue;
    use crate::engine::{Settings, formulate};
    use crate::recipes::forms::check::check;
    use crate::recipes::forms::{Group, Workbench, fill};

    fn shopping(units: Units, change: impl FnOnce(&mut Workbench)) -> Shopping {
        let mut form = fill::fresh(units);
        form.set("title", "Shopping");
        change(&mut form);
        let catalogue = ClubCatalogue::default();
        let checked = check(&form, units, &catalogue);
        assert_eq!(checked.faults, []);
        let numbers = formulate(&checked.recipe, &Settings { sachet_g: 5.0 });
        let reader = Reader {
            units,
            zone: chrono_tz::UTC,
            now: chrono::DateTime::UNIX_EPOCH,
            sachet_g: 5.0,
            catalogue,
        };
        list(&checked.recipe, &numbers, &reader)
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
    fn no_price_is_made_up() {
        let list = shopping(Units::Us, |_| ());
        assert_eq!(list.cost, None);
        assert!(list.lines.iter().all(|line| line.cost.is_none()));
    }
}
