//! A bottle in somebody's hand: what its label says for everybody, and three taps for whoever may see its batch.

use askama::Template;
use axum::extract::{Path, Query, State};
use chrono_tz::Tz;
use serde::Deserialize;
use sqlx::PgConnection;

use super::model::{Lot, TakenFor, Taking};
use super::pages::reader;
use super::view::{amount, when};
use super::{paths, store};
use crate::app::App;
use crate::batches;
use crate::batches::labels::model::Label;
use crate::batches::model::NewEntry;
use crate::batches::opened::{Opened, open as opened_by, refresh_for, settings_of};
use crate::engine::Settings;
use crate::engine::log::Deed;
use crate::engine::log::entry::Tasting;
use crate::members::paths::SIGN_IN;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::policy::{Action, may};
use crate::web::random;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

/// The longest word on what is off, in characters.
const OFF_MAX: usize = 300;
/// How much it is liked: the engine's scale of 1 to 9 in five steps, and their words.
const LIKING: &[(&str, &str)] = &[
    ("1", "not at all"),
    ("3", "not much"),
    ("5", "well enough"),
    ("7", "a lot"),
    ("9", "as much as any"),
];
/// How sweet it is: the engine's scale and its words.
const SWEETNESS: &[(&str, &str)] = &[
    ("-1", "not sweet enough"),
    ("0", "just right"),
    ("1", "too sweet"),
];
/// Whether it would be drunk again.
const AGAIN: &[(&str, &str)] = &[("yes", "yes"), ("no", "no"), ("off", "something is off")];

/// What members see besides the label.
struct Tap {
    is_keg: bool,
    action: String,
    once: String,
    /// How many are left.
    left: String,
    when: String,
    batch_url: String,
    /// The lot in the cellar; for its owner alone.
    lot_url: String,
    form: FormState,
}

#[derive(Template)]
#[template(path = "batches/cellar/bottle.html")]
struct BottlePage {
    shell: Shell,
    label: Label,
    /// Where a member who is not signed in comes in; empty for whoever is.
    sign_in_url: String,
    tap: Option<Tap>,
}

impl BottlePage {
    const LIKING: &[(&str, &str)] = LIKING;
    const SWEETNESS: &[(&str, &str)] = SWEETNESS;
    const AGAIN: &[(&str, &str)] = AGAIN;
}

/// The lot of a code with its batch, opened for its label: whoever holds the bottle reads that, unless they judge just now.
async fn found(
    conn: &mut PgConnection,
    viewer: &Viewer,
    code: &str,
) -> Result<(Lot, Opened), Error> {
    let lot = store::of_code(conn, code).await?;
    let lot = lot.filter(|lot| viewer.id() == Some(lot.owner) || !viewer.book_closed());
    let lot = lot.ok_or_else(Error::not_found)?;
    let settings = Settings::default();
    let opened = opened_by(conn, Some(lot.owner), &settings, lot.batch.as_str()).await?;
    Ok((lot, opened))
}

fn bottle_page(
    app: &App,
    viewer: &Viewer,
    (lot, opened): (&Lot, &Opened),
    form: FormState,
) -> Result<BottlePage, Error> {
    let zone = viewer
        .member()
        .map_or(Tz::UTC, |member| member.settings.zone);
    let sees = may(viewer, Action::See, &opened.batch.facts());
    let tap = match viewer.member().filter(|_| sees) {
        None => None,
        Some(member) => Some(tap(app, member, lot, form)?),
    };
    Ok(BottlePage {
        shell: app.shell(viewer).at_place(Nav::Batches),
        label: Label::of(opened, lot, zone),
        sign_in_url: match viewer.member() {
            Some(_) => String::new(),
            None => {
                let here = app.site.base().link(&paths::BOTTLE.with(&[&lot.code]));
                let path = format!("{}?next={here}", SIGN_IN.path);
                app.site.base().link(&path)
            }
        },
        tap,
    })
}

fn tap(app: &App, member: &Member, lot: &Lot, form: FormState) -> Result<Tap, Error> {
    let reader = reader(app, member);
    let batch = batches::paths::BATCH.with(&[lot.batch.as_str()]);
    Ok(Tap {
        is_keg: lot.keg,
        action: reader.base.link(&paths::OPEN.with(&[&lot.code])),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        left: match lot.left() {
            0 => "By the cellar none is left".to_owned(),
            left => format!("{} left", amount(lot, left, reader.units)),
        },
        when: when(lot),
        batch_url: reader.base.link(&batch),
        lot_url: match lot.owner == member.id {
            true => reader.base.link(&paths::LOT.with(&[&lot.public_id])),
            false => String::new(),
        },
        form,
    })
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

pub(super) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    Path(code): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let (lot, opened) = found(&mut conn, &viewer, &code).await?;
    drop(conn);
    let mut shown = bottle_page(&app, &viewer, (&lot, &opened), FormState::new())?;
    if told.done.as_deref() == Some("tasted") {
        let words = match lot.keg {
            true => "It stands in the log.",
            false => "It stands in the log, and the bottle is out of the cellar.",
        };
        shown.shell = shown.shell.saying(words);
    }
    page(&shown)
}

