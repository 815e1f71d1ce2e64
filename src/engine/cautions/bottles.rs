//! Gas in bottles: where it is wanted, and where it comes unasked.

use super::super::formulate::Balance;
use super::super::names::{Rule, Words, rule};
use super::super::problem::{Arguments, Caution, CautionCode as Code, Severity};
use super::super::recipe::YeastWhen;

const WITH_GAS: Rule = rule!([["sparkling"], ["petillant"], ["carbonated"], ["fizzy"]]);
/// g/L of sugar that make one volume of gas (reference on safety, section 1).
const SUGAR_FOR_ONE_VOLUME: f64 = 4.05;
/// Above this strength a yeast in the bottle may not make gas any more, % ABV (common practice, no published source).
const MAY_STAY_FLAT_ABV: f64 = 13.0;

pub(super) fn all(balance: &Balance<'_>, sweet: bool, cautions: &mut Vec<Caution>) {
    let recipe = balance.recipe;
    let mut in_bottle = recipe
        .yeasts
        .iter()
        .filter(|yeast| yeast.when == YeastWhen::Bottle)
        .peekable();
    let wished = recipe
        .declared
        .as_ref()
        .and_then(|own| own.carbonation.as_deref())
        .is_some_and(|own| WITH_GAS.means(Words::of_name(own)));
    let has_bottle_yeast = in_bottle.peek().is_some();
    if !wished && !has_bottle_yeast {
        return;
    }
    let (sugar, abv) = (
        balance.finished.residual_sugar_g_per_l,
        balance.finished.abv_percent,
    );
    let mut say =
        |code, severity, arguments| cautions.push(Caution::new(code, severity, arguments));
    if sweet {
        let arguments = Arguments::none()
            .with("residual_sugar_g_per_l", sugar)
            .with("volumes_co2", sugar / SUGAR_FOR_ONE_VOLUME);
        say(Code::SparklingWithSugar, Severity::Danger, arguments);
    }
    say(
        Code::BottlesForPressure,
        Severity::Danger,
        Arguments::none(),
    );
    for yeast in in_bottle {
        if yeast.tolerance_abv_percent <= abv {
            let arguments = Arguments::none()
                .with("name", yeast.name.as_str())
                .with("tolerance_abv_percent", yeast.tolerance_abv_percent)
                .with("abv_percent", abv);
            say(Code::BottleYeastTooWeak, Severity::Watch, arguments);
        }
    }
    if !has_bottle_yeast && abv > MAY_STAY_FLAT_ABV {
        say(
            Code::MayStayFlat,
            Severity::Note,
            Arguments::none().with("abv_percent", abv),
        );
    }
}
