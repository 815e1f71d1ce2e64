//! Rows of the chain.

use serde_json::Value;
use sqlx::PgConnection;

use super::Link;
use crate::competitions::model::CompetitionId;
use crate::web::viewer::MemberId;

/// Number and hash of the last row.
pub async fn last(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Option<(i32, Vec<u8>)>, sqlx::Error> {
    let row = sqlx::query!(
        "select number, hash from competition_deeds where competition_id = $1 order by number desc limit 1",
        competition.0
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map(|row| (row.number, row.hash)))
}

/// Adds a row.
pub async fn append(
    conn: &mut PgConnection,
    competition: CompetitionId,
    link: &Link,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "insert into competition_deeds (competition_id, number, at, by_id, deed, about, reason, hash)
         values ($1, $2, $3, $4, $5, $6, $7, $8)",
        competition.0,
        link.number,
        link.at,
        link.by.map(|by| by.0),
        link.deed,
        link.about,
        link.reason,
        link.hash
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The whole chain, in order.
pub async fn all(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Link>, sqlx::Error> {
    sqlx::query_as!(
        Link,
        r#"select d.number, d.at, d.by_id as "by: MemberId", m.name as "by_name?", d.deed, d.about as "about: Value",
               d.reason, d.hash
           from competition_deeds d left join members m on m.id = d.by_id
           where d.competition_id = $1 order by d.number"#,
        competition.0
    )
    .fetch_all(conn)
    .await
}
