//! What stands under a field because of what the member has at home, or the club on its shelf.

use super::Material;
use crate::recipes::forms::{Group, Row};
use crate::recipes::workbench::assume::OWN;
use crate::web::units;

/// The note of a cell, or nothing.
pub(super) fn note(material: &Material<'_>, group: Group, row: &Row, column: &str) -> String {
    if !matches!(
        group,
        Group::Honey | Group::Other | Group::Yeast | Group::Feed
    ) {
        return String::new();
    }
    let pick = Some(row.cell("pick")).filter(|pick| !pick.is_empty() && *pick != OWN);
    let known = pick.and_then(|key| material.catalogue.item(key));
    let name = match (row.cell("name").trim(), known) {
        ("", Some(item)) => item.name(),
        (called, _) => called,
    };
    if name.is_empty() {
        return String::new();
    }
    match column {
        "pick" => has(material, pick, name),
        "price" => costs(material, pick, name),
        _ => String::new(),
    }
}

/// "you have 2.4 kg", and what is left in a jar of the shelf.
fn has(material: &Material<'_>, key: Option<&str>, name: &str) -> String {
    let own = material.cupboard.all_left(key, name);
    let own: Vec<String> = own
        .iter()
        .map(|amount| amount.shown(material.units))
        .collect();
    let own = (!own.is_empty()).then(|| format!("you have {}", own.join(" and ")));
    let jar = key.and_then(|key| material.catalogue.jar(key));
    let jar = jar.filter(|jar| jar.offered).map(|jar| {
        format!(
            "{} left in the jar",
            units::mass(jar.left_kg, material.units)
        )
    });
    own.into_iter().chain(jar).collect::<Vec<_>>().join("; ")
}

/// Which price counts, where it is not the one in the box.
fn costs(material: &Material<'_>, key: Option<&str>, name: &str) -> String {
    let entry = key.and_then(|key| material.catalogue.find(key));
    let density = entry.and_then(|entry| entry.density_kg_per_l);
    let own = material.cupboard.kilogram_costs(key, name, density);
    own.map_or(String::new(), |own| {
        let price = units::price(own, material.cupboard.currency().code(), material.units);
        format!("for you your cupboard’s price counts: {price}")
    })
}
