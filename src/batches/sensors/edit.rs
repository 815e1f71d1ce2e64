//! The page on which a sensor is renamed, and told anew what it calls things: its token stays, and so does what it told before.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use sqlx::PgConnection;

use super::model::Sensor;
use super::{forms, store};
use crate::app::App;
use crate::batches::model::SaveError;
use crate::batches::opened::{Opened, open_own};
use crate::batches::paths;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "batches/sensor.html")]
struct SensorPage {
    shell: Shell,
    /// As it is called now.
    name: String,
    batch_name: String,
    back_url: String,
    action: String,
    try_at: String,
    form: FormState,
    version: i32,
    /// Whether it was changed in another window meanwhile.
    meanwhile: bool,
    /// What would be read of the example; empty before one is tried.
    read: Vec<String>,
}

impl SensorPage {
    const GRAVITY: &[(&str, &str)] = forms::GRAVITY;
    const TEMPERATURE: &[(&str, &str)] = forms::TEMPERATURE;
}

fn sensor_page(
    app: &App,
    member: &Member,
    (opened, sensor): (&Opened, &Sensor),
    form: FormState,
) -> SensorPage {
    let base = app.site.base();
    let id = opened.batch.public_id.as_str();
    let ids = [id, sensor.public_id.as_str()];
    SensorPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        name: sensor.name.clone(),
        batch_name: opened.batch.name.clone(),
        back_url: base.link(&paths::SENSORS.with(&[id])),
        action: base.link(&paths::SAVE_SENSOR.with(&ids)),
        try_at: base.link(&paths::TRY_CHANGE.with(&ids)),
        form,
        version: sensor.version,
        meanwhile: false,
        read: Vec::new(),
    }
}

/// A working sensor of a batch of the member's own.
async fn find(
    conn: &mut PgConnection,
    member: &Member,
    (id, sensor): (&str, &str),
) -> Result<(Opened, Sensor), Error> {
    let opened = open_own(conn, member, id).await?;
    let all = store::list(conn, opened.batch.id).await?;
    let found = all.into_iter().find(|one| one.public_id.as_str() == sensor);
    Ok((opened, found.ok_or_else(Error::not_found)?))
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, sensor)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let (opened, sensor) = find(&mut conn, &member, (&id, &sensor)).await?;
    let form = forms::filled(&sensor.name, &sensor.fields);
    page(&sensor_page(&app, &member, (&opened, &sensor), form))
}

pub(super) async fn try_out(
    State(app): State<App>,
    member: Member,
    Path((id, sensor)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let (opened, sensor) = find(&mut conn, &member, (&id, &sensor)).await?;
    let mut typed = Typed::of(&posted);
    let fields = forms::fields(&mut typed)?;
    let read = forms::example(&mut typed, &fields, &opened, &member, app.clock.now())?;
    let is_sound = typed.form.is_sound();
    let mut shown = sensor_page(&app, &member, (&opened, &sensor), typed.form);
    shown.version = posted.one("version")?.parse().unwrap_or(0);
    shown.read = read;
    match is_sound {
        true => page(&shown),
        false => form_again(&shown),
    }
}

pub(super) async fn save(
    State(app): State<App>,
    member: Member,
    Path((id, sensor)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let (opened, sensor) = find(&mut conn, &member, (&id, &sensor)).await?;
    let mut typed = Typed::of(&posted);
    let (name, fields) = (forms::name(&mut typed)?, forms::fields(&mut typed)?);
    let seen = posted.one("version")?.parse().unwrap_or(0);
    if !typed.form.is_sound() {
        let mut again = sensor_page(&app, &member, (&opened, &sensor), typed.form);
        again.version = seen;
        return form_again(&again);
    }
    let place = (opened.batch.id, &sensor.public_id, seen);
    match store::save(&mut conn, place, (&name, &fields)).await {
        Ok(()) => see_other(app.site.base(), &paths::SENSORS.with(&[&id])),
        Err(SaveError::Conflict) => {
            let mut again = sensor_page(&app, &member, (&opened, &sensor), typed.form);
            again.meanwhile = true;
            page_with(StatusCode::CONFLICT, &again)
        }
        Err(SaveError::NotFound) => Err(Error::not_found()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}
