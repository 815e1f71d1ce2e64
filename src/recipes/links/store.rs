//! Rows of links to recipes, and the one read that a link opens.

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::PgConnection;

use super::{Link, Linked, MOST, Terms};
use crate::recipes::model::{Recipe, RecipeId, Revision, RevisionId, Visibility};
use crate::recipes::public_id::PublicId;
use crate::recipes::saving::store::without_nul;
use crate::web::viewer::MemberId;

/// The newest revision of what a link opens now; none for a link that is not known, taken back or closed.
pub async fn find_linked(
    conn: &mut PgConnection,
    held: &[u8],
) -> Result<Option<Linked>, sqlx::Error> {
    let row = sqlx::query!(
        r#"select r.id as "id: RecipeId", r.public_id as "public_id: PublicId", r.owner_id as "owner: MemberId",
               o.name as owner_name, r.title, r.visibility as "visibility: Visibility", r.version, r.created_at,
               r.updated_at, r.binned_at, r.signed, r.searchable, v.id as "revision: RevisionId",
               v.title as revision_title, v.document, v.note, v.restored_from, v.author_id as "author: MemberId",
               a.name as author_name, v.created_at as saved_at
           from recipe_links l
           join recipes r on r.id = l.recipe_id
           join revisions v on v.recipe_id = r.id and v.number = r.version
           join members o on o.id = r.owner_id
           join members a on a.id = v.author_id
           where l.token_hash = $1 and recipe_held(r, $1)"#,
        held,
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map(|row| Linked {
        revision: Revision {
            id: row.revision,
            recipe: row.public_id.clone(),
            number: row.version,
            title: row.revision_title,
            document: row.document,
            note: row.note,
            restored_from: row.restored_from,
            author: row.author,
            author_name: row.author_name,
            created_at: row.saved_at,
        },
        terms: Terms {
            visibility: row.visibility,
            signed: row.signed,
            searchable: row.searchable,
        },
        recipe: Recipe {
            id: row.id,
            public_id: row.public_id,
            owner: row.owner,
            owner_name: row.owner_name,
            title: row.title,
            visibility: row.visibility,
            version: row.version,
            created_at: row.created_at,
            updated_at: row.updated_at,
            binned_at: row.binned_at,
        },
    }))
}

/// Notes the day on which a link was opened; written at most once a day.
pub async fn note_opening(
    conn: &mut PgConnection,
    held: &[u8],
    day: NaiveDate,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update recipe_links set opened_on = $2 where token_hash = $1 and opened_on is distinct from $2",
        held,
        day,
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// What whoever opens a link of one's own recipe is told.
pub async fn find_terms(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
) -> Result<Option<Terms>, sqlx::Error> {
    sqlx::query_as!(
        Terms,
        r#"select visibility as "visibility: Visibility", signed, searchable
           from recipes where public_id = $1 and owner_id = $2 and binned_at is null"#,
        recipe.as_str(),
        owner.0,
    )
    .fetch_optional(conn)
    .await
}

/// Changes it; false when there is no such recipe of the owner's.
pub async fn set_terms(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
    signed: bool,
    searchable: bool,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "update recipes set signed = $3, searchable = $4
         where public_id = $1 and owner_id = $2 and binned_at is null",
        recipe.as_str(),
        owner.0,
        signed,
        searchable,
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// The links of a recipe of one's own, newest first.
pub async fn list_links(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
) -> Result<Vec<Link>, sqlx::Error> {
    sqlx::query_as!(
        Link,
        "select l.public_id, l.note, l.created_at, l.opened_on
         from recipe_links l join recipes r on r.id = l.recipe_id
         where r.public_id = $1 and r.owner_id = $2 order by l.id desc",
        recipe.as_str(),
        owner.0,
    )
    .fetch_all(conn)
    .await
}

/// A link to be made.
pub struct NewLink<'a> {
    pub public_id: &'a str,
    pub held: &'a [u8],
    pub note: &'a str,
}

/// Makes a link to a recipe of one's own; false when that is not shared by link, or has as many as it may have.
pub async fn make_link(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
    link: &NewLink<'_>,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "with own as (
             select id from recipes
             where public_id = $1 and owner_id = $2 and visibility = 'link' and binned_at is null for update)
         insert into recipe_links (public_id, recipe_id, token_hash, note, created_at)
         select $3, own.id, $4, $5, $6 from own
         where (select count(*) from recipe_links l where l.recipe_id = own.id) < $7",
        recipe.as_str(),
        owner.0,
        link.public_id,
        link.held,
        without_nul(link.note),
        now,
        MOST,
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// Gives a link another token, since the answer that showed the first was lost; false when there is none.
pub async fn renew_link(
    conn: &mut PgConnection,
    owner: MemberId,
    link: &str,
    held: &[u8],
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "update recipe_links l set token_hash = $3, opened_on = null
         from recipes r where r.id = l.recipe_id and l.public_id = $1 and r.owner_id = $2",
        link,
        owner.0,
        held,
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// Takes a link back; one that is gone already stays so.
pub async fn remove_link(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
    link: &str,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "delete from recipe_links l using recipes r
         where r.id = l.recipe_id and r.public_id = $1 and r.owner_id = $2 and l.public_id = $3",
        recipe.as_str(),
        owner.0,
        link,
    )
    .execute(conn)
    .await?;
    Ok(())
}
