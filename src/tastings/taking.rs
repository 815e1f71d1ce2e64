//! Tasting along: a sheet of one's own, for members by their account and for guests by their own address.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::forms::pick_field;
use super::model::{Kind, Pick, Pour, Seat, SeatId, Seated, Serving, Tasting};
use super::pages::found;
use super::seats::store::{self as seats, Sitter};
use super::shown::{Care, ResultsPart};
use super::{forms, paths, store};
use crate::app::App;
use crate::batches::log::{Field, Is, tasted};
use crate::engine::log::entry::Tasting as Said;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::paths::Routes;
use crate::web::policy::{Action, may};
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::SIT, sit)
        .on(paths::SEAT, seat)
        .on(paths::PICK, pick)
        .on(paths::MEAD, mead)
        .on(paths::ANSWER, answer)
        .on(paths::GUEST_SEAT, guest_seat)
        .on(paths::GUEST_PICK, guest_pick)
        .on(paths::GUEST_MEAD, guest_mead)
        .on(paths::GUEST_ANSWER, guest_answer)
}

/// Where somebody sits: their sheet, and the addresses that are theirs.
struct Place {
    viewer: Viewer,
    tasting: Tasting,
    seat: Seat,
    pours: Vec<Pour>,
    /// Below the base: of the seat; of the tasting, for members.
    own: String,
    up: Option<String>,
}

/// The seat that a member has; `None` where they have none.
async fn of_member(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Option<Place>, Error> {
    let tasting = found(conn, member, id).await?;
    let Some(seat) = seats::seat_of(conn, tasting.id, member.id).await? else {
        return Ok(None);
    };
    let viewer = Viewer::known(member.clone());
    let own = paths::SEAT.with(&[id]);
    let up = Some(paths::TASTING.with(&[id]));
    Ok(Some(place(conn, viewer, (seat, tasting), own, up).await?))
}

/// The seat that a token opens.
async fn of_guest(conn: &mut PgConnection, viewer: Viewer, token: &str) -> Result<Place, Error> {
    let found = seats::seat_of_guest(conn, token).await?;
    let found = found
        .filter(|(_, tasting)| may(&viewer, Action::See, &tasting.facts()))
        .ok_or_else(Error::not_found)?;
    let own = paths::GUEST_SEAT.with(&[token]);
    place(conn, viewer, found, own, None).await
}

async fn place(
    conn: &mut PgConnection,
    viewer: Viewer,
    (seat, tasting): (SeatId, Tasting),
    own: String,
    up: Option<String>,
) -> Result<Place, Error> {
    let seat = seats::own(conn, seat).await?;
    Ok(Place {
        pours: store::pours(conn, viewer.id(), tasting.id).await?,
        seat: seat.ok_or_else(Error::not_found)?,
        viewer,
        tasting,
        own,
        up,
    })
}

/// A mead on the sheet.
struct MeadRow {
    url: String,
    called: String,
    said: bool,
}

/// A glass on the sheet.
struct Glass {
    code: String,
    field: String,
}

#[derive(Template)]
#[template(path = "tastings/seat.html")]
struct SeatPage {
    shell: Shell,
    up_url: Option<String>,
    title: String,
    question: String,
    kind: Kind,
    open: bool,
    care: Care,
    meads: Vec<MeadRow>,
    action: String,
    number: i32,
    glasses: Vec<Glass>,
    /// The glasses to choose among.
    codes: Vec<(String, String)>,
    places: Vec<(String, String)>,
    picked: bool,
    form: FormState,
    results: Option<ResultsPart>,
}

/// The page of a seat with a form as it was typed.
async fn seat_page(
    app: &App,
    conn: &mut PgConnection,
    place: &Place,
    form: FormState,
) -> Result<SeatPage, Error> {
    let base = app.site.base();
    let tasting = &place.tasting;
    let serving = place.seat.serving.as_ref();
    let glasses = serving.map_or(&[][..], |serving| serving.glasses.as_slice());
    let results = match tasting.readable {
        true => Some(ResultsPart::of(app, conn, tasting, place.viewer.id()).await?),
        false => None,
    };
    let meads = place.pours.iter().map(|pour| MeadRow {
        url: base.link(&format!("{}/{}", place.own, pour.place)),
        called: pour.called(tasting),
        said: place.seat.said.iter().any(|(at, _)| *at == pour.place),
    });
    Ok(SeatPage {
        shell: app.shell(&place.viewer).at_place(match place.up {
            Some(_) => Nav::Batches,
            None => Nav::Elsewhere,
        }),
        up_url: place.up.as_ref().map(|up| base.link(up)),
        title: tasting.title.clone(),
        question: question(tasting),
        kind: tasting.kind,
        open: tasting.is_open(),
        care: Care::of(app, &place.pours),
        meads: match tasting.kind {
            Kind::Shared => meads.collect(),
            Kind::Triangle | Kind::Ranking => Vec::new(),
        },
        action: base.link(&format!("{}/pick", place.own)),
        number: serving.map_or(0, |serving| serving.number),
        glasses: glasses
            .iter()
            .map(|(code, _)| Glass {
                code: code.to_string(),
                field: pick_field("", Some(*code)),
            })
            .collect(),
        codes: glasses
            .iter()
            .map(|(code, _)| (code.to_string(), code.to_string()))
            .collect(),
        places: place_choices(glasses.len()),
        picked: place.seat.pick.is_some(),
        form,
        results,
    })
}

/// What is asked, where the host wrote nothing.
fn question(tasting: &Tasting) -> String {
    match (tasting.kind, tasting.question.as_str()) {
        (Kind::Ranking, "") => "Which do you like best? Place 1 is the best.".to_owned(),
        (_, question) => question.to_owned(),
    }
}

/// The places that a glass can have.
pub(super) fn place_choices(glasses: usize) -> Vec<(String, String)> {
    let unsaid = (String::new(), "not said".to_owned());
    let places = (1..=glasses).map(|place| (place.to_string(), place.to_string()));
    std::iter::once(unsaid).chain(places).collect()
}

/// Puts what was picked into the fields.
pub(super) fn fill_pick(pick: Option<&Pick>, sheet: &str, form: &mut FormState) {
    match pick {
        Some(Pick::Odd(code)) => form.set(&pick_field(sheet, None), code.to_string()),
        Some(Pick::Places(places)) => {
            for (code, place) in places {
                form.set(&pick_field(sheet, Some(*code)), place.to_string());
            }
        }
        None => {}
    }
}

fn closed() -> Error {
    Error::conflict("The tasting is closed by now, so this was not written down.")
}

async fn sit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut tx = app.pool.begin().await?;
    let tasting = found(&mut tx, &member, &id).await?;
    if tasting.on_paper {
        return Err(Error::conflict(
            "This tasting is on paper: ask the host for a sheet.",
        ));
    }
    let of = (tasting.id, tasting.kind);
    let seated = seats::sit(&mut tx, of, Sitter::Member(member.id), app.clock.now()).await?;
    match seated {
        Seated::At(_) => {
            tx.commit().await?;
            see_other(app.site.base(), &paths::SEAT.with(&[&id]))
        }
        Seated::Full => Err(full()),
        Seated::Closed => Err(Error::conflict("The tasting is closed by now.")),
    }
}

