//! Flights, their glasses and their tables. Nothing here joins whose an entry is.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use sqlx::PgConnection;
use sqlx::types::Json;

use super::model::{Flight, Glass, Judge, Kind, NewFlight, Seat, State};
use crate::competitions::entries::{self, Entry};
use crate::competitions::model::{CategoryId, CompetitionId, Duty, EntryId, FlightId};
use crate::engine::contest::sheet::Agreed;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::viewer::MemberId;

async fn read(
    conn: &mut PgConnection,
    competition: CompetitionId,
    flight: Option<&str>,
    judge: Option<MemberId>,
) -> Result<Vec<Flight>, sqlx::Error> {
    sqlx::query_as!(
        Flight,
        r#"select f.id as "id: FlightId", f.public_id as "public_id: PublicId", f.kind as "kind: Kind",
               f.category_id as "category: CategoryId", k.name as "category_name?", f.number, f.day, f.session,
               f.state as "state: State", f.poured_at, f.done_at, f.version
           from competition_flights f left join competition_categories k on k.id = f.category_id
           where f.competition_id = $1 and ($2::text is null or f.public_id = $2)
               and ($3::bigint is null or exists (select from competition_tables t
                   where t.flight_id = f.id and t.member_id = $3))
           order by f.day, f.session, f.number"#,
        competition.0,
        flight,
        judge.map(|judge| judge.0)
    )
    .fetch_all(conn)
    .await
}

/// All flights in the order in which they are tasted.
pub async fn list(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Flight>, sqlx::Error> {
    read(conn, competition, None, None).await
}

/// Those at which this judge sits.
pub async fn of_judge(
    conn: &mut PgConnection,
    competition: CompetitionId,
    judge: MemberId,
) -> Result<Vec<Flight>, sqlx::Error> {
    read(conn, competition, None, Some(judge)).await
}

/// One of them, by what stands in its address.
pub async fn find(
    conn: &mut PgConnection,
    competition: CompetitionId,
    flight: &str,
) -> Result<Option<Flight>, sqlx::Error> {
    Ok(read(conn, competition, Some(flight), None).await?.pop())
}

/// The glasses of all flights, each with its flight, in the order of pouring; declared is what judges may read.
pub async fn glasses(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(FlightId, Glass)>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select p.flight_id as "flight: FlightId", p.entry_id as "entry: EntryId", p.place, k.name as category_name
           from competition_pours p
           join competition_flights f on f.id = p.flight_id
           join competition_entries e on e.id = p.entry_id
           join competition_categories k on k.id = e.category_id
           where f.competition_id = $1 and e.withdrawn_at is null order by f.day, f.session, f.number, p.place"#,
        competition.0
    )
    .fetch_all(&mut *conn)
    .await?;
    let entries = entries::store::all(conn, competition).await?;
    let of: HashMap<EntryId, &Entry> = entries.iter().map(|entry| (entry.id, entry)).collect();
    let glass = rows.into_iter().filter_map(|row| {
        let entry = of.get(&row.entry)?;
        let glass = Glass {
            entry: entry.id,
            public_id: entry.public_id.clone(),
            code: entry.code.clone(),
            category: entry.category,
            category_name: row.category_name,
            declared: entry.told(),
            place: row.place,
        };
        Some((row.flight, glass))
    });
    Ok(glass.collect())
}

/// The glasses of one flight in the order of pouring.
pub async fn glasses_of(
    conn: &mut PgConnection,
    competition: CompetitionId,
    flight: FlightId,
) -> Result<Vec<Glass>, sqlx::Error> {
    let all = glasses(conn, competition).await?;
    let own = all.into_iter().filter(|(of, _)| *of == flight);
    Ok(own.map(|(_, glass)| glass).collect())
}

/// Who sits at every table, each with its flight; whoever leads first.
pub async fn tables(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(FlightId, Seat)>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select t.flight_id as "flight: FlightId", t.member_id as "judge: MemberId", m.name, t.leads,
               coalesce(s.experienced, false) as "experienced!"
           from competition_tables t
           join competition_flights f on f.id = t.flight_id
           join members m on m.id = t.member_id
           left join competition_roster s on s.competition_id = f.competition_id
               and s.member_id = t.member_id and s.duty = 'judge'
           where f.competition_id = $1 order by f.number, t.leads desc, m.name, t.member_id"#,
        competition.0
    )
    .fetch_all(conn)
    .await?;
    let seat = rows.into_iter().map(|row| {
        let seat = Seat {
            judge: row.judge,
            name: row.name,
            experienced: row.experienced,
            leads: row.leads,
        };
        (row.flight, seat)
    });
    Ok(seat.collect())
}

/// Who sits at the table of one flight.
pub async fn table(
    conn: &mut PgConnection,
    competition: CompetitionId,
    flight: FlightId,
) -> Result<Vec<Seat>, sqlx::Error> {
    let all = tables(conn, competition).await?;
    let own = all.into_iter().filter(|(of, _)| *of == flight);
    Ok(own.map(|(_, seat)| seat).collect())
}

