//! What a member's batches want, as a calendar to which theirs subscribes.

use axum::extract::{Path, State};
use axum::http::HeaderMap;
use chrono::{DateTime, TimeDelta, Utc};
use sha2::{Digest, Sha256};
use sqlx::PgConnection;

use super::due::going;
use super::view::{Reader, view};
use super::when::{Reads, Timing};
use super::{planned, store};
use crate::app::App;
use crate::batches::model::BatchId;
use crate::batches::opened::Opened;
use crate::batches::trials;
use crate::members::tokens::pages::comes_by;
use crate::web::calendar::{Event, KIND, When, write};
use crate::web::error::Error;
use crate::web::grant::Grant;
use crate::web::pages::{Answer, news_of};
use crate::web::units;

/// What a moment takes in a calendar, minutes.
const MINUTES: i64 = 30;

pub(super) async fn show(
    State(app): State<App>,
    headers: HeaderMap,
    Path(file): Path<String>,
) -> Answer {
    let token = file.strip_suffix(".ics").ok_or_else(Error::not_found)?;
    let mut conn = app.pool.acquire().await?;
    let member = comes_by(&app, &mut conn, token, Grant::Calendar).await?;
    let now = app.clock.now();
    let batches = going(&mut conn, &member, now).await?;
    let reads = Reads {
        now,
        zone: member.settings.zone,
    };
    let reader = |opened: &Opened| Reader {
        base: app.site.base(),
        reads,
        units: member.settings.units,
        is_own: opened.batch.owner == member.id,
    };
    let mut events = trials::due::events(&app, &mut conn, &member).await?;
    for opened in &batches {
        let steps = events_of(&app, opened, reader(opened));
        events.extend(numbered(&mut conn, opened.batch.id, steps, now).await?);
    }
    drop(conn);
    let name = format!("{}: my batches", app.site.club_name());
    news_of(
        &headers,
        KIND,
        write("Batches", &name, &events),
        "private, no-cache",
    )
}

/// The open steps of a batch that have a time, by their keys; when each was last changed is still to be told.
fn events_of(app: &App, opened: &Opened, reader: Reader<'_>) -> Vec<(String, Event)> {
    let batch = &opened.batch;
    let all = planned(opened, reader.reads);
    let open = all.iter().filter(|placed| placed.is_open());
    open.filter_map(|placed| {
        let timing = placed.timing?;
        let shown = view(opened, placed, reader);
        let url = format!("{}{}", app.site.origin(), shown.url);
        let first = placed
            .step
            .due
            .or_at_sg
            .map(|sg| format!("Or when it reads {}.", units::gravity(sg)));
        let much: Vec<String> = shown
            .amounts
            .iter()
            .map(|line| line.words.clone())
            .collect();
        let about = [Some(much.join("\n")), first, Some(shown.why)];
        let about: Vec<String> = about
            .into_iter()
            .flatten()
            .filter(|text| !text.is_empty())
            .collect();
        let event = Event {
            uid: format!(
                "{}-{}@{}",
                batch.public_id.as_str(),
                shown.key,
                app.site.host()
            ),
            sequence: 0,
            changed_at: batch.created_at,
            when: match timing {
                Timing::Moment { at, .. } => When::Between(at, at + TimeDelta::minutes(MINUTES)),
                Timing::Day { day, .. } => When::Day(day),
            },
            title: format!("{}: {}", shown.name, batch.name),
            place: String::new(),
            about: about.join("\n\n"),
            url,
            cancelled: false,
        };
        Some((shown.key, event))
    })
    .collect()
}

/// The same, each with its number and the moment since which it is told so. A date shifts also while nothing is written down:
/// what was told last is compared with what is told now.
async fn numbered(
    conn: &mut PgConnection,
    batch: BatchId,
    steps: Vec<(String, Event)>,
    now: DateTime<Utc>,
) -> Result<Vec<Event>, Error> {
    let told: Vec<(String, Vec<u8>)> = steps
        .iter()
        .map(|(step, event)| (step.clone(), digest(event)))
        .collect();
    let mut known = store::told(conn, batch).await?;
    let is_new = |(step, digest): &&(String, Vec<u8>)| {
        let before = known.get(step.as_str());
        before.is_none_or(|before| before.told != *digest)
    };
    let changed: Vec<&(String, Vec<u8>)> = told.iter().filter(is_new).collect();
    if !changed.is_empty() {
        store::tell(conn, batch, &changed, now).await?;
        known = store::told(conn, batch).await?;
    }
    let numbered = steps
        .into_iter()
        .map(|(step, event)| match known.get(&step) {
            Some(told) => Event {
                sequence: told.sequence,
                changed_at: told.changed_at,
                ..event
            },
            None => event,
        });
    Ok(numbered.collect())
}

/// What of an event its reader sees.
fn digest(event: &Event) -> Vec<u8> {
    let seen = format!(
        "{:?}\n{}\n{}\n{}",
        event.when, event.title, event.about, event.url
    );
    Sha256::digest(seen).to_vec()
}
