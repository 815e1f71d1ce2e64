//! The state of a batch by replay of its log: laws, agreement with the formulation, every question, the log as JSON.

mod agreement;
mod dissolved;
mod documents;
mod hostile;
mod house;
mod laws;
mod marks;
mod measured;
mod ordinary;
mod own;
mod plan_and_must;
mod questions;

use mustwright::engine::log::entry::*;
use mustwright::engine::log::{Deed, Entry, Question, QuestionCode, Start, State, replay};
use mustwright::engine::recipe::Composition;

use crate::documents::{parts, traditional};

/// An entry; its number is given by [`log`].
pub fn at(hours: f64, deed: Deed) -> Entry {
    Entry {
        entry: 0,
        hours,
        deed,
    }
}

/// Entries numbered from 1 as they stand.
pub fn log(entries: Vec<Entry>) -> Vec<Entry> {
    let numbered = entries.into_iter().zip(1..);
    numbered
        .map(|(entry, number)| Entry {
            entry: number,
            ..entry
        })
        .collect()
}

pub fn mixed(volume_l: f64, sg: f64) -> Deed {
    Deed::Mixed(Mixed {
        volume_l: Some(volume_l),
        sg: Some(sg),
        temperature_c: None,
    })
}

pub fn pitch() -> Deed {
    Deed::Pitch(Pitch::default())
}

pub fn reads(sg: f64) -> Deed {
    Deed::Reading(Reading {
        sg: Some(sg),
        ..Reading::default()
    })
}

/// A gravity that counts for the end: without gas, and warm enough.
pub fn at_rest(sg: f64) -> Deed {
    Deed::Reading(Reading {
        sg: Some(sg),
        degassed: Some(true),
        must_temperature_c: Some(20.0),
        ..Reading::default()
    })
}

/// A usual honey, kg.
pub fn honey_of(kg: f64, why: Why) -> Deed {
    Deed::Addition(Addition {
        why: Some(why),
        kg: Some(kg),
        composition: Some(honey_parts()),
        ..Addition::of("honey", What::Honey)
    })
}

pub fn honey_parts() -> Composition {
    parts(0.18, 0.73, 0.09, 0.0)
}

/// Glasses of so many ml of the mead, with so many ml of honey and water in each; the last was liked best.
pub fn trial(sample_ml: f64, stock_ml: &[f64]) -> Deed {
    let glasses = stock_ml.iter().zip(101..).map(|(ml, code)| Glass {
        code: code.to_string(),
        stock_ml: *ml,
    });
    let glasses: Vec<Glass> = glasses.collect();
    Deed::Trial(Trial {
        stock: Stock::Honey,
        name: "honey with as much water".to_owned(),
        composition: Some(honey_parts()),
        sample_ml,
        winner: glasses.last().map(|glass| glass.code.clone()),
        glasses,
    })
}

pub fn water_of(litres: f64) -> Deed {
    Deed::Addition(Addition {
        litres: Some(litres),
        ..Addition::of("water", What::Water)
    })
}

pub fn sample(litres: f64) -> Deed {
    Deed::Sample(Sample {
        litres,
        returned: false,
    })
}

pub fn rack_loss(litres: f64) -> Deed {
    Deed::Rack(Rack {
        loss_l: Some(litres),
        ..Rack::default()
    })
}

pub fn stabilise() -> Deed {
    Deed::Addition(Addition {
        why: Some(Why::Stabilise),
        so2_mg_per_l: Some(60.0),
        ..Addition::of("sulfite", What::Sulfite)
    })
}

pub fn package(litres: Option<f64>) -> Deed {
    Deed::Package(Package {
        litres,
        ..Package::default()
    })
}

/// 20 L at 12 %, dry.
pub fn start() -> Start {
    Start::of_recipe(&traditional()).expect("a start")
}

/// What was planned.
pub fn plan(start: &Start) -> mustwright::engine::log::start::Planned {
    start.plan.clone().expect("a plan")
}

pub fn after(start: &Start, entries: Vec<Entry>) -> State {
    replay(start, &log(entries))
}

pub fn codes(questions: &[Question]) -> Vec<QuestionCode> {
    questions.iter().map(|question| question.code).collect()
}
