//! Trials whose day comes, for the first page and the calendar.

use chrono::{Days, NaiveDate};
use sqlx::PgConnection;

use super::store::{self, Ahead};
use crate::app::App;
use crate::batches::paths;
use crate::batches::plan::due::Wanted;
use crate::web::calendar::{Event, When};
use crate::web::dates::date;
use crate::web::error::Error;
use crate::web::typed::instant;
use crate::web::viewer::Member;

/// So many days ahead the first page tells of it: guests want to be asked.
const AHEAD_DAYS: u64 = 7;

/// The day from which the first page tells of it.
fn told_from(day: NaiveDate) -> NaiveDate {
    day.checked_sub_days(Days::new(AHEAD_DAYS)).unwrap_or(day)
}

fn url(app: &App, trial: &Ahead) -> String {
    app.site
        .base()
        .link(&paths::SPLIT_TRIAL.with(&[trial.batch.as_str()]))
}

/// What the first page tells.
///
/// # Errors
/// When the database does not answer.
pub async fn wanted(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Vec<Wanted>, Error> {
    let zone = member.settings.zone;
    let now = app.clock.now();
    let today = now.with_timezone(&zone).date_naive();
    let all = store::ahead(conn, member.id).await?.into_iter();
    Ok(all
        .filter(|trial| told_from(trial.taste_on) <= today)
        .map(|trial| Wanted {
            url: url(app, &trial),
            words: format!("Taste the parts blind: {}", trial.name),
            detail: match trial.taste_on <= today {
                true => format!("{}, its day has come", trial.question),
                false => format!("{}, on {}", trial.question, date(trial.taste_on)),
            },
            since: instant(told_from(trial.taste_on), chrono::NaiveTime::MIN, zone).unwrap_or(now),
        })
        .collect())
}

/// What a calendar holds.
///
/// # Errors
/// When the database does not answer.
pub async fn events(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Vec<Event>, Error> {
    let all = store::ahead(conn, member.id).await?.into_iter();
    Ok(all
        .map(|trial| Event {
            uid: format!("{}-trial@{}", trial.batch.as_str(), app.site.host()),
            sequence: trial.version,
            changed_at: trial.changed_at,
            when: When::Day(trial.taste_on),
            title: format!("Taste the parts blind: {}", trial.name),
            place: String::new(),
            about: trial.question.clone(),
            url: format!("{}{}", app.site.origin(), url(app, &trial)),
            cancelled: false,
        })
        .collect())
}
