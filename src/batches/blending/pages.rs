//! The page that blends batches: which, how much of each, what it comes to, and what can go wrong.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::forms::{self, Asked, ROWS, field};
use super::pouring::{Becomes, Used, pour as pour_together};
use super::words;
use crate::app::App;
use crate::batches::finishing::passing::{self, Danger};
use crate::batches::model::Shelf;
use crate::batches::opened::{Opened, open_own};
use crate::batches::parting::speaks;
use crate::batches::start::{READERS, name as name_of, readers};
use crate::batches::view::lead;
use crate::batches::{paths, store as batches};
use crate::engine::blend::risk::{Stands, risks};
use crate::engine::blend::{Source, amounts, poured};
use crate::vessels::model::Vessel;
use crate::vessels::store as vessels;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::units;
use crate::web::viewer::{Member, Viewer};
use crate::web::words::Words;

/// The batches that are offered.
const MOST: usize = 100;
/// What is less is nothing, L.
const LEAST_L: f64 = 0.01;

#[derive(Template)]
#[template(path = "batches/blend.html")]
struct BlendPage {
    shell: Shell,
    name: String,
    /// With how much there is of it, its gravity and its strength.
    itself: String,
    batch_url: String,
    action: String,
    look_at: String,
    lead: String,
    rows: Vec<Row>,
    /// Whether more than three meads are in view.
    is_unfolded: bool,
    others: Vec<(String, String)>,
    vessels: Vec<(String, String)>,
    outcome: Option<Outcome>,
    form: FormState,
    once: String,
}

impl BlendPage {
    const READERS: &[(&str, &str)] = READERS;
}

/// The names of one row's fields.
struct Row {
    legend: String,
    /// The batch itself stands in the first.
    is_first: bool,
    batch: String,
    litres: String,
}

/// What it comes to.
struct Outcome {
    lead: String,
    parts: Vec<(String, String)>,
    missed: Vec<String>,
    risks: Vec<(&'static str, Words)>,
    is_danger: bool,
}

async fn blend_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    mut form: FormState,
) -> Result<BlendPage, Error> {
    let viewer = Viewer::known(member.clone());
    let (base, id) = (app.site.base(), opened.batch.public_id.as_str());
    let settings = &member.settings;
    let lines = batches::list(conn, member.id, Shelf::Going, None, MOST).await?;
    let others = lines
        .into_iter()
        .filter(|line| line.public_id.as_str() != id);
    let none = [(String::new(), "none".to_owned())];
    let words = |name: String, facts: [Option<String>; 3]| {
        let all: Vec<String> = std::iter::once(name)
            .chain(facts.into_iter().flatten())
            .collect();
        all.join(", ")
    };
    let state = &opened.state;
    let facts = [
        Some(units::volume(state.volume_l, settings.units)),
        Some(units::gravity(state.sg)),
        Some(units::abv(state.abv_percent)),
    ];
    let itself = words(opened.batch.name.clone(), facts);
    let others = others.map(|line| {
        let facts = [
            line.volume_l
                .map(|litres| units::volume(litres, settings.units)),
            line.sg.map(units::gravity),
            line.abv_percent.map(units::abv),
        ];
        (line.public_id.as_str().to_owned(), words(line.name, facts))
    });
    let not_mine = [(String::new(), "not one of mine".to_owned())];
    let mine = vessels_of(conn, member).await?.into_iter();
    let mine = mine.map(|vessel| (vessel.public_id, vessel.is.name));
    if form.typed("visibility").is_empty() {
        form.set("visibility", opened.batch.visibility.as_str());
    }
    let row = |number: usize| Row {
        legend: format!("Mead {number}"),
        is_first: number == 1,
        batch: field("batch", number),
        litres: field("litres", number),
    };
    let rows: Vec<Row> = (1..=ROWS).map(row).collect();
    let is_used = |row: &Row| {
        let mut fields = [&row.batch, &row.litres].into_iter();
        fields.any(|name| !form.typed(name).is_empty() || form.fault(name).is_some())
    };
    Ok(BlendPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        itself,
        batch_url: base.link(&paths::BATCH.with(&[id])),
        action: base.link(&paths::BLEND_POUR.with(&[id])),
        look_at: base.link(&paths::BLEND_LOOK.with(&[id])),
        lead: lead(opened, app.clock.now(), settings.zone, settings.units),
        is_unfolded: rows.iter().skip(3).any(is_used),
        rows,
        others: none.into_iter().chain(others).collect(),
        vessels: not_mine.into_iter().chain(mine).collect(),
        outcome: None,
        once: match form.typed(once::FIELD) {
            "" => Once::fresh(&viewer)?,
            typed => typed.to_owned(),
        },
        form,
    })
}

