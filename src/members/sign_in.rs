//! Signing in and out: name and password, where it leads, and what was being typed meanwhile.

use askama::Template;
use axum::extract::{Extension, Query, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::Response;
use serde::Deserialize;
use sqlx::PgConnection;

use super::carried::Carried;
use super::middleware::Source;
use super::model::Credentials;
use super::names::key_of;
use super::passwords::Checked;
use super::second::passkeys::Owned;
use super::second::{self, half, step};
use super::throttle::Try;
use super::{cookie, paths, sessions, store};
use crate::app::App;
use crate::mail::paths::FORGOTTEN;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, page_with, see_other};
use crate::web::paths::Base;
use crate::web::shell::Shell;
use crate::web::viewer::{Member, MemberId, Viewer};
use crate::web::{Error, random};

#[derive(Template)]
#[template(path = "members/sign_in.html")]
struct SignInPage {
    shell: Shell,
    form: FormState,
    action: String,
    /// Who signs in once more; empty for whoever comes.
    again: String,
    /// Where a passkey is asked for; empty where browsers know none.
    passkey: String,
    /// Where a letter with a link for a new password is asked for; empty where nothing is sent.
    forgotten: String,
    way: Way,
}

#[derive(Template)]
#[template(path = "members/carried.html")]
struct CarriedPage {
    shell: Shell,
    carried: Carried,
    is_theirs: bool,
    home: String,
}

/// Where a sign-in leads: to a page that was asked for, or to a form that was being sent.
#[derive(Clone, Debug, Default)]
pub(super) struct Way {
    next: String,
    pub(super) carried: Carried,
}

impl Way {
    /// To a full path, if it lies on this site.
    pub(super) fn to(base: &Base, next: &str) -> Way {
        Way {
            next: base.local(next).unwrap_or_default().to_owned(),
            carried: Carried::default(),
        }
    }

    /// What the form of a sign-in carried.
    pub(super) fn read(posted: &Posted, base: &Base) -> Result<Way, Error> {
        Ok(Way {
            carried: Carried::read(posted, base)?,
            ..Way::to(base, posted.one("next")?)
        })
    }

    /// Whether it leads nowhere in particular.
    pub(super) fn is_plain(&self) -> bool {
        self.next.is_empty() && self.carried.is_empty()
    }

    /// The hidden fields that carry it on.
    pub(super) fn hidden(&self) -> Vec<(String, String)> {
        let mut fields = vec![("next".to_owned(), self.next.clone())];
        fields.extend(self.carried.hidden());
        fields
    }

    /// A path of a sign-in with the page to be led to behind it.
    pub(super) fn behind(&self, path: &str) -> String {
        match self.next.as_str() {
            "" => path.to_owned(),
            next => format!("{path}?next={}", in_query(next)),
        }
    }
}

/// Whoever proved who they are.
pub(super) struct Who<'a> {
    pub(super) id: MemberId,
    pub(super) public_id: &'a str,
    pub(super) name: &'a str,
}

impl<'a> From<&'a Credentials> for Who<'a> {
    fn from(found: &'a Credentials) -> Who<'a> {
        Who {
            id: found.id,
            public_id: &found.public_id,
            name: &found.name,
        }
    }
}

impl<'a> From<&'a half::Half> for Who<'a> {
    fn from(half: &'a half::Half) -> Who<'a> {
        Who {
            id: half.id,
            public_id: &half.public_id,
            name: &half.name,
        }
    }
}

impl<'a> From<&'a Owned> for Who<'a> {
    fn from(owned: &'a Owned) -> Who<'a> {
        Who {
            id: owned.id,
            public_id: &owned.public_id,
            name: &owned.name,
        }
    }
}

#[derive(Deserialize)]
pub(super) struct Asked {
    pub(super) next: Option<String>,
}

pub(super) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    Query(asked): Query<Asked>,
) -> Answer {
    let next = asked.next.unwrap_or_default();
    if viewer.member().is_some() {
        return lead_on(&app, &next);
    }
    let way = Way::to(app.site.base(), &next);
    not_stored(page(&sign_in_page(&app, &viewer, FormState::new(), way)))
}

/// Asks a member who is signed in to prove once more who they are.
pub(super) async fn show_again(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Query(asked): Query<Asked>,
) -> Answer {
    let way = Way::to(app.site.base(), &asked.next.unwrap_or_default());
    let mut shown = sign_in_page(&app, &viewer, FormState::new(), way);
    shown.again = member.name;
    not_stored(page(&shown))
}

fn sign_in_page(app: &App, viewer: &Viewer, form: FormState, way: Way) -> SignInPage {
    let base = app.site.base();
    let passkey = app.passkeys.as_ref();
    SignInPage {
        shell: app.shell(viewer),
        form,
        action: base.link(paths::DO_SIGN_IN.path),
        again: String::new(),
        passkey: passkey.map_or_else(String::new, |_| {
            base.link(second::paths::ASK_FOR_PASSKEY.path)
        }),
        forgotten: match app.mail.is_on() {
            true => base.link(FORGOTTEN.path),
            false => String::new(),
        },
        way,
    }
}