/// The judges of the roster who are still in the club: whoever left it, or was shut out, is given no seat.
pub async fn judges(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Judge>, sqlx::Error> {
    sqlx::query_as!(
        Judge,
        r#"select s.member_id as "judge: MemberId", m.public_id, m.name, s.experienced, s.ceiling
           from competition_roster s join members m on m.id = s.member_id
           where s.competition_id = $1 and s.duty = 'judge' and m.disabled_at is null order by m.name, s.member_id"#,
        competition.0
    )
    .fetch_all(conn)
    .await
}

/// Everybody who has a duty, in the order of their names.
pub async fn duties(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(Duty, String)>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select s.duty as "duty: Duty", m.name
           from competition_roster s join members m on m.id = s.member_id
           where s.competition_id = $1 order by m.name, s.member_id"#,
        competition.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(|row| (row.duty, row.name)).collect())
}

/// Writes a flight with its glasses and its table.
pub async fn add(
    conn: &mut PgConnection,
    competition: CompetitionId,
    flight: &NewFlight,
) -> Result<(FlightId, PublicId), Error> {
    let public_id = PublicId::random().map_err(Error::unexpected)?;
    let id = sqlx::query_scalar!(
        r#"insert into competition_flights (public_id, competition_id, kind, category_id, number, day, session)
           values ($1, $2, $3, $4, $5, $6, $7) returning id as "id: FlightId""#,
        public_id.as_str(),
        competition.0,
        flight.kind.word(),
        flight.category.map(|category| category.0),
        flight.number,
        flight.day,
        flight.session
    )
    .fetch_one(&mut *conn)
    .await?;
    pour(&mut *conn, id, &flight.entries).await?;
    seat(conn, id, &flight.judges).await?;
    Ok((id, public_id))
}

/// Puts these glasses, in this order, in place of those of a flight.
pub async fn pour(
    conn: &mut PgConnection,
    flight: FlightId,
    entries: &[EntryId],
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "delete from competition_pours where flight_id = $1",
        flight.0
    )
    .execute(&mut *conn)
    .await?;
    let ids: Vec<i64> = entries.iter().map(|entry| entry.0).collect();
    sqlx::query!(
        "insert into competition_pours (flight_id, entry_id, place)
         select $1, entry, place::integer from unnest($2::bigint[]) with ordinality of (entry, place)",
        flight.0,
        &ids
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Puts these judges, the first of them leading, in place of those of a table.
pub async fn seat(
    conn: &mut PgConnection,
    flight: FlightId,
    judges: &[MemberId],
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "delete from competition_tables where flight_id = $1",
        flight.0
    )
    .execute(&mut *conn)
    .await?;
    let ids: Vec<i64> = judges.iter().map(|judge| judge.0).collect();
    sqlx::query!(
        "insert into competition_tables (flight_id, member_id, leads)
         select $1, judge, place = 1 from unnest($2::bigint[]) with ordinality of (judge, place)",
        flight.0,
        &ids
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Puts a flight into a day and a round, one version on; false where somebody was faster.
pub async fn change(
    conn: &mut PgConnection,
    flight: FlightId,
    (day, session): (i32, i32),
    seen: i32,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "update competition_flights set day = $2, session = $3, version = version + 1 where id = $1 and version = $4",
        flight.0,
        day,
        session,
        seen
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// Moves a flight on, or back, and notes when.
pub async fn set_state(
    conn: &mut PgConnection,
    flight: FlightId,
    state: State,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competition_flights set state = $2,
             poured_at = case $2 when 'planned' then null when 'poured' then coalesce(poured_at, $3) else poured_at end,
             done_at = case $2 when 'done' then $3::timestamptz end
         where id = $1",
        flight.0,
        state.word(),
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes away flights of which no sheet was written yet; how many.
pub async fn clear(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<u64, sqlx::Error> {
    let done = sqlx::query!(
        "delete from competition_flights f where f.competition_id = $1
             and not exists (select from competition_sheets s where s.flight_id = f.id)
             and not exists (select from competition_agreed a where a.flight_id = f.id)",
        competition.0
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected())
}

/// What each table agreed on last, by flight.
pub async fn agreed(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<HashMap<FlightId, Agreed>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select distinct on (a.flight_id) a.flight_id as "flight: FlightId", a.data as "data: Json<Agreed>"
           from competition_agreed a join competition_flights f on f.id = a.flight_id
           where f.competition_id = $1 order by a.flight_id, a.number desc"#,
        competition.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| (row.flight, row.data.0))
        .collect())
}

/// Which judge has written of which entry in a flight.
pub async fn written(
    conn: &mut PgConnection,
    flight: FlightId,
) -> Result<Vec<(MemberId, EntryId)>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select distinct judge_id as "judge: MemberId", entry_id as "entry: EntryId"
           from competition_sheets where flight_id = $1"#,
        flight.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(|row| (row.judge, row.entry)).collect())
}
