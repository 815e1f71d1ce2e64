//! What an address asks of the list of recipes, as typed, and what is read from it.

use super::choices::{self, Choices};
use super::filter::Filter;
use super::{Sort, View};
use crate::catalogue::club::ClubCatalogue;
use crate::recipes::list::encoded;
use crate::recipes::model::Shelf;
use crate::web::units::{parse_number_within, parse_percent};

/// The strongest that can be asked for, % ABV.
const ABV_MOST: f64 = 40.0;
/// The dearest bottle.
const COST_MOST: f64 = 1e6;

/// The fields, as typed; those of an address that names others are left alone.
#[derive(Clone, Debug, Default, PartialEq, serde::Deserialize)]
#[serde(default)]
pub struct Asked {
    pub q: String,
    pub shelf: String,
    pub sort: String,
    pub family: String,
    pub strength: String,
    pub sweetness: String,
    pub honey: String,
    pub fruit: String,
    pub yeast: String,
    pub abv_from: String,
    pub abv_to: String,
    pub rated: String,
    pub made: String,
    pub ready: String,
    pub gear: String,
    pub cost: String,
    pub after: String,
    /// What was done just now.
    pub done: String,
}

/// What each field offers.
pub struct Offered {
    pub families: Choices,
    pub strengths: Choices,
    pub sweetnesses: Choices,
    pub honeys: Choices,
    pub fruits: Choices,
    pub yeasts: Choices,
    pub ratings: Choices,
    pub made: Choices,
    pub ready: Choices,
    pub orders: Choices,
}

/// Something chosen, in words, and the address of the list without it.
pub struct Chosen {
    pub words: String,
    pub without: String,
}

impl Offered {
    /// In this club, for what is asked.
    pub fn to(asked: &Asked, club: &ClubCatalogue) -> Offered {
        Offered {
            families: choices::families(),
            strengths: choices::strengths(),
            sweetnesses: choices::sweetnesses(),
            honeys: choices::honeys(club),
            fruits: choices::fruits(club),
            yeasts: choices::yeasts(club),
            ratings: choices::ratings(),
            made: choices::made(),
            ready: choices::ready(),
            orders: choices::orders(!asked.q.trim().is_empty()),
        }
    }
}

impl Asked {
    /// What is asked for, with a fault for each field that cannot be read. A choice that is not offered is none.
    pub fn read(&self, offered: &Offered) -> (View, Vec<(String, String)>) {
        let mut faults = Vec::new();
        let code = |choices: &Choices, value: &str| {
            choices::words_of(choices, value).map(|_| value.to_owned())
        };
        let step = |choices: &Choices, value: &str| code(choices, value)?.parse().ok();
        let mut abv = |field: &str, text: &str| match text.trim() {
            "" => None,
            text => match parse_percent(text, 0.0, ABV_MOST) {
                Ok(abv) => Some(abv),
                Err(fault) => {
                    faults.push((field.to_owned(), fault.to_string()));
                    None
                }
            },
        };
        let (abv_low, abv_high) = (abv("abv_from", &self.abv_from), abv("abv_to", &self.abv_to));
        if abv_low.zip(abv_high).is_some_and(|(low, high)| low > high) {
            let why = "This is below what it is to start from. Write a higher one, or leave one of the two empty.";
            faults.push(("abv_to".to_owned(), why.to_owned()));
        }
        let money = |c: char| matches!(c, '$' | '€' | '£' | '¥') || c.is_whitespace();
        let cost = match self.cost.trim_matches(money) {
            "" => None,
            text => match parse_number_within(text, 0.0, COST_MOST) {
                Ok(cost) => Some(cost),
                Err(fault) => {
                    faults.push(("cost".to_owned(), fault.to_string()));
                    None
                }
            },
        };
        let filter = Filter {
            family: code(&offered.families, &self.family),
            strength: code(&offered.strengths, &self.strength),
            sweetness: code(&offered.sweetnesses, &self.sweetness),
            honey: code(&offered.honeys, &self.honey),
            fruit: code(&offered.fruits, &self.fruit),
            yeast: code(&offered.yeasts, &self.yeast),
            abv_low,
            abv_high,
            rating: step(&offered.ratings, &self.rated),
            made: step(&offered.made, &self.made),
            ready: step(&offered.ready, &self.ready),
            little_gear: self.gear == "little",
            cost,
        };
        let view = View {
            shelf: self.shelf.parse::<Shelf>().unwrap_or_default(),
            words: self.q.clone(),
            filter,
            sort: match self.sort.as_str() {
                "newest" => Sort::Newest,
                "best" => Sort::Best,
                "name" => Sort::Name,
                _ => Sort::Usual,
            },
        };
        (view, faults)
    }

