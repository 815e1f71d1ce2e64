//! What can go wrong with a blend: it may ferment again, and what kept one of its meads safe is thinned.

use super::{Blended, Source, poured};

/// Sugar that makes no mead restart to speak of, g/L: what a sound still mead may keep (common practice, no published source).
pub const LITTLE_SUGAR_G_PER_L: f64 = 3.0;
/// Yeast is trusted to be at its end only so far above its stated tolerance, % ABV (common practice, no published source).
pub const TOLERANCE_SPREAD_ABV: f64 = 1.5;

/// A mead as it stands before it is blended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stands {
    /// What it is.
    pub source: Source,
    /// Whether it was stabilised, and no yeast pitched since.
    pub stabilised: bool,
    /// Whether yeast was pitched, or it was found to ferment.
    pub has_yeast: bool,
    /// Strength at which its yeast stops, % ABV; `None` where that is not known.
    pub tolerance_abv_percent: Option<f64>,
    /// Sugar that will still ferment where it stands, g/L.
    pub fermentable_g_per_l: f64,
    /// Whether fruit in it still holds sugar.
    pub on_fruit: bool,
}

/// What can go wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Risk {
    /// Live yeast, sugar that it can use, and a strength that does not stop it.
    MayRestart {
        /// Sugar that it can use, g/L of the blend.
        sugar_g_per_l: f64,
        /// Strength of the blend, % ABV.
        abv_percent: f64,
    },
    /// Some were stabilised and some not: the blend is not.
    NotStabilised,
    /// Fruit in the mead of that place still gives sugar.
    OnFruit(usize),
    /// The acidity of the mead of that place is not known, so that of the blend is not.
    AcidityNotKnown(usize),
}

impl Risk {
    /// Whether it can burst bottles.
    pub fn is_danger(&self) -> bool {
        matches!(self, Risk::MayRestart { .. })
    }
}

/// The sugar of a mead that yeast in a blend can use, g/L of that mead. Where its own yeast was stopped, by sulfite and sorbate
/// or by strength, all its sugar; where it stands still by itself with strength to spare, what it still expects to lose.
fn usable_g_per_l(mead: &Stands) -> f64 {
    let state = mead.source.per_litre.state();
    let sugar = 1000.0 * mead.source.per_litre.sugar_kg;
    let by_itself = !mead.stabilised
        && mead.has_yeast
        && mead
            .tolerance_abv_percent
            .is_some_and(|tolerance| state.abv_percent <= tolerance - TOLERANCE_SPREAD_ABV);
    match by_itself {
        true => sugar.min(mead.fermentable_g_per_l),
        false => sugar,
    }
}

/// What can go wrong with so many litres of each, what can hurt first.
pub fn risks(parts: &[(Stands, f64)]) -> Vec<Risk> {
    let used: Vec<(usize, &Stands, f64)> = parts
        .iter()
        .enumerate()
        .filter(|(_, (_, litres))| *litres > 0.0)
        .map(|(place, (mead, litres))| (place, mead, *litres))
        .collect();
    let sources: Vec<(Source, f64)> = used.iter().map(|(_, of, l)| (of.source, *l)).collect();
    let blended: Blended = poured(&sources);
    if blended.litres <= 0.0 {
        return Vec::new();
    }
    let grams: f64 = used.iter().map(|(_, of, l)| usable_g_per_l(of) * l).sum();
    let sugar_g_per_l = grams / blended.litres;
    let live: Vec<&Stands> = used
        .iter()
        .map(|(_, of, _)| *of)
        .filter(|of| of.has_yeast && !of.stabilised)
        .collect();
    // Yeast of which nobody knows the end has none.
    let goes_on = live.iter().any(|of| {
        of.tolerance_abv_percent
            .is_none_or(|end| blended.abv_percent < end + TOLERANCE_SPREAD_ABV)
    });
    let some = used.iter().any(|(_, of, _)| of.stabilised);
    let all = used.iter().all(|(_, of, _)| of.stabilised);
    let mut risks = Vec::new();
    if goes_on && sugar_g_per_l > LITTLE_SUGAR_G_PER_L {
        risks.push(Risk::MayRestart {
            sugar_g_per_l,
            abv_percent: blended.abv_percent,
        });
    }
    if some && !all {
        risks.push(Risk::NotStabilised);
    }
    risks.extend(
        used.iter()
            .filter(|(_, of, _)| of.on_fruit)
            .map(|(place, ..)| Risk::OnFruit(*place)),
    );
    let unknown = used
        .iter()
        .filter(|(_, of, _)| of.source.ta_g_per_l.is_none());
    risks.extend(unknown.map(|(place, ..)| Risk::AcidityNotKnown(*place)));
    risks
}
