//! What all pages of finishing share: their head, who reads, and how they write.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use super::known;
use crate::app::App;
use crate::batches::log::forms::moment;
use crate::batches::model::NewEntry;
use crate::batches::opened::{Opened, refresh};
use crate::batches::start::Speaks;
use crate::batches::{paths, store};
use crate::engine::log::Deed;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::once::{self, Once};
use crate::web::pages::{Answer, see_other};
use crate::web::paths::Route;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::units::{self, MassUnit, Units};
use crate::web::viewer::{Member, Viewer};

/// The most of a powder that anybody puts into a batch, g.
const MOST_G: f64 = 1_000_000.0;

/// What stands above every page.
pub struct Head {
    pub name: String,
    pub batch_url: String,
    pub finishing_url: String,
    /// Whether nothing of it is left in the vessel.
    pub is_empty: bool,
}

impl Head {
    /// Of a batch.
    pub fn of(app: &App, opened: &Opened) -> Head {
        let at = |route| address(app, opened, route);
        Head {
            name: opened.batch.name.clone(),
            batch_url: at(paths::BATCH),
            finishing_url: at(paths::FINISHING),
            is_empty: known::is_empty(opened),
        }
    }
}

/// The address of a route of this batch.
pub fn address(app: &App, opened: &Opened, route: Route) -> String {
    let id = opened.batch.public_id.as_str();
    app.site.base().link(&route.with(&[id]))
}

/// The shell of a page.
pub fn shell(app: &App, member: &Member) -> Shell {
    app.shell(&Viewer::known(member.clone()))
        .at_place(Nav::Batches)
}

/// For whom forms are read.
pub fn speaks(app: &App, member: &Member) -> Speaks {
    Speaks {
        units: member.settings.units,
        zone: member.settings.zone,
        now: app.clock.now(),
    }
}

/// The hour of the log it is now.
pub fn now_h(app: &App, opened: &Opened) -> f64 {
    opened.batch.hours_at(app.clock.now())
}

/// The key of a form: as it came, or a new one.
pub fn once_of(form: &FormState, member: &Member) -> Result<String, Error> {
    Once::for_form(form, &Viewer::known(member.clone()))
}

/// The kilograms in a field of something weighed in grams; 0 and nothing are nothing.
///
/// # Errors
/// When the field came twice.
pub fn powder_kg(typed: &mut Typed<'_>, name: &str) -> Result<Option<f64>, Error> {
    let kg = typed.read(name, |text| units::parse_mass_in(text, MassUnit::Gram))?;
    within(typed, name, kg, MOST_G / 1000.0);
    Ok(kg.filter(|kg| *kg > 0.0))
}

/// The same of something weighed in kilograms or pounds.
///
/// # Errors
/// When the field came twice.
pub fn mass_kg(typed: &mut Typed<'_>, name: &str, reads: Units) -> Result<Option<f64>, Error> {
    let kg = typed.read(name, |text| units::parse_mass(text, reads))?;
    within(typed, name, kg, MOST_G / 1000.0);
    Ok(kg.filter(|kg| *kg > 0.0))
}

fn within(typed: &mut Typed<'_>, name: &str, value: Option<f64>, most: f64) {
    if value.is_some_and(|value| !(0.0..=most).contains(&value)) {
        typed
            .form
            .refuse(name, "That is beyond anything a mead can take. Look again.");
    }
}

/// When it went in; never before the batch was mixed.
///
/// # Errors
/// When a field came twice.
pub fn when(
    typed: &mut Typed<'_>,
    to: Speaks,
    opened: &Opened,
) -> Result<Option<DateTime<Utc>>, Error> {
    let at = moment(typed, to)?;
    if at.is_some_and(|at| at < opened.batch.began_at) {
        typed
            .form
            .refuse("day", "That is before the batch was mixed.");
    }
    Ok(at.filter(|_| typed.form.is_sound()))
}

/// Entries of one moment.
pub fn entries(deeds: Vec<Deed>, at: DateTime<Utc>, member: &Member) -> Vec<NewEntry> {
    deeds
        .into_iter()
        .map(|deed| NewEntry::of(deed, at, member.id))
        .collect()
}

/// Writes entries into a batch that is held, keeps what follows, and leads on.
///
/// # Errors
/// When the database fails.
pub async fn write(
    app: &App,
    mut tx: sqlx::Transaction<'_, sqlx::Postgres>,
    (member, opened): (&Member, &Opened),
    entries: &[NewEntry],
    (once, route, to): (&Once, Route, &str),
) -> Answer {
    add(app, &mut tx, (member, opened), entries).await?;
    once::settle(&mut tx, once, member, route, to).await?;
    tx.commit().await?;
    see_other(app.site.base(), to)
}

async fn add(
    app: &App,
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    entries: &[NewEntry],
) -> Result<(), Error> {
    for entry in entries {
        store::add(conn, opened.batch.id, entry, app.clock.now()).await?;
    }
    refresh(conn, member, &opened.batch.public_id).await?;
    Ok(())
}

/// Where one is led after something went in: back to the whole of finishing.
pub fn done(id: &str) -> String {
    format!("{}?done=logged", paths::FINISHING.with(&[id]))
}
