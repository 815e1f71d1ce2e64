//! What is typed on the page of a mead for a day, and what is read from it.

use chrono::NaiveDate;

use super::{Amount, Kind, Sweetness, Wish};
use crate::recipes::forms::quantity::Quantity;
use crate::recipes::list::encoded;
use crate::web::day;
use crate::web::units::{self, Units, parse_whole};

/// The most that one plan makes, litres.
const MOST_L: f64 = 200.0;
/// The most bottles.
const MOST_BOTTLES: i32 = 2000;
/// Sizes of bottles, litres.
const BOTTLE_L: [f64; 2] = [0.1, 20.0];
/// Strengths that a yeast makes without feeding it honey in steps, % ABV (common practice, no published source).
const ABV: [f64; 2] = [4.0, 15.0];

/// The fields, as typed; those of an address that names others are left alone.
#[derive(Clone, Debug, Default, PartialEq, serde::Deserialize)]
#[serde(default)]
pub struct Asked {
    pub bottles: String,
    pub size: String,
    pub litres: String,
    pub day: String,
    pub strength: String,
    pub sweet: String,
    pub kind: String,
    pub bubbles: String,
}

/// Choices of each group, with their words; the first stands chosen where nothing was.
pub const SWEETNESSES: [(&str, Sweetness, &str); 3] = [
    ("dry", Sweetness::Dry, "dry: no sugar left"),
    ("semi-sweet", Sweetness::SemiSweet, "a little sweet"),
    ("sweet", Sweetness::Sweet, "sweet"),
];
pub const KINDS: [(&str, Kind, &str); 5] = [
    ("plain", Kind::Plain, "plain: honey and nothing else"),
    ("raspberry", Kind::Raspberry, "with raspberries"),
    ("spiced", Kind::Spiced, "with orange peel and cinnamon"),
    ("apple", Kind::Apple, "with apple juice in place of water"),
    ("browned", Kind::Browned, "of browned honey"),
];
pub const BUBBLES: [(&str, bool, &str); 2] =
    [("still", false, "still"), ("sparkling", true, "sparkling")];

fn chosen<T: Copy>(all: &[(&str, T, &str)], word: &str) -> Option<T> {
    let known = all.iter().find(|(known, ..)| *known == word);
    known.map(|(_, value, _)| *value)
}

