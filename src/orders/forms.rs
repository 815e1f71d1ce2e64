//! The forms of honey orders: from text to what is kept, and back.

use chrono::{Days, NaiveDate, NaiveTime};
use chrono_tz::Tz;

use super::model::{LINE_MAX, Offer, Order, Said, TERMS_MAX};
use crate::catalogue::Kind;
use crate::catalogue::club::ClubCatalogue;
use crate::web::Error;
use crate::web::day;
use crate::web::form::{FormState, Posted};
use crate::web::money::Currency;
use crate::web::typed::{Typed, instant};
use crate::web::units::{self, Units};

/// The fields of an order, with their labels: what two texts of it are compared by.
pub const FIELDS: &[(&str, &str)] = &[
    ("title", "What the order is called"),
    ("terms", "From whom, and how to pay"),
    ("delivery", "Delivery"),
    ("closes", "Last day to add something"),
    ("pay_until", "Pay until"),
];

/// For whom a form is read and written.
#[derive(Clone, Copy)]
pub struct Speaks {
    pub units: Units,
    pub zone: Tz,
    pub today: NaiveDate,
    pub currency: Currency,
}

/// Reads what its opener says of an order.
///
/// # Errors
/// When a field came twice.
pub fn order(posted: &Posted, to: Speaks) -> Result<Result<Said, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let title = typed.wanted(
        "title",
        LINE_MAX,
        "Write what the order is called, such as Spring honey from the valley.",
    )?;
    let terms = typed.lines("terms", TERMS_MAX)?;
    let delivery = typed
        .read("delivery", |text| to.currency.read(text))?
        .unwrap_or(0);
    let ahead = |text: &str, units| day::read(text, to.today, units);
    let last = typed.day("closes", to.units, ahead)?;
    if typed.text("closes")?.is_empty() {
        typed.form.refuse(
            "closes",
            "Write until when members add what they want, such as 12 December.",
        );
    }
    // The last day belongs to it.
    let closes_at = last
        .and_then(|last| last.checked_add_days(Days::new(1)))
        .and_then(|next| {
            instant(next, NaiveTime::MIN, to.zone)
                .or_else(|| instant(next, NaiveTime::from_hms_opt(1, 0, 0)?, to.zone))
        });
    if last.is_some_and(|last| last < to.today) {
        typed
            .form
            .refuse("closes", "Write a day that is still to come, or today.");
    }
    let pay_until = typed.day("pay_until", to.units, ahead)?;
    Ok(match closes_at {
        Some(closes_at) if typed.form.is_sound() => Ok(Said {
            title,
            terms,
            delivery,
            pay_until,
            closes_at,
        }),
        _ => Err(typed.form),
    })
}

/// The form that holds an order.
pub fn filled(order: &Order, to: Speaks) -> FormState {
    let said = &order.said;
    let mut form = FormState::new();
    form.set("title", said.title.clone());
    form.set("terms", said.terms.clone());
    form.set("delivery", to.currency.plain(said.delivery));
    form.set("closes", last_day(order, to.zone).to_string());
    form.set(
        "pay_until",
        said.pay_until.map_or(String::new(), |day| day.to_string()),
    );
    form
}

/// The last day on which something is added, where somebody lives.
pub fn last_day(order: &Order, zone: Tz) -> NaiveDate {
    let before = order.said.closes_at - chrono::TimeDelta::seconds(1);
    before.with_timezone(&zone).date_naive()
}

