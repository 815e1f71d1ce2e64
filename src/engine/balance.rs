//! What fermentation, sweetening and water make of a liquid. Kilograms and litres, everything at 20 °C.

use super::density::{
    ETHANOL_20, WATER_20, WATER_20_OF_ETHANOL_FORMULA, ethanol_20_with_slope,
    fraction_of_concentration, mass_fraction_of_abv, sg_of_fraction, sucrose_20_with_slope,
};
pub use super::mixture::{Liquid, MOST_KG, State};
use super::mixture::{Target, balance_point, density_of_fractions, tame};
use super::numeric::{CLOSE_STEP, between, find_root};

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
/// kg that leave the liquid, as gas and as yeast, for 1 kg of sugar.
const LOST_PER_SUGAR: f64 = (CO2_PER_ETHANOL + BIOMASS_PER_ETHANOL) * ETHANOL_PER_SUGAR;
/// kg by which the solids shrink for 1 kg of sugar.
const SOLIDS_PER_SUGAR: f64 = 1.0 - BY_PRODUCTS_PER_SUGAR;

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
    if let Some(x) = sugar_for_abv(must, tolerance) {
        return fermented(must, x);
    }
    let all = fermented(must, MOST_KG);
    if all.liquid.state().abv_percent <= tolerance {
        return all;
    }
    let root = find_root(
        |x| ferment(must, x).state().abv_percent - tolerance,
        0.0,
        all.consumed_kg,
        all.consumed_kg * 1e-14,
    );
    // Without a root the must is at its tolerance already.
    fermented(must, root.unwrap_or(0.0))
}

/// Ferments until the strength is `abv` (% by volume): `None` where the must is stronger already, holds too little sugar, or `abv` is not a number.
pub fn ferment_to_abv(must: &Liquid, abv: f64) -> Option<Fermented> {
    const CLOSE: f64 = 1e-9;
    if !(0.0..=100.0).contains(&abv) {
        return None;
    }
    if let Some(x) = sugar_for_abv(must, abv)
        && 0.0 < x
        && x < must.sugar_kg
    {
        return Some(fermented(must, x));
    }
    let all = fermented(must, MOST_KG);
    if (abv - all.liquid.state().abv_percent).abs() <= CLOSE {
        return Some(all);
    }
    if (abv - must.state().abv_percent).abs() <= CLOSE {
        return Some(fermented(must, 0.0));
    }
    let root = find_root(
        |x| ferment(must, x).state().abv_percent - abv,
        0.0,
        all.consumed_kg,
        all.consumed_kg * 1e-14,
    );
    root.map(|x| fermented(must, x))
}

/// kg of sugar used when the strength is `abv` (0 to 100): below 0 where the must is stronger already, more than there is where it never
/// gets that strong. `None` where the short way does not settle.
fn sugar_for_abv(must: &Liquid, abv: f64) -> Option<f64> {
    // Below 0 the fraction only says by how much the sugar is too little.
    const LEAST: f64 = -0.4;
    let parts = must.cleaned();
    let mass = parts.mass_kg();
    if mass <= 0.0 {
        return None;
    }
    let (ethanol, solids) = (parts.ethanol_kg / mass, parts.solids_kg() / mass);
    // Per kg of must, the strength fixed: volume, mass and solids are straight lines in the sugar used.
    let g_per_l = abv / 100.0 * ETHANOL_20;
    let p = mass_fraction_of_abv(abv);
    let alcohol = WATER_20 * (ethanol_20_with_slope(p).0 / WATER_20_OF_ETHANOL_FORMULA - 1.0);
    // Given w, the density and so the sugar used follow directly; the solids it leaves must then make that w.
    let at = |w: f64| {
        let (extract, slope) = sucrose_20_with_slope(w);
        let density = alcohol + extract;
        let below = density * ETHANOL_PER_SUGAR + g_per_l * LOST_PER_SUGAR;
        let x = (g_per_l - density * ethanol) / below;
        let made = ethanol + x * ETHANOL_PER_SUGAR;
        let x_slope = -slope * made / below;
        let error = w * extract * made - g_per_l * (solids - SOLIDS_PER_SUGAR * x);
        let error_slope = (extract + w * slope) * made
            + (w * extract * ETHANOL_PER_SUGAR + g_per_l * SOLIDS_PER_SUGAR) * x_slope;
        (x, x_slope, error / error_slope)
    };
    let guess = g_per_l / WATER_20 / ETHANOL_PER_SUGAR;
    let mut w = between(solids - SOLIDS_PER_SUGAR * guess, LEAST, 1.0);
    for _ in 0..10 {
        let (x, x_slope, step) = at(w);
        w -= step;
        if step.abs() < CLOSE_STEP {
            return (LEAST..=1.0)
                .contains(&w)
                .then_some((x - x_slope * step) * mass);
        }
    }
    None
}

