//! Rows of ingredients, yeasts and feeds from the document.

use super::super::Row;
use super::{Typed, number, price};
use crate::catalogue::catalogue;
use crate::engine::recipe::{Amount, Composition, Ingredient, Kind, Nutrient, When, Yeast};
use crate::web::units::{
    Bare, TypedAmount, Units, amount_text, parse_amount, parse_dose, parse_percent,
    parse_temperature, plain, temperature_text,
};

pub(super) fn ingredient(
    row: &mut Row,
    item: &Ingredient,
    at: &str,
    typed: &Typed<'_>,
    units: Units,
) {
    let entry = item.key.as_deref().and_then(|key| catalogue().find(key));
    row.set("pick", entry.map_or("own", |entry| entry.key.as_str()));
    if entry.is_none_or(|entry| entry.name != item.name) {
        row.set("name", item.name.clone());
    }
    row.set("kind", item.kind.as_str());
    row.set("when", item.when.as_str());
    row.set("form", item.form.map_or("", |form| form.as_str()));
    if let Some(days) = item.days {
        row.set("days", number(typed, &format!("{at}/days"), days));
    }
    if let Some(amount) = item.amount {
        row.set("amount", amount_of(item, amount, at, typed, units));
    }
    if let Some(value) = item.price_per_kg {
        row.set(
            "price",
            price(typed, &format!("{at}/price_per_kg"), value, units),
        );
    }
    row.set("remark", item.note.clone().unwrap_or_default());
    let Some(parts) = &item.composition else {
        return;
    };
    let of_catalogue = entry.is_some_and(|entry| same_as_catalogue(parts, entry));
    let at = format!("{at}/composition");
    if !of_catalogue {
        let percent = |key: &str, value: f64| {
            let read = |text: &str| {
                parse_percent(text, 0.0, 100.0)
                    .ok()
                    .map(|percent| percent / 100.0)
            };
            typed.or(&format!("{at}/{key}"), value, read, || {
                format!("{} %", plain(value * 100.0, 6))
            })
        };
        row.set("water", percent("water", parts.water));
        row.set("fermentable", percent("fermentable", parts.fermentable));
        row.set(
            "unfermentable",
            percent("unfermentable", parts.unfermentable),
        );
        row.set("insoluble", percent("insoluble", parts.insoluble));
        if let Some(spread) = parts.spread {
            let text =
                |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
            row.set(
                "spread",
                format!("{};{}", text(spread.water), text(spread.fermentable)),
            );
        }
    }
    let own = |value: Option<f64>, of_entry: Option<f64>| {
        value.filter(|_| !of_catalogue || value != of_entry)
    };
    if let Some(value) = own(
        parts.yan_mg_per_kg,
        entry.and_then(|entry| entry.yan_mg_per_kg),
    ) {
        row.set("yan", number(typed, &format!("{at}/yan_mg_per_kg"), value));
    }
    if let Some(value) = own(parts.ta_g_per_kg, entry.and_then(|entry| entry.ta_g_per_kg)) {
        row.set("acid", number(typed, &format!("{at}/ta_g_per_kg"), value));
    }
    if let Some(value) = own(
        parts.density_kg_per_l,
        entry.and_then(|entry| entry.density_kg_per_l),
    ) {
        row.set(
            "density",
            number(typed, &format!("{at}/density_kg_per_l"), value),
        );
    }
}

/// Whether the fractions of a document are those of the catalogue today.
pub(super) fn same_as_catalogue(parts: &Composition, entry: &crate::catalogue::Entry) -> bool {
    entry.composition.is_some_and(|of_entry| {
        let pairs = [
            (parts.water, of_entry.water),
            (parts.fermentable, of_entry.fermentable),
            (parts.unfermentable, of_entry.unfermentable),
            (parts.insoluble, of_entry.insoluble),
        ];
        pairs.iter().all(|(own, other)| (own - other).abs() < 1e-9)
    })
}

