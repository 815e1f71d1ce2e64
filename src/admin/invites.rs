//! A keeper's page of invites: who may come in by which link.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::paths;
use crate::app::App;
use crate::mail::{asking, read_address};
use crate::members::invites::forms::{fresh_invite, invite};
use crate::members::invites::{Invite, store};
use crate::members::paths::JOIN;
use crate::web::Error;
use crate::web::dates::moment;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Role, Viewer};

#[derive(Template)]
#[template(path = "admin/invites.html")]
struct InvitesPage {
    shell: Shell,
    form: FormState,
    once: String,
    action: String,
    members: String,
    /// Whether the link can be sent by mail.
    can_mail: bool,
    rows: Vec<Row>,
}

impl InvitesPage {
    const ROLES: &[(&str, &str)] = &[
        ("member", "a member: makes mead"),
        ("organiser", "an organiser: runs competitions too"),
        ("keeper", "a keeper: administers the club’s server too"),
    ];
    const DAYS: &[(&str, &str)] = &[("1", "a day"), ("3", "three days"), ("7", "a week")];
}

/// One invite in words.
struct Row {
    title: String,
    state: String,
    came: String,
    made_by: String,
    link_at: String,
    take_back_at: String,
}

#[derive(Template)]
#[template(path = "admin/invite_link.html")]
struct LinkPage {
    shell: Shell,
    link: String,
    message: String,
    /// Where a letter with a link of its own goes.
    mailed: String,
    state: String,
    back: String,
}

/// What was done just now, for the message above the page.
#[derive(Deserialize)]
pub(super) struct Done {
    done: Option<String>,
}

fn row(app: &App, member: &Member, invite: &Invite) -> Row {
    let at = |route: crate::web::paths::Route| match invite.is_good {
        true => app.site.base().link(&route.with(&[&invite.public_id])),
        false => String::new(),
    };
    let came = invite.came.join(", ");
    Row {
        title: match invite.note.is_empty() {
            true => whom(invite),
            false => format!("{}: {}", invite.note, whom(invite)),
        },
        state: state(invite, member),
        came,
        made_by: invite
            .made_by
            .clone()
            .unwrap_or_else(|| "somebody who left".to_owned()),
        link_at: at(paths::INVITE_LINK),
        take_back_at: at(paths::TAKE_BACK),
    }
}

/// For how many of what.
fn whom(invite: &Invite) -> String {
    match (invite.role, invite.uses_allowed) {
        (Role::Organiser, _) => "one organiser".to_owned(),
        (Role::Keeper, _) => "one keeper".to_owned(),
        (Role::Member, 1) => "one member".to_owned(),
        (Role::Member, many) => format!("{many} members"),
    }
}

fn state(invite: &Invite, member: &Member) -> String {
    let until = moment(invite.expires_at, member.settings.zone);
    if invite.is_good {
        let left = match invite.uses_allowed - invite.uses {
            1 => "for one person".to_owned(),
            left => format!("for {left} people"),
        };
        return format!("good {left}, until {until}");
    }
    if invite.uses >= invite.uses_allowed {
        "used up".to_owned()
    } else if invite.is_revoked {
        "taken back".to_owned()
    } else if invite.is_over {
        format!("ran out on {until}")
    } else {
        "not good any more: whoever made it is no keeper now".to_owned()
    }
}

async fn invites_page(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    form: FormState,
) -> Result<InvitesPage, Error> {
    let mut conn = app.pool.acquire().await?;
    let invites = store::list_invites(&mut conn).await?;
    let once = Once::for_form(&form, viewer)?;
    Ok(InvitesPage {
        shell: app.shell(viewer).at_place(Nav::Keeper),
        form,
        once,
        action: app.site.base().link(paths::MAKE_INVITE.path),
        members: app.site.base().link(paths::MEMBERS.path),
        can_mail: app.mail.is_on(),
        rows: invites
            .iter()
            .map(|invite| row(app, member, invite))
            .collect(),
    })
}

pub(super) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Query(query): Query<Done>,
) -> Answer {
    let mut shown = invites_page(&app, &viewer, &member, fresh_invite()).await?;
    if query.done.as_deref() == Some("taken-back") {
        shown.shell = shown
            .shell
            .saying("The invite is taken back: its links let nobody in any more.");
    }
    not_stored(page(&shown))
}

pub(super) async fn make(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let (new, mut to) = match (invite(&posted)?, mailed_to(&app, &posted)?) {
        (Ok(new), Ok(to)) => (new, to),
        (read, to) => {
            let mut form = read.err().unwrap_or_else(|| FormState::of(&posted));
            if to.is_err() {
                form.refuse(
                    "address",
                    "Enter one address, like name@mead.example, or leave it empty.",
                );
            }
            let shown = invites_page(&app, &viewer, &member, form).await?;
            return not_stored(form_again(&shown));
        }
    };
    let mut tx = app.pool.begin().await?;
    let id = match once::claim(&mut tx, &once, &member, paths::MAKE_INVITE).await? {
        Claim::Fresh => {
            let id = store::make_invite(&mut tx, member.id, &new).await?;
            once::settle(&mut tx, &once, &member, paths::MAKE_INVITE, &id).await?;
            if !to.is_empty() && !asking::invite(&mut tx, &id, &to).await? {
                to.clear();
            }
            id
        }
        // Of the same form the browser shows the last answer only: it gets a link of its own.
        Claim::Done(id) => id,
    };
    let mut link = link_page(&app, &mut tx, &viewer, &member, &id).await?;
    link.mailed = to;
    tx.commit().await?;
    tracing::info!(
        member = member.id.0,
        role = new.role.as_str(),
        uses = new.uses,
        "invite made"
    );
    not_stored(page(&link))
}

/// Where the keeper wants the link sent, if anywhere; it is not kept.
fn mailed_to(app: &App, posted: &Posted) -> Result<Result<String, ()>, Error> {
    let typed = posted.one("address")?.trim();
    if typed.is_empty() || !app.mail.is_on() {
        return Ok(Ok(String::new()));
    }
    Ok(read_address(typed).map(|to| to.to_string()).ok_or(()))
}

pub(super) async fn show_link(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let link = link_page(&app, &mut tx, &viewer, &member, &id).await?;
    tx.commit().await?;
    not_stored(page(&link))
}

/// Makes one more link to an invite, and the page that shows it.
async fn link_page(
    app: &App,
    conn: &mut sqlx::PgConnection,
    viewer: &Viewer,
    member: &Member,
    id: &str,
) -> Result<LinkPage, Error> {
    let token = store::make_invite_link(conn, id)
        .await?
        .ok_or_else(Error::not_found)?;
    let invite = store::find_invite(conn, id)
        .await?
        .ok_or_else(Error::not_found)?;
    let link = app.site.address(&JOIN.with(&[&token]));
    let until = moment(invite.expires_at, member.settings.zone);
    let zone = member.settings.zone.name();
    Ok(LinkPage {
        shell: app.shell(viewer).at_place(Nav::Keeper),
        message: format!(
            "Join {} here: {link} (good until {until}, {zone})",
            app.site.club_name()
        ),
        link,
        mailed: String::new(),
        state: format!("For {}; {}.", whom(&invite), state(&invite, member)),
        back: app.site.base().link(paths::INVITES.path),
    })
}

pub(super) async fn take_back(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    if !store::revoke_invite(&mut conn, &id).await? {
        return Err(Error::not_found());
    }
    tracing::info!(member = member.id.0, "invite taken back");
    see_other(
        app.site.base(),
        &format!("{}?done=taken-back", paths::INVITES.path),
    )
}
