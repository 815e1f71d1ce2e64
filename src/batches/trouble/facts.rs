//! What the log of a batch says where something seems wrong.

use crate::batches::finishing;
use crate::batches::opened::Opened;
use crate::batches::outlook::known::measured_temperatures;
use crate::engine::bottling::ever_stabilised;
use crate::engine::log::entry::{How, What};
use crate::engine::log::{Deed, State};
use crate::engine::trouble::Facts;

/// A fall is told from two readings at least this far apart, h: the trade reads every three days.
const APART_H: f64 = 72.0;

/// All that is known at an hour of the log.
pub fn facts(opened: &Opened, now_h: f64) -> Facts {
    let (state, recipe) = (&opened.state, &opened.recipe);
    let read = opened.last_gravity().map(|(sg, _)| sg);
    let has_read = |value: f64| read.map(|_| value);
    let since = |hours: Option<f64>| hours.map(|hours| (now_h - hours).max(0.0));
    let days_since = |hours: Option<f64>| since(hours).map(|hours| hours / 24.0);
    let last = |is: fn(&Deed) -> bool| {
        let found = opened.entries.iter().rev().find(|entry| is(&entry.deed));
        found.map(|entry| entry.hours)
    };
    let racked = last(|deed| matches!(deed, Deed::Rack(_)));
    let stirred = last(|deed| matches!(deed, Deed::Degas));
    let nitrogen = &state.nitrogen;
    let fed = nitrogen.ammonium_mg_per_l + nitrogen.organic_mg_per_l;
    let yeast = recipe.yeasts.first();
    Facts {
        litres: (state.volume_l > 0.0).then_some(state.volume_l),
        hours_since_pitch: since(state.marks.pitch),
        age_days: Some(now_h.max(0.0) / 24.0),
        og: Some(state.og),
        sg: read,
        fall_sg_per_day: fall_sg_per_day(state),
        abv_percent: has_read(state.abv_percent),
        tolerance_abv_percent: state.tolerance_abv_percent,
        sugar_left_g_per_l: has_read(state.expected.fermentable_g_per_l),
        is_finished: Some(finishing::is_finished(opened, now_h)),
        fall_done: read_points(state).last().map(|point| point.part),
        ph: state.ph.map(|ph| ph.value),
        ta_g_per_l: state.ta_g_per_l,
        temperature_c: state.must_temperature_c.map(|is| is.value),
        warmest_c: measured_temperatures(opened)
            .map(|(_, celsius)| celsius)
            .reduce(f64::max),
        yeast_temperature_c: yeast.and_then(|yeast| yeast.temperature_c),
        pitch_g_per_l: pitch_g_per_l(opened),
        nitrogen_given_mg_per_l: nitrogen.of_must_mg_per_l.map(|must| must + fed),
        nitrogen_target_mg_per_l: opened.planned.feeding.as_ref().map(|it| it.target_mg_per_l),
        hours_since_sulfite: since(last(
            |deed| matches!(deed, Deed::Addition(one) if one.what == What::Sulfite),
        )),
        free_so2_mg_per_l: state.free_so2_mg_per_l.map(|so2| so2.value),
        is_stabilised: Some(ever_stabilised(&opened.start, state)),
        headspace_fraction: headspace(opened),
        hours_since_degassed: since(stirred.or(state.marks.pitch)),
        days_on_lees: days_since(racked.or(state.marks.nearly_all)),
        aired_after_break: aired_after_break(opened),
        has_fruit: Some(has_fruit(opened)),
        has_pectinase: added(opened, What::Enzyme).then_some(true),
        meant_to_sparkle: packaged_with_gas(opened),
        is_primed: packaged_with_gas(opened),
        days_in_bottle: days_since(state.marks.packaged),
        ..Facts::default()
    }
}

/// Readings that count.
fn read_points(state: &State) -> impl DoubleEndedIterator<Item = &crate::engine::log::Point> {
    state
        .points
        .iter()
        .filter(|point| point.used && point.read_sg.is_some())
}

fn fall_sg_per_day(state: &State) -> Option<f64> {
    let last = read_points(state).next_back()?;
    let before = read_points(state)
        .rev()
        .find(|point| last.hours - point.hours >= APART_H)?;
    let fell = before.read_sg? - last.read_sg?;
    Some(24.0 * fell / (last.hours - before.hours))
}

fn pitch_g_per_l(opened: &Opened) -> Option<f64> {
    let litres = opened.state.flows.begun.state().volume_l;
    let given = opened.entries.iter().find_map(|entry| match &entry.deed {
        Deed::Pitch(pitch) => pitch.yeast_g,
        _ => None,
    });
    given.filter(|_| litres > 0.0).map(|grams| grams / litres)
}

/// The part of its vessel that is empty: of the one that it was moved into last, else of the recipe's.
fn headspace(opened: &Opened) -> Option<f64> {
    let moved = opened
        .entries
        .iter()
        .rev()
        .find_map(|entry| match &entry.deed {
            Deed::Move(to) => Some(to.brim_l),
            // Into what it was racked is a name alone.
            Deed::Rack(rack) if rack.into.is_some() => Some(None),
            _ => None,
        });
    let brim_l = match moved {
        Some(brim_l) => brim_l,
        None => opened.recipe.vessel.as_ref().map(|vessel| vessel.brim_l),
    };
    let empty = 1.0 - opened.state.volume_l / brim_l?;
    (0.0..1.0).contains(&empty).then_some(empty)
}

fn aired_after_break(opened: &Opened) -> Option<bool> {
    let broke = opened.state.marks.one_third?;
    let mut aired = opened
        .entries
        .iter()
        .filter(|entry| entry.deed == Deed::Aerate);
    Some(aired.any(|entry| entry.hours > broke))
}

fn added(opened: &Opened, wanted: What) -> bool {
    let is = |deed: &Deed| matches!(deed, Deed::Addition(one) if one.what == wanted);
    opened.entries.iter().any(|entry| is(&entry.deed))
}

fn has_fruit(opened: &Opened) -> bool {
    opened.start.fruit_kg > 0.0 || added(opened, What::Fruit)
}

/// Whether it was filled with gas; not known before it is filled.
fn packaged_with_gas(opened: &Opened) -> Option<bool> {
    let how = opened
        .entries
        .iter()
        .rev()
        .find_map(|entry| match &entry.deed {
            Deed::Package(package) => Some(package.how),
            _ => None,
        });
    how.flatten().map(|how| how == How::Gas)
}
