//! A batch is filled up from another of one's own: what leaves the one joins the other.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::forms;
use super::pages::speaks;
use crate::app::App;
use crate::batches::blending::joining;
use crate::batches::model::{Ending, NewEntry, Shelf};
use crate::batches::opened::{Opened, open_own, refresh};
use crate::batches::view::lead;
use crate::batches::{paths, store as batches};
use crate::engine::log::entry::{Part, Why};
use crate::engine::log::ranges::range_of;
use crate::engine::log::{self, Deed, replay};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::units;
use crate::web::viewer::{Member, Viewer};

/// The batches that are offered.
const MOST: usize = 100;
/// A share from which on nothing is left.
const ALL: f64 = 0.999;

#[derive(Template)]
#[template(path = "batches/top_up.html")]
struct TopUpPage {
    shell: Shell,
    name: String,
    batch_url: String,
    action: String,
    lead: String,
    others: Vec<(String, String)>,
    form: FormState,
    once: String,
}

async fn top_up_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    form: FormState,
) -> Result<TopUpPage, Error> {
    let viewer = Viewer::known(member.clone());
    let (base, id) = (app.site.base(), opened.batch.public_id.as_str());
    let settings = &member.settings;
    let lines = batches::list(conn, member.id, Shelf::Going, None, MOST).await?;
    let others = lines
        .into_iter()
        .filter(|line| line.public_id.as_str() != id);
    let words = |name: String, litres: Option<f64>| match litres {
        Some(litres) => format!("{name}, {}", units::volume(litres, settings.units)),
        None => name,
    };
    Ok(TopUpPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        action: base.link(&paths::FILL_UP.with(&[id])),
        lead: lead(opened, app.clock.now(), settings.zone, settings.units),
        others: others
            .map(|line| {
                (
                    line.public_id.as_str().to_owned(),
                    words(line.name, line.volume_l),
                )
            })
            .collect(),
        once: match form.typed(once::FIELD) {
            "" => Once::fresh(&viewer)?,
            typed => typed.to_owned(),
        },
        form,
    })
}

pub(super) async fn ask(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    page(&top_up_page(&app, &mut conn, &member, &opened, FormState::new()).await?)
}

pub(super) async fn fill(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let mut opened = open_own(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let to = speaks(&app, &member);
    let at = forms::moment(&mut typed, to, opened.batch.began_at)?;
    let litres = forms::litres(&mut typed, "litres", to)?;
    if litres.is_none() && typed.form.fault("litres").is_none() {
        typed
            .form
            .refuse("litres", "Write how much, such as 0.5 L.");
    }
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::FILL_UP).await? {
        return see_other(app.site.base(), &location);
    }
    let from = typed.text("from")?;
    let other = match from == id {
        false => open_own(&mut tx, &member, from).await.ok(),
        true => None,
    };
    if let Some(other) = &other {
        // Always in the same order, so that two forms never wait for each other.
        let mut both = [opened.batch.id, other.batch.id];
        both.sort_by_key(|id| id.0);
        for id in both {
            batches::hold(&mut tx, member.id, id).await?;
        }
        opened = open_own(&mut tx, &member, &id).await?;
    } else {
        typed.form.refuse("from", "Choose one of the list.");
    }
    let wanted = at.zip(litres).zip(other).filter(|_| typed.form.is_sound());
    let done = match wanted {
        Some(((at, litres), _)) => {
            let other = open_own(&mut tx, &member, from).await?;
            pour(
                &app,
                &mut tx,
                &member,
                (&other, &opened),
                (at, litres),
                &mut typed,
            )
            .await?
        }
        None => false,
    };
    if !done {
        return form_again(&top_up_page(&app, &mut tx, &member, &opened, typed.form).await?);
    }
    let location = format!("{}?done=logged", paths::BATCH.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::FILL_UP, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// What a log makes of a batch at a moment.
fn before_then(opened: &Opened, at: chrono::DateTime<chrono::Utc>) -> log::State {
    let until = opened.batch.hours_at(at);
    let before = opened.entries.iter().filter(|entry| entry.hours <= until);
    replay(&opened.start, &before.cloned().collect::<Vec<_>>())
}

/// Pours from one batch into another; false, with a fault beside the field, when there was less.
async fn pour(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    (from, into): (&Opened, &Opened),
    (at, litres): (chrono::DateTime<chrono::Utc>, f64),
    typed: &mut Typed<'_>,
) -> Result<bool, Error> {
    let was = before_then(from, at);
    if litres > was.volume_l {
        let there = units::volume(was.volume_l, member.settings.units);
        typed.form.refuse(
            "litres",
            format!(
                "By its log there was {there} of {}. Log how much there is first, or write less.",
                from.batch.name
            ),
        );
        return Ok(false);
    }
    if !range_of("sg").is_some_and(|range| range.holds(was.sg)) {
        typed.form.refuse(
            "from",
            format!(
                "By its log {} has a gravity of {}, which no mead has. Put its log right first.",
                from.batch.name,
                units::gravity(was.sg)
            ),
        );
        return Ok(false);
    }
    let share = litres / was.volume_l;
    let there = before_then(into, at);
    let with_it = there.flows.vessel + was.flows.vessel * share;
    let joins = joining(
        (from, &was),
        (Why::TopUp, litres),
        (with_it, there.flows.in_fruit),
    );
    let now = app.clock.now();
    let leaves = NewEntry::of(Deed::Part(Part { share }), at, member.id);
    let joins = NewEntry::of(Deed::Addition(joins), at, member.id);
    batches::add(conn, from.batch.id, &leaves, now).await?;
    batches::add(conn, into.batch.id, &joins, now).await?;
    if share >= ALL {
        batches::end(conn, from.batch.id, Some((at, Ending::Parted))).await?;
    }
    refresh(conn, member, &from.batch.public_id).await?;
    refresh(conn, member, &into.batch.public_id).await?;
    Ok(true)
}
