//! Reminders: one letter a day at most, by day, of what a member's batches want.

use chrono::{DateTime, Timelike, Utc};
use chrono_tz::Tz;
use sqlx::PgConnection;

use super::letters::Writer;
use super::store::{self, Reminded};
use super::{Letter, asking, paths, sending};
use crate::app::App;
use crate::batches::plan::due;
use crate::jobs::Failed;
use crate::jobs::store::now;
use crate::members::tokens::store::find_member;
use crate::web::Error;
use crate::web::viewer::MemberId;

/// Hours of a reader's day within which they are written to.
const BY_DAY: std::ops::Range<u32> = 7..21;
/// Lines of one letter.
const LINES: usize = 12;

/// What a member's batches want: words, detail, address.
type Wanted = Vec<(String, String, String)>;

/// Asks for a letter to everybody whose batches want something and who had none today.
pub(super) async fn look(app: App) -> Result<(), Failed> {
    let mut conn = app.pool.acquire().await?;
    let now = now(&mut conn).await?;
    let all = store::reminded(&mut conn, None).await?;
    let mut left = 0;
    for one in all {
        if let Err(error) = remind(&app, &mut conn, &one, now).await {
            tracing::error!(member = one.id.0, cause = error.cause(), "was not reminded");
            left += 1;
        }
    }
    match left {
        0 => Ok(()),
        left => Err(Failed::for_now(format!(
            "Members who could not be reminded: {left}. The log of the server says why."
        ))),
    }
}

async fn remind(
    app: &App,
    conn: &mut PgConnection,
    one: &Reminded,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let there = there(one, now);
    if BY_DAY.contains(&there.hour()) && !wanted(app, conn, one.id).await?.is_empty() {
        asking::reminder(conn, one.id, there.date_naive()).await?;
    }
    Ok(())
}

/// The moment where a reader lives.
fn there(one: &Reminded, now: DateTime<Utc>) -> DateTime<Tz> {
    now.with_timezone(&one.zone.parse::<Tz>().unwrap_or(Tz::UTC))
}

async fn wanted(app: &App, conn: &mut PgConnection, member: MemberId) -> Result<Wanted, Error> {
    let Some(found) = find_member(conn, member).await? else {
        return Ok(Vec::new());
    };
    let wanted = due::wanted(app, conn, &found.member).await?;
    let line = |one: due::Wanted| {
        let link = format!("{}{}", app.site.origin(), one.url);
        (one.words, one.detail, link)
    };
    Ok(wanted.into_iter().take(LINES).map(line).collect())
}

/// The letter to a member, unless nothing is wanted any more or they stopped it meanwhile. One that waited until it is night
/// where they live, or another day than it was asked for, is none any more.
pub(super) async fn letter(
    app: &App,
    conn: &mut PgConnection,
    from: &Writer<'_>,
    member: MemberId,
    day: &str,
) -> Result<Option<Letter>, Failed> {
    let Some(one) = store::reminded(conn, Some(member)).await?.pop() else {
        return Ok(None);
    };
    let there = there(&one, now(conn).await?);
    if !BY_DAY.contains(&there.hour()) || there.date_naive().to_string() != day {
        return Ok(None);
    }
    let wanted = wanted(app, conn, member).await?;
    if wanted.is_empty() {
        return Ok(None);
    }
    let stop = app.site.address(&paths::STOP.with(&[&one.stop_token]));
    let to = sending::read(&one.address)?;
    Ok(Some(from.reminder(to, &wanted, stop)))
}
