//! A revision of a recipe as somebody opens it: at its own volume or another, reckoned and rounded.

use chrono::NaiveDate;
use sqlx::PgConnection;

use super::forms::check::stored;
use super::forms::quantity::Quantity;
use super::model::{Recipe, Revision};
use super::numbers::Reader;
use super::public_id::PublicId;
use super::store;
use super::workbench::{engine_settings, reader};
use crate::app::App;
use crate::cupboard::stock::priced;
use crate::cupboard::store::stock;
use crate::engine;
use crate::engine::scaling::{Rounded, Scale, round, scale};
use crate::vessels;
use crate::web::day;
use crate::web::error::Error;
use crate::web::viewer::{Member, Viewer};

/// A revision, reckoned.
pub(super) struct Opened {
    pub recipe: Recipe,
    pub revision: Revision,
    /// The document at the volume shown.
    pub document: engine::Recipe,
    pub rounded: Rounded,
    pub reader: Reader,
    /// The other volume asked for, litres.
    pub wanted: Option<f64>,
    /// Why the volume that was typed is none.
    pub volume_fault: String,
    /// The mixing day asked for.
    pub mixing_day: Option<NaiveDate>,
    /// Why the mixing day that was typed is none.
    pub mixed_fault: String,
}

impl Opened {
    /// Whether this is the newest revision.
    pub fn is_newest(&self) -> bool {
        self.revision.number == self.recipe.version
    }
}

/// For whom a page speaks, with the club's catalogue as it is now.
pub(super) async fn reader_for(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Reader, Error> {
    let viewer = Viewer::known(member.clone());
    let catalogue = app.catalogue.now(&mut *conn).await?;
    let cupboard = stock(&mut *conn, member.id, app.site.currency()).await?;
    let vessels = vessels::store::list(conn, member.id).await?;
    Ok(Reader {
        cupboard,
        vessels,
        ..reader(&viewer, app.clock.now(), catalogue)
    })
}

/// Finds what the member may see and reckons it for the volume that was typed, dated from the mixing day that was.
pub(super) async fn open(
    app: &App,
    member: &Member,
    id: &str,
    number: Option<i32>,
    typed: &str,
    mixed: &str,
) -> Result<Opened, Error> {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(app, &mut conn, member).await?;
    let recipe = store::find_recipe(&mut conn, viewer.id(), &id)
        .await?
        .ok_or_else(Error::not_found)?;
    let number = number.unwrap_or(recipe.version);
    let revision = store::find_revision(&mut conn, viewer.id(), &id, number)
        .await?
        .ok_or_else(Error::not_found)?;
    drop(conn);
    let own = stored(&revision.document).ok_or_else(|| {
        Error::unexpected(std::io::Error::other("a stored document does not read"))
    })?;
    let own = priced(&own, &reader.cupboard, &reader.catalogue);
    let settings = engine_settings(&viewer);
    let at_home = engine::formulate(&own, &settings)
        .whole
        .map(|whole| whole.volume_l);
    let (wanted, volume_fault) = match wanted(typed, member) {
        Ok(wanted) => (wanted, String::new()),
        Err(fault) => (None, fault),
    };
    let document = match (wanted, at_home.or(own.volume_l)) {
        (Some(wanted), Some(home)) if home > 0.0 => scale(&own, wanted / home),
        _ => own,
    };
    let (mixing_day, mixed_fault) = match mixed.trim() {
        "" => (None, String::new()),
        text => match day::read(text, reader.today(), reader.units) {
            Some(day) => (Some(day), String::new()),
            None => (None, day::WHAT_TO_WRITE.to_owned()),
        },
    };
    Ok(Opened {
        rounded: round(&document, &settings, Scale::Kitchen),
        reader: match mixing_day {
            Some(day) => reader.on(day),
            None => reader,
        },
        recipe,
        revision,
        document,
        wanted,
        volume_fault,
        mixing_day,
        mixed_fault,
    })
}

/// The volume that was typed, litres; nothing where nothing was.
fn wanted(typed: &str, member: &Member) -> Result<Option<f64>, String> {
    let unit = member.settings.units;
    match typed.trim() {
        "" => Ok(None),
        text => Quantity::at("/volume_l")
            .read(text, unit)
            .map(Some)
            .map_err(|fault| fault.to_string()),
    }
}
