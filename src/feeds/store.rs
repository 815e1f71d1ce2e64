//! Reads for feeds, each within what its reader may see.

use sqlx::PgConnection;

use super::model::{MOST, News};
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Recipes for everybody, the one saved last first: their owner let search engines list them, and a link opens them.
/// Under which address is nobody's but the link's holder. Who made it is told where it is signed.
pub async fn list_public(conn: &mut PgConnection) -> Result<Vec<News>, sqlx::Error> {
    sqlx::query_as!(
        News,
        r#"select r.public_id as "public_id: PublicId", r.title, case when r.signed then m.name end as "maker?",
               r.created_at, r.updated_at, v.number, v.note, n.og, n.fg, n.abv_percent, n.volume_l, n.honeys, n.sweetness
           from recipes r
           join revisions v on v.recipe_id = r.id and v.number = r.version
           join revision_numbers n on n.revision_id = v.id
           join members m on m.id = r.owner_id
           where r.searchable and exists (
               select from recipe_links l where l.recipe_id = r.id and recipe_held(r, l.token_hash))
           order by r.updated_at desc, r.public_id desc limit $1"#,
        MOST,
    )
    .fetch_all(conn)
    .await
}

/// The club's recipes that this reader may see, the one saved last first.
pub async fn list_club(
    conn: &mut PgConnection,
    viewer: MemberId,
) -> Result<Vec<News>, sqlx::Error> {
    sqlx::query_as!(
        News,
        r#"select r.public_id as "public_id: PublicId", r.title, m.name as "maker?", r.created_at, r.updated_at,
               v.number, v.note, n.og, n.fg, n.abv_percent, n.volume_l, n.honeys, n.sweetness
           from recipes r
           join revisions v on v.recipe_id = r.id and v.number = r.version
           join revision_numbers n on n.revision_id = v.id
           join members m on m.id = r.owner_id
           where recipe_visible(r, $1, (select book_closed($1))) and r.binned_at is null and r.visibility = 'club'
           order by r.updated_at desc, r.public_id desc limit $2"#,
        viewer.0,
        MOST,
    )
    .fetch_all(conn)
    .await
}
