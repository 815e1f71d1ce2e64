//! Feeds by the spoon, for whoever has no fine scale: level teaspoons, a fifth more or less (the catalogue).

use crate::catalogue::club::ClubCatalogue;
use crate::engine::recipe::Nutrient;
use crate::web::units;

/// "about 2 ½ level teaspoons" for so many grams of a feed that the catalogue knows; `None` of any other.
pub fn of_feed(grams: f64, feed: Option<&Nutrient>, catalogue: &ClubCatalogue) -> Option<String> {
    let spoon = grams_per_teaspoon(feed?, catalogue)?;
    Some(format!("about {}", spoons(grams / spoon)))
}

/// Grams in a level teaspoon, of a feed that the catalogue knows.
fn grams_per_teaspoon(feed: &Nutrient, catalogue: &ClubCatalogue) -> Option<f64> {
    let known = catalogue.find_feed(feed.key.as_deref()?)?;
    known.grams_per_teaspoon.filter(|grams| *grams > 0.0)
}

/// "2 ½ level teaspoons", to the quarter.
fn spoons(exact: f64) -> String {
    let quarters = (exact * 4.0).round().max(1.0);
    let whole = (quarters / 4.0).floor();
    let part = match (quarters - 4.0 * whole) as u8 {
        1 => "¼",
        2 => "½",
        3 => "¾",
        _ => "",
    };
    let number = match (whole, part) {
        (0.0, part) => part.to_owned(),
        (whole, "") => units::plain(whole, 0),
        (whole, part) => format!("{} {part}", units::plain(whole, 0)),
    };
    match quarters {
        quarters if quarters <= 4.0 => format!("{number} level teaspoon"),
        _ => format!("{number} level teaspoons"),
    }
}

#[cfg(test)]
mod tests {
    use super::spoons;

    #[test]
    fn spoons_are_told_to_the_quarter() {
        for (exact, told) in [
            (0.02, "¼ level teaspoon"),
            (0.5, "½ level teaspoon"),
            (1.0, "1 level teaspoon"),
            (1.3, "1 ¼ level teaspoons"),
            (2.1, "2 level teaspoons"),
            (2.8, "2 ¾ level teaspoons"),
        ] {
            assert_eq!(spoons(exact), told);
        }
    }
}
