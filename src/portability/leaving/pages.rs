//! The page that says what leaving means, its form, and what is said at the door.

use askama::Template;
use axum::extract::{Extension, State};
use axum::http::{HeaderValue, header};

use super::{KEPT_DAYS, store};
use crate::app::App;
use crate::members::cookie;
use crate::members::middleware::Source;
use crate::members::names::key_of;
use crate::members::passwords::Checked;
use crate::members::roll::Changed;
use crate::members::store::password_hash;
use crate::members::throttle::Try;
use crate::portability::paths;
use crate::web::Error;
use crate::web::dates::day;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "portability/leave.html")]
struct LeavePage {
    shell: Shell,
    form: FormState,
    action: String,
    export: String,
    settings: String,
    days: i64,
    /// A club needs a keeper.
    last_keeper: bool,
}

#[derive(Template)]
#[template(path = "portability/left.html")]
struct LeftPage {
    shell: Shell,
    until: String,
}

fn leave_page(app: &App, viewer: &Viewer, form: FormState, last_keeper: bool) -> LeavePage {
    let base = app.site.base();
    LeavePage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        form,
        action: base.link(paths::DO_LEAVE.path),
        export: base.link(paths::EXPORT.path),
        settings: base.link(crate::members::paths::SETTINGS.path),
        days: KEPT_DAYS,
        last_keeper,
    }
}

pub(in crate::portability) async fn show(State(app): State<App>, viewer: Viewer) -> Answer {
    not_stored(page(&leave_page(&app, &viewer, FormState::new(), false)))
}

/// Whether name and password are those of the member; what is not goes beside its field.
async fn is_meant(
    app: &App,
    member: &Member,
    source: Source,
    posted: &Posted,
    form: &mut FormState,
) -> Result<bool, Error> {
    if key_of(posted.one("name")?) != key_of(&member.name) {
        form.refuse(
            "name",
            format!("Type your name as it stands here: {}", member.name),
        );
    }
    let password = posted.one("password")?;
    if password.is_empty() {
        form.refuse("password", "Enter your password.");
    }
    if !form.is_sound() {
        return Ok(false);
    }
    let attempt = Try::of(&key_of(&member.name), source.0);
    let mut conn = app.pool.acquire().await?;
    attempt.count(&mut conn).await?;
    let stored = password_hash(&mut conn, member.id).await?;
    drop(conn);
    if app.hasher.check(password, stored.as_deref()).await? == Checked::Wrong {
        tracing::warn!(member = member.id.0, "wrong password at leaving");
        form.refuse("password", "This is not your password.");
        return Ok(false);
    }
    let mut conn = app.pool.acquire().await?;
    attempt.forgive(&mut conn).await?;
    Ok(true)
}

pub(in crate::portability) async fn leave(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Extension(source): Extension<Source>,
    posted: Posted,
) -> Answer {
    let mut form = FormState::of(&posted);
    if !is_meant(&app, &member, source, &posted, &mut form).await? {
        return not_stored(form_again(&leave_page(&app, &viewer, form, false)));
    }
    let now = app.clock.now();
    let mut tx = app.pool.begin().await?;
    match store::leave(&mut tx, &member, now).await? {
        Changed::Done => tx.commit().await?,
        Changed::LastKeeper => {
            return not_stored(form_again(&leave_page(&app, &viewer, form, true)));
        }
        Changed::NotFound => return Err(Error::not_found()),
    }
    tracing::info!(member = member.id.0, "left the club");
    let until = now + chrono::TimeDelta::days(KEPT_DAYS);
    let mut response = not_stored(page(&LeftPage {
        shell: app.shell(&Viewer::stranger()),
        until: day(until, member.settings.zone),
    }))?;
    let headers = response.headers_mut();
    headers.insert(header::SET_COOKIE, cookie::take(&app.site)?);
    headers.insert(
        "clear-site-data",
        HeaderValue::from_static("\"cache\", \"storage\""),
    );
    Ok(response)
}
