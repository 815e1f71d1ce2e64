//! The forms that start a batch: from text to what is kept.

use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use chrono_tz::Tz;

use crate::batches::model::NAME_MAX;
use crate::catalogue::Kind;
use crate::catalogue::club::ClubCatalogue;
use crate::engine::density::sg_of_fraction;
use crate::engine::recipe::{Aim, Amount, FeedingLevel, Finish, Recipe, Target, VERSION};
use crate::web::day;
use crate::web::error::Error;
use crate::web::policy::Visibility;
use crate::web::typed::{Typed, WHICH_TIME, instant, time_of_day};
use crate::web::units::{self, Units};

/// Who may see a batch: words in forms.
pub const READERS: &[(&str, &str)] =
    &[("club", "every member of the club"), ("private", "only me")];

/// The farthest that a mixing lies ahead, days.
const AHEAD_DAYS: i64 = 366;
/// The farthest that it lies back, days: a mead of fifty years is still one, one of a century is a slip of the pen (our judgement,
/// no published source).
const BACK_DAYS: i64 = 50 * 366;
const TOO_LONG_AGO: &str = "That is more than fifty years ago. Look at the year again.";

/// For whom a form is read.
#[derive(Clone, Copy)]
pub struct Speaks {
    pub units: Units,
    pub zone: Tz,
    pub now: DateTime<Utc>,
}

impl Speaks {
    /// The day it is where they live.
    pub fn today(&self) -> NaiveDate {
        self.now.with_timezone(&self.zone).date_naive()
    }
}

/// The name that a batch is given.
///
/// # Errors
/// When the field came twice.
pub fn name(typed: &mut Typed<'_>) -> Result<String, Error> {
    typed.wanted(
        "name",
        NAME_MAX,
        "Write what it is called, such as Heather, winter 2026.",
    )
}

/// Who may see it.
///
/// # Errors
/// When the field came twice.
pub fn readers(typed: &mut Typed<'_>) -> Result<Visibility, Error> {
    match typed.text("visibility")? {
        "club" => Ok(Visibility::Club),
        "private" => Ok(Visibility::Private),
        _ => {
            typed.form.refuse("visibility", "Choose who may see it.");
            Ok(Visibility::Private)
        }
    }
}

/// The instant of mixing, by day and time; ahead or in the past.
///
/// # Errors
/// When a field came twice.
pub fn mixing(typed: &mut Typed<'_>, to: Speaks) -> Result<Option<DateTime<Utc>>, Error> {
    let today = to.today();
    let day = match typed.text("day")? {
        "" => Some(today),
        text => near(text, today, to.units),
    };
    if day.is_none() {
        typed.form.refuse("day", day::WHAT_TO_WRITE);
    }
    let time = typed.read("time", |text| time_of_day(text).ok_or(WHICH_TIME))?;
    let time = match typed.text("time")? {
        "" => Some(to.now.with_timezone(&to.zone).time()),
        _ => time,
    };
    let at = day.zip(time).map(|(day, time)| instant(day, time, to.zone));
    if at == Some(None) {
        typed.form.refuse(
            "time",
            "The clocks leave this hour out on that day. Write another.",
        );
    }
    let at = at.flatten();
    if at.is_some_and(|at| (at - to.now).num_days() > AHEAD_DAYS) {
        typed.form.refuse("day", "Write a day within a year.");
    }
    if at.is_some_and(|at| (to.now - at).num_days() > BACK_DAYS) {
        typed.form.refuse("day", TOO_LONG_AGO);
    }
    Ok(at)
}

/// A day that may lie ahead or behind: without a year, whichever is nearer.
fn near(text: &str, today: NaiveDate, units: Units) -> Option<NaiveDate> {
    let days = [
        day::read_past(text, today, units),
        day::read(text, today, units),
    ];
    let away = |day: &NaiveDate| (*day - today).num_days().abs();
    days.into_iter().flatten().min_by_key(away)
}

/// What is known of a mead that is going already.
pub struct Going {
    pub began_at: DateTime<Utc>,
    /// Gravity then, or the gravity that was taken for it.
    pub og: f64,
    pub document: Recipe,
}

/// Reads what is known of a mead that is going already, and makes of it the recipe that it must have been.
///
/// # Errors
/// When a field came twice.
pub fn going(
    typed: &mut Typed<'_>,
    to: Speaks,
    catalogue: &ClubCatalogue,
) -> Result<Option<Going>, Error> {
    let today = to.today();
    let since = typed.day("since", to.units, |text, units| {
        day::read_past(text, today, units).filter(|day| *day <= today)
    })?;
    if since.is_none() && typed.form.fault("since").is_none() {
        typed
            .form
            .refuse("since", "Write since when, such as 3 May; about will do.");
    }
    if since.is_some_and(|since| (today - since).num_days() > BACK_DAYS) {
        typed.form.refuse("since", TOO_LONG_AGO);
    }
    let og = typed.read("og", |text| units::parse_gravity(text, sg_of_fraction))?;
    match og {
        None if typed.form.fault("og").is_none() => typed.form.refuse(
            "og",
            "Write what it began with, such as 1.090; about will do.",
        ),
        Some(og) if !(1.02..=1.2).contains(&og) => typed
            .form
            .refuse("og", "A mead begins between 1.020 and 1.200."),
        _ => {}
    }
    let volume = typed.read("volume", |text| units::parse_volume(text, to.units))?;
    match volume {
        None if typed.form.fault("volume").is_none() => typed
            .form
            .refuse("volume", "Write how much there is, such as 4.5 L."),
        Some(litres) if !(0.2..=50_000.0).contains(&litres) => typed
            .form
            .refuse("volume", "Write an amount from 0.2 L to 50,000 L."),
        _ => {}
    }
    let honey = typed.text("honey")?;
    let honey = catalogue
        .find(honey)
        .filter(|entry| entry.kind == Kind::Honey);
    if honey.is_none() {
        typed.form.refuse("honey", "Choose one of the list.");
    }
    let yeast = catalogue.find_yeast(typed.text("yeast")?);
    if yeast.is_none() {
        typed.form.refuse("yeast", "Choose one of the list.");
    }
    let (Some(since), Some(og), Some(volume_l), Some(honey), Some(yeast), true) =
        (since, og, volume, honey, yeast, typed.form.is_sound())
    else {
        return Ok(None);
    };
    let mut ingredient = honey.ingredient();
    ingredient.amount = Some(Amount::Share(1.0));
    let document = Recipe {
        version: VERSION,
        volume_l: Some(volume_l),
        aim: Aim::Target(Target::Gravity(og)),
        finish: Finish::Dry,
        ingredients: vec![ingredient],
        yeasts: vec![yeast.for_recipe()],
        feeding: FeedingLevel::Usual,
        ..Recipe::default()
    };
    // Of the time of day nobody knows; what was mixed today was mixed before now.
    let noon = NaiveTime::from_hms_opt(12, 0, 0).and_then(|noon| instant(since, noon, to.zone));
    let began_at = noon.map_or(to.now, |noon| noon.min(to.now));
    Ok(Some(Going {
        began_at,
        og,
        document,
    }))
}
