//! The sentence that leads: how much of what, how strong, and from when it is good to drink.

use chrono::{Datelike, Months, NaiveDate};

use super::method::Number;
use super::{Piece, Reader, strength};
use crate::engine::ageing::months;
use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Kind, Recipe};
use crate::web::units;

/// The lead in pieces; what it promises leads to how that is reckoned: "22 bottles of dry mead, about 12 %, ready from
/// May 2027, better by November 2027."
pub(super) fn lead(recipe: &Recipe, numbers: &Formulation, reader: &Reader) -> Vec<Piece> {
    let (Some(finished), Some(package)) = (&numbers.finished, &numbers.package) else {
        return Vec::new();
    };
    let bottles = package.bottles.first().map_or(0, |bottles| bottles.count);
    let amount = match bottles {
        0 => units::volume(package.litres, reader.units),
        1 => "1 bottle".to_owned(),
        many => format!("{many} bottles"),
    };
    let [good, better] = ready(numbers, reader.today());
    vec![
        Piece::figure(Number::Bottles, amount),
        Piece::said(format!(" of {}, about ", called(recipe, numbers))),
        Piece::figure(Number::Strength, strength(finished.abv_percent)),
        Piece::said(", ready from "),
        Piece::figure(Number::Ready, good),
        Piece::said(", better by "),
        Piece::figure(Number::Ready, better),
        Piece::said("."),
    ]
}

/// What the lead calls the mead: "dry mead", "semi-sweet blackberry mead", "sweet burnt-honey mead".
pub fn called(recipe: &Recipe, numbers: &Formulation) -> String {
    let style = numbers.style.as_ref();
    let sweetness = style.and_then(|style| style.sweetness.value.clone());
    let family = style.and_then(|style| style.family.value.as_deref());
    let mut words: Vec<String> = sweetness.into_iter().collect();
    let fruit = recipe
        .ingredients
        .iter()
        .filter(|item| matches!(item.kind, Kind::Fruit | Kind::Juice));
    let names: Vec<String> = fruit.map(|item| plain_name(&item.name)).collect();
    let fruit = match names.as_slice() {
        [one] => Some(one.clone()),
        [one, two] if one != two => Some(format!("{one} and {two}")),
        [] => None,
        _ => Some("mixed fruit".to_owned()),
    };
    match (fruit, family) {
        (Some(fruit), Some("fruit_spice")) => words.push(format!("{fruit} and spice")),
        (Some(fruit), _) => words.push(fruit),
        (None, family) => words.extend(plain_family(family).map(str::to_owned)),
    }
    words.push("mead".to_owned());
    words.join(" ")
}

/// What stands before "mead" for a family that no fruit names; nothing for plain mead, and for the maker's own word.
fn plain_family(family: Option<&str>) -> Option<&'static str> {
    Some(match family? {
        "cyser" => "apple",
        "pyment" => "grape",
        "berry_mead" => "berry",
        "stone_fruit_mead" => "stone-fruit",
        "melomel" => "fruit",
        "metheglin" => "spiced",
        "fruit_spice" => "fruit and spice",
        "bochet" => "burnt-honey",
        "braggot" => "malt",
        "acerglyn" => "maple",
        "capsicumel" => "hot-pepper",
        "rhodomel" => "rose",
        _ => return None,
    })
}

/// "Blackberry, frozen" → "blackberry".
fn plain_name(name: &str) -> String {
    name.split([',', '('])
        .next()
        .unwrap_or(name)
        .trim()
        .to_lowercase()
}

/// Months after which such a mead is usually good, and after which it is better (common practice, no published source).
pub(in crate::recipes) fn months_to_drink(numbers: &Formulation) -> [u32; 2] {
    let style = numbers.style.as_ref();
    let family = style
        .and_then(|style| style.family.value.as_deref())
        .unwrap_or_default();
    let strength = style
        .and_then(|style| style.strength.value.as_deref())
        .unwrap_or_default();
    let stronger = numbers
        .finished
        .as_ref()
        .is_some_and(|finished| finished.abv_percent > STRONG_ABV);
    months(family, if stronger { "sack" } else { strength })
}

/// Above this no style has a word for the strength, and the mead is a strong one all the same, % ABV.
const STRONG_ABV: f64 = 14.0;

/// The months in which such a mead is usually good and better, made on that day: "May 2027", "November 2027".
pub(super) fn ready(numbers: &Formulation, made: NaiveDate) -> [String; 2] {
    months_to_drink(numbers).map(
        |months| match made.checked_add_months(Months::new(months)) {
            Some(then) => format!("{} {}", month(then.month()), then.year()),
            None => format!("{months} months on"),
        },
    )
}

fn month(number: u32) -> &'static str {
    match number {
        1 => "January",
        2 => "February",
        3 => "March",
        4 => "April",
        5 => "May",
        6 => "June",
        7 => "July",
        8 => "August",
        9 => "September",
        10 => "October",
        11 => "November",
        _ => "December",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::formulation::{Finished, Style, StyleWord};

    fn of(family: &str, strength: Option<&str>, abv_percent: f64) -> Formulation {
        let word = |value: Option<&str>| StyleWord {
            value: value.map(str::to_owned),
            rule: "",
        };
        Formulation {
            style: Some(Style {
                family: word(Some(family)),
                strength: word(strength),
                sweetness: word(Some("dry")),
            }),
            finished: Some(Finished {
                abv_percent,
                fg: 1.0,
                abw_percent: 0.0,
                volume_l: 1.0,
                residual_sugar_g_per_l: 0.0,
                extract_g_per_l: 0.0,
                ta_g_per_l: None,
                natural_fg: 1.0,
                abv_before_sweetening_percent: abv_percent,
                attenuation_percent: 0.0,
                co2_kg: 0.0,
                lees_kg: 0.0,
                energy_kj_per_100ml: 0.0,
            }),
            ..Formulation::default()
        }
    }

    #[test]
    fn a_mead_is_ready_by_family_and_strength() {
        let day = NaiveDate::from_ymd_opt(2026, 11, 28).unwrap();
        for (family, strength, abv, good, better) in [
            (
                "traditional",
                Some("standard"),
                12.0,
                "May 2027",
                "November 2027",
            ),
            (
                "traditional",
                Some("hydromel"),
                6.0,
                "December 2026",
                "January 2027",
            ),
            (
                "braggot",
                Some("standard"),
                9.0,
                "January 2027",
                "March 2027",
            ),
            (
                "melomel",
                Some("standard"),
                12.0,
                "March 2027",
                "August 2027",
            ),
            (
                "metheglin",
                Some("standard"),
                12.0,
                "March 2027",
                "August 2027",
            ),
            ("bochet", Some("standard"), 12.0, "August 2027", "May 2028"),
            (
                "bochet",
                Some("sack"),
                15.0,
                "November 2027",
                "November 2029",
            ),
            ("traditional", None, 19.0, "November 2027", "November 2029"),
        ] {
            let found = ready(&of(family, strength, abv), day);
            assert_eq!(found, [good, better], "{family} at {abv}");
        }
    }

    #[test]
    fn a_family_is_told_in_plain_words() {
        let recipe = Recipe::default();
        for (family, words) in [
            ("traditional", "dry mead"),
            ("bochet", "dry burnt-honey mead"),
            ("braggot", "dry malt mead"),
            ("metheglin", "dry spiced mead"),
            ("something of ours", "dry mead"),
        ] {
            assert_eq!(called(&recipe, &of(family, None, 12.0)), words);
        }
    }
}
