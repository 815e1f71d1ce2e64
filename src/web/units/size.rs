//! The sizes of the units that people type, and the words for them.

use super::Units;

/// Kilograms in a pound (avoirdupois), exact by definition.
pub const KG_PER_POUND: f64 = 0.453_592_37;
/// Grams in an ounce (avoirdupois), exact by definition.
pub const GRAMS_PER_OUNCE: f64 = 28.349_523_125;
/// Litres in a US gallon (231 cubic inches), exact by definition.
pub const US_GALLON_L: f64 = 3.785_411_784;
/// Litres in an imperial gallon, exact by definition.
pub const IMPERIAL_GALLON_L: f64 = 4.546_09;

/// A unit of mass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MassUnit {
    Kilogram,
    Gram,
    Milligram,
    Pound,
    Ounce,
}

impl MassUnit {
    /// Kilograms in one of the unit.
    pub fn kg(self) -> f64 {
        match self {
            MassUnit::Kilogram => 1.0,
            MassUnit::Gram => 1e-3,
            MassUnit::Milligram => 1e-6,
            MassUnit::Pound => KG_PER_POUND,
            MassUnit::Ounce => GRAMS_PER_OUNCE / 1000.0,
        }
    }

    /// Is it a kilogram or a part of one?
    pub fn is_metric(self) -> bool {
        !matches!(self, MassUnit::Pound | MassUnit::Ounce)
    }

    pub(super) fn named(word: &str) -> Option<MassUnit> {
        Some(match word {
            "kg" | "kgs" | "kilo" | "kilos" | "kilogram" | "kilograms" | "kilogramme"
            | "kilogrammes" => MassUnit::Kilogram,
            "g" | "gram" | "grams" | "gramme" | "grammes" => MassUnit::Gram,
            "mg" | "milligram" | "milligrams" => MassUnit::Milligram,
            "lb" | "lbs" | "pound" | "pounds" => MassUnit::Pound,
            "oz" | "ounce" | "ounces" => MassUnit::Ounce,
            _ => return None,
        })
    }
}

/// A unit of volume as typed by one member.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct VolumeUnit {
    /// Litres in one of the unit.
    pub litres: f64,
    /// The system that it belongs to.
    pub system: Units,
    /// Litres in the other unit of that name, where the text did not say which and the member uses neither.
    pub other_litres: Option<f64>,
}

fn named_system(word: &str) -> Option<Units> {
    Some(match word {
        "us" | "american" => Units::Us,
        "imp" | "imperial" | "uk" | "british" => Units::Imperial,
        "metric" => Units::Metric,
        _ => return None,
    })
}

fn metric(word: &str) -> Option<f64> {
    Some(match word {
        "l" | "ltr" | "litre" | "litres" | "liter" | "liters" => 1.0,
        "dl" | "decilitre" | "decilitres" | "deciliter" | "deciliters" => 0.1,
        "cl" | "centilitre" | "centilitres" | "centiliter" | "centiliters" => 0.01,
        "ml" | "millilitre" | "millilitres" | "milliliter" | "milliliters" => 0.001,
        "hl" | "hectolitre" | "hectolitres" | "hectoliter" | "hectoliters" => 100.0,
        _ => return None,
    })
}

/// Litres of a customary unit in a system. Spoons and cups of the metric kitchen, and imperial spoons as sold today,
/// are round millilitres: common practice, no published source.
fn customary(word: &str, system: Units) -> Option<f64> {
    let (gallon, ounces, cup, spoon) = match system {
        Units::Us => (US_GALLON_L, 128.0, US_GALLON_L / 16.0, US_GALLON_L / 768.0),
        Units::Imperial => (IMPERIAL_GALLON_L, 160.0, IMPERIAL_GALLON_L / 16.0, 0.005),
        Units::Metric => (US_GALLON_L, 128.0, 0.25, 0.005),
    };
    Some(match word {
        "gal" | "gals" | "gallon" | "gallons" => gallon,
        "qt" | "qts" | "quart" | "quarts" => gallon / 4.0,
        "pt" | "pts" | "pint" | "pints" => gallon / 8.0,
        "fl oz" | "floz" | "fluid oz" | "fluid ounce" | "fluid ounces" => gallon / ounces,
        "cup" | "cups" => cup,
        "tbsp" | "tbsps" | "tablespoon" | "tablespoons" => 3.0 * spoon,
        "tsp" | "tsps" | "teaspoon" | "teaspoons" => spoon,
        _ => return None,
    })
}

fn is_kitchen(word: &str) -> bool {
    word.starts_with("cup")
        || word.starts_with("tb")
        || word.starts_with("tablesp")
        || word.starts_with("ts")
        || word.starts_with("teasp")
}

pub(super) fn volume_named(text: &str, units: Units) -> Option<VolumeUnit> {
    let mut said = None;
    let mut words = Vec::new();
    for word in text.split(' ') {
        match named_system(word) {
            Some(system) if said.is_none() => said = Some(system),
            Some(_) => return None,
            None => words.push(word),
        }
    }
    let word = words.join(" ");
    if let Some(litres) = metric(&word) {
        // "US L" means nothing.
        return said.is_none().then_some(VolumeUnit {
            litres,
            system: Units::Metric,
            other_litres: None,
        });
    }
    if said == Some(Units::Metric) && !is_kitchen(&word) {
        return None;
    }
    let litres = customary(&word, said.unwrap_or(units))?;
    let unsaid = said.is_none() && units == Units::Metric && !is_kitchen(&word);
    let system = if unsaid {
        Units::Us
    } else {
        said.unwrap_or(units)
    };
    let other_litres = if unsaid {
        customary(&word, Units::Imperial)
    } else {
        None
    };
    Some(VolumeUnit {
        litres,
        system,
        other_litres,
    })
}
