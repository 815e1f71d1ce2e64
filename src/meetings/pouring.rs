//! The order of pouring at a meeting: the trade's common rule, on what is known of what people bring.

use super::model::Pour;
use crate::engine::contest::declared::{Character, Sweetness};
use crate::engine::contest::order::{self, Poured};

/// How sweet it is in words; nothing where it is not known.
pub fn words(sweetness: Option<Sweetness>) -> &'static str {
    match sweetness {
        Some(Sweetness::Dry) => "dry",
        Some(Sweetness::SemiSweet) => "semi-sweet",
        Some(Sweetness::Sweet) => "sweet",
        None => "",
    }
}

/// How sweet something is: by its numbers, else by the words of whoever brings it.
pub fn sweetness(pour: &Pour) -> Option<Sweetness> {
    if let Some(fg) = pour.brought.fg {
        return Some(Sweetness::of_gravity(fg));
    }
    let words = pour.brought.words.to_lowercase();
    let has = |word: &str| {
        words
            .split(|c: char| !c.is_alphabetic())
            .any(|part| part == word)
    };
    match () {
        () if has("semi") || has("medium") || has("off") => Some(Sweetness::SemiSweet),
        () if has("dry") => Some(Sweetness::Dry),
        () if has("sweet") || has("sack") || has("dessert") => Some(Sweetness::Sweet),
        () => None,
    }
}

/// The suggested order, as places in the list.
pub fn suggested(pours: &[Pour]) -> Vec<usize> {
    let glasses: Vec<Poured> = pours
        .iter()
        .map(|pour| Poured {
            sweetness: sweetness(pour),
            abv_percent: pour.brought.abv_percent,
            character: Character::Plain,
        })
        .collect();
    order::order(&glasses)
}

/// The list as it is poured: as the organiser left it, what came later behind; else as suggested.
pub fn ordered(pours: Vec<Pour>) -> Vec<Pour> {
    let mut sorted: Vec<Pour> = suggested(&pours)
        .into_iter()
        .filter_map(|at| pours.get(at).cloned())
        .collect();
    if sorted.iter().any(|pour| pour.place.is_some()) {
        sorted.sort_by_key(|pour| pour.place.unwrap_or(i32::MAX));
    }
    sorted
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meetings::model::Brought;
    use crate::web::viewer::MemberId;

    fn pour(words: &str, fg: Option<f64>, abv: Option<f64>, place: Option<i32>) -> Pour {
        Pour {
            public_id: words.to_owned(),
            member: MemberId(1),
            member_name: "Ada".to_owned(),
            brought: Brought {
                words: words.to_owned(),
                recipe: None,
                abv_percent: abv,
                fg,
                allergens: Vec::new(),
                beware: String::new(),
            },
            place,
        }
    }

    fn names(pours: Vec<Pour>) -> Vec<String> {
        let words = ordered(pours).into_iter().map(|pour| pour.brought.words);
        words.collect()
    }

    #[test]
    fn dry_comes_before_sweet_and_weak_before_strong() {
        let list = || {
            vec![
                pour("strong and sweet", Some(1.040), Some(16.0), None),
                pour("something of my aunt's", None, None, None),
                pour("a dry cherry mead, two years old", None, None, None),
                pour("session", Some(0.998), Some(5.5), None),
                pour("strong and dry", Some(0.995), Some(14.0), None),
                pour("semi-sweet", Some(1.012), Some(9.0), None),
                pour("weak and sweet", Some(1.030), Some(8.0), None),
            ]
        };
        let wanted = [
            "session",
            "strong and dry",
            "a dry cherry mead, two years old",
            "semi-sweet",
            "weak and sweet",
            "strong and sweet",
            "something of my aunt's",
        ];
        assert_eq!(names(list()), wanted);
        let mut moved = list();
        moved[1].place = Some(0);
        moved[3].place = Some(1);
        assert_eq!(names(moved)[..2], ["something of my aunt's", "session"]);
    }
}