/// A member's vessels in use.
async fn vessels_of(conn: &mut PgConnection, member: &Member) -> Result<Vec<Vessel>, Error> {
    let mut found = vessels::list(conn, member.id).await?;
    found.retain(|vessel| !vessel.retired);
    Ok(found)
}

pub(super) async fn ask(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    page(&blend_page(&app, &mut conn, &member, &opened, FormState::new()).await?)
}

pub(super) async fn look(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let mut typed = Typed::of(&posted);
    let to = speaks(&app, &member);
    let opened = open_own(&mut conn, &member, &id).await?;
    let asked = forms::asked(&mut conn, &member, opened, &mut typed, to).await?;
    let outcome = asked.and_then(|asked| outcome(&asked, &mut typed, &member));
    let opened = open_own(&mut conn, &member, &id).await?;
    let sound = typed.form.is_sound();
    let mut shown = blend_page(&app, &mut conn, &member, &opened, typed.form).await?;
    shown.outcome = outcome;
    match sound {
        true => page(&shown),
        false => form_again(&shown),
    }
}

/// What it comes to: by what is wanted, else by the amounts that were written. The amounts found go into their fields.
fn outcome(asked: &Asked, typed: &mut Typed<'_>, member: &Member) -> Option<Outcome> {
    let reads = member.settings.units;
    let sources: Vec<Source> = asked.meads.iter().map(|mead| mead.stands.source).collect();
    let mut said = Vec::new();
    if let Some(wish) = &asked.wish {
        match amounts(&sources, wish) {
            Ok(found) => {
                said = found.missed.iter().map(words::missed).collect();
                for (mead, litres) in asked.meads.iter().zip(&found.litres) {
                    let text = match *litres >= LEAST_L {
                        true => units::volume(*litres, reads),
                        false => String::new(),
                    };
                    typed.form.set(&field("litres", mead.row), text);
                }
                return Some(told(asked, &found.litres, said, reads));
            }
            Err(why) => {
                let (name, why) = words::unable(why, &asked.meads, reads);
                typed.form.refuse(name, why);
                return None;
            }
        }
    }
    let litres = wanted_litres(asked, typed)?;
    Some(told(asked, &litres, std::mem::take(&mut said), reads))
}

/// The amounts that were written, of at least two; a fault beside the first that misses.
fn wanted_litres(asked: &Asked, typed: &mut Typed<'_>) -> Option<Vec<f64>> {
    for mead in &asked.meads {
        if mead.litres.is_none() {
            let why =
                "Write how much of it, such as 4.5 L, or what the blend should have, further down.";
            typed.form.refuse(&field("litres", mead.row), why);
        }
    }
    typed.form.is_sound().then(|| {
        let litres = asked.meads.iter().filter_map(|mead| mead.litres);
        litres.collect()
    })
}

