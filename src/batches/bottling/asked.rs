//! What is typed of a filling.

use chrono::{DateTime, NaiveDate, Utc};

use crate::batches::cellar::model::{PLACE_MAX, SIDE_BY_SIDE};
use crate::batches::log::forms::moment;
use crate::batches::start::Speaks;
use crate::engine::bottle::{Bottle, PrimingSugar};
use crate::engine::bottling::{Asked, Way};
use crate::engine::log::entry::Bottles;
use crate::engine::log::ranges::range_of;
use crate::web::day;
use crate::web::error::Error;
use crate::web::typed::Typed;
use crate::web::units::{self, parse_number_within, parse_whole};

/// The longest reason, in characters.
const REASON_MAX: usize = 300;
/// Sizes of bottles in one filling: the fields of size and number.
pub const ROWS: [[&str; 2]; 3] = [
    ["size_1", "count_1"],
    ["size_2", "count_2"],
    ["size_3", "count_3"],
];

/// A filling that is asked for.
pub struct Filling {
    pub asked: Asked,
    pub bottles: Vec<Bottles>,
    pub at: DateTime<Utc>,
    pub place: String,
    /// How many are kept back, and until when.
    pub kept: Option<(i32, NaiveDate)>,
    pub is_all: bool,
    pub reason: String,
}

fn chosen<T: Copy>(
    typed: &mut Typed<'_>,
    name: &str,
    all: &[T],
    word: fn(T) -> &'static str,
) -> Result<Option<T>, Error> {
    let text = typed.text(name)?;
    let found = all.iter().copied().find(|one| word(*one) == text);
    if found.is_none() {
        typed.form.refuse(name, "Choose one of the list.");
    }
    Ok(found)
}

/// °C that the relations hold for.
fn celsius(typed: &mut Typed<'_>, name: &str, to: Speaks) -> Result<Option<f64>, Error> {
    let celsius = typed.read(name, |text| units::parse_temperature(text, to.units))?;
    if celsius.is_some_and(|celsius| !(0.0..=40.0).contains(&celsius)) {
        typed.form.refuse(
            name,
            "Write a temperature from 0 to 40 °C: nothing is reckoned beyond.",
        );
        return Ok(None);
    }
    Ok(celsius)
}

fn volume(typed: &mut Typed<'_>, name: &str, key: &str, to: Speaks) -> Result<Option<f64>, Error> {
    let litres = typed.read(name, |text| units::parse_volume(text, to.units))?;
    let beyond = litres
        .zip(range_of(key))
        .is_some_and(|(litres, range)| !range.holds(litres));
    if beyond {
        typed
            .form
            .refuse(name, "That is beyond anything a mead can be. Look again.");
    }
    Ok(litres.filter(|_| !beyond))
}

fn bottles(typed: &mut Typed<'_>, to: Speaks) -> Result<Vec<Bottles>, Error> {
    let mut all = Vec::new();
    for [size, count] in ROWS {
        let size_l = volume(typed, size, "size_l", to)?;
        let many = typed.read(count, |text| {
            parse_whole(text, 0, 100_000).map_err(|_| "Write a whole number, such as 12.")
        })?;
        match (size_l, many.map(i32::unsigned_abs)) {
            (Some(size_l), Some(count)) if count > 0 => all.push(Bottles { size_l, count }),
            (None, Some(many)) if many > 0 && typed.form.fault(size).is_none() => {
                typed
                    .form
                    .refuse(size, "Write what one holds, such as 750 ml.");
            }
            _ => {}
        }
    }
    Ok(all)
}

/// Reads it; with faults there is none, and they stand in the form.
///
/// # Errors
/// When a field came twice.
pub fn filling(typed: &mut Typed<'_>, to: Speaks) -> Result<Option<Filling>, Error> {
    let way = chosen(typed, "way", &Way::ALL, Way::as_str)?;
    let bottle = chosen(typed, "bottle", &Bottle::ALL, Bottle::as_str)?;
    let sugar = chosen(typed, "sugar", &PrimingSugar::ALL, PrimingSugar::as_str)?;
    let volumes = typed.read("volumes", |text| {
        parse_number_within(text, 0.0, 10.0).map_err(|_| "Write volumes from 0 to 10, such as 2.5.")
    })?;
    let warmest_c = celsius(typed, "warmest", to)?;
    let keg_c = celsius(typed, "keg", to)?;
    let bottles = bottles(typed, to)?;
    let in_keg = volume(typed, "litres", "litres", to)?;
    let degassed = typed.text("degassed")? == "yes";
    let place = typed.line("place", PLACE_MAX)?;
    let reason = typed.lines("reason", REASON_MAX)?;
    let at = moment(typed, to)?;
    let keeps = typed.text("kept")? == "yes";
    let until = typed.day("kept_until", to.units, |text, units| {
        day::read(text, to.today(), units)
    })?;
    if keeps && until.is_none() && typed.form.fault("kept_until").is_none() {
        typed
            .form
            .refuse("kept_until", "Write until when, so that you are reminded.");
    }
    let in_bottles: f64 = bottles
        .iter()
        .map(|one| one.size_l * f64::from(one.count))
        .sum();
    let litres = match way {
        Some(Way::Kegged) => in_keg.unwrap_or(0.0),
        _ => in_bottles,
    };
    if litres <= 0.0 && typed.form.is_sound() {
        match way {
            Some(Way::Kegged) => typed
                .form
                .refuse("litres", "Write how much goes into the keg."),
            _ => typed.form.refuse("count_1", "Write how many bottles."),
        }
    }
    let is_all = typed.text("all")? == "yes";
    let ((Some(way), Some(bottle)), (Some(sugar), Some(at)), true) =
        ((way, bottle), (sugar, at), typed.form.is_sound())
    else {
        return Ok(None);
    };
    Ok(Some(Filling {
        asked: Asked {
            way,
            litres,
            bottle,
            volumes: volumes.filter(|_| way != Way::Still),
            sugar,
            warmest_c,
            degassed,
            keg_c,
        },
        bottles: match way {
            Way::Kegged => Vec::new(),
            Way::Still | Way::Primed => bottles,
        },
        at,
        place,
        kept: until.filter(|_| keeps).map(|until| (SIDE_BY_SIDE, until)),
        is_all,
        reason,
    }))
}
