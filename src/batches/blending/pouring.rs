//! A blend poured: each batch's log gets a part that leaves, and a new batch goes on with the log of one of them, into which the
//! others are poured.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use super::forms::Mead;
use super::store;
use crate::batches::allergens;
use crate::batches::model::{BatchId, Ending, NewBatch, NewEntry};
use crate::batches::opened::{Opened, refresh};
use crate::batches::parting::store::copy_log;
use crate::batches::store as batches;
use crate::engine::balance::Liquid;
use crate::engine::log::entry::{Addition, Move, Note, Part, Pitch, What, Why};
use crate::engine::log::{Deed, State};
use crate::recipes::public_id::PublicId;
use crate::vessels::model::Vessel;
use crate::web::error::Error;
use crate::web::policy::Visibility;
use crate::web::units;
use crate::web::viewer::Member;

/// A share from which on nothing is left.
const ALL: f64 = 0.999;

/// What the blend will be.
pub struct Becomes {
    pub name: String,
    pub visibility: Visibility,
    pub vessel: Option<Vessel>,
    pub at: DateTime<Utc>,
    /// What the log keeps of going past a danger.
    pub passed: Vec<Deed>,
}

/// A mead with what of it is used.
#[derive(Clone, Copy)]
pub struct Used<'a> {
    pub mead: &'a Mead,
    pub litres: f64,
}

impl Used<'_> {
    /// The share of it that leaves.
    fn share(&self) -> f64 {
        (self.litres / self.mead.was.volume_l).min(1.0)
    }
}

