//! Pages of the second step: what one has, codes from an app, recovery codes. Passkeys have pages of their own.

use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::codes::Key;
use super::overview::{demanded, taken_in_words, unused};
use super::passkeys::pages::{self as passkey_pages, Row};
use super::passkeys::sign_in as by_passkey;
use super::picture::Picture;
use super::recovery::{self, NewCode};
use super::{Means, paths, step, store};
use crate::app::App;
use crate::mail::asking::Notice;
use crate::members::proven::Proven;
use crate::members::sessions::store::end_sessions;
use crate::members::sign_in::show_again;
use crate::web::Error;
use crate::web::dates::day;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::paths::{Route, Routes};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// The routes of the second step.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::SECOND_STEP, show)
        .on(paths::APP, show_app)
        .on(paths::BEGIN_APP, begin_app)
        .on(paths::CONFIRM_APP, confirm_app)
        .on(paths::REMOVE_APP, remove_app)
        .on(paths::RECOVERY_CODES, renew_codes)
        .on(paths::MAKE_PASSKEY, passkey_pages::make)
        .on(paths::KEEP_PASSKEY, passkey_pages::keep)
        .on(paths::RENAME_PASSKEY, passkey_pages::rename)
        .on(paths::REMOVE_PASSKEY, passkey_pages::remove)
        .on(paths::STEP, step::show)
        .on(paths::DO_STEP, step::take)
        .on(paths::AGAIN, show_again)
        .on(paths::ASK_FOR_PASSKEY, by_passkey::ask)
        .on(paths::SIGN_IN_BY_PASSKEY, by_passkey::answer)
        .done()
}

#[derive(Template)]
#[template(path = "members/second/overview.html")]
struct OverviewPage {
    shell: Shell,
    form: FormState,
    /// Why one is needed, empty if it need not be.
    demanded: &'static str,
    /// Whether everything else waits until there is one.
    waits: bool,
    taken: String,
    means: Means,
    app_since: String,
    unused: String,
    can_passkeys: bool,
    passkeys: Vec<Row>,
    at: At,
}

/// Where the forms of the page lead.
struct At {
    app: String,
    remove_app: String,
    recovery_codes: String,
    passkeys: String,
}

#[derive(Template)]
#[template(path = "members/second/app.html")]
struct AppPage {
    shell: Shell,
    form: FormState,
    action: String,
    back: String,
    picture: Option<Picture>,
    key: String,
    name: String,
}

#[derive(Template)]
#[template(path = "members/second/recovery_codes.html")]
struct CodesPage {
    shell: Shell,
    name: String,
    address: String,
    codes: Vec<String>,
    at: String,
}

/// What was done just now, for the message above the page.
#[derive(Deserialize)]
struct Done {
    done: Option<String>,
}

/// The page of the second step with a form on it.
async fn overview(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    form: FormState,
) -> Result<OverviewPage, Error> {
    let mut conn = app.pool.acquire().await?;
    let means = store::find_means(&mut conn, member.id).await?;
    let taken = store::find_taken(&mut conn, member.id).await?;
    let rows = passkey_pages::rows(app, &mut conn, member, &form).await?;
    let link = |route: Route| app.site.base().link(route.path);
    let demanded = demanded(app, member);
    Ok(OverviewPage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        form,
        demanded,
        waits: !demanded.is_empty() && !means.is_any(),
        taken: taken.map_or_else(String::new, |taken| taken_in_words(&taken, member)),
        app_since: means
            .app_since
            .map_or_else(String::new, |at| day(at, member.settings.zone)),
        unused: unused(means.recovery_codes),
        can_passkeys: app.passkeys.is_some(),
        passkeys: rows,
        at: At {
            app: link(paths::BEGIN_APP),
            remove_app: link(paths::REMOVE_APP),
            recovery_codes: link(paths::RECOVERY_CODES),
            passkeys: link(paths::MAKE_PASSKEY),
        },
        means,
    })
}

/// The page of the second step again, since a form on it has faults.
pub(super) async fn overview_again(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    form: FormState,
) -> Answer {
    not_stored(form_again(&overview(app, viewer, member, form).await?))
}

async fn show(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Query(query): Query<Done>,
) -> Answer {
    let mut shown = overview(&app, &viewer, &member, FormState::new()).await?;
    let said = match query.done.as_deref() {
        Some("app") => "Codes come from your app now; everywhere else you are signed out.",
        Some("no-app") => "The app is removed; everywhere else you are signed out.",
        Some("passkey") => "The passkey is kept; everywhere else you are signed out.",
        Some("no-passkey") => "The passkey is removed; everywhere else you are signed out.",
        Some("named") => "The passkey has its new name.",
        Some("recovered") => {
            "You came in by a recovery code, and it is used up now. If your phone or key is lost, remove it here and set up another."
        }
        Some("late") => {
            "The key of the app was shown for too long, or it is in use already. Look below for what you have."
        }
        _ => "",
    };
    shown.shell = match (said, query.done.as_deref()) {
        ("", _) => shown.shell,
        (said, Some("late")) => shown.shell.warning(said),
        (said, _) => shown.shell.saying(said),
    };
    not_stored(page(&shown))
}

/// Back to the page of the second step, with a word on what was done.
pub(super) fn told(app: &App, done: &str) -> Answer {
    let path = format!("{}?done={done}", paths::SECOND_STEP.path);
    see_other(app.site.base(), &path)
}

