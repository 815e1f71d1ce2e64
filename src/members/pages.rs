//! Pages of members: set-up, sign-in and sign-out, passwords. Invites are in `joining.rs`, settings in `settings.rs`.

use askama::Template;
use axum::Router;
use axum::extract::{Extension, Path, Query, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::Response;
use serde::Deserialize;

use super::carried::Carried;
use super::forms::{self, SetUp};
use super::middleware::Source;
use super::model::NewMember;
use super::names::key_of;
use super::passwords::Checked;
use super::throttle::Try;
use super::{cookie, joining, links, mentors, paths, sessions, settings, store, tokens};
use crate::app::App;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, page_with, see_other};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::viewer::{MemberId, Role, Settings, Viewer};
use crate::web::{Error, random};

/// The members' routes.
pub fn router() -> Router<App> {
    tokens::pages::bind(Routes::of(paths::ROUTES))
        .on(paths::SET_UP, show_set_up)
        .on(paths::DO_SET_UP, set_up)
        .on(paths::RENEW, show_renewal)
        .on(paths::DO_RENEW, renew)
        .on(paths::JOIN, joining::show)
        .on(paths::DO_JOIN, joining::join)
        .on(paths::WELCOME, joining::welcome)
        .on(paths::SIGN_IN, show_sign_in)
        .on(paths::DO_SIGN_IN, sign_in)
        .on(paths::SIGN_OUT, sign_out)
        .on(paths::SETTINGS, settings::show)
        .on(paths::SAVE_SETTINGS, settings::save)
        .on(paths::MENTORING, mentors::pages::offer)
        .on(paths::PASSWORD, settings::show_password)
        .on(paths::CHANGE_PASSWORD, settings::change_password)
        .on(paths::END_OTHERS, settings::end_others)
        .on(paths::END_SESSION, settings::end_session)
        .on(paths::WELL_KNOWN, to_password)
        .done()
}

#[derive(Template)]
#[template(path = "members/set_up.html")]
struct SetUpPage {
    shell: Shell,
    form: FormState,
    action: String,
}

#[derive(Template)]
#[template(path = "members/new_password.html")]
struct RenewalPage {
    shell: Shell,
    form: FormState,
    action: String,
    name: String,
}

#[derive(Template)]
#[template(path = "members/sign_in.html")]
struct SignInPage {
    shell: Shell,
    form: FormState,
    action: String,
    carried: Carried,
}

#[derive(Template)]
#[template(path = "members/carried.html")]
struct CarriedPage {
    shell: Shell,
    carried: Carried,
    is_theirs: bool,
    home: String,
}

fn stale_link() -> Error {
    Error::forbidden(
        "This link is not good any more, or was never made here. Ask a keeper of the club for a new one; a keeper gets one by the command mustwright keeper-link.",
    )
}

async fn show_set_up(State(app): State<App>, viewer: Viewer, Path(token): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    if !links::store::is_set_up_link(&mut conn, &token).await? {
        return Err(stale_link());
    }
    let action = app.site.base().link(&paths::DO_SET_UP.with(&[&token]));
    not_stored(page(&SetUpPage {
        shell: app.shell(&viewer),
        form: FormState::new(),
        action,
    }))
}

async fn set_up(
    State(app): State<App>,
    viewer: Viewer,
    Path(token): Path<String>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    if !links::store::is_set_up_link(&mut conn, &token).await? {
        return Err(stale_link());
    }
    drop(conn);
    let SetUp { name, password } = match forms::set_up(&posted, &app.site.club_name())? {
        Ok(checked) => checked,
        Err(form) => {
            let action = app.site.base().link(&paths::DO_SET_UP.with(&[&token]));
            return not_stored(form_again(&SetUpPage {
                shell: app.shell(&viewer),
                form,
                action,
            }));
        }
    };
    let password_hash = Some(app.hasher.hash(&password).await?);
    let new = NewMember {
        name,
        password_hash,
        role: Role::Keeper,
        settings: Settings::default(),
    };
    let mut tx = app.pool.begin().await?;
    let keeper = links::store::create_first_keeper(&mut tx, &token, &new)
        .await?
        .ok_or_else(stale_link)?;
    let response = enter(&app, &mut tx, keeper, see_other(app.site.base(), "/")?).await?;
    tx.commit().await?;
    tracing::info!(member = keeper.0, "the first keeper is set up");
    Ok(response)
}

