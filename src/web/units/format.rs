//! Quantities as text, in a member's units. Rounding happens here and nowhere before.

use super::Units;
use super::amount::TypedAmount;
use super::fault::What;
use super::number::{Comma, Part, parts};
use super::parse::{
    GravityUnit, dose_unit, gravity_unit, is_fahrenheit, parse_dose, parse_gravity, parse_mass,
    parse_temperature, parse_volume, volume_unit_of,
};
use super::size::{GRAMS_PER_OUNCE, IMPERIAL_GALLON_L, KG_PER_POUND, MassUnit, US_GALLON_L};

/// psi in one bar.
const BAR_PSI: f64 = 100.0 / crate::engine::units::PSI_KPA;
const TEASPOON_L: f64 = US_GALLON_L / 768.0;

/// A number with exactly so many decimals, a real minus sign, and a dash for what is no number.
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    let text = format!("{:.decimals$}", value.abs());
    let zero = text.chars().all(|c| matches!(c, '0' | '.'));
    if value < 0.0 && !zero {
        format!("−{text}")
    } else {
        text
    }
}

/// A number with at most so many decimals; zeros at the end are left off.
pub fn plain(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A number with about three figures: 4.54, 18.9, 189.
fn three_figures(value: f64) -> String {
    match value.abs() {
        x if x < 9.995 => plain(value, 2),
        x if x < 99.95 => plain(value, 1),
        _ => plain(value, 0),
    }
}

/// A mass as read: "4.5 g", "455 g", "5.12 kg"; "11 lb 5 oz", "6.2 oz", and grams below an ounce.
pub fn mass(kg: f64, units: Units) -> String {
    if units == Units::Metric || kg.abs() < GRAMS_PER_OUNCE / 1000.0 {
        metric_mass(kg)
    } else {
        pounds_and_ounces(kg)
    }
}

fn metric_mass(kg: f64) -> String {
    let grams = kg * 1000.0;
    match grams.abs() {
        x if x < 0.95 => format!("{} g", plain(grams, 2)),
        x if x < 9.95 => format!("{} g", plain(grams, 1)),
        x if x < 999.5 => format!("{} g", plain(grams, 0)),
        x if x < 99_995.0 => format!("{} kg", plain(kg, 2)),
        _ => format!("{} kg", plain(kg, 1)),
    }
}

fn pounds_and_ounces(kg: f64) -> String {
    let sign = if kg < 0.0 { "−" } else { "" };
    let pounds = kg.abs() / KG_PER_POUND;
    // Tenths of an ounce below ten pounds, whole ounces above; counted in steps so that 16 oz carries over.
    let steps = if pounds < 10.0 { 10.0 } else { 1.0 };
    let total = (pounds * 16.0 * steps).round();
    let whole = (total / (16.0 * steps)).floor();
    let ounces = (total - whole * 16.0 * steps) / steps;
    match (whole > 0.0, ounces > 0.0) {
        (true, true) => format!("{sign}{whole} lb {} oz", plain(ounces, 1)),
        (true, false) => format!("{sign}{whole} lb"),
        (false, _) => format!("{sign}{} oz", plain(ounces, 1)),
    }
}

/// A mass with the figures that a scale of such steps, g, can give: "5.125 kg", "455 g", "3.14 g"; "11 lb 4.8 oz".
pub fn mass_in_steps(kg: f64, step_g: f64, units: Units) -> String {
    let finer = |one: f64| match step_g / one {
        step if step >= 1.0 => 0,
        step if step >= 0.1 => 1,
        step if step >= 0.01 => 2,
        _ => 3,
    };
    let grams = kg * 1000.0;
    if units == Units::Metric || kg.abs() < GRAMS_PER_OUNCE / 1000.0 {
        return match grams.abs() < 999.9995 {
            true => format!("{} g", plain(grams, finer(1.0))),
            false => format!("{} kg", plain(kg, 3 + finer(1.0))),
        };
    }
    let decimals = finer(GRAMS_PER_OUNCE);
    let steps = 10f64.powi(decimals as i32);
    // Counted in steps, so that 16 oz carries over.
    let total = (kg / KG_PER_POUND * 16.0 * steps).round();
    let pounds = (total / (16.0 * steps)).floor();
    let ounces = plain((total - pounds * 16.0 * steps) / steps, decimals);
    match (pounds > 0.0, ounces.as_str()) {
        (true, "0") => format!("{pounds} lb"),
        (true, _) => format!("{pounds} lb {ounces} oz"),
        (false, _) => format!("{ounces} oz"),
    }
}

/// Water as it is measured out, litres rounded to what a jug shows, and the words: a tenth of a litre; for those who read US
/// gallons a quarter of a cup, for those who read imperial ones five fluid ounces. Less than a litre in metric to 10 ml.
pub fn water_in_steps(litres: f64, units: Units) -> (f64, String) {
    let rounded = |step: f64| (litres / step).round().max(0.0);
    match units {
        Units::Metric => {
            let step = if litres < 0.995 { 0.01 } else { 0.1 };
            let measured = rounded(step) * step;
            (measured, metric_volume(measured))
        }
        Units::Us => {
            let cup = US_GALLON_L / 16.0;
            let quarters = rounded(cup / 4.0);
            let (gallons, left) = ((quarters / 64.0).floor(), quarters % 64.0 / 4.0);
            (quarters * cup / 4.0, counted(gallons, left, "cup", "cups"))
        }
        Units::Imperial => {
            let ounce = IMPERIAL_GALLON_L / 160.0;
            let fives = rounded(5.0 * ounce);
            let (gallons, left) = ((fives / 32.0).floor(), fives % 32.0 * 5.0);
            (
                fives * 5.0 * ounce,
                counted(gallons, left, "fl oz", "fl oz"),
            )
        }
    }
}

/// "3 gal 4 cups", "3 gal", "2.25 cups".
fn counted(gallons: f64, left: f64, one: &str, many: &str) -> String {
    let word = if left == 1.0 { one } else { many };
    match (gallons > 0.0, left > 0.0) {
        (true, false) => format!("{gallons} gal"),
        (true, true) => format!("{gallons} gal {} {word}", plain(left, 2)),
        (false, _) => format!("{} {word}", plain(left, 2)),
    }
}

/// A mass in the member's units with the other system beside: "11 lb 5 oz (5.13 kg)".
pub fn mass_both(kg: f64, units: Units) -> String {
    let own = mass(kg, units);
    let other = if units == Units::Metric {
        mass(kg, Units::Us)
    } else {
        metric_mass(kg)
    };
    // Below an ounce both systems read grams.
    if own == other {
        own
    } else {
        format!("{own} ({other})")
    }
}

/// A volume as read: "18.9 L", "455 ml"; "5.25 gal", "2.5 qt", "12 fl oz", "1.5 tsp".
pub fn volume(litres: f64, units: Units) -> String {
    let size = litres.abs();
    match units {
        Units::Metric => metric_volume(litres),
        Units::Us => match size {
            x if x >= 0.995 * US_GALLON_L => format!("{} gal", plain(litres / US_GALLON_L, 2)),
            x if x >= 0.995 * US_GALLON_L / 4.0 => {
                format!("{} qt", plain(litres * 4.0 / US_GALLON_L, 2))
            }
            x if x >= US_GALLON_L / 256.0 => {
                format!("{} fl oz", plain(litres * 128.0 / US_GALLON_L, 1))
            }
            x if x >= TEASPOON_L / 8.0 => format!("{} tsp", plain(litres / TEASPOON_L, 2)),
            _ => metric_volume(litres),
        },
        Units::Imperial => match size {
            x if x >= 0.995 * IMPERIAL_GALLON_L => {
                format!("{} gal", plain(litres / IMPERIAL_GALLON_L, 2))
            }
            x if x >= 0.995 * IMPERIAL_GALLON_L / 8.0 => {
                format!("{} pt", plain(litres * 8.0 / IMPERIAL_GALLON_L, 2))
            }
            x if x >= IMPERIAL_GALLON_L / 160.0 => {
                format!("{} fl oz", plain(litres * 160.0 / IMPERIAL_GALLON_L, 1))
            }
            _ => metric_volume(litres),
        },
    }
}

fn metric_volume(litres: f64) -> String {
    let ml = litres * 1000.0;
    match ml.abs() {
        x if x < 9.95 => format!("{} ml", plain(ml, 1)),
        x if x < 999.5 => format!("{} ml", plain(ml, 0)),
        _ => format!("{} L", three_figures(litres)),
    }
}

/// A volume in the member's units with the other system beside: "5 gal (18.9 L)", "18.9 L (5 US gal)".
pub fn volume_both(litres: f64, units: Units) -> String {
    let own = volume(litres, units);
    if units != Units::Metric {
        return format!("{own} ({})", metric_volume(litres));
    }
    let other = volume(litres, Units::Us);
    if other.ends_with("ml") {
        return own;
    }
    match other.split_once(' ') {
        Some((number, unit @ ("gal" | "qt"))) => format!("{own} ({number} US {unit})"),
        _ => format!("{own} ({other})"),
    }
}

/// A temperature as read: "20 °C", "68 °F".
pub fn temperature(celsius: f64, units: Units) -> String {
    if units == Units::Us {
        format!("{} °F", plain(celsius * 1.8 + 32.0, 1))
    } else {
        format!("{} °C", plain(celsius, 1))
    }
}

/// A pressure as read: "3.4 bar", "49 psi"; below 0 with a minus.
pub fn pressure(bar: f64, units: Units) -> String {
    if units == Units::Us {
        format!("{} psi", plain(bar * BAR_PSI, 0))
    } else {
        format!("{} bar", fixed(bar, 1))
    }
}

/// A gravity to three decimals.
pub fn gravity(sg: f64) -> String {
    fixed(sg, 3)
}

/// A strength to one decimal: "12.0 %".
pub fn abv(percent: f64) -> String {
    format!("{} %", fixed(percent, 1))
}

/// A percentage with so many decimals.
pub fn percent(value: f64, decimals: usize) -> String {
    format!("{} %", fixed(value, decimals))
}

/// Grams with at most so many decimals, from a kilogram on as kilograms: what powders and scales are told in, whatever a member
/// reads honey in.
pub fn grams(grams: f64, decimals: usize) -> String {
    match grams.abs() < 999.5 {
        true => format!("{} g", plain(grams, decimals)),
        false => format!("{} kg", plain(grams / 1000.0, decimals + 3)),
    }
}

/// Grams per litre, with the figures that a scale and a jug can give.
pub fn grams_per_litre(value: f64) -> String {
    let decimals = match value.abs() {
        x if x < 0.0995 => 3,
        x if x < 9.95 => 2,
        x if x < 99.5 => 1,
        _ => 0,
    };
    format!("{} g/L", plain(value, decimals))
}

/// A dose as read; a member who reads gallons finds grams per gallon beside.
pub fn dose(g_per_l: f64, units: Units) -> String {
    let gallon = match units {
        Units::Metric => return grams_per_litre(g_per_l),
        Units::Us => US_GALLON_L,
        Units::Imperial => IMPERIAL_GALLON_L,
    };
    format!(
        "{} ({} g per gal)",
        grams_per_litre(g_per_l),
        three_figures(g_per_l * gallon)
    )
}

/// A price in the club's currency per the member's unit: "8.50 EUR per kg".
pub fn price(per_kg: f64, currency: &str, units: Units) -> String {
    let price = price_per_mass(per_kg, units);
    price.replacen(' ', &format!(" {currency} "), 1)
}

/// A price without its currency: "8.50 per kg", "3.86 per lb".
pub fn price_per_mass(per_kg: f64, units: Units) -> String {
    let one = if units == Units::Metric {
        per_kg
    } else {
        per_kg * KG_PER_POUND
    };
    format!("{} per {}", fixed(one, 2), units.mass_unit())
}

/// A mass for a text field: typed back it is the same to a millionth.
pub fn mass_text(kg: f64, units: Units) -> String {
    if kg < 0.1 {
        format!("{} g", plain(kg * 1000.0, 6))
    } else if units == Units::Metric {
        format!("{} kg", plain(kg, 7))
    } else {
        format!("{} lb", plain(kg / KG_PER_POUND, 7))
    }
}

/// A volume for a text field: typed back it is the same to a millionth.
pub fn volume_text(litres: f64, units: Units) -> String {
    match units {
        _ if litres < 0.1 => format!("{} ml", plain(litres * 1000.0, 6)),
        Units::Metric => format!("{} L", plain(litres, 7)),
        Units::Us => format!("{} gal", plain(litres / US_GALLON_L, 8)),
        Units::Imperial => format!("{} gal", plain(litres / IMPERIAL_GALLON_L, 8)),
    }
}

/// A temperature for a text field.
pub fn temperature_text(celsius: f64, units: Units) -> String {
    let value = if units == Units::Us {
        celsius * 1.8 + 32.0
    } else {
        celsius
    };
    format!("{} {}", plain(value, 4), units.temperature_unit())
}

/// An amount for a text field: typed back it is the same to a millionth.
pub fn amount_text(amount: TypedAmount, units: Units) -> String {
    match amount {
        TypedAmount::Share(1.0) => "1 part".to_owned(),
        TypedAmount::Share(share) => format!("{} parts", plain(share, 6)),
        TypedAmount::Kg(kg) => mass_text(kg, units),
        TypedAmount::Litres(litres) => volume_text(litres, units),
        TypedAmount::GramsPerLitre(dose) => format!("{} g/L", plain(dose, 9)),
    }
}

fn read(text: &str, what: What) -> Option<Vec<Part>> {
    parts(text, what, Comma::Decimal).ok()
}

/// "= 1.47 kg" beside a mass typed in the other system; nothing beside small weights in grams.
pub fn beside_mass(text: &str, units: Units) -> Option<String> {
    let kg = parse_mass(text, units).ok()?;
    let found = read(text, What::Mass)?;
    let unit = MassUnit::named(&found.first()?.unit)?;
    let foreign = unit.is_metric() != (units == Units::Metric);
    let powder = unit.is_metric() && kg < 0.1;
    (foreign && !powder).then(|| format!("= {}", mass(kg, units)))
}

/// "= 18.9 L" beside a volume typed in gallons by anybody, "= 5 gal" beside litres typed by one who reads gallons.
pub fn beside_volume(text: &str, units: Units) -> Option<String> {
    let litres = parse_volume(text, units).ok()?;
    let found = read(text, What::Volume)?;
    let bare = found.first()?.unit.is_empty();
    let unit = if bare {
        None
    } else {
        Some(volume_unit_of(&found, units)?)
    };
    let own = unit.is_none_or(|unit| unit.system == units);
    if own {
        let gallons = units != Units::Metric && unit.is_none_or(|unit| unit.litres > 1.0);
        return gallons.then(|| format!("= {}", metric_volume(litres)));
    }
    Some(format!("= {}", volume(litres, units)))
}

/// "= 20 °C" beside a temperature typed in the other degrees.
pub fn beside_temperature(text: &str, units: Units) -> Option<String> {
    let celsius = parse_temperature(text, units).ok()?;
    let found = read(text, What::Temperature)?;
    let typed = is_fahrenheit(&found.first()?.unit, units)?;
    (typed != (units == Units::Us)).then(|| format!("= {}", temperature(celsius, units)))
}

/// "= 1.058" beside a gravity typed as points, as a thousandfold or in °Bx.
pub fn beside_gravity(text: &str, sg_of_fraction: impl Fn(f64) -> f64) -> Option<String> {
    let sg = parse_gravity(text, sg_of_fraction).ok()?;
    let found = read(text, What::Gravity)?;
    let part = found.first()?;
    let direct = matches!(
        gravity_unit(&part.unit)?,
        GravityUnit::Bare | GravityUnit::Sg
    ) && part.value < 1.6;
    (!direct).then(|| format!("= {}", gravity(sg)))
}

/// "= 0.53 g/L" beside a dose typed otherwise.
pub fn beside_dose(text: &str, units: Units) -> Option<String> {
    let g_per_l = parse_dose(text, units).ok()?;
    let found = read(text, What::Dose)?;
    let unit = &found.first()?.unit;
    let (one, _) = dose_unit(unit, units)?;
    (one != 1.0).then(|| format!("= {}", grams_per_litre(g_per_l)))
}
