//! The mass balance of a must and of what fermentation makes of it. Kilograms and litres, everything at 20 °C.
//!
//! Masses add, volumes do not: a liquid is kept as masses and its volume follows from its density.

use std::ops::{Add, Mul};

use super::density::{
    ETHANOL_20, WATER_20, WATER_20_OF_ETHANOL_FORMULA, ethanol_20_with_slope, fraction_of_sg,
    guess_ethanol_fraction, guess_fraction, mass_fraction_of_abv, relative_density_of_abv,
    relative_density_of_extract, sucrose_20_with_slope, sucrose_density_20,
};
use super::density::{fraction_of_concentration, sg_of_fraction};
use super::numeric::{between, find_root};

/// kg of ethanol made from 1 kg of sugar: 16.83 g/L of sugar for 1 % by volume (the practical yield of the OIV and EU must tables).
pub const ETHANOL_PER_SUGAR: f64 = 0.46895;
/// kg of carbon dioxide given off for 1 kg of ethanol (Balling).
pub const CO2_PER_ETHANOL: f64 = 0.9565;
/// kg of yeast, lost to the lees, for 1 kg of ethanol (Balling).
pub const BIOMASS_PER_ETHANOL: f64 = 0.11;
/// kg of extract that disappear for 1 kg of ethanol (Balling): the sum of the three.
pub const EXTRACT_PER_ETHANOL: f64 = 1.0 + CO2_PER_ETHANOL + BIOMASS_PER_ETHANOL;
/// kg of by-products (glycerol, acids) that stay dissolved, for 1 kg of sugar: what is left of it, 0.0309.
pub const BY_PRODUCTS_PER_SUGAR: f64 = 1.0 - EXTRACT_PER_ETHANOL * ETHANOL_PER_SUGAR;
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

/// Why a fermentation ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StoppedBy {
    /// No fermentable sugar is left.
    Sugar,
    /// Sugar is left: the yeast's tolerance (or the wanted gravity or strength) was reached first.
    Tolerance,
}

/// A fermented liquid and what went in and out of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fermented {
    /// The liquid afterwards.
    pub liquid: Liquid,
    /// Sugar used.
    pub consumed_kg: f64,
    /// Carbon dioxide that left.
    pub co2_kg: f64,
    /// Yeast grown, lost to the lees.
    pub biomass_kg: f64,
    /// Why it ended.
    pub stopped_by: StoppedBy,
}

fn tame(kg: f64) -> f64 {
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

    fn cleaned(&self) -> Self {
        Self {
            water_kg: between(self.water_kg, 0.0, MOST_KG),
            sugar_kg: between(self.sugar_kg, 0.0, MOST_KG),
            extract_kg: between(self.extract_kg, 0.0, MOST_KG),
            ethanol_kg: between(self.ethanol_kg, 0.0, MOST_KG),
        }
    }
}

/// The density (kg/m³) of a liquid with these mass fractions of ethanol and of solids, each 0 to 1.
fn density_of_fractions(ethanol: f64, solids: f64) -> f64 {
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
struct Target {
    /// g/L of ethanol.
    ethanol: (f64, f64),
    /// g/L of solids.
    solids: (f64, f64),
    /// kg/m³.
    density: (f64, f64),
}

/// The unknown at which ethanol and solids together make the wanted density.
///
/// Newton's method on three equations at once: p·ρ_alcohol(p) = ethanol, w·ρ_extract(w) = solids, and the additivity of
/// relative densities; so no inversion is nested in another. `None` when it leaves the range or does not settle.
#[inline]
fn balance_point(
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
        // The error after a step is about the square of the step.
        if step < 1e-8 {
            let inside =
                (low..=high).contains(&x) && (0.0..=1.0).contains(&p) && (-1e-9..=1.0).contains(&w);
            return inside.then_some(x);
        }
    }
    None
}

/// Carbon dioxide (kg) that leaves when this much sugar (kg, 0 to [`MOST_KG`]) is used.
pub fn co2_of_sugar(consumed_kg: f64) -> f64 {
    between(consumed_kg, 0.0, MOST_KG) * ETHANOL_PER_SUGAR * CO2_PER_ETHANOL
}

/// Yeast (kg) grown and lost to the lees when this much sugar (kg, 0 to [`MOST_KG`]) is used.
pub fn biomass_of_sugar(consumed_kg: f64) -> f64 {
    between(consumed_kg, 0.0, MOST_KG) * ETHANOL_PER_SUGAR * BIOMASS_PER_ETHANOL
}

