//! The sentence that leads: how much of what, how strong, and from when it is good to drink.

use chrono::{Datelike, Months};

use super::method::Number;
use super::{Piece, Reader, strength};
use crate::engine::ageing::months;
use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Kind, Recipe};
use crate::web::units;

/// The lead in pieces; what it promises leads to how that is reckoned.
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
    vec![
        Piece::said("About "),
        Piece::figure(Number::Bottles, amount),
        Piece::said(format!(" of {} at ", called(recipe, numbers))),
        Piece::figure(Number::Strength, strength(finished.abv_percent)),
        Piece::said(", good to drink from about "),
        Piece::figure(Number::Ready, drink_from(numbers, reader)),
        Piece::said("."),
    ]
}

/// What the lead calls the mead: "dry mead", "semi-sweet blackberry mead".
fn called(recipe: &Recipe, numbers: &Formulation) -> String {
    let sweetness = numbers
        .style
        .as_ref()
        .and_then(|style| style.sweetness.value.clone());
    let mut words = sweetness.map(|word| vec![word]).unwrap_or_default();
    let fruit = recipe
        .ingredients
        .iter()
        .filter(|item| matches!(item.kind, Kind::Fruit | Kind::Juice));
    let names: Vec<String> = fruit.map(|item| plain_name(&item.name)).collect();
    match names.as_slice() {
        [one] => words.push(one.clone()),
        [one, two] if one != two => words.push(format!("{one} and {two}")),
        [] => {}
        _ => words.push("mixed fruit".to_owned()),
    }
    words.push("mead".to_owned());
    words.join(" ")
}

/// "Blackberry, frozen" → "blackberry".
fn plain_name(name: &str) -> String {
    name.split([',', '('])
        .next()
        .unwrap_or(name)
        .trim()
        .to_lowercase()
}

/// Months after which such a mead is usually good (common practice, no published source).
pub(super) fn months_to_drink(numbers: &Formulation) -> u32 {
    let style = numbers.style.as_ref();
    let family = style
        .and_then(|style| style.family.value.as_deref())
        .unwrap_or_default();
    let strength = style
        .and_then(|style| style.strength.value.as_deref())
        .unwrap_or_default();
    let [earliest, _] = months(family, strength);
    earliest
}

/// Earliest month in which such a mead is usually good, if it is made today.
pub(super) fn drink_from(numbers: &Formulation, reader: &Reader) -> String {
    let months = months_to_drink(numbers);
    let today = reader.now.with_timezone(&reader.zone).date_naive();
    match today.checked_add_months(Months::new(months)) {
        Some(then) => format!("{} {}", month(then.month()), then.year()),
        None => format!("{months} months on"),
    }
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
