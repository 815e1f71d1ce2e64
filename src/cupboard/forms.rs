//! The forms of the cupboard: from text to what is kept, and back.

use chrono::NaiveDate;

use super::amount::{Amount, Price};
use super::model::{DEED_NOTE_MAX, Item, NAME_MAX, NOTE_MAX, Said};
use crate::catalogue::club::ClubCatalogue;
use crate::web::Error;
use crate::web::day;
use crate::web::form::{FormState, Posted};
use crate::web::money::Currency;
use crate::web::typed::Typed;
use crate::web::units::Units;

/// The fields of a thing, with their labels: what two texts of it are compared by.
pub const FIELDS: &[(&str, &str)] = &[
    ("what", "What it is"),
    ("name", "Called"),
    ("amount", "How much there is"),
    ("price", "What it cost"),
    ("bought", "Bought on"),
    ("opened", "Opened on"),
    ("best_before", "Best before"),
    ("note", "Note"),
];

/// For whom a form is read and written.
#[derive(Clone, Copy)]
pub struct Speaks<'a> {
    pub units: Units,
    pub today: NaiveDate,
    pub currency: Currency,
    pub catalogue: &'a ClubCatalogue,
}

/// Reads a thing.
///
/// # Errors
/// When a field came twice.
pub fn thing(posted: &Posted, to: Speaks<'_>) -> Result<Result<Said, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let key = typed.line("what", 100)?;
    let called = typed.line("name", NAME_MAX)?;
    let known = to.catalogue.item(&key);
    if !key.is_empty() && known.is_none() {
        typed.form.refuse("what", "Choose one of the list.");
    }
    let name = match (called.as_str(), known) {
        ("", Some(item)) => item.name().chars().take(NAME_MAX).collect(),
        _ => called,
    };
    if name.is_empty() {
        typed.form.refuse(
            "what",
            "Choose what it is, or write below what it is called.",
        );
    }
    let left = typed.read("amount", |text| Amount::read(text, to.units))?;
    if typed.text("amount")?.is_empty() {
        typed.form.refuse(
            "amount",
            "Write how much there is, such as 2.5 kg, 1 L or 3 sachets.",
        );
    }
    let price = typed.read("price", |text| Price::read(text, to.units, to.currency))?;
    if let (Some(left), Some(price)) = (left, price)
        && left.measure != price.amount.measure
    {
        typed
            .form
            .refuse("price", "Write the price for the same measure as the amount: both weighed, both poured or both counted.");
    }
    let was = |text: &str, units| day::read_past(text, to.today, units);
    let bought_on = typed.day("bought", to.units, was)?;
    let opened_on = typed.day("opened", to.units, was)?;
    let ahead = |text: &str, units| day::read(text, to.today, units);
    let best_before = typed.day("best_before", to.units, ahead)?;
    let note = typed.lines("note", NOTE_MAX)?;
    Ok(match left {
        Some(left) if typed.form.is_sound() => Ok(Said {
            key: (!key.is_empty()).then_some(key),
            name,
            left,
            price,
            bought_on,
            opened_on,
            best_before,
            note,
        }),
        _ => Err(typed.form),
    })
}

/// The form that holds a thing.
pub fn filled(item: &Item, to: Speaks<'_>) -> FormState {
    let said = &item.said;
    let mut form = FormState::new();
    let day = |day: Option<NaiveDate>| day.map_or(String::new(), |day| day.to_string());
    let key = said.key.as_deref().unwrap_or_default();
    let own = to
        .catalogue
        .item(key)
        .is_none_or(|entry| entry.name() != said.name);
    form.set("what", key);
    form.set("name", if own { said.name.as_str() } else { "" });
    form.set("amount", said.left.text(to.units));
    if let Some(price) = said.price {
        form.set("price", price.text(to.units, to.currency));
    }
    form.set("bought", day(said.bought_on));
    form.set("opened", day(said.opened_on));
    form.set("best_before", day(said.best_before));
    form.set("note", said.note.clone());
    form
}

/// Reads how much is used, and for what.
///
/// # Errors
/// When a field came twice.
pub fn using(
    posted: &Posted,
    item: &Item,
    units: Units,
) -> Result<Result<(Amount, String), FormState>, Error> {
    let mut typed = Typed::of(posted);
    let note = typed.line("for", DEED_NOTE_MAX)?;
    if typed.text("all")? == "yes" {
        return Ok(match typed.form.is_sound() {
            true => Ok((item.said.left, note)),
            false => Err(typed.form),
        });
    }
    let amount = typed.read("used", |text| Amount::read(text, units))?;
    match amount {
        Some(amount) if amount.measure != item.said.left.measure => {
            let much = item.said.left.shown(units);
            typed.form.refuse(
                "used",
                format!("There are {much}: write how much in the same measure."),
            );
        }
        Some(amount) if amount.value <= 0.0 => {
            typed.form.refuse("used", "Write how much, above nothing.");
        }
        None if typed.form.is_sound() => {
            typed.form.refuse("used", "Write how much of it you use.");
        }
        _ => {}
    }
    Ok(match amount {
        Some(amount) if typed.form.is_sound() => Ok((amount, note)),
        _ => Err(typed.form),
    })
}
