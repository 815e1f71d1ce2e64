//! What a member's batches want, as a calendar to which theirs subscribes.

use axum::extract::{Path, State};
use axum::http::HeaderMap;
use chrono::TimeDelta;

use super::due::going;
use super::planned;
use super::view::{Reader, view};
use super::when::{Reads, Timing};
use crate::app::App;
use crate::batches::opened::Opened;
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
    drop(conn);
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
    let events: Vec<Event> = batches
        .iter()
        .flat_map(|opened| events(&app, opened, reader(opened)))
        .collect();
    let name = format!("{}: my batches", app.site.club_name());
    news_of(
        &headers,
        KIND,
        write("Batches", &name, &events),
        "private, no-cache",
    )
}

/// The open steps of a batch that have a time.
fn events(app: &App, opened: &Opened, reader: Reader<'_>) -> Vec<Event> {
    let batch = &opened.batch;
    let changed = opened.log.iter().map(|logged| logged.recorded_at);
    let changed_at = changed.fold(batch.created_at, std::cmp::max);
    // Every deed of the log may move what follows.
    let sequence: i32 = opened.log.iter().map(|logged| logged.version).sum();
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
        Some(Event {
            uid: format!(
                "{}-{}@{}",
                batch.public_id.as_str(),
                shown.key,
                app.site.host()
            ),
            sequence,
            changed_at,
            when: match timing {
                Timing::Moment { at, .. } => When::Between(at, at + TimeDelta::minutes(MINUTES)),
                Timing::Day { day, .. } => When::Day(day),
            },
            title: format!("{}: {}", shown.name, batch.name),
            place: String::new(),
            about: about.join("\n\n"),
            url,
            cancelled: false,
        })
    })
    .collect()
}
