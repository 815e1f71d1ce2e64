//! The page on which a batch is filled: it reckons, and writes down.

use askama::Template;
use axum::Router;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::asked::{self, Filling};
use super::{paths, proposed, words, writing};
use crate::app::App;
use crate::batches::cellar::pages::speaks;
use crate::batches::cellar::store as cellar;
use crate::batches::model::Ending;
use crate::batches::opened::{Opened, open_own, refresh};
use crate::batches::plan;
use crate::batches::plan::when::Reads;
use crate::batches::view::lead;
use crate::batches::{self, finishing, labels, store};
use crate::engine::bottle::{Bottle, PrimingSugar};
use crate::engine::bottling::{Bottled, Mead, Refusal, Way, bottled};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

/// The routes of filling.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::BOTTLING, ask)
        .on(paths::FILL, fill)
        .done()
}

/// What was reckoned, in words.
struct Reckoned {
    said: Vec<String>,
    dangers: Vec<(&'static str, &'static str)>,
    care: &'static str,
}

/// The names of the fields of one size of bottles, with their labels.
struct Row {
    size: &'static str,
    of: &'static str,
    count: &'static str,
    many: &'static str,
}

fn rows() -> Vec<Row> {
    const LABELS: [[&str; 2]; 3] = [
        ["Bottles of", "How many"],
        ["And bottles of", "How many of these"],
        ["And also of", "How many of those"],
    ];
    let rows = asked::ROWS.into_iter().zip(LABELS);
    rows.map(|([size, count], [of, many])| Row {
        size,
        of,
        count,
        many,
    })
    .collect()
}

#[derive(Template)]
#[template(path = "batches/bottling/bottling.html")]
struct BottlingPage {
    shell: Shell,
    name: String,
    batch_url: String,
    /// Where it says what is missing before it counts as finished.
    finished_url: String,
    labels_url: String,
    action: String,
    lead: String,
    /// Whether there is nothing left to fill.
    is_empty: bool,
    /// Whether two readings agree.
    stands_still: bool,
    stabilised: bool,
    ways: Vec<(String, String)>,
    kinds: Vec<(String, String)>,
    sugars: Vec<(String, String)>,
    rows: Vec<Row>,
    /// Whether bottles of another size are counted besides.
    more_sizes: bool,
    reckoned: Option<Reckoned>,
    form: FormState,
    once: String,
}

impl BottlingPage {
    const DEGASSED: &[(&str, &str)] = &[
        ("no", "no, or nobody knows"),
        ("yes", "yes, the gas was stirred out since it stopped"),
    ];

    fn has_dangers(&self) -> bool {
        let reckoned = self.reckoned.as_ref();
        reckoned.is_some_and(|reckoned| !reckoned.dangers.is_empty())
    }
}

/// What the log says of it, as it is to be closed up.
fn mead(app: &App, member: &Member, opened: &Opened) -> Mead {
    let now = app.clock.now();
    let reads = Reads {
        now,
        zone: member.settings.zone,
    };
    let now_h = opened.batch.hours_at(now);
    let months = proposed::months(opened, now_h);
    // Finished by the rule of the end, and at rest since sugar last went in.
    let still = finishing::is_finished(opened, now_h) && plan::stands_still(opened, reads);
    Mead::of(&opened.start, &opened.state, still, months)
}

/// A primed mead is no choice for what was stabilised.
fn ways(mead: &Mead) -> Vec<(String, String)> {
    let offered = Way::ALL
        .into_iter()
        .filter(|way| !(mead.stabilised && *way == Way::Primed));
    offered
        .map(|way| (way.as_str().to_owned(), words::way(way).to_owned()))
        .collect()
}

fn bottling_page(
    app: &App,
    member: &Member,
    (opened, mead): (&Opened, &Mead),
    form: FormState,
) -> Result<BottlingPage, Error> {
    let viewer = Viewer::known(member.clone());
    let (base, id) = (app.site.base(), opened.batch.public_id.as_str());
    let (zone, reads) = (member.settings.zone, member.settings.units);
    Ok(BottlingPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: base.link(&batches::paths::BATCH.with(&[id])),
        finished_url: base.link(&batches::paths::FINISHED.with(&[id])),
        labels_url: base.link(&labels::paths::LABELS.with(&[id])),
        action: base.link(&paths::FILL.with(&[id])),
        lead: lead(opened, app.clock.now(), zone, reads),
        is_empty: finishing::is_empty(opened),
        stands_still: mead.stands_still,
        stabilised: mead.stabilised,
        ways: ways(mead),
        kinds: Bottle::ALL
            .into_iter()
            .map(|kind| (kind.as_str().to_owned(), words::bottle(kind)))
            .collect(),
        sugars: PrimingSugar::ALL
            .into_iter()
            .map(|one| (one.as_str().to_owned(), words::sugar(one).to_owned()))
            .collect(),
        more_sizes: asked::ROWS
            .iter()
            .skip(1)
            .flatten()
            .any(|field| !form.typed(field).is_empty() || form.fault(field).is_some()),
        rows: rows(),
        reckoned: None,
        once: Once::for_form(&form, &viewer)?,
        form,
    })
}

