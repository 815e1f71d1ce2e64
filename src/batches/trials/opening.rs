//! The day of a split trial has come: its parts are tasted blind, two by triangles, more by putting them in order.

use axum::extract::{Path, State};

use super::pages::trial_page;
use super::{PARTS, store};
use crate::app::App;
use crate::batches::opened::{Opened, open_own};
use crate::batches::parting::speaks;
use crate::batches::{paths, store as batches};
use crate::recipes::public_id::PublicId;
use crate::tastings::forms::Asked;
use crate::tastings::model::{Kind, SHEETS_MAX, TITLE_MAX};
use crate::tastings::{self, poured};
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, see_other};
use crate::web::random;
use crate::web::typed::Typed;
use crate::web::units::parse_whole;
use crate::web::viewer::Member;

/// What chance decides, from eight random bytes.
pub(super) fn seed() -> Result<u64, Error> {
    let bytes = random::hash_of(&random::token()?);
    let first = bytes.iter().take(8);
    Ok(first.fold(0_u64, |all, byte| (all << 8) | u64::from(*byte)))
}

pub(super) async fn open(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = open_own(&mut tx, &member, &id).await?;
    if let Claim::Done(location) =
        once::claim(&mut tx, &once, &member, paths::OPEN_SPLIT_TRIAL).await?
    {
        return see_other(app.site.base(), &location);
    }
    batches::hold(&mut tx, member.id, opened.batch.id).await?;
    let trial = store::find(&mut tx, opened.batch.id).await?;
    let trial = trial.ok_or_else(Error::not_found)?;
    let mut typed = Typed::of(&posted);
    let tasters = parse_whole(typed.text("tasters")?, 2, SHEETS_MAX);
    if tasters.is_err() {
        let why = format!("Write how many taste, a whole number from 2 to {SHEETS_MAX}.");
        typed.form.refuse("tasters", why);
    }
    if trial.taste_on > speaks(&app, &member).today() {
        let why = "Its day has not come. Change the day above if you want to taste earlier.";
        typed.form.refuse("tasters", why);
    }
    let mut meads: Vec<Opened> = Vec::new();
    for part in store::parts(&mut tx, member.id, opened.batch.id).await? {
        if !part.is_gone {
            meads.push(open_own(&mut tx, &member, part.public_id.as_str()).await?);
        }
    }
    if !PARTS.contains(&meads.len()) || trial.tasting.is_some() {
        return Err(Error::not_found());
    }
    let Some(tasters) = tasters.ok().filter(|_| typed.form.is_sound()) else {
        return form_again(&trial_page(&app, &mut tx, &member, &opened, typed.form).await?);
    };
    // Whoever knows what differs tastes it: neither title nor question tells.
    let title = format!("{}, its parts", opened.batch.name);
    let asked = Asked {
        title: title.chars().take(TITLE_MAX).collect(),
        meads: Vec::new(),
        coded: true,
        on_paper: false,
        visibility: opened.batch.visibility,
        question: String::new(),
        tasters: usize::try_from(tasters).unwrap_or(0),
    };
    let kind = match meads.len() {
        2 => Kind::Triangle,
        _ => Kind::Ranking,
    };
    let new = poured::tasting(kind, asked, &meads, seed()?);
    let tasting = PublicId::random().map_err(Error::unexpected)?;
    tastings::store::make(&mut tx, member.id, &tasting, &new, app.clock.now()).await?;
    store::opened(&mut tx, opened.batch.id, tasting.as_str()).await?;
    let location = format!(
        "{}?done=opened",
        tastings::paths::TASTING.with(&[tasting.as_str()])
    );
    once::settle(&mut tx, &once, &member, paths::OPEN_SPLIT_TRIAL, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
