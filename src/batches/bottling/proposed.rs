//! What stands in the form first: what the log knows, and bottles for what is left.

use crate::batches::cellar;
use crate::batches::opened::Opened;
use crate::engine::bottling::{Way, ever_stabilised};
use crate::engine::log::Deed;
use crate::web::form::FormState;
use crate::web::units::{self, Units};

/// Stays behind when it is filled, L (common practice, no published source).
const STAYS_BEHIND_L: f64 = 0.15;
/// A size of bottle where no plan names one, L.
const USUAL_L: f64 = 0.75;
/// Months in hours.
const MONTH_H: f64 = 365.25 * 24.0 / 12.0;

/// The warmest that the log has it since the fermentation stood still, °C.
pub fn warmest_c(opened: &Opened) -> Option<f64> {
    let end = opened.state.marks.end?;
    let since = opened.entries.iter().filter(|entry| entry.hours >= end);
    let read = since.filter_map(|entry| match &entry.deed {
        Deed::Reading(reading) => reading.must_temperature_c,
        _ => None,
    });
    read.reduce(f64::max)
}

/// Whether the gas was stirred out since it stood still, and no sugar has gone in after that.
pub fn is_degassed(opened: &Opened) -> bool {
    let Some(end) = opened.state.marks.end else {
        return false;
    };
    let since = opened.entries.iter().filter(|entry| entry.hours >= end);
    since.fold(false, |was, entry| match &entry.deed {
        Deed::Degas => true,
        Deed::Addition(addition) => was && addition.composition.is_none(),
        _ => was,
    })
}

/// Months from the pitch, else from the mixing, to an hour of its log.
pub fn months(opened: &Opened, now_h: f64) -> f64 {
    let since = opened.state.marks.pitch.unwrap_or(0.0);
    ((now_h - since) / MONTH_H).max(0.0)
}

/// Litres that can be filled.
pub fn to_fill_l(opened: &Opened) -> f64 {
    (opened.state.volume_l - STAYS_BEHIND_L).max(0.0)
}

/// Bottles of one size that this much fills.
pub fn bottles(litres: f64, size_l: f64) -> u32 {
    // Half a thimble of rounding does not cost a bottle.
    match size_l > 0.0 {
        true => ((litres / size_l + 1e-6).floor().clamp(0.0, 1e6)) as u32,
        false => 0,
    }
}

/// The form as it is opened.
pub fn form(opened: &Opened, reads: Units) -> FormState {
    let mut form = FormState::new();
    let gas = opened.recipe.declared.as_ref();
    let gas = gas.and_then(|declared| declared.carbonation.as_deref());
    let sparkles = gas.is_some_and(|words| {
        let words = words.to_lowercase();
        ["sparkl", "petillant", "carbonated", "fizzy"]
            .iter()
            .any(|telling| words.contains(telling))
    });
    let stabilised = ever_stabilised(&opened.start, &opened.state);
    let way = match (sparkles, stabilised) {
        (false, _) => Way::Still,
        (true, false) => Way::Primed,
        (true, true) => Way::Kegged,
    };
    form.set("way", way.as_str());
    form.set("sugar", "sucrose");
    form.set("bottle", if way == Way::Primed { "heavy" } else { "still" });
    if let Some(warmest) = warmest_c(opened) {
        form.set("warmest", units::temperature_text(warmest, reads));
    }
    form.set("degassed", if is_degassed(opened) { "yes" } else { "no" });
    let litres = to_fill_l(opened);
    let planned = opened.planned.package.as_ref();
    let size_l = planned
        .and_then(|plan| plan.bottles.first())
        .map_or(USUAL_L, |bottles| bottles.size_l);
    form.set("size_1", units::volume_text(size_l, reads));
    form.set("count_1", bottles(litres, size_l).to_string());
    // As one reads it off a keg; never more than there is.
    let tenths = (litres * 10.0).floor() / 10.0;
    form.set("litres", units::volume_text(tenths, reads));
    form.set("all", "yes");
    let mixed = opened.batch.began_at.date_naive();
    let days = cellar::days(&opened.planned, opened.state.abv_percent, mixed);
    if let Some(best_on) = days.best_on {
        form.set("kept", "yes");
        form.set("kept_until", best_on.to_string());
    }
    form
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bottles_are_never_more_than_what_is_left_fills() {
        assert_eq!(bottles(4.35, 0.75), 5);
        assert_eq!(bottles(4.5, 0.75), 6);
        assert_eq!(bottles(0.74, 0.75), 0);
        assert_eq!(bottles(0.0, 0.75), 0);
        assert_eq!(bottles(1.0, 0.0), 0);
        assert_eq!(bottles(f64::NAN, 0.75), 0);
    }
}