async fn ask(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    drop(conn);
    let mead = mead(&app, &member, &opened);
    let form = proposed::form(&opened, member.settings.units);
    page(&bottling_page(&app, &member, (&opened, &mead), form)?)
}

/// Sets what cannot be beside its field. A bottle that is too weak is a danger, passed with a reason.
fn refuse(form: &mut FormState, is: &Bottled) {
    let refusals = is.refusals.iter();
    let hard = refusals.filter(|one| !matches!(one, Refusal::BottleTooWeak { .. }));
    for one in hard {
        let (field, why) = words::refusal(*one);
        form.refuse(field, why);
    }
}

fn reckoned(member: &Member, mead: &Mead, filling: &Filling, is: &Bottled) -> Reckoned {
    let weak = is
        .refusals
        .iter()
        .find(|one| matches!(one, Refusal::BottleTooWeak { .. }));
    let mut said: Vec<String> = weak.map(|one| words::refusal(*one).1).into_iter().collect();
    said.extend(words::answer(
        mead,
        &filling.asked,
        is,
        member.settings.units,
    ));
    Reckoned {
        said,
        dangers: is.dangers.iter().map(|one| words::danger(*one)).collect(),
        care: words::care(filling.asked.way),
    }
}

async fn fill(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let writes = posted.one("do")? == "fill";
    let mut tx = app.pool.begin().await?;
    let mut opened = open_own(&mut tx, &member, &id).await?;
    if writes {
        if let Claim::Done(to) = once::claim(&mut tx, &once, &member, paths::FILL).await? {
            return see_other(app.site.base(), &to);
        }
        store::hold(&mut tx, member.id, opened.batch.id).await?;
        // Whoever waited for another form sees what that one left.
        opened = open_own(&mut tx, &member, &id).await?;
    }
    let mead = mead(&app, &member, &opened);
    let mut typed = Typed::of(&posted);
    let filling = asked::filling(&mut typed, speaks(&app, &member))?;
    let mut form = typed.form;
    let Some(filling) = filling else {
        return form_again(&bottling_page(&app, &member, (&opened, &mead), form)?);
    };
    let is = bottled(&mead, &filling.asked);
    refuse(&mut form, &is);
    if writes && !is.dangers.is_empty() && filling.reason.is_empty() {
        form.refuse(
            "reason",
            "Write why you close it all the same: the log keeps that.",
        );
    }
    let sound = form.is_sound();
    if !writes || !sound {
        let mut again = bottling_page(&app, &member, (&opened, &mead), form)?;
        again.reckoned = Some(reckoned(&member, &mead, &filling, &is));
        return if sound {
            page(&again)
        } else {
            form_again(&again)
        };
    }
    write(&app, &mut tx, &member, &opened, &filling, &is).await?;
    let to = labels::paths::LABELS.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::FILL, &to).await?;
    tx.commit().await?;
    see_other(app.site.base(), &to)
}

/// Writes a filling into a batch that is held, and lays its bottles down.
async fn write(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    filling: &Filling,
    is: &Bottled,
) -> Result<(), Error> {
    let batch = opened.batch.id;
    let mut last = 0;
    for entry in writing::entries(filling, is, member.id) {
        last = store::add(conn, batch, &entry, app.clock.now()).await?;
    }
    if filling.is_all && opened.batch.ended_at.is_none() {
        store::end(conn, batch, Some((filling.at, Ending::Bottled))).await?;
    }
    refresh(conn, member, &opened.batch.public_id).await?;
    let kept = filling
        .kept
        .map_or((0, None), |(kept, until)| (kept, Some(until)));
    cellar::lay_down(conn, (batch, last), &filling.place, kept).await?;
    Ok(())
}
