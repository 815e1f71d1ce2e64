//! A liquid of water, dissolved solids and ethanol: its masses, and the volume, gravity and strength that follow. All at 20 °C.
//!
//! Masses add, volumes do not: a liquid is kept as masses and its volume follows from its density.

use std::ops::{Add, Mul};

use super::density::{
    ETHANOL_20, WATER_20, WATER_20_OF_ETHANOL_FORMULA, ethanol_20_with_slope, fraction_of_sg,
    guess_ethanol_fraction, guess_fraction, relative_density_of_abv, relative_density_of_extract,
    sucrose_20_with_slope, sucrose_density_20,
};
use super::numeric::{CLOSE_STEP, between, find_root};

/// The largest mass told apart, kg; every mass beyond it counts as this.
pub const MOST_KG: f64 = 1e12;

/// The dissolved parts of a must or mead in kg. Insoluble matter is never part of it.
///
/// Every part is meant to be 0 to [`MOST_KG`]; functions take a part below (or NaN) as 0 and one above as the limit, except
/// that sums and products keep negative masses, so that differences can be reckoned with.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Liquid {
    /// Water.
    pub water_kg: f64,
    /// Sugar that yeast can use, counted as hexose.
    pub sugar_kg: f64,
    /// Whatever else is dissolved and does not ferment; by-products of fermentation end here.
    pub extract_kg: f64,
    /// Ethanol.
    pub ethanol_kg: f64,
}

/// What can be measured of a liquid at 20 °C. An empty liquid has no volume and the gravity of water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Litres.
    pub volume_l: f64,
    /// kg per litre.
    pub density_kg_per_l: f64,
    /// SG 20/20, in vacuum.
    pub sg: f64,
    /// Litres of ethanol in 100 L.
    pub abv_percent: f64,
    /// kg of ethanol in 100 kg.
    pub abw_percent: f64,
}

pub(super) fn tame(kg: f64) -> f64 {
    if kg.is_nan() {
        0.0
    } else {
        between(kg, -MOST_KG, MOST_KG)
    }
}

impl Add for Liquid {
    type Output = Self;

    /// The parts added; each sum is limited to ± [`MOST_KG`].
    fn add(self, other: Self) -> Self {
        Self {
            water_kg: tame(self.water_kg + other.water_kg),
            sugar_kg: tame(self.sugar_kg + other.sugar_kg),
            extract_kg: tame(self.extract_kg + other.extract_kg),
            ethanol_kg: tame(self.ethanol_kg + other.ethanol_kg),
        }
    }
}

impl Mul<f64> for Liquid {
    type Output = Self;

    /// The parts multiplied; each product is limited to ± [`MOST_KG`].
    fn mul(self, factor: f64) -> Self {
        Self {
            water_kg: tame(self.water_kg * factor),
            sugar_kg: tame(self.sugar_kg * factor),
            extract_kg: tame(self.extract_kg * factor),
            ethanol_kg: tame(self.ethanol_kg * factor),
        }
    }
}

impl std::iter::Sum for Liquid {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::default(), Add::add)
    }
}

impl Liquid {
    /// Nothing but water, kg.
    pub fn water(kg: f64) -> Self {
        Self {
            water_kg: tame(kg),
            ..Self::default()
        }
    }

    /// The must of this volume (L) and SG 20/20, all its solids counted as fermentable sugar.
    ///
    /// `None` for a volume that is negative or not finite and for an SG outside 1 to 1.449.
    pub fn must_of_gravity(volume_l: f64, og: f64) -> Option<Self> {
        let w = fraction_of_sg(og)?;
        if !(0.0..=MOST_KG).contains(&volume_l) {
            return None;
        }
        let mass = volume_l * sucrose_density_20(w) / 1000.0;
        Some(Self {
            water_kg: tame(mass * (1.0 - w)),
            sugar_kg: tame(mass * w),
            ..Self::default()
        })
    }

    /// The liquid of this volume (L), SG 20/20 and % by volume, all its solids counted as unfermentable extract.
    ///
    /// The inverse of [`Liquid::state`] (Tabarié: d_extract = d − d_alcohol + 1). `None` where no extract of 0 to 85 % gives that
    /// gravity, where nothing is left for water, and for a volume that is negative or not finite.
    pub fn of_reading(volume_l: f64, sg: f64, abv_percent: f64) -> Option<Self> {
        if !(0.0..=MOST_KG).contains(&volume_l) || !(0.0..=100.0).contains(&abv_percent) {
            return None;
        }
        let w = fraction_of_sg(sg - relative_density_of_abv(abv_percent) + 1.0)?;
        let extract = w * sucrose_density_20(w) / 1000.0;
        let ethanol = abv_percent / 100.0 * ETHANOL_20 / 1000.0;
        let water = sg * WATER_20 / 1000.0 - extract - ethanol;
        (water >= 0.0).then(|| Self {
            water_kg: tame(volume_l * water),
            sugar_kg: 0.0,
            extract_kg: tame(volume_l * extract),
            ethanol_kg: tame(volume_l * ethanol),
        })
    }

    /// The whole mass, kg.
    pub fn mass_kg(&self) -> f64 {
        tame(self.water_kg + self.sugar_kg + self.extract_kg + self.ethanol_kg)
    }

