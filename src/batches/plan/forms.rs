//! A step that is done, left out or moved: from what was typed to entries of the log.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveTime, Utc};

use super::fields::{DEGASSED, of_amount, reckoned, weighs};
use super::going_in::{goes_in, later_yeast, pitch};
use crate::batches::log::forms::moment;
use crate::batches::model::NewEntry;
use crate::batches::opened::Opened;
use crate::batches::start::Speaks;
use crate::engine::density::sg_of_fraction;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Mixed, Rack, Reading, Tasting};
use crate::engine::log::ranges::range_of;
use crate::engine::plan::{Amount, Step, StepKind as Kind};
use crate::vessels::instruments::{Hydrometer, Owned, What as Tool};
use crate::web::day;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::typed::{Typed, WHICH_TIME, instant, time_of_day};
use crate::web::units::{self, MassUnit};
use crate::web::viewer::MemberId;

/// The longest reason, in characters.
const REASON_MAX: usize = 300;
/// The longest words on a taste, in characters.
const TASTE_MAX: usize = 2000;
/// What most hydrometers are marked for.
const USUAL: Hydrometer = Hydrometer {
    in_water_sg: 1.0,
    marked_for_c: 20.0,
    step_sg: 0.002,
};

/// For whom a step is done.
pub struct Case<'a> {
    pub opened: &'a Opened,
    pub step: &'a Step,
    pub to: Speaks,
    pub by: MemberId,
    /// The member's hydrometers: public id, name and what they are.
    pub hydrometers: &'a [(String, String, Hydrometer)],
}

/// A step that is done.
pub struct Done {
    pub at: DateTime<Utc>,
    /// What goes into the log besides.
    pub entries: Vec<NewEntry>,
}

/// The hydrometers among a member's instruments in use.
pub fn hydrometers(tools: Vec<Owned>) -> Vec<(String, String, Hydrometer)> {
    let tools = tools.into_iter().filter(|tool| !tool.retired);
    tools
        .filter_map(|tool| match tool.is.what {
            Tool::Hydrometer(is) => Some((tool.public_id, tool.is.name, is)),
            _ => None,
        })
        .collect()
}

/// Reads what was typed of a step that is done. A form without its fields, a button alone, takes what the plan has.
///
/// # Errors
/// When a field came twice.
pub fn done(
    typed: &mut Typed<'_>,
    posted: &Posted,
    case: &Case<'_>,
) -> Result<Option<Done>, Error> {
    let at = moment(typed, case.to)?;
    let deeds = deeds(typed, posted, case)?;
    let Some(at) = at.filter(|_| typed.form.is_sound()) else {
        return Ok(None);
    };
    let of = |deed| {
        let mut entry = NewEntry::of(deed, at, case.by);
        if matches!(entry.deed, Deed::Reading(_) | Deed::Mixed(_)) {
            entry.typed = as_typed(posted);
        }
        entry
    };
    Ok(Some(Done {
        at,
        entries: deeds.into_iter().map(of).collect(),
    }))
}

fn as_typed(posted: &Posted) -> BTreeMap<String, String> {
    let pairs = posted.pairs().iter();
    pairs
        .filter(|(name, text)| {
            matches!(
                name.as_str(),
                "gravity" | "temperature" | "must_temperature" | "instrument" | "ph" | "volume"
            ) && !text.trim().is_empty()
        })
        .map(|(name, text)| (name.clone(), text.trim().to_owned()))
        .collect()
}

fn deeds(typed: &mut Typed<'_>, posted: &Posted, case: &Case<'_>) -> Result<Vec<Deed>, Error> {
    let step = case.step;
    let mut deeds = Vec::new();
    match step.kind {
        Kind::Mix => deeds.push(Deed::Mixed(mixed(typed, case)?)),
        Kind::Break | Kind::End | Kind::Stop | Kind::FruitOut | Kind::HoneyFeed => {
            let wanted = !matches!(step.kind, Kind::FruitOut | Kind::HoneyFeed);
            deeds.extend(gravity(typed, case, wanted)?.map(Deed::Reading));
        }
        Kind::Ph | Kind::FreeSo2 => deeds.push(Deed::Reading(chemistry(typed, step.kind)?)),
        Kind::Aerate => deeds.push(Deed::Aerate),
        Kind::Degas => deeds.push(Deed::Degas),
        Kind::LaterYeast => deeds.extend(later_yeast(case).map(Deed::Pitch)),
        Kind::Rack => deeds.push(Deed::Rack(Rack {
            volume_l: volume(typed, case)?,
            ..Rack::default()
        })),
        Kind::Taste => deeds.extend(tasting(typed)?.map(Deed::Tasting)),
        _ => {}
    }
    for (index, amount) in step.amounts.iter().enumerate() {
        let kg = weighed(typed, posted, case, (index, amount))?;
        deeds.extend(kg.and_then(|kg| goes_in(case, amount, kg)));
    }
    if step.kind == Kind::Pitch && deeds.is_empty() {
        deeds.push(Deed::Pitch(pitch(case, None)));
    }
    Ok(deeds)
}