/// No glass is left.
pub(super) fn full() -> Error {
    Error::conflict("Every seat is taken. Ask the host whether there is room at another one.")
}

async fn show_seat(app: &App, conn: &mut PgConnection, place: Place) -> Answer {
    let mut form = FormState::new();
    fill_pick(place.seat.pick.as_ref(), "", &mut form);
    not_stored(page(&seat_page(app, conn, &place, form).await?))
}

async fn seat(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    match of_member(&mut conn, &member, &id).await? {
        Some(place) => show_seat(&app, &mut conn, place).await,
        None => see_other(app.site.base(), &paths::TASTING.with(&[&id])),
    }
}

async fn guest_seat(State(app): State<App>, viewer: Viewer, Path(token): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let place = of_guest(&mut conn, viewer, &token).await?;
    show_seat(&app, &mut conn, place).await
}

/// Notes what was picked.
async fn note_pick(app: &App, conn: &mut PgConnection, place: Place, posted: &Posted) -> Answer {
    let Some(serving) = place.seat.serving.clone() else {
        return Err(Error::not_found());
    };
    let mut typed = Typed::of(posted);
    let picked = forms::pick(&mut typed, place.tasting.kind, &serving, "")?;
    let mut form = typed.form;
    let Some(picked) = picked.filter(|_| form.is_sound()) else {
        if form.is_sound() {
            form.refuse(
                &first_field(&place.tasting, &serving),
                "Choose, even if you must guess.",
            );
        }
        return not_stored(form_again(&seat_page(app, conn, &place, form).await?));
    };
    match seats::pick(conn, place.seat.id, &picked).await? {
        true => see_other(app.site.base(), &place.own),
        false => Err(closed()),
    }
}

