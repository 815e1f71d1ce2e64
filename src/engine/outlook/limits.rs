//! What an outlook should not be trusted in, as codes.

use super::{Known, Start};
use crate::engine::kinetics::TEMPERATURE_RANGE_C;
use crate::engine::problem::codes;

codes! {
    /// Why days should be taken with a grain of salt (reference on kinetics, sections 2 and 7).
    Limit {
        /// A temperature lies outside 11 to 35 °C, for which the model was made; its nearer end is taken.
        OutsideTemperatures = "outside_temperatures",
        /// Less nitrogen in all than the 70 mg/L for which the model was made.
        LittleNitrogen = "little_nitrogen",
        /// The model has no pause at the beginning: a real yeast takes hours to wake.
        NoPauseAtTheStart = "no_pause_at_the_start",
        /// The model was made from grape must, and the club has fewer than five finished batches to correct it by.
        HoneyNotCalibrated = "honey_not_calibrated",
        /// It begins at the last change of the liquid: readings before it do not count.
        BegunAnew = "begun_anew",
    }
}

/// Nitrogen for which the model was made, at the least, mg/L (Coleman, Fish and Block 2007, abstract).
const LEAST_NITROGEN_MG_PER_L: f64 = 70.0;
/// Until then the pause at the beginning is felt, h (common practice, no published source).
const PAUSE_FELT_H: f64 = 72.0;

pub(super) fn of(known: &Known, start: &Start, is_fitted: bool, until_h: f64) -> Vec<Limit> {
    let (coldest, warmest) = TEMPERATURE_RANGE_C;
    let outside = start
        .temperatures
        .iter()
        .filter(|stretch| stretch.from_h <= until_h)
        .any(|stretch| !(coldest..=warmest).contains(&stretch.temperature_c));
    let nitrogen: f64 = known.feeds.iter().map(|feed| feed.yan_mg_per_l).sum();
    let due = |limit| match limit {
        Limit::OutsideTemperatures => outside,
        Limit::LittleNitrogen => known.yan_mg_per_l + nitrogen < LEAST_NITROGEN_MG_PER_L,
        Limit::NoPauseAtTheStart => !is_fitted || known.now_h < PAUSE_FELT_H,
        Limit::HoneyNotCalibrated => start.batches == 0,
        Limit::BegunAnew => start.changes > 0,
    };
    Limit::ALL
        .iter()
        .copied()
        .filter(|limit| due(*limit))
        .collect()
}