/// Kilograms of what a field holds; of a form without that field, of what the plan has.
fn weighed(
    typed: &mut Typed<'_>,
    posted: &Posted,
    case: &Case<'_>,
    (index, amount): (usize, &Amount),
) -> Result<Option<f64>, Error> {
    let planned = weighs(case.step, amount).map(|(_, kg)| kg);
    if planned.is_none() && reckoned(case.step, amount).is_none() {
        return Ok(None);
    }
    let name = of_amount(index);
    if !posted.has(&name) {
        return Ok(planned);
    }
    let small = planned.is_none_or(|kg| kg < 0.1);
    let kg = typed.read(&name, |text| match small {
        true => units::parse_mass_in(text, MassUnit::Gram).map_err(|fault| fault.to_string()),
        false => units::parse_mass(text, case.to.units).map_err(|fault| fault.to_string()),
    })?;
    let beyond = kg.is_some_and(|kg| !(0.0..=100_000.0).contains(&kg));
    let sulfite = case.step.kind == Kind::Stabilise && kg.is_none();
    if beyond {
        typed
            .form
            .refuse(&name, "That is beyond anything a mead can be. Look again.");
    } else if typed.form.fault(&name).is_none() && kg.is_none() && (planned.is_some() || sulfite) {
        typed
            .form
            .refuse(&name, "Write how much went in; 0 g where it was left out.");
    }
    Ok(kg.filter(|kg| *kg > 0.0))
}