    /// As the query of an address, from the page after `after`.
    pub fn query(&self, after: &str) -> String {
        encoded(&[
            ("q", self.q.trim()),
            ("shelf", &self.shelf),
            ("sort", &self.sort),
            ("family", &self.family),
            ("strength", &self.strength),
            ("sweetness", &self.sweetness),
            ("honey", &self.honey),
            ("fruit", &self.fruit),
            ("yeast", &self.yeast),
            ("abv_from", self.abv_from.trim()),
            ("abv_to", self.abv_to.trim()),
            ("rated", &self.rated),
            ("made", &self.made),
            ("ready", &self.ready),
            ("gear", &self.gear),
            ("cost", self.cost.trim()),
            ("after", after),
        ])
    }

    /// What it is narrowed down to, each with the list without it; `address` makes an address of a query.
    pub fn chosen(&self, offered: &Offered, address: impl Fn(&str) -> String) -> Vec<Chosen> {
        let mut chosen = Vec::new();
        let mut tell = |words: Option<String>, without: &dyn Fn(&mut Asked)| {
            if let Some(words) = words {
                let mut less = self.clone();
                without(&mut less);
                let without = address(&less.query(""));
                chosen.push(Chosen { words, without });
            }
        };
        // Of "dry (no sweetness that one would notice)" the word, of a family all of it.
        let short = |choices: &Choices, value: &str| {
            let words = choices::words_of(choices, value)?;
            Some(words.split(" (").next().unwrap_or(words).to_owned())
        };
        let whole =
            |choices: &Choices, value: &str| choices::words_of(choices, value).map(str::to_owned);
        let with = |choices: &Choices, value: &str| {
            Some(format!("with {}", whole(choices, value)?.to_lowercase()))
        };
        tell(
            whole(&offered.families, &self.family),
            &|less: &mut Asked| less.family.clear(),
        );
        tell(
            short(&offered.strengths, &self.strength),
            &|less: &mut Asked| less.strength.clear(),
        );
        tell(
            short(&offered.sweetnesses, &self.sweetness),
            &|less: &mut Asked| less.sweetness.clear(),
        );
        tell(with(&offered.honeys, &self.honey), &|less: &mut Asked| {
            less.honey.clear()
        });
        tell(with(&offered.fruits, &self.fruit), &|less: &mut Asked| {
            less.fruit.clear()
        });
        tell(with(&offered.yeasts, &self.yeast), &|less: &mut Asked| {
            less.yeast.clear()
        });
        let strength = match (self.abv_from.trim(), self.abv_to.trim()) {
            ("", "") => None,
            (low, "") => Some(format!("{} or stronger", percent(low))),
            ("", high) => Some(format!("{} or weaker", percent(high))),
            (low, high) => Some(format!("{} to {}", percent(low), percent(high))),
        };
        tell(strength, &|less: &mut Asked| {
            less.abv_from.clear();
            less.abv_to.clear();
        });
        let rated = whole(&offered.ratings, &self.rated).map(|words| format!("rated {words}"));
        tell(rated, &|less: &mut Asked| less.rated.clear());
        tell(whole(&offered.made, &self.made), &|less: &mut Asked| {
            less.made.clear()
        });
        let ready = whole(&offered.ready, &self.ready).map(|words| format!("ready {words}"));
        tell(ready, &|less: &mut Asked| less.ready.clear());
        let gear = (self.gear == "little").then(|| "made with little gear".to_owned());
        tell(gear, &|less: &mut Asked| less.gear.clear());
        let cost = Some(self.cost.trim()).filter(|cost| !cost.is_empty());
        tell(
            cost.map(|cost| format!("a bottle for {cost} at most")),
            &|less: &mut Asked| less.cost.clear(),
        );
        chosen
    }
}

fn percent(text: &str) -> String {
    match text.parse::<f64>() {
        Ok(_) => format!("{text} %"),
        Err(_) => text.to_owned(),
    }
}
