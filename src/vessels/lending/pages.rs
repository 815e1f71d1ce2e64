//! What the club lends: the list, a thing with everybody who had it, asking, lending and giving back.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use chrono::NaiveDate;
use serde::Deserialize;

use super::store::{self, Asking};
use super::{Ending, Thing, forms, offering, words};
use crate::app::App;
use crate::vessels::paths;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::{Route, Routes};
use crate::web::random;
use crate::web::shell::Shell;
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    offering::bind(routes)
        .on(paths::EQUIPMENT, list)
        .on(paths::THING, show)
        .on(paths::ASK, ask)
        .on(paths::LEND, lend)
        .on(paths::REFUSE, refuse)
        .on(paths::TAKE_BACK, take_back)
        .on(paths::GIVEN_BACK, given_back)
}

/// A thing as the list has it.
struct Line {
    url: String,
    name: String,
    words: String,
    state: String,
    place: String,
}

#[derive(Template)]
#[template(path = "vessels/equipment.html")]
struct ListPage {
    shell: Shell,
    lines: Vec<Line>,
    withdrawn: Vec<Line>,
    new_url: String,
}

/// Somebody who had it, in words.
struct Past {
    who: String,
    when: String,
    what: String,
}

#[derive(Template)]
#[template(path = "vessels/thing.html")]
struct ThingPage {
    shell: Shell,
    name: String,
    whose: String,
    state: String,
    place: String,
    condition: String,
    remark: String,
    list_url: String,
    form: FormState,
    once: String,
    /// Where one asks for it.
    ask_at: Option<String>,
    lend_at: Option<String>,
    refuse_at: Option<String>,
    take_back_at: Option<String>,
    given_back_at: Option<String>,
    edit_url: Option<String>,
    /// Where it is offered no more or again, with the words of the button.
    offer: Option<(String, &'static str)>,
    past: Vec<Past>,
}

#[derive(Deserialize)]
struct Done {
    done: Option<String>,
}

fn today(app: &App, member: &Member) -> NaiveDate {
    let now = app.clock.now().with_timezone(&member.settings.zone);
    now.date_naive()
}

async fn list(State(app): State<App>, member: Member, Query(query): Query<Done>) -> Answer {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let mut conn = app.pool.acquire().await?;
    let things = store::list(&mut conn, &viewer).await?;
    drop(conn);
    let today = today(&app, &member);
    let line = |thing: &Thing| Line {
        url: base.link(&paths::THING.with(&[&thing.public_id])),
        name: thing.is.name.clone(),
        words: words::whose(thing, member.id),
        state: words::state(thing, member.id, member.settings.zone, today),
        place: thing.is.place.clone(),
    };
    let of = |gone: bool| {
        let those = things.iter().filter(|thing| thing.withdrawn == gone);
        those.map(line).collect()
    };
    let shell = app.shell(&viewer);
    page(&ListPage {
        shell: match query.done.as_deref() {
            Some("withdrawn") => shell.saying("It is lent no more."),
            _ => shell,
        },
        lines: of(false),
        withdrawn: of(true),
        new_url: base.link(paths::NEW_THING.path),
    })
}

async fn found(app: &App, viewer: &Viewer, id: &str) -> Result<Thing, Error> {
    let mut conn = app.pool.acquire().await?;
    let thing = store::find(&mut conn, viewer, id).await?;
    thing.ok_or_else(Error::not_found)
}

/// A thing that this member lends; another's looks unknown.
pub(super) async fn lent(app: &App, member: &Member, id: &str) -> Result<Thing, Error> {
    let viewer = Viewer::known(member.clone());
    let thing = found(app, &viewer, id).await?;
    match thing.is_lent_by(&viewer) {
        true => Ok(thing),
        false => Err(Error::not_found()),
    }
}

/// A thing as this member sees it, and what they may do with it.
async fn thing_page(
    app: &App,
    member: &Member,
    id: &str,
    form: FormState,
) -> Result<ThingPage, Error> {
    let viewer = Viewer::known(member.clone());
    let thing = found(app, &viewer, id).await?;
    let mut conn = app.pool.acquire().await?;
    let past = store::past(&mut conn, &thing.public_id).await?;
    drop(conn);
    let base = app.site.base();
    let lends = thing.is_lent_by(&viewer);
    let zone = member.settings.zone;
    let of = |route: Route| base.link(&route.with(&[&thing.public_id]));
    let of_loan = |route: Route, wanted: bool| {
        let loan = thing.loan.as_ref().filter(|_| wanted)?;
        Some(base.link(&route.with(&[&thing.public_id, &loan.public_id])))
    };
    let is_out = thing.loan.as_ref().is_some_and(|it| it.lent_at.is_some());
    let asked_here = thing.loan.as_ref().is_some_and(|it| it.member == member.id);
    let owned = thing.owner.as_ref().is_some_and(|(id, _)| *id == member.id);
    let mut form = form;
    if let Some(loan) = thing
        .loan
        .as_ref()
        .filter(|_| form.typed("until").is_empty())
    {
        form.set("until", loan.until.to_string());
    }
    let line = |loan: &super::Loan| {
        let (when, what) = words::past(loan, zone);
        Past {
            who: loan.member_name.clone(),
            when,
            what,
        }
    };
    Ok(ThingPage {
        whose: words::whose(&thing, member.id),
        state: words::state(&thing, member.id, zone, today(app, member)),
        remark: thing
            .loan
            .as_ref()
            .map_or(String::new(), |it| it.remark.clone()),
        list_url: base.link(paths::EQUIPMENT.path),
        once: Once::fresh(&viewer)?,
        ask_at: (thing.loan.is_none() && !thing.withdrawn && !owned).then(|| of(paths::ASK)),
        lend_at: of_loan(paths::LEND, lends && !is_out),
        refuse_at: of_loan(paths::REFUSE, lends && !is_out),
        take_back_at: of_loan(paths::TAKE_BACK, asked_here && !is_out),
        given_back_at: of_loan(paths::GIVEN_BACK, lends && is_out),
        edit_url: lends.then(|| of(paths::EDIT_THING)),
        offer: lends.then(|| match thing.withdrawn {
            false => (of(paths::WITHDRAW_THING), "Lend it no more"),
            true => (of(paths::OFFER_THING), "Lend it again"),
        }),
        past: past.iter().map(line).collect(),
        shell: app.shell(&viewer),
        name: thing.is.name,
        place: thing.is.place,
        condition: thing.is.condition,
        form,
    })
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(query): Query<Done>,
) -> Answer {
    let mut shown = thing_page(&app, &member, &id, FormState::new()).await?;
    let said = match query.done.as_deref() {
        Some("saved") => "It is kept.",
        Some("offered") => "It is lent again.",
        Some("asked") => "You asked for it. Whoever lends it sees that here.",
        Some("lent") => "It is lent. It stands here until it is given back.",
        Some("refused") => "You said no to it.",
        Some("taken-back") => "You need it no more.",
        Some("given-back") => "It is back.",
        _ => "",
    };
    shown.shell = shown.shell.saying(said);
    page(&shown)
}

async fn ask(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let once = Once::read(&posted, &member)?;
    let thing = found(&app, &viewer, &id).await?;
    let (until, remark) = match forms::until(&posted, member.settings.units, today(&app, &member))?
    {
        Ok(read) => read,
        Err(form) => return form_again(&thing_page(&app, &member, &id, form).await?),
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, paths::ASK).await? {
        return see_other(app.site.base(), &to);
    }
    let asking = Asking {
        thing: &thing.public_id,
        member: member.id,
        until,
        remark: &remark,
    };
    let came_in = store::ask(&mut tx, &random::public_id()?, asking, app.clock.now()).await?;
    if !came_in {
        tx.rollback().await?;
        let mut form = FormState::of(&posted);
        form.refuse_whole("Somebody was faster, or it is lent no more: look who has it below.");
        let page = thing_page(&app, &member, &id, form).await?;
        return page_with(StatusCode::CONFLICT, &page);
    }
    let to = format!("{}?done=asked", paths::THING.with(&[&thing.public_id]));
    once::settle(&mut tx, &once, &member, paths::ASK, &to).await?;
    tx.commit().await?;
    see_other(app.site.base(), &to)
}

async fn lend(
    State(app): State<App>,
    member: Member,
    Path((id, loan)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let thing = lent(&app, &member, &id).await?;
    let (until, _) = match forms::until(&posted, member.settings.units, today(&app, &member))? {
        Ok(read) => read,
        Err(form) => return form_again(&thing_page(&app, &member, &id, form).await?),
    };
    let mut conn = app.pool.acquire().await?;
    let done = store::lend(&mut conn, &thing.public_id, &loan, until, app.clock.now()).await?;
    drop(conn);
    ended(&app, &member, &thing, &posted, done, "lent").await
}

async fn refuse(
    State(app): State<App>,
    member: Member,
    Path((id, loan)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let thing = lent(&app, &member, &id).await?;
    let done = end(&app, &member, &thing, &loan, Ending::Refused, "").await?;
    ended(&app, &member, &thing, &posted, done, "refused").await
}

async fn take_back(
    State(app): State<App>,
    member: Member,
    Path((id, loan)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let thing = found(&app, &Viewer::known(member.clone()), &id).await?;
    let done = end(&app, &member, &thing, &loan, Ending::TakenBack, "").await?;
    ended(&app, &member, &thing, &posted, done, "taken-back").await
}

async fn given_back(
    State(app): State<App>,
    member: Member,
    Path((id, loan)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let thing = lent(&app, &member, &id).await?;
    let words = match forms::came_back(&posted, member.settings.units)? {
        Ok(words) => words,
        Err(form) => return form_again(&thing_page(&app, &member, &id, form).await?),
    };
    let done = end(&app, &member, &thing, &loan, Ending::GivenBack, &words).await?;
    ended(&app, &member, &thing, &posted, done, "given-back").await
}

async fn end(
    app: &App,
    member: &Member,
    thing: &Thing,
    loan: &str,
    ending: Ending,
    words: &str,
) -> Result<bool, Error> {
    let mut conn = app.pool.acquire().await?;
    let (thing, now) = (thing.public_id.as_str(), app.clock.now());
    Ok(store::end(&mut conn, thing, loan, ending, member.id, words, now).await?)
}

/// On to the thing; or the thing as it is by now, where somebody did something else with it meanwhile.
async fn ended(
    app: &App,
    member: &Member,
    thing: &Thing,
    posted: &Posted,
    done: bool,
    word: &str,
) -> Answer {
    if done {
        let to = paths::THING.with(&[&thing.public_id]);
        return see_other(app.site.base(), &format!("{to}?done={word}"));
    }
    let mut form = FormState::of(posted);
    form.refuse_whole("This was settled meanwhile: look below how it stands now.");
    let page = thing_page(app, member, &thing.public_id, form).await?;
    page_with(StatusCode::CONFLICT, &page)
}
