//! Densities of water, sugar and alcohol solutions, and their inversions. kg/m³ (the same as g/L), °C, mass fractions.

use super::numeric::{between, newton, polynomial};
use super::units::SIXTY_FAHRENHEIT_C;

/// Density of water at 20 °C from the formula of [`water_density`], 998.203 kg/m³: the denominator of every SG 20/20.
pub const WATER_20: f64 = kell(20.0);
/// Density of pure ethanol at 20 °C, kg/m³ (OIML R 22, 1975).
pub const ETHANOL_20: f64 = 789.239;
/// Density of ethanol–water without ethanol at 20 °C, kg/m³: the first coefficient of OIML R 22, the denominator of [`relative_density_of_abv`].
pub const WATER_20_OF_ETHANOL_FORMULA: f64 = 9.982012300e2;
/// Density of air, kg/m³, used for specific gravities weighed in air.
pub const AIR: f64 = 1.2;
/// Largest sucrose mass fraction for which the density relation is published.
pub const LARGEST_FRACTION: f64 = 0.85;

/// Largest and smallest g/L that [`fraction_of_concentration`] tells apart: w = 1 and w = −0.02.
const MOST_CONCENTRATED: f64 = 1551.9;
const LEAST_CONCENTRATED: f64 = -19.8;

/// Kell (1975) on ITS-90.
const fn kell(t: f64) -> f64 {
    let top = 999.83952
        + t * (16.952577
            + t * (-7.9905127e-3 + t * (-46.241757e-6 + t * (105.84601e-9 + t * -281.03006e-12))));
    top / (1.0 + 16.887236e-3 * t)
}

/// Density of air-free water at 101.325 kPa, kg/m³, 0 to 100 °C.
///
/// Kell's formula on ITS-90, the one ICUMSA SPS-4 is built on; within 0.005 kg/m³ of IAPWS-95 up to 40 °C.
/// Temperatures outside the range are taken at its nearest end (NaN: at 0 °C).
pub fn water_density(t_c: f64) -> f64 {
    kell(between(t_c, 0.0, 100.0))
}

/// ICUMSA SPS-4 (1994/1998), the terms at 20 °C: powers of w from the constant upwards.
const SUCROSE_20: [f64; 7] = [
    WATER_20, 385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890,
];
/// ICUMSA SPS-4, the factors of x¹ to x⁴ with x = (t − 20)/100: powers of w from w¹ upwards.
const SUCROSE_T: [[f64; 5]; 4] = [
    [-46.2720, -7.1720, 1.1597, 5.1126, 17.5254],
    [59.7712, 7.2491, 12.3630, -35.4791, 0.0],
    [-47.2207, -21.6977, 27.6301, 0.0, 0.0],
    [18.3184, 12.3081, 0.0, 0.0, 0.0],
];

/// Density and its slope over w of sucrose solutions at 20 °C, for any w.
#[inline]
pub(crate) fn sucrose_20_with_slope(w: f64) -> (f64, f64) {
    polynomial(&SUCROSE_20, w)
}

/// Density and its slope over w of sucrose solutions at one temperature, for any w.
#[inline]
pub(crate) fn sucrose_with_slope(w: f64, t_c: f64) -> (f64, f64) {
    let x = (t_c - 20.0) / 100.0;
    let (mut value, mut slope) = polynomial(&SUCROSE_20, w);
    let mut power = x;
    for row in &SUCROSE_T {
        let (inner, inner_slope) = polynomial(row, w);
        value += power * w * inner;
        slope += power * (inner + w * inner_slope);
        power *= x;
    }
    (value - WATER_20 + kell(t_c), slope)
}

/// Density of a sucrose solution, kg/m³: mass fraction `w` 0 to 0.85, 0 to 80 °C. ICUMSA SPS-4 (1994/1998).
///
/// From 0.85 to 1 the formula is continued (it runs smoothly to 1552 kg/m³, about the density of solid sugar).
/// Inputs outside are taken at the nearest end (NaN: at the low end).
pub fn sucrose_density(w: f64, t_c: f64) -> f64 {
    sucrose_with_slope(between(w, 0.0, 1.0), between(t_c, 0.0, 80.0)).0
}