fn told(asked: &Asked, litres: &[f64], missed: Vec<String>, reads: units::Units) -> Outcome {
    let each = asked.meads.iter().zip(litres);
    let parts: Vec<(Stands, f64)> = each.clone().map(|(mead, l)| (mead.stands, *l)).collect();
    let sources: Vec<(Source, f64)> = parts.iter().map(|(of, l)| (of.source, *l)).collect();
    let found = risks(&parts);
    Outcome {
        lead: words::lead(&poured(&sources), reads),
        parts: each
            .map(|(mead, l)| {
                let much = match *l >= LEAST_L {
                    true => units::volume(*l, reads),
                    false => "nothing".to_owned(),
                };
                (mead.opened.batch.name.clone(), much)
            })
            .collect(),
        missed,
        is_danger: found.iter().any(|risk| risk.is_danger()),
        risks: found
            .into_iter()
            .map(|risk| words::risk(risk, &asked.meads))
            .collect(),
    }
}

pub(super) async fn pour(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let mut typed = Typed::of(&posted);
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::BLEND_POUR).await? {
        return see_other(app.site.base(), &location);
    }
    hold_all(&mut tx, &member, &id, &typed).await?;
    let opened = open_own(&mut tx, &member, &id).await?;
    let to = speaks(&app, &member);
    let asked = forms::asked(&mut tx, &member, opened, &mut typed, to).await?;
    let vessels = vessels_of(&mut tx, &member).await?;
    let becomes = becomes(&mut typed, &vessels, asked.as_ref())?;
    let mut outcome = None;
    if let Some(asked) = &asked
        && let Some(litres) = wanted_litres(asked, &mut typed)
    {
        let told = told(asked, &litres, Vec::new(), member.settings.units);
        let dangers: &[Danger] = match told.is_danger {
            true => &[Danger::WakesUp],
            false => &[],
        };
        let passed = passing::read(&mut typed, dangers)?;
        outcome = Some(told);
        if let Some(mut becomes) = becomes.filter(|_| typed.form.is_sound()) {
            becomes.passed = passed;
            let used: Vec<Used<'_>> = asked
                .meads
                .iter()
                .zip(litres)
                .map(|(mead, litres)| Used { mead, litres })
                .collect();
            let now = app.clock.now();
            let blend = pour_together(&mut tx, &member, &used, &becomes, now).await?;
            let location = format!("{}?done=blended", paths::BATCH.with(&[blend.as_str()]));
            once::settle(&mut tx, &once, &member, paths::BLEND_POUR, &location).await?;
            tx.commit().await?;
            return see_other(app.site.base(), &location);
        }
    }
    let opened = open_own(&mut tx, &member, &id).await?;
    let mut shown = blend_page(&app, &mut tx, &member, &opened, typed.form).await?;
    shown.outcome = outcome;
    form_again(&shown)
}

/// Holds every batch that the form names, always in the same order, so that two forms never wait for each other.
async fn hold_all(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
    typed: &Typed<'_>,
) -> Result<(), Error> {
    let mut named = vec![id.to_owned()];
    for row in 2..=ROWS {
        named.push(typed.text(&field("batch", row))?.to_owned());
    }
    let mut ids = Vec::new();
    for id in named {
        if let Ok(opened) = open_own(conn, member, &id).await {
            ids.push(opened.batch.id);
        }
    }
    ids.sort_by_key(|id| id.0);
    ids.dedup();
    for id in ids {
        batches::hold(conn, member.id, id).await?;
    }
    Ok(())
}

/// What the blend will be; `None` with faults beside the fields.
fn becomes(
    typed: &mut Typed<'_>,
    vessels: &[Vessel],
    asked: Option<&Asked>,
) -> Result<Option<Becomes>, Error> {
    let name = name_of(typed)?;
    let visibility = readers(typed)?;
    let key = typed.text("vessel")?;
    let vessel = vessels.iter().find(|vessel| vessel.public_id == key);
    if vessel.is_none() && !key.is_empty() {
        typed.form.refuse("vessel", "Choose one of the list.");
    }
    Ok(asked.map(|asked| Becomes {
        name,
        visibility,
        vessel: vessel.cloned(),
        at: asked.at,
        passed: Vec::new(),
    }))
}
