//! Reads of recipes and revisions, each within what the viewer may see; the numbers of revisions.

use sqlx::PgConnection;

use super::browse::{self, View};
use super::model::{
    Cursor, Numbers, Recipe, RecipeId, RecipePage, Revision, RevisionId, RevisionLine, Shelf,
    StartedFrom, StartedHere, Visibility,
};
use super::public_id::PublicId;
use super::saving::Source;
use super::saving::store::without_nul;
use crate::web::viewer::MemberId;

pub use super::saving::store::{bin, restore, save_revision, share, unbin};

/// A recipe, unless the viewer may not see it; `None` is a stranger.
pub async fn find_recipe(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
) -> Result<Option<Recipe>, sqlx::Error> {
    sqlx::query_as!(
        Recipe,
        r#"select r.id as "id: RecipeId", r.public_id as "public_id: PublicId", r.owner_id as "owner: MemberId",
               m.name as owner_name, r.title, r.visibility as "visibility: Visibility", r.version,
               r.created_at, r.updated_at, r.binned_at
           from recipes r join members m on m.id = r.owner_id
           where r.public_id = $1 and recipe_visible(r, $2)"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
    )
    .fetch_optional(conn)
    .await
}

/// One revision by its number.
pub async fn find_revision(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
    number: i32,
) -> Result<Option<Revision>, sqlx::Error> {
    sqlx::query_as!(
        Revision,
        r#"select v.id as "id: RevisionId", r.public_id as "recipe: PublicId", v.number, v.title, v.document, v.note,
               v.restored_from, v.author_id as "author: MemberId", m.name as author_name, v.created_at
           from recipes r join revisions v on v.recipe_id = r.id join members m on m.id = v.author_id
           where r.public_id = $1 and v.number = $2 and recipe_visible(r, $3)"#,
        recipe.as_str(),
        number,
        viewer.map(|member| member.0),
    )
    .fetch_optional(conn)
    .await
}

/// A recipe with one of its revisions, the newest if no number is given.
pub async fn find_with_revision(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
    number: Option<i32>,
) -> Result<Option<(Recipe, Revision)>, sqlx::Error> {
    let row = sqlx::query!(
        r#"select r.id as "id: RecipeId", r.public_id as "public_id: PublicId", r.owner_id as "owner: MemberId",
               m.name as owner_name, r.title, r.visibility as "visibility: Visibility", r.version,
               r.created_at, r.updated_at, r.binned_at,
               v.id as "revision: RevisionId", v.number, v.title as revision_title, v.document, v.note, v.restored_from,
               v.author_id as "author: MemberId", a.name as author_name, v.created_at as revised_at
           from recipes r
           join members m on m.id = r.owner_id
           join revisions v on v.recipe_id = r.id and v.number = coalesce($3, r.version)
           join members a on a.id = v.author_id
           where r.public_id = $1 and recipe_visible(r, $2)"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
        number,
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map(|row| {
        let recipe = Recipe {
            id: row.id,
            public_id: row.public_id.clone(),
            owner: row.owner,
            owner_name: row.owner_name,
            title: row.title,
            visibility: row.visibility,
            version: row.version,
            created_at: row.created_at,
            updated_at: row.updated_at,
            binned_at: row.binned_at,
        };
        let revision = Revision {
            id: row.revision,
            recipe: row.public_id,
            number: row.number,
            title: row.revision_title,
            document: row.document,
            note: row.note,
            restored_from: row.restored_from,
            author: row.author,
            author_name: row.author_name,
            created_at: row.revised_at,
        };
        (recipe, revision)
    }))
}

/// Revisions, newest first, below the number `before`; at most `limit` (1 to 100).
pub async fn list_revisions(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
    before: Option<i32>,
    limit: usize,
) -> Result<Vec<RevisionLine>, sqlx::Error> {
    sqlx::query_as!(
        RevisionLine,
        r#"select v.number, v.title, v.note, v.restored_from, m.name as author_name, v.created_at,
               n.volume_l, n.og, n.fg, n.abv_percent, n.honey_kg, n.problems
           from recipes r
           join revisions v on v.recipe_id = r.id
           join revision_numbers n on n.revision_id = v.id
           join members m on m.id = v.author_id
           where r.public_id = $1 and recipe_visible(r, $2) and v.number < coalesce($3, 2147483647)
           order by v.number desc limit $4"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
        before,
        limit.clamp(1, 100) as i64,
    )
    .fetch_all(conn)
    .await
}

/// One page of a shelf, newest first.
pub async fn list_recipes(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    shelf: Shelf,
    after: Option<&Cursor>,
    limit: usize,
) -> Result<RecipePage, sqlx::Error> {
    let view = View::of(shelf);
    Ok(browse::find(conn, viewer, &view, after, limit).await?.page)
}

