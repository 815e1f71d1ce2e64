//! Yeasts: temperature, several at once, those that come too late, those that start again.

use super::super::formulate::Balance;
use super::super::names::{Rule, Words, rule};
use super::super::problem::{Arguments, Caution, CautionCode as Code, Severity};
use super::super::recipe::{Recipe, Yeast, YeastWhen};

/// Yeasts that eat what others leave of malt (reference on nutrition, section 8).
const EATS_DEXTRIN: Rule = rule!([["diastatic"], ["diastaticus"], ["saison"]]);
/// Yeasts that can start again after months (reference on safety, section 1).
const WILD: Rule = rule!([["wild"], ["brettanomyces"], ["brett"]]);
/// Cultures that stop half-way and want another yeast after them (table of yeast classes).
const STOPS_HALF_WAY: Rule = rule!([["torulaspora"], ["lachancea"]]);

fn pitched(recipe: &Recipe) -> impl Iterator<Item = &Yeast> {
    recipe
        .yeasts
        .iter()
        .filter(|yeast| yeast.when == YeastWhen::Pitch)
}

/// Planned outside of what a yeast likes.
pub(super) fn temperature(recipe: &Recipe, cautions: &mut Vec<Caution>) {
    let Some(temperature) = recipe.temperature_c else {
        return;
    };
    for [low, high] in pitched(recipe).filter_map(|yeast| yeast.temperature_c) {
        if temperature < low || temperature > high {
            let arguments = Arguments::none()
                .with("temperature_c", temperature)
                .with("low_c", low)
                .with("high_c", high);
            cautions.push(Caution::new(
                Code::OutsideYeastTemperature,
                Severity::Watch,
                arguments,
            ));
        }
    }
}

pub(super) fn all(balance: &Balance<'_>, cautions: &mut Vec<Caution>) {
    let recipe = balance.recipe;
    let mut say =
        |code, severity, arguments| cautions.push(Caution::new(code, severity, arguments));
    let named = |yeast: &Yeast| Arguments::none().with("name", yeast.name.as_str());
    let strongest = pitched(recipe)
        .map(|yeast| yeast.tolerance_abv_percent)
        .fold(0.0, f64::max);
    if pitched(recipe).count() > 1 {
        let arguments = Arguments::none().with("tolerance_abv_percent", strongest);
        say(Code::MixedYeasts, Severity::Note, arguments);
    }
    let others = |one: &Yeast| {
        let rest = recipe
            .yeasts
            .iter()
            .filter(|other| other.when != YeastWhen::Bottle);
        rest.filter(|other| !STOPS_HALF_WAY.means(Words::of_name(&other.name)))
            .any(|other| !std::ptr::eq(one, other))
    };
    // What the yeasts that went in first have made when the later one comes.
    let met = balance
        .finished
        .abv_before_sweetening_percent
        .min(strongest);
    for yeast in &recipe.yeasts {
        let words = Words::of_name(&yeast.name);
        if EATS_DEXTRIN.means(words) && balance.content.has_malt() || WILD.means(words) {
            say(Code::YeastStartsAgain, Severity::Danger, named(yeast));
        }
        if STOPS_HALF_WAY.means(words) && yeast.when == YeastWhen::Pitch && !others(yeast) {
            say(Code::StopsHalfWay, Severity::Watch, named(yeast));
        }
        if yeast.when == YeastWhen::Later && yeast.tolerance_abv_percent < met - 1e-9 {
            let arguments = named(yeast)
                .with("tolerance_abv_percent", yeast.tolerance_abv_percent)
                .with("abv_percent", met);
            say(Code::LaterYeastTooWeak, Severity::Watch, arguments);
        }
    }
}
