//! Whom organisers keep apart from whose meads, where the two have not said so themselves. The judges do not read it; neither do
//! organisers who judge or pour: where somebody is kept from would tell them whose an entry is.

use askama::Template;
use axum::extract::{Path, State};
use serde_json::json;
use sqlx::PgConnection;

use super::pages::note;
use super::{Pair, store};
use crate::app::App;
use crate::competitions::flights::seats::{self, numbered};
use crate::competitions::flights::store as flights;
use crate::competitions::model::Duty;
use crate::competitions::opened::Opened;
use crate::competitions::organise::paths;
use crate::competitions::phases::Act;
use crate::competitions::shown::shell;
use crate::members::roll::store::list_roll;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::viewer::{Member, MemberId};

#[derive(Template)]
#[template(path = "competitions/organise/apart.html")]
struct ApartPage {
    shell: Shell,
    title: String,
    roster_url: String,
    blind: bool,
    may_set: bool,
    pairs: Vec<Pair>,
    judges: Vec<(String, String)>,
    members: Vec<(String, String)>,
    keep_at: String,
    take_at: String,
    form: FormState,
}

/// Somebody who may be chosen: key, public id, name.
type Known = (MemberId, String, String);

/// The judges of the roster, and everybody of the club.
async fn known(
    conn: &mut PgConnection,
    opened: &Opened,
) -> Result<(Vec<Known>, Vec<Known>), Error> {
    let judges = flights::judges(conn, opened.competition.id).await?;
    let judges = judges
        .into_iter()
        .map(|one| (one.judge, one.public_id, one.name));
    let roll = list_roll(conn).await?.into_iter();
    let members = roll.map(|one| (one.id, one.public_id, one.name));
    Ok((judges.collect(), members.collect()))
}

fn choices(of: Vec<Known>) -> Vec<(String, String)> {
    let none = (String::new(), "choose somebody".to_owned());
    let of = of.into_iter().map(|(_, id, name)| (id, name));
    std::iter::once(none).chain(of).collect()
}

async fn apart_page(
    app: &App,
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    form: FormState,
) -> Result<ApartPage, Error> {
    let (judges, members) = known(conn, opened).await?;
    let blind = opened.is_blind();
    let base = app.site.base();
    let id = opened.competition.public_id.as_str();
    Ok(ApartPage {
        shell: shell(app, member),
        title: opened.competition.title.clone(),
        roster_url: base.link(&paths::ROSTER.with(&[id])),
        pairs: match blind {
            true => Vec::new(),
            false => store::told_apart(conn, opened.competition.id).await?,
        },
        blind,
        may_set: !blind && opened.allows(Act::SetRoster),
        judges: choices(judges),
        members: choices(members),
        keep_at: base.link(&paths::KEEP_APART.with(&[id])),
        take_at: base.link(&paths::LET_TOGETHER.with(&[id])),
        form,
    })
}

pub(in crate::competitions::organise) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    let shown = apart_page(&app, &mut conn, (&member, &opened), FormState::new()).await?;
    not_stored(page(&shown))
}

/// The competition of an organiser who neither judges nor pours, held while its roster may be set.
async fn held(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Opened, Error> {
    let opened = Opened::read(conn, member, id).await?;
    opened.demand(&[Duty::Organiser])?;
    opened.hold(conn, Act::SetRoster).await?;
    match opened.is_blind() {
        true => Err(Error::forbidden(
            "You judge or pour at this competition, so another organiser keeps people apart.",
        )),
        false => Ok(opened),
    }
}

/// Keeps two apart. The judge leaves every table that has not agreed, whatever is poured there: who was left at a table, or refused
/// there, could tell from it whose an entry is.
pub(in crate::competitions::organise) async fn keep(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = held(&mut tx, &member, &id).await?;
    let (judges, members) = known(&mut tx, &opened).await?;
    let mut typed = Typed::of(&posted);
    let of = |known: Vec<Known>, public_id: &str| {
        let found = known.into_iter().find(|(_, id, _)| id == public_id);
        found.map(|(id, ..)| id)
    };
    let judge = of(judges, typed.text("judge")?);
    let maker = of(members, typed.text("maker")?);
    if judge.is_none() {
        typed.form.refuse("judge", "Choose a judge of the list.");
    }
    if maker.is_none() {
        typed.form.refuse("maker", "Choose a member of the list.");
    } else if maker == judge {
        typed
            .form
            .refuse("maker", "Their own meads never reach a judge.");
    }
    let (Some(judge), Some(maker), true) = (judge, maker, typed.form.is_sound()) else {
        let again = apart_page(&app, &mut tx, (&member, &opened), typed.form).await?;
        return not_stored(form_again(&again));
    };
    let competition = opened.competition.id;
    if store::tell_apart(&mut tx, competition, (judge, maker)).await? {
        // Should the other judge too, they do not judge this one's either.
        let left = seats::store::vacate(&mut tx, competition, &[judge, maker]).await?;
        // Whose meads it is about stays between organisers: everybody reads the chain once the results are out.
        let about = json!({ "judge": judge, "seats": numbered(&left) });
        note(&app, &mut tx, &opened, ("kept_apart", about)).await?;
    }
    tx.commit().await?;
    see_other(app.site.base(), &paths::APART.with(&[&id]))
}

pub(in crate::competitions::organise) async fn take_back(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = held(&mut tx, &member, &id).await?;
    let (_, members) = known(&mut tx, &opened).await?;
    let of = |public_id: &str| {
        let found = members.iter().find(|(_, id, _)| id == public_id);
        found.map(|(id, ..)| *id)
    };
    let both = of(posted.one("one")?).zip(of(posted.one("other")?));
    let both = both.ok_or_else(|| Error::bad_request("Open the page again."))?;
    let competition = opened.competition.id;
    if store::tell_no_more(&mut tx, competition, both).await? {
        note(&app, &mut tx, &opened, ("let_together", json!({}))).await?;
    }
    tx.commit().await?;
    see_other(app.site.base(), &paths::APART.with(&[&id]))
}
