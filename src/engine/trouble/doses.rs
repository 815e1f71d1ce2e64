//! The amounts that remedies need, for the litres that there are. Common practice, no published source, unless a line names one.

use super::checks::{FOAM_HEADSPACE, QUIET_HEADSPACE, free_needed};
use crate::engine::acid::{Acid, Addition};
use crate::engine::finish::stabilising;
use crate::engine::sulfite::{MUCH_MG_PER_L, Salt};

/// Potassium bicarbonate of one step, g/L.
const BICARBONATE_G_PER_L: f64 = 0.25;
/// Nitrogen given at once at the most, mg/L: about a quarter of a usual plan.
const AT_ONCE_MG_PER_L: f64 = 50.0;
/// mg of nitrogen in 1 g of diammonium phosphate (reference on nutrition, section 3).
const DAP_MG_PER_G: f64 = 212.13;
/// mg of nitrogen in 1 g of organic feed; what is given at once at the most, g/L.
const ORGANIC_MG_PER_G: f64 = 40.0;
const ORGANIC_G_PER_L: f64 = 0.4;
/// Dry yeast for a restart, g/L; water to wake it in, as a multiple of its mass.
const RESTART_G_PER_L: f64 = 0.5;
const WATER_TIMES: f64 = 10.0;
/// A starter is used to the mead by as much mead as it is itself, until it is this part of the batch.
const STARTER_PART: f64 = 0.1;
/// Yeast for bottles, g/L: the middle of 0.1 to 0.2.
const BOTTLE_YEAST_G_PER_L: f64 = 0.15;
/// Change of acidity that one tries first, g/L as tartaric.
const ACID_STEP_G_PER_L: f64 = 0.5;

/// Potassium bicarbonate of one step, g.
pub(super) fn bicarbonate_g(litres: f64) -> f64 {
    BICARBONATE_G_PER_L * litres
}

/// Potassium bicarbonate that takes one step off the acidity, g.
pub(super) fn softening_g(litres: f64) -> f64 {
    Addition::PotassiumBicarbonate.grams(-ACID_STEP_G_PER_L, litres)
}

/// Tartaric acid that adds one step to the acidity, g.
pub(super) fn acid_g(litres: f64) -> f64 {
    Addition::Acid(Acid::Tartaric).grams(ACID_STEP_G_PER_L, litres)
}

/// What a hungry must gets now.
pub(super) struct FeedNow {
    pub mg_per_l: f64,
    pub dap_g: f64,
    pub organic_g: f64,
}

/// As much as is lacking, and no more than is given at once: so much of the one powder, or so much of the other.
pub(super) fn feed_now(given: f64, target: f64, litres: f64) -> FeedNow {
    let mg_per_l = (target - given).clamp(0.0, AT_ONCE_MG_PER_L);
    FeedNow {
        mg_per_l,
        dap_g: mg_per_l / DAP_MG_PER_G * litres,
        organic_g: (mg_per_l / ORGANIC_MG_PER_G).min(ORGANIC_G_PER_L) * litres,
    }
}

/// A new pitch of what is usual for the must: yeast, and water to wake it in, g.
pub(super) fn pitch_again(usual_g_per_l: f64, litres: f64) -> (f64, f64) {
    let yeast = usual_g_per_l * litres;
    (yeast, WATER_TIMES * yeast)
}

/// A starter that is used to the stuck mead before it goes in.
pub(super) struct Restart {
    pub yeast_g: f64,
    pub water_g: f64,
    /// The mead that goes in first, litres: as much as the water.
    pub first_l: f64,
    /// How often as much mead as the starter is goes in.
    pub times: f64,
    /// What the starter is then, litres.
    pub starter_l: f64,
}

/// Fresh yeast woken in ten times its mass of water, then doubled with mead until it is a tenth of the batch.
pub(super) fn restart(litres: f64) -> Restart {
    let yeast_g = RESTART_G_PER_L * litres;
    let water_g = WATER_TIMES * yeast_g;
    let first_l = water_g / 1_000.0;
    let mut starter_l = first_l;
    let mut times = 0.0;
    // Each doubling brings it nearer; 0.005 of the batch needs five.
    while starter_l < STARTER_PART * litres && times < 10.0 {
        starter_l *= 2.0;
        times += 1.0;
    }
    Restart {
        yeast_g,
        water_g,
        first_l,
        times,
        starter_l,
    }
}

/// Free sulfur dioxide to aim for, mg/L, and the potassium metabisulfite that brings what is lacking, g. At a high pH what would
/// be needed is not chased.
pub(super) fn sulfite(ph: f64, free_mg_per_l: f64, litres: f64) -> (f64, f64) {
    let wanted = free_needed(ph).min(MUCH_MG_PER_L);
    let lacking = (wanted - free_mg_per_l).max(0.0);
    let grams = lacking * litres / 1_000.0 / Salt::PotassiumMetabisulfite.so2_g_per_g();
    (wanted, grams)
}

/// Potassium sorbate for a mead of that strength, g.
pub(super) fn sorbate_g(abv_percent: f64, litres: f64) -> f64 {
    stabilising::sorbate_g(stabilising::sorbic_acid_mg_per_l(abv_percent), litres)
}

/// Litres that fill a quiet vessel to where it should be.
pub(super) fn top_up_l(headspace: f64, litres: f64) -> f64 {
    let brim = litres / (1.0 - headspace);
    (brim * (headspace - QUIET_HEADSPACE)).max(0.0)
}

/// Litres to take out of a vessel that foams.
pub(super) fn take_out_l(headspace: f64, litres: f64) -> f64 {
    let brim = litres / (1.0 - headspace);
    (brim * (FOAM_HEADSPACE - headspace)).max(0.0)
}

/// Dry yeast for the bottles, g.
pub(super) fn bottle_yeast_g(litres: f64) -> f64 {
    BOTTLE_YEAST_G_PER_L * litres
}
