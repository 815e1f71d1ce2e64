//! What goes in, line by line, water among it.

use super::AmountLine;
use crate::engine::formulation::{Formulation, Line};
use crate::engine::recipe::{Recipe, When};
use crate::web::units::{self, Units};

/// When an ingredient goes in, in words.
pub fn when_words(when: When) -> &'static str {
    match when {
        When::Must => "in the must, before the yeast",
        When::Primary => "while it ferments",
        When::Secondary => "after the first fermentation",
        When::Sweeten => "to sweeten, after stabilising",
        When::Ageing => "while it ages",
    }
}

/// The lines of what goes in, water among them; `exact` has the amounts before rounding.
pub(super) fn amounts(
    recipe: &Recipe,
    numbers: &Formulation,
    exact: &Formulation,
    units: Units,
) -> Vec<AmountLine> {
    let line = |at: usize, line: &Line| {
        let item = recipe.ingredients.get(line.index);
        let mut detail = vec![when_words(line.when).to_owned()];
        if let Some(days) = item.and_then(|item| item.days) {
            detail.push(format!("{} days", units::plain(days, 1)));
        }
        if let Some(form) = item.and_then(|item| item.form) {
            detail.push(form.as_str().to_owned());
        }
        if line.solved {
            detail.push("solved".to_owned());
        }
        let is_liquid =
            item.is_some_and(|item| matches!(item.kind, crate::engine::recipe::Kind::Juice));
        let amount = |line: &Line| match (is_liquid, line.litres, line.kg) {
            (true, Some(litres), _) => units::volume(litres, units),
            (_, _, Some(kg)) => units::mass(kg, units),
            _ => String::new(),
        };
        let before = exact
            .ingredients
            .get(at)
            .filter(|before| before.kg != line.kg);
        AmountLine {
            name: line.name.clone(),
            detail: detail.join(", "),
            amount: amount(line),
            exact: before
                .and_then(|before| before.kg)
                .map(|kg| {
                    if units == Units::Metric {
                        format!("{kg:.3} kg before rounding")
                    } else {
                        format!("{} before rounding", units::mass(kg, units))
                    }
                })
                .filter(|_| line.kg.is_some())
                .unwrap_or_default(),
            solved: line.solved,
        }
    };
    let mut lines: Vec<(When, AmountLine)> = numbers
        .ingredients
        .iter()
        .enumerate()
        .filter(|(_, l)| l.kg.is_some_and(|kg| kg > 0.0))
        .map(|(at, l)| (l.when, line(at, l)))
        .collect();
    if let Some(must) = numbers.must.as_ref().filter(|must| must.water_l > 0.0) {
        let fruit = numbers
            .vessel
            .as_ref()
            .is_some_and(|fit| fit.fruit_displacement_l > 0.0);
        let mark = units::volume(must.volume_l, units);
        let detail = match fruit {
            true => format!("fill to the {mark} mark before the fruit goes in"),
            false => format!("fill to the {mark} mark"),
        };
        let water = AmountLine {
            name: "Water".to_owned(),
            detail,
            amount: units::volume(must.water_l, units),
            exact: String::new(),
            solved: true,
        };
        let after_must = lines
            .iter()
            .position(|(when, _)| *when != When::Must)
            .unwrap_or(lines.len());
        lines.insert(after_must, (When::Must, water));
    }
    lines.into_iter().map(|(_, line)| line).collect()
}
