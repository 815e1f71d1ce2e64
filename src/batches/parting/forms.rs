//! The form that parts a batch: which vessels, how much each, and what will differ.

use chrono::{DateTime, NaiveTime, Utc};

use crate::batches::start::Speaks;
use crate::vessels::model::Vessel;
use crate::web::day;
use crate::web::error::Error;
use crate::web::typed::{Typed, WHICH_TIME, instant, time_of_day};
use crate::web::units::parse_volume;

/// The parts that a form takes at once.
pub const ROWS: usize = 6;
/// The longest difference, in characters.
const DIFFERENCE_MAX: usize = 500;

/// A part that is wanted.
pub struct Wanted {
    /// Its row in the form.
    pub row: usize,
    pub litres: f64,
    pub vessel: Option<Vessel>,
    pub difference: String,
}

/// What the form wants.
pub struct Parting {
    pub at: DateTime<Utc>,
    pub parts: Vec<Wanted>,
    pub rest_stays: bool,
    /// It was said that there was no more, whatever the log reckons.
    pub is_all: bool,
}

/// When it was: nothing for now; not ahead, and not before the batch began.
///
/// # Errors
/// When a field came twice.
pub fn moment(
    typed: &mut Typed<'_>,
    to: Speaks,
    began_at: DateTime<Utc>,
) -> Result<Option<DateTime<Utc>>, Error> {
    let today = to.today();
    let day = typed.day("day", to.units, |text, units| {
        day::read_past(text, today, units)
    })?;
    let time = typed.read("time", |text| time_of_day(text).ok_or(WHICH_TIME))?;
    if !typed.form.is_sound() {
        return Ok(None);
    }
    let at = match (day, time) {
        (None, None) => return Ok(Some(to.now)),
        (day, time) => {
            // Of another day nobody said the time: noon stands for it.
            let noon = NaiveTime::from_hms_opt(12, 0, 0).unwrap_or_default();
            instant(day.unwrap_or(today), time.unwrap_or(noon), to.zone)
        }
    };
    match at {
        Some(at) if at > to.now => typed
            .form
            .refuse("day", "That lies ahead. Write when it was."),
        Some(at) if at < began_at => typed
            .form
            .refuse("day", "That is before the batch was mixed."),
        Some(_) => {}
        None => typed.form.refuse(
            "time",
            "The clocks leave this hour out on that day. Write another.",
        ),
    }
    Ok(at.filter(|_| typed.form.is_sound()))
}

/// Litres in a field; something above nothing.
///
/// # Errors
/// When the field came twice.
pub fn litres(typed: &mut Typed<'_>, name: &str, to: Speaks) -> Result<Option<f64>, Error> {
    let litres = typed.read(name, |text| parse_volume(text, to.units))?;
    if litres.is_some_and(|litres| !(0.01..=100_000.0).contains(&litres)) {
        typed.form.refuse(name, "Write how much, such as 4.5 L.");
    }
    Ok(litres)
}

/// Reads the form.
///
/// # Errors
/// When a field came twice.
pub fn parting(
    typed: &mut Typed<'_>,
    to: Speaks,
    began_at: DateTime<Utc>,
    vessels: &[Vessel],
) -> Result<Option<Parting>, Error> {
    let at = moment(typed, to, began_at)?;
    let mut parts = Vec::new();
    for row in 1..=ROWS {
        let name = |field: &str| format!("{field}-{row}");
        let much = litres(typed, &name("litres"), to)?;
        let key = typed.text(&name("vessel"))?;
        let vessel = vessels.iter().find(|vessel| vessel.public_id == key);
        if vessel.is_none() && !key.is_empty() {
            typed
                .form
                .refuse(&name("vessel"), "Choose one of the list.");
        }
        let difference = typed.lines(&name("difference"), DIFFERENCE_MAX)?;
        match much {
            Some(litres) => parts.push(Wanted {
                row,
                litres,
                vessel: vessel.cloned(),
                difference,
            }),
            None if !(key.is_empty() && difference.is_empty())
                && typed.form.fault(&name("litres")).is_none() =>
            {
                typed.form.refuse(
                    &name("litres"),
                    "Write how much goes into it, such as 4.5 L.",
                );
            }
            None => {}
        }
    }
    if parts.is_empty() && typed.form.is_sound() {
        typed.form.refuse(
            "litres-1",
            "Write how much goes into the first part, such as 4.5 L.",
        );
    }
    let rest_stays = match typed.text("rest")? {
        "stays" => true,
        "none" => false,
        _ => {
            typed
                .form
                .refuse("rest", "Choose whether something stays here.");
            true
        }
    };
    let is_all = typed.text("all")? == "yes";
    let at = at.filter(|_| typed.form.is_sound());
    Ok(at.map(|at| Parting {
        at,
        parts,
        rest_stays,
        is_all,
    }))
}
