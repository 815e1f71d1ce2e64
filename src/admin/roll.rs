//! A keeper's page of members: roles, links for a new password, who is shut out.

use std::collections::HashMap;

use askama::Template;
use axum::extract::{Path, Query, State};
use chrono::TimeDelta;
use serde::Deserialize;

use super::paths;
use crate::app::App;
use crate::members::links::store::{RENEW_HOURS, make_link};
use crate::members::mentors::store as mentors;
use crate::members::paths::RENEW;
use crate::members::roll::{Changed, RollEntry, store};
use crate::portability::leaving::KEPT_DAYS;
use crate::portability::leaving::store::come_back;
use crate::web::Error;
use crate::web::dates::{day, moment};
use crate::web::form::Posted;
use crate::web::pages::{Answer, not_stored, page, see_other};
use crate::web::paths::Route;
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Role, Viewer};

#[derive(Template)]
#[template(path = "admin/members.html")]
struct RollPage {
    shell: Shell,
    rows: Vec<Row>,
    /// One keeper alone is one lost password away from nobody.
    lonely: bool,
    invites: String,
    mentors: Vec<(String, String)>,
}

impl RollPage {
    const ROLES: &[(&str, &str)] = &[
        ("member", "member"),
        ("organiser", "organiser"),
        ("keeper", "keeper"),
    ];
}

/// One member in words.
struct Row {
    id: String,
    name: String,
    role: &'static str,
    state: String,
    is_shut_out: bool,
    is_oneself: bool,
    /// The public id of whom a newcomer may ask.
    mentor: String,
    /// Where another is given; empty for who is no newcomer.
    mentor_at: String,
    role_at: String,
    link_at: String,
    /// Where their second step is taken away; empty if there is none, and for oneself.
    second_at: String,
    shut_out_at: String,
    let_in_at: String,
}

#[derive(Template)]
#[template(path = "admin/password_link.html")]
struct LinkPage {
    shell: Shell,
    name: String,
    link: String,
    hours: i32,
    back: String,
}

/// What was done just now, for the message above the page.
#[derive(Deserialize)]
pub(super) struct Done {
    done: Option<String>,
}

fn row(app: &App, member: &Member, entry: RollEntry, mentor: Option<&String>) -> Row {
    let at = |route: Route| app.site.base().link(&route.with(&[&entry.public_id]));
    let zone = member.settings.zone;
    let is_oneself = entry.id == member.id;
    let joined = match entry.has_second_step {
        true => format!("joined {} · has a second step", day(entry.joined_at, zone)),
        false => format!("joined {}", day(entry.joined_at, zone)),
    };
    let state = match (entry.shut_out_at, entry.seen_at) {
        (Some(at), _) => format!("{joined} · shut out since {}", day(at, zone)),
        (None, Some(seen)) => format!("{joined} · last here {}", moment(seen, zone)),
        (None, None) => format!("{joined} · not here lately"),
    };
    let state = match entry.left_at {
        None => state,
        Some(left) => format!(
            "{joined} · left on {}; can be let in again until {}",
            day(left, zone),
            day(left + TimeDelta::days(KEPT_DAYS), zone)
        ),
    };
    Row {
        role_at: at(paths::SET_ROLE),
        link_at: at(paths::PASSWORD_LINK),
        second_at: match entry.has_second_step && !is_oneself {
            true => at(paths::SECOND_STEP),
            false => String::new(),
        },
        shut_out_at: at(paths::SHUT_OUT),
        let_in_at: at(paths::LET_IN),
        is_shut_out: entry.shut_out_at.is_some(),
        mentor: mentor.cloned().unwrap_or_default(),
        mentor_at: mentor.map(|_| at(paths::SET_MENTOR)).unwrap_or_default(),
        is_oneself,
        role: entry.role.as_str(),
        id: entry.public_id,
        name: entry.name,
        state,
    }
}

