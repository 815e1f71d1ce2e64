//! What the invented club tasted together: an evening that is over, two meads that nobody could tell apart, and what is open.

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::PgConnection;

use super::broken;
use super::people::{DESMOND, INES, MAREN, OSKAR, PIA, TOBIAS};
use crate::app::App;
use crate::batches::opened::{Opened, open};
use crate::batches::{self, model::Shelf};
use crate::engine::Settings;
use crate::engine::log::entry::{Aspect, Sense, Tasting as Words};
use crate::recipes::public_id::PublicId;
use crate::tastings::forms::Asked;
use crate::tastings::model::{Kind, Pick, SeatId, Seated, TastingId};
use crate::tastings::seats::store::{self as seats, Sitter};
use crate::tastings::{poured, store};
use crate::web::error::Error;
use crate::web::policy::Visibility;
use crate::web::random;
use crate::web::viewer::MemberId;

type Ids = HashMap<&'static str, MemberId>;

fn id(ids: &Ids, name: &str) -> Result<MemberId, Error> {
    ids.get(name).copied().ok_or_else(|| broken(name))
}

/// A tasting that is opened: by whom, of what, and how long ago.
struct Told {
    host: &'static str,
    title: &'static str,
    kind: Kind,
    meads: &'static [&'static str],
    on_paper: bool,
    tasters: usize,
    question: &'static str,
    days_ago: i64,
}

/// Puts all of it there.
pub(super) async fn furnish(app: &App, ids: &Ids, now: DateTime<Utc>) -> Result<(), Error> {
    let mut tx = app.pool.begin().await?;
    evening(&mut tx, ids, now).await?;
    triangle(&mut tx, ids, now).await?;
    waiting(&mut tx, ids, now).await?;
    tx.commit().await?;
    Ok(())
}

/// Opens one, with everything that its form would ask for.
async fn opened(
    conn: &mut PgConnection,
    ids: &Ids,
    told: &Told,
    now: DateTime<Utc>,
) -> Result<(TastingId, DateTime<Utc>), Error> {
    let host = id(ids, told.host)?;
    let mut meads: Vec<Opened> = Vec::new();
    for name in told.meads {
        let all = batches::store::list(conn, host, Shelf::Club, None, 100).await?;
        let found = all.into_iter().find(|line| line.name == *name);
        let mead = found.ok_or_else(|| broken(name))?.public_id;
        meads.push(open(conn, Some(host), &Settings::default(), mead.as_str()).await?);
    }
    let asked = Asked {
        title: told.title.to_owned(),
        meads: Vec::new(),
        coded: true,
        on_paper: told.on_paper,
        visibility: Visibility::Club,
        question: told.question.to_owned(),
        tasters: told.tasters,
    };
    let seed = 2_026 + told.days_ago.unsigned_abs();
    let new = poured::tasting(told.kind, asked, &meads, seed);
    let public_id = PublicId::random().map_err(Error::unexpected)?;
    let at = now - TimeDelta::days(told.days_ago);
    Ok((store::make(conn, host, &public_id, &new, at).await?, at))
}

async fn seated(
    conn: &mut PgConnection,
    tasting: (TastingId, Kind),
    sitter: Sitter<'_>,
    at: DateTime<Utc>,
) -> Result<SeatId, Error> {
    match seats::sit(conn, tasting, sitter, at).await? {
        Seated::At(seat) => Ok(seat),
        Seated::Full | Seated::Closed => Err(broken("a seat")),
    }
}

/// What somebody says of a mead: liking, senses, words about a side, words about the whole.
fn words(liking: i32, senses: &[(Sense, i32)], side: (Aspect, &str), whole: &str) -> Words {
    let mut words = Words {
        liking: Some(liking),
        text: Some(whole.to_owned()),
        ..Words::default()
    };
    for (sense, value) in senses {
        words.put(*sense, Some(*value));
    }
    words.described.put(side.0, Some(side.1.to_owned()));
    words
}

const TWO: &[&str] = &["Plain and patient, last winter", "Hedge, the wet year"];