fn word_of<T: Copy + PartialEq>(all: &[(&'static str, T, &str)], value: T) -> &'static str {
    let known = all.iter().find(|(_, known, _)| *known == value);
    known.map_or("", |(word, ..)| word)
}

impl Asked {
    /// What stands in the fields before anything was typed.
    pub fn usual(units: Units) -> Asked {
        let text = |text: &str| text.to_owned();
        Asked {
            bottles: text("30"),
            size: text(match units {
                Units::Metric => "0.75 L",
                _ => "750 ml",
            }),
            strength: text("11 %"),
            sweet: text("dry"),
            kind: text("plain"),
            bubbles: text("still"),
            ..Asked::default()
        }
    }

    /// The same with the first of each group chosen where none is.
    pub fn chosen(self) -> Asked {
        let first = |word: String, usual: &str| match word.as_str() {
            "" => usual.to_owned(),
            _ => word,
        };
        Asked {
            sweet: first(self.sweet, SWEETNESSES[0].0),
            kind: first(self.kind, KINDS[0].0),
            bubbles: first(self.bubbles, BUBBLES[0].0),
            ..self
        }
    }

    /// Whether nothing was asked yet.
    pub fn is_empty(&self) -> bool {
        *self == Asked::default()
    }

    /// The same question about another mead.
    pub fn about(&self, wish: &Wish) -> Asked {
        Asked {
            strength: crate::recipes::numbers::strength(wish.abv_percent),
            sweet: word_of(&SWEETNESSES, wish.sweetness).to_owned(),
            kind: word_of(&KINDS, wish.kind).to_owned(),
            bubbles: word_of(&BUBBLES, wish.sparkling).to_owned(),
            ..self.clone()
        }
    }

    /// As the query of an address.
    pub fn query(&self) -> String {
        encoded(&[
            ("bottles", &self.bottles),
            ("size", &self.size),
            ("litres", &self.litres),
            ("day", &self.day),
            ("strength", &self.strength),
            ("sweet", &self.sweet),
            ("kind", &self.kind),
            ("bubbles", &self.bubbles),
        ])
    }

    /// What is wished, or every fault with the id of its field.
    ///
    /// # Errors
    /// All faults, in the order of the fields.
    pub fn check(&self, today: NaiveDate, units: Units) -> Result<Wish, Vec<(String, String)>> {
        let mut faults: Vec<(String, String)> = Vec::new();
        let amount = self.amount(units, &mut faults);
        let day = self.day(today, units, &mut faults);
        let mut say = |field: &str, why: String| faults.push((field.to_owned(), why));
        let strength = Quantity::at("/aim/abv_percent").understood(&self.strength, units);
        let abv_percent = match strength {
            Ok(abv) if (ABV[0]..=ABV[1]).contains(&abv) => Some(abv),
            Ok(_) => {
                say("strength", "Write a strength from 4 to 15 %. More wants honey in steps, and years; that is not planned here.".to_owned());
                None
            }
            Err(fault) => {
                say("strength", fault.to_string());
                None
            }
        };
        let sweetness = chosen(&SWEETNESSES, &self.sweet);
        if sweetness.is_none() {
            say("sweet", "Choose how sweet it should end.".to_owned());
        }
        let kind = chosen(&KINDS, &self.kind);
        if kind.is_none() {
            say("kind", "Choose what it should be made of.".to_owned());
        }
        let sparkling = chosen(&BUBBLES, &self.bubbles);
        match (sparkling, sweetness) {
            (None, _) => say("bubbles", "Choose still or sparkling.".to_owned()),
            (Some(true), Some(Sweetness::SemiSweet | Sweetness::Sweet)) => say(
                "bubbles",
                "Choose dry, or still. A sweet mead is kept from fermenting on, so no yeast makes gas in its bottles; sweet and sparkling comes from a keg under pressure.".to_owned(),
            ),
            _ => {}
        }
        match (amount, day, abv_percent, sweetness, kind, sparkling) {
            (
                Some(amount),
                Some(day),
                Some(abv_percent),
                Some(sweetness),
                Some(kind),
                Some(sparkling),
            ) if faults.is_empty() => Ok(Wish {
                amount,
                day,
                abv_percent,
                sweetness,
                kind,
                sparkling,
            }),
            _ => Err(faults),
        }
    }

    fn amount(&self, units: Units, faults: &mut Vec<(String, String)>) -> Option<Amount> {
        let known = faults.len();
        let mut say = |field: &str, why: String| faults.push((field.to_owned(), why));
        let volume = |text: &str| Quantity::at("/volume_l").read(text, units);
        let mut amount = None;
        let mut asked_in = "bottles";
        match (self.bottles.trim(), self.litres.trim()) {
            ("", "") => say(
                "bottles",
                "Write how many bottles, such as 30, or how much in all.".to_owned(),
            ),
            ("", text) => {
                asked_in = "litres";
                match volume(text) {
                    Ok(litres) => amount = Some(Amount::Litres(litres)),
                    Err(fault) => say("litres", fault.to_string()),
                }
            }
            (count, "") => {
                let count = parse_whole(count, 1, MOST_BOTTLES).ok();
                if count.is_none() {
                    let why = format!(
                        "Write how many bottles, a whole number up to {MOST_BOTTLES}, such as 30."
                    );
                    say("bottles", why);
                }
                let size = match volume(&self.size) {
                    Ok(size) if (BOTTLE_L[0]..=BOTTLE_L[1]).contains(&size) => Some(size),
                    Err(fault) if !self.size.trim().is_empty() => {
                        say("size", fault.to_string());
                        None
                    }
                    _ => {
                        let why = "Write the size of one bottle, such as 0.75 L or 330 ml.";
                        say("size", why.to_owned());
                        None
                    }
                };
                amount = count
                    .zip(size)
                    .map(|(count, size)| Amount::Bottles(count, size));
            }
            _ => say(
                "litres",
                "Give bottles or how much in all, not both: clear one of them.".to_owned(),
            ),
        }
        if amount.is_some_and(|amount| amount.litres() > MOST_L) {
            let most = units::volume(MOST_L, units);
            let why = format!("Ask for {most} or less in all: more is planned batch by batch.");
            say(asked_in, why);
        }
        amount.filter(|_| faults.len() == known)
    }

    fn day(
        &self,
        today: NaiveDate,
        units: Units,
        faults: &mut Vec<(String, String)>,
    ) -> Option<NaiveDate> {
        let why = match (self.day.trim(), day::read(&self.day, today, units)) {
            ("", _) => "Write the day on which it is to be poured, such as 24 June.",
            (_, None) => "Write the day such as 24 June, or 2027-06-24.",
            (_, Some(day)) if day <= today => "Write a day that is still to come.",
            (_, Some(day)) if day > today + chrono::Duration::days(366 * 20) => {
                "Write a day within the next twenty years."
            }
            (_, Some(day)) => return Some(day),
        };
        faults.push(("day".to_owned(), why.to_owned()));
        None
    }
}