/// [`sucrose_density`] at 20 °C.
pub fn sucrose_density_20(w: f64) -> f64 {
    sucrose_20_with_slope(between(w, 0.0, 1.0)).0
}

/// SG 20/20 (in vacuum) of a sucrose solution of mass fraction `w`; range and limits of [`sucrose_density`].
pub fn sg_of_fraction(w: f64) -> f64 {
    sucrose_density_20(w) / WATER_20
}

/// Mass fraction of sucrose that gives an SG 20/20, 0 to 0.85; `None` outside (SG below 1 or above 1.449) and for NaN.
///
/// Inversion of [`sg_of_fraction`] to rounding. An SG within 1e-9 outside either end counts as that end.
pub fn fraction_of_sg(sg: f64) -> Option<f64> {
    let w = apparent_fraction_of_sg(sg)?;
    (-3e-9..=LARGEST_FRACTION + 3e-9)
        .contains(&w)
        .then(|| between(w, 0.0, LARGEST_FRACTION))
}

/// Like [`fraction_of_sg`], continued below SG 1 (to w = −0.15, SG 0.945) and above w = 0.85 (to 1): the apparent extract of a fermented liquid.
///
/// The continuation is the formula itself; below 1 it has no meaning but that of a scale. `None` outside.
pub fn apparent_fraction_of_sg(sg: f64) -> Option<f64> {
    if !(0.94..=1.56).contains(&sg) {
        return None;
    }
    let density = sg * WATER_20;
    let excess = sg - 1.0;
    let start = 2.5915 * excess / (1.0 + excess * (0.9 - 0.17 * excess));
    let w = newton(
        |w| {
            let (value, slope) = sucrose_20_with_slope(w);
            (value - density, slope)
        },
        start,
        -0.3,
        1.1,
    );
    (-0.15..=1.0).contains(&w).then_some(w)
}

/// A close first guess of the fraction `w` with w·ρ(w) = `g_per_l` (within 1 % over the whole range).
#[inline]
pub(crate) fn guess_fraction(g_per_l: f64) -> f64 {
    g_per_l / (WATER_20 + g_per_l * (0.383 - 1.5e-5 * g_per_l))
}

/// Mass fraction of the sucrose solution that holds `g_per_l` grams of sucrose in a litre at 20 °C: w with w·ρ(w, 20) = c.
///
/// Published to w = 0.85 (1229 g/L); the formula is continued to w = 1 and, for small negative numbers left by rounding, down
/// to w = −0.02. Concentrations outside −19.8 to 1551.9 g/L are taken at the nearest end (NaN: at the low end).
pub fn fraction_of_concentration(g_per_l: f64) -> f64 {
    let c = between(g_per_l, LEAST_CONCENTRATED, MOST_CONCENTRATED);
    newton(
        |w| {
            let (density, slope) = sucrose_20_with_slope(w);
            (w * density - c, density + w * slope)
        },
        guess_fraction(c),
        -0.1,
        1.1,
    )
}

/// Density of the sucrose solution holding `g_per_l` of extract over that of water, both at 20 °C: d_extract. Exactly 1 at 0.
///
/// Range and limits of [`fraction_of_concentration`].
pub fn relative_density_of_extract(g_per_l: f64) -> f64 {
    sucrose_20_with_slope(fraction_of_concentration(g_per_l)).0 / WATER_20
}

/// Density of honey or of invert-sugar solutions at 20 °C, kg/m³, from the mass fraction of dissolved solids, 0 to 1.
///
/// ρ_sucrose(w) − 20·w^2.75: a fit (ours) to the CRC Handbook's glucose and fructose solutions (within 0.1 to 48 %) and to
/// White's honey table (within 3 for 13 to 21 % water). Inputs outside are taken at the nearest end (NaN: at 0).
pub fn honey_density(solids_fraction: f64) -> f64 {
    let w = between(solids_fraction, 0.0, 1.0);
    let root = w.sqrt();
    sucrose_20_with_slope(w).0 - 20.0 * w * w * root * root.sqrt()
}

/// SG 60 °F/60 °F (in vacuum) of a sucrose solution of mass fraction `w`; range and limits of [`sucrose_density`].
pub fn sg_60f_of_fraction(w: f64) -> f64 {
    sucrose_density(w, SIXTY_FAHRENHEIT_C) / water_density(SIXTY_FAHRENHEIT_C)
}

