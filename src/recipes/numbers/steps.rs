//! What to do, from the numbers: the steps of a mixing day and after it. Common practice, no published source.

use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Finish, Form, Kind, Recipe, When};
use crate::web::units::{self, Units};

/// One step: the words that lead, and what to do.
#[derive(Clone, Debug, PartialEq)]
pub struct StepLine {
    pub lead: String,
    pub text: String,
}

fn step(lead: &str, text: String) -> StepLine {
    StepLine {
        lead: lead.to_owned(),
        text,
    }
}

/// The steps that follow from the numbers. The maker's own steps stand beside them, never inside.
pub fn steps(recipe: &Recipe, numbers: &Formulation, units: Units) -> Vec<StepLine> {
    let (Some(must), Some(whole), Some(finished), Some(pitching)) = (
        &numbers.must,
        &numbers.whole,
        &numbers.finished,
        &numbers.pitching,
    ) else {
        return Vec::new();
    };
    let mut steps = Vec::new();
    let filler = match &recipe.filler {
        Some(name) => name.clone(),
        None => format!("{} of water", units::volume(must.water_l, units)),
    };
    steps.push(step(
        "Mixing day.",
        format!(
            "Clean first, then sanitise all that touches the must. Warm the honey jar in water, stir the honey into {filler} and fill up to the {} mark. It reads {} at 20 °C.",
            units::volume(must.volume_l, units),
            units::gravity(must.og)
        ),
    ));
    let later: Vec<&str> = recipe
        .ingredients
        .iter()
        .filter(|item| {
            item.when == When::Primary && item.kind == Kind::Fruit && item.form != Some(Form::Juice)
        })
        .map(|item| item.name.as_str())
        .collect();
    if !later.is_empty() {
        steps.push(step(
            "In a bag.",
            format!(
                "Now, in a bag: {}. Wet the cap twice a day, and take the bag out on its day.",
                listed(&later)
            ),
        ));
    }
    let [low, high] = pitching.rehydration.temperature_c;
    let yeast = units::mass(pitching.yeast_g / 1000.0, units);
    steps.push(step(
        "Pitch.",
        match pitching.rehydration.wanted {
            true => format!(
                "Wake {yeast} of dry yeast in {} of water at {} to {} for 15 to 20 minutes, bring it within 10 °C of the must in small steps, pitch and stir air in.",
                units::mass(pitching.rehydration.water_g / 1000.0, units),
                units::temperature(low, units),
                units::temperature(high, units)
            ),
            false => format!("Strew {yeast} of dry yeast on the must and stir air in."),
        },
    ));
    if numbers
        .feeding
        .as_ref()
        .is_some_and(|plan| !plan.additions.is_empty())
    {
        let light = numbers
            .feeding
            .as_ref()
            .is_some_and(|plan| plan.why == "all_at_pitch");
        steps.push(step(
            "Feed.",
            match light {
                true => "All at the pitch, as the table says.".to_owned(),
                false => "Five minutes of stirring before each dose of the table: powder into a gassy must foams over.".to_owned(),
            },
        ));
    }
    steps.push(step(
        "Let it work.",
        format!(
            "Airlock on, away from light, in a room that is aired. Stir air in until the gravity reads {}, never after.",
            numbers.ladder.as_ref().map_or("one third less".to_owned(), |ladder| units::gravity(ladder.one_third_break_sg))
        ),
    ));
    match recipe.finish {
        Finish::Dry => steps.push(step(
            "When it stands still.",
            format!(
                "About {}. Rack off the lees into a full vessel; wait for two readings 14 days apart that are equal to 0.001.",
                units::gravity(finished.fg)
            ),
        )),
        Finish::SweetenTo(sg) => steps.push(step(
            "When it stands still.",
            format!(
                "About {}. Clear and rack, then stabilise: sulfite, then sorbate within a day. After a day or two sweeten to {}, and leave it two weeks under an airlock before any bottle.",
                units::gravity(finished.natural_fg),
                units::gravity(sg)
            ),
        )),
        Finish::ArrestTo(sg) => steps.push(step(
            "Stop it.",
            format!(
                "At {} cold, racking and stabilising together may stop it: a gamble. Dry first and sweetened afterwards is surer. Then two weeks under an airlock.",
                units::gravity(sg)
            ),
        )),
    }
    if recipe.finish != Finish::Dry {
        steps.push(step(
            "Sulfite with care.",
            "Do not breathe the powder, never bring it together with acid or bleach in a closed place, and tell whoever drinks: some people with asthma react to it. Keep to the label, and to the limits and labelling rules where you live.".to_owned(),
        ));
    }
    let secondary: Vec<&str> = recipe
        .ingredients
        .iter()
        .filter(|item| matches!(item.when, When::Secondary | When::Ageing))
        .map(|item| item.name.as_str())
        .collect();
    if !secondary.is_empty() {
        steps.push(step(
            "Later.",
            format!(
                "{} after the first racking; taste every few days.",
                listed(&secondary)
            ),
        ));
    }
    steps.push(step(
        "Bottle.",
        format!(
            "Only when two readings 14 days apart agree and the bottle is made for what is in it. From {} there are {} to fill.",
            units::volume(whole.volume_l, units),
            numbers.package.as_ref().map_or(String::new(), |package| units::volume(package.litres, units))
        ),
    ));
    steps
}

fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