/// The liquid after yeast has used `consumed_kg` of its sugar; less than nothing counts as nothing, more than there is as all.
///
/// 1 kg of sugar gives 0.469 kg of ethanol, 0.449 kg of carbon dioxide, 0.052 kg of yeast and 0.031 kg of dissolved by-products.
pub fn ferment(must: &Liquid, consumed_kg: f64) -> Liquid {
    let must = must.cleaned();
    let x = between(consumed_kg, 0.0, must.sugar_kg);
    Liquid {
        water_kg: must.water_kg,
        sugar_kg: must.sugar_kg - x,
        extract_kg: tame(must.extract_kg + x * BY_PRODUCTS_PER_SUGAR),
        ethanol_kg: tame(must.ethanol_kg + x * ETHANOL_PER_SUGAR),
    }
}

/// [`ferment`] with what left the liquid.
fn fermented(must: &Liquid, consumed_kg: f64) -> Fermented {
    let sugar = between(must.sugar_kg, 0.0, MOST_KG);
    let consumed_kg = between(consumed_kg, 0.0, sugar);
    Fermented {
        liquid: ferment(must, consumed_kg),
        consumed_kg,
        co2_kg: co2_of_sugar(consumed_kg),
        biomass_kg: biomass_of_sugar(consumed_kg),
        stopped_by: if consumed_kg >= sugar {
            StoppedBy::Sugar
        } else {
            StoppedBy::Tolerance
        },
    }
}

/// Ferments until the sugar is used up or the strength reaches `tolerance_abv` (% by volume).
///
/// The must may hold ethanol already; at or above the tolerance nothing ferments. A tolerance below 0 or NaN counts as 0.
pub fn ferment_to_tolerance(must: &Liquid, tolerance_abv: f64) -> Fermented {
    let tolerance = between(tolerance_abv, 0.0, 100.0);
    let all = fermented(must, MOST_KG);
    if all.liquid.state().abv_percent <= tolerance {
        return all;
    }
    fermented(must, sugar_for_abv(must, tolerance).unwrap_or(0.0))
}

/// Ferments until the strength is `abv` (% by volume): `None` where the must is stronger already, holds too little sugar, or `abv` is not a number.
pub fn ferment_to_abv(must: &Liquid, abv: f64) -> Option<Fermented> {
    const CLOSE: f64 = 1e-9;
    let all = fermented(must, MOST_KG);
    let end = all.liquid.state().abv_percent;
    if (abv - end).abs() <= CLOSE {
        return Some(all);
    }
    let begin = must.state().abv_percent;
    if (abv - begin).abs() <= CLOSE {
        return Some(fermented(must, 0.0));
    }
    if !(begin..=end).contains(&abv) {
        return None;
    }
    sugar_for_abv(must, abv).map(|x| fermented(must, x))
}

/// kg of sugar used when the strength is `abv`, which lies between what the must has and what all its sugar gives.
fn sugar_for_abv(must: &Liquid, abv: f64) -> Option<f64> {
    let parts = must.cleaned();
    let mass = parts.mass_kg();
    if mass <= 0.0 {
        return None;
    }
    let (ethanol, sugar) = (parts.ethanol_kg / mass, parts.sugar_kg / mass);
    let solids = parts.solids_kg() / mass;
    // Per kg of must, the strength fixed: volume, mass and solids are straight lines in the sugar used.
    let g_per_l = abv / 100.0 * ETHANOL_20;
    let p = mass_fraction_of_abv(abv);
    let alcohol = WATER_20 * (ethanol_20_with_slope(p).0 / WATER_20_OF_ETHANOL_FORMULA - 1.0);
    let lost = (CO2_PER_ETHANOL + BIOMASS_PER_ETHANOL) * ETHANOL_PER_SUGAR;
    let used = 1.0 - BY_PRODUCTS_PER_SUGAR;
    // Given w, the density and so the sugar used follow directly; the solids it leaves must then make that w.
    let at = |w: f64| {
        let (extract, slope) = sucrose_20_with_slope(w);
        let density = alcohol + extract;
        let below = density * ETHANOL_PER_SUGAR + g_per_l * lost;
        let x = (g_per_l - density * ethanol) / below;
        let x_slope = -slope * (ethanol + x * ETHANOL_PER_SUGAR) / below;
        let made = ethanol + x * ETHANOL_PER_SUGAR;
        let error = w * extract * made - g_per_l * (solids - used * x);
        let error_slope = (extract + w * slope) * made
            + (w * extract * ETHANOL_PER_SUGAR + g_per_l * used) * x_slope;
        (x, error, error_slope)
    };
    let guess = g_per_l / WATER_20 / ETHANOL_PER_SUGAR;
    let mut w = between(solids - used * guess, 0.0, 1.0);
    for _ in 0..10 {
        let (_, error, slope) = at(w);
        let step = error / slope;
        w -= step;
        if step.abs() < 1e-8 {
            let x = at(w).0;
            if (-1e-9..=1.0).contains(&w) && (0.0..=sugar).contains(&x) {
                return Some(x * mass);
            }
            break;
        }
    }
    find_root(
        |x| ferment(&parts, x).state().abv_percent - abv,
        0.0,
        parts.sugar_kg,
        mass * 1e-14,
    )
}

