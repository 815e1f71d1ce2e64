//! A hydrometer read away from the temperature it is marked for.

use super::density::{ethanol_density, mass_fraction_of_abv, sucrose_with_slope, water_density};
use super::numeric::newton;
use super::units::{Abv, Celsius, SpecificGravity};

/// Cubic expansion of the hydrometer's glass per K (the value used in OIML R 22).
pub const GLASS_EXPANSION: f64 = 25e-6;

/// The SG at the calibration temperature (SG t_c/t_c) of a liquid that reads `reading` at `at`.
///
/// Buoyancy of a glass hydrometer: the liquid's density then is reading·ρ_w(calibration)/(1 + 25e-6·(t − calibration)); the sugar
/// solution (ICUMSA SPS-4) with that density is found and cooled or warmed. With alcohol, the difference OIML R 22 makes
/// between that strength (`alcohol`, of a plain mix) and water is added at both temperatures.
/// Reading 0.75 to 1.5, both temperatures 0 to 80 °C (0 to 40 with alcohol); `None` outside, and
/// where the sugar would have to be below −15 % or above 95 % (a reading below water is a mark on the scale, not a sugar).
pub fn correct_reading(
    reading: SpecificGravity,
    at: Celsius,
    calibration: Celsius,
    alcohol: Abv,
) -> Option<SpecificGravity> {
    let (reading_sg, abv_percent) = (reading.get(), alcohol.get());
    let (t_c, calibration_c) = (at.get(), calibration.get());
    let warmest = if abv_percent > 0.0 { 40.0 } else { 80.0 };
    if reading_sg > 1.5
        || !(0.0..=warmest).contains(&t_c)
        || !(0.0..=warmest).contains(&calibration_c)
    {
        return None;
    }
    let p = mass_fraction_of_abv(abv_percent);
    let by_alcohol = |t: f64| {
        if p > 0.0 {
            ethanol_density(p, t) - ethanol_density(0.0, t)
        } else {
            0.0
        }
    };
    let water = water_density(calibration_c);
    let density = reading_sg * water / (1.0 + GLASS_EXPANSION * (t_c - calibration_c));
    let sugar_solution = density - by_alcohol(t_c);
    let w = newton(
        |w| {
            let (value, slope) = sucrose_with_slope(w, t_c);
            (value - sugar_solution, slope)
        },
        (sugar_solution - water) / 480.0,
        -0.3,
        1.1,
    );
    if !(-0.15..=0.95).contains(&w) {
        return None;
    }
    SpecificGravity::new(
        (sucrose_with_slope(w, calibration_c).0 + by_alcohol(calibration_c)) / water,
    )
}
