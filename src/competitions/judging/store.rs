//! Rows of sheets, of what tables agreed on, of orders in finals. Nothing here joins whose an entry is.

use chrono::{DateTime, Utc};
use sha2::{Digest, Sha256};
use sqlx::PgConnection;
use sqlx::types::Json;

use super::model::{Asked, Deed, Order, Sitting, Written};
use crate::competitions::model::{CompetitionId, EntryId, FlightId};
use crate::engine::contest::sheet::{Agreed, Sheet};
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

struct Row {
    entry: EntryId,
    judge: MemberId,
    number: i32,
    deed: Deed,
    sheet: Json<Sheet>,
    by: MemberId,
    at: DateTime<Utc>,
    hand: String,
    sequence: i64,
    reopened: bool,
}

impl From<Row> for Written {
    fn from(row: Row) -> Written {
        Written {
            entry: row.entry,
            judge: row.judge,
            number: row.number,
            deed: row.deed,
            sheet: row.sheet.0,
            by: row.by,
            at: row.at,
            hand: row.hand,
            sequence: row.sequence,
            reopened: row.reopened,
        }
    }
}

/// The last row of every sheet of a flight.
pub async fn sheets(
    conn: &mut PgConnection,
    flight: FlightId,
) -> Result<Vec<Written>, sqlx::Error> {
    let rows = sqlx::query_as!(
        Row,
        r#"select distinct on (s.entry_id, s.judge_id)
               s.entry_id as "entry: EntryId", s.judge_id as "judge: MemberId", s.number, s.deed as "deed: Deed",
               s.data as "sheet: Json<Sheet>", s.by_id as "by: MemberId", s.at, s.hand, s.sequence,
               exists (select from competition_sheets r where r.flight_id = s.flight_id and r.entry_id = s.entry_id
                   and r.judge_id = s.judge_id and r.deed = 'reopened') as "reopened!"
           from competition_sheets s where s.flight_id = $1
           order by s.entry_id, s.judge_id, s.number desc"#,
        flight.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(Written::from).collect())
}

/// The last row of a judge's sheet of an entry.
pub async fn last(
    conn: &mut PgConnection,
    flight: FlightId,
    entry: EntryId,
    judge: MemberId,
) -> Result<Option<Written>, sqlx::Error> {
    let all = sheets(conn, flight).await?;
    let mut own = all.into_iter();
    Ok(own.find(|one| one.entry == entry && one.judge == judge))
}

/// A sheet's next row. The caller holds the competition, so that rows follow one another.
pub struct Next<'a> {
    pub flight: FlightId,
    pub entry: EntryId,
    pub judge: MemberId,
    /// The number of the row before, 0 if none.
    pub after: i32,
    pub deed: Deed,
    pub asked: &'a Asked,
    pub by: MemberId,
    pub at: DateTime<Utc>,
}

/// Adds a row to a sheet; its number.
pub async fn add(conn: &mut PgConnection, next: &Next<'_>) -> Result<i32, sqlx::Error> {
    sqlx::query_scalar!(
        "insert into competition_sheets (flight_id, entry_id, judge_id, number, deed, data, by_id, at, hand, sequence)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) returning number",
        next.flight.0,
        next.entry.0,
        next.judge.0,
        next.after + 1,
        next.deed.word(),
        Json(&next.asked.sheet) as Json<&Sheet>,
        next.by.0,
        next.at,
        next.asked.hand,
        next.asked.sequence
    )
    .fetch_one(conn)
    .await
}

/// Who sits at a table, in an order that stays; whoever leads first.
pub async fn at_table(
    conn: &mut PgConnection,
    flight: FlightId,
) -> Result<Vec<Sitting>, sqlx::Error> {
    sqlx::query_as!(
        Sitting,
        r#"select t.member_id as "judge: MemberId", m.public_id as "public_id: PublicId", m.name, t.leads
           from competition_tables t join members m on m.id = t.member_id
           where t.flight_id = $1 order by t.leads desc, m.name, t.member_id"#,
        flight.0
    )
    .fetch_all(conn)
    .await
}

/// What a table agreed on last, with the number of that row.
pub async fn agreed(
    conn: &mut PgConnection,
    flight: FlightId,
) -> Result<Option<(i32, Agreed)>, sqlx::Error> {
    let row = sqlx::query!(
        r#"select number, data as "data: Json<Agreed>" from competition_agreed
           where flight_id = $1 order by number desc limit 1"#,
        flight.0
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map(|row| (row.number, row.data.0)))
}

/// Writes down what a table agrees on. The caller holds the competition.
pub async fn agree(
    conn: &mut PgConnection,
    flight: FlightId,
    (after, agreed): (i32, &Agreed),
    (by, at): (MemberId, DateTime<Utc>),
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "insert into competition_agreed (flight_id, number, data, by_id, at) values ($1, $2, $3, $4, $5)",
        flight.0,
        after + 1,
        Json(agreed) as Json<&Agreed>,
        by.0,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The last order of each judge in a final.
pub async fn orders(conn: &mut PgConnection, flight: FlightId) -> Result<Vec<Order>, sqlx::Error> {
    sqlx::query_as!(
        Order,
        r#"select distinct on (judge_id) judge_id as "judge: MemberId", number, codes
           from competition_orders where flight_id = $1 order by judge_id, number desc"#,
        flight.0
    )
    .fetch_all(conn)
    .await
}

/// Writes down a judge's order. The caller holds the competition.
pub async fn order(
    conn: &mut PgConnection,
    flight: FlightId,
    order: &Order,
    at: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "insert into competition_orders (flight_id, judge_id, number, codes, at) values ($1, $2, $3, $4, $5)",
        flight.0,
        order.judge.0,
        order.number,
        &order.codes,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Stages of all sheets of a competition: flight, entry, judge and the last deed.
pub async fn stages(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(FlightId, EntryId, MemberId, Deed)>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select distinct on (s.flight_id, s.entry_id, s.judge_id)
               s.flight_id as "flight: FlightId", s.entry_id as "entry: EntryId",
               s.judge_id as "judge: MemberId", s.deed as "deed: Deed"
           from competition_sheets s join competition_flights f on f.id = s.flight_id
           where f.competition_id = $1
           order by s.flight_id, s.entry_id, s.judge_id, s.number desc"#,
        competition.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| (row.flight, row.entry, row.judge, row.deed))
        .collect())
}

/// The key under which this session's phone keeps what is not sent yet: it follows from what the database knows of the session,
/// and whoever has ended the session is given none.
pub async fn key_of_session(
    conn: &mut PgConnection,
    member: MemberId,
    session: i64,
) -> Result<Option<[u8; 32]>, sqlx::Error> {
    let token_hash = sqlx::query_scalar!(
        "select token_hash from sessions where id = $1 and member_id = $2 and ended_at is null",
        session,
        member.0
    )
    .fetch_optional(conn)
    .await?;
    Ok(token_hash.map(|token_hash| {
        let mut hash = Sha256::new();
        hash.update(b"sheets kept on a phone\0");
        hash.update(&token_hash);
        hash.finalize().into()
    }))
}
