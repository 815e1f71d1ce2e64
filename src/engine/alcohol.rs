//! Alcohol from an original and a final gravity: the balance, and two older rules beside it for comparison.

use super::balance::{Liquid, StoppedBy, ferment, ferment_to_gravity};
use super::density::{ETHANOL_20, WATER_20, apparent_fraction_of_sg, fraction_of_sg};
use super::units::{Abv, SpecificGravity};

/// What a pair of gravities says about a fermentation. All at 20 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Attenuation {
    /// Litres of ethanol in 100 L.
    pub abv_percent: f64,
    /// kg of ethanol in 100 kg.
    pub abw_percent: f64,
    /// Everything still dissolved, by-products included, g/L of the finished liquid.
    pub residual_extract_g_per_l: f64,
    /// Apparent attenuation: (OG − FG)/(OG − 1) in percent; 0 when the OG is 1. Above 100 for an FG below 1.
    pub attenuation_percent: f64,
    /// The mass fraction of the original extract that was used, in percent; 0 when there was none.
    pub used_percent: f64,
}

/// Why two gravities cannot belong to one fermentation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// The original gravity is not from 1 to 1.449.
    OriginalOutOfRange,
    /// The final gravity is above the original one.
    FinalAboveOriginal,
    /// The final gravity is below what is left when all the extract has fermented.
    BelowFloor {
        /// The lowest final gravity that this original gravity allows.
        floor_sg: f64,
    },
}

/// One kg of a must with this original gravity, everything dissolved counted as sugar.
fn must(og: SpecificGravity) -> Option<Liquid> {
    let w = fraction_of_sg(og.get())?;
    Some(Liquid {
        water_kg: 1.0 - w,
        sugar_kg: w,
        ..Liquid::default()
    })
}

/// Alcohol from original and final gravity (SG 20/20, in vacuum), OG 1 to 1.449.
///
/// Step 5 of the balance: all solids count as sugar, and the sugar used is what gives the measured final gravity. Does not
/// depend on the yield of ethanol from sugar. The error names why a pair is impossible.
pub fn abv_from_gravities(
    og: SpecificGravity,
    fg: SpecificGravity,
) -> Result<Attenuation, Impossible> {
    let must = must(og).ok_or(Impossible::OriginalOutOfRange)?;
    let (og, fg) = (og.get(), fg.get());
    let Some(done) = ferment_to_gravity(&must, fg) else {
        return Err(if fg > og {
            Impossible::FinalAboveOriginal
        } else {
            Impossible::BelowFloor {
                floor_sg: ferment(&must, 1.0).state().sg,
            }
        });
    };
    let state = done.liquid.state();
    let per_litre = |kg: f64| {
        if state.volume_l > 0.0 {
            1000.0 * kg / state.volume_l
        } else {
            0.0
        }
    };
    Ok(Attenuation {
        abv_percent: state.abv_percent,
        abw_percent: state.abw_percent,
        residual_extract_g_per_l: per_litre(done.liquid.solids_kg()),
        attenuation_percent: if og > 1.0 {
            100.0 * (og - fg) / (og - 1.0)
        } else {
            0.0
        },
        used_percent: match (done.stopped_by, must.sugar_kg > 0.0) {
            (_, false) => 0.0,
            (StoppedBy::Sugar, true) => 100.0,
            (StoppedBy::Tolerance, true) => 100.0 * done.consumed_kg / must.sugar_kg,
        },
    })
}

/// % by volume when all the extract of this original gravity (SG 20/20, 1 to 1.449) ferments; `None` outside the range.
pub fn potential_abv(og: SpecificGravity) -> Option<Abv> {
    Abv::new(ferment(&must(og)?, 1.0).state().abv_percent)
}

/// The lowest final gravity (SG 20/20) an original gravity (1 to 1.449) allows; `None` outside the range.
pub fn lowest_final_gravity(og: SpecificGravity) -> Option<SpecificGravity> {
    SpecificGravity::new(ferment(&must(og)?, 1.0).state().sg)
}

/// % by volume by Balling's rule with q = 0.22 + 0.001 p, for comparison: OG 1 to 1.449, FG 0.945 to OG; `None` outside.
///
/// Balling's 2.0665 from a university course's formula sheet; q from memory, no published source at hand.
pub fn balling_abv(og: SpecificGravity, fg: SpecificGravity) -> Option<Abv> {
    let (og, fg) = (og.get(), fg.get());
    if fg > og {
        return None;
    }
    let original = 100.0 * fraction_of_sg(og)?;
    let apparent = 100.0 * apparent_fraction_of_sg(fg)?;
    let q = 0.22 + 0.001 * original;
    let real = (q * original + apparent) / (1.0 + q);
    let by_weight = (original - real) / (2.0665 - 0.010665 * original);
    let abv = by_weight * fg * WATER_20 / ETHANOL_20;
    // Nothing fermented is nothing, whatever the last bits say.
    Abv::new(abv.max(0.0))
}

/// The factors of HM Revenue & Customs Notice 226 (beer duty): the largest drop in degrees of each band and its factor.
/// From memory; one reproduction of the table agrees in every row.
const DUTY_FACTORS: [(f64, f64); 11] = [
    (6.9, 0.125),
    (10.4, 0.126),
    (17.2, 0.127),
    (26.1, 0.128),
    (36.0, 0.129),
    (46.5, 0.130),
    (57.1, 0.131),
    (67.9, 0.132),
    (78.8, 0.133),
    (89.7, 0.134),
    (100.7, 0.135),
];

/// % by volume by the British duty table: the drop in degrees (1000 × SG), rounded to 0.1, times the factor of its band.
///
/// Not cut; see [`cut_to_one_decimal`]. `None` beyond the table (a drop above 100.7), and for a negative drop.
pub fn duty_table_abv(og: SpecificGravity, fg: SpecificGravity) -> Option<Abv> {
    let (og, fg) = (og.get(), fg.get());
    // A drop that is a tie as typed (1.05005 − 1.04) goes up, whatever its binary neighbour is.
    let drop = ((og - fg) * 10_000.0 + 1e-7).round() / 10.0;
    if drop < 0.0 {
        return None;
    }
    let (_, factor) = DUTY_FACTORS.iter().find(|(most, _)| drop <= *most)?;
    Abv::new(drop * factor)
}

/// A percentage cut, not rounded, to one decimal, as the duty table is declared; limited to 0 to 100 (NaN: 0).
pub fn cut_to_one_decimal(percent: f64) -> f64 {
    let percent = super::numeric::between(percent, 0.0, 100.0);
    (percent * 10.0).floor() / 10.0
}
