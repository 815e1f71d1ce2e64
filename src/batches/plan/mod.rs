//! The plan of a batch: what is to be done next, and when; done, left out, moved, and taken back.

mod amounts;
pub mod calendar;
pub mod due;
mod facts;
mod fields;
mod forms;
mod going_in;
mod marking;
mod pages;
mod store;
mod view;
pub mod when;

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;

use self::when::{Reads, Timing};
use super::finishing::dangers_passed;
use super::opened::Opened;
use crate::app::App;
use crate::engine::plan::{Facts, State, Step, StepKind as Kind, plan};
use crate::web::paths::Routes;
use crate::web::words::step_name;

pub(in crate::batches) use self::facts::changes_gravity;
pub use self::marking::held;
pub use self::pages::part;
pub use self::view::{CautionLine, PlanPart, caution_line, comes_next};

use super::paths;

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::PLAN, pages::show)
        .on(paths::STEP, pages::step)
        .on(paths::STEP_DONE, pages::done)
        .on(paths::STEP_LEFT_OUT, pages::leave_out)
        .on(paths::STEP_MOVED, pages::another_day)
        .on(paths::STEP_TAKEN_BACK, pages::take_back)
        .on(paths::CALENDAR, calendar::show)
}

/// A step with its time on the calendar.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    pub step: Step,
    pub timing: Option<Timing>,
    /// Whether it can be done now: its day has come, or its gravity is there.
    pub is_due: bool,
}

impl Placed {
    /// Whether it is still to be done.
    pub fn is_open(&self) -> bool {
        self.step.state.is_open()
    }
}

/// The plan as it stands at an instant; empty where the batch ended otherwise than in bottles.
pub fn planned(opened: &Opened, reads: Reads) -> Vec<Placed> {
    let mut facts = facts::facts(opened, reads.now, reads.zone);
    let steps = |facts: &Facts| plan(&opened.recipe, &opened.planned, facts);
    let mut pitch_h = facts.pitch_h;
    if facts.pitch_hour_of_day.is_none() {
        let first = steps(&facts);
        let pitch = first.iter().find(|step| step.kind == Kind::Pitch);
        let hours = pitch
            .and_then(|step| step.due.at)
            .map(|at| at.about_hours());
        facts.pitch_hour_of_day = hours.and_then(|hours| facts::of_day(opened, hours, reads.zone));
        pitch_h = pitch_h.or(hours);
    }
    if facts.end_forecast.is_none() {
        facts.end_forecast = pitch_h.and_then(|hours| facts::own_end(opened, hours));
    }
    let sg = facts.gravity.map(|read| read.value);
    let placed = steps(&facts).into_iter().filter_map(|step| {
        let timing = Timing::of(&opened.batch, &step, reads.zone);
        if went_by(opened, &step, timing, reads.zone) {
            return None;
        }
        let there = step.due.or_at_sg.zip(sg);
        let there = facts.pitch_h.is_some() && there.is_some_and(|(at, now)| now <= at + 1e-6);
        let come = timing.is_some_and(|timing| timing.has_come(reads));
        Some(Placed {
            is_due: step.state.is_open() && (come || there),
            timing,
            step,
        })
    });
    let placed: Vec<Placed> = placed.collect();
    let pointless: Vec<String> = overtaken(&placed);
    placed
        .into_iter()
        .filter(|placed| !pointless.contains(&placed.step.key))
        .collect()
}

/// Whether two readings 14 days apart agree, and no sugar has gone in since.
pub fn stands_still(opened: &Opened, reads: Reads) -> bool {
    facts::facts(opened, reads.now, reads.zone).stands_still()
}

/// What was due before the batch was written down here, and what nobody can make up for.
fn went_by(opened: &Opened, step: &Step, timing: Option<Timing>, zone: Tz) -> bool {
    let of_its_time = matches!(
        step.kind,
        Kind::Prepare
            | Kind::Sanitise
            | Kind::Cook
            | Kind::Mix
            | Kind::FruitIn
            | Kind::AddPrimary
            | Kind::Aerate
            | Kind::Rehydrate
            | Kind::Degas
            | Kind::Feed
            | Kind::Break
            | Kind::Ph
            | Kind::WetCap
            | Kind::HoneyFeed
            | Kind::Look
            | Kind::Taste
    );
    let before = opened.batch.created_at - TimeDelta::days(1);
    let due_before = timing.is_some_and(|timing| latest(timing, zone) < before);
    !matches!(step.state, State::Done { .. } | State::Skipped { .. }) && of_its_time && due_before
}

fn latest(timing: Timing, zone: Tz) -> DateTime<Utc> {
    match timing {
        Timing::Moment { to, .. } => to,
        Timing::Day { to, .. } => Timing::Day {
            day: to,
            from: to,
            to,
        }
        .place(zone),
    }
}

/// Tastings that a later one, whose day has come too, makes pointless.
fn overtaken(placed: &[Placed]) -> Vec<String> {
    let due = placed
        .iter()
        .filter(|placed| placed.step.kind == Kind::Taste && placed.is_due);
    let mut keys: Vec<String> = due.map(|placed| placed.step.key.clone()).collect();
    keys.pop();
    keys
}

/// What the steps of a batch are called, by their keys.
pub fn names(opened: &Opened, zone: Tz) -> HashMap<String, String> {
    let facts = facts::facts(opened, opened.batch.began_at, zone);
    let steps = plan(&opened.recipe, &opened.planned, &facts);
    let steps = steps.iter().map(|step| (step.key.clone(), step_name(step)));
    steps.chain(dangers_passed()).collect()
}
