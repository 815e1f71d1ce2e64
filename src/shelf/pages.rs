//! The pages of the honey shelf bound to their routes.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use serde::Deserialize;
use sqlx::PgConnection;

use super::forms;
use super::model::{DEED_NOTE_MAX, Jar, SaveError, Taken};
use super::view::{Line, Row, choices, colours, facts, history_lines, lead, row};
use super::{paths, store};
use crate::app::App;
use crate::catalogue::club::ClubCatalogue;
use crate::club;
use crate::safety;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::{Route, Routes};
use crate::web::random;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::{Difference, Typed, differences};
use crate::web::units;
use crate::web::viewer::{Member, Viewer};

/// The shelf's routes.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::SHELF, list)
        .on(paths::NEW, new)
        .on(paths::CREATE, create)
        .on(paths::JAR, show)
        .on(paths::EDIT, edit)
        .on(paths::SAVE, save)
        .on(paths::TAKE, take)
        .on(paths::WEIGH, weigh)
        .on(paths::PUT_AWAY, put_away)
        .on(paths::PUT_BACK, put_back)
        .done()
}

#[derive(Template)]
#[template(path = "shelf/shelf.html")]
struct ShelfPage {
    shell: Shell,
    club_url: String,
    new_url: String,
    rows: Vec<Row>,
    gone: Vec<Row>,
}

#[derive(Template)]
#[template(path = "shelf/form.html")]
struct FormPage {
    shell: Shell,
    heading: String,
    save_words: &'static str,
    action: String,
    back_url: String,
    back_words: String,
    kinds: Vec<(String, String)>,
    colours: Vec<(String, String)>,
    currency: String,
    is_new: bool,
    form: FormState,
    once: String,
    version: i32,
    meanwhile: Vec<Difference>,
}

impl FormPage {
    fn price_hint(&self) -> String {
        format!(
            "In {}, for members who take from it. Empty: it is given.",
            self.currency
        )
    }
}

impl FormPage {
    const WHOSE: &[(&str, &str)] = forms::WHOSE;
}

