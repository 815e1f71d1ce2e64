//! Is it finished? What the log shows, what is missing, when to read again; and going on all the same, for a reason.

use askama::Template;
use axum::extract::{Path, State};
use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;

use super::passing::{self, Danger};
use super::shared::{Head, address, entries, now_h, once_of, shell, write};
use super::verdict;
use crate::app::App;
use crate::batches::opened::{Opened, open_own};
use crate::batches::paths;
use crate::batches::plan::held;
use crate::engine::finish::still::{Lacking, Read, Verdict};
use crate::engine::log::Deed;
use crate::web::dates::{day, moment};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::units::{self, Units};
use crate::web::viewer::Member;

#[derive(Template)]
#[template(path = "batches/finishing/finished.html")]
struct FinishedPage {
    shell: Shell,
    head: Head,
    lead: String,
    /// What is missing, each with what to do.
    lacking: Vec<Missing>,
    read_again: String,
    sugar: String,
    /// Why somebody went on all the same; empty where nobody did.
    went_on: String,
    log_url: String,
    next_url: String,
    action: String,
    form: FormState,
    once: String,
}

/// Something that is missing; where the reading is corrected of which something was not said, and its day.
struct Missing {
    words: String,
    entry: Option<(String, String)>,
}

impl Missing {
    fn of(app: &App, opened: &Opened, one: &Lacking, reader: Reader) -> Missing {
        let unsaid = match one {
            Lacking::Degassing { hours } | Lacking::Temperature { hours } => Some(*hours),
            _ => None,
        };
        let entry = unsaid.and_then(|hours| {
            let mut entries = opened.entries.iter();
            let read = entries
                .find(|entry| entry.hours == hours && matches!(&entry.deed, Deed::Reading(_)))?;
            let (id, number) = (opened.batch.public_id.as_str(), read.entry.to_string());
            let path = paths::ENTRY.with(&[id, &number]);
            Some((day_of(opened, hours, reader), app.site.base().link(&path)))
        });
        Missing {
            words: lacking(opened, one, reader),
            entry,
        }
    }
}

/// For whom a verdict is put into words.
#[derive(Clone, Copy)]
pub struct Reader {
    pub zone: Tz,
    pub units: Units,
}

impl Reader {
    /// A member.
    pub fn of(member: &Member) -> Reader {
        Reader {
            zone: member.settings.zone,
            units: member.settings.units,
        }
    }
}

fn finished_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    form: FormState,
) -> Result<FinishedPage, Error> {
    let found = verdict(opened, now_h(app, opened));
    let reader = Reader::of(member);
    let left = found.fermentable_g_per_l(opened.state.expected.fermentable_g_per_l);
    Ok(FinishedPage {
        shell: shell(app, member),
        head: Head::of(app, opened),
        lead: lead(opened, &found, reader),
        lacking: found
            .lacking
            .iter()
            .map(|one| Missing::of(app, opened, one, reader))
            .collect(),
        read_again: read_again(opened, &found, app.clock.now(), reader),
        sugar: match found.is_finished() {
            true => format!(
                "At most {} of sugar that yeast could still use is assumed in it.",
                units::grams_per_litre(left)
            ),
            false => format!(
                "By the forecast some {} of sugar could still ferment.",
                units::grams_per_litre(left)
            ),
        },
        went_on: Danger::NotFinished
            .reason_given(opened)
            .unwrap_or_default()
            .to_owned(),
        log_url: address(app, opened, paths::LOG),
        next_url: address(app, opened, paths::STABILISE),
        action: address(app, opened, paths::GO_ON_UNFINISHED),
        once: once_of(&form, member)?,
        form,
    })
}

fn at(opened: &Opened, hours: f64) -> Option<DateTime<Utc>> {
    opened.batch.at_hours(hours)
}

fn day_of(opened: &Opened, hours: f64, reader: Reader) -> String {
    at(opened, hours).map_or_else(String::new, |at| day(at, reader.zone))
}

