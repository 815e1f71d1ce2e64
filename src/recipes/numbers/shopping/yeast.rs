//! Yeast on the shopping list: whole sachets, in every size that is sold.

use super::Buy;
use super::at_home::{NOTHING, have_words};
use super::sold::{count, counted};
use crate::cupboard::amount::Measure;
use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Recipe, YeastWhen};
use crate::recipes::numbers::Reader;
use crate::web::units::{self, Units};

/// Sizes of sachets that are sold, g.
pub const SACHETS_G: [f64; 4] = [5.0, 8.0, 10.0, 11.0];

pub(super) fn yeasts(recipe: &Recipe, numbers: &Formulation, reader: &Reader) -> Vec<Buy> {
    let sachet_g = reader.sachet_g;
    let grams = numbers
        .pitching
        .as_ref()
        .map_or(0.0, |pitching| pitching.yeast_g);
    let mut pitched = false;
    let mut bought = Vec::new();
    for yeast in &recipe.yeasts {
        let first = yeast.when == YeastWhen::Pitch && !std::mem::replace(&mut pitched, true);
        let key = yeast.key.as_deref();
        let sachets_left = reader.cupboard.left(key, &yeast.name, Measure::Pieces);
        let have_g =
            1000.0 * reader.cupboard.left(key, &yeast.name, Measure::Kg) + sachets_left * sachet_g;
        // One sachet where the numbers do not say how much.
        let missing_g = if first { grams } else { sachet_g } - have_g;
        bought.push(Buy {
            what: yeast.name.clone(),
            wants: match first {
                true => units::mass(grams / 1000.0, Units::Metric),
                false => String::new(),
            },
            told_by: if first {
                "yeast".to_owned()
            } else {
                String::new()
            },
            have: have_words(reader, key, &yeast.name),
            buy: match first {
                _ if missing_g <= 1e-3 && have_g > 0.0 => NOTHING.to_owned(),
                true => sachets(missing_g, sachet_g),
                false => "1 sachet".to_owned(),
            },
            cost: (missing_g <= 1e-3 && have_g > 0.0).then_some(0.0),
        });
    }
    bought
}

/// "1 sachet of 5 g; or 1 of 8, 10 or 11 g": the member's own size first, then what else is sold.
pub(super) fn sachets(grams: f64, own_g: f64) -> String {
    let own = count(grams, own_g);
    let first = format!(
        "{} of {} g",
        counted(own, "sachet", "sachets"),
        units::plain(own_g, 1)
    );
    let mut others: Vec<(f64, Vec<String>)> = Vec::new();
    for size in SACHETS_G.into_iter().filter(|size| *size != own_g) {
        let number = count(grams, size);
        let words = units::plain(size, 0);
        match others.iter_mut().find(|(of, _)| *of == number) {
            Some((_, sizes)) => sizes.push(words),
            None => others.push((number, vec![words])),
        }
    }
    let told = others.iter().map(|(number, sizes)| {
        let sizes = match sizes.as_slice() {
            [] => String::new(),
            [one] => one.clone(),
            [start @ .., last] => format!("{} or {last}", start.join(", ")),
        };
        format!("{} of {sizes} g", units::plain(*number, 0))
    });
    std::iter::once(first)
        .chain(told)
        .collect::<Vec<_>>()
        .join("; or ")
}