#[derive(Template)]
#[template(path = "shelf/jar.html")]
struct JarPage {
    shell: Shell,
    shelf_url: String,
    row: Row,
    lead: String,
    facts: Vec<(&'static str, String)>,
    kind_url: Option<(String, String)>,
    note: Vec<String>,
    start_url: String,
    infants_url: String,
    form: FormState,
    once: String,
    take_at: Option<String>,
    costs: String,
    edit_url: Option<String>,
    weigh_at: Option<String>,
    seen_kg: String,
    away_at: Option<String>,
    back_at: Option<String>,
    history: Vec<Line>,
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

async fn list(State(app): State<App>, member: Member, Query(told): Query<Told>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let jars = store::list(&mut conn).await?;
    drop(conn);
    let base = app.site.base();
    let shell = app
        .shell(&Viewer::known(member.clone()))
        .at_place(Nav::Club);
    let (here, gone): (Vec<&Jar>, Vec<&Jar>) = jars.iter().partition(|jar| jar.is_offered());
    let rows = |jars: Vec<&Jar>| -> Vec<Row> {
        let rows = jars.into_iter().map(|jar| row(&app, &member, jar));
        rows.collect()
    };
    page(&ShelfPage {
        shell: match told.done.as_deref() {
            Some("put") => shell.saying("It stands on the shelf, and recipes can be made with it."),
            _ => shell,
        },
        club_url: base.link(club::paths::CLUB.path),
        new_url: base.link(paths::NEW.path),
        rows: rows(here),
        gone: rows(gone),
    })
}

fn form_page(
    app: &App,
    member: &Member,
    catalogue: &ClubCatalogue,
    of: Option<&Jar>,
    form: FormState,
) -> Result<FormPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let path = |route: Route, none: &str| match of {
        Some(jar) => base.link(&route.with(&[&jar.public_id])),
        None => base.link(none),
    };
    Ok(FormPage {
        shell: app.shell(&viewer).at_place(Nav::Club),
        heading: of.map_or("A jar for the honey shelf".to_owned(), |jar| {
            format!("Correct {}", jar.said.name)
        }),
        save_words: if of.is_some() {
            "Save"
        } else {
            "Put it on the shelf"
        },
        action: path(paths::SAVE, paths::CREATE.path),
        back_url: path(paths::JAR, paths::SHELF.path),
        back_words: of.map_or("honey shelf".to_owned(), |jar| jar.said.name.clone()),
        kinds: choices(catalogue),
        colours: colours(),
        currency: app.site.currency().to_string(),
        is_new: of.is_none(),
        version: of.map_or(0, |jar| jar.version),
        once: Once::for_form(&form, &viewer)?,
        form,
        meanwhile: Vec::new(),
    })
}

async fn new(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let catalogue = app.catalogue.now(&mut conn).await?;
    let mut form = FormState::new();
    form.set("whose", "shared");
    page(&form_page(&app, &member, &catalogue, None, form)?)
}

async fn create(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let catalogue = app.catalogue.now(&mut tx).await?;
    let (said, form) = forms::jar(&posted, &catalogue, app.site.currency())?;
    let mut typed = Typed::on(&posted, form);
    let why = "Write how much is in it, such as 2.5 kg or 12 lb.";
    let kg = forms::kilograms(&mut typed, "kg", member.settings.units, why)?;
    let Some(kg) = kg.filter(|_| typed.form.is_sound()) else {
        return form_again(&form_page(&app, &member, &catalogue, None, typed.form)?);
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::CREATE).await? {
        return see_other(app.site.base(), &location);
    }
    let id = random::public_id()?;
    store::put(&mut tx, &id, member.id, &said, kg, app.clock.now()).await?;
    let location = format!("{}?done=put", paths::SHELF.path);
    once::settle(&mut tx, &once, &member, paths::CREATE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

async fn found(conn: &mut PgConnection, id: &str) -> Result<Jar, Error> {
    store::find(conn, id).await?.ok_or_else(Error::not_found)
}

/// A jar that the member looks after.
async fn own(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Jar, Error> {
    let jar = found(conn, id).await?;
    match jar.owner == member.id {
        true => Ok(jar),
        false => Err(Error::not_found()),
    }
}

async fn edit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let jar = own(&mut conn, &member, &id).await?;
    let catalogue = app.catalogue.now(&mut conn).await?;
    let form = forms::filled(&jar, app.site.currency());
    page(&form_page(&app, &member, &catalogue, Some(&jar), form)?)
}

async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let jar = own(&mut tx, &member, &id).await?;
    let catalogue = app.catalogue.now(&mut tx).await?;
    let currency = app.site.currency();
    let version = posted.one("version")?.parse().unwrap_or(0);
    let (said, form) = forms::jar(&posted, &catalogue, currency)?;
    if !form.is_sound() {
        let mut again = form_page(&app, &member, &catalogue, Some(&jar), form)?;
        again.version = version;
        return form_again(&again);
    }
    match store::change(&mut tx, member.id, (&id, version), &said, app.clock.now()).await {
        Ok(()) => {
            tx.commit().await?;
            told(&app, &id, "saved")
        }
        Err(SaveError::Conflict(theirs)) => {
            let meanwhile = differences(forms::FIELDS, &forms::filled(&theirs, currency), &form);
            let mut again = form_page(&app, &member, &catalogue, Some(&theirs), form)?;
            again.meanwhile = meanwhile;
            page_with(StatusCode::CONFLICT, &again)
        }
        Err(SaveError::NotFound) => Err(Error::not_found()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

fn told(app: &App, id: &str, done: &str) -> Answer {
    let path = format!("{}?done={done}", paths::JAR.with(&[id]));
    see_other(app.site.base(), &path)
}

async fn jar_page(
    app: &App,
    member: &Member,
    conn: &mut PgConnection,
    jar: &Jar,
    form: FormState,
) -> Result<JarPage, Error> {
    let viewer = Viewer::known(member.clone());
    let catalogue = app.catalogue.now(&mut *conn).await?;
    let history = store::history(conn, &jar.public_id).await?;
    let base = app.site.base();
    let at = |route: Route| base.link(&route.with(&[&jar.public_id]));
    let owns = jar.owner == member.id;
    let currency = app.site.currency();
    let kind = jar
        .said
        .varietal
        .as_deref()
        .and_then(|key| catalogue.find(key));
    Ok(JarPage {
        shell: app.shell(&viewer).at_place(Nav::Club),
        shelf_url: base.link(paths::SHELF.path),
        lead: lead(jar, member.settings.units),
        facts: facts(member, jar),
        kind_url: kind.map(|kind| (base.link(&super::page_of(&kind.key)), kind.name.clone())),
        row: row(app, member, jar),
        note: jar.said.note.lines().map(str::to_owned).collect(),
        start_url: base.link("/recipes/new"),
        infants_url: base.link(&safety::paths::section("honey", "infants")),
        once: Once::for_form(&form, &viewer)?,
        form,
        take_at: (jar.may_take(member.id) && jar.left_kg > 0.0).then(|| at(paths::TAKE)),
        costs: match jar.owed(member.id, 1.0) {
            Some(price) => format!(
                "{} a kilogram, to be paid to {}.",
                currency.sum(price),
                if jar.said.of_club {
                    "the club"
                } else {
                    jar.owner_name.as_str()
                }
            ),
            None => String::new(),
        },
        edit_url: owns.then(|| at(paths::EDIT)),
        weigh_at: owns.then(|| at(paths::WEIGH)),
        seen_kg: format!("{:e}", jar.left_kg),
        away_at: (jar.may_put_away(member) && !jar.put_away).then(|| at(paths::PUT_AWAY)),
        back_at: (jar.may_put_away(member) && jar.put_away).then(|| at(paths::PUT_BACK)),
        history: history_lines(app, member, &history),
    })
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let jar = found(&mut conn, &id).await?;
    let mut shown = jar_page(&app, &member, &mut conn, &jar, FormState::new()).await?;
    let words = match told.done.as_deref() {
        Some("taken") => "Taken: it is noted below, with what you owe.",
        Some("weighed") => "Noted: that much is left.",
        Some("saved") => "Saved. Recipes that were made with it stay as they are.",
        Some("away") => "Off the shelf. Recipes that were made with it still find it.",
        Some("back") => "On the shelf again.",
        _ => "",
    };
    shown.shell = shown.shell.saying(words);
    page(&shown)
}

async fn take(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let jar = found(&mut tx, &id).await?;
    let once = Once::read(&posted, &member)?;
    let units = member.settings.units;
    let (kg, words) = match forms::taking(&posted, &jar, units)? {
        Ok(taking) => taking,
        Err(form) => return form_again(&jar_page(&app, &member, &mut tx, &jar, form).await?),
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::TAKE).await? {
        return see_other(app.site.base(), &location);
    }
    match store::take(&mut tx, &id, member.id, kg, &words, app.clock.now()).await? {
        Taken::Done => {
            let location = format!("{}?done=taken", paths::JAR.with(&[&id]));
            once::settle(&mut tx, &once, &member, paths::TAKE, &location).await?;
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Taken::TooLittle(left) => {
            tx.rollback().await?;
            let mut form = FormState::of(&posted);
            form.refuse(
                "kg",
                format!("There are only {} left.", units::mass(left, units)),
            );
            let mut conn = app.pool.acquire().await?;
            let jar = found(&mut conn, &id).await?;
            form_again(&jar_page(&app, &member, &mut conn, &jar, form).await?)
        }
        Taken::NotForYou => Err(Error::not_found()),
    }
}

async fn weigh(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let jar = own(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let words = typed.line("why", DEED_NOTE_MAX)?;
    let why = "Write what is left, such as 1.5 kg or 0.";
    let kg = typed.read("left", |text| {
        units::parse_mass(text, member.settings.units)
    })?;
    if kg.is_none_or(|kg| kg > super::model::MOST_KG) && typed.form.fault("left").is_none() {
        typed.form.refuse("left", why);
    }
    let seen = posted.one("seen_kg")?.parse().unwrap_or(f64::NAN);
    let Some(kg) = kg.filter(|_| typed.form.is_sound()) else {
        return form_again(&jar_page(&app, &member, &mut tx, &jar, typed.form).await?);
    };
    let now = app.clock.now();
    if store::weigh(&mut tx, &id, member.id, (seen, kg), &words, now).await? {
        tx.commit().await?;
        return told(&app, &id, "weighed");
    }
    tx.rollback().await?;
    let mut conn = app.pool.acquire().await?;
    let jar = own(&mut conn, &member, &id).await?;
    typed.form.refuse(
        "left",
        "Somebody took from it meanwhile: see what was done below, and weigh it again.",
    );
    let again = jar_page(&app, &member, &mut conn, &jar, typed.form).await?;
    page_with(StatusCode::CONFLICT, &again)
}

async fn put_away(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    set_away(&app, &member, &id, true).await
}

async fn put_back(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    set_away(&app, &member, &id, false).await
}

async fn set_away(app: &App, member: &Member, id: &str, away: bool) -> Answer {
    let mut tx = app.pool.begin().await?;
    let jar = found(&mut tx, id).await?;
    if !jar.may_put_away(member) {
        return Err(Error::not_found());
    }
    store::put_away(&mut tx, id, member.id, away, app.clock.now()).await?;
    tx.commit().await?;
    told(app, id, if away { "away" } else { "back" })
}
