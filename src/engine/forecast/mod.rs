//! The forecast of a fermentation: how its sugar goes over the weeks, before any reading and fitted to readings.

mod fit;
mod model;

pub use fit::{Band, Fit, Fitting, Prior, Reading, fit};
pub use model::{
    Addition, At, HORIZON_H, Outcome, Plan, SUGAR_AT_END_G_PER_L, Stretch, Timeline, run,
};
