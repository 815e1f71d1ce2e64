//! The club's recipes by when something happened to them.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use super::RecipeNews;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// What others did that the viewer sees, newest first, before a moment and an id.
pub async fn list(
    conn: &mut PgConnection,
    viewer: MemberId,
    before: Option<(DateTime<Utc>, &str)>,
    limit: usize,
) -> Result<Vec<RecipeNews>, sqlx::Error> {
    sqlx::query_as!(
        RecipeNews,
        r#"select f.at as "at!", r.public_id as "public_id: PublicId", r.title, m.name as owner_name, r.version,
               f.shared as "shared!", v.note
           from (
               select recipe_id, greatest(listed_since, updated_at) as at, listed_since >= updated_at as shared, public_id
               from recipe_facets
               where listed and owner_id <> $1
                 and (greatest(listed_since, updated_at), public_id)
                     < (coalesce($2, 'infinity'::timestamptz), coalesce($3, '~'))
               order by greatest(listed_since, updated_at) desc, public_id desc limit $4
           ) f
           join recipes r on r.id = f.recipe_id
           join revisions v on v.recipe_id = r.id and v.number = r.version
           join members m on m.id = r.owner_id
           where recipe_visible(r, $1, (select book_closed($1)))
           order by f.at desc, f.public_id desc"#,
        viewer.0,
        before.map(|(at, _)| at),
        before.map(|(_, id)| id),
        limit.clamp(1, 100) as i64,
    )
    .fetch_all(conn)
    .await
}
