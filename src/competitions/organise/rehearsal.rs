//! The page that begins a rehearsal, and the twenty minutes that it takes.

use askama::Template;
use axum::extract::State;
use sqlx::PgConnection;

use super::moving::When;
use super::paths;
use super::waters::{WATERS, Water, rehearse};
use crate::app::App;
use crate::competitions::paths as all;
use crate::competitions::shown::shell;
use crate::members::roll::store::list_roll;
use crate::web::dates::date;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::viewer::{Member, MemberId, Viewer};

struct Tick {
    id: MemberId,
    name: String,
    words: String,
    set: bool,
}

#[derive(Template)]
#[template(path = "competitions/organise/rehearsal.html")]
struct RehearsalPage {
    shell: Shell,
    list_url: String,
    action: String,
    waters: &'static [Water],
    people: Vec<Tick>,
    form: FormState,
    once: String,
}

/// The members but oneself, each with a box.
async fn people(
    conn: &mut PgConnection,
    member: &Member,
    set: impl Fn(&str) -> bool,
) -> Result<Vec<Tick>, Error> {
    let roll = list_roll(conn).await?;
    let others = roll
        .into_iter()
        .filter(|one| one.id != member.id && one.shut_out_at.is_none());
    let ticks = others.map(|one| {
        let name = format!("with_{}", one.public_id);
        Tick {
            set: set(&name),
            id: one.id,
            words: one.name,
            name,
        }
    });
    Ok(ticks.collect())
}

fn rehearsal_page(
    app: &App,
    member: &Member,
    people: Vec<Tick>,
    form: FormState,
) -> Result<RehearsalPage, Error> {
    let base = app.site.base();
    Ok(RehearsalPage {
        shell: shell(app, member),
        list_url: base.link(all::LIST.path),
        action: base.link(paths::REHEARSE.path),
        waters: &WATERS,
        people,
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
    })
}

pub(super) async fn show(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let people = people(&mut conn, &member, |_| false).await?;
    page(&rehearsal_page(&app, &member, people, FormState::new())?)
}

pub(super) async fn begin(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(at) = once::claim(&mut tx, &once, &member, paths::REHEARSE).await? {
        return see_other(app.site.base(), &at);
    }
    let people = people(&mut tx, &member, |name| posted.has(name)).await?;
    let with: Vec<MemberId> = people
        .iter()
        .filter(|one| one.set)
        .map(|one| one.id)
        .collect();
    if let (true, Some(first)) = (with.is_empty(), people.first()) {
        let mut form = FormState::of(&posted);
        form.refuse(&first.name, "Choose at least one who tastes.");
        return form_again(&rehearsal_page(&app, &member, people, form)?);
    }
    let now = app.clock.now();
    let today = now.with_timezone(&member.settings.zone).date_naive();
    let when = When { now, today };
    let id = rehearse(&mut tx, &member, &with, &date(today), when).await?;
    let location = all::COMPETITION.with(&[id.as_str()]);
    once::settle(&mut tx, &once, &member, paths::REHEARSE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