async fn show_renewal(State(app): State<App>, viewer: Viewer, Path(token): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let (_, name) = links::store::find_renewal(&mut conn, &token)
        .await?
        .ok_or_else(stale_link)?;
    let action = app.site.base().link(&paths::DO_RENEW.with(&[&token]));
    not_stored(page(&RenewalPage {
        shell: app.shell(&viewer),
        form: FormState::new(),
        action,
        name,
    }))
}

async fn renew(
    State(app): State<App>,
    viewer: Viewer,
    Path(token): Path<String>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let (member, name) = links::store::find_renewal(&mut conn, &token)
        .await?
        .ok_or_else(stale_link)?;
    drop(conn);
    let mut form = FormState::of(&posted);
    let Some(password) = forms::new_password(&posted, &[&*app.site.club_name(), &name], &mut form)?
    else {
        let action = app.site.base().link(&paths::DO_RENEW.with(&[&token]));
        return not_stored(form_again(&RenewalPage {
            shell: app.shell(&viewer),
            form,
            action,
            name,
        }));
    };
    let hash = app.hasher.hash(&password).await?;
    let mut tx = app.pool.begin().await?;
    if !links::store::use_link(&mut tx, &token).await? {
        return Err(stale_link());
    }
    store::set_password(&mut tx, member, &hash).await?;
    sessions::store::end_sessions(&mut tx, member, None).await?;
    let response = enter(&app, &mut tx, member, see_other(app.site.base(), "/")?).await?;
    tx.commit().await?;
    tracing::info!(member = member.0, "password renewed by a link");
    Ok(response)
}

#[derive(Deserialize)]
struct Asked {
    next: Option<String>,
}

async fn show_sign_in(
    State(app): State<App>,
    viewer: Viewer,
    Query(asked): Query<Asked>,
) -> Answer {
    let next = asked.next.unwrap_or_default();
    if viewer.member().is_some() {
        return lead_on(&app, &next);
    }
    let mut form = FormState::new();
    form.set("next", app.site.base().local(&next).unwrap_or_default());
    not_stored(page(&sign_in_page(&app, &viewer, form, Carried::default())))
}

fn sign_in_page(app: &App, viewer: &Viewer, form: FormState, carried: Carried) -> SignInPage {
    let action = app.site.base().link(paths::DO_SIGN_IN.path);
    SignInPage {
        shell: app.shell(viewer),
        form,
        action,
        carried,
    }
}

/// What a stranger gets in place of a page for members: a reader is led to the sign-in, a writer finds it right here,
/// with what was typed inside.
pub(super) fn sign_in_first(
    app: &App,
    reads: bool,
    path: &str,
    posted: &Posted,
    whose: Option<&str>,
) -> Answer {
    if reads {
        let next: String = path.bytes().map(encoded).collect();
        return see_other(
            app.site.base(),
            &format!("{}?next={next}", paths::SIGN_IN.path),
        );
    }
    let carried = Carried::pick_up(path, posted, whose);
    let mut form = FormState::new();
    form.refuse_whole(
        "You were signed out in the meantime. Sign in, and what you typed is shown again.",
    );
    not_stored(page_with(
        StatusCode::UNAUTHORIZED,
        &sign_in_page(app, &Viewer::stranger(), form, carried),
    ))
}

fn encoded(byte: u8) -> String {
    match byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
        true => char::from(byte).to_string(),
        false => format!("%{byte:02X}"),
    }
}

