//! Rows of duties, of what judges do not taste, and of who is kept apart.

use sqlx::PgConnection;

use super::{Helper, Limits};
use crate::competitions::model::{CompetitionId, Duty};
use crate::web::viewer::MemberId;

/// Everybody with a duty, by name.
pub async fn all(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Helper>, sqlx::Error> {
    sqlx::query_as!(
        Helper,
        r#"select s.member_id as "member: MemberId", m.public_id, m.name, s.duty as "duty: Duty", s.experienced,
               m.disabled_at is not null as "gone!",
               (select count(*) from competition_tables t join competition_flights f on f.id = t.flight_id
                where f.competition_id = s.competition_id and t.member_id = s.member_id and f.state <> 'done') as "seats!"
           from competition_roster s join members m on m.id = s.member_id
           where s.competition_id = $1 order by m.name_key, s.duty"#,
        competition.0
    )
    .fetch_all(conn)
    .await
}

/// Takes a duty away; false where they did not have it.
pub async fn take_duty(
    conn: &mut PgConnection,
    competition: CompetitionId,
    member: MemberId,
    duty: Duty,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "delete from competition_roster where competition_id = $1 and member_id = $2 and duty = $3",
        competition.0,
        member.0,
        duty.word()
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Notes whether a judge is experienced.
pub async fn set_experienced(
    conn: &mut PgConnection,
    competition: CompetitionId,
    member: MemberId,
    experienced: bool,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "update competition_roster set experienced = $3 where competition_id = $1 and member_id = $2 and duty = 'judge'",
        competition.0,
        member.0,
        experienced
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// What a judge said of themselves.
pub async fn limits(
    conn: &mut PgConnection,
    competition: CompetitionId,
    judge: MemberId,
) -> Result<Limits, sqlx::Error> {
    let said = sqlx::query!(
        "select abstains, ceiling from competition_roster where competition_id = $1 and member_id = $2 and duty = 'judge'",
        competition.0,
        judge.0
    )
    .fetch_optional(&mut *conn)
    .await?;
    let apart_from = sqlx::query_scalar!(
        r#"select case one_id when $2 then other_id else one_id end as "other!: MemberId"
           from competition_conflicts where competition_id = $1 and $2 in (one_id, other_id) order by 1"#,
        competition.0,
        judge.0
    )
    .fetch_all(conn)
    .await?;
    let (abstains, ceiling) = said.map_or((Vec::new(), None), |row| (row.abstains, row.ceiling));
    Ok(Limits {
        abstains,
        ceiling,
        apart_from,
    })
}

/// Writes down what a judge says of themselves.
pub async fn set_limits(
    conn: &mut PgConnection,
    competition: CompetitionId,
    judge: MemberId,
    limits: &Limits,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competition_roster set abstains = $3, ceiling = $4
         where competition_id = $1 and member_id = $2 and duty = 'judge'",
        competition.0,
        judge.0,
        &limits.abstains,
        limits.ceiling
    )
    .execute(&mut *conn)
    .await?;
    let others: Vec<i64> = limits.apart_from.iter().map(|other| other.0).collect();
    sqlx::query!(
        "delete from competition_conflicts where competition_id = $1 and $2 in (one_id, other_id)
             and not (case one_id when $2 then other_id else one_id end = any($3))",
        competition.0,
        judge.0,
        &others
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!(
        "insert into competition_conflicts (competition_id, one_id, other_id)
         select $1, least($2, other), greatest($2, other) from unnest($3::bigint[]) other where other <> $2
         on conflict do nothing",
        competition.0,
        judge.0,
        &others
    )
    .execute(conn)
    .await?;
    Ok(())
}
