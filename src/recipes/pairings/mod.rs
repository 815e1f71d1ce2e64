//! What goes with what: the book's word on honeys with fruit, flowers and spices, and what the club's best-rated recipes
//! used.

pub mod pages;
pub mod paths;
pub mod store;

use crate::catalogue::Kind;
use crate::catalogue::club::ClubCatalogue;
use crate::recipes::forms::{Group, Workbench};
use crate::recipes::public_id::PublicId;
use crate::web::units::{Units, amount_text};

/// A well-rated recipe, and the keys of what is in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Used {
    pub recipe: PublicId,
    pub title: String,
    pub owner_name: String,
    pub rating_mean: f64,
    pub rating_count: i32,
    pub made_count: i32,
    pub keys: Vec<String>,
}

/// Something that well-rated recipes used.
#[derive(Debug, PartialEq)]
pub struct Tally<'a> {
    pub key: String,
    pub recipes: usize,
    /// The best rated of them.
    pub best: &'a Used,
}

/// What these recipes, the best rated first, used; `counted` says as which key one counts, none for what does not. What the
/// best recipe used comes first.
pub fn tally<'a>(used: &'a [Used], counted: impl Fn(&str) -> Option<String>) -> Vec<Tally<'a>> {
    let mut found: Vec<Tally<'a>> = Vec::new();
    for recipe in used {
        let mut keys: Vec<String> = recipe.keys.iter().filter_map(|key| counted(key)).collect();
        keys.sort_unstable();
        keys.dedup();
        for key in keys {
            match found.iter_mut().find(|tally| tally.key == key) {
                Some(tally) => tally.recipes += 1,
                None => found.push(Tally {
                    key,
                    recipes: 1,
                    best: recipe,
                }),
            }
        }
    }
    found
}

/// Puts a honey and what goes beside it into the form of a new recipe; keys that the catalogue does not know are left out.
pub fn put_in(
    form: &mut Workbench,
    honey: &str,
    beside: &str,
    units: Units,
    catalogue: &ClubCatalogue,
) {
    let is_honey = |key: &str| catalogue.find(key).map(|entry| entry.kind == Kind::Honey);
    if is_honey(honey) == Some(true)
        && let Some(row) = form.rows_mut(Group::Honey).first_mut()
    {
        row.set("pick", honey);
    }
    if is_honey(beside) == Some(false)
        && let Some(entry) = catalogue.find(beside)
    {
        let amount = entry.default_amount;
        let amount = amount.map_or(String::new(), |amount| amount_text(amount, units));
        let cells = [
            ("pick", beside),
            ("amount", amount.as_str()),
            ("when", entry.when.word()),
        ];
        form.add_row(Group::Other, &cells);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn used(title: &str, rating_mean: f64, keys: &[&str]) -> Used {
        Used {
            recipe: PublicId::random().expect("randomness"),
            title: title.to_owned(),
            owner_name: "Ada".to_owned(),
            rating_mean,
            rating_count: 2,
            made_count: 1,
            keys: keys.iter().map(|key| (*key).to_owned()).collect(),
        }
    }

    #[test]
    fn what_the_best_used_comes_first_and_each_recipe_counts_once() {
        let all = [
            used("Best", 4.5, &["honey-clover", "raspberry", "honey-clover"]),
            used("Next", 4.0, &["honey-heather", "honey-clover", "raspberry"]),
        ];
        let honeys = tally(&all, |key| key.starts_with("honey").then(|| key.to_owned()));
        let told: Vec<_> = honeys
            .iter()
            .map(|tally| (tally.key.as_str(), tally.recipes, tally.best.title.as_str()))
            .collect();
        assert_eq!(
            told,
            [("honey-clover", 2, "Best"), ("honey-heather", 1, "Next")]
        );
        assert_eq!(tally(&[], |key| Some(key.to_owned())), []);
    }
}
