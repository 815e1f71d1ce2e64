//! What each feed is given when, in words.

use super::FeedLine;
use crate::engine::formulation::{FeedAt, Formulation};
use crate::web::units::{self, Units};

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
