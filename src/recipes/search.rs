//! Finding recipes by the beginnings of words: title, honeys, style words, the maker's name.

use sqlx::PgConnection;

use super::model::{Cursor, RecipeId, RecipeLine, RecipePage, Shelf, Visibility};
use super::public_id::PublicId;
use super::saving::store::without_nul;
use super::store;
use crate::web::viewer::MemberId;

/// One page of the recipes in which every typed word begins a word, newest first. Blank text is no search: the
/// whole shelf. Text without a letter or a figure finds nothing.
pub async fn search_recipes(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    shelf: Shelf,
    typed: &str,
    after: Option<&Cursor>,
    limit: usize,
) -> Result<RecipePage, sqlx::Error> {
    if typed.trim().is_empty() {
        return store::list_recipes(conn, viewer, shelf, after, limit).await;
    }
    let limit = limit.clamp(1, 100);
    let rows = sqlx::query_as!(
        RecipeLine,
        r#"select r.public_id as "public_id: PublicId", r.title, r.owner_id as "owner: MemberId", m.name as owner_name,
               r.visibility as "visibility: Visibility", r.version, r.updated_at,
               n.volume_l, n.og, n.fg, n.abv_percent, n.honey_kg, n.honeys, n.style_family, n.strength, n.sweetness,
               n.problems
           from recipe_search s
           join recipes r on r.id = s.recipe_id
           join revisions v on v.recipe_id = r.id and v.number = r.version
           join revision_numbers n on n.revision_id = v.id
           join members m on m.id = r.owner_id
           where s.words @@ search_query($6) and recipe_visible(r, $1)
             and (r.binned_at is not null) = ($2 = 'bin')
             and ($2 <> 'mine' or r.owner_id = $1)
             and ($2 <> 'club' or r.visibility = 'club')
             and (r.updated_at, r.public_id) < (coalesce($3, 'infinity'::timestamptz), coalesce($4, '~'))
           order by r.updated_at desc, r.public_id desc limit $5"#,
        viewer.map(|member| member.0),
        shelf.as_str(),
        after.map(|cursor| cursor.updated_at),
        after.map(|cursor| cursor.public_id.as_str()),
        limit as i64 + 1,
        without_nul(typed),
    )
    .fetch_all(conn)
    .await?;
    Ok(RecipePage::from_rows(rows, limit))
}

/// Renews a recipe's words; part of every save.
pub(super) async fn index_recipe(
    conn: &mut PgConnection,
    recipe: RecipeId,
) -> Result<(), sqlx::Error> {
    index(conn, Some(recipe), None).await
}

/// Renews the words of all recipes of a member; due in the transaction that changes their name.
pub async fn index_recipes_of(
    conn: &mut PgConnection,
    member: MemberId,
) -> Result<(), sqlx::Error> {
    index(conn, None, Some(member)).await
}

async fn index(
    conn: &mut PgConnection,
    recipe: Option<RecipeId>,
    member: Option<MemberId>,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "insert into recipe_search as s (recipe_id, words)
         select r.id, to_tsvector('simple', search_fold(concat_ws(' ', r.title, array_to_string(n.honeys, ' '),
             n.style_family, n.strength, n.sweetness, m.name)))
         from recipes r
         join revisions v on v.recipe_id = r.id and v.number = r.version
         join revision_numbers n on n.revision_id = v.id
         join members m on m.id = r.owner_id
         where r.id = $1 or r.owner_id = $2
         on conflict (recipe_id) do update set words = excluded.words where s.words <> excluded.words",
        recipe.map(|id| id.0),
        member.map(|id| id.0),
    )
    .execute(conn)
    .await?;
    Ok(())
}
