//! In which unit a field reads a number that was typed without one.

use super::Material;
use crate::catalogue::club::ClubCatalogue;
use crate::engine::recipe::Kind;
use crate::recipes::forms::quantity;
use crate::recipes::forms::{Group, Row};
use crate::web::units::{Bare, Units};

/// Of a field that stands once; empty where no unit is read.
pub(super) fn of_single(name: &str, units: Units) -> &'static str {
    match name {
        "volume" | "vessel_brim" | "vessel_loss" => volume(units),
        "honey_to_use" => units.mass_unit(),
        "temperature" => units.temperature_unit(),
        _ => "",
    }
}

/// Of a cell; empty where no unit is read.
pub(super) fn of_cell(
    material: &Material<'_>,
    group: Group,
    row: &Row,
    column: &str,
) -> &'static str {
    let units = material.units;
    match column {
        "amount" => match quantity::bare(kind(material.catalogue, group, row)) {
            Bare::LargeMass => units.mass_unit(),
            Bare::Grams => "g",
            Bare::Volume => volume(units),
            Bare::Dose => "g/L",
        },
        "price" => match units {
            Units::Metric => "per kg",
            Units::Us | Units::Imperial => "per lb",
        },
        "days" => "days",
        "coldest" | "warmest" => units.temperature_unit(),
        "most" => "g/L",
        "grams" => "g",
        _ => "",
    }
}

fn volume(units: Units) -> &'static str {
    match units {
        Units::Metric => "L",
        Units::Us => "US gal",
        Units::Imperial => "imp gal",
    }
}

/// The kind of thing a row is, as the check takes it.
fn kind(catalogue: &ClubCatalogue, group: Group, row: &Row) -> Kind {
    let word = match (group, catalogue.find(row.cell("pick"))) {
        (Group::Honey, _) => return Kind::Honey,
        (_, Some(entry)) => entry.kind.word(),
        (_, None) => row.cell("kind"),
    };
    Kind::from_word(word).unwrap_or(Kind::Other)
}