/// The specific gravity weighed in air of a liquid with this density (kg/m³), against water of the other density.
#[inline]
fn in_air(density: f64, water: f64) -> f64 {
    (density - AIR) / (water - AIR)
}

/// Apparent SG 20/20 (weighed in air of 1.2 kg/m³) of a sucrose solution of mass fraction `w`; range and limits of [`sucrose_density`].
pub fn sg_air_of_fraction(w: f64) -> f64 {
    in_air(sucrose_density_20(w), WATER_20)
}

/// Degrees Plato of an apparent SG 20/20 by the ASBC polynomial, good to SG 1.083 (20 °P), within 0.05 to 1.16.
///
/// For comparison with older tables only; the engine inverts the density relation instead. SG outside 0.95 to 1.2 is taken
/// at the nearest end (NaN: at 0.95).
pub fn plato_asbc(sg_air: f64) -> f64 {
    let s = between(sg_air, 0.95, 1.2);
    -616.868 + s * (1111.14 + s * (-630.272 + s * 135.997))
}

/// Degrees Brix of an apparent SG 20/20 by the NBS polynomial, good for SG 1.000 to 1.179.
///
/// For comparison with older tables only. SG outside 0.95 to 1.2 is taken at the nearest end (NaN: at 0.95).
pub fn brix_nbs(sg_air: f64) -> f64 {
    let s = between(sg_air, 0.95, 1.2);
    -669.5622 + s * (1262.7794 + s * (-775.6821 + s * 182.4601))
}

/// OIML R 22 (1975): A, powers of p from the constant upwards.
const ETHANOL_A: [f64; 12] = [
    WATER_20_OF_ETHANOL_FORMULA,
    -1.929769495e2,
    3.891238958e2,
    -1.668103923e3,
    1.352215441e4,
    -8.829278388e4,
    3.062874042e5,
    -6.138381234e5,
    7.470172998e5,
    -5.478461354e5,
    2.234460334e5,
    -3.903285426e4,
];
/// OIML R 22: B, powers of d = t − 20 from d¹ upwards.
const ETHANOL_B: [f64; 6] = [
    -2.0618513e-1,
    -5.2682542e-3,
    3.6130013e-5,
    -3.8957702e-7,
    7.1693540e-9,
    -9.9739231e-11,
];
/// OIML R 22: C₁ to C₅, powers of p from p¹ upwards.
const ETHANOL_C1: [f64; 11] = [
    1.693443461530087e-1,
    -1.046914743455169e1,
    7.196353469546523e1,
    -7.047478054272792e2,
    3.924090430035045e3,
    -1.210164659068747e4,
    2.248646550400788e4,
    -2.605562982188164e4,
    1.852373922069467e4,
    -7.420201433430137e3,
    1.285617841998974e3,
];
const ETHANOL_C2: [f64; 10] = [
    -1.19301300505701e-2,
    2.517399633803461e-1,
    -2.170575700536993,
    1.353034988843029e1,
    -5.029988758547014e1,
    1.09635566657757e2,
    -1.422753946421155e2,
    1.08043594285623e2,
    -4.414153236817392e1,
    7.442971530188783,
];
const ETHANOL_C3: [f64; 9] = [
    -6.802995733503803e-4,
    1.876837790289664e-2,
    -2.002561813734156e-1,
    1.02299296671922,
    -2.895696483903638,
    4.810060584300675,
    -4.672147440794683,
    2.458043105903461,
    -5.411227621436812e-1,
];
const ETHANOL_C4: [f64; 4] = [
    4.075376675622027e-6,
    -8.76305857347111e-6,
    6.515031360099368e-6,
    -1.51578483698721e-6,
];
const ETHANOL_C5: [f64; 2] = [-2.788074354782409e-8, 1.345612883493354e-8];

/// Density and its slope over p of ethanol–water at 20 °C, for any p.
#[inline]
pub(crate) fn ethanol_20_with_slope(p: f64) -> (f64, f64) {
    polynomial(&ETHANOL_A, p)
}