async fn sign_in(
    State(app): State<App>,
    viewer: Viewer,
    Extension(source): Extension<Source>,
    headers: HeaderMap,
    posted: Posted,
) -> Answer {
    let (name, password) = (posted.one("name")?, posted.one("password")?);
    let carried = Carried::read(&posted, app.site.base())?;
    let attempt = Try::of(&key_of(name), source.0);
    let mut conn = app.pool.acquire().await?;
    attempt.count(&mut conn).await?;
    let found = store::find_credentials(&mut conn, &key_of(name)).await?;
    drop(conn);
    let stored = found
        .as_ref()
        .and_then(|found| found.password_hash.as_deref());
    // What is too long was never stored; the same work is done for it.
    let fits = password.len() <= super::strength::MAX_BYTES;
    let checked = app
        .hasher
        .check(if fits { password } else { "" }, stored.filter(|_| fits))
        .await?;
    let (Some(found), true) = (&found, checked != Checked::Wrong) else {
        tracing::warn!(
            member = found.map_or(0, |found| found.id.0),
            "sign-in failed"
        );
        let mut form = FormState::new();
        form.set("name", name);
        form.set(
            "next",
            app.site
                .base()
                .local(posted.one("next")?)
                .unwrap_or_default(),
        );
        form.refuse_whole(
            "This name and this password do not belong together. Check both, capitals too.",
        );
        return not_stored(form_again(&sign_in_page(&app, &viewer, form, carried)));
    };
    let mut tx = app.pool.begin().await?;
    attempt.forgive(&mut tx).await?;
    if let (Checked::RightButWeak(stronger), Some(old)) = (&checked, stored) {
        store::renew_hash(&mut tx, found.id, old, stronger).await?;
    }
    if let Some(old) = cookie::read(&app.site, &headers) {
        sessions::store::end_session(&mut tx, &random::hash_of(&old)).await?;
    }
    let answer = match carried.is_empty() {
        true => lead_on(&app, posted.one("next")?)?,
        false => {
            let is_theirs = carried.belongs_to(&found.public_id);
            let shell = app
                .shell(&Viewer::stranger())
                .for_member(found.name.clone());
            let home = app.site.base().link("/");
            not_stored(page(&CarriedPage {
                shell,
                carried,
                is_theirs,
                home,
            }))?
        }
    };
    let response = enter(&app, &mut tx, found.id, answer).await?;
    tx.commit().await?;
    tracing::info!(member = found.id.0, "signed in");
    Ok(response)
}

fn lead_on(app: &App, next: &str) -> Answer {
    let to = app
        .site
        .base()
        .local(next)
        .map_or("/", |path| app.site.base().below(path));
    see_other(app.site.base(), to)
}

/// Begins a session under a new token and hands it over with the answer.
pub(super) async fn enter(
    app: &App,
    conn: &mut sqlx::PgConnection,
    member: MemberId,
    mut response: Response,
) -> Result<Response, Error> {
    let token = random::token()?;
    sessions::store::begin_session(conn, member, &random::hash_of(&token)).await?;
    response
        .headers_mut()
        .insert(header::SET_COOKIE, cookie::give(&app.site, &token)?);
    response
        .headers_mut()
        .insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    Ok(response)
}

async fn sign_out(State(app): State<App>, viewer: Viewer, headers: HeaderMap) -> Answer {
    if let Some(token) = cookie::read(&app.site, &headers) {
        let mut conn = app.pool.acquire().await?;
        sessions::store::end_session(&mut conn, &random::hash_of(&token)).await?;
    }
    let mut response = see_other(app.site.base(), "/")?;
    let headers = response.headers_mut();
    headers.insert(header::SET_COOKIE, cookie::take(&app.site)?);
    // Not "cookies": another program on the same host would lose its own.
    headers.insert(
        HeaderName::from_static("clear-site-data"),
        HeaderValue::from_static("\"cache\", \"storage\""),
    );
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    tracing::info!(member = viewer.id().map_or(0, |id| id.0), "signed out");
    Ok(response)
}

async fn to_password(State(app): State<App>) -> Answer {
    see_other(app.site.base(), paths::PASSWORD.path)
}
