//! Sugar against acid in the finished mead.

use super::formulation::{Finished, SugarAndAcid};

/// Where the bands begin, g of sugar for 1 g of acid, and their words. The edges 1, 2 and 4 are those of a scale that the
/// wine trade prints on bottles of Riesling (from memory: verify); for mead there is none, so they are a first guess.
const BANDS: [(f64, &str); 4] = [
    (0.0, "acid_leads"),
    (1.0, "acid_a_little_ahead"),
    (2.0, "sugar_a_little_ahead"),
    (4.0, "sugar_leads"),
];
/// A solved gravity may miss a band's edge by its last bits; ties go upward, as with the style words.
const EDGE: f64 = 1e-9;

/// Sugar that can ferment (g/L) for each g/L of titratable acidity as tartaric, and its band. `None` where the acidity is
/// not known or none is left. Sugar that does not ferment tastes sweet too and is not in it.
pub(super) fn sugar_and_acid(finished: &Finished) -> Option<SugarAndAcid> {
    let acid = finished.ta_g_per_l.filter(|acid| *acid > 0.0)?;
    let sugar_to_acid = finished.residual_sugar_g_per_l / acid;
    let (_, band) = BANDS
        .iter()
        .rfind(|(edge, _)| sugar_to_acid + EDGE >= *edge)?;
    sugar_to_acid.is_finite().then_some(SugarAndAcid {
        sugar_to_acid,
        band,
    })
}
