//! The forecast of a fermentation: how its sugar goes over the weeks, before any reading and fitted to readings.

mod descent;
mod fit;
mod model;
mod prior;

pub use fit::{Band, Fit, Fitting, Reading, fit};
pub use model::{
    Addition, At, HORIZON_H, Outcome, Plan, SUGAR_AT_END_G_PER_L, Stretch, Timeline, run,
};
pub use prior::Prior;
