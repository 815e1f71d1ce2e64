//! The roster as organisers see it: duties given and taken. What a judge does not taste is matched, and never shown.

use askama::Template;
use axum::extract::{Path, State};
use serde_json::json;
use sqlx::PgConnection;

use super::{Helper, store};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::entering::whose::store::has_read;
use crate::competitions::flights::seats::{self, numbered};
use crate::competitions::model::Duty;
use crate::competitions::opened::Opened;
use crate::competitions::organise::{self, paths};
use crate::competitions::paths as all;
use crate::competitions::phases::Act;
use crate::competitions::shown::shell;
use crate::members::roll::store::list_roll;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::viewer::{Member, MemberId, Viewer};

struct Row {
    public_id: String,
    name: String,
    duty: &'static str,
    is_judge: bool,
    /// A judge who sits at tables: where it is asked once more.
    seats_url: Option<String>,
    experienced: bool,
    /// They left the club, or were shut out.
    gone: bool,
}

#[derive(Template)]
#[template(path = "competitions/organise/roster.html")]
struct RosterPage {
    shell: Shell,
    competition_url: String,
    title: String,
    rows: Vec<Row>,
    closed_book: bool,
    may_set: bool,
    members: Vec<(String, String)>,
    give_at: String,
    take_at: String,
    judge_at: String,
    apart_url: String,
    form: FormState,
    once: String,
}

impl RosterPage {
    const DUTIES: &[(&str, &str)] = &[
        ("judge", "judge: tastes, and writes sheets"),
        (
            "steward",
            "steward: takes bottles in, pours, and does not judge what they saw",
        ),
        ("organiser", "organiser: sets and moves everything"),
    ];
}

fn row(helper: Helper, seats_at: impl Fn(&str) -> String) -> Row {
    let sits = helper.duty == Duty::Judge && helper.seats > 0;
    Row {
        seats_url: sits.then(|| seats_at(&helper.public_id)),
        public_id: helper.public_id,
        name: helper.name,
        duty: helper.duty.word(),
        is_judge: helper.duty == Duty::Judge,
        experienced: helper.experienced,
        gone: helper.gone,
    }
}

