//! How much sugar makes so much gas in a closed bottle, and never more of it.

use super::bottle::{MOST_VOLUMES, PrimingSugar};
use super::carbonation::GRAMS_PER_VOLUME;
use super::stoichiometry::CO2_PER_HEXOSE;

/// Volumes nearer than this are the same.
const SAME: f64 = 1e-9;

/// Why no sugar is the answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoSugar {
    /// More gas than any bottle may hold.
    NoBottleHolds,
    /// There is more gas already, or will be: so many volumes.
    AlreadyFizzier {
        /// Volumes of carbon dioxide.
        volumes: f64,
    },
}

/// Gas that there will be without any priming, volumes: what is dissolved (`residual_volumes`), and what so much sugar makes
/// that still ferments (`fermentable_g_per_l`, from 0), nothing of it lost.
pub fn coming_volumes(residual_volumes: f64, fermentable_g_per_l: f64) -> f64 {
    residual_volumes + fermentable_g_per_l * CO2_PER_HEXOSE / GRAMS_PER_VOLUME
}

/// g/L of a sugar that bring a drink to `volumes` (0 to 5) of carbon dioxide, where `coming` come without it. By stoichiometry,
/// the most that can come, so that no bottle gets more than was wanted.
///
/// # Errors
/// When no bottle may hold so much (common practice), or there is more without any.
pub fn priming_g_per_l(volumes: f64, coming: f64, sugar: PrimingSugar) -> Result<f64, NoSugar> {
    if volumes > MOST_VOLUMES {
        return Err(NoSugar::NoBottleHolds);
    }
    if coming > volumes + SAME {
        return Err(NoSugar::AlreadyFizzier { volumes: coming });
    }
    Ok((volumes - coming).max(0.0) * GRAMS_PER_VOLUME / sugar.co2_g_per_g())
}
