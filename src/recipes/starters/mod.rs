//! The book's starter recipes: ours, invented, of the catalogue's ingredients, worked out by the engine and not yet made.

pub mod pages;
mod size;

use std::sync::LazyLock;

use crate::catalogue::{Entry, catalogue};
use crate::engine::recipe::{
    Aim, Amount, Composition, FeedingLevel, Finish, Form, Ingredient, Recipe, Step, Target,
    VERSION, When, Yeast,
};
use crate::recipes::buckets::bucket_for;
use crate::web::units::Units;

pub use size::Size;

/// What stands in the notes of a recipe that was started from one, in the workbench and on its sheet ever after.
pub const ATTRIBUTION: &str = "from the book’s starter recipes";

/// A starter recipe: what it is made of, by keys of the catalogue, and what is said of it.
#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Starter {
    /// Stands in addresses.
    pub key: String,
    pub title: String,
    /// What it will be like.
    pub like: String,
    /// Who it is for.
    pub whom: String,
    /// What is hard about it.
    pub hard: String,
    /// When it is drinkable.
    pub drink: String,
    abv_percent: f64,
    sweeten_to_sg: Option<f64>,
    temperature_c: f64,
    filler: Option<String>,
    honeys: Vec<Honey>,
    #[serde(default)]
    others: Vec<Other>,
    yeast: String,
    feeds: Vec<String>,
    feeding: String,
    #[serde(default)]
    steps: Vec<Line>,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Honey {
    key: String,
    parts: f64,
    /// The part of its fermentable sugar that cooking has taken away, and what it is called then.
    #[serde(default)]
    browned: Option<f64>,
    #[serde(default)]
    name: Option<String>,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Other {
    key: String,
    g_per_l: f64,
    when: String,
    #[serde(default)]
    form: Option<String>,
    #[serde(default)]
    days: Option<f64>,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    when: String,
    text: String,
}

static STARTERS: LazyLock<Vec<Starter>> = LazyLock::new(|| {
    match serde_json::from_str(include_str!("data.json")) {
        Ok(starters) => starters,
        // The text is compiled in, so this can only be met while changing it, and a test meets it first.
        Err(error) => panic!("the starter recipes cannot be read: {error}"),
    }
});

/// All of them, the easiest first.
pub fn starters() -> &'static [Starter] {
    &STARTERS
}

/// The yeast that finishes what a starter recipe's own would not, where one is made stronger than it stands.
pub fn strong_yeast() -> Option<Yeast> {
    let strong = catalogue().find_yeast("yeast-champagne-type");
    strong.map(|yeast| yeast.for_recipe())
}

/// The one with this key.
pub fn find(key: &str) -> Option<&'static Starter> {
    STARTERS.iter().find(|starter| starter.key == key)
}

impl Starter {
    /// The document at one of the two sizes, with a bucket that it fits in, as somebody who reads these units would type it.
    pub fn recipe(&self, size: Size, units: Units) -> Recipe {
        let litres = size.litres(units);
        let finish = self.sweeten_to_sg.map_or(Finish::Dry, Finish::SweetenTo);
        let mut recipe = self.made_for(litres, self.abv_percent, finish);
        recipe.typed = [("/volume_l".to_owned(), size.typed(units).to_owned())].into();
        recipe.vessel = bucket_for(&recipe, units);
        recipe
    }

    /// The document at any volume, strength and end, without a vessel.
    pub fn made_for(&self, litres: f64, abv_percent: f64, finish: Finish) -> Recipe {
        let filler = self.filler.as_deref().and_then(|key| catalogue().find(key));
        let honeys = self.honeys.iter().filter_map(Honey::ingredient);
        let others = self.others.iter().filter_map(Other::ingredient);
        let feeds = self.feeds.iter();
        Recipe {
            version: VERSION,
            title: self.title.clone(),
            notes: String::new(),
            style: None,
            declared: None,
            volume_l: Some(litres),
            aim: Aim::Target(Target::Abv(abv_percent)),
            finish,
            filler: filler.map(|entry| entry.name.clone()),
            ingredients: honeys.chain(filler.map(filling)).chain(others).collect(),
            yeasts: catalogue()
                .find_yeast(&self.yeast)
                .map(|yeast| yeast.for_recipe())
                .into_iter()
                .collect(),
            nutrients: feeds
                .filter_map(|key| catalogue().find_feed(key))
                .map(|feed| feed.for_recipe())
                .collect(),
            feeding: FeedingLevel::from_word(&self.feeding).unwrap_or(FeedingLevel::Usual),
            temperature_c: Some(self.temperature_c),
            vessel: None,
            water_report: None,
            process: self.steps.iter().map(Line::step).collect(),
            typed: std::collections::BTreeMap::new(),
        }
    }

    /// The document for a member's own workbench: it says in its notes where it comes from.
    pub fn own(&self, size: Size, units: Units) -> Recipe {
        let recipe = self.recipe(size, units);
        Recipe {
            notes: format!(
                "Started from “{}”, {}, {ATTRIBUTION}.",
                self.title,
                size.typed(units)
            ),
            title: format!("{}, my own", self.title),
            ..recipe
        }
    }
}

/// What fills up needs no amount.
fn filling(entry: &Entry) -> Ingredient {
    Ingredient {
        amount: None,
        ..entry.ingredient()
    }
}

impl Honey {
    fn ingredient(&self) -> Option<Ingredient> {
        let mut item = catalogue().find(&self.key)?.ingredient();
        item.amount = Some(Amount::Share(self.parts));
        item.when = When::Must;
        if let Some(part) = self.browned {
            // No entry of the catalogue is like it any more.
            item.key = None;
            item.composition = item.composition.map(|made_of| browned(made_of, part));
        }
        if let Some(name) = &self.name {
            item.name.clone_from(name);
        }
        Some(item)
    }
}

/// Honey in which cooking has made this part of what the yeast eats into what it leaves: a tenth for a medium colour
/// (our judgement, no published source).
fn browned(made_of: Composition, part: f64) -> Composition {
    let lost = made_of.fermentable * part;
    Composition {
        fermentable: made_of.fermentable - lost,
        unfermentable: made_of.unfermentable + lost,
        ..made_of
    }
}

impl Other {
    fn ingredient(&self) -> Option<Ingredient> {
        let mut item = catalogue().find(&self.key)?.ingredient();
        item.amount = Some(Amount::GramsPerLitre(self.g_per_l));
        item.when = When::from_word(&self.when)?;
        if let Some(form) = &self.form {
            item.form = Some(Form::from_word(form)?);
        }
        item.days = self.days;
        Some(item)
    }
}

impl Line {
    fn step(&self) -> Step {
        Step {
            when: self.when.clone(),
            text: self.text.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_is_of_the_catalogue_and_no_word_is_lost() {
        for starter in starters() {
            let recipe = starter.recipe(Size::Small, Units::Metric);
            let named =
                starter.honeys.len() + starter.others.len() + usize::from(starter.filler.is_some());
            assert_eq!(recipe.ingredients.len(), named, "{}", starter.key);
            assert_eq!(recipe.yeasts.len(), 1, "{}", starter.key);
            assert_eq!(
                recipe.nutrients.len(),
                starter.feeds.len(),
                "{}",
                starter.key
            );
            assert_eq!(recipe.filler.is_some(), starter.filler.is_some());
            assert_eq!(recipe.feeding.as_str(), starter.feeding, "{}", starter.key);
            assert!(recipe.vessel.is_some(), "{}", starter.key);
        }
    }
}
