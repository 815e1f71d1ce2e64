//! What a batch's log makes known to its finishing.

use crate::batches::model::CameFrom;
use crate::batches::opened::Opened;
use crate::batches::plan::changes_gravity;
use crate::engine::finish::still::{self, Known, Read, Verdict};
use crate::engine::finish::sweetness::Mead;
use crate::engine::log::entry::What;
use crate::engine::log::samples::Samples;
use crate::engine::log::{Deed, Entry, Measured};
use crate::engine::recipe::Finish;

/// Less than this is nothing, litres.
const NOTHING_L: f64 = 0.05;
/// Of a mead that nobody knows to be finished a pH counts so long, hours.
const PH_LASTS_H: f64 = 14.0 * 24.0;
/// Sugar above which a mead is sweet, g/L (OIV-MA-C1-01).
const SWEET_G_PER_L: f64 = 4.0;

/// Whether nothing is left in the vessel.
pub fn is_empty(opened: &Opened) -> bool {
    opened.state.volume_l < NOTHING_L
}

/// All of it, as it is sweetened.
pub fn mead(opened: &Opened) -> Mead {
    let state = &opened.state;
    Mead {
        liquid: state.flows.vessel,
        acid_g: state.ta_g_per_l.map(|acid| acid * state.volume_l),
    }
}

/// Whether sugar stays, is there, or is to go in.
pub fn is_sweet(opened: &Opened) -> bool {
    let wanted = matches!(
        opened.recipe.finish,
        Finish::SweetenTo(_) | Finish::ArrestTo(_)
    );
    wanted || opened.state.sugar_g_per_l > SWEET_G_PER_L
}

/// The last pH, unless something has changed it since or it is of another mead: of one that still had sugar.
pub fn ph(opened: &Opened, now_h: f64) -> Option<Measured> {
    let ph = opened.state.ph?;
    let marks = &opened.state.marks;
    let since = marks.end.or(marks.nearly_all);
    let is_of_this = match since {
        Some(since) => ph.hours >= since,
        None => now_h - ph.hours <= PH_LASTS_H,
    };
    let changed = opened.entries.iter().any(|entry| {
        let changes = matches!(&entry.deed, Deed::Addition(added)
            if matches!(added.what, What::Acid | What::Neutraliser | What::Juice | What::Fruit));
        changes && entry.hours > ph.hours
    });
    (is_of_this && !changed).then_some(ph)
}

/// The last acidity that was measured, as tartaric, g/L, and its hour; `None` where it was only planned.
pub fn measured_acid(opened: &Opened) -> Option<(f64, f64)> {
    opened
        .entries
        .iter()
        .rev()
        .find_map(|entry| match &entry.deed {
            Deed::Reading(reading) => reading.ta_g_per_l.map(|acid| (acid, entry.hours)),
            _ => None,
        })
}

/// Whether it is finished, as it stands at an hour of the log.
pub fn verdict(opened: &Opened, now_h: f64) -> Verdict {
    still::verdict(&known(opened, now_h))
}

/// Whether it is finished.
pub fn is_finished(opened: &Opened, now_h: f64) -> bool {
    verdict(opened, now_h).is_finished()
}

/// Once it was stabilised, what sweetened it says nothing of its fermentation: then it is judged as it was before that.
fn known(opened: &Opened, now_h: f64) -> Known {
    let state = &opened.state;
    let stabilised = state.marks.stabilised.filter(|_| state.stabilised);
    let changes = |entry: &&Entry| changes_gravity(&entry.deed);
    let changed = || opened.entries.iter().filter(changes);
    let cut = stabilised.and_then(|at| {
        changed()
            .map(|entry| entry.hours)
            .find(|hours| *hours >= at)
    });
    let until = cut.unwrap_or(f64::INFINITY);
    let hours = changed().map(|entry| entry.hours);
    Known {
        reads: reads(opened)
            .into_iter()
            .filter(|read| read.hours < until)
            .collect(),
        changed_h: hours.filter(|hours| *hours < until).reduce(f64::max),
        abv_percent: state.abv_percent,
        tolerance_abv_percent: state.tolerance_abv_percent,
        now_h,
    }
}

/// The gravities that count and that somebody took, each with what it was read in.
pub fn reads(opened: &Opened) -> Vec<Read> {
    let samples = Samples::of(opened.entries.iter());
    let points = opened.state.points.iter();
    points
        .filter(|point| point.used)
        .filter_map(|point| {
            let reading = by_hand(opened, point.entry)?;
            Some(Read {
                hours: point.hours,
                sg: point.read_sg?,
                degassed: samples.degassed(reading),
                must_c: samples.must_c(reading),
            })
        })
        .collect()
}

/// The entry of a reading that somebody took; a float that swims in its own gas proves nothing.
fn by_hand(opened: &Opened, number: u32) -> Option<&Entry> {
    let mut log = opened.log.iter();
    let logged = log.find(|logged| logged.entry.unsigned_abs() == number)?;
    let mut entries = opened.entries.iter();
    let entry = entries.find(|entry| entry.entry == number)?;
    (logged.came_from != CameFrom::Sensor.word()).then_some(entry)
}