async fn roster_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    form: FormState,
) -> Result<RosterPage, Error> {
    let competition = &opened.competition;
    let helpers = store::all(conn, competition.id).await?;
    let roll = list_roll(conn).await?;
    let here = roll.into_iter().filter(|one| one.shut_out_at.is_none());
    let none = (String::new(), "choose somebody".to_owned());
    let members = here.map(|one| (one.public_id, one.name));
    let base = app.site.base();
    let id = competition.public_id.as_str();
    let at = |route: crate::web::paths::Route| base.link(&route.with(&[id]));
    let seats_at = |judge: &str| base.link(&paths::TAKE_SEATS.with(&[id, judge]));
    Ok(RosterPage {
        shell: shell(app, member),
        competition_url: at(all::COMPETITION),
        title: competition.title.clone(),
        rows: helpers.into_iter().map(|one| row(one, seats_at)).collect(),
        closed_book: !competition.rehearsal,
        may_set: opened.allows(Act::SetRoster),
        members: std::iter::once(none).chain(members).collect(),
        give_at: at(paths::GIVE_DUTY),
        take_at: at(paths::TAKE_DUTY),
        judge_at: at(paths::SET_JUDGE),
        apart_url: at(paths::APART),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
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
    page(&roster_page(&app, &mut conn, &member, &opened, FormState::new()).await?)
}

/// The member of a public id who may come in.
async fn known(conn: &mut PgConnection, public_id: &str) -> Result<Option<MemberId>, Error> {
    let roll = list_roll(conn).await?;
    let found = roll
        .into_iter()
        .find(|one| one.public_id == public_id && one.shut_out_at.is_none());
    Ok(found.map(|one| one.id))
}

/// Notes what was done with the roster.
pub(super) async fn note(
    app: &App,
    conn: &mut PgConnection,
    opened: &Opened,
    (deed, about): (&str, serde_json::Value),
) -> Result<(), Error> {
    let deed = Deed {
        deed,
        about,
        reason: "",
    };
    let id = opened.competition.id;
    Ok(deeds::write(conn, id, Some(opened.viewer), &deed, app.clock.now()).await?)
}

pub(in crate::competitions::organise) async fn give(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(at) = once::claim(&mut tx, &once, &member, paths::GIVE_DUTY).await? {
        return see_other(app.site.base(), &at);
    }
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    opened.hold(&mut tx, Act::SetRoster).await?;
    let mut typed = Typed::of(&posted);
    let whom = known(&mut tx, typed.text("member")?).await?;
    let duty = Duty::from_word(typed.text("duty")?);
    if whom.is_none() {
        typed.form.refuse("member", "Choose a member of the list.");
    }
    if duty.is_none() {
        typed.form.refuse("duty", "Choose what they do.");
    }
    let (Some(whom), Some(duty)) = (whom, duty) else {
        let again = roster_page(&app, &mut tx, &member, &opened, typed.form).await?;
        return form_again(&again);
    };
    let competition = opened.competition.id;
    if duty != Duty::Organiser && has_read(&mut tx, competition, whom).await? {
        let why = "They have read whose the entries are, so they neither judge nor pour here.";
        typed.form.refuse("member", why);
        let again = roster_page(&app, &mut tx, &member, &opened, typed.form).await?;
        return form_again(&again);
    }
    if !organise::store::add_duty(&mut tx, competition, whom, duty).await? {
        typed.form.refuse("member", "They have that duty already.");
        let again = roster_page(&app, &mut tx, &member, &opened, typed.form).await?;
        return form_again(&again);
    }
    let experienced = duty == Duty::Judge && posted.has("experienced");
    store::set_experienced(&mut tx, competition, whom, experienced).await?;
    let about = json!({ "member": whom, "duty": duty.word(), "experienced": experienced });
    note(&app, &mut tx, &opened, ("duty_given", about)).await?;
    let location = paths::ROSTER.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::GIVE_DUTY, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// Somebody of the roster, as a button of theirs names them, if they still have that duty; with how many have it.
async fn meant(
    conn: &mut PgConnection,
    opened: &Opened,
    posted: &Posted,
    duty: Duty,
) -> Result<Option<(Helper, usize)>, Error> {
    let helpers = store::all(conn, opened.competition.id).await?;
    let as_many = helpers.iter().filter(|one| one.duty == duty).count();
    let who = posted.one("member")?;
    let mut found = helpers.into_iter();
    let found = found.find(|one| one.duty == duty && one.public_id == who);
    Ok(found.map(|helper| (helper, as_many)))
}

pub(in crate::competitions::organise) async fn take(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    opened.hold(&mut tx, Act::SetRoster).await?;
    let duty = Duty::from_word(posted.one("duty")?);
    let duty = duty.ok_or_else(|| Error::bad_request("Open the page again."))?;
    let Some((helper, as_many)) = meant(&mut tx, &opened, &posted, duty).await? else {
        // Pressed twice: it is taken already.
        return see_other(app.site.base(), &paths::ROSTER.with(&[&id]));
    };
    if duty == Duty::Organiser && as_many == 1 {
        return Err(Error::conflict(
            "A competition needs an organiser. Give the duty to somebody else first.",
        ));
    }
    if duty == Duty::Judge && helper.seats > 0 && !posted.has("sure") {
        let asks = paths::TAKE_SEATS.with(&[&id, &helper.public_id]);
        return see_other(app.site.base(), &asks);
    }
    let competition = opened.competition.id;
    store::take_duty(&mut tx, competition, helper.member, duty).await?;
    let left = match duty {
        Duty::Judge => {
            let left = seats::store::vacate(&mut tx, competition, &[helper.member]).await?;
            seats::store::pass_lead(&mut tx, competition, helper.member).await?;
            numbered(&left)
        }
        Duty::Organiser | Duty::Steward => String::new(),
    };
    let about = json!({ "member": helper.member, "duty": duty.word(), "seats": left });
    note(&app, &mut tx, &opened, ("duty_taken", about)).await?;
    tx.commit().await?;
    // Who took the duty from themselves finds no roster any more.
    let own = duty == Duty::Organiser && helper.member == member.id;
    let route = if own { all::COMPETITION } else { paths::ROSTER };
    see_other(app.site.base(), &route.with(&[&id]))
}

pub(in crate::competitions::organise) async fn set_judge(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    opened.hold(&mut tx, Act::SetRoster).await?;
    let meant = meant(&mut tx, &opened, &posted, Duty::Judge).await?;
    let gone = || Error::conflict("They do not have this duty any more. Open the page again.");
    let (helper, _) = meant.ok_or_else(gone)?;
    let experienced = posted.one("experienced")? == "yes";
    store::set_experienced(&mut tx, opened.competition.id, helper.member, experienced).await?;
    let about = json!({ "member": helper.member, "experienced": experienced });
    note(&app, &mut tx, &opened, ("judge_set", about)).await?;
    tx.commit().await?;
    see_other(app.site.base(), &paths::ROSTER.with(&[&id]))
}
