//! Judges who leave their tables, and who leads there then. Which tables follows from who leaves alone, never from whose a glass is.

use sqlx::PgConnection;

use crate::competitions::model::CompetitionId;
use crate::web::viewer::MemberId;

/// Takes these off every table that has not agreed, whatever is poured there; the numbers of those flights.
pub async fn vacate(
    conn: &mut PgConnection,
    competition: CompetitionId,
    judges: &[MemberId],
) -> Result<Vec<i32>, sqlx::Error> {
    let judges: Vec<i64> = judges.iter().map(|judge| judge.0).collect();
    let left = sqlx::query_scalar!(
        r#"with gone as (
               delete from competition_tables t using competition_flights f
               where f.id = t.flight_id and f.competition_id = $1 and f.state <> 'done' and t.member_id = any($2)
               returning t.flight_id)
           update competition_flights f set version = version + 1
           where f.id in (select flight_id from gone) returning f.number"#,
        competition.0,
        &judges
    );
    let mut left = left.fetch_all(&mut *conn).await?;
    left.sort_unstable();
    give_lead(conn, competition).await?;
    Ok(left)
}

/// Somebody else leads the tables that this judge leads, where anybody else sits there.
pub async fn pass_lead(
    conn: &mut PgConnection,
    competition: CompetitionId,
    judge: MemberId,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competition_tables t set leads = false from competition_flights f
         where f.id = t.flight_id and f.competition_id = $1 and t.member_id = $2 and t.leads",
        competition.0,
        judge.0
    )
    .execute(&mut *conn)
    .await?;
    give_lead(conn, competition).await
}

/// Of tables that nobody leads one judge of the roster leads, the experienced before the others.
async fn give_lead(conn: &mut PgConnection, competition: CompetitionId) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competition_tables t set leads = true
         from (select distinct on (o.flight_id) o.flight_id, o.member_id
               from competition_tables o
               join competition_flights f on f.id = o.flight_id and f.competition_id = $1
               join competition_roster s on s.competition_id = $1 and s.member_id = o.member_id and s.duty = 'judge'
               where not exists (select from competition_tables l where l.flight_id = o.flight_id and l.leads)
               order by o.flight_id, s.experienced desc, o.member_id) first
         where t.flight_id = first.flight_id and t.member_id = first.member_id",
        competition.0
    )
    .execute(conn)
    .await?;
    Ok(())
}
