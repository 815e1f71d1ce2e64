//! Seats and what is said on them. Before the end a seat is read by whoever sits on it; only then by others.

use chrono::{DateTime, Utc};
use serde_json::Value;
use sqlx::types::Json;
use sqlx::{PgConnection, query, query_scalar};

use crate::engine::json::Json as Read;
use crate::engine::log::entry::Tasting as Said;
use crate::engine::log::{Deed, read};
use crate::recipes::public_id::PublicId;
use crate::tastings::model::{
    Answer, Kind, Pick, SEATS_MAX, Seat, SeatId, Seated, Serving, Tasting, TastingId,
};
use crate::web::policy::Visibility;
use crate::web::random;
use crate::web::viewer::MemberId;

/// Who sits down.
#[derive(Clone, Copy)]
pub enum Sitter<'a> {
    Member(MemberId),
    /// A guest: name, and the token that opens their pages from now on.
    Guest(&'a str, &'a str),
}

/// Gives a seat, with the next free glasses where these are counted. To be called in a transaction.
pub async fn sit(
    conn: &mut PgConnection,
    tasting: (TastingId, Kind),
    sitter: Sitter<'_>,
    now: DateTime<Utc>,
) -> Result<Seated, sqlx::Error> {
    let (id, kind) = tasting;
    if !crate::tastings::store::hold_open(&mut *conn, id).await? {
        return Ok(Seated::Closed);
    }
    if let Sitter::Member(member) = sitter
        && let Some(seat) = seat_of(&mut *conn, id, member).await?
    {
        return Ok(Seated::At(seat));
    }
    let serving = match kind {
        Kind::Shared => None,
        Kind::Triangle | Kind::Ranking => free_serving(&mut *conn, id).await?,
    };
    let (seats, _) = crate::tastings::store::count(&mut *conn, id).await?;
    let full = match kind {
        Kind::Shared => seats >= SEATS_MAX,
        Kind::Triangle | Kind::Ranking => serving.is_none(),
    };
    if full {
        return Ok(Seated::Full);
    }
    let (member, guest) = match sitter {
        Sitter::Member(member) => (Some(member.0), None),
        Sitter::Guest(name, token) => (None, Some((name, random::hash_of(token)))),
    };
    let seat = query_scalar!(
        r#"insert into tasting_seats (tasting_id, member_id, guest, token_hash, serving, taken_at)
           values ($1, $2, $3, $4, $5, $6) returning id as "id: SeatId""#,
        id.0,
        member,
        guest.map(|(name, _)| name),
        guest.as_ref().map(|(_, hash)| &hash[..]),
        serving,
        now
    );
    Ok(Seated::At(seat.fetch_one(conn).await?))
}

async fn free_serving(
    conn: &mut PgConnection,
    tasting: TastingId,
) -> Result<Option<i32>, sqlx::Error> {
    query_scalar!(
        "select g.number from tasting_servings g where g.tasting_id = $1
             and not exists (select from tasting_seats s where s.tasting_id = g.tasting_id and s.serving = g.number)
         order by g.number limit 1",
        tasting.0
    )
    .fetch_optional(conn)
    .await
}

/// The seat of a member.
pub async fn seat_of(
    conn: &mut PgConnection,
    tasting: TastingId,
    member: MemberId,
) -> Result<Option<SeatId>, sqlx::Error> {
    query_scalar!(
        r#"select id as "id: SeatId" from tasting_seats where tasting_id = $1 and member_id = $2"#,
        tasting.0,
        member.0
    )
    .fetch_optional(conn)
    .await
}

/// The seat that a guest's token opens, with its tasting; good until 30 days after the end, and for 30 days where there was none.
pub async fn seat_of_guest(
    conn: &mut PgConnection,
    token: &str,
) -> Result<Option<(SeatId, Tasting)>, sqlx::Error> {
    let row = query!(
        r#"select s.id as "seat: SeatId", t.id as "id: TastingId", t.public_id as "public_id: PublicId",
               t.host_id as "host: MemberId", m.name as host_name, t.title, t.kind, t.coded, t.on_paper,
               t.visibility as "visibility: Visibility", t.question, t.created_at, t.closed_at,
               (t.closed_at is not null and (s.pick is not null
                   or exists (select from tasting_answers a where a.seat_id = s.id))) as "readable!"
           from tasting_seats s join tastings t on t.id = s.tasting_id join members m on m.id = t.host_id
           where s.token_hash = $1 and coalesce(t.closed_at, t.created_at) > now() - interval '30 days'"#,
        &random::hash_of(token)[..]
    );
    let Some(row) = row.fetch_optional(conn).await? else {
        return Ok(None);
    };
    let kind = Kind::from_word(&row.kind)
        .ok_or_else(|| sqlx::Error::Decode("an unknown kind of tasting".into()))?;
    let tasting = Tasting {
        id: row.id,
        public_id: row.public_id,
        host: row.host,
        host_name: row.host_name,
        title: row.title,
        kind,
        coded: row.coded,
        on_paper: row.on_paper,
        visibility: row.visibility,
        question: row.question,
        created_at: row.created_at,
        closed_at: row.closed_at,
        seated: true,
        readable: row.readable,
    };
    Ok(Some((row.seat, tasting)))
}

fn said(data: &Value) -> Result<Said, sqlx::Error> {
    let json = Read::parse(&data.to_string()).ok();
    match json.and_then(|json| read::deed("tasting", &json).ok()) {
        Some(Deed::Tasting(said)) => Ok(said),
        _ => Err(sqlx::Error::Decode("a tasting does not read".into())),
    }
}