/// Where a recipe was started from; none when it was begun afresh or may not be seen.
pub async fn find_started_from(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
) -> Result<Option<StartedFrom>, sqlx::Error> {
    sqlx::query_as!(
        StartedFrom,
        r#"select v.number as "number!",
               case when not r.started_unnamed or recipe_visible(source, $2) then m.name end as author_name,
               case when recipe_visible(source, $2) then source.public_id end as "recipe: PublicId",
               case when recipe_visible(source, $2) then v.title end as title
           from recipes r
           join revisions v on v.id = r.started_from_id
           join recipes source on source.id = v.recipe_id
           join members m on m.id = v.author_id
           where r.public_id = $1 and recipe_visible(r, $2)
           union all
           -- One that came from another club, where its source stayed.
           select (i.said #>> '{started_from,number}')::integer,
               concat_ws(' of ', nullif(i.said #>> '{started_from,by}', ''), i.said #>> '{started_from,club}'), null, null
           from recipes r
           join imported_things i on i.kind = 'recipes' and i.place = r.public_id and i.member_id = r.owner_id
           where r.public_id = $1 and recipe_visible(r, $2) and r.started_from_id is null
               and i.said ? 'started_from'
           limit 1"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
    )
    .fetch_optional(conn)
    .await
}

/// Recipes that were started from this one and that the viewer may see, newest first; at most `limit` (1 to 100).
pub async fn list_started_here(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
    limit: usize,
) -> Result<Vec<StartedHere>, sqlx::Error> {
    sqlx::query_as!(
        StartedHere,
        r#"select r.public_id as "recipe: PublicId", r.title, m.name as owner_name
           from recipes source
           join revisions s on s.recipe_id = source.id
           join recipes r on r.started_from_id = s.id
           join members m on m.id = r.owner_id
           where source.public_id = $1 and recipe_visible(source, $2) and recipe_visible(r, $2) and r.binned_at is null
           order by r.updated_at desc, r.public_id desc limit $3"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
        limit.clamp(1, 100) as i64,
    )
    .fetch_all(conn)
    .await
}

/// A revision to start from.
pub(super) struct SourceRevision {
    pub(super) id: RevisionId,
    /// Whether a recipe started from it may be shared by link.
    pub(super) may_be_linked: bool,
    /// Whether it is known only by a link that does not tell its maker's name.
    pub(super) unnamed: bool,
}

/// The revision to start from, if the member may see it or holds its link.
pub(super) async fn find_source_revision(
    conn: &mut PgConnection,
    member: MemberId,
    source: &Source<'_>,
) -> Result<Option<SourceRevision>, sqlx::Error> {
    sqlx::query_as!(
        SourceRevision,
        r#"select v.id as "id: RevisionId", (r.owner_id = $3 or r.visibility = 'link') as "may_be_linked!",
               (not recipe_visible(r, $3) and not r.signed) as "unnamed!"
           from recipes r join revisions v on v.recipe_id = r.id
           where r.public_id = $1 and v.number = $2 and (recipe_visible(r, $3) or recipe_held(r, $4))"#,
        source.recipe.as_str(),
        source.number,
        member.0,
        source.held,
    )
    .fetch_optional(conn)
    .await
}

/// The numbers kept with a revision that the caller has already found.
pub(super) async fn numbers_of(
    conn: &mut PgConnection,
    revision: RevisionId,
) -> Result<Numbers, sqlx::Error> {
    sqlx::query_as!(
        Numbers,
        r#"select volume_l, og, fg, abv_percent, honey_kg, honeys, others, yeasts, keys, style_family, strength, sweetness,
               ready_months, cost_per_bottle, little_gear, problems, engine_version
           from revision_numbers where revision_id = $1"#,
        revision.0,
    )
    .fetch_one(conn)
    .await
}

/// Keeps a revision's numbers; a newer engine's replace the older ones.
pub async fn put_numbers(
    conn: &mut PgConnection,
    revision: RevisionId,
    numbers: &Numbers,
) -> Result<(), sqlx::Error> {
    let stored = |names: &[String]| {
        let names = names.iter().map(|name| without_nul(name));
        names.collect::<Vec<_>>()
    };
    sqlx::query!(
        "insert into revision_numbers (revision_id, volume_l, og, fg, abv_percent, honey_kg, honeys, style_family,
             strength, sweetness, problems, engine_version, others, yeasts, keys, ready_months, cost_per_bottle, little_gear)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18)
         on conflict (revision_id) do update set
             volume_l = excluded.volume_l, og = excluded.og, fg = excluded.fg, abv_percent = excluded.abv_percent,
             honey_kg = excluded.honey_kg, honeys = excluded.honeys, style_family = excluded.style_family,
             strength = excluded.strength, sweetness = excluded.sweetness, problems = excluded.problems,
             engine_version = excluded.engine_version, others = excluded.others, yeasts = excluded.yeasts,
             keys = excluded.keys, ready_months = excluded.ready_months,
             cost_per_bottle = excluded.cost_per_bottle, little_gear = excluded.little_gear",
        revision.0,
        finite(numbers.volume_l),
        finite(numbers.og),
        finite(numbers.fg),
        finite(numbers.abv_percent),
        finite(numbers.honey_kg),
        &stored(&numbers.honeys),
        numbers.style_family.as_deref().map(without_nul),
        numbers.strength.as_deref().map(without_nul),
        numbers.sweetness.as_deref().map(without_nul),
        numbers.problems,
        numbers.engine_version,
        &stored(&numbers.others),
        &stored(&numbers.yeasts),
        &stored(&numbers.keys),
        numbers.ready_months,
        finite(numbers.cost_per_bottle),
        numbers.little_gear,
    )
    .execute(conn)
    .await?;
    Ok(())
}

fn finite(number: Option<f64>) -> Option<f64> {
    number.filter(|value| value.is_finite())
}
