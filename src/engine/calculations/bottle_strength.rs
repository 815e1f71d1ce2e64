//! Bottle strength: the pressure in a closed bottle, and whether its kind may hold it.

use super::{Calculation, Input, Key, Output};
use crate::engine::bottle::{Bottle, WARM_DAY_C};
use crate::engine::carbonation::{
    BAR_KPA, COLDEST_C, GRAMS_PER_VOLUME, MOST_ABV, MOST_SUGAR_G_PER_L, WARMEST_C, gauge_kpa,
};
use crate::engine::check::Range;
use crate::engine::json::Json;
use crate::engine::problem::{Arguments, CautionCode, ProblemCode, Severity};
use crate::engine::stoichiometry::CO2_PER_HEXOSE;
use crate::engine::units::PSI_KPA;

/// A drink closed with `volumes_co2` in a `bottle` (`still`, `beer`, `heavy`, `sparkling_wine`) that gets at most
/// `warmest_temperature_c` warm; `fermentable_g_per_l` is sugar that may still turn into gas. The answer is all the gas there can
/// be, its pressure above the air's at that temperature and sea level, what such a bottle may hold (common practice, no published
/// source), and whether it does. No bottle's own rating is known here: where one is printed, that one counts.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "bottle_strength",
    inputs: &[
        Key::required("bottle"),
        Key::required("volumes_co2"),
        Key::or("warmest_temperature_c", WARM_DAY_C),
        Key::or("abv_percent", 0.0),
        Key::or("sugar_g_per_l", 0.0),
        Key::or("fermentable_g_per_l", 0.0),
    ],
    outputs: &[
        "volumes_co2",
        "gauge_kpa",
        "gauge_bar",
        "gauge_psi",
        "most_volumes",
        "holds",
        "cautions",
    ],
    make,
};

pub(super) const CELSIUS: Range = Range {
    low: COLDEST_C,
    high: WARMEST_C,
};
pub(super) const VOLUMES: Range = Range {
    low: 0.0,
    high: 10.0,
};
pub(super) const ABV: Range = Range {
    low: 0.0,
    high: MOST_ABV,
};
pub(super) const SUGAR: Range = Range {
    low: 0.0,
    high: MOST_SUGAR_G_PER_L,
};
pub(super) const FERMENTABLE: Range = Range {
    low: 0.0,
    high: MOST_SUGAR_G_PER_L,
};

/// Pressure above the air's on a warm day, bar.
pub(super) fn warm_day_bar(volumes: f64, abv: f64, sugar: f64) -> Option<f64> {
    Some(gauge_kpa(WARM_DAY_C, volumes, abv, sugar)? / BAR_KPA)
}

fn make(input: &mut Input<'_>) -> Option<Output> {
    let bottle = input.word("bottle", &Bottle::ALL, Bottle::as_str);
    let volumes = input.number("volumes_co2", VOLUMES);
    let warmest = input.number("warmest_temperature_c", CELSIUS);
    let abv = input.number("abv_percent", ABV);
    let sugar = input.number("sugar_g_per_l", SUGAR);
    let fermentable = input.number("fermentable_g_per_l", FERMENTABLE);
    let (bottle, volumes, warmest) = (bottle?, volumes?, warmest?);
    let (abv, sugar, fermentable) = (abv?, sugar?, fermentable?);

    let volumes = volumes + fermentable * CO2_PER_HEXOSE / GRAMS_PER_VOLUME;
    let Some(gauge) = gauge_kpa(warmest, volumes, abv, sugar) else {
        let arguments = Arguments::none()
            .with("wanted_volumes", volumes)
            .with("most_volumes", bottle.most_volumes());
        return input.problem(ProblemCode::NoBottleHolds, "/volumes_co2", arguments);
    };
    let holds = volumes <= bottle.most_volumes();
    let arguments = Arguments::none()
        .with("volumes", volumes)
        .with("most_volumes", bottle.most_volumes())
        .with("pressure_bar", gauge / BAR_KPA)
        .with("temperature_c", warmest);
    if !holds {
        input.caution(CautionCode::BottleTooWeak, Severity::Danger, arguments);
    } else if bottle != Bottle::Still {
        input.caution(CautionCode::GasInBottles, Severity::Danger, arguments);
    }
    if fermentable > 0.0 {
        let arguments = Arguments::none().with("fermentable_g_per_l", fermentable);
        input.caution(CautionCode::CountsOnSugar, Severity::Danger, arguments);
    }
    Some(vec![
        volumes.into(),
        gauge.into(),
        (gauge / BAR_KPA).into(),
        (gauge / PSI_KPA).into(),
        bottle.most_volumes().into(),
        Json::Bool(holds),
    ])
}
