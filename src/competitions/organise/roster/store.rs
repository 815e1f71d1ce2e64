//! Rows of duties, of what judges do not taste, and of who is kept apart.

use sqlx::PgConnection;

use super::{Helper, Limits, Pair};
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
           from competition_conflicts
           where competition_id = $1 and ((one_id = $2 and said_by_one) or (other_id = $2 and said_by_other)) order by 1"#,
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
    // What the other of the two said stays, and what an organiser told of.
    sqlx::query!(
        "delete from competition_conflicts where competition_id = $1 and not told
             and ((one_id = $2 and not said_by_other and not (other_id = any($3)))
                 or (other_id = $2 and not said_by_one and not (one_id = any($3))))",
        competition.0,
        judge.0,
        &others
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!(
        "update competition_conflicts
         set said_by_one = said_by_one and one_id <> $2, said_by_other = said_by_other and other_id <> $2
         where competition_id = $1
             and ((one_id = $2 and not (other_id = any($3))) or (other_id = $2 and not (one_id = any($3))))",
        competition.0,
        judge.0,
        &others
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!(
        "insert into competition_conflicts as k (competition_id, one_id, other_id, said_by_one, said_by_other)
         select $1, least($2, other), greatest($2, other), $2 < other, $2 > other from unnest($3::bigint[]) other where other <> $2
         on conflict (competition_id, one_id, other_id) do update
         set said_by_one = k.said_by_one or excluded.said_by_one, said_by_other = k.said_by_other or excluded.said_by_other",
        competition.0,
        judge.0,
        &others
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Those whom organisers keep apart, by name.
pub async fn told_apart(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Pair>, sqlx::Error> {
    sqlx::query_as!(
        Pair,
        "select a.public_id as one, a.name as one_name, b.public_id as other, b.name as other_name
         from competition_conflicts k join members a on a.id = k.one_id join members b on b.id = k.other_id
         where k.competition_id = $1 and k.told order by a.name_key, b.name_key",
        competition.0
    )
    .fetch_all(conn)
    .await
}

/// Keeps two apart as an organiser tells of it; false where one did so before.
pub async fn tell_apart(
    conn: &mut PgConnection,
    competition: CompetitionId,
    (one, other): (MemberId, MemberId),
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "insert into competition_conflicts as k (competition_id, one_id, other_id, said_by_one, said_by_other, told)
         values ($1, least($2::bigint, $3), greatest($2::bigint, $3), false, false, true)
         on conflict (competition_id, one_id, other_id) do update set told = true where not k.told",
        competition.0,
        one.0,
        other.0
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Takes back what an organiser told of two; what they said themselves stays.
pub async fn tell_no_more(
    conn: &mut PgConnection,
    competition: CompetitionId,
    (one, other): (MemberId, MemberId),
) -> Result<bool, sqlx::Error> {
    let gone = sqlx::query!(
        "delete from competition_conflicts where competition_id = $1 and told and not (said_by_one or said_by_other)
             and one_id = least($2::bigint, $3) and other_id = greatest($2::bigint, $3)",
        competition.0,
        one.0,
        other.0
    );
    let gone = gone.execute(&mut *conn).await?.rows_affected();
    let left = sqlx::query!(
        "update competition_conflicts set told = false where competition_id = $1 and told
             and one_id = least($2::bigint, $3) and other_id = greatest($2::bigint, $3)",
        competition.0,
        one.0,
        other.0
    );
    Ok(gone + left.execute(conn).await?.rows_affected() == 1)
}