/// The sign-in page once more, since its form, a second step or a passkey did not do.
pub(super) fn sign_in_anew(app: &App, viewer: &Viewer, why: &str, way: Way) -> Answer {
    let mut form = FormState::new();
    form.refuse_whole(why);
    not_stored(form_again(&sign_in_page(app, viewer, form, way)))
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
        let path = format!("{}?next={}", paths::SIGN_IN.path, in_query(path));
        return see_other(app.site.base(), &path);
    }
    let way = Way {
        next: String::new(),
        carried: Carried::pick_up(path, posted, whose),
    };
    let mut form = FormState::new();
    form.refuse_whole(
        "You were signed out in the meantime. Sign in, and what you typed is shown again.",
    );
    not_stored(page_with(
        StatusCode::UNAUTHORIZED,
        &sign_in_page(app, &Viewer::stranger(), form, way),
    ))
}

/// What a member gets whose last proof is too old for what they want to do. `page_before` is the page that has the
/// form, if the browser tells it.
pub(super) fn prove_again(
    app: &App,
    viewer: &Viewer,
    reads: bool,
    path: &str,
    posted: &Posted,
    page_before: &str,
) -> Answer {
    let base = app.site.base();
    let member = viewer.member().ok_or_else(Error::sign_in)?;
    let carried = Carried::pick_up(path, posted, Some(&member.public_id));
    if reads || carried.is_empty() {
        let way = Way::to(base, if reads { path } else { page_before });
        return see_other(base, &way.behind(second::paths::AGAIN.path));
    }
    let way = Way {
        next: String::new(),
        carried,
    };
    let mut shown = sign_in_page(app, viewer, FormState::new(), way);
    shown.again = member.name.clone();
    not_stored(page_with(StatusCode::UNAUTHORIZED, &shown))
}

fn in_query(path: &str) -> String {
    path.bytes().map(encoded).collect()
}

fn encoded(byte: u8) -> String {
    match byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
        true => char::from(byte).to_string(),
        false => format!("%{byte:02X}"),
    }
}

pub(super) async fn sign_in(
    State(app): State<App>,
    viewer: Viewer,
    Extension(source): Extension<Source>,
    headers: HeaderMap,
    posted: Posted,
) -> Answer {
    let (name, password) = (posted.one("name")?, posted.one("password")?);
    let way = Way::read(&posted, app.site.base())?;
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
        return refused(&app, &viewer, name, way);
    };
    let mut tx = app.pool.begin().await?;
    attempt.forgive(&mut tx).await?;
    if let (Checked::RightButWeak(stronger), Some(old)) = (&checked, stored) {
        store::renew_hash(&mut tx, found.id, old, stronger).await?;
    }
    let response = admit(&app, &mut tx, &headers, &found.into(), way).await?;
    tx.commit().await?;
    Ok(response)
}

fn refused(app: &App, viewer: &Viewer, name: &str, way: Way) -> Answer {
    let mut form = FormState::new();
    form.set("name", name);
    form.refuse_whole(
        "This name and this password do not belong together. Check both, capitals too.",
    );
    let mut shown = sign_in_page(app, viewer, form, way);
    let oneself = viewer.member();
    let oneself = oneself.filter(|member| key_of(&member.name) == key_of(name));
    shown.again = oneself.map_or_else(String::new, |member| member.name.clone());
    not_stored(form_again(&shown))
}

/// Lets somebody in whose password is right, or asks for the second step first: every door that a password opens
/// leads through here.
pub(super) async fn admit(
    app: &App,
    conn: &mut PgConnection,
    headers: &HeaderMap,
    who: &Who<'_>,
    way: Way,
) -> Answer {
    let means = second::store::find_means(conn, who.id).await?;
    match means.is_any() {
        true => step::ask(app, conn, who, &means, way).await,
        false => bring_in(app, conn, headers, who, way).await,
    }
}

/// Begins the session of somebody who has proved who they are, and leads on.
pub(super) async fn bring_in(
    app: &App,
    conn: &mut PgConnection,
    headers: &HeaderMap,
    who: &Who<'_>,
    way: Way,
) -> Answer {
    if let Some(old) = cookie::read(&app.site, headers) {
        sessions::store::end_session(conn, &random::hash_of(&old)).await?;
    }
    half::end(conn, &app.site, headers).await?;
    let answer = if !way.carried.is_empty() {
        carried_page(app, who, way.carried)?
    } else if second::store::tell_taken(conn, who.id).await? {
        see_other(app.site.base(), second::paths::SECOND_STEP.path)?
    } else {
        lead_on(app, &way.next)?
    };
    let mut response = enter(app, conn, who.id, answer).await?;
    if cookie::read_half(&app.site, headers).is_some() {
        response
            .headers_mut()
            .append(header::SET_COOKIE, cookie::take_half(&app.site)?);
    }
    tracing::info!(member = who.id.0, "signed in");
    Ok(response)
}

fn carried_page(app: &App, who: &Who<'_>, carried: Carried) -> Answer {
    let is_theirs = carried.belongs_to(who.public_id);
    not_stored(page(&CarriedPage {
        shell: app.shell(&Viewer::stranger()).for_member(who.name),
        carried,
        is_theirs,
        home: app.site.base().link("/"),
    }))
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
    conn: &mut PgConnection,
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

pub(super) async fn sign_out(State(app): State<App>, viewer: Viewer, headers: HeaderMap) -> Answer {
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
