//! How things are sold: jars, cartons, packets, and amounts rounded up to them. Common practice, no published source.

use crate::web::units::{self, KG_PER_POUND, Units};

/// A hair less than a whole one is a whole one.
const HAIR: f64 = 1e-6;

/// How many of a size make an amount, rounded up.
pub(super) fn count(amount: f64, size: f64) -> f64 {
    (amount / size - HAIR).ceil().max(1.0)
}

/// "1 jar", "6 jars".
pub(super) fn counted(number: f64, one: &str, many: &str) -> String {
    match number as u64 {
        1 => format!("1 {one}"),
        _ => format!("{} {many}", units::plain(number, 0)),
    }
}

/// What is in one of the jars in which so much honey is bought, kg.
pub fn jar_kg(kg: f64, units: Units) -> f64 {
    match (units, kg) {
        (Units::Metric, kg) if kg <= 2.0 => 0.5,
        (Units::Metric, _) => 1.0,
        (Units::Us, kg) if kg > 2.0 * KG_PER_POUND => 3.0 * KG_PER_POUND,
        (Units::Us | Units::Imperial, _) => KG_PER_POUND,
    }
}

/// Jars of honey, and the kilograms in them.
pub(super) fn jars(kg: f64, units: Units) -> (String, f64) {
    let size = jar_kg(kg, units);
    let jars = count(kg, size);
    let words = format!(
        "{} of {}",
        counted(jars, "jar", "jars"),
        units::mass(size, units)
    );
    (words, jars * size)
}

pub(super) fn carton_l(units: Units) -> f64 {
    match units {
        Units::Metric | Units::Imperial => 1.0,
        Units::Us => units::US_GALLON_L / 4.0,
    }
}

/// Loose goods and packets: up to the next quarter of a kilogram or of a pound; powders, in grams, to five or to one.
pub(super) fn by_weight(kg: f64, units: Units) -> (String, f64) {
    let step = match kg {
        kg if kg < 0.010 => 0.001,
        kg if kg < 0.200 => 0.005,
        _ if units == Units::Metric => 0.25,
        _ => KG_PER_POUND / 4.0,
    };
    let bought = count(kg, step) * step;
    let shown = match kg < 0.200 {
        true => Units::Metric,
        false => units,
    };
    (units::mass(bought, shown), bought)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_rounded_up_to_what_is_sold() {
        for (kg, units, words) in [
            (0.4, Units::Metric, "1 jar of 500 g"),
            (1.6, Units::Metric, "4 jars of 500 g"),
            (5.0, Units::Metric, "5 jars of 1 kg"),
            (5.001, Units::Metric, "6 jars of 1 kg"),
            (0.4, Units::Imperial, "1 jar of 1 lb"),
            (5.0, Units::Us, "4 jars of 3 lb"),
        ] {
            assert_eq!(jars(kg, units).0, words, "{kg}");
        }
        for (kg, words) in [
            (0.0011, "2 g"),
            (0.012, "15 g"),
            (0.3, "500 g"),
            (2.0, "2 kg"),
            (2.1, "2.25 kg"),
        ] {
            assert_eq!(by_weight(kg, Units::Metric).0, words, "{kg}");
        }
    }
}
