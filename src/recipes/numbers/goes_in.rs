//! What goes in and when: the lines of ingredients and water, and of the feeding plan.

use super::{AmountLine, FeedLine, when_words};
use crate::engine::formulation::{FeedAt, Formulation, Line, Must};
use crate::engine::recipe::{Kind, Recipe, When};
use crate::web::units::{self, Units};

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
        let is_liquid = item.is_some_and(|item| matches!(item.kind, Kind::Juice));
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
                    if units == Units::Metric && kg < 1.0 {
                        format!("{:.2} g before rounding", kg * 1000.0)
                    } else if units == Units::Metric {
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
    if let Some(must) = &numbers.must {
        let water = water_line(recipe, numbers, must, units);
        let after_must = lines
            .iter()
            .position(|(when, _)| *when != When::Must)
            .unwrap_or(lines.len());
        lines.insert(after_must, (When::Must, water));
    }
    lines.into_iter().map(|(_, line)| line).collect()
}

/// Water is no ingredient, but always printed, with the mark to fill to.
fn water_line(recipe: &Recipe, numbers: &Formulation, must: &Must, units: Units) -> AmountLine {
    let fruit = numbers
        .vessel
        .as_ref()
        .is_some_and(|fit| fit.fruit_displacement_l > 0.0);
    let mark = units::volume(must.volume_l, units);
    let before = if fruit {
        " before the fruit goes in"
    } else {
        ""
    };
    let (detail, amount) = match &recipe.filler {
        Some(filler) => (
            format!("{filler} fills up to the {mark} mark{before}"),
            "none".to_owned(),
        ),
        None => (
            format!("fill to the {mark} mark{before}"),
            units::volume(must.water_l, units),
        ),
    };
    AmountLine {
        name: "Water".to_owned(),
        detail,
        amount,
        exact: String::new(),
        solved: true,
    }
}

/// What each feed is given when.
pub(super) fn feeds(numbers: &Formulation, units: Units) -> Vec<FeedLine> {
    let Some(plan) = &numbers.feeding else {
        return Vec::new();
    };
    let mut lines: Vec<(FeedAt, FeedLine)> = Vec::new();
    for addition in &plan.additions {
        let gift = (
            units::mass(addition.grams / 1000.0, units),
            addition.nutrient.clone(),
        );
        if let Some((_, line)) = lines.iter_mut().find(|(at, _)| *at == addition.at) {
            line.gifts.push(gift);
            continue;
        }
        let (when, detail) = match addition.at {
            FeedAt::Hours(hours) if hours <= 0.0 => (
                "at the pitch".to_owned(),
                "with the yeast, or within a day".to_owned(),
            ),
            FeedAt::Hours(hours) => (
                format!("{} hours after the pitch", units::plain(hours, 0)),
                "six hours earlier or later do no harm".to_owned(),
            ),
            FeedAt::Gravity(sg) => (
                format!("when it reads {}", units::gravity(sg)),
                "one third of the sugar is gone then; on day 7 at the latest".to_owned(),
            ),
        };
        lines.push((
            addition.at,
            FeedLine {
                when,
                detail,
                gifts: vec![gift],
            },
        ));
    }
    lines.into_iter().map(|(_, line)| line).collect()
}

pub(super) fn feeding_caption(numbers: &Formulation) -> String {
    let Some(plan) = &numbers.feeding else {
        return String::new();
    };
    let fed = plan.deficit_mg_per_l - plan.beyond_mg_per_l;
    match plan.why {
        "nothing_needed" => {
            "The must brings all the nitrogen the yeast wants: nothing to feed.".to_owned()
        }
        "no_feed" => format!(
            "The yeast would want {} mg/L of nitrogen, but no feed is to hand.",
            units::plain(plan.deficit_mg_per_l, 0)
        ),
        "all_at_pitch" => format!(
            "{} mg/L of nitrogen, all at once: the must is weak",
            units::plain(fed, 0)
        ),
        _ => format!(
            "{} mg/L of nitrogen, in parts; stir the gas out before each",
            units::plain(fed, 0)
        ),
    }
}

/// What to do about a dose that was missed (common practice, no published source).
pub(super) fn feeding_note(numbers: &Formulation) -> &'static str {
    match numbers.feeding.as_ref().map(|plan| plan.why) {
        Some("four_parts") => {
            "Missed one? Give it the next morning, never two at once. Once a third of the sugar is gone, leave out what holds ammonium."
        }
        _ => "",
    }
}
