//! Coming in by an invite: the form behind its link, and what a new member reads first.

use askama::Template;
use axum::extract::{Extension, Path, State};
use axum::http::HeaderMap;

use super::invites::forms::{Joining, joining};
use super::invites::{Joined, Welcome, store};
use super::mentors::store::place_newcomers;
use super::middleware::Source;
use super::model::{Credentials, NewMember};
use super::passwords::Checked;
use super::sign_in::{Way, admit, enter};
use super::throttle::Try;
use super::{forms, paths};
use crate::app::App;
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::shell::Shell;
use crate::web::viewer::{Member, MemberId, Role, Settings, Viewer};

#[derive(Template)]
#[template(path = "members/join.html")]
struct JoinPage {
    shell: Shell,
    form: FormState,
    action: String,
    address: String,
    made_by: String,
    /// What they will be, if more than a member.
    more: &'static str,
}

#[derive(Template)]
#[template(path = "members/welcome.html")]
struct WelcomePage {
    shell: Shell,
    name: String,
    address: String,
}

fn stale_invite() -> Error {
    Error::forbidden(
        "This invite is not good any more, or was never made here. Ask whoever sent it to you for a new one.",
    )
}

fn join_page(
    app: &App,
    viewer: &Viewer,
    token: &str,
    invite: &Welcome,
    form: FormState,
) -> JoinPage {
    JoinPage {
        shell: app.shell(viewer),
        form,
        action: app.site.base().link(&paths::DO_JOIN.with(&[token])),
        address: app.site.address("/"),
        made_by: invite.made_by.clone(),
        more: match invite.role {
            Role::Member => "",
            Role::Organiser => "an organiser, who runs the club’s competitions",
            Role::Keeper => "a keeper, who administers the club’s server",
        },
    }
}

pub(super) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    Path(token): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let invite = store::find_welcome(&mut conn, &token)
        .await?
        .ok_or_else(stale_invite)?;
    let mut form = FormState::new();
    form.set("units", Settings::default().units.word());
    not_stored(page(&join_page(&app, &viewer, &token, &invite, form)))
}

pub(super) async fn join(
    State(app): State<App>,
    viewer: Viewer,
    Path(token): Path<String>,
    Extension(source): Extension<Source>,
    headers: HeaderMap,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let invite = store::find_welcome(&mut conn, &token).await?;
    drop(conn);
    let typed = match joining(&posted, &app.site.club_name())? {
        Ok(typed) => typed,
        Err(form) => {
            let invite = invite.ok_or_else(stale_invite)?;
            return not_stored(form_again(&join_page(&app, &viewer, &token, &invite, form)));
        }
    };
    let joined = match &invite {
        Some(invite) => let_in(&app, &token, invite, &typed).await?,
        None => Joined::NotGood,
    };
    if let Joined::In(member) = joined {
        tracing::info!(member = member.0, "joined by an invite");
        return hand_over(&app, member).await;
    }
    if let Some(found) = pressed_twice(&app, &token, &typed, source).await? {
        let base = app.site.base();
        let way = Way::to(base, &base.link(paths::WELCOME.path));
        let mut tx = app.pool.begin().await?;
        let response = admit(&app, &mut tx, &headers, &(&found).into(), way).await?;
        tx.commit().await?;
        return Ok(response);
    }
    let (Some(invite), Joined::NameTaken) = (invite, joined) else {
        return Err(stale_invite());
    };
    let mut form = FormState::of(&posted);
    form.refuse(
        "name",
        "Somebody here has this name, or one that looks like it. Add a surname or a letter.",
    );
    not_stored(form_again(&join_page(&app, &viewer, &token, &invite, form)))
}

/// Makes the member and counts the use, or does neither.
async fn let_in(
    app: &App,
    token: &str,
    invite: &Welcome,
    typed: &Joining,
) -> Result<Joined, Error> {
    let password_hash = Some(app.hasher.hash(&typed.password).await?);
    let new = NewMember {
        name: typed.name.clone(),
        password_hash,
        role: Role::Member,
        settings: Settings {
            units: typed.units,
            zone: invite.zone.parse().unwrap_or(chrono_tz::UTC),
            ..Settings::default()
        },
    };
    let mut tx = app.pool.begin().await?;
    let joined = store::join(&mut tx, token, new).await?;
    if let Joined::In(member) = joined {
        place_newcomers(&mut tx, Some(member), app.clock.now()).await?;
        tx.commit().await?;
    }
    Ok(joined)
}

/// The member whom the same form let in a moment ago, if the password is theirs: a double click leads in. Tries count
/// as those of signing in.
async fn pressed_twice(
    app: &App,
    token: &str,
    typed: &Joining,
    source: Source,
) -> Result<Option<Credentials>, Error> {
    let mut conn = app.pool.acquire().await?;
    let Some(found) = store::find_just_joined(&mut conn, token, typed.name.key()).await? else {
        return Ok(None);
    };
    let attempt = Try::of(typed.name.key(), source.0);
    attempt.count(&mut conn).await?;
    drop(conn);
    let stored = found.password_hash.as_deref();
    if app.hasher.check(&typed.password, stored).await? == Checked::Wrong {
        return Ok(None);
    }
    let mut conn = app.pool.acquire().await?;
    attempt.forgive(&mut conn).await?;
    Ok(Some(found))
}

async fn hand_over(app: &App, member: MemberId) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let answer = see_other(app.site.base(), paths::WELCOME.path)?;
    enter(app, &mut conn, member, answer).await
}

pub(super) async fn welcome(State(app): State<App>, viewer: Viewer, member: Member) -> Answer {
    not_stored(page(&WelcomePage {
        shell: app.shell(&viewer),
        name: member.name,
        address: app.site.address("/"),
    }))
}