/// Ferments until the SG 20/20 is `sg`: `None` where the must is lighter already or its sugar ends above it, and for NaN.
pub fn ferment_to_gravity(must: &Liquid, sg: f64) -> Option<Fermented> {
    const CLOSE: f64 = 1e-10;
    let parts = must.cleaned();
    let mass = parts.mass_kg();
    let begin = parts.state().sg;
    if (sg - begin).abs() <= CLOSE {
        return Some(fermented(must, 0.0));
    }
    let all = fermented(must, MOST_KG);
    let end = all.liquid.state().sg;
    if (sg - end).abs() <= CLOSE {
        return Some(all);
    }
    if !(end..=begin).contains(&sg) || mass <= 0.0 {
        return None;
    }
    let (ethanol, sugar) = (parts.ethanol_kg / mass, parts.sugar_kg / mass);
    let solids = parts.solids_kg() / mass;
    let density = sg * WATER_20;
    let lost = (CO2_PER_ETHANOL + BIOMASS_PER_ETHANOL) * ETHANOL_PER_SUGAR;
    let used = 1.0 - BY_PRODUCTS_PER_SUGAR;
    let start = sugar * (begin - sg) / (begin - end);
    let quick = balance_point(start, 1.0, 0.0, sugar, |x| {
        let left = 1.0 - lost * x;
        let (made, rest) = (ethanol + ETHANOL_PER_SUGAR * x, solids - used * x);
        Target {
            ethanol: (
                density * made / left,
                density * (ETHANOL_PER_SUGAR + lost * made / left) / left,
            ),
            solids: (
                density * rest / left,
                density * (lost * rest / left - used) / left,
            ),
            density: (density, 0.0),
        }
    });
    let consumed = match quick {
        Some(x) => x * mass,
        None => find_root(
            |x| ferment(&parts, x).state().sg - sg,
            0.0,
            parts.sugar_kg,
            mass * 1e-14,
        )?,
    };
    Some(fermented(must, consumed))
}

/// kg of sweetener that raise a wine to `target_sg` (SG 20/20); `sweetener_per_kg` holds its dissolved parts per kg as weighed.
///
/// Nothing ferments. 0 when the wine is there already (within 1e-10); `None` when it is sweeter already, when the sweetener cannot
/// lift it that far, when either is empty, and for NaN.
pub fn sweeten_to(wine: &Liquid, sweetener_per_kg: &Liquid, target_sg: f64) -> Option<f64> {
    let (wine, sweet) = (wine.cleaned(), sweetener_per_kg.cleaned());
    let (mass, dissolved) = (wine.mass_kg(), sweet.mass_kg());
    if mass <= 0.0 || dissolved <= 0.0 {
        return None;
    }
    let (begin, end) = (wine.state().sg, sweet.state().sg);
    if (target_sg - begin).abs() <= 1e-10 {
        return Some(0.0);
    }
    if !(begin < target_sg && target_sg < end) {
        return None;
    }
    let density = target_sg * WATER_20;
    let (e0, s0) = (wine.ethanol_kg / mass, wine.solids_kg() / mass);
    let (e1, s1) = (sweet.ethanol_kg / dissolved, sweet.solids_kg() / dissolved);
    // The unknown is the sweetener's share of the mixed liquid; the start lets volumes add.
    let start = (1.0 / begin - 1.0 / target_sg) / (1.0 / begin - 1.0 / end);
    let quick = balance_point(start, 1.0, 0.0, 1.0, |share| Target {
        ethanol: (density * (e0 + (e1 - e0) * share), density * (e1 - e0)),
        solids: (density * (s0 + (s1 - s0) * share), density * (s1 - s0)),
        density: (density, 0.0),
    });
    let share = match quick {
        Some(share) => share,
        None => find_root(
            |share| density_of_fractions(e0 + (e1 - e0) * share, s0 + (s1 - s0) * share) - density,
            0.0,
            1.0,
            1e-14,
        )?,
    };
    let kg = mass * share / (1.0 - share) / dissolved;
    (0.0..=MOST_KG).contains(&kg).then_some(kg)
}

/// kg of water that fill an ethanol-free liquid up to `volume_l` litres; negative where it is more than that already.
///
/// `solids` may hold water of its own; ethanol in it is not looked at. Closed form: w from the g/L of solids, then all the
/// mass of that volume less what is there. A volume below 0 or NaN counts as 0, one above 1e9 L as that.
pub fn add_water_for_volume(solids: &Liquid, volume_l: f64) -> f64 {
    let parts = solids.cleaned();
    let volume = between(volume_l, 0.0, 1e9);
    let there = parts.water_kg + parts.solids_kg();
    if volume <= 0.0 {
        return -there;
    }
    let w = fraction_of_concentration(1000.0 * parts.solids_kg() / volume);
    volume * sg_of_fraction(w) * WATER_20 / 1000.0 - there
}