fn mixed(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Mixed, Error> {
    let waits = case
        .step
        .amounts
        .iter()
        .any(|amount| matches!(amount, Amount::HeldBack { .. }));
    // Without it the log would count the honey that waits twice.
    let read = gravity(typed, case, waits)?;
    Ok(Mixed {
        sg: read.and_then(|read| read.sg),
        volume_l: volume(typed, case)?,
        temperature_c: None,
    })
}

fn in_range(typed: &mut Typed<'_>, field: &str, key: &str, value: Option<f64>) {
    let beyond = value
        .zip(range_of(key))
        .is_some_and(|(value, range)| !range.holds(value));
    if beyond {
        typed
            .form
            .refuse(field, "That is beyond anything a mead can be. Look again.");
    }
}

fn volume(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<f64>, Error> {
    let litres = typed.read("volume", |text| units::parse_volume(text, case.to.units))?;
    in_range(typed, "volume", "volume_l", litres);
    Ok(litres)
}

fn celsius(
    typed: &mut Typed<'_>,
    case: &Case<'_>,
    field: &str,
    key: &str,
) -> Result<Option<f64>, Error> {
    let celsius = typed.read(field, |text| units::parse_temperature(text, case.to.units))?;
    in_range(typed, field, key, celsius);
    Ok(celsius)
}

/// What the hydrometer shows, corrected by the temperature of the sample.
fn gravity(typed: &mut Typed<'_>, case: &Case<'_>, wanted: bool) -> Result<Option<Reading>, Error> {
    const WRITE: &str = "Write a gravity from 0.900 to 1.300, such as 1058.";
    let shown = typed.read("gravity", |text| {
        units::parse_gravity(text, sg_of_fraction).map_err(|fault| fault.to_string())
    })?;
    if shown.is_some_and(|sg| range_of("read_sg").is_some_and(|range| !range.holds(sg)))
        || shown.is_none() && wanted && typed.form.fault("gravity").is_none()
    {
        typed.form.refuse("gravity", WRITE);
    }
    let at_c = celsius(typed, case, "temperature", "temperature_c")?;
    let must_c = celsius(typed, case, "must_temperature", "must_temperature_c")?;
    let degassed = typed.text(DEGASSED)? == "yes";
    let instrument = typed.text("instrument")?;
    let chosen = case.hydrometers.iter().find(|(id, _, _)| id == instrument);
    if chosen.is_none() && !instrument.is_empty() {
        typed.form.refuse("instrument", "Choose one of the list.");
    }
    let Some(shown) = shown.filter(|_| typed.form.is_sound()) else {
        return Ok(None);
    };
    let hydrometer = chosen.map_or(&USUAL, |(_, _, is)| is);
    let abv = case.opened.state.abv_percent;
    let sg = match at_c {
        None => Some(shown - (hydrometer.in_water_sg - 1.0)),
        Some(at_c) => hydrometer.corrected(shown, at_c, abv),
    };
    if sg.is_none() {
        typed.form.refuse(
            "temperature",
            "It cannot be corrected at this temperature. Let the sample come to between 5 and 40 °C, and read again.",
        );
    }
    Ok(Some(Reading {
        sg,
        read_sg: Some(shown),
        temperature_c: at_c,
        must_temperature_c: must_c,
        degassed: degassed.then_some(true),
        instrument: chosen.map(|(_, name, _)| name.clone()),
        ..Reading::default()
    }))
}

fn chemistry(typed: &mut Typed<'_>, kind: Kind) -> Result<Reading, Error> {
    let ph = typed.read("ph", |text| {
        units::parse_number_within(text, 2.0, 8.0)
            .map_err(|_| "Write a pH from 2 to 8, such as 3.4.")
    })?;
    let free = typed.read("free", |text| {
        units::parse_number_within(text, 0.0, 500.0)
            .map_err(|_| "Write the free sulfite in mg/L, such as 25.")
    })?;
    let (field, missing) = match kind {
        Kind::FreeSo2 => ("free", free.is_none()),
        _ => ("ph", ph.is_none()),
    };
    if missing && typed.form.fault(field).is_none() {
        typed.form.refuse(field, "Write what you measured.");
    }
    Ok(Reading {
        ph,
        free_so2_mg_per_l: free,
        ..Reading::default()
    })
}

fn tasting(typed: &mut Typed<'_>) -> Result<Option<Tasting>, Error> {
    let text = typed.lines("taste", TASTE_MAX)?;
    let liking = typed.read("liking", |text| {
        units::parse_whole(text, 1, 9).map_err(|_| "Write a whole number from 1 to 9.")
    })?;
    let text = (!text.is_empty()).then_some(text);
    if text.is_none() && liking.is_none() && typed.form.is_sound() {
        typed
            .form
            .refuse("taste", "Write what it tastes like, in a word or two.");
    }
    Ok(Some(Tasting {
        text,
        liking,
        ..Tasting::default()
    }))
}

/// Why a step is left out.
///
/// # Errors
/// When a field came twice.
pub fn reason(typed: &mut Typed<'_>) -> Result<Option<String>, Error> {
    let why = "Write why in a few words: whoever reads the log later wants to know.";
    let reason = typed.wanted("reason", REASON_MAX, why)?;
    Ok(typed.form.is_sound().then_some(reason))
}

/// The moment to which a step is moved; without a time of day, noon.
///
/// # Errors
/// When a field came twice.
pub fn moved(typed: &mut Typed<'_>, to: Speaks) -> Result<Option<DateTime<Utc>>, Error> {
    let today = to.today();
    let day = typed.day("to_day", to.units, |text, units| {
        day::read(text, today, units)
    })?;
    if day.is_none() && typed.form.fault("to_day").is_none() {
        typed.form.refuse("to_day", day::WHAT_TO_WRITE);
    }
    let time = typed.read("to_time", |text| time_of_day(text).ok_or(WHICH_TIME))?;
    let time = time.or_else(|| NaiveTime::from_hms_opt(12, 0, 0));
    let at = day
        .zip(time)
        .and_then(|(day, time)| instant(day, time, to.zone));
    if day.is_some_and(|day| day < today || (day - today).num_days() > 1500) {
        typed
            .form
            .refuse("to_day", "Write a day to come, within four years.");
    }
    if at.is_none() && typed.form.is_sound() {
        typed.form.refuse(
            "to_time",
            "The clocks leave this hour out on that day. Write another.",
        );
    }
    Ok(at.filter(|_| typed.form.is_sound()))
}
