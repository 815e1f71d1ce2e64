//! What to do, from the numbers: the steps of a mixing day and after it. Common practice, no published source.

use super::method::Number;
use super::{Piece, listed};
use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Finish, Form, Kind, Recipe, When};
use crate::web::units::{self, Units};

/// One step: the words that lead, and what to do.
#[derive(Clone, Debug, PartialEq)]
pub struct StepLine {
    pub lead: String,
    pub text: Vec<Piece>,
}

fn step(lead: &str, text: impl IntoIterator<Item = Piece>) -> StepLine {
    StepLine {
        lead: lead.to_owned(),
        text: text.into_iter().collect(),
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
    let said = |text: &str| Piece::said(text);
    let figure = |number: Number, text: String| Piece::figure(number, text);
    let mut steps = Vec::new();
    let mut mixing = vec![said(
        "Clean first, then sanitise all that touches the must. Warm the honey jar in water, stir the honey into ",
    )];
    match &recipe.filler {
        Some(name) => mixing.push(said(name)),
        None => mixing.extend([
            figure(Number::Water, units::volume(must.water_l, units)),
            said(" of water"),
        ]),
    }
    let reads = match (must.og - whole.og).abs() > super::fall::SAME {
        true => Number::Read,
        false => Number::Start,
    };
    mixing.extend([
        said(" and fill up to the "),
        figure(Number::Mark, units::volume(must.volume_l, units)),
        said(" mark. It reads "),
        figure(reads, units::gravity(must.og)),
        said(" at 20 °C."),
    ]);
    steps.push(step("Mixing day.", mixing));
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
            [said(&format!(
                "Now, in a bag: {}. Wet the cap twice a day, and take the bag out on its day.",
                listed(&later)
            ))],
        ));
    }
    let [low, high] = pitching.rehydration.temperature_c;
    let yeast = figure(Number::Yeast, units::mass(pitching.yeast_g / 1000.0, units));
    let pitch = match pitching.rehydration.wanted {
        true => vec![
            said("Wake "),
            yeast,
            said(" of dry yeast in "),
            figure(
                Number::Waking,
                units::volume(pitching.rehydration.water_g / 1000.0, units),
            ),
            said(&format!(
                " of water at {} to {} for 15 to 20 minutes, bring it within 10 °C of the must in small steps, pitch and stir air in.",
                units::temperature(low, units),
                units::temperature(high, units)
            )),
        ],
        false => vec![
            said("Strew "),
            yeast,
            said(" of dry yeast on the must and stir air in."),
        ],
    };
    steps.push(step("Pitch.", pitch));
    let plan = numbers.feeding.as_ref();
    if let Some(plan) = plan.filter(|plan| !plan.additions.is_empty()) {
        let how = match plan.why {
            "all_at_pitch" => "All at the pitch, as the table says.",
            _ => {
                "Five minutes of stirring before each dose of the table: powder into a gassy must foams over."
            }
        };
        steps.push(step("Feed.", [said(how)]));
    }
    let air = match &numbers.ladder {
        Some(ladder) => figure(Number::Break, units::gravity(ladder.one_third_break_sg)),
        None => said("one third less"),
    };
    steps.push(step(
        "Let it work.",
        [
            said(
                "Airlock on, away from light, in a room that is aired. Stir air in until the gravity reads ",
            ),
            air,
            said(", never after."),
        ],
    ));
    steps.push(match recipe.finish {
        Finish::Dry => step(
            "When it stands still.",
            [
                said("About "),
                figure(Number::End, units::gravity(finished.fg)),
                said(". Rack off the lees into a full vessel; wait for two readings 14 days apart that are equal to 0.001."),
            ],
        ),
        Finish::SweetenTo(sg) => step(
            "When it stands still.",
            [
                said("About "),
                figure(Number::NaturalEnd, units::gravity(finished.natural_fg)),
                said(". Clear and rack, then stabilise: sulfite, then sorbate within a day. After a day or two sweeten to "),
                figure(Number::End, units::gravity(sg)),
                said(", and leave it two weeks under an airlock before any bottle."),
            ],
        ),
        Finish::ArrestTo(sg) => step(
            "Stop it.",
            [
                said("At "),
                figure(Number::End, units::gravity(sg)),
                said(" cold, racking and stabilising together may stop it: a gamble. Dry first and sweetened afterwards is surer. Then two weeks under an airlock."),
            ],
        ),
    });
    if recipe.finish != Finish::Dry {
        steps.push(step(
            "Sulfite with care.",
            [said("Do not breathe the powder, never bring it together with acid or bleach in a closed place, and tell whoever drinks: some people with asthma react to it. Keep to the label, and to the limits and labelling rules where you live.")],
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
            [said(&format!(
                "{} after the first racking; taste every few days.",
                listed(&secondary)
            ))],
        ));
    }
    let mut bottle = vec![said(
        "Only when two readings 14 days apart agree and the bottle is made for what is in it.",
    )];
    if let Some(package) = &numbers.package {
        bottle.extend([
            said(&format!(
                " From {} there are ",
                units::volume(whole.volume_l, units)
            )),
            figure(Number::Bottles, units::volume(package.litres, units)),
            said(" to fill."),
        ]);
    }
    steps.push(step("Bottle.", bottle));
    steps
}