/// An evening with two meads behind codes, which is over.
async fn evening(conn: &mut PgConnection, ids: &Ids, now: DateTime<Utc>) -> Result<(), Error> {
    use Sense::{Acidity, Body, Fruit, Honey, Sweetness, Warmth};
    let told = Told {
        host: MAREN,
        title: "First Thursday, two of last year",
        kind: Kind::Shared,
        meads: TWO,
        on_paper: false,
        tasters: 0,
        question: "Which of them would you pour for guests?",
        days_ago: 5,
    };
    let (tasting, at) = opened(conn, ids, &told, now).await?;
    let guest = random::token()?;
    let said = [
        (
            Sitter::Member(id(ids, TOBIAS)?),
            words(
                8,
                &[(Sweetness, 0), (Honey, 0), (Acidity, -1)],
                (Aspect::Aroma, "linden, warm wax"),
                "The first one of which I wanted a second glass.",
            ),
            words(
                5,
                &[(Fruit, 1), (Honey, -1), (Acidity, 1)],
                (Aspect::Taste, "blackberry, then hardly any honey"),
                "Good with cheese, alone a little sharp.",
            ),
        ),
        (
            Sitter::Member(id(ids, INES)?),
            words(
                7,
                &[(Sweetness, -1), (Warmth, 0)],
                (Aspect::Finish, "long and dry"),
                "For guests who like it dry.",
            ),
            words(
                7,
                &[(Fruit, 0), (Acidity, 0), (Body, -1)],
                (Aspect::Look, "garnet, quite clear"),
                "It wants another half year.",
            ),
        ),
        (
            Sitter::Guest("Lore", &guest),
            words(
                6,
                &[(Sweetness, -2), (Warmth, 1)],
                (Aspect::Aroma, "honeycomb"),
                "I expected it to be sweet.",
            ),
            words(
                8,
                &[(Fruit, 0), (Sweetness, 0)],
                (Aspect::Taste, "like the hedge behind the boat house"),
                "This one.",
            ),
        ),
    ];
    for (sitter, first, second) in said {
        let seat = seated(conn, (tasting, Kind::Shared), sitter, at).await?;
        for (place, said) in [(1, first), (2, second)] {
            seats::answer(conn, seat, place, &said, at).await?;
        }
    }
    store::close(conn, tasting, at + TimeDelta::hours(2)).await?;
    Ok(())
}

/// A triangle of which nobody can say anything.
async fn triangle(conn: &mut PgConnection, ids: &Ids, now: DateTime<Utc>) -> Result<(), Error> {
    let told = Told {
        host: MAREN,
        title: "Does the hedge hide in the plain one?",
        kind: Kind::Triangle,
        meads: TWO,
        on_paper: false,
        tasters: 6,
        question: "",
        days_ago: 4,
    };
    let (tasting, at) = opened(conn, ids, &told, now).await?;
    let of = (tasting, Kind::Triangle);
    let tasters = [
        (TOBIAS, true),
        (INES, false),
        (OSKAR, true),
        (PIA, false),
        (DESMOND, true),
    ];
    for (name, right) in tasters {
        let seat = seated(conn, of, Sitter::Member(id(ids, name)?), at).await?;
        let own = seats::own(conn, seat).await?.ok_or_else(|| broken(name))?;
        let serving = own.serving.ok_or_else(|| broken(name))?;
        let odd = serving.odd().ok_or_else(|| broken(name))?;
        let other = serving.glasses.iter().find(|(code, _)| *code != odd);
        let picked = match other {
            Some((other, _)) if !right => *other,
            _ => odd,
        };
        seats::pick(conn, seat, &Pick::Odd(picked)).await?;
    }
    store::close(conn, tasting, at + TimeDelta::hours(1)).await?;
    Ok(())
}

/// What takes answers still: a triangle on paper, and a mead that its maker wants opinions of.
async fn waiting(conn: &mut PgConnection, ids: &Ids, now: DateTime<Utc>) -> Result<(), Error> {
    let on_paper = Told {
        host: TOBIAS,
        title: "My carboy beside Maren’s",
        kind: Kind::Triangle,
        meads: &["My first carboy", "Plain and patient, last winter"],
        on_paper: true,
        tasters: 12,
        question: "",
        days_ago: 1,
    };
    opened(conn, ids, &on_paper, now).await?;
    let mine = Told {
        host: TOBIAS,
        title: "What does my first one need?",
        kind: Kind::Shared,
        meads: &["My first carboy", "Plain and patient, last winter"],
        on_paper: false,
        tasters: 0,
        question: "Be honest.",
        days_ago: 0,
    };
    let (tasting, at) = opened(conn, ids, &mine, now).await?;
    let of = (tasting, Kind::Shared);
    seated(conn, of, Sitter::Member(id(ids, TOBIAS)?), at).await?;
    let seat = seated(conn, of, Sitter::Member(id(ids, PIA)?), at).await?;
    let said = words(
        6,
        &[(Sense::Warmth, 1)],
        (Aspect::Aroma, "pear and a little bread"),
        "Wait until spring.",
    );
    seats::answer(conn, seat, 1, &said, at).await?;
    Ok(())
}