/// Density and its slope over p of ethanol–water at one temperature, for any p.
fn ethanol_with_slope(p: f64, t_c: f64) -> (f64, f64) {
    let d = t_c - 20.0;
    let (mut value, mut slope) = polynomial(&ETHANOL_A, p);
    value += d * polynomial(&ETHANOL_B, d).0;
    let mut power = d;
    for (inner, inner_slope) in [
        polynomial(&ETHANOL_C1, p),
        polynomial(&ETHANOL_C2, p),
        polynomial(&ETHANOL_C3, p),
        polynomial(&ETHANOL_C4, p),
        polynomial(&ETHANOL_C5, p),
    ] {
        value += power * p * inner;
        slope += power * (inner + p * inner_slope);
        power *= d;
    }
    (value, slope)
}

/// Density of an ethanol–water mix, kg/m³: mass fraction of ethanol `p` 0 to 1, −20 to 40 °C. OIML R 22 (1975).
///
/// Inputs outside are taken at the nearest end (NaN: at the low end).
pub fn ethanol_density(p: f64, t_c: f64) -> f64 {
    ethanol_with_slope(between(p, 0.0, 1.0), between(t_c, -20.0, 40.0)).0
}

/// [`ethanol_density`] at 20 °C.
pub fn ethanol_density_20(p: f64) -> f64 {
    ethanol_20_with_slope(between(p, 0.0, 1.0)).0
}

/// A close first guess of the fraction `p` with p·ρ(p) = `g_per_l` of ethanol at 20 °C (within 2 %).
#[inline]
pub(crate) fn guess_ethanol_fraction(g_per_l: f64) -> f64 {
    g_per_l / (WATER_20 - g_per_l * (0.13 + 1.7e-4 * g_per_l))
}

/// Mass fraction of ethanol in an ethanol–water mix of `abv` percent by volume at 20 °C, 0 to 100. OIML R 22, inverted to rounding.
///
/// Inputs outside are taken at the nearest end (NaN: at 0).
pub fn mass_fraction_of_abv(abv: f64) -> f64 {
    let c = between(abv, 0.0, 100.0) * (ETHANOL_20 / 100.0);
    newton(
        |p| {
            let (density, slope) = ethanol_20_with_slope(p);
            (p * density - c, density + p * slope)
        },
        guess_ethanol_fraction(c),
        0.0,
        1.0,
    )
}

/// Percent by volume at 20 °C of an ethanol–water mix with mass fraction `p` of ethanol, 0 to 1. OIML R 22.
///
/// Inputs outside are taken at the nearest end (NaN: at 0); never above 100.
pub fn abv_of_mass_fraction(p: f64) -> f64 {
    let p = between(p, 0.0, 1.0);
    between(100.0 * p * ethanol_density_20(p) / ETHANOL_20, 0.0, 100.0)
}

/// Density of an ethanol–water mix of `abv` percent by volume over that of water, both at 20 °C and by OIML R 22: d_alcohol. Exactly 1 at 0.
///
/// Inputs outside 0 to 100 are taken at the nearest end (NaN: at 0).
pub fn relative_density_of_abv(abv: f64) -> f64 {
    ethanol_20_with_slope(mass_fraction_of_abv(abv)).0 / WATER_20_OF_ETHANOL_FORMULA
}

/// Mass fraction of ethanol in a mix of `abv_60f` percent by volume at 60 °F (the US convention), 0 to 100. OIML R 22.
///
/// Inputs outside are taken at the nearest end (NaN: at 0).
pub fn mass_fraction_of_abv_60f(abv_60f: f64) -> f64 {
    let c = between(abv_60f, 0.0, 100.0) / 100.0 * ethanol_density(1.0, SIXTY_FAHRENHEIT_C);
    newton(
        |p| {
            let (density, slope) = ethanol_with_slope(p, SIXTY_FAHRENHEIT_C);
            (p * density - c, density + p * slope)
        },
        guess_ethanol_fraction(c),
        0.0,
        1.0,
    )
}

/// Apparent SG 60 °F/60 °F (weighed in air of 1.2 kg/m³) of an ethanol–water mix with mass fraction `p` of ethanol, 0 to 1. OIML R 22.
///
/// Inputs outside are taken at the nearest end (NaN: at 0).
pub fn sg_air_60f_of_ethanol(p: f64) -> f64 {
    in_air(
        ethanol_density(p, SIXTY_FAHRENHEIT_C),
        ethanol_density(0.0, SIXTY_FAHRENHEIT_C),
    )
}
