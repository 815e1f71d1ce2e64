//! What a list of recipes can be narrowed down to, in words: pairs of what stands in an address and what is read.

use super::filter::{MADE, RATINGS, READY};
use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::{Entry, Kind, StyleSort, catalogue};
use crate::web::units::plain;

/// Values with their words; the first is none.
pub type Choices = Vec<(String, String)>;

/// A family as lists name it: "fruit mead (melomel)"; a maker's own word stands as it is.
pub fn family_name(code: &str) -> String {
    match catalogue().find_family(code) {
        Some(family) => format!("{} ({})", family.words, family.name.to_lowercase()),
        None => code.to_owned(),
    }
}

fn with_any(any: &str, choices: impl Iterator<Item = (String, String)>) -> Choices {
    std::iter::once((String::new(), any.to_owned()))
        .chain(choices)
        .collect()
}

/// Families in plain words.
pub fn families() -> Choices {
    let all = catalogue().families().iter();
    with_any(
        "any kind",
        all.map(|family| (family.code.clone(), family_name(&family.code))),
    )
}

fn style_words(any: &str, sort: StyleSort) -> Choices {
    let all = catalogue().style_words().iter();
    let of_sort = all.filter(|word| word.sort == sort);
    with_any(
        any,
        of_sort.map(|word| {
            (
                word.code.clone(),
                format!("{} ({})", word.name.to_lowercase(), word.words),
            )
        }),
    )
}

/// How strong.
pub fn strengths() -> Choices {
    style_words("any strength", StyleSort::Strength)
}

/// How sweet.
pub fn sweetnesses() -> Choices {
    style_words("any sweetness", StyleSort::Sweetness)
}

fn entries<'a>(any: &str, entries: impl Iterator<Item = &'a Entry>) -> Choices {
    with_any(
        any,
        entries.map(|entry| (entry.key.clone(), entry.name.clone())),
    )
}

/// Honeys, the club's own among them.
pub fn honeys(club: &ClubCatalogue) -> Choices {
    entries("any honey", club.honeys())
}

/// Fruit and juice.
pub fn fruits(club: &ClubCatalogue) -> Choices {
    let fruit = |entry: &&Entry| matches!(entry.kind, Kind::Fruit | Kind::Juice);
    entries("with fruit or without", club.others().filter(fruit))
}

/// Classes of yeast.
pub fn yeasts(club: &ClubCatalogue) -> Choices {
    let all = club.yeasts();
    with_any(
        "any yeast",
        all.map(|yeast| (yeast.key.clone(), yeast.name.clone())),
    )
}

/// Ratings from which.
pub fn ratings() -> Choices {
    let steps = RATINGS.into_iter();
    with_any(
        "rated or not",
        steps.map(|tenths| {
            let stars = plain(f64::from(tenths) / 10.0, 1);
            (tenths.to_string(), format!("{stars} of 5 or better"))
        }),
    )
}

/// How often made here.
pub fn made() -> Choices {
    with_any(
        "made or not",
        MADE.into_iter().map(|times| {
            let words = match times {
                1 => "made at least once".to_owned(),
                2 => "made at least twice".to_owned(),
                many => format!("made at least {many} times"),
            };
            (times.to_string(), words)
        }),
    )
}

/// Within how many months good to drink.
pub fn ready() -> Choices {
    with_any(
        "whenever",
        READY.into_iter().map(|months| {
            let words = match months {
                1 => "within a month".to_owned(),
                12 => "within a year".to_owned(),
                many => format!("within {many} months"),
            };
            (months.to_string(), words)
        }),
    )
}

/// The orders of a list.
pub fn orders(searching: bool) -> Choices {
    let usual = if searching {
        "the closest first"
    } else {
        "the newest first"
    };
    let mut all = vec![("", usual)];
    if searching {
        all.push(("newest", "the newest first"));
    }
    all.extend([("best", "the best rated first"), ("name", "by name")]);
    all.into_iter()
        .map(|(value, words)| (value.to_owned(), words.to_owned()))
        .collect()
}

/// The words of a value; none for what is not offered.
pub fn words_of<'a>(choices: &'a [(String, String)], value: &str) -> Option<&'a str> {
    let known = choices
        .iter()
        .find(|(known, _)| known == value && !value.is_empty());
    known.map(|(_, words)| words.as_str())
}
