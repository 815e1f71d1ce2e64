//! The invented recipes: every family that the engine recognises, with the notes of people who make mistakes.

mod fruit;
mod grain;
mod honey;
mod spice;

use super::recipes::Made;

/// All of them; each stands after the one that it was started from.
pub fn all() -> Vec<Made> {
    [honey::all(), fruit::all(), spice::all(), grain::all()]
        .into_iter()
        .flatten()
        .collect()
}
