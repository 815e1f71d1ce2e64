//! Reads of a lineage, within what the viewer may see; bounded in depth and number.

use serde_json::Value;
use sqlx::PgConnection;

use super::{DEEPEST, Family, Kin, MOST};
use crate::recipes::model::RecipeId;
use crate::recipes::opinions::model::Basis;
use crate::recipes::opinions::score::{BEGINS_AT, BEGINS_WITH};
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// A recipe with its ancestors, its descendants, and what else came of the oldest ancestor; nobody where it may not be seen.
pub async fn find_family(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
) -> Result<Family, sqlx::Error> {
    // Each part is read breadth first and ends at its limit, so that neither a long line nor a popular recipe is read whole.
    let rows = sqlx::query!(
        r#"with recursive
           up (id, started_from_id, depth) as (
               select r.id, r.started_from_id, 0 from recipes r where r.public_id = $1 and recipe_visible(r, $2, (select book_closed($2)))
               union all
               select source.id, source.started_from_id, up.depth + 1
               from up join revisions v on v.id = up.started_from_id join recipes source on source.id = v.recipe_id
               where up.depth < $3 and source.binned_at is null and recipe_visible(source, $2, (select book_closed($2)))),
           own (id, depth) as (
               select id, 0 from up where depth = 0
               union all
               select r.id, own.depth + 1
               from own join revisions v on v.recipe_id = own.id join recipes r on r.started_from_id = v.id
               where own.depth < $3 and r.binned_at is null and recipe_visible(r, $2, (select book_closed($2)))),
           whole (id, depth) as (
               select id, 0 from (select id from up order by depth desc limit 1) as oldest
               union all
               select r.id, whole.depth + 1
               from whole join revisions v on v.recipe_id = whole.id join recipes r on r.started_from_id = v.id
               where whole.depth < $3 and r.binned_at is null and recipe_visible(r, $2, (select book_closed($2)))),
           some_own as (select id from own limit $4),
           some_whole as (select id from whole limit $4),
           shown (id) as (select id from up union select id from some_own union select id from some_whole)
           select r.id as "id: RecipeId", r.public_id as "public_id: PublicId", r.title, r.owner_id as "owner: MemberId",
               m.name as owner_name, r.version, r.created_at, parent.id as "parent?: RecipeId",
               case when parent.id is not null then source.number end as from_number,
               r.rating_count, r.rating_mean, best.number as "best_number?", best.mean as "best_mean?",
               best.raters as "best_count?",
               (exists (select from own offset $4) or exists (select from whole offset $4)) as "cut!"
           from shown
           join recipes r on r.id = shown.id
           join members m on m.id = r.owner_id
           left join revisions source on source.id = r.started_from_id
           left join shown parent on parent.id = source.recipe_id
           left join lateral (
               select revision_number as number, count(*) as raters,
                   ($5::double precision * $6::double precision + sum(stars * weight)) / ($6 + sum(weight)) as mean
               from recipe_ratings rated,
                   lateral (select case basis when 'read' then $7::double precision else 1 end as weight) as counts
               where rated.recipe_id = r.id
               group by revision_number order by mean desc, raters desc, number desc limit 1
           ) best on true
           order by r.created_at, r.id"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
        DEEPEST,
        MOST as i64,
        BEGINS_AT,
        BEGINS_WITH,
        Basis::Read.weight(),
    )
    .fetch_all(conn)
    .await?;
    Ok(Family {
        cut: rows.first().is_some_and(|row| row.cut),
        kin: rows
            .into_iter()
            .map(|row| Kin {
                id: row.id,
                public_id: row.public_id,
                title: row.title,
                owner: row.owner,
                owner_name: row.owner_name,
                version: row.version,
                created_at: row.created_at,
                parent: row.parent,
                from_number: row.from_number,
                rating_count: row.rating_count,
                rating_mean: row.rating_mean,
                best_number: row.best_number,
                best_mean: row.best_mean,
                best_count: row.best_count,
            })
            .collect(),
    })
}

/// The newest document of a recipe, and that of the revision from which it was started.
pub struct Both {
    pub id: RecipeId,
    pub newest: Value,
    pub source: Value,
}

/// Of these recipes those whose source the viewer may see too.
pub async fn list_documents(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipes: &[RecipeId],
) -> Result<Vec<Both>, sqlx::Error> {
    let ids: Vec<i64> = recipes.iter().map(|id| id.0).collect();
    sqlx::query_as!(
        Both,
        r#"select r.id as "id: RecipeId", v.document as newest, s.document as source
           from recipes r
           join revisions v on v.recipe_id = r.id and v.number = r.version
           join revisions s on s.id = r.started_from_id
           join recipes source on source.id = s.recipe_id
           where r.id = any($1) and recipe_visible(r, $2, (select book_closed($2))) and recipe_visible(source, $2, (select book_closed($2)))"#,
        &ids,
        viewer.map(|member| member.0),
    )
    .fetch_all(conn)
    .await
}

/// Documents of a recipe's newest revisions with their numbers, newest first.
pub async fn list_revision_documents(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
    limit: usize,
) -> Result<Vec<(i32, Value)>, sqlx::Error> {
    let rows = sqlx::query!(
        "select v.number, v.document from recipes r join revisions v on v.recipe_id = r.id
         where r.public_id = $1 and recipe_visible(r, $2, (select book_closed($2))) order by v.number desc limit $3",
        recipe.as_str(),
        viewer.map(|member| member.0),
        limit.clamp(1, 100) as i64,
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| (row.number, row.document))
        .collect())
}
