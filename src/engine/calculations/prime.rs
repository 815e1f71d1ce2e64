//! Prime: the sugar that makes a mead sparkle in the bottle.

use super::bottle_strength::{ABV, CELSIUS, FERMENTABLE, SUGAR, VOLUMES, warm_day_bar};
use super::{Calculation, Input, Key, Output};
use crate::engine::bottle::{Bottle, MOST_VOLUMES, PrimingSugar, WARM_DAY_C};
use crate::engine::carbonation::residual_volumes;
use crate::engine::check::VOLUME_L;
use crate::engine::priming::{NoSugar, coming_volumes, priming_g_per_l};
use crate::engine::problem::{Arguments, CautionCode, ProblemCode, Severity};

/// `litres` that were at most `warmest_temperature_c` warm since the fermentation ended and are to hold `volumes_co2`: the
/// grams of `sugar`, and the gas there is. `abv_percent` and `sugar_g_per_l` count for what dissolves, `fermentable_g_per_l`
/// as gas that will come by itself. Yield by stoichiometry, the most that can come, so that no bottle gets more than wanted.
///
/// Refused: more gas than any bottle may hold (5 volumes: common practice), and less than there is.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "prime",
    inputs: &[
        Key::required("litres"),
        Key::required("warmest_temperature_c"),
        Key::required("volumes_co2"),
        Key::required("sugar"),
        Key::or("abv_percent", 0.0),
        Key::or("sugar_g_per_l", 0.0),
        Key::or("fermentable_g_per_l", 0.0),
    ],
    outputs: &["grams", "residual_volumes", "cautions"],
    make,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let litres = input.number("litres", VOLUME_L);
    let warmest = input.number("warmest_temperature_c", CELSIUS);
    let volumes = input.number("volumes_co2", VOLUMES);
    let sugar = input.word("sugar", &PrimingSugar::ALL, PrimingSugar::as_str);
    let abv = input.number("abv_percent", ABV);
    let dissolved = input.number("sugar_g_per_l", SUGAR);
    let fermentable = input.number("fermentable_g_per_l", FERMENTABLE);
    let (litres, warmest, volumes, sugar) = (litres?, warmest?, volumes?, sugar?);
    let (abv, dissolved, fermentable) = (abv?, dissolved?, fermentable?);

    let residual = residual_volumes(warmest, abv, dissolved);
    let coming = coming_volumes(residual, fermentable);
    let wanted = Arguments::none().with("wanted_volumes", volumes);
    let grams_per_l = match priming_g_per_l(volumes, coming, sugar) {
        Ok(grams_per_l) => grams_per_l,
        Err(NoSugar::NoBottleHolds) => {
            let arguments = wanted.with("most_volumes", MOST_VOLUMES);
            return input.problem(ProblemCode::NoBottleHolds, "/volumes_co2", arguments);
        }
        Err(NoSugar::AlreadyFizzier { volumes }) => {
            let arguments = wanted.with("volumes", volumes);
            return input.problem(ProblemCode::AlreadyFizzier, "/volumes_co2", arguments);
        }
    };
    let bottle = Bottle::for_gas(volumes).unwrap_or(Bottle::SparklingWine);
    let mut arguments = Arguments::none()
        .with("volumes", volumes)
        .with("most_volumes", bottle.most_volumes())
        .with("temperature_c", WARM_DAY_C);
    if let Some(bar) = warm_day_bar(volumes, abv, dissolved) {
        arguments = arguments.with("pressure_bar", bar);
    }
    input.caution(CautionCode::GasInBottles, Severity::Danger, arguments);
    if fermentable > 0.0 {
        let arguments = Arguments::none().with("fermentable_g_per_l", fermentable);
        input.caution(CautionCode::CountsOnSugar, Severity::Danger, arguments);
    }
    Some(vec![(grams_per_l * litres).into(), residual.into()])
}
