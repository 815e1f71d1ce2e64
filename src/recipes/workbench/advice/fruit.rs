//! With fruit there are three gravities, and a mark to fill to before the fruit goes in.

use super::Case;
use crate::catalogue::{SugarOut, catalogue};
use crate::engine::recipe::{Form, Ingredient, Kind, When};
use crate::web::units;

/// Gravities closer than this are one on a hydrometer.
const READ_ALIKE: f64 = 0.0005;

/// How much of its sugar a fruit gives, and in how many days, by its form; whole fruit where none is said.
fn sugar_out(item: &Ingredient) -> Option<&'static SugarOut> {
    let form = item.form.unwrap_or(Form::Whole).as_str();
    let forms = catalogue().sugar_out().iter();
    forms.into_iter().find(|out| out.form.word() == form)
}

/// Figure and words, in the order in which they are met; nothing where no fruit joins the must.
pub(super) fn gravities(case: &Case<'_>) -> Vec<(String, String)> {
    let units = case.reader.units;
    let (Some(must), Some(whole)) = (&case.numbers.must, &case.numbers.whole) else {
        return Vec::new();
    };
    if (whole.og - must.og).abs() < READ_ALIKE && (whole.volume_l - must.volume_l).abs() < 0.05 {
        return Vec::new();
    }
    let fruit = case.numbers.ingredients.iter().filter_map(|line| {
        let item = case.recipe.ingredients.get(line.index)?;
        let joins = item.when == When::Primary && item.kind == Kind::Fruit;
        let out = sugar_out(item).filter(|_| joins)?;
        Some((line.sugar_kg.filter(|kg| *kg > 0.0)?, out))
    });
    let fruit: Vec<(f64, &SugarOut)> = fruit.collect();
    let sugar: f64 = fruit.iter().map(|(kg, _)| kg).sum();
    let mut said = vec![
        (
            units::volume(must.volume_l, units),
            "the mark to fill to with honey and water, before the fruit goes in".to_owned(),
        ),
        (
            units::gravity(must.og),
            "what a hydrometer reads then, when the yeast goes in: the fruit has given nothing yet"
                .to_owned(),
        ),
    ];
    if sugar > 0.0 {
        let given: f64 = fruit
            .iter()
            .map(|(kg, out)| kg * f64::midpoint(out.percent[0], out.percent[1]) / 100.0)
            .sum();
        let days = fruit
            .iter()
            .fold([f64::INFINITY, 0.0], |[first, last], (_, out)| {
                [out.days[0].min(first), out.days[1].max(last)]
            });
        let share = (given / sugar).clamp(0.0, 1.0);
        said.push((
            units::gravity(must.og + share * (whole.og - must.og)),
            format!(
                "what the must amounts to once about {} % of the fruit's sugar is out, after {} to {} days: never read, for it ferments meanwhile",
                units::plain(share * 100.0, 0),
                units::plain(days[0], 0),
                units::plain(days[1], 0)
            ),
        ));
    }
    said.push((
        units::gravity(whole.og),
        "what is counted as the start: all the sugar, the last of the fruit's too".to_owned(),
    ));
    said
}
