//! Rows that results are reckoned from, under codes alone, and results as they were frozen.

use chrono::{DateTime, Utc};
use sqlx::types::Json;
use sqlx::{PgConnection, query, query_scalar};

use super::model::{FlightRow, Frozen, Made, Mine, Poured, SheetRow};
use crate::competitions::entries::Arrival;
use crate::competitions::flights::model::Kind;
use crate::competitions::model::{CategoryId, CompetitionId, FlightId};
use crate::engine::contest::frozen::Inputs;
use crate::engine::contest::results::Answer;
use crate::engine::contest::sheet::{Agreed, Sheet};
use crate::web::viewer::MemberId;

/// Entries that were there to be judged, or that a table tasted all the same, each with its category, by code.
pub async fn entries(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(String, CategoryId)>, sqlx::Error> {
    let rows = query!(
        r#"select e.code, e.category_id as "category: CategoryId" from competition_entries e
           where e.competition_id = $1 and e.withdrawn_at is null
               and (e.arrival = any($2) or exists (select from competition_pours p where p.entry_id = e.id))
           order by e.code"#,
        competition.0,
        &Arrival::poured()
    );
    let rows = rows.fetch_all(conn).await?;
    Ok(rows
        .into_iter()
        .map(|row| (row.code, row.category))
        .collect())
}

/// Flights with what their tables agreed on last, while that stands, and the last order of each judge who sits there.
pub async fn flights(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<FlightRow>, sqlx::Error> {
    let rows = query!(
        r#"select f.id as "id: FlightId", f.public_id, f.number, f.kind as "kind: Kind",
               f.category_id as "category: CategoryId",
               (select a.data from competition_agreed a where a.flight_id = f.id and f.state = 'done'
                order by a.number desc limit 1) as "agreed: Json<Agreed>"
           from competition_flights f where f.competition_id = $1 order by f.number"#,
        competition.0
    );
    let rows = rows.fetch_all(&mut *conn).await?;
    let orders = query!(
        r#"select distinct on (o.flight_id, o.judge_id) o.flight_id as "flight: FlightId", o.codes
           from competition_orders o join competition_flights f on f.id = o.flight_id
           join competition_tables t on t.flight_id = o.flight_id and t.member_id = o.judge_id
           where f.competition_id = $1 order by o.flight_id, o.judge_id, o.number desc"#,
        competition.0
    );
    let orders = orders.fetch_all(conn).await?;
    let flight = rows.into_iter().map(|row| FlightRow {
        orders: orders
            .iter()
            .filter(|order| order.flight == row.id)
            .map(|order| order.codes.clone())
            .collect(),
        id: row.id,
        public_id: row.public_id,
        number: row.number,
        kind: row.kind,
        category: row.category,
        agreed: row.agreed.map(|agreed| agreed.0).unwrap_or_default(),
    });
    Ok(flight.collect())
}

/// What was poured in each flight.
pub async fn poured(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Poured>, sqlx::Error> {
    sqlx::query_as!(
        Poured,
        r#"select p.flight_id as "flight: FlightId", e.code, e.category_id as "category: CategoryId"
           from competition_pours p
           join competition_flights f on f.id = p.flight_id
           join competition_entries e on e.id = p.entry_id
           where f.competition_id = $1 and e.withdrawn_at is null
           order by p.flight_id, p.place"#,
        competition.0
    )
    .fetch_all(conn)
    .await
}

/// Every sheet that is signed, or was typed in from paper and compared: its last row. Of whoever left the table before it agreed
/// nothing counts: all its glasses have the same judges.
pub async fn sheets(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<SheetRow>, sqlx::Error> {
    let rows = query!(
        r#"select w.flight as "flight!: FlightId", w.code as "code!", w.judge as "judge!: MemberId", w.name as "judge_name!",
               w.public_id as "judge_public_id!", w.data as "sheet!: Json<Sheet>"
           from (select distinct on (s.flight_id, s.entry_id, s.judge_id) s.flight_id as flight, e.code, s.judge_id as judge,
                     m.name, m.public_id, s.data, s.deed
                 from competition_sheets s
                 join competition_flights f on f.id = s.flight_id
                 join competition_tables t on t.flight_id = s.flight_id and t.member_id = s.judge_id
                 join competition_entries e on e.id = s.entry_id
                 join members m on m.id = s.judge_id
                 where f.competition_id = $1 and e.withdrawn_at is null
                 order by s.flight_id, s.entry_id, s.judge_id, s.number desc) w
           where w.deed in ('signed', 'checked') order by w.flight, w.code, w.judge"#,
        competition.0
    );
    let rows = rows.fetch_all(conn).await?;
    let sheet = rows.into_iter().map(|row| SheetRow {
        flight: row.flight,
        code: row.code,
        judge: row.judge,
        judge_name: row.judge_name,
        judge_public_id: row.judge_public_id,
        sheet: row.sheet.0,
    });
    Ok(sheet.collect())
}

/// The public number of the draw as it was noted last.
pub async fn drawn(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Option<String>, sqlx::Error> {
    query_scalar!(
        "select drawn from competition_draws where competition_id = $1 order by number desc limit 1",
        competition.0
    )
    .fetch_optional(conn)
    .await
}

/// Notes the public number of the draw. The caller holds the competition.
pub async fn note_drawn(
    conn: &mut PgConnection,
    competition: CompetitionId,
    drawn: &str,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into competition_draws (competition_id, number, drawn, at)
         select $1, coalesce(max(number), 0) + 1, $2, $3 from competition_draws where competition_id = $1",
        competition.0,
        drawn,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Freezes results. The caller holds the competition.
pub async fn freeze(
    conn: &mut PgConnection,
    competition: CompetitionId,
    (inputs, answer, hash): (&Inputs, &Answer, &[u8]),
    now: DateTime<Utc>,
) -> Result<i32, sqlx::Error> {
    query_scalar!(
        r#"insert into competition_results (competition_id, number, inputs, answer, hash, at)
           select $1, coalesce(max(number), 0) + 1, $2, $3, $4, $5 from competition_results where competition_id = $1
           returning number"#,
        competition.0,
        Json(inputs) as Json<&Inputs>,
        Json(answer) as Json<&Answer>,
        hash,
        now
    )
    .fetch_one(conn)
    .await
}

/// The results that were frozen last.
pub async fn frozen(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Option<Frozen>, sqlx::Error> {
    let row = query!(
        r#"select number, inputs as "inputs: Json<Inputs>", answer as "answer: Json<Answer>", hash, at
           from competition_results where competition_id = $1 order by number desc limit 1"#,
        competition.0
    );
    let row = row.fetch_optional(conn).await?;
    Ok(row.map(|row| Frozen {
        number: row.number,
        inputs: row.inputs.0,
        answer: row.answer.0,
        hash: row.hash,
        at: row.at,
    }))
}

/// Whose each entry is, by code, whoever entered it first; nothing before the release, whoever asks.
pub async fn makers(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(String, Made)>, sqlx::Error> {
    let rows = query!(
        r#"select e.code, k.member_id as "member: MemberId", m.name as by_name, k.name
           from competition_makers k
           join competition_entries e on e.id = k.entry_id
           join competitions c on c.id = e.competition_id and c.phase in ('released', 'archived')
           join members m on m.id = k.member_id
           where e.competition_id = $1 and e.withdrawn_at is null order by e.code, k.leads desc, m.name, k.member_id"#,
        competition.0
    );
    let rows = rows.fetch_all(conn).await?;
    let made = rows.into_iter().map(|row| {
        let made = Made {
            member: row.member,
            by: row.by_name,
            name: row.name,
        };
        (row.code, made)
    });
    Ok(made.collect())
}

/// The entry of a code, if the member is one of its makers and the results are out.
pub async fn mine(
    conn: &mut PgConnection,
    competition: CompetitionId,
    member: MemberId,
    code: &str,
) -> Result<Option<Mine>, sqlx::Error> {
    sqlx::query_as!(
        Mine,
        r#"select e.code, k.name,
               (select string_agg(m.name, ' and ' order by o.leads desc, m.name)
                from competition_makers o join members m on m.id = o.member_id where o.entry_id = e.id) as "by!",
               (select b.public_id from batches b where b.id = k.batch_id and b.owner_id = k.member_id) as batch
           from competition_makers k
           join competition_entries e on e.id = k.entry_id
           join competitions c on c.id = e.competition_id and c.phase in ('released', 'archived')
           where e.competition_id = $1 and k.member_id = $2 and e.code = $3 and e.withdrawn_at is null"#,
        competition.0,
        member.0,
        code
    )
    .fetch_optional(conn)
    .await
}