fn serving(
    number: Option<i32>,
    codes: Option<Vec<i32>>,
    meads: Option<Vec<i32>>,
) -> Option<Serving> {
    Some(Serving {
        number: number?,
        glasses: codes?.into_iter().zip(meads?).collect(),
    })
}

/// A seat as whoever sits on it sees it.
pub async fn own(conn: &mut PgConnection, seat: SeatId) -> Result<Option<Seat>, sqlx::Error> {
    let row = query!(
        r#"select s.serving, s.pick as "pick: Json<Pick>", g.codes as "codes?", g.meads as "meads?"
           from tasting_seats s
           left join tasting_servings g on g.tasting_id = s.tasting_id and g.number = s.serving
           where s.id = $1"#,
        seat.0
    );
    let Some(row) = row.fetch_optional(&mut *conn).await? else {
        return Ok(None);
    };
    let answers = query!(
        "select place, data from tasting_answers where seat_id = $1 order by place",
        seat.0
    );
    let mut all = Vec::new();
    for answer in answers.fetch_all(conn).await? {
        all.push((answer.place, said(&answer.data)?));
    }
    Ok(Some(Seat {
        id: seat,
        serving: serving(row.serving, row.codes, row.meads),
        pick: row.pick.map(|pick| pick.0),
        said: all,
    }))
}

/// Notes what somebody says of a mead, as long as the tasting is open; the last word counts.
pub async fn answer(
    conn: &mut PgConnection,
    seat: SeatId,
    place: i32,
    said: &Said,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "insert into tasting_answers (seat_id, place, data, at)
         select s.id, p.place, $3, $4
         from tasting_seats s join tastings t on t.id = s.tasting_id
         join tasting_pours p on p.tasting_id = t.id and p.place = $2
         where s.id = $1 and t.closed_at is null and t.kind = 'shared'
         for share of t
         on conflict (seat_id, place) do update set data = excluded.data, at = excluded.at",
        seat.0,
        place,
        Json(said) as _,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Notes what somebody picks, as long as the tasting is open; the last word counts.
pub async fn pick(conn: &mut PgConnection, seat: SeatId, pick: &Pick) -> Result<bool, sqlx::Error> {
    // What an update waited for is looked at again: a tasting that was closed meanwhile takes nothing.
    let done = query!(
        "with open as (select t.id from tastings t join tasting_seats s on s.tasting_id = t.id
             where s.id = $1 and t.closed_at is null for share of t)
         update tasting_seats s set pick = $2 from open where s.id = $1 and s.tasting_id = open.id",
        seat.0,
        Json(pick) as _
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Everything that was said, once the tasting is closed: before that there is nothing, for nobody.
pub async fn answers(
    conn: &mut PgConnection,
    tasting: TastingId,
) -> Result<Vec<Answer>, sqlx::Error> {
    let seats = query!(
        r#"select s.id as "id: SeatId", coalesce(m.name, s.guest || ', a guest') as by, s.serving, s.pick as "pick: Json<Pick>",
               g.codes as "codes?", g.meads as "meads?"
           from tasting_seats s
           join tastings t on t.id = s.tasting_id and t.closed_at is not null
           left join members m on m.id = s.member_id
           left join tasting_servings g on g.tasting_id = s.tasting_id and g.number = s.serving
           where s.tasting_id = $1 order by s.serving, s.id"#,
        tasting.0
    );
    let seats = seats.fetch_all(&mut *conn).await?;
    let rows = query!(
        r#"select a.seat_id as "seat: SeatId", a.place, a.data, a.at from tasting_answers a
           join tasting_seats s on s.id = a.seat_id
           join tastings t on t.id = s.tasting_id and t.closed_at is not null
           where s.tasting_id = $1 order by a.place"#,
        tasting.0
    );
    let mut told: Vec<(SeatId, DateTime<Utc>, (i32, Said))> = Vec::new();
    for row in rows.fetch_all(conn).await? {
        told.push((row.seat, row.at, (row.place, said(&row.data)?)));
    }
    let answers = seats.into_iter().map(|seat| {
        let own = || told.iter().filter(|(of, ..)| *of == seat.id);
        Answer {
            by: match (seat.by, seat.serving) {
                (Some(name), _) => name,
                (None, Some(number)) => format!("sheet {number}"),
                (None, None) => String::new(),
            },
            said: own().map(|(.., said)| said.clone()).collect(),
            said_at: own().map(|(_, at, _)| *at).collect(),
            serving: serving(seat.serving, seat.codes, seat.meads),
            pick: seat.pick.map(|pick| pick.0),
        }
    });
    let spoke = |answer: &Answer| answer.pick.is_some() || !answer.said.is_empty();
    Ok(answers.filter(spoke).collect())
}

/// All glasses, taster by taster.
pub async fn servings(
    conn: &mut PgConnection,
    tasting: TastingId,
) -> Result<Vec<Serving>, sqlx::Error> {
    let rows = query!(
        "select number, codes, meads from tasting_servings where tasting_id = $1 order by number",
        tasting.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter().map(|row| Serving {
        number: row.number,
        glasses: row.codes.into_iter().zip(row.meads).collect(),
    });
    Ok(rows.collect())
}

/// Takes in what a sheet of paper says, within the transaction that closes the tasting.
pub async fn put_sheet(
    conn: &mut PgConnection,
    tasting: TastingId,
    number: i32,
    pick: &Pick,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into tasting_seats (tasting_id, serving, pick, taken_at) values ($1, $2, $3, $4)
         on conflict (tasting_id, serving) do update set pick = excluded.pick",
        tasting.0,
        number,
        Json(pick) as _,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}