/// Reads three taps. With faults there is none, and they stand in the form.
fn tasting(typed: &mut Typed<'_>) -> Result<Option<Tasting>, Error> {
    let liking = one_of(typed, "liking", (LIKING, "Say how much you like it."))?;
    let sweetness = one_of(typed, "sweetness", (SWEETNESS, "Say how sweet it is."))?;
    let again = typed.text("again")?;
    if !AGAIN.iter().any(|(word, _)| *word == again) {
        typed
            .form
            .refuse("again", "Say whether you would drink it again.");
    }
    let off = typed.line("off", OFF_MAX)?;
    if again == "off" && off.is_empty() {
        typed
            .form
            .refuse("off", "Write in a few words what is off.");
    }
    if !typed.form.is_sound() {
        return Ok(None);
    }
    let said = match (again, off.as_str()) {
        ("yes", "") => "Would drink it again.".to_owned(),
        ("yes", off) => format!("Would drink it again. {off}"),
        ("no", "") => "Would not drink it again.".to_owned(),
        ("no", off) => format!("Would not drink it again. {off}"),
        (_, off) => format!("Something is off: {off}"),
    };
    Ok(Some(Tasting {
        text: Some(said),
        liking,
        sweetness,
        ..Tasting::default()
    }))
}

/// The number of one of a few choices; a fault, in these words, where none was tapped.
fn one_of(
    typed: &mut Typed<'_>,
    name: &str,
    (choices, why): (&[(&str, &str)], &str),
) -> Result<Option<i32>, Error> {
    let text = typed.text(name)?;
    let chosen = choices.iter().find(|(value, _)| *value == text);
    let number = chosen.and_then(|(value, _)| value.parse().ok());
    if number.is_none() {
        typed.form.refuse(name, why);
    }
    Ok(number)
}

/// Takes a bottle out, if one is left, and writes what it tastes like into the log of its batch.
pub(super) async fn open(
    State(app): State<App>,
    member: Member,
    Path(code): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let viewer = Viewer::known(member.clone());
    let (lot, opened) = found(&mut tx, &viewer, &code).await?;
    if !may(&viewer, Action::See, &opened.batch.facts()) {
        return Err(Error::not_found());
    }
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, paths::OPEN).await? {
        return see_other(app.site.base(), &to);
    }
    let mut typed = Typed::of(&posted);
    let Some(tasting) = tasting(&mut typed)? else {
        let again = bottle_page(&app, &viewer, (&lot, &opened), typed.form)?;
        return form_again(&again);
    };
    take_and_write(&app, &mut tx, &member, &lot, tasting).await?;
    let to = format!("{}?done=tasted", paths::BOTTLE.with(&[&code]));
    once::settle(&mut tx, &once, &member, paths::OPEN, &to).await?;
    tx.commit().await?;
    see_other(app.site.base(), &to)
}

async fn take_and_write(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    lot: &Lot,
    tasting: Tasting,
) -> Result<(), Error> {
    let now = app.clock.now();
    let settings = settings_of(member);
    let opened = opened_by(conn, Some(lot.owner), &settings, lot.batch.as_str()).await?;
    let batch = opened.batch.id;
    batches::store::hold(conn, lot.owner, batch).await?;
    store::hold(conn, lot.id).await?;
    let there = store::of_code(conn, &lot.code).await?;
    // Nobody knows how much of a keg a taste is: its owner tells what was drawn.
    if let Some(lot) = there.filter(|lot| lot.left() > 0 && !lot.keg) {
        let taking = Taking {
            bottles: 1,
            why: TakenFor::Drunk,
            whom: String::new(),
            at: now,
        };
        let public_id = random::public_id()?;
        store::take(conn, (&lot, member.id), &public_id, &taking, now).await?;
    }
    let entry = NewEntry::of(Deed::Tasting(tasting), now, member.id);
    batches::store::add(conn, batch, &entry, now).await?;
    refresh_for(conn, lot.owner, &settings, &lot.batch).await?;
    Ok(())
}
