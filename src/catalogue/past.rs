//! The history of an own entry: who wrote what and when, bringing old words back, withdrawing and putting back.

use askama::Template;
use axum::extract::{Path, State};

use super::own::store::{self, Deed, Kept, Revision, SaveError};
use super::own::{self, Change, Document};
use super::pages::entry_of;
use super::paths;
use crate::app::App;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, page, see_other};
use crate::web::paths::Route;
use crate::web::policy::{Action, Facts, may};
use crate::web::shell::Shell;
use crate::web::viewer::{Member, Viewer};

/// One revision in the list.
struct Line {
    number: i32,
    /// What was done, in words.
    deed: String,
    meta: String,
    /// Whether there was nothing before it.
    is_first: bool,
    changes: Vec<Change>,
    /// Address and key of the form that brings its words back.
    back: Option<(String, String)>,
}

#[derive(Template)]
#[template(path = "catalogue/history.html")]
struct HistoryPage {
    shell: Shell,
    name: String,
    entry_url: String,
    version: i32,
    lines: Vec<Line>,
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(key): Path<String>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let mut conn = app.pool.acquire().await?;
    let kept = store::find(&mut conn, &key)
        .await?
        .ok_or_else(Error::not_found)?;
    let revisions = store::history(&mut conn, &key).await?;
    drop(conn);
    let keeps = may(&viewer, Action::KeepClub, &Facts::default());
    let mut lines = Vec::new();
    for (at, revision) in revisions.iter().enumerate() {
        let number = revision.number.to_string();
        let differs = revision.document != kept.document;
        let back = match keeps && differs {
            true => Some((
                app.site
                    .base()
                    .link(&paths::BRING_BACK.with(&[&key, &number])),
                Once::fresh(&viewer)?,
            )),
            false => None,
        };
        lines.push(line(revision, revisions.get(at + 1), &kept, &member, back));
    }
    page(&HistoryPage {
        shell: app.shell(&viewer),
        name: kept.document.text("name").to_owned(),
        entry_url: entry_of(&app, &key),
        version: kept.version,
        lines,
    })
}

fn line(
    revision: &Revision,
    before: Option<&Revision>,
    kept: &Kept,
    member: &Member,
    back: Option<(String, String)>,
) -> Line {
    let nothing = Document::default();
    let was = before.map_or(&nothing, |before| &before.document);
    let at = revision
        .created_at
        .with_timezone(&member.settings.zone)
        .format("%-d %B %Y, %H:%M");
    let deed = match revision.deed {
        Deed::Made => "Made".to_owned(),
        Deed::Changed => "Changed".to_owned(),
        Deed::Withdrawn => "Withdrawn".to_owned(),
        Deed::PutBack => "Offered again".to_owned(),
        Deed::BroughtBack(number) => format!("Revision {number} brought back"),
    };
    Line {
        number: revision.number,
        deed,
        is_first: before.is_none(),
        meta: format!("by {}, {at}", revision.author_name),
        changes: own::changes(was, &revision.document, kept.sort, member.settings.units),
        back,
    }
}

pub(super) async fn bring_back(
    State(app): State<App>,
    member: Member,
    Path((key, number)): Path<(String, i32)>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let past = store::history(&mut conn, &key).await?;
    drop(conn);
    let old = past.into_iter().find(|revision| revision.number == number);
    let old = old.ok_or_else(Error::not_found)?;
    let deed = Deed::BroughtBack(number);
    let route = paths::BRING_BACK;
    write(
        &app,
        &member,
        &posted,
        &key,
        (deed, route, "saved"),
        Some(old.document),
    )
    .await
}

pub(super) async fn withdraw(
    State(app): State<App>,
    member: Member,
    Path(key): Path<String>,
    posted: Posted,
) -> Answer {
    let what = (Deed::Withdrawn, paths::WITHDRAW, "withdrawn");
    write(&app, &member, &posted, &key, what, None).await
}

pub(super) async fn put_back(
    State(app): State<App>,
    member: Member,
    Path(key): Path<String>,
    posted: Posted,
) -> Answer {
    let what = (Deed::PutBack, paths::PUT_BACK, "back");
    write(&app, &member, &posted, &key, what, None).await
}

/// Adds a revision with these words, or with those that stand: once, and only on top of the version that was seen.
async fn write(
    app: &App,
    member: &Member,
    posted: &Posted,
    key: &str,
    (deed, route, done): (Deed, Route, &str),
    words: Option<Document>,
) -> Answer {
    let once = Once::read(posted, member)?;
    let version: i32 = posted.one("version")?.parse().map_err(|_| {
        Error::bad_request("Open the page of the entry again, and choose from there.")
    })?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, member, route).await? {
        return see_other(app.site.base(), &location);
    }
    let kept = store::find(&mut tx, key)
        .await?
        .ok_or_else(Error::not_found)?;
    let document = words.unwrap_or(kept.document);
    let now = app.clock.now();
    match store::change(&mut tx, (key, version), deed, &document, member.id, now).await {
        Ok(_) => {
            let location = format!("{}?done={done}", paths::ENTRY.with(&[key]));
            once::settle(&mut tx, &once, member, route, &location).await?;
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Err(SaveError::Conflict(theirs)) => Err(Error::conflict(format!(
            "{} saved revision {} of it since you opened this page. Look at the history again before you go on.",
            theirs.author_name, theirs.version
        ))),
        Err(SaveError::NameTaken) => Err(Error::conflict(
            "Something else in the catalogue has this name by now. Rename one of them first.",
        )),
        Err(SaveError::NotFound) => Err(Error::not_found()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}
