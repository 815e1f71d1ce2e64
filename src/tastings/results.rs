//! What was said of each mead, put together: how much it is liked, what is too little or too much, and everybody's words.

use super::model::{Answer, Pour};
use crate::engine::log::entry::{Sense, Tasting as Said};

/// How much a mead is liked, of those who said so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Liking {
    pub mean: f64,
    pub least: i32,
    pub most: i32,
    pub of: usize,
}

/// How many find too little of something, just enough, too much.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counted {
    pub sense: Sense,
    pub little: usize,
    pub right: usize,
    pub much: usize,
}

/// What was said of one mead.
#[derive(Clone, Debug, PartialEq)]
pub struct OfMead<'a> {
    pub pour: &'a Pour,
    pub liking: Option<Liking>,
    /// Of each sense that anybody spoke of.
    pub senses: Vec<Counted>,
    /// By whom, and what.
    pub said: Vec<(&'a str, &'a Said)>,
}

/// Of each mead what was said of it, in the order of pouring.
pub fn of_meads<'a>(pours: &'a [Pour], answers: &'a [Answer]) -> Vec<OfMead<'a>> {
    pours.iter().map(|pour| of_mead(pour, answers)).collect()
}

fn of_mead<'a>(pour: &'a Pour, answers: &'a [Answer]) -> OfMead<'a> {
    let place = pour.place;
    let told = answers.iter().flat_map(move |answer| {
        let own = answer.said.iter().filter(move |(at, _)| *at == place);
        own.map(move |(_, said)| (answer.by.as_str(), said))
    });
    let said: Vec<(&str, &Said)> = told.collect();
    OfMead {
        pour,
        liking: liking(&said),
        senses: senses(&said),
        said,
    }
}

fn liking(said: &[(&str, &Said)]) -> Option<Liking> {
    let all: Vec<i32> = said.iter().filter_map(|(_, said)| said.liked()).collect();
    let (least, most) = (*all.iter().min()?, *all.iter().max()?);
    let sum: i32 = all.iter().sum();
    Some(Liking {
        mean: f64::from(sum) / all.len() as f64,
        least,
        most,
        of: all.len(),
    })
}

fn senses(said: &[(&str, &Said)]) -> Vec<Counted> {
    let counted = Sense::ALL.iter().map(|sense| {
        let values: Vec<i32> = said
            .iter()
            .filter_map(|(_, said)| said.of(*sense))
            .collect();
        let count = |test: fn(i32) -> bool| values.iter().filter(|value| test(**value)).count();
        Counted {
            sense: *sense,
            little: count(|value| value < 0),
            right: count(|value| value == 0),
            much: count(|value| value > 0),
        }
    });
    counted
        .filter(|of| of.little + of.right + of.much > 0)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(by: &str, said: Vec<(i32, Said)>) -> Answer {
        Answer {
            by: by.to_owned(),
            serving: None,
            pick: None,
            said_at: Vec::new(),
            said,
        }
    }

    fn pour(place: i32) -> Pour {
        Pour {
            place,
            batch: None,
            name: format!("mead {place}"),
            code: None,
            allergens: Vec::new(),
        }
    }

    #[test]
    fn each_mead_gets_what_was_said_of_it() {
        let liked = |liking, sweetness| Said {
            liking: Some(liking),
            sweetness,
            ..Said::default()
        };
        let answers = [
            answer("Ada", vec![(1, liked(7, Some(1))), (2, liked(3, None))]),
            answer("Bo", vec![(1, liked(4, Some(-2)))]),
            answer("Cy", vec![(2, Said::default())]),
        ];
        let pours = [pour(1), pour(2)];
        let found = of_meads(&pours, &answers);
        assert_eq!(
            found[0].liking,
            Some(Liking {
                mean: 5.5,
                least: 4,
                most: 7,
                of: 2
            })
        );
        let sweet = Counted {
            sense: Sense::Sweetness,
            little: 1,
            right: 0,
            much: 1,
        };
        assert_eq!(found[0].senses, [sweet]);
        assert_eq!(found[1].senses, []);
        let who: Vec<&str> = found[1].said.iter().map(|(by, _)| *by).collect();
        assert_eq!(who, ["Ada", "Cy"]);
    }
}
