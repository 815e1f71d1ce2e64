//! A batch as somebody opens it: its recipe and its log, replayed.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use super::model::{Batch, Logged, Numbers};
use super::{cellar, outlook, store};
use crate::engine::log::{Entry, Start, State, replay};
use crate::engine::{self, Formulation, Recipe, Settings};
use crate::recipes::forms::check::stored;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::viewer::{Member, MemberId};

/// A batch with all that its log makes known.
pub struct Opened {
    pub batch: Batch,
    /// What went in.
    pub recipe: Recipe,
    /// What the engine makes of that.
    pub planned: Formulation,
    /// SG at which the book ends it by itself, whatever stands in the book's place.
    pub book_fg: Option<f64>,
    pub start: Start,
    /// The log, struck entries included; of each sensor the last reading of each hour.
    pub log: Vec<Logged>,
    /// What of it counts.
    pub entries: Vec<Entry>,
    pub state: State,
}

impl Opened {
    /// The newest gravity that was read and counts, with its instant.
    pub fn last_gravity(&self) -> Option<(f64, DateTime<Utc>)> {
        let mut read = self.state.points.iter().rev().filter(|point| point.used);
        read.find_map(|point| point.read_sg.zip(self.batch.at_hours(point.hours)))
    }

    /// Hours of its log at the last entry that counts; 0 before any.
    pub fn last_h(&self) -> f64 {
        let hours = self.entries.iter().map(|entry| entry.hours);
        hours.fold(0.0, f64::max)
    }

    /// What lists keep of its log; what its outlook adds is noted by that.
    pub fn numbers(&self) -> Numbers {
        let at = |hours: Option<f64>| hours.and_then(|hours| self.batch.at_hours(hours));
        Numbers {
            og: Some(self.state.og),
            sg: self.last_gravity().map(|(sg, _)| sg),
            abv_percent: Some(self.state.abv_percent),
            volume_l: Some(self.state.volume_l),
            last_reading_at: self.last_gravity().map(|(_, at)| at),
            pitched_at: at(self.state.marks.pitch),
            yeast: self
                .recipe
                .yeasts
                .first()
                .and_then(|yeast| yeast.key.clone()),
            entries: i32::try_from(self.entries.len()).unwrap_or(i32::MAX),
            ..Numbers::default()
        }
    }
}

/// Finds a batch that the viewer may see, with its log.
///
/// # Errors
/// When there is none for them, or what is stored does not read.
pub async fn open(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    settings: &Settings,
    id: &str,
) -> Result<Opened, Error> {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let batch = store::find(conn, viewer, &id).await?;
    let batch = batch.ok_or_else(Error::not_found)?;
    let log = store::entries(conn, batch.id).await?;
    reckon(batch, log, settings)
}

/// The same of a member's own.
///
/// # Errors
/// When it is not theirs.
pub async fn open_own(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Opened, Error> {
    let opened = open(conn, Some(member.id), &settings_of(member), id).await?;
    match opened.batch.owner == member.id {
        true => Ok(opened),
        false => Err(Error::not_found()),
    }
}

/// The engine's settings of a member.
pub fn settings_of(member: &Member) -> Settings {
    Settings {
        sachet_g: member.settings.sachet_g,
    }
}

/// Replays a log.
///
/// # Errors
/// When the stored document does not read: it was checked before it was written.
pub fn reckon(batch: Batch, log: Vec<Logged>, settings: &Settings) -> Result<Opened, Error> {
    let broken = |what: &str| Error::unexpected(std::io::Error::other(what.to_owned()));
    let book = stored(&batch.document).ok_or_else(|| broken("a stored document does not read"))?;
    let by_the_book = engine::formulate(&book, settings);
    let finished = by_the_book.finished.as_ref();
    let book_fg = finished.map(|finished| finished.natural_fg);
    let (recipe, planned) = match batch.own.is_empty() {
        true => (book, by_the_book),
        false => {
            let own = batch.own.recipe(&book, &by_the_book);
            let planned = engine::formulate(&own, settings);
            (own, planned)
        }
    };
    let start = Start::of_recipe(&recipe).ok_or_else(|| broken("a batch without a must"))?;
    let counting = log.iter().filter(|logged| !logged.struck);
    let entries: Vec<Entry> = counting.map(|logged| batch.entry(logged)).collect();
    Ok(Opened {
        planned,
        book_fg,
        state: replay(&start, &entries),
        batch,
        recipe,
        start,
        log,
        entries,
    })
}

/// Reckons a batch of the member's own anew after its log has changed, and keeps what lists show of it.
///
/// # Errors
/// When it is not theirs.
pub async fn refresh(
    conn: &mut PgConnection,
    member: &Member,
    id: &PublicId,
) -> Result<Opened, Error> {
    refresh_for(conn, member.id, &settings_of(member), id).await
}

/// The same for whoever comes without a session: a sensor, an import.
///
/// # Errors
/// When it is not theirs.
pub async fn refresh_for(
    conn: &mut PgConnection,
    owner: MemberId,
    settings: &Settings,
    id: &PublicId,
) -> Result<Opened, Error> {
    let opened = open(conn, Some(owner), settings, id.as_str()).await?;
    if opened.batch.owner != owner {
        return Err(Error::not_found());
    }
    keep(conn, &opened).await?;
    Ok(opened)
}

/// Keeps what lists, the cellar and the club's own figures read of a batch, as of its last entry.
///
/// # Errors
/// When the database does not answer.
pub async fn keep(conn: &mut PgConnection, opened: &Opened) -> Result<(), Error> {
    let earlier = outlook::store::earlier(conn).await?;
    let mut numbers = opened.numbers();
    outlook::sight(opened, opened.last_h(), earlier, false).note(opened, &mut numbers);
    store::put_numbers(conn, opened.batch.id, &numbers).await?;
    cellar::follow(conn, opened).await
}