/// The sentence that leads: yes with the readings that show it, or not yet.
pub fn lead(opened: &Opened, found: &Verdict, reader: Reader) -> String {
    let told = |read: &Read| {
        let on = day_of(opened, read.hours, reader);
        format!("{} on {on}", units::gravity(read.sg))
    };
    match (&found.shown_by, found.is_finished()) {
        (Some((first, last)), true) => format!(
            "Yes: {} and {}, without gas and warm enough.",
            told(first),
            told(last)
        ),
        (Some((first, last)), false) => format!(
            "It stands still, {} and {}, but it may begin again.",
            told(first),
            told(last)
        ),
        (None, _) => "Nobody can say so yet.".to_owned(),
    }
}

/// What is missing, and what to do about it.
pub fn lacking(opened: &Opened, one: &Lacking, reader: Reader) -> String {
    let on = |hours: f64| day_of(opened, hours, reader);
    let heat = |celsius: f64| units::temperature(celsius, reader.units);
    let least = heat(crate::engine::finish::still::LEAST_C);
    match one {
        Lacking::Reading => "No gravity was read since the last sugar went in. Stir the gas out of a sample, read it, and write down how warm the mead is.".to_owned(),
        Lacking::Rest { by_sg, days } => {
            let points = units::plain(1000.0 * by_sg.abs(), 1);
            let days = units::plain(*days, 0);
            let moves = match *by_sg > 0.0 {
                true => format!("The gravity still falls: {points} points in the last {days} days."),
                false => format!("The gravity rose by {points} points in the last {days} days. Sugar does not come back: look at both readings."),
            };
            format!("{moves} Two readings must be the same to one point, 0.001.")
        }
        Lacking::Time { days } if *days < 0.5 => "One reading counts so far. A second one, 14 days after it, must be the same to 0.001.".to_owned(),
        Lacking::Time { days } => format!(
            "The readings that count lie {} days apart. It takes 14.",
            units::plain(*days, 0)
        ),
        Lacking::Degassing { hours } => format!(
            "Of the reading of {} nobody said that the gas was stirred out first. Gas lifts the hydrometer: tick it next time, or correct the entry if you did.",
            on(*hours)
        ),
        Lacking::Warmth { hours, celsius } => format!(
            "On {} the mead had {}. Below {least} yeast sleeps, and a sleeping yeast looks finished: bring it to {least} or more for two weeks.",
            on(*hours),
            heat(*celsius)
        ),
        Lacking::Temperature { hours } => format!(
            "How warm the mead was on {} is not written down. It must have {least} or more.",
            on(*hours)
        ),
        Lacking::Tolerance => "How much alcohol the yeast bears is not known. Write it down where the yeast was pitched.".to_owned(),
        Lacking::Headroom { abv_percent, tolerance_abv_percent } => format!(
            "At {} the yeast is near its limit of about {}. It may have stopped of the alcohol and begin again: stabilise it, even if it is to stay dry, and never count it as finished by its gravity alone.",
            units::abv(*abv_percent),
            units::abv(*tolerance_abv_percent)
        ),
    }
}

/// When to read again; empty where no reading is missing.
pub fn read_again(opened: &Opened, found: &Verdict, now: DateTime<Utc>, reader: Reader) -> String {
    let again = found.read_again_h.and_then(|hours| at(opened, hours));
    match again {
        None => String::new(),
        // What is due this minute is due now.
        Some(again) if again <= now + TimeDelta::minutes(1) => {
            "Read it now: without gas, at 18 °C or more, and write both down.".to_owned()
        }
        Some(again) => format!("Read it again on {}, or later.", moment(again, reader.zone)),
    }
}

pub(super) async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    page(&finished_page(&app, &member, &opened, FormState::new())?)
}

pub(super) async fn go_on(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let (once, route) = (Once::read(&posted, &member)?, paths::GO_ON_UNFINISHED);
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let deeds = passing::read(&mut typed, &[Danger::NotFinished])?;
    if !typed.form.is_sound() {
        return form_again(&finished_page(&app, &member, &opened, typed.form)?);
    }
    let entries = entries(deeds, app.clock.now(), &member);
    let to = paths::STABILISE.with(&[&id]);
    write(&app, tx, (&member, &opened), &entries, (&once, route, &to)).await
}
