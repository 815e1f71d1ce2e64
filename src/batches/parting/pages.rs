//! The page that parts a batch, and what a batch tells of the batches that it came from and went on in.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::forms::{self, Parting, ROWS, Wanted};
use super::shares::{Shares, missing_l, shares};
use super::store;
use crate::app::App;
use crate::batches::blending::store as blended;
use crate::batches::model::{Batch, Ending, NewBatch, NewEntry};
use crate::batches::opened::{Opened, open_own, refresh};
use crate::batches::start::Speaks;
use crate::batches::view::lead;
use crate::batches::{paths, store as batches};
use crate::engine::log::entry::{Move, Note, Part, Reading};
use crate::engine::log::{Deed, replay};
use crate::recipes::public_id::PublicId;
use crate::vessels::model::Vessel;
use crate::vessels::store as vessels;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::Base;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::units;
use crate::web::viewer::{Member, Viewer};

/// How the note begins that says what differs in a part.
const DIFFERS: &str = "What differs here: ";

/// Room in a name for ", part 12".
const NAME_ROOM: usize = 108;

#[derive(Template)]
#[template(path = "batches/parts.html")]
struct PartsPage {
    shell: Shell,
    name: String,
    batch_url: String,
    action: String,
    lead: String,
    rows: Vec<Row>,
    /// Whether it is asked if the parts are all there was.
    asks_all: bool,
    /// Whether more parts than two are shown.
    is_unfolded: bool,
    vessels: Vec<(String, String)>,
    form: FormState,
    once: String,
}

impl PartsPage {
    const REST: &[(&str, &str)] = &[
        ("none", "nothing stays here: the parts are all there is"),
        (
            "stays",
            "the rest stays here, and this batch goes on with it",
        ),
    ];
}

/// The names of one part's fields.
struct Row {
    legend: String,
    litres: String,
    vessel: String,
    difference: String,
}

/// The batches that a batch came from and went on in: name and address.
#[derive(Default)]
pub struct Kin {
    pub from: Option<(String, String)>,
    pub parts: Vec<(String, String)>,
    /// What it was blended of, and the blends that it went into, with how much.
    pub blended_of: Vec<(String, String)>,
    pub blends: Vec<(String, String)>,
}

/// Finds them, as far as the viewer may see them.
///
/// # Errors
/// The database.
pub async fn kin(
    conn: &mut PgConnection,
    base: &Base,
    viewer: &Member,
    batch: &Batch,
) -> Result<Kin, Error> {
    let link = |id: &PublicId| base.link(&paths::BATCH.with(&[id.as_str()]));
    let mut parts = store::parts(conn, viewer.id, batch.id).await?;
    let parents = blended::parents(conn, viewer.id, batch.id).await?;
    let blends = blended::blends(conn, viewer.id, batch.id).await?;
    // A blend that goes on with the log of one of its meads is no part of that alone.
    parts.retain(|(id, _)| blends.iter().all(|blend| blend.batch != *id));
    let from = batch.parted_from.as_ref().filter(|_| parents.is_empty());
    let poured = |all: Vec<blended::Poured>| {
        let words = all.into_iter().map(|one| {
            let much = units::volume(one.litres, viewer.settings.units);
            (format!("{}, {much}", one.name), link(&one.batch))
        });
        words.collect()
    };
    Ok(Kin {
        blended_of: poured(parents),
        blends: poured(blends),
        from: from.map(|(id, name)| (name.clone(), link(id))),
        parts: parts
            .into_iter()
            .map(|(id, name)| (name, link(&id)))
            .collect(),
    })
}

/// A member's vessels in use.
async fn vessels_of(conn: &mut PgConnection, member: &Member) -> Result<Vec<Vessel>, Error> {
    let mut found = vessels::list(conn, member.id).await?;
    found.retain(|vessel| !vessel.retired);
    Ok(found)
}

