//! The page of a batch's sensors: made with a token that is shown once, tried with what they send, taken back.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::model::{Fields, MOST};
use super::{forms, store};
use crate::app::App;
use crate::batches::opened::{Opened, open_own};
use crate::batches::{paths, store as batches};
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::random;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "batches/sensors.html")]
struct SensorsPage {
    shell: Shell,
    name: String,
    batch_url: String,
    make_at: String,
    try_at: String,
    post_to: String,
    rows: Vec<Row>,
    form: FormState,
    once: String,
    /// What would be read of the example; empty before one is tried.
    read: Vec<String>,
}

impl SensorsPage {
    const GRAVITY: &[(&str, &str)] = forms::GRAVITY;
    const TEMPERATURE: &[(&str, &str)] = forms::TEMPERATURE;
}

/// A sensor in words.
struct Row {
    name: String,
    calls: String,
    used: String,
    edit_url: String,
    end_at: String,
}

#[derive(Template)]
#[template(path = "batches/sensor_made.html")]
struct MadePage {
    shell: Shell,
    name: String,
    token: String,
    post_to: String,
    back: String,
}

fn post_to(app: &App, id: &str) -> String {
    app.site.address(&format!("/api/v1/batches/{id}/readings"))
}

async fn sensors_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    mut form: FormState,
) -> Result<SensorsPage, Error> {
    let viewer = Viewer::known(member.clone());
    let (base, id) = (app.site.base(), opened.batch.public_id.as_str());
    let zone = member.settings.zone;
    let sensors = store::list(conn, opened.batch.id).await?;
    for (name, usual) in [("gravity", "gravity"), ("temperature", "temperature")] {
        if form.is_sound() && form.typed("name").is_empty() && form.typed(name).is_empty() {
            form.set(name, usual);
        }
    }
    let rows = sensors.into_iter().map(|sensor| Row {
        calls: called(&sensor.fields),
        used: match sensor.last_used_at {
            Some(at) => format!("last heard {}", moment(at, zone)),
            None => "not heard yet".to_owned(),
        },
        edit_url: base.link(&paths::EDIT_SENSOR.with(&[id, sensor.public_id.as_str()])),
        end_at: base.link(&paths::END_SENSOR.with(&[id, sensor.public_id.as_str()])),
        name: sensor.name,
    });
    Ok(SensorsPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        make_at: base.link(&paths::MAKE_SENSOR.with(&[id])),
        try_at: base.link(&paths::TRY_SENSOR.with(&[id])),
        post_to: post_to(app, id),
        rows: rows.collect(),
        once: match form.typed(once::FIELD) {
            "" => Once::fresh(&viewer)?,
            typed => typed.to_owned(),
        },
        form,
        read: Vec::new(),
    })
}

/// What a sensor calls what, in words.
fn called(fields: &Fields) -> String {
    let named = [
        ("gravity", &fields.gravity),
        ("temperature", &fields.temperature),
        ("time", &fields.time),
    ];
    let named = named.into_iter().filter(|(_, name)| !name.is_empty());
    let words: Vec<String> = named
        .map(|(what, name)| format!("{what} “{name}”"))
        .collect();
    format!("calls {}", words.join(", "))
}

pub(super) async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    page(&sensors_page(&app, &mut conn, &member, &opened, FormState::new()).await?)
}

pub(super) async fn make(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = open_own(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let name = forms::name(&mut typed)?;
    let fields = forms::fields(&mut typed)?;
    if !typed.form.is_sound() {
        return form_again(&sensors_page(&app, &mut tx, &member, &opened, typed.form).await?);
    }
    let back = paths::SENSORS.with(&[&id]);
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::MAKE_SENSOR).await? {
        return see_other(app.site.base(), &location);
    }
    batches::hold(&mut tx, member.id, opened.batch.id).await?;
    let token = random::token()?;
    let whose = (opened.batch.id, member.id);
    if !store::make(&mut tx, whose, (&name, &fields), &token, app.clock.now()).await? {
        let why = format!("This batch has {MOST} sensors. Take one back first.");
        typed.form.refuse("name", why);
        return form_again(&sensors_page(&app, &mut tx, &member, &opened, typed.form).await?);
    }
    once::settle(&mut tx, &once, &member, paths::MAKE_SENSOR, &back).await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, "sensor made");
    not_stored(page(&MadePage {
        shell: app.shell(&Viewer::known(member)).at_place(Nav::Batches),
        name,
        token,
        post_to: post_to(&app, &id),
        back: app.site.base().link(&back),
    }))
}

pub(super) async fn try_out(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let fields = forms::fields(&mut typed)?;
    let read = forms::example(&mut typed, &fields, &opened, &member, app.clock.now())?;
    let is_sound = typed.form.is_sound();
    let mut shown = sensors_page(&app, &mut conn, &member, &opened, typed.form).await?;
    shown.read = read;
    match is_sound {
        true => page(&shown),
        false => form_again(&shown),
    }
}

pub(super) async fn end(
    State(app): State<App>,
    member: Member,
    Path((id, sensor)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    match store::end(&mut conn, opened.batch.id, &sensor, app.clock.now()).await? {
        true => see_other(app.site.base(), &paths::SENSORS.with(&[&id])),
        false => Err(Error::not_found()),
    }
}