/// Reads a honey that is put on offer.
///
/// # Errors
/// When a field came twice.
pub fn offer(
    posted: &Posted,
    catalogue: &ClubCatalogue,
    to: Speaks,
) -> Result<Result<Offer, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let key = typed.line("key", 100)?;
    let kind = catalogue
        .find(&key)
        .filter(|entry| entry.kind == Kind::Honey);
    if !key.is_empty() && kind.is_none() {
        typed.form.refuse("key", "Choose one of the list.");
    }
    let called = typed.line("name", LINE_MAX)?;
    let name = match (called.as_str(), kind) {
        ("", Some(kind)) => kind.name.clone(),
        _ => called,
    };
    if name.is_empty() {
        typed.form.refuse(
            "key",
            "Choose what honey it is, or write below what it is called.",
        );
    }
    let price = price(&mut typed, "price", to)?;
    let pack = pack(&mut typed, "pack", to)?;
    Ok(match (price, pack) {
        (Some(price_per_kg), Some(pack_kg)) if typed.form.is_sound() => Ok(Offer {
            key: kind.map(|kind| kind.key.clone()),
            name,
            price_per_kg,
            pack_kg,
        }),
        _ => Err(typed.form),
    })
}

/// Reads price and pack of a honey that is offered already.
///
/// # Errors
/// When a field came twice.
pub fn corrected(
    posted: &Posted,
    honey: &str,
    to: Speaks,
) -> Result<Result<(i64, f64), FormState>, Error> {
    let mut typed = Typed::of(posted);
    let price = price(&mut typed, &format!("price-{honey}"), to)?;
    let pack = pack(&mut typed, &format!("pack-{honey}"), to)?;
    Ok(match (price, pack) {
        (Some(price), Some(pack)) if typed.form.is_sound() => Ok((price, pack)),
        _ => Err(typed.form),
    })
}

fn price(typed: &mut Typed<'_>, name: &str, to: Speaks) -> Result<Option<i64>, Error> {
    let price = typed.read(name, |text| to.currency.read(text))?;
    if typed.text(name)?.is_empty() {
        typed
            .form
            .refuse(name, "Write what a kilogram costs, such as 9.50.");
    }
    Ok(price)
}

fn pack(typed: &mut Typed<'_>, name: &str, to: Speaks) -> Result<Option<f64>, Error> {
    let pack = typed.read(name, |text| units::parse_mass(text, to.units))?;
    let why = "Write the smallest pack, from 10 g to 1000 kg, such as 12.5 kg.";
    match pack {
        Some(kg) if !(0.01..=1000.0).contains(&kg) => typed.form.refuse(name, why),
        None if typed.text(name)?.is_empty() => typed.form.refuse(name, why),
        _ => {}
    }
    Ok(pack)
}

/// What somebody adds, as typed: a recipe with a volume, or a plain amount.
pub struct Asked {
    pub honey: String,
    pub recipe: Option<String>,
    pub litres: Option<f64>,
    pub kg: Option<f64>,
}

/// Reads what somebody adds.
///
/// # Errors
/// When a field came twice.
pub fn asked(posted: &Posted, units: Units) -> Result<(Asked, FormState), Error> {
    let mut typed = Typed::of(posted);
    let honey = typed.text("honey")?.to_owned();
    let recipe = Some(typed.text("recipe")?.to_owned()).filter(|recipe| !recipe.is_empty());
    let litres = typed.read("volume", |text| units::parse_volume(text, units))?;
    let kg = typed.read("kg", |text| units::parse_mass(text, units))?;
    match (&recipe, kg) {
        (Some(_), Some(_)) => typed.form.refuse(
            "kg",
            "Leave this empty where a recipe is chosen: its numbers say how much it takes.",
        ),
        (None, Some(kg)) if kg <= 0.0 || kg > 10_000.0 => {
            typed.form.refuse("kg", "Write how much, such as 3 kg.");
        }
        (None, None) if typed.form.is_sound() => {
            typed
                .form
                .refuse("kg", "Choose a recipe, or write how much honey you want.");
        }
        _ => {}
    }
    if litres.is_some_and(|litres| litres <= 0.0) {
        typed.form.refuse("volume", "Write a volume above nothing.");
    }
    let asked = Asked {
        honey,
        recipe,
        litres,
        kg,
    };
    Ok((asked, typed.form))
}
