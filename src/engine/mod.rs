//! The formulation engine: pure functions from a recipe document to all its numbers. No I/O, no clock, no randomness, no panics.

pub mod acid;
pub mod ageing;
pub mod alcohol;
pub mod allergens;
pub mod balance;
pub mod bottle;
pub mod calculations;
pub mod carbonation;
mod cautions;
pub mod chain;
pub mod check;
mod cost;
mod course;
pub mod density;
pub mod doses;
pub mod feeding;
pub mod forecast;
pub mod formulate;
pub mod formulation;
pub mod honey;
pub mod hydrometer;
pub mod json;
pub mod kinetics;
mod lines;
pub mod mixture;
mod names;
pub mod numeric;
pub mod ode;
pub mod pitching;
pub mod plants;
mod prepare;
pub mod problem;
pub mod reading;
pub mod recipe;
pub mod scaling;
mod solver;
mod spread;
pub mod step_feeding;
pub mod stoichiometry;
mod style;
pub mod sulfite;
mod sweetening;
mod taste;
pub mod triangle;
pub mod units;
pub mod vessel;
pub mod water;
mod whole;
mod words;

pub use formulate::{Settings, formulate, formulate_text};
pub use formulation::Formulation;
pub use prepare::density_of;
pub use recipe::Recipe;

/// Version of the numbers: raised whenever the same document would give other ones.
pub const ENGINE_VERSION: i32 = 2;