/// The one whose log the blend goes on with: the largest of those that were not stabilised, for then the blend is not; else the
/// largest.
fn base(used: &[Used<'_>]) -> usize {
    let mut order: Vec<usize> = (0..used.len()).collect();
    order.sort_by(|one, other| {
        let (one, other) = (&used[*one], &used[*other]);
        let kept = |of: &Used<'_>| of.mead.was.stabilised;
        kept(one)
            .cmp(&kept(other))
            .then(other.litres.total_cmp(&one.litres))
    });
    order.first().copied().unwrap_or(0)
}

/// Pours them together; all of them are held.
///
/// # Errors
/// The database.
pub async fn pour(
    conn: &mut PgConnection,
    member: &Member,
    used: &[Used<'_>],
    becomes: &Becomes,
    now: DateTime<Utc>,
) -> Result<PublicId, Error> {
    let at = becomes.at;
    let base = base(used);
    let first = used[base];
    let others: Vec<Used<'_>> = used
        .iter()
        .enumerate()
        .filter(|(index, _)| *index != base)
        .map(|(_, one)| *one)
        .collect();
    let new = new_batch(member, &first, becomes)?;
    let blend = batches::start(conn, &new, now).await?;
    copy_log(conn, (first.mead.opened.batch.id, blend), at, now).await?;
    for deed in deeds(member, &first, &others, becomes) {
        let entry = NewEntry::of(deed, at, member.id);
        batches::add(conn, blend, &entry, now).await?;
    }
    for one in used {
        leave(conn, member, one, blend, at, now).await?;
    }
    refresh(conn, member, &new.public_id).await?;
    Ok(new.public_id)
}

/// What leaves one of them.
async fn leave(
    conn: &mut PgConnection,
    member: &Member,
    one: &Used<'_>,
    blend: BatchId,
    at: DateTime<Utc>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let parent = &one.mead.opened.batch;
    let share = one.share();
    let leaves = NewEntry::of(Deed::Part(Part { share }), at, member.id);
    batches::add(conn, parent.id, &leaves, now).await?;
    store::add(conn, blend, parent.id, one.litres).await?;
    if share >= ALL {
        batches::end(conn, parent.id, Some((at, Ending::Parted))).await?;
    }
    refresh(conn, member, &parent.public_id).await?;
    Ok(())
}

/// The batch that the blend becomes. No recipe is its own: it is made of several.
fn new_batch(member: &Member, first: &Used<'_>, becomes: &Becomes) -> Result<NewBatch, Error> {
    let parent = &first.mead.opened.batch;
    let vessel = becomes.vessel.as_ref();
    Ok(NewBatch {
        public_id: PublicId::random().map_err(Error::unexpected)?,
        owner: member.id,
        name: becomes.name.clone(),
        visibility: becomes.visibility,
        revision: None,
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

/// What the log of the blend goes on with.
fn deeds(member: &Member, first: &Used<'_>, others: &[Used<'_>], becomes: &Becomes) -> Vec<Deed> {
    let mut deeds = vec![Deed::Part(Part {
        share: 1.0 - first.share(),
    })];
    deeds.extend(becomes.vessel.as_ref().map(|vessel| {
        Deed::Move(Move {
            vessel: Some(vessel.is.name.clone()),
            brim_l: Some(vessel.is.brim_l),
            kind: Some(vessel.is.kind.word().to_owned()),
        })
    }));
    let was = &first.mead.was;
    let mut liquid = was.flows.vessel * first.share();
    let in_fruit = was.flows.in_fruit * first.share();
    let mut tolerance = was.tolerance_abv_percent;
    for one in others {
        liquid = liquid + one.mead.stands.source.per_litre * one.litres;
        let mead = (&one.mead.opened, &one.mead.was);
        let what = (Why::Adjust, one.litres);
        deeds.push(Deed::Addition(joining(mead, what, (liquid, in_fruit))));
        deeds.extend(brings_yeast(one, &mut tolerance).map(Deed::Pitch));
    }
    let words = std::iter::once(first).chain(others).map(|one| {
        let much = units::volume(one.litres, member.settings.units);
        format!("{much} of {}", one.mead.opened.batch.name)
    });
    let words: Vec<String> = words.collect();
    deeds.push(Deed::Note(Note {
        text: Some(format!("Blended: {}.", words.join(", "))),
    }));
    deeds.extend(becomes.passed.iter().cloned());
    deeds
}

/// So many litres of a mead as they join another, with the sugar, acid, sulfite and sorbate that they bring. What it brings is told
/// in the litres that there are once it is in: in `liquid`, and for acid also in what fruit holds.
pub(in crate::batches) fn joining(
    (from, was): (&Opened, &State),
    (why, litres): (Why, f64),
    (liquid, in_fruit): (Liquid, Liquid),
) -> Addition {
    let is = liquid.state().volume_l;
    let all = (liquid + in_fruit).state().volume_l;
    let part = |of: f64, over: f64| match over > 0.0 {
        true => of / over,
        false => 0.0,
    };
    let spread = |per_litre: f64, over: f64| part(per_litre * litres, over);
    let some = |value: f64| (value > 0.0).then_some(value);
    let sugar = part(1000.0 * was.flows.vessel.sugar_kg, was.volume_l);
    let share = part(litres, was.volume_l).min(1.0);
    Addition {
        why: Some(why),
        litres: Some(litres),
        sg: Some(was.sg),
        // Rounding may leave a trace below nothing, which no log takes.
        abv_percent: Some(was.abv_percent.max(0.0)),
        sugar_g_per_l: Some(sugar.max(0.0)),
        ta_change_g_per_l: was.ta_g_per_l.map(|ta| spread(ta, all)),
        so2_mg_per_l: some(spread(was.total_so2_mg_per_l, is)),
        sorbic_mg_per_l: some(spread(was.sorbic_mg_per_l, is)),
        allergens: allergens::of(from),
        cost: was.cost.total.map(|cost| cost * share),
        ..Addition::of(&from.batch.name, What::Mead)
    }
}

/// Live yeast that goes further than what is there comes along.
fn brings_yeast(one: &Used<'_>, tolerance: &mut Option<f64>) -> Option<Pitch> {
    let was = &one.mead.was;
    let end = was.tolerance_abv_percent?;
    let goes_further = tolerance.is_none_or(|there| end > there);
    if was.stabilised || !was.fermenting || !goes_further {
        return None;
    }
    *tolerance = Some(end);
    let yeast = one.mead.opened.recipe.yeasts.first();
    Some(Pitch {
        name: yeast.map(|yeast| yeast.name.clone()),
        tolerance_abv_percent: Some(end),
        ..Pitch::default()
    })
}
