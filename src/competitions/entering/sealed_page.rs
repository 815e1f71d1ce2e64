//! The page of the seal: the hash of all from the close on; from the release on every seal, and what opens one's own and those of
//! prizes, whose makers everybody is told: that anybody can reckon again. Who won nothing is named by nothing.

use askama::Template;
use axum::extract::{Path, State};

use sqlx::PgConnection;

use super::sealed::store::Kept;
use super::sealed::{self, Made, store};
use crate::app::App;
use crate::competitions::model::Phase;
use crate::competitions::opened::Opened;
use crate::competitions::{self, results, shown};
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

/// What opens one seal.
struct Opening {
    code: String,
    is_own: bool,
    /// Names, as the results tell them.
    by: String,
    salt: String,
    lead: String,
    others: String,
    holds: bool,
}

#[derive(Template)]
#[template(path = "competitions/entering/sealed.html")]
struct SealedPage {
    shell: Shell,
    title: String,
    competition_url: String,
    all: String,
    is_released: bool,
    /// Whether the seals add up to the hash of all.
    adds_up: bool,
    seals: Vec<(String, String)>,
    openings: Vec<Opening>,
}

/// Whoever judges or pours reads nothing before the release that hangs on whose the entries are, be it a number that tells
/// nothing.
pub(super) fn may_read(opened: &Opened) -> bool {
    !opened.is_blind()
}

/// What opens the viewer's own seals, then those of prizes.
async fn openings(
    conn: &mut PgConnection,
    member: &Member,
    (opened, kept): (&Opened, &Kept),
) -> Result<Vec<Opening>, sqlx::Error> {
    let id = opened.competition.id;
    let frozen = results::store::frozen(conn, id).await?;
    let prized = frozen.as_ref().map(|frozen| frozen.answer.prized());
    let prized = prized.unwrap_or_default();
    let named = results::store::makers(conn, id).await?;
    let by = |code: &str| {
        let own = named.iter().filter(|(of, _)| of == code);
        let names: Vec<&str> = own.map(|(_, made)| made.by.as_str()).collect();
        names.join(", ")
    };
    let is_own =
        |one: &Made| one.lead == member.public_id || one.others.contains(&member.public_id);
    let made = store::made(conn, id).await?.into_iter();
    let told = made.filter(|one| is_own(one) || prized.contains(one.code.as_str()));
    let mut all: Vec<Opening> = told
        .map(|made| Opening {
            is_own: is_own(&made),
            by: by(&made.code),
            holds: kept.seals.iter().any(|(code, seal)| {
                *code == made.code && seal[..] == sealed::seal(&kept.salt, &made)[..]
            }),
            salt: sealed::shown(&sealed::salt_of(&kept.salt, &made.code)),
            others: made.others.join(", "),
            lead: made.lead,
            code: made.code,
        })
        .collect();
    all.sort_by_key(|one| !one.is_own);
    Ok(all)
}

pub(super) async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let competition = &opened.competition;
    let kept = store::kept(&mut conn, competition.id).await?;
    let kept = kept
        .filter(|_| competition.phase >= Phase::Closed && may_read(&opened))
        .ok_or_else(Error::not_found)?;
    let is_released = !competition.phase.is_blind();
    let openings: Vec<Opening> = match is_released {
        true => openings(&mut conn, &member, (&opened, &kept)).await?,
        false => Vec::new(),
    };
    drop(conn);
    let named: Option<Vec<(String, sealed::Hash)>> = kept
        .seals
        .iter()
        .map(|(code, seal)| Some((code.clone(), seal.as_slice().try_into().ok()?)))
        .collect();
    let adds_up = named.is_some_and(|named| sealed::whole(&named)[..] == kept.all[..]);
    page(&SealedPage {
        shell: shown::shell(&app, &member),
        title: competition.title.clone(),
        competition_url: app
            .site
            .base()
            .link(&competitions::paths::COMPETITION.with(&[&id])),
        all: sealed::shown(&kept.all),
        is_released,
        adds_up,
        openings,
        seals: match is_released {
            true => kept
                .seals
                .iter()
                .map(|(code, seal)| (code.clone(), sealed::shown(seal)))
                .collect(),
            false => Vec::new(),
        },
    })
}