/// Ferments until the SG 20/20 is `sg`: `None` where the must is lighter already or its sugar ends above it, and for NaN.
pub fn ferment_to_gravity(must: &Liquid, sg: f64) -> Option<Fermented> {
    const CLOSE: f64 = 1e-10;
    let parts = must.cleaned();
    let mass = parts.mass_kg();
    if mass > 0.0 {
        let (ethanol, sugar) = (parts.ethanol_kg / mass, parts.sugar_kg / mass);
        let solids = parts.solids_kg() / mass;
        let density = sg * WATER_20;
        // Close enough to start from: the gravity of the must, and 0.43 of it lost per kg/kg of sugar.
        let begin = 1.0 + solids * (0.386 + 0.17 * solids) - 0.16 * ethanol;
        let start = between(2.3 * (begin - sg), 0.0, sugar);
        let quick = balance_point(start, 1.0, 0.0, sugar, |x| {
            let left = 1.0 - LOST_PER_SUGAR * x;
            let made = (ethanol + ETHANOL_PER_SUGAR * x) / left;
            let rest = (solids - SOLIDS_PER_SUGAR * x) / left;
            Target {
                ethanol: (
                    density * made,
                    density * (ETHANOL_PER_SUGAR + LOST_PER_SUGAR * made) / left,
                ),
                solids: (
                    density * rest,
                    density * (LOST_PER_SUGAR * rest - SOLIDS_PER_SUGAR) / left,
                ),
                density: (density, 0.0),
            }
        });
        if let Some(x) = quick {
            return Some(fermented(must, x * mass));
        }
    }
    if (sg - parts.state().sg).abs() <= CLOSE {
        return Some(fermented(must, 0.0));
    }
    let all = fermented(must, MOST_KG);
    if (sg - all.liquid.state().sg).abs() <= CLOSE {
        return Some(all);
    }
    let root = find_root(
        |x| ferment(must, x).state().sg - sg,
        0.0,
        all.consumed_kg,
        all.consumed_kg * 1e-14,
    );
    root.map(|x| fermented(must, x))
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
    let density = target_sg * WATER_20;
    let (e0, s0) = (wine.ethanol_kg / mass, wine.solids_kg() / mass);
    let (e1, s1) = (sweet.ethanol_kg / dissolved, sweet.solids_kg() / dissolved);
    if density_of_fractions(e1, s1) <= density {
        return None;
    }
    // The unknown is the sweetener's share of the mixed liquid.
    let quick = balance_point(0.05, 1.0, 0.0, 1.0, |share| Target {
        ethanol: (density * (e0 + (e1 - e0) * share), density * (e1 - e0)),
        solids: (density * (s0 + (s1 - s0) * share), density * (s1 - s0)),
        density: (density, 0.0),
    });
    let share = match quick {
        // A share this small is a mead that is there already.
        Some(share) if share > 1e-9 => share,
        _ if (target_sg - wine.state().sg).abs() <= 1e-10 => return Some(0.0),
        _ => find_root(
            |share| density_of_fractions(e0 + (e1 - e0) * share, s0 + (s1 - s0) * share) - density,
            0.0,
            1.0,
            1e-14,
        )?,
    };
    // Within rounding of the sweetener itself there is no honest number.
    let kg = mass * share / (1.0 - share) / dissolved;
    (share < 1.0 - 1e-9 && kg <= MOST_KG).then_some(kg)
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