fn app_page(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    key: &Key,
    form: FormState,
) -> Result<AppPage, Error> {
    Ok(AppPage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        form,
        action: app.site.base().link(paths::CONFIRM_APP.path),
        back: app.site.base().link(paths::SECOND_STEP.path),
        picture: Picture::of(&key.address()?),
        key: key.spoken(),
        name: member.name.clone(),
    })
}

async fn begin_app(State(app): State<App>, Proven(member): Proven) -> Answer {
    let key = Key::draw(&app.site.club_name(), &member.name)?;
    let mut conn = app.pool.acquire().await?;
    store::begin_app(&mut conn, member.id, key.bytes()).await?;
    see_other(app.site.base(), paths::APP.path)
}

/// The key that a member is being shown.
async fn begun(app: &App, member: &Member) -> Result<Option<Key>, Error> {
    let mut conn = app.pool.acquire().await?;
    let secret = store::find_begun(&mut conn, member.id).await?;
    secret
        .map(|secret| Key::of(&secret, &app.site.club_name(), &member.name))
        .transpose()
}

async fn show_app(State(app): State<App>, viewer: Viewer, Proven(member): Proven) -> Answer {
    let Some(key) = begun(&app, &member).await? else {
        return see_other(app.site.base(), paths::SECOND_STEP.path);
    };
    let form = FormState::new();
    not_stored(page(&app_page(&app, &viewer, &member, &key, form)?))
}

async fn confirm_app(
    State(app): State<App>,
    viewer: Viewer,
    Proven(member): Proven,
    posted: Posted,
) -> Answer {
    let Some(key) = begun(&app, &member).await? else {
        return told(&app, "late");
    };
    let typed = posted.one("one_time_password")?;
    let Some(step) = key.step_of(typed, app.clock.now().timestamp()) else {
        let mut form = FormState::of(&posted);
        let why = match typed.trim() {
            "" => "Enter the six digits that the app shows.",
            _ => {
                "This is not what the app should show now. Wait for its next code; if that does not fit either, check the time of the phone, and scan the picture anew."
            }
        };
        form.refuse("one_time_password", why);
        return not_stored(form_again(&app_page(&app, &viewer, &member, &key, form)?));
    };
    let codes = first_codes(&app, &member).await?;
    let mut tx = app.pool.begin().await?;
    store::lock(&mut tx, member.id).await?;
    if !store::confirm_app(&mut tx, member.id, key.bytes(), step).await? {
        return told(&app, "late");
    }
    store::renew_recovery_codes(&mut tx, member.id, &codes).await?;
    end_sessions(&mut tx, member.id, Some(member.session)).await?;
    app.mail
        .notice(&mut tx, member.id, Notice::SecondStep)
        .await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, "codes from an app set up");
    match codes.is_empty() {
        true => told(&app, "app"),
        false => codes_page(&app, &viewer, &member, codes),
    }
}

/// Recovery codes for whoever sets up the first means and has none; nothing for others.
pub(super) async fn first_codes(app: &App, member: &Member) -> Result<Vec<NewCode>, Error> {
    let mut conn = app.pool.acquire().await?;
    let means = store::find_means(&mut conn, member.id).await?;
    drop(conn);
    match means.is_any() && means.recovery_codes > 0 {
        true => Ok(Vec::new()),
        false => recovery::draw(&app.hasher).await,
    }
}

pub(super) fn codes_page(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    codes: Vec<NewCode>,
) -> Answer {
    not_stored(page(&CodesPage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        name: member.name.clone(),
        address: app.site.address("/"),
        codes: codes.into_iter().map(|code| code.shown).collect(),
        at: app.site.base().link(paths::SECOND_STEP.path),
    }))
}

async fn renew_codes(State(app): State<App>, viewer: Viewer, Proven(member): Proven) -> Answer {
    let codes = recovery::draw(&app.hasher).await?;
    let mut tx = app.pool.begin().await?;
    store::lock(&mut tx, member.id).await?;
    if !store::find_means(&mut tx, member.id).await?.is_any() {
        return see_other(app.site.base(), paths::SECOND_STEP.path);
    }
    store::renew_recovery_codes(&mut tx, member.id, &codes).await?;
    end_sessions(&mut tx, member.id, Some(member.session)).await?;
    app.mail
        .notice(&mut tx, member.id, Notice::SecondStep)
        .await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, "recovery codes made anew");
    codes_page(&app, &viewer, &member, codes)
}

async fn remove_app(State(app): State<App>, Proven(member): Proven) -> Answer {
    let mut tx = app.pool.begin().await?;
    store::lock(&mut tx, member.id).await?;
    store::remove_app(&mut tx, member.id).await?;
    after_removal(&mut tx, &member).await?;
    app.mail
        .notice(&mut tx, member.id, Notice::SecondStep)
        .await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, "codes from an app removed");
    told(&app, "no-app")
}

/// What follows a removal: without any means there are no recovery codes, and the other sessions end.
pub(super) async fn after_removal(conn: &mut PgConnection, member: &Member) -> Result<(), Error> {
    if !store::find_means(conn, member.id).await?.is_any() {
        store::remove_recovery_codes(conn, member.id).await?;
    }
    end_sessions(conn, member.id, Some(member.session)).await?;
    Ok(())
}
