//! A keeper's page on what the club calls itself and says of itself.

use askama::Template;
use axum::extract::{Query, State};
use serde::Deserialize;

use super::paths;
use super::store::{NewClub, save_club};
use crate::app::App;
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, page_with, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::site::Club;
use crate::web::viewer::{Member, Viewer};

/// The most characters of a name, as the server's settings have it.
const NAME_MAX: usize = 80;
/// The most characters of the text.
const ABOUT_MAX: usize = 4_000;

#[derive(Template)]
#[template(path = "admin/club.html")]
struct ClubPage {
    shell: Shell,
    form: FormState,
    action: String,
    contents: String,
    /// What another keeper saved in between.
    theirs: Option<Club>,
}

/// What was done just now, for the message above the page.
#[derive(Deserialize)]
pub(super) struct Done {
    done: Option<String>,
}

fn club_page(app: &App, viewer: &Viewer, form: FormState, theirs: Option<Club>) -> ClubPage {
    ClubPage {
        shell: app.shell(viewer).at_place(Nav::Keeper),
        form,
        action: app.site.base().link(paths::SAVE_CLUB.path),
        contents: app.site.base().link(paths::KEEPER.path),
        theirs,
    }
}

pub(super) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    Query(query): Query<Done>,
) -> Answer {
    let club = app.site.club();
    let mut form = FormState::new();
    form.set("name", &*club.name);
    form.set("about", &*club.about);
    form.set("seen", club.version.to_string());
    let mut shown = club_page(&app, &viewer, form, None);
    if query.done.is_some() {
        shown.shell = shown.shell.saying("Saved: every page says it from now on.");
    }
    not_stored(page(&shown))
}

/// What was typed, or the form with its faults.
fn typed(posted: &Posted) -> Result<Result<NewClub, FormState>, Error> {
    let mut form = FormState::of(posted);
    let name = posted.one("name")?.split_whitespace().collect::<Vec<_>>();
    let name = name.join(" ");
    match name.chars().count() {
        0 => form.refuse("name", "Enter how the club is called."),
        1..=NAME_MAX => {}
        _ => form.refuse("name", format!("Use at most {NAME_MAX} letters.")),
    }
    if name.chars().any(char::is_control) {
        form.refuse("name", "Leave out what is no letter, digit or sign.");
    }
    let about = posted.one("about")?.replace("\r\n", "\n");
    let about = about.trim();
    let long = about.chars().count();
    if long > ABOUT_MAX {
        form.refuse(
            "about",
            format!("Shorten the text to {ABOUT_MAX} letters: it has {long}."),
        );
    }
    let seen = posted.one("seen")?.parse::<i32>();
    let seen = seen
        .ok()
        .filter(|seen| *seen >= 0)
        .ok_or_else(|| Error::bad_request("This form is incomplete. Open its page again."))?;
    Ok(match form.is_sound() {
        true => Ok(NewClub {
            name,
            about: about.to_owned(),
            seen,
        }),
        false => Err(form),
    })
}

pub(super) async fn save(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    posted: Posted,
) -> Answer {
    let new = match typed(&posted)? {
        Ok(new) => new,
        Err(form) => return not_stored(form_again(&club_page(&app, &viewer, form, None))),
    };
    let mut conn = app.pool.acquire().await?;
    let saved = save_club(&mut conn, &new, member.id, app.clock.now()).await?;
    app.site.look_again(&mut conn).await?;
    drop(conn);
    let now = app.site.club();
    // A form that was sent twice finds its own words.
    let is_said = *now.name == *new.name && *now.about == *new.about;
    if !saved && !is_said {
        let mut form = FormState::of(&posted);
        form.set("seen", now.version.to_string());
        let shown = club_page(&app, &viewer, form, Some(now));
        return not_stored(page_with(axum::http::StatusCode::CONFLICT, &shown));
    }
    tracing::info!(member = member.id.0, "the club’s name and text saved");
    see_other(app.site.base(), &format!("{}?done=saved", paths::CLUB.path))
}