fn first_field(tasting: &Tasting, serving: &Serving) -> String {
    let first = serving.glasses.first().map(|(code, _)| *code);
    pick_field("", first.filter(|_| tasting.kind == Kind::Ranking))
}

async fn pick(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let place = of_member(&mut conn, &member, &id).await?;
    let place = place.ok_or_else(Error::not_found)?;
    note_pick(&app, &mut conn, place, &posted).await
}

async fn guest_pick(
    State(app): State<App>,
    viewer: Viewer,
    Path(token): Path<String>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let place = of_guest(&mut conn, viewer, &token).await?;
    note_pick(&app, &mut conn, place, &posted).await
}

#[derive(Template)]
#[template(path = "tastings/mead.html")]
struct MeadPage {
    shell: Shell,
    seat_url: String,
    title: String,
    called: String,
    question: String,
    action: String,
    first: Vec<Field>,
    senses: Vec<Field>,
    sides: Vec<Field>,
    form: FormState,
}

/// The mead of a place on a sheet: where one is told what each is like.
fn pour_at<'a>(place: &'a Place, at: &str) -> Result<&'a Pour, Error> {
    let at: i32 = at.parse().map_err(|_| Error::not_found())?;
    let pour = place.pours.iter().find(|pour| pour.place == at);
    pour.filter(|_| place.tasting.kind == Kind::Shared)
        .ok_or_else(Error::not_found)
}

fn mead_page(app: &App, place: &Place, pour: &Pour, form: FormState) -> MeadPage {
    let base = app.site.base();
    MeadPage {
        shell: app.shell(&place.viewer).at_place(match place.up {
            Some(_) => Nav::Batches,
            None => Nav::Elsewhere,
        }),
        seat_url: base.link(&place.own),
        title: place.tasting.title.clone(),
        called: pour.called(&place.tasting),
        question: place.tasting.question.clone(),
        action: base.link(&format!("{}/{}", place.own, pour.place)),
        first: tasted::first_fields(),
        senses: tasted::sense_fields(false),
        sides: tasted::side_fields(),
        form,
    }
}

fn show_mead(app: &App, place: &Place, at: &str) -> Answer {
    let pour = pour_at(place, at)?;
    if !place.tasting.is_open() {
        return see_other(app.site.base(), &place.own);
    }
    let mut form = FormState::new();
    let said = place.seat.said.iter().find(|(of, _)| *of == pour.place);
    if let Some((_, said)) = said {
        tasted::fill(said, &mut form);
    }
    not_stored(page(&mead_page(app, place, pour, form)))
}

async fn mead(
    State(app): State<App>,
    member: Member,
    Path((id, at)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    match of_member(&mut conn, &member, &id).await? {
        Some(place) => show_mead(&app, &place, &at),
        None => see_other(app.site.base(), &paths::TASTING.with(&[&id])),
    }
}

async fn guest_mead(
    State(app): State<App>,
    viewer: Viewer,
    Path((token, at)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let place = of_guest(&mut conn, viewer, &token).await?;
    show_mead(&app, &place, &at)
}

/// Notes what is said of a mead; goes on to the next of which nothing is said.
async fn note_answer(
    app: &App,
    conn: &mut PgConnection,
    place: &Place,
    at: &str,
    posted: &Posted,
) -> Answer {
    let pour = pour_at(place, at)?;
    let mut typed = Typed::of(posted);
    let said = tasted::read(&mut typed)?;
    if said == Said::default() && typed.form.is_sound() {
        let why = "Write a word or two, or choose how much you like it.";
        typed.form.refuse("text", why);
    }
    if !typed.form.is_sound() {
        return not_stored(form_again(&mead_page(app, place, pour, typed.form)));
    }
    if !seats::answer(conn, place.seat.id, pour.place, &said, app.clock.now()).await? {
        return Err(closed());
    }
    let said = |of: i32| of == pour.place || place.seat.said.iter().any(|(at, _)| *at == of);
    let next = place.pours.iter().find(|other| !said(other.place));
    see_other(
        app.site.base(),
        &match next {
            Some(next) => format!("{}/{}", place.own, next.place),
            None => place.own.clone(),
        },
    )
}

async fn answer(
    State(app): State<App>,
    member: Member,
    Path((id, at)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let place = of_member(&mut conn, &member, &id).await?;
    let place = place.ok_or_else(Error::not_found)?;
    note_answer(&app, &mut conn, &place, &at, &posted).await
}

async fn guest_answer(
    State(app): State<App>,
    viewer: Viewer,
    Path((token, at)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let place = of_guest(&mut conn, viewer, &token).await?;
    note_answer(&app, &mut conn, &place, &at, &posted).await
}
