//! Keg: the pressure that holds so much gas at this temperature.

use super::bottle_strength::{ABV, CELSIUS, SUGAR};
use super::{Calculation, Input, Key, Output};
use crate::engine::bottle::MOST_VOLUMES;
use crate::engine::carbonation::{BAR_KPA, gauge_kpa};
use crate::engine::check::Range;
use crate::engine::problem::{Arguments, CautionCode, ProblemCode, Severity};
use crate::engine::units::PSI_KPA;

/// A keg at `temperature_c` that is to hold `volumes_co2` (0 to 5): the pressure to set, above the air's at sea level, water vapour
/// counted. Negative where the drink holds more under air pressure alone. Carroll, Slupsky and Mather 1991; alcohol and sugar by
/// the EU's formula for sparkling wine.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "keg",
    inputs: &[
        Key::required("temperature_c"),
        Key::required("volumes_co2"),
        Key::or("abv_percent", 0.0),
        Key::or("sugar_g_per_l", 0.0),
    ],
    outputs: &["gauge_kpa", "gauge_psi", "cautions"],
    make,
};

const VOLUMES: Range = Range {
    low: 0.0,
    high: MOST_VOLUMES,
};

fn make(input: &mut Input<'_>) -> Option<Output> {
    let celsius = input.number("temperature_c", CELSIUS);
    let volumes = input.number("volumes_co2", VOLUMES);
    let abv = input.number("abv_percent", ABV);
    let sugar = input.number("sugar_g_per_l", SUGAR);
    let Some(gauge) = gauge_kpa(celsius?, volumes?, abv?, sugar?) else {
        return input.problem(
            ProblemCode::OutsideTheModel,
            "/volumes_co2",
            Arguments::none(),
        );
    };
    if gauge > 0.0 {
        let arguments = Arguments::none().with("pressure_bar", gauge / BAR_KPA);
        input.caution(CautionCode::GasUnderPressure, Severity::Danger, arguments);
    }
    Some(vec![gauge.into(), (gauge / PSI_KPA).into()])
}