pub(super) fn amount_of(
    item: &Ingredient,
    amount: Amount,
    at: &str,
    typed: &Typed<'_>,
    units: Units,
) -> String {
    let (key, value, again) = match amount {
        Amount::Share(share) => ("share", share, TypedAmount::Share(share)),
        Amount::Kg(kg) => ("kg", kg, TypedAmount::Kg(kg)),
        Amount::Litres(litres) => ("l", litres, TypedAmount::Litres(litres)),
        Amount::GramsPerLitre(dose) => ("g_per_l", dose, TypedAmount::GramsPerLitre(dose)),
    };
    let bare = match item.kind {
        Kind::Juice => Bare::Volume,
        Kind::Honey | Kind::Fruit | Kind::Syrup | Kind::Sugar | Kind::Malt | Kind::Other => {
            Bare::LargeMass
        }
        _ => Bare::Grams,
    };
    let read = |text: &str| match (parse_amount(text, units, bare).ok()?, amount) {
        (TypedAmount::Share(value), Amount::Share(_))
        | (TypedAmount::Kg(value), Amount::Kg(_))
        | (TypedAmount::Litres(value), Amount::Litres(_))
        | (TypedAmount::GramsPerLitre(value), Amount::GramsPerLitre(_)) => Some(value),
        _ => None,
    };
    let alone =
        matches!(amount, Amount::Share(_)) && item.kind == Kind::Honey && item.when == When::Must;
    let shares = typed
        .recipe
        .ingredients
        .iter()
        .filter(|other| matches!(other.amount, Some(Amount::Share(_))))
        .count();
    typed.or(&format!("{at}/amount/{key}"), value, read, || {
        if alone && shares == 1 {
            "the rest".to_owned()
        } else {
            amount_text(again, units)
        }
    })
}

pub(super) fn yeast(row: &mut Row, item: &Yeast, at: &str, typed: &Typed<'_>, units: Units) {
    let entry = item
        .key
        .as_deref()
        .and_then(|key| catalogue().find_yeast(key));
    row.set("pick", entry.map_or("own", |entry| entry.key.as_str()));
    if entry.is_none_or(|entry| entry.name != item.name) {
        row.set("name", item.name.clone());
    }
    if entry.is_none_or(|entry| entry.tolerance_abv_percent() != item.tolerance_abv_percent) {
        let read = |text: &str| parse_percent(text, 0.0, 100.0).ok();
        let place = format!("{at}/tolerance_abv_percent");
        let value = item.tolerance_abv_percent;
        row.set(
            "tolerance",
            typed.or(&place, value, read, || format!("{} %", plain(value, 6))),
        );
    }
    if entry.is_none_or(|entry| entry.nitrogen_need.word() != item.nitrogen_need.as_str()) {
        row.set("need", item.nitrogen_need.as_str());
    }
    if item.temperature_c.is_some() && item.temperature_c != entry.map(|entry| entry.temperature_c)
    {
        let [low, high] = item.temperature_c.unwrap_or_default();
        for (column, index, celsius) in [("coldest", 0, low), ("warmest", 1, high)] {
            let read = |text: &str| parse_temperature(text, units).ok();
            let place = format!("{at}/temperature_c/{index}");
            row.set(
                column,
                typed.or(&place, celsius, read, || temperature_text(celsius, units)),
            );
        }
    }
    row.set("when", item.when.as_str());
    if let Some(attenuation) = item.attenuation_percent {
        row.set("attenuation", attenuation.to_string());
    }
}

pub(super) fn feed(row: &mut Row, item: &Nutrient, at: &str, typed: &Typed<'_>, units: Units) {
    let entry = item
        .key
        .as_deref()
        .and_then(|key| catalogue().find_feed(key));
    row.set("pick", entry.map_or("own", |entry| entry.key.as_str()));
    if entry.is_none_or(|entry| entry.name != item.name) {
        row.set("name", item.name.clone());
    }
    if entry.is_none_or(|entry| entry.ammonium_yan_mg_per_g != item.ammonium_yan_mg_per_g) {
        row.set(
            "ammonium",
            number(
                typed,
                &format!("{at}/ammonium_yan_mg_per_g"),
                item.ammonium_yan_mg_per_g,
            ),
        );
    }
    if entry.is_none_or(|entry| entry.organic_yan_mg_per_g != item.organic_yan_mg_per_g) {
        row.set(
            "organic",
            number(
                typed,
                &format!("{at}/organic_yan_mg_per_g"),
                item.organic_yan_mg_per_g,
            ),
        );
    }
    if let Some(most) = item
        .max_g_per_l
        .filter(|most| entry.and_then(|entry| entry.max_g_per_l) != Some(*most))
    {
        let read = |text: &str| parse_dose(text, units).ok();
        row.set(
            "most",
            typed.or(&format!("{at}/max_g_per_l"), most, read, || {
                format!("{} g/L", plain(most, 6))
            }),
        );
    }
    if let Some(value) = item.price_per_kg {
        row.set(
            "price",
            price(typed, &format!("{at}/price_per_kg"), value, units),
        );
    }
    if let Some(share) = item.share {
        let read = |text: &str| {
            parse_percent(text, 0.0, 100.0)
                .ok()
                .map(|percent| percent / 100.0)
        };
        row.set(
            "share",
            typed.or(&format!("{at}/share"), share, read, || {
                format!("{} %", plain(share * 100.0, 6))
            }),
        );
    }
}
