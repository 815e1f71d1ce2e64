//! What goes in as it is measured out, for each vessel and in all: what is weighed, water with its mark, whole sachets.

use super::weigh::{Weighing, is_heavy};
use super::{Made, Portion};
use crate::engine::recipe::{Kind, When, YeastWhen};
use crate::recipes::numbers::{listed, when_words};
use crate::web::units::{self, Units};

/// One line of what goes in, as it is measured out.
pub struct Amount {
    pub name: String,
    pub detail: String,
    /// For one vessel of each portion.
    pub each: Vec<String>,
    pub in_all: String,
    /// Before it was rounded, in all, where that shows.
    pub exact: String,
}

/// What goes in, water and yeast among it.
pub fn amounts(made: &Made, weighing: &Weighing, sachet_g: f64) -> Vec<Amount> {
    let units = weighing.units;
    let Some(first) = made.portions.first() else {
        return Vec::new();
    };
    let mut rows: Vec<(When, Amount)> = Vec::new();
    for (at, line) in first.rounded.weighed.ingredients.iter().enumerate() {
        let Some(item) = made.document.ingredients.get(line.index) else {
            continue;
        };
        let kg_of = |portion: &Portion| portion.rounded.weighed.ingredients.get(at)?.kg;
        let litres_of = |portion: &Portion| portion.rounded.weighed.ingredients.get(at)?.litres;
        let of_all = |what: &dyn Fn(&Portion) -> Option<f64>| {
            let each = made.portions.iter();
            let each = each.map(|portion| Some(what(portion)? * f64::from(portion.count())));
            each.sum::<Option<f64>>()
        };
        let liquid = item.kind == Kind::Juice && line.litres.is_some();
        let heavy = is_heavy(item.kind);
        // In all is told as finely as what is weighed for each; less than a step, as finely as it is.
        let steps = made.portions.iter().filter_map(kg_of);
        let steps = steps.map(|kg| weighing.step_g(heavy, kg));
        let step = steps.fold(f64::INFINITY, f64::min);
        let told = |kg: Option<f64>, litres: Option<f64>| match (kg, litres) {
            (_, Some(litres)) if liquid => units::water_in_steps(litres, units).1,
            (Some(kg), _) => units::mass_in_steps(kg, step.min(100.0 * kg), units),
            _ => "not known yet".to_owned(),
        };
        let in_all = of_all(&kg_of);
        if in_all.is_none_or(|kg| kg <= 0.0) {
            continue;
        }
        let each = made.portions.iter();
        let before = of_all(&|portion| portion.rounded.exact.ingredients.get(at)?.kg);
        let in_all = told(in_all, of_all(&litres_of));
        let before = before.map(|kg| units::mass_in_steps(kg, step / 10.0, units));
        rows.push((
            line.when,
            Amount {
                name: line.name.clone(),
                detail: when_words(line.when).to_owned(),
                each: each.map(|of| told(kg_of(of), litres_of(of))).collect(),
                exact: before
                    .filter(|before| *before != in_all && !liquid)
                    .map(|before| format!("{before} before rounding"))
                    .unwrap_or_default(),
                in_all,
            },
        ));
    }
    let after_must = rows
        .iter()
        .position(|(when, _)| *when != When::Must)
        .unwrap_or(rows.len());
    rows.splice(
        after_must..after_must,
        water(made, units).map(|row| (When::Must, row)),
    );
    let mut rows: Vec<Amount> = rows.into_iter().map(|(_, row)| row).collect();
    rows.extend(yeast(made, weighing, sachet_g));
    rows
}

/// Water with the mark to fill to, which is what counts.
fn water(made: &Made, units: Units) -> Option<Amount> {
    let must = |portion: &Portion| portion.rounded.weighed.must.clone();
    let each: Option<Vec<_>> = made.portions.iter().map(must).collect();
    let each = each?;
    let in_all: f64 = (made.portions.iter().zip(&each))
        .map(|(portion, must)| must.water_l * f64::from(portion.count()))
        .sum();
    if in_all <= 0.0 {
        return None;
    }
    let marks: Vec<String> = each
        .iter()
        .map(|must| units::volume(must.volume_l, units))
        .collect();
    let marks: Vec<&str> = marks.iter().map(String::as_str).collect();
    let fruit = made.portions.iter().any(|portion| {
        let fit = portion.rounded.weighed.vessel.as_ref();
        fit.is_some_and(|fit| fit.fruit_displacement_l > 0.0)
    });
    let before = if fruit {
        " before the fruit goes in"
    } else {
        ""
    };
    Some(Amount {
        name: "Water".to_owned(),
        detail: format!("about; fill to the {} mark{before}", listed(&marks)),
        each: each
            .iter()
            .map(|must| units::water_in_steps(must.water_l, units).1)
            .collect(),
        in_all: units::water_in_steps(in_all, units).1,
        exact: String::new(),
    })
}

/// Whole sachets of the yeast that is pitched, shared out.
fn yeast(made: &Made, weighing: &Weighing, sachet_g: f64) -> Option<Amount> {
    let pitching = made.numbers.pitching.as_ref()?;
    let yeasts = made.document.yeasts.iter();
    let mut yeasts = yeasts.filter(|yeast| yeast.when == YeastWhen::Pitch);
    let in_all = f64::from(pitching.sachets) * sachet_g;
    let step = weighing.step_g(false, in_all / 1000.0).min(0.5);
    let grams = |grams: f64| units::mass_in_steps(grams / 1000.0, step, Units::Metric);
    let word = if pitching.sachets == 1 {
        "sachet"
    } else {
        "sachets"
    };
    Some(Amount {
        name: yeasts.next()?.name.clone(),
        detail: format!("dry; {} would do", grams(pitching.yeast_g)),
        each: (made.portions.iter())
            .map(|portion| grams(in_all * portion.volume_l / made.volume_l))
            .collect(),
        in_all: format!(
            "{} {word} of {} g",
            pitching.sachets,
            units::plain(sachet_g, 1)
        ),
        exact: String::new(),
    })
}
