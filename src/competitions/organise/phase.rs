//! The page of where it stands: all phases, what the next one demands, the button that takes it, the way back.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use sqlx::PgConnection;

use super::moving::{self, Stays, When};
use super::standing::missing;
use super::{paths, store};
use crate::app::App;
use crate::competitions::entering::today;
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::competitions::results;
use crate::competitions::shown::shell;
use crate::competitions::{desk, flights};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, page, page_with, see_other};
use crate::web::paths::Route;
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

/// The longest reason, in letters.
pub(super) const REASON_MAX: usize = 600;

/// A phase in the list of all.
struct Line {
    says: &'static str,
    /// "past", "now", "ahead".
    when: &'static str,
}

#[derive(Template)]
#[template(path = "competitions/organise/phase.html")]
struct PhasePage {
    shell: Shell,
    competition_url: String,
    title: String,
    stands: Phase,
    lines: Vec<Line>,
    next: Option<(&'static str, &'static str)>,
    missing: Vec<String>,
    /// Where sheets and results are looked through, once judging is over.
    review_url: Option<String>,
    before: Option<&'static str>,
    on_at: String,
    back_at: String,
    /// Where that is done which the next phase still demands.
    way_on: Option<(&'static str, String)>,
    form: FormState,
    once: String,
}

/// What the button that takes a phase is called, and what it does.
fn told(next: Phase) -> (&'static str, &'static str) {
    match next {
        Phase::Draft => ("", ""),
        Phase::Open => (
            "Open it for entries",
            "Every member sees it and may enter. Rules, scoresheet and categories stay as they are from then on.",
        ),
        Phase::Closed => (
            "Close it for entries",
            "Nobody enters or changes an entry any more. Until the results are out, judges and stewards read no recipe, batch or tasting but their own.",
        ),
        Phase::Received => (
            "End the taking in of bottles",
            "What has not come is missing. Flights are made of what is here.",
        ),
        Phase::Judging => ("Begin judging", "Stewards pour, judges write their sheets."),
        Phase::Review => (
            "End judging",
            "No judge writes any more but on a sheet that you give back. You look through sheets and results.",
        ),
        Phase::Released => (
            "Let the results out",
            "Everybody reads the places, every maker their own sheets. There is no way back from here.",
        ),
        Phase::Archived => (
            "Keep it for reading",
            "It stays as it is, and nobody can change anything.",
        ),
    }
}

/// Where what the next phase demands is done; the look through the results has a way of its own.
fn way_on(stands: Phase) -> Option<(&'static str, Route)> {
    match stands {
        Phase::Draft => Some(("Rules, scoresheet and categories", paths::RULES)),
        Phase::Closed => Some(("The desk", desk::paths::DESK)),
        Phase::Received => Some(("Flights", flights::paths::FLIGHTS)),
        Phase::Judging => Some(("The queue", flights::paths::QUEUE)),
        _ => None,
    }
}

async fn phase_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    form: FormState,
) -> Result<PhasePage, Error> {
    let competition = &opened.competition;
    let stands = competition.phase;
    let standing = store::standing(conn, competition.id).await?;
    let today = today(app, member);
    let mut missing = stands.next().map_or(Vec::new(), |next| {
        missing(next, &standing, &competition.rules, today)
    });
    let reviews = opened.allows(Act::ReviewSheets);
    if reviews {
        missing.extend(results::missing(conn, opened).await?);
    }
    let lines = Phase::ALL.into_iter().map(|phase| Line {
        says: phase.says(),
        when: match phase.cmp(&stands) {
            std::cmp::Ordering::Less => "past",
            std::cmp::Ordering::Equal => "now",
            std::cmp::Ordering::Greater => "ahead",
        },
    });
    let base = app.site.base();
    let id = competition.public_id.as_str();
    let before = stands.before().filter(|_| opened.allows(Act::Reopen));
    Ok(PhasePage {
        shell: shell(app, member),
        competition_url: base.link(&crate::competitions::paths::COMPETITION.with(&[id])),
        title: competition.title.clone(),
        stands,
        lines: lines.collect(),
        next: stands.next().map(told),
        missing,
        review_url: reviews.then(|| base.link(&results::paths::REVIEW.with(&[id]))),
        before: before.map(Phase::says),
        on_at: base.link(&paths::MOVE_ON.with(&[id])),
        back_at: base.link(&paths::REOPEN.with(&[id])),
        way_on: way_on(stands).map(|(words, route)| (words, base.link(&route.with(&[id])))),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
    })
}

/// The phase that the page showed.
fn seen(posted: &Posted) -> Result<Phase, Error> {
    Phase::from_word(posted.one("seen")?)
        .ok_or_else(|| Error::bad_request("This form is incomplete. Open its page again."))
}

pub(super) async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    page(&phase_page(&app, &mut conn, &member, &opened, FormState::new()).await?)
}

pub(super) async fn move_on(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::MOVE_ON).await? {
        return see_other(app.site.base(), &location);
    }
    let when = When {
        now: app.clock.now(),
        today: today(&app, &member),
    };
    let phase = match moving::on(&mut tx, &opened, seen(&posted)?, when).await {
        Ok(phase) => phase,
        Err(Stays::Error(error)) => return Err(error),
        Err(Stays::Missing(missing)) => {
            let mut form = FormState::of(&posted);
            form.refuse_whole("Not everything that it takes is done.");
            let mut again = phase_page(&app, &mut tx, &member, &opened, form).await?;
            again.missing = missing;
            return page_with(StatusCode::UNPROCESSABLE_ENTITY, &again);
        }
    };
    let location = crate::competitions::paths::COMPETITION.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::MOVE_ON, &location).await?;
    tx.commit().await?;
    note(&member, &id, phase);
    see_other(app.site.base(), &location)
}

pub(super) async fn reopen(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::REOPEN).await? {
        return see_other(app.site.base(), &location);
    }
    let mut typed = Typed::of(&posted);
    let why = "Write why it goes back: everybody may read that afterwards.";
    let reason = typed.lines("reason", REASON_MAX)?;
    if reason.is_empty() {
        typed.form.refuse("reason", why);
    }
    if !typed.form.is_sound() {
        let again = phase_page(&app, &mut tx, &member, &opened, typed.form).await?;
        return page_with(StatusCode::UNPROCESSABLE_ENTITY, &again);
    }
    let phase = moving::back(&mut tx, &opened, seen(&posted)?, &reason, app.clock.now()).await?;
    let location = paths::PHASE.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::REOPEN, &location).await?;
    tx.commit().await?;
    note(&member, &id, phase);
    see_other(app.site.base(), &location)
}

/// A line in the log, beside the deed that organisers read.
fn note(member: &Member, competition: &str, phase: Phase) {
    let phase = phase.word();
    tracing::info!(member = member.id.0, competition, phase, "phase changed");
}
