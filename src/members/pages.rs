//! Pages of members: set-up, and a new password by a link. Signing in is in `sign_in.rs`, invites are in `joining.rs`,
//! settings in `settings.rs`, the second step is in `second`.

use askama::Template;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::HeaderMap;

use super::forms::{self, SetUp};
use super::model::NewMember;
use super::sign_in::{Way, Who, admit, enter};
use super::{joining, links, mentors, paths, second, sessions, settings, sign_in, store, tokens};
use crate::app::App;
use crate::mail::asking::Notice;
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::viewer::{Role, Settings, Viewer};

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
        .on(paths::SIGN_IN, sign_in::show)
        .on(paths::DO_SIGN_IN, sign_in::sign_in)
        .on(paths::SIGN_OUT, sign_in::sign_out)
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
    takes_second_step: bool,
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
    let renewal = links::store::find_renewal(&mut conn, &token)
        .await?
        .ok_or_else(stale_link)?;
    let action = app.site.base().link(&paths::DO_RENEW.with(&[&token]));
    not_stored(page(&RenewalPage {
        shell: app.shell(&viewer),
        form: FormState::new(),
        action,
        takes_second_step: renewal.takes_second_step,
        name: renewal.name,
    }))
}

async fn renew(
    State(app): State<App>,
    viewer: Viewer,
    Path(token): Path<String>,
    headers: HeaderMap,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let renewal = links::store::find_renewal(&mut conn, &token)
        .await?
        .ok_or_else(stale_link)?;
    drop(conn);
    let mut form = FormState::of(&posted);
    let club = app.site.club_name();
    let context = [&*club, &*renewal.name];
    let Some(password) = forms::new_password(&posted, &context, &mut form)? else {
        let action = app.site.base().link(&paths::DO_RENEW.with(&[&token]));
        return not_stored(form_again(&RenewalPage {
            shell: app.shell(&viewer),
            form,
            action,
            takes_second_step: renewal.takes_second_step,
            name: renewal.name,
        }));
    };
    let member = renewal.id;
    let hash = app.hasher.hash(&password).await?;
    let mut tx = app.pool.begin().await?;
    if !links::store::use_link(&mut tx, &token).await? {
        return Err(stale_link());
    }
    store::set_password(&mut tx, member, &hash).await?;
    if renewal.takes_second_step {
        second::store::take_away(&mut tx, member, None).await?;
    }
    sessions::store::end_sessions(&mut tx, member, None).await?;
    app.mail.notice(&mut tx, member, Notice::Password).await?;
    if renewal.takes_second_step {
        app.mail.notice(&mut tx, member, Notice::SecondStep).await?;
    }
    let who = Who {
        id: member,
        public_id: "",
        name: &renewal.name,
    };
    let response = admit(&app, &mut tx, &headers, &who, Way::default()).await?;
    tx.commit().await?;
    tracing::info!(member = member.0, "password renewed by a link");
    Ok(response)
}

async fn to_password(State(app): State<App>) -> Answer {
    see_other(app.site.base(), paths::PASSWORD.path)
}
