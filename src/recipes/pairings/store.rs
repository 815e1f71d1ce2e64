//! What the best-rated recipes used, of those that the viewer may see.

use sqlx::PgConnection;

use super::Used;
use crate::recipes::opinions::score::BEGINS_AT;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Of so many recipes, the best rated, it is looked at what they used.
const LOOKED_AT: i64 = 500;

/// Well-rated recipes that hold an ingredient of one of these keys, the best first; at most 50. Those that members found
/// no better than middling are left out.
pub async fn best_rated_with(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    keys: &[String],
) -> Result<Vec<Used>, sqlx::Error> {
    sqlx::query_as!(
        Used,
        r#"with best as (
               select r.id, r.public_id, r.title, r.owner_id, r.version, r.rating_mean, r.rating_count, r.made_count
               from recipes r
               where recipe_visible(r, $1, (select book_closed($1))) and r.binned_at is null and r.rating_mean > $3
               order by r.rating_mean desc, r.id limit $4
           ), of as (
               select best.*, array(
                   select item->>'key' from jsonb_path_query(v.document, '$.ingredients[*]') item
                   where item->>'key' is not null
               ) as keys
               from best join revisions v on v.recipe_id = best.id and v.number = best.version
           )
           select of.public_id as "recipe: PublicId", of.title as "title!", m.name as owner_name, of.rating_mean as "rating_mean!",
               of.rating_count as "rating_count!", of.made_count as "made_count!", of.keys as "keys!: Vec<String>"
           from of join members m on m.id = of.owner_id
           where of.keys && $2
           order by of.rating_mean desc, of.id limit 50"#,
        viewer.map(|member| member.0),
        keys,
        BEGINS_AT,
        LOOKED_AT,
    )
    .fetch_all(conn)
    .await
}