    /// Sugar and extract together, kg.
    pub fn solids_kg(&self) -> f64 {
        tame(self.sugar_kg + self.extract_kg)
    }

    /// Volume, density, gravity and strength at 20 °C.
    ///
    /// Without ethanol: the sucrose relation at the mass fraction of solids. With it: the volume V for which
    /// m = V·ρ_w·(d_alcohol + d_extract − 1), Tabarié's additivity (OIV-MA-AS2-03B) with OIML R 22 and ICUMSA SPS-4.
    /// Never fails; see [`Liquid`] for what is taken in place of an impossible mass.
    pub fn state(&self) -> State {
        let parts = self.cleaned();
        let mass = parts.mass_kg();
        if mass <= 0.0 {
            return State {
                volume_l: 0.0,
                density_kg_per_l: WATER_20 / 1000.0,
                sg: 1.0,
                abv_percent: 0.0,
                abw_percent: 0.0,
            };
        }
        let ethanol = parts.ethanol_kg / mass;
        let density = density_of_fractions(ethanol, parts.solids_kg() / mass);
        State {
            volume_l: mass / density * 1000.0,
            density_kg_per_l: density / 1000.0,
            sg: density / WATER_20,
            abv_percent: between(100.0 * ethanol * density / ETHANOL_20, 0.0, 100.0),
            abw_percent: between(100.0 * ethanol, 0.0, 100.0),
        }
    }

    pub(super) fn cleaned(&self) -> Self {
        Self {
            water_kg: between(self.water_kg, 0.0, MOST_KG),
            sugar_kg: between(self.sugar_kg, 0.0, MOST_KG),
            extract_kg: between(self.extract_kg, 0.0, MOST_KG),
            ethanol_kg: between(self.ethanol_kg, 0.0, MOST_KG),
        }
    }
}

/// The density (kg/m³) of a liquid with these mass fractions of ethanol and of solids, each 0 to 1.
pub(super) fn density_of_fractions(ethanol: f64, solids: f64) -> f64 {
    if ethanol <= 0.0 {
        return sucrose_density_20(solids);
    }
    let water = 1.0 - ethanol - solids;
    let start = 1000.0 / (water / 0.9982 + 0.62 * solids + 1.17 * ethanol);
    let quick = balance_point(start, start, 700.0, 1560.0, |density| Target {
        ethanol: (ethanol * density, ethanol),
        solids: (solids * density, solids),
        density: (density, 1.0),
    });
    // Only liquids with next to no water come here, far from any mead.
    quick
        .or_else(|| {
            find_root(
                |density| {
                    let abv = 100.0 * ethanol * density / ETHANOL_20;
                    let relative = relative_density_of_abv(abv)
                        + relative_density_of_extract(solids * density)
                        - 1.0;
                    relative * WATER_20 - density
                },
                700.0,
                1570.0,
                1e-9,
            )
        })
        .unwrap_or(WATER_20)
}

/// What a liquid is wanted to be, as functions of one unknown: each a value and its slope.
pub(super) struct Target {
    /// g/L of ethanol.
    pub(super) ethanol: (f64, f64),
    /// g/L of solids.
    pub(super) solids: (f64, f64),
    /// kg/m³.
    pub(super) density: (f64, f64),
}

/// The unknown at which ethanol and solids together make the wanted density.
///
/// Newton's method on three equations at once: p·ρ_alcohol(p) = ethanol, w·ρ_extract(w) = solids, and the additivity of
/// relative densities; so no inversion is nested in another. `None` when it leaves the range or does not settle.
#[inline]
pub(super) fn balance_point(
    start: f64,
    scale: f64,
    low: f64,
    high: f64,
    target: impl Fn(f64) -> Target,
) -> Option<f64> {
    const TO_WATER: f64 = WATER_20 / WATER_20_OF_ETHANOL_FORMULA;
    let mut x = start;
    let first = target(x);
    let mut p = between(guess_ethanol_fraction(first.ethanol.0), 0.0, 1.0);
    let mut w = between(guess_fraction(first.solids.0), 0.0, 1.0);
    for _ in 0..12 {
        let want = target(x);
        let (alcohol, alcohol_slope) = ethanol_20_with_slope(p);
        let (extract, extract_slope) = sucrose_20_with_slope(w);
        let (alcohol_step, extract_step) =
            (alcohol + p * alcohol_slope, extract + w * extract_slope);
        let p_error = p * alcohol - want.ethanol.0;
        let w_error = w * extract - want.solids.0;
        let error = TO_WATER * alcohol + extract - WATER_20 - want.density.0;
        let by_p = TO_WATER * alcohol_slope / alcohol_step;
        let by_w = extract_slope / extract_step;
        let dx = (error - by_p * p_error - by_w * w_error)
            / (want.density.1 - by_p * want.ethanol.1 - by_w * want.solids.1);
        let dp = (want.ethanol.1 * dx - p_error) / alcohol_step;
        let dw = (want.solids.1 * dx - w_error) / extract_step;
        x += dx;
        p += dp;
        w += dw;
        let step = (dx / scale).abs().max(dp.abs()).max(dw.abs());
        if step < CLOSE_STEP {
            let inside =
                (low..=high).contains(&x) && (0.0..=1.0).contains(&p) && (-1e-9..=1.0).contains(&w);
            return inside.then_some(x);
        }
    }
    None
}
