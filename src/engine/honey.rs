//! Honey by the refractometer.

/// Water in honey, % of its mass, from its refractive index at 20 °C: Wedmore (1955) on the data of Chataway, as in Bogdanov, Book of Honey, chapter 4.
///
/// (−0.26810 − log₁₀(n − 1))/0.002243 for n from 1.474 to 1.510 (25 to 11 % of water); `None` outside and for NaN.
pub fn water_percent_of_refraction(index: f64) -> Option<f64> {
    (1.474..=1.510)
        .contains(&index)
        .then(|| (-0.26810 - (index - 1.0).log10()) / 0.002243)
}
