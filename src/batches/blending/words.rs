//! What a blend comes to, in words: what is missed, and what can go wrong.

use super::forms::Mead;
use crate::engine::blend::risk::Risk;
use crate::engine::blend::{Blended, Missed, Quality, Unable};
use crate::web::units::{self, Units};
use crate::web::words::Words;

/// A figure of a quality as it is read.
fn figure(quality: Quality, value: f64) -> String {
    match quality {
        Quality::Gravity => units::gravity(value),
        Quality::Strength => units::abv(value),
        Quality::Acidity => units::grams_per_litre(value),
    }
}

fn name(quality: Quality) -> &'static str {
    match quality {
        Quality::Gravity => "a gravity",
        Quality::Strength => "a strength",
        Quality::Acidity => "an acidity",
    }
}

/// "9.9 L at 1.012, 12.4 %, acidity 5.8 g/L."
pub fn lead(blended: &Blended, reads: Units) -> String {
    let acidity = match blended.ta_g_per_l {
        Some(ta) => format!(", acidity {}", units::grams_per_litre(ta)),
        None => String::new(),
    };
    format!(
        "{} at {}, {} of alcohol{acidity}, with {} of sugar.",
        units::volume(blended.litres, reads),
        units::gravity(blended.sg),
        units::abv(blended.abv_percent),
        units::grams_per_litre(blended.sugar_g_per_l)
    )
}

/// What is missed, and how far these meads go.
pub fn missed(missed: &Missed) -> String {
    let say = |value| figure(missed.quality, value);
    let [low, high] = missed.reach.map(say);
    let (wished, comes_to) = (say(missed.wished), say(missed.comes_to));
    let name = name(missed.quality);
    match missed.alone_it_could_be() {
        true => format!(
            "These meads cannot make {name} of {wished} together with the rest: it comes to {comes_to}. Asked for alone, they could."
        ),
        false if low == high => {
            format!("These meads cannot make {name} of {wished}: all they make is {low}.")
        }
        false => format!(
            "These meads cannot make {name} of {wished}: they go from {low} to {high}. It comes to {comes_to}."
        ),
    }
}

/// Why no amounts can be told, and beside which field.
pub fn unable(why: Unable, meads: &[Mead], reads: Units) -> (&'static str, String) {
    match why {
        Unable::NotSoMuch { there_l } => (
            "all",
            format!(
                "By their logs there is {} of them together. Write less.",
                units::volume(there_l, reads)
            ),
        ),
        Unable::AcidityNotKnown(index) => (
            "acidity",
            format!(
                "The acidity of {} is not known. Measure and log it first, or leave this empty.",
                meads
                    .get(index)
                    .map_or("one of them", |mead| mead.opened.batch.name.as_str())
            ),
        ),
        Unable::NotAsked => (
            "all",
            "Write how much it should be in all, such as 10 L.".to_owned(),
        ),
    }
}

/// What can go wrong, with its class.
pub fn risk(risk: Risk, meads: &[Mead]) -> (&'static str, Words) {
    let named = |index: usize| {
        meads
            .get(index)
            .map_or("one of them", |mead| mead.opened.batch.name.as_str())
    };
    let words = |lead: &str, sentence: String| Words {
        lead: lead.to_owned(),
        sentence,
    };
    match risk {
        Risk::MayRestart {
            sugar_g_per_l,
            abv_percent,
        } => (
            "caution danger",
            words(
                "It may ferment again",
                format!(
                    "There is live yeast in it, {} of sugar that yeast can use, and {} of alcohol does not stop it. In closed bottles the gas can burst the glass. Keep it under an airlock for at least 14 days, read it twice, and stabilise it or let it finish before you bottle it.",
                    units::grams_per_litre(sugar_g_per_l),
                    units::abv(abv_percent)
                ),
            ),
        ),
        Risk::NotStabilised => (
            "caution watch",
            words(
                "It counts as not stabilised",
                "One of them was stabilised and another was not: what was added is thinned, and live yeast comes with the other. Stabilise the blend anew before you sweeten or bottle it.".to_owned(),
            ),
        ),
        Risk::OnFruit(index) => (
            "caution watch",
            words(
                "Fruit still gives sugar",
                format!(
                    "{} stands on fruit whose sugar is not out yet. Rack it off first, or what is reckoned here will not be what you get.",
                    named(index)
                ),
            ),
        ),
        Risk::AcidityNotKnown(index) => (
            "caution",
            words(
                "The acidity is not known",
                format!("Nobody measured that of {}, so that of the blend is not reckoned.", named(index)),
            ),
        ),
    }
}
