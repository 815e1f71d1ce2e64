//! The tables that stand beside sections: reckoned from a few constants, in the reader's units.

use super::figures::room;
use super::model::Beside;
use crate::engine::plants::{PLANTS, Plant};
use crate::web::units::{self, Units};
use crate::web::words::reason;

/// Carbon dioxide from a gram of sugar that ferments, g (two of six carbons of glucose: 88.02 / 180.16).
const CO2_PER_SUGAR: f64 = 0.4886;
/// Litres of carbon dioxide in a gram at 20 °C and ordinary pressure (24.06 L/mol over 44.01 g/mol).
const GAS_L_PER_G: f64 = 0.547;
/// Sugar of a strong must, g/L.
const SUGAR_G_PER_L: f64 = 250.0;
/// The share of the air that is dangerous at once (NIOSH).
const DANGEROUS_SHARE: f64 = 0.04;
/// Grams in a litre of alcohol at 20 °C.
const ALCOHOL_G_PER_L: f64 = 789.0;
/// A glass, litres.
const GLASS_L: f64 = 0.15;
/// Grams of alcohol in a standard drink of the United States and in a unit of the United Kingdom.
const US_DRINK_G: f64 = 14.0;
const UK_UNIT_G: f64 = 8.0;

/// A table as a page prints it: all columns but the first hold figures.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    pub caption: String,
    pub heads: Vec<&'static str>,
    pub rows: Vec<Vec<String>>,
    /// Of words: too wide for the margin.
    pub wide: bool,
}

/// The table of a section.
pub fn of(beside: Beside, units: Units) -> Table {
    match beside {
        Beside::GasOfBatches => gas(units),
        Beside::Bottles => bottles(),
        Beside::Alcohol => alcohol(units),
        Beside::PlantsLeftOut => plants("What is left out", |plant| plant.refused),
        Beside::PlantsWithCare => plants("What wants care", |plant| !plant.refused),
    }
}

/// Litres of gas from so many litres of must.
fn gas_l(must_l: f64) -> f64 {
    must_l * SUGAR_G_PER_L * CO2_PER_SUGAR * GAS_L_PER_G
}

fn gas(units: Units) -> Table {
    let rows = [4.5, 20.0, 100.0].map(|must_l| {
        let gas_l = gas_l(must_l);
        vec![
            units::volume(must_l, units),
            room(gas_l / 1000.0, units),
            room(gas_l / 1000.0 / DANGEROUS_SHARE, units),
        ]
    });
    Table {
        caption: format!(
            "From must with {} of sugar, over one to three weeks",
            units::grams_per_litre(SUGAR_G_PER_L)
        ),
        heads: vec![
            "must",
            "gas given off",
            "closed room that this makes dangerous",
        ],
        rows: rows.into(),
        wide: false,
    }
}

/// The most that each kind of bottle may hold, volumes of gas (common practice, no published source).
const BOTTLES: [(&str, &str); 4] = [
    ("bottle for still wine", "none"),
    ("ordinary beer bottle", "2.5"),
    ("heavy bottle made for pressure", "3.5"),
    ("bottle for sparkling wine", "5"),
];

fn bottles() -> Table {
    Table {
        caption: "Volumes of gas that a bottle may hold; common practice, no published source"
            .to_owned(),
        heads: vec!["bottle", "at most"],
        rows: BOTTLES
            .iter()
            .map(|(bottle, most)| vec![(*bottle).to_owned(), (*most).to_owned()])
            .collect(),
        wide: false,
    }
}

/// The plants that the engine knows by their names.
fn plants(caption: &str, of: fn(&Plant) -> bool) -> Table {
    let row = |plant: &Plant| {
        vec![
            plant.name.to_owned(),
            reason(plant.why).unwrap_or_default().to_owned(),
        ]
    };
    Table {
        caption: format!("{caption}; a recipe that names it is warned about"),
        heads: vec!["name", "why"],
        rows: PLANTS.iter().filter(|plant| of(plant)).map(row).collect(),
        wide: true,
    }
}

/// Grams of alcohol in a glass.
fn alcohol_g(abv_percent: f64) -> f64 {
    GLASS_L * abv_percent / 100.0 * ALCOHOL_G_PER_L
}

fn alcohol(units: Units) -> Table {
    let rows = [5.0, 8.0, 12.0, 14.0, 16.0].map(|abv| {
        let grams = alcohol_g(abv);
        vec![
            units::percent(abv, 0),
            format!("{} g", units::fixed(grams, 1)),
            units::fixed(grams / US_DRINK_G, 1),
            units::fixed(grams / UK_UNIT_G, 1),
        ]
    });
    Table {
        caption: format!("In one glass of {}", units::volume(GLASS_L, units)),
        heads: vec![
            "strength",
            "alcohol",
            "US drinks of 14 g",
            "UK units of 8 g",
        ],
        rows: rows.into(),
        wide: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gas_and_alcohol_are_those_of_the_worked_cases() {
        // Worked by hand: 250 g of sugar give 122 g of gas, 67 L at 20 °C; 20 L of must 1.336 m³,
        // which are 4 % of 33.4 m³.
        assert!((gas_l(1.0) - 67.0).abs() < 0.2, "{}", gas_l(1.0));
        assert_eq!(gas(Units::Metric).rows[1], ["20 L", "1.3 m³", "33 m³"]);
        // 150 ml at 12 % hold 14.2 g, at 16 % 18.9 g.
        assert!((alcohol_g(12.0) - 14.2).abs() < 0.05);
        assert!((alcohol_g(16.0) - 18.9).abs() < 0.05);
        assert_eq!(alcohol(Units::Us).caption, "In one glass of 5.1 fl oz");
    }
}
