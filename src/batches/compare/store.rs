//! Which batches there are to compare, within what the viewer may see.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_scalar};

use crate::recipes::model::RecipeId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// A batch to choose.
pub struct Choice {
    pub public_id: PublicId,
    pub name: String,
    pub owner: MemberId,
    pub owner_name: String,
    pub began_at: DateTime<Utc>,
}

/// Batches of these recipes, the newest first.
pub async fn of_recipes(
    conn: &mut PgConnection,
    viewer: MemberId,
    recipes: &[RecipeId],
    limit: usize,
) -> Result<Vec<PublicId>, sqlx::Error> {
    let ids: Vec<i64> = recipes.iter().map(|id| id.0).collect();
    query_scalar!(
        r#"select b.public_id as "public_id: PublicId"
           from batches b join revisions v on v.id = b.revision_id
           where v.recipe_id = any($1) and b.binned_at is null and batch_visible(b, $2, (select book_closed($2)))
           order by b.began_at desc, b.public_id desc limit $3"#,
        &ids,
        viewer.0,
        limit as i64,
    )
    .fetch_all(conn)
    .await
}

/// Batches that may be chosen: one's own first, then the newest of the club.
pub async fn choices(
    conn: &mut PgConnection,
    viewer: MemberId,
    limit: usize,
) -> Result<Vec<Choice>, sqlx::Error> {
    let rows = query!(
        r#"select b.public_id as "public_id: PublicId", b.name, b.owner_id as "owner: MemberId", m.name as owner_name,
               b.began_at
           from batches b join members m on m.id = b.owner_id
           where b.binned_at is null and batch_visible(b, $1, (select book_closed($1)))
           order by (b.owner_id = $1) desc, b.began_at desc, b.public_id desc limit $2"#,
        viewer.0,
        limit as i64,
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Choice {
            public_id: row.public_id,
            name: row.name,
            owner: row.owner,
            owner_name: row.owner_name,
            began_at: row.began_at,
        })
        .collect())
}

/// Batches of a recipe that can be poured, those that are filled first, then the newest.
pub async fn to_pour(
    conn: &mut PgConnection,
    viewer: MemberId,
    recipe: &str,
    limit: usize,
) -> Result<Vec<PublicId>, sqlx::Error> {
    let ids = sqlx::query_scalar!(
        r#"select b.public_id as "public_id: PublicId" from batches b
           join revisions v on v.id = b.revision_id join recipes r on r.id = v.recipe_id
           where r.public_id = $2 and b.binned_at is null and batch_visible(b, $1)
               and coalesce(b.how_it_ended, 'bottled') = 'bottled'
           order by (b.how_it_ended is not null) desc, b.began_at desc, b.public_id desc limit $3"#,
        viewer.0,
        recipe,
        limit as i64,
    );
    ids.fetch_all(conn).await
}
