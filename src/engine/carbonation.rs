//! Carbon dioxide in a liquid: what dissolves, what is left of a fermentation, what pressure it stands under.

use super::numeric::{between, find_root};

/// g/L of one volume of carbon dioxide: the gas that fills a litre at 0 °C and 101.325 kPa (real gas).
pub const GRAMS_PER_VOLUME: f64 = 1.9768;
/// Pressure of the air at sea level, kPa.
pub const AIR_KPA: f64 = 101.325;
/// The temperatures for which the relations are checked, °C.
pub const COLDEST_C: f64 = 0.0;
/// The warmest of them.
pub const WARMEST_C: f64 = 40.0;
/// The strongest drink for which alcohol's share is believable, % by volume.
pub const MOST_ABV: f64 = 30.0;
/// The sweetest drink for which sugar's share is believable, g/L.
pub const MOST_SUGAR_G_PER_L: f64 = 400.0;

/// Partial pressures told apart, kPa.
const MOST_KPA: f64 = 2_000.0;
/// kPa in one bar.
pub const BAR_KPA: f64 = 100.0;

fn celsius(t_c: f64) -> f64 {
    between(t_c, COLDEST_C, WARMEST_C)
}

/// Vapour pressure of water, kPa, 0 to 40 °C: Buck 1996 (from memory; within 0.04 % of IAPWS-95 from 1 to 40 °C).
///
/// Temperatures outside are taken at the nearest end (NaN: at 0).
pub fn water_vapour_kpa(t_c: f64) -> f64 {
    let t = celsius(t_c);
    0.61121 * ((18.678 - t / 234.5) * t / (257.14 + t)).exp()
}

/// Part of what water dissolves that a drink of that strength (% by volume, 0 to 30) and sweetness (g/L, 0 to 400) does.
///
/// (1 − A/86)(1 − 0.00144 S), from the formula for sparkling wine in EU law (0.86 − 0.01 A at 20 °C); at other temperatures
/// the same shape is our assumption. Inputs outside are taken at the nearest end (NaN: at 0).
pub fn share_of_water(abv_percent: f64, sugar_g_per_l: f64) -> f64 {
    let abv = between(abv_percent, 0.0, MOST_ABV);
    let sugar = between(sugar_g_per_l, 0.0, MOST_SUGAR_G_PER_L);
    (1.0 - abv / 86.0) * (1.0 - 0.00144 * sugar)
}

/// Carbon dioxide that water dissolves under `co2_kpa` of it (partial pressure, 0 to 2000), g/L, 0 to 40 °C.
///
/// Henry's law of Carroll, Slupsky and Mather (1991) by mole fractions, the gas's fugacity by a second virial coefficient
/// fitted to a reference equation (ours). Within 3 % of an equilibrium calculation and of handbook coefficients. Inputs
/// outside are taken at the nearest end (NaN: at the low end).
pub fn dissolved_in_water_g_per_l(t_c: f64, co2_kpa: f64) -> f64 {
    let t = celsius(t_c);
    let kelvin = t + 273.15;
    let mpa = between(co2_kpa, 0.0, MOST_KPA) / 1000.0;
    let henry_mpa =
        (-6.8346 + 1.2817e4 / kelvin - 3.7668e6 / kelvin.powi(2) + 2.997e8 / kelvin.powi(3)).exp();
    // B in m³/mol, R in J/(mol K), p in Pa.
    let virial = (-150.2 + 1.21 * t - 0.0052 * t * t) * 1e-6;
    let fugacity = (virial * mpa * 1e6 / (8.314_462_618 * kelvin)).exp();
    let x = mpa * fugacity / henry_mpa;
    let moles_of_water = 55.508 * super::density::water_density(t) / 1000.0;
    x / (1.0 - x) * moles_of_water * 44.0095
}

/// Carbon dioxide that a drink dissolves, g/L: [`dissolved_in_water_g_per_l`] times [`share_of_water`].
pub fn dissolved_g_per_l(t_c: f64, co2_kpa: f64, abv_percent: f64, sugar_g_per_l: f64) -> f64 {
    dissolved_in_water_g_per_l(t_c, co2_kpa) * share_of_water(abv_percent, sugar_g_per_l)
}

/// Volumes of carbon dioxide left in a still drink that stands open to its own gas at sea level.
///
/// The gas's share of the air's pressure is what water vapour leaves. The warmest temperature since the fermentation ended
/// is the one that counts. Ranges of [`dissolved_g_per_l`].
pub fn residual_volumes(t_c: f64, abv_percent: f64, sugar_g_per_l: f64) -> f64 {
    let partial = AIR_KPA - water_vapour_kpa(t_c);
    dissolved_g_per_l(t_c, partial, abv_percent, sugar_g_per_l) / GRAMS_PER_VOLUME
}

/// Pressure above the air's, kPa, at which a drink holds `volumes` of carbon dioxide (0 to 10) when gas and drink have come to rest.
///
/// At sea level, water vapour counted. Negative where the drink holds more under air pressure alone. `None` where the
/// pressure would be above 2000 kPa, and for a number that is none. Other ranges as in [`dissolved_g_per_l`].
pub fn gauge_kpa(t_c: f64, volumes: f64, abv_percent: f64, sugar_g_per_l: f64) -> Option<f64> {
    if !(0.0..=10.0).contains(&volumes) || t_c.is_nan() {
        return None;
    }
    let wanted = volumes * GRAMS_PER_VOLUME / share_of_water(abv_percent, sugar_g_per_l);
    let partial = find_root(
        |kpa| dissolved_in_water_g_per_l(t_c, kpa) - wanted,
        0.0,
        MOST_KPA,
        1e-9,
    )?;
    Some(partial + water_vapour_kpa(t_c) - AIR_KPA)
}