pub(in crate::batches) fn speaks(app: &App, member: &Member) -> Speaks {
    Speaks {
        units: member.settings.units,
        zone: member.settings.zone,
        now: app.clock.now(),
    }
}

fn parts_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    vessels: &[Vessel],
    mut form: FormState,
) -> Result<PartsPage, Error> {
    let viewer = Viewer::known(member.clone());
    let (base, id) = (app.site.base(), opened.batch.public_id.as_str());
    if form.typed("rest").is_empty() {
        form.set("rest", "none");
    }
    let none = [(String::new(), "not one of mine".to_owned())];
    let mine = vessels
        .iter()
        .map(|one| (one.public_id.clone(), one.is.name.clone()));
    let row = |number: usize| Row {
        legend: format!("Part {number}"),
        litres: format!("litres-{number}"),
        vessel: format!("vessel-{number}"),
        difference: format!("difference-{number}"),
    };
    let rows: Vec<Row> = (1..=ROWS).map(row).collect();
    let is_used = |row: &Row| {
        let mut fields = [&row.litres, &row.vessel, &row.difference].into_iter();
        fields.any(|field| !form.typed(field).is_empty() || form.fault(field).is_some())
    };
    let settings = &member.settings;
    Ok(PartsPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: opened.batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        action: base.link(&paths::PART.with(&[id])),
        lead: lead(opened, app.clock.now(), settings.zone, settings.units),
        asks_all: form.fault("all").is_some() || form.is("all", "yes"),
        is_unfolded: rows.iter().skip(2).any(is_used),
        rows,
        vessels: none.into_iter().chain(mine).collect(),
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
    let vessels = vessels_of(&mut conn, &member).await?;
    page(&parts_page(
        &app,
        &member,
        &opened,
        &vessels,
        FormState::new(),
    )?)
}

pub(super) async fn part(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = open_own(&mut tx, &member, &id).await?;
    let vessels = vessels_of(&mut tx, &member).await?;
    let mut typed = Typed::of(&posted);
    let to = speaks(&app, &member);
    let wanted = forms::parting(&mut typed, to, opened.batch.began_at, &vessels)?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::PART).await? {
        return see_other(app.site.base(), &location);
    }
    batches::hold(&mut tx, member.id, opened.batch.id).await?;
    // Whoever waited for another form sees what that one left.
    let opened = open_own(&mut tx, &member, &id).await?;
    let shared = wanted.and_then(|wanted| {
        let shares = shares_of(&mut typed, &member, &opened, &wanted)?;
        Some((wanted, shares))
    });
    let Some((wanted, shares)) = shared else {
        return form_again(&parts_page(&app, &member, &opened, &vessels, typed.form)?);
    };
    carry_out(&app, &mut tx, &member, &opened, &wanted, &shares).await?;
    let location = format!("{}?done=parted", paths::BATCH.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::PART, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// The shares of the parts in what was there then; a fault beside the first of them when it was less.
fn shares_of(
    typed: &mut Typed<'_>,
    member: &Member,
    opened: &Opened,
    wanted: &Parting,
) -> Option<Shares> {
    let until = opened.batch.hours_at(wanted.at);
    let before = opened.entries.iter().filter(|entry| entry.hours <= until);
    let there_l = replay(&opened.start, &before.cloned().collect::<Vec<_>>()).volume_l;
    let litres: Vec<f64> = wanted.parts.iter().map(|part| part.litres).collect();
    let missing = missing_l(there_l, &litres).filter(|_| !wanted.rest_stays && !wanted.is_all);
    if let Some(missing) = missing {
        let [there, missing] =
            [there_l, missing].map(|litres| units::volume(litres, member.settings.units));
        typed.form.refuse(
            "all",
            format!(
                "By the log there was {there}, {missing} more than the parts hold. Let the rest stay here, or tick this if there was no more."
            ),
        );
        return None;
    }
    match shares(there_l, &litres, wanted.rest_stays) {
        Ok(shares) => Some(shares),
        Err(super::shares::TooMuch) => {
            let there = units::volume(there_l, member.settings.units);
            let first = wanted.parts.first().map_or(1, |part| part.row);
            typed.form.refuse(
                &format!("litres-{first}"),
                format!(
                    "By the log there was {there}. Log how much there is first, or write less."
                ),
            );
            None
        }
    }
}

/// Parts a batch that is held.
async fn carry_out(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    wanted: &Parting,
    shares: &Shares,
) -> Result<(), Error> {
    let (parent, now) = (&opened.batch, app.clock.now());
    let measured = shares.measured_l.map(|volume_l| {
        Deed::Reading(Reading {
            volume_l: Some(volume_l),
            ..Reading::default()
        })
    });
    let there = store::count_parts(conn, parent.id).await?;
    for ((number, part), left) in (there + 1..).zip(&wanted.parts).zip(&shares.left) {
        let new = new_part(member, opened, part, number)?;
        let id = batches::start(conn, &new, now).await?;
        store::copy_log(conn, (parent.id, id), wanted.at, now).await?;
        let deeds = measured.clone().into_iter().chain(deeds_of(part, *left));
        for deed in deeds {
            let entry = NewEntry::of(deed, wanted.at, member.id);
            batches::add(conn, id, &entry, now).await?;
        }
        refresh(conn, member, &new.public_id).await?;
    }
    let gone = Deed::Part(Part { share: shares.gone });
    for deed in measured.into_iter().chain([gone]) {
        let entry = NewEntry::of(deed, wanted.at, member.id);
        batches::add(conn, parent.id, &entry, now).await?;
    }
    if !wanted.rest_stays {
        batches::end(conn, parent.id, Some((wanted.at, Ending::Parted))).await?;
    }
    refresh(conn, member, &parent.public_id).await?;
    Ok(())
}

/// The batch that a part becomes.
fn new_part(
    member: &Member,
    opened: &Opened,
    part: &Wanted,
    number: i64,
) -> Result<NewBatch, Error> {
    let parent = &opened.batch;
    let name: String = parent.name.chars().take(NAME_ROOM).collect();
    let vessel = part.vessel.as_ref();
    Ok(NewBatch {
        public_id: PublicId::random().map_err(Error::unexpected)?,
        owner: member.id,
        name: format!("{name}, part {number}"),
        visibility: parent.visibility,
        revision: parent
            .made_of
            .as_ref()
            .map(|made| (made.recipe.clone(), made.number)),
        parted_from: Some(parent.id),
        supposed: parent.supposed,
        document: parent.document.clone(),
        formulation: parent.formulation.clone(),
        own: parent.own,
        vessel: vessel.map(|vessel| vessel.public_id.clone()),
        vessel_name: vessel
            .map(|vessel| vessel.is.name.clone())
            .unwrap_or_default(),
        began_at: parent.began_at,
    })
}

/// What was said of a part when it was made, from its log.
pub(in crate::batches) fn differs(part: &Opened) -> Option<&str> {
    let mut entries = part.entries.iter().rev();
    entries.find_map(|entry| match &entry.deed {
        Deed::Note(note) => note.text.as_deref()?.strip_prefix(DIFFERS),
        _ => None,
    })
}

/// What the log of a part goes on with.
fn deeds_of(part: &Wanted, left: f64) -> Vec<Deed> {
    let mut deeds = vec![Deed::Part(Part { share: left })];
    deeds.extend(part.vessel.as_ref().map(|vessel| {
        Deed::Move(Move {
            vessel: Some(vessel.is.name.clone()),
            brim_l: Some(vessel.is.brim_l),
            kind: Some(vessel.is.kind.word().to_owned()),
        })
    }));
    deeds.extend((!part.difference.is_empty()).then(|| {
        Deed::Note(Note {
            text: Some(format!("{DIFFERS}{}", part.difference)),
        })
    }));
    deeds
}
