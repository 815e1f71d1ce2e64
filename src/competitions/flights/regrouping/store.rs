//! Rows of categories that merge and split.

use std::collections::HashMap;

use sqlx::PgConnection;

use crate::competitions::model::{Category, CategoryId, CompetitionId, EntryId};

/// Entries of each category that were not withdrawn.
pub async fn counts(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<HashMap<CategoryId, i64>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select category_id as "category: CategoryId", count(*) as "count!" from competition_entries
           where competition_id = $1 and withdrawn_at is null group by category_id"#,
        competition.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| (row.category, row.count))
        .collect())
}

/// Whether any flight is planned.
pub async fn has_flights(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<bool, sqlx::Error> {
    sqlx::query_scalar!(
        r#"select exists (select from competition_flights where competition_id = $1) as "has!""#,
        competition.0
    )
    .fetch_one(conn)
    .await
}

/// Moves all entries of a category, those that were withdrawn too, into another.
pub async fn merge(
    conn: &mut PgConnection,
    from: CategoryId,
    into: CategoryId,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competition_categories set merged_into = $2 where id = $1",
        from.0,
        into.0
    )
    .execute(&mut *conn)
    .await?;
    move_rest(conn, from, into).await
}

/// Makes a part of a category, with its name and what it is about, of these entries.
pub async fn part(
    conn: &mut PgConnection,
    competition: CompetitionId,
    of: &Category,
    (name, about): &(String, String),
    entries: &[EntryId],
) -> Result<CategoryId, sqlx::Error> {
    let part = sqlx::query_scalar!(
        r#"insert into competition_categories (competition_id, place, name, about, family, strength, part_of)
           select $1, coalesce(max(place), 0) + 1, $2, $3, $4, $5, $6
           from competition_categories where competition_id = $1 returning id as "id: CategoryId""#,
        competition.0,
        name,
        about,
        of.family,
        of.strength,
        of.id.0
    )
    .fetch_one(&mut *conn)
    .await?;
    let ids: Vec<i64> = entries.iter().map(|entry| entry.0).collect();
    sqlx::query!(
        "update competition_entries set category_id = $1 where id = any($2)",
        part.0,
        &ids
    )
    .execute(conn)
    .await?;
    Ok(part)
}

/// Moves everything that is in a category, withdrawn or not there, into another.
pub async fn move_rest(
    conn: &mut PgConnection,
    of: CategoryId,
    into: CategoryId,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competition_entries set category_id = $2 where category_id = $1",
        of.0,
        into.0
    )
    .execute(conn)
    .await?;
    Ok(())
}
