//! How much dry yeast, and how to wake it.

use super::formulate::Balance;
use super::formulation::{Pitching, Rehydration};
use super::recipe::{Recipe, YeastWhen};

/// Upper end of a band of OG and the dry yeast for it, g/L: the middle of the range for that band.
/// Bands are closed below. Source: reference on nutrition, section 6 (common practice, no published source).
const BANDS: [(f64, f64); 4] = [(1.060, 0.25), (1.090, 0.325), (1.115, 0.475), (1.140, 0.65)];
const STRONGEST_G_PER_L: f64 = 0.875;

/// Below this must temperature half as much again is pitched, °C (common practice, no published source).
const COLD_C: f64 = 15.0;

/// Dry-pitching is accepted up to this OG (common practice, no published source).
const DRY_PITCH_OG: f64 = 1.060;

/// Dry yeast, g/L, for a must of that OG at that temperature (°C, 20 when not planned).
pub fn grams_per_litre(og: f64, temperature_c: Option<f64>) -> f64 {
    // A gravity solved to 1.060 may miss it by the last bits.
    let band = BANDS.iter().find(|(end, _)| og < *end - 1e-9);
    let dose = band.map_or(STRONGEST_G_PER_L, |(_, dose)| *dose);
    if temperature_c.is_some_and(|t| t < COLD_C) {
        dose * 1.5
    } else {
        dose
    }
}

/// Whether the first yeast is one of the beer kinds, which foam more and wake in cooler water.
pub(super) fn is_ale_kind(recipe: &Recipe) -> bool {
    let first = recipe
        .yeasts
        .iter()
        .find(|yeast| yeast.when == YeastWhen::Pitch);
    first.is_some_and(|yeast| {
        let name = yeast.name.to_lowercase();
        name.split(|c: char| !c.is_alphabetic())
            .any(|word| matches!(word, "ale" | "lager" | "saison" | "beer"))
    })
}

pub(super) fn pitch(balance: &Balance<'_>) -> Pitching {
    let recipe = balance.recipe;
    let yeast_g = grams_per_litre(balance.whole.og, recipe.temperature_c) * balance.whole.volume_l;
    // What is a whole sachet but for its last bits is one sachet.
    let sachets = (yeast_g / balance.settings.sachet_g.max(0.1) - 1e-9)
        .ceil()
        .clamp(1.0, 1e9) as u32;
    Pitching {
        yeast_g,
        sachets,
        rehydration: Rehydration {
            wanted: balance.whole.og > DRY_PITCH_OG + 1e-9,
            water_g: 10.0 * yeast_g,
            temperature_c: if is_ale_kind(recipe) {
                [25.0, 30.0]
            } else {
                [35.0, 40.0]
            },
        },
    }
}
