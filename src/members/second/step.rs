//! The second step at sign-in: after name and password, on a page of its own.

use askama::Template;
use axum::extract::{Extension, Query, State};
use axum::http::{HeaderMap, header};
use sqlx::PgConnection;

use super::codes::{Key, looks_like_one};
use super::half::{self, Half};
use super::recovery::Typed;
use super::{Means, paths, store};
use crate::app::App;
use crate::members::middleware::Source;
use crate::members::paths::SIGN_IN;
use crate::members::sign_in::{Asked, Way, Who, bring_in, sign_in_anew};
use crate::members::throttle::Try;
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::shell::Shell;
use crate::web::viewer::Viewer;

/// The field of a code from an app, and of a recovery code. They are passwords good once: nothing writes them back.
const CODE: &str = "one_time_password";
const RECOVERY: &str = "recovery_password";

#[derive(Template)]
#[template(path = "members/second/step.html")]
struct StepPage {
    shell: Shell,
    form: FormState,
    action: String,
    name: String,
    has_app: bool,
    /// Where a passkey is asked for; empty if there is none.
    passkey: String,
    hidden: Vec<(String, String)>,
    carries: bool,
}

/// What was typed, read.
enum Answered {
    App { step: i64 },
    Recovery { number: i16, hash: String },
    Nothing,
}

fn step_page(app: &App, name: &str, means: &Means, form: FormState, way: &Way) -> StepPage {
    let base = app.site.base();
    let by_passkey = app.passkeys.is_some() && means.passkeys > 0;
    StepPage {
        shell: app.shell(&Viewer::stranger()),
        form,
        action: base.link(paths::DO_STEP.path),
        name: name.to_owned(),
        has_app: means.app_since.is_some(),
        passkey: match by_passkey {
            true => base.link(paths::ASK_FOR_PASSKEY.path),
            false => String::new(),
        },
        hidden: way.hidden(),
        carries: !way.carried.is_empty(),
    }
}

/// Begins the second step of somebody whose password is right. What was being typed comes along in the page.
pub(in crate::members) async fn ask(
    app: &App,
    conn: &mut PgConnection,
    who: &Who<'_>,
    means: &Means,
    way: Way,
) -> Answer {
    let cookie = half::begin(conn, &app.site, who.id).await?;
    let mut response = match way.carried.is_empty() {
        true => see_other(app.site.base(), &way.behind(paths::STEP.path))?,
        false => page(&step_page(app, who.name, means, FormState::new(), &way))?,
    };
    response.headers_mut().append(header::SET_COOKIE, cookie);
    tracing::info!(member = who.id.0, "asked for the second step");
    not_stored(Ok(response))
}

pub(super) async fn show(
    State(app): State<App>,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
) -> Answer {
    let base = app.site.base();
    let way = Way::to(base, &asked.next.unwrap_or_default());
    let mut conn = app.pool.acquire().await?;
    let Some(half) = half::find(&mut conn, &app.site, &headers).await? else {
        return see_other(base, &way.behind(SIGN_IN.path));
    };
    let means = store::find_means(&mut conn, half.id).await?;
    let shown = step_page(&app, &half.name, &means, FormState::new(), &way);
    not_stored(page(&shown))
}

pub(super) async fn take(
    State(app): State<App>,
    viewer: Viewer,
    Extension(source): Extension<Source>,
    headers: HeaderMap,
    posted: Posted,
) -> Answer {
    let way = Way::read(&posted, app.site.base())?;
    let mut conn = app.pool.acquire().await?;
    let Some(half) = half::find(&mut conn, &app.site, &headers).await? else {
        return late(&app, &viewer, way);
    };
    let (code, recovery) = (posted.one(CODE)?, posted.one(RECOVERY)?);
    if code.trim().is_empty() && recovery.trim().is_empty() {
        return again(&app, &mut conn, &half, way, &posted, false).await;
    }
    let attempt = Try::of_step(&half.name_key, source.0);
    attempt.count(&mut conn).await?;
    drop(conn);
    let answered = read(&app, &half, code, recovery).await?;
    let mut tx = app.pool.begin().await?;
    let is_good = match &answered {
        Answered::App { step } => store::use_step(&mut tx, half.id, *step).await?,
        Answered::Recovery { number, hash } => {
            store::use_recovery_code(&mut tx, half.id, *number, hash).await?
        }
        Answered::Nothing => false,
    };
    if !is_good {
        tx.rollback().await?;
        tracing::warn!(member = half.id.0, "wrong code at the second step");
        let mut conn = app.pool.acquire().await?;
        return again(&app, &mut conn, &half, way, &posted, true).await;
    }
    if !half::end(&mut tx, &app.site, &headers).await? {
        return late(&app, &viewer, way);
    }
    attempt.forgive(&mut tx).await?;
    let way = match (&answered, way.is_plain()) {
        (Answered::Recovery { .. }, true) => {
            let told = format!("{}?done=recovered", paths::SECOND_STEP.path);
            Way::to(app.site.base(), &app.site.base().link(&told))
        }
        _ => way,
    };
    let response = bring_in(&app, &mut tx, &headers, &(&half).into(), way).await?;
    tx.commit().await?;
    Ok(response)
}

/// What was typed: a code from the app, or a recovery code, in whichever field.
async fn read(app: &App, half: &Half, code: &str, recovery: &str) -> Result<Answered, Error> {
    let mut conn = app.pool.acquire().await?;
    if looks_like_one(code) && recovery.trim().is_empty() {
        let Some(secret) = store::find_app(&mut conn, half.id).await? else {
            return Ok(Answered::Nothing);
        };
        let key = Key::of(&secret, &app.site.club_name(), &half.name)?;
        let step = key.step_of(code, app.clock.now().timestamp());
        return Ok(step.map_or(Answered::Nothing, |step| Answered::App { step }));
    }
    let Some(typed) = [recovery, code].into_iter().find_map(Typed::read) else {
        return Ok(Answered::Nothing);
    };
    let hash = store::find_recovery_code(&mut conn, half.id, typed.number).await?;
    drop(conn);
    let fits = typed.fits(&app.hasher, hash.as_deref()).await?;
    Ok(match hash.filter(|_| fits) {
        Some(hash) => Answered::Recovery {
            number: typed.number,
            hash,
        },
        None => Answered::Nothing,
    })
}

/// The page again: nothing was typed, or it was wrong.
async fn again(
    app: &App,
    conn: &mut PgConnection,
    half: &Half,
    way: Way,
    posted: &Posted,
    was_wrong: bool,
) -> Answer {
    let means = store::find_means(conn, half.id).await?;
    let mut form = FormState::new();
    let in_recovery = means.app_since.is_none() || !posted.one(RECOVERY)?.trim().is_empty();
    match (in_recovery, was_wrong) {
        (true, true) => form.refuse(
            RECOVERY,
            "This is none of your unused recovery codes. Check each letter; a code that was used is good no more.",
        ),
        (true, false) => form.refuse(RECOVERY, "Enter one of your recovery codes."),
        (false, true) => form.refuse(
            CODE,
            "This is not what your app shows now, or it was used before. Wait for the next code.",
        ),
        (false, false) => form.refuse(CODE, "Enter the six digits that your app shows."),
    }
    not_stored(form_again(&step_page(app, &half.name, &means, form, &way)))
}

fn late(app: &App, viewer: &Viewer, way: Way) -> Answer {
    let why = "The second step took too long, or was done in another window. Sign in once more.";
    sign_in_anew(app, viewer, why, way)
}