pub(super) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Query(query): Query<Done>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let roll = store::list_roll(&mut conn).await?;
    let asked = mentors::list_mentors(&mut conn).await?;
    let new = mentors::list_newcomers(&mut conn, app.clock.now()).await?;
    let new: HashMap<String, String> = new.into_iter().collect();
    drop(conn);
    let keepers = roll
        .iter()
        .filter(|entry| entry.role == Role::Keeper && entry.shut_out_at.is_none());
    let lonely = keepers.count() < 2;
    let shell = app.shell(&viewer).at_place(Nav::Keeper);
    let shell = match query.done.as_deref() {
        Some("role") => shell.saying("The role is changed. It counts from the next page on."),
        Some("mentor") => shell.saying("Saved: the newcomer reads that name from now on."),
        Some("out") => shell.saying("Shut out, and signed out everywhere. What was shared stays."),
        Some("in") => shell.saying("Let in again, with the old password."),
        Some("second-step") => {
            shell.saying("The second step is taken away; they read it at their next sign-in.")
        }
        Some("last") => shell.warning(
            "Nothing was changed: the club needs a keeper. Make another member a keeper first.",
        ),
        _ => shell,
    };
    let rows = roll.into_iter().map(|entry| {
        let mentor = new.get(&entry.public_id).filter(|_| !asked.is_empty());
        row(&app, &member, entry, mentor)
    });
    not_stored(page(&RollPage {
        shell,
        rows: rows.collect(),
        mentors: asked.clone(),
        lonely,
        invites: app.site.base().link(paths::INVITES.path),
    }))
}

/// Back to the page, with a word on what became of it.
fn told(app: &App, changed: Changed, done: &str) -> Answer {
    let word = match changed {
        Changed::Done => done,
        Changed::LastKeeper => "last",
        Changed::NotFound => return Err(Error::not_found()),
    };
    see_other(
        app.site.base(),
        &format!("{}?done={word}", paths::MEMBERS.path),
    )
}

pub(super) async fn set_role(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let role = Role::from_word(posted.one("role")?)
        .ok_or_else(|| Error::bad_request("There is no such role."))?;
    let mut tx = app.pool.begin().await?;
    let changed = store::set_role(&mut tx, &id, role).await?;
    tx.commit().await?;
    // What nobody is called by is text of whoever sent it.
    let whose = match changed {
        Changed::NotFound => "-",
        _ => id.as_str(),
    };
    tracing::info!(
        member = member.id.0,
        whose,
        role = role.as_str(),
        ?changed,
        "role"
    );
    told(&app, changed, "role")
}

pub(super) async fn set_mentor(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mentor = posted.one("mentor")?;
    let mut conn = app.pool.acquire().await?;
    if !mentors::set_mentor(&mut conn, &id, mentor, app.clock.now()).await? {
        return Err(Error::not_found());
    }
    tracing::info!(member = member.id.0, "a newcomer was given a mentor");
    told(&app, Changed::Done, "mentor")
}

pub(super) async fn shut_out(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let changed = store::shut_out(&mut tx, &id).await?;
    mentors::place_newcomers(&mut tx, None, app.clock.now()).await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, ?changed, "a member shut out");
    told(&app, changed, "out")
}

pub(super) async fn let_in(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let changed = come_back(&mut tx, &id).await?;
    mentors::place_newcomers(&mut tx, None, app.clock.now()).await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, ?changed, "a member let in again");
    told(&app, changed, "in")
}

pub(super) async fn password_link(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let entry = store::find_entry(&mut conn, &id)
        .await?
        .filter(|entry| entry.shut_out_at.is_none())
        .ok_or_else(Error::not_found)?;
    let token = make_link(&mut conn, Some(entry.id)).await?;
    tracing::info!(
        member = member.id.0,
        of = entry.id.0,
        "link for a new password made"
    );
    not_stored(page(&LinkPage {
        shell: app.shell(&viewer).at_place(Nav::Keeper),
        name: entry.name,
        link: app.site.address(&RENEW.with(&[&token])),
        hours: RENEW_HOURS,
        back: app.site.base().link(paths::MEMBERS.path),
    }))
}
