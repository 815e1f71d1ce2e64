//! Rows of the calibration mead.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use sqlx::PgConnection;
use sqlx::types::Json;

use super::{Given, Mead};
use crate::competitions::model::CompetitionId;
use crate::web::viewer::MemberId;

/// The mead, if one was named.
pub async fn find(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Option<Mead>, sqlx::Error> {
    sqlx::query_as!(
        Mead,
        "select mead, notice, version from competition_calibrations where competition_id = $1",
        competition.0
    )
    .fetch_optional(conn)
    .await
}

/// Names the mead, or changes what is said of it; false where somebody was faster.
pub async fn put(
    conn: &mut PgConnection,
    competition: CompetitionId,
    mead: &Mead,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "insert into competition_calibrations as c (competition_id, mead, notice) values ($1, $2, $3)
         on conflict (competition_id) do update set mead = excluded.mead, notice = excluded.notice, version = c.version + 1
             where c.version = $4",
        competition.0,
        mead.mead,
        mead.notice,
        mead.version
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// Writes what a judge gives it; false where they gave it already.
pub async fn give(
    conn: &mut PgConnection,
    competition: CompetitionId,
    judge: MemberId,
    points: &BTreeMap<String, u32>,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "insert into competition_calibration_points (competition_id, member_id, points, at) values ($1, $2, $3, $4)
         on conflict do nothing",
        competition.0,
        judge.0,
        Json(points) as _,
        now
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// What judges gave, in the order of their names.
pub async fn given(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Given>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select p.member_id as "judge: MemberId", m.name, p.points as "points: Json<BTreeMap<String, u32>>"
           from competition_calibration_points p join members m on m.id = p.member_id
           where p.competition_id = $1 order by m.name, p.member_id"#,
        competition.0
    )
    .fetch_all(conn)
    .await?;
    let given = rows.into_iter().map(|row| Given {
        judge: row.judge,
        name: row.name,
        points: row.points.0,
    });
    Ok(given.collect())
}
