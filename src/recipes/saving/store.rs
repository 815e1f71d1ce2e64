//! Writes of recipes: save, restore, share, bin, in the caller's transaction. Without one, a save is refused by the
//! database: a recipe and its newest revision are checked against each other at commit.

use chrono::{DateTime, Utc};
use serde_json::Value;
use sqlx::PgConnection;

use super::{SaveError, SaveRevision, Saved, Source, Target};
use crate::recipes::model::{Numbers, RecipeId, RevisionId, Visibility};
use crate::recipes::public_id::PublicId;
use crate::recipes::{drafts, store};
use crate::web::viewer::MemberId;

/// Saves a revision; the version check and the new version are one statement, so of two edits that saw the
/// same version exactly one succeeds.
pub async fn save_revision(
    conn: &mut PgConnection,
    save: &SaveRevision<'_>,
    now: DateTime<Utc>,
) -> Result<Saved, SaveError> {
    let place = match &save.target {
        Target::New {
            visibility,
            started_from,
        } => new_recipe(conn, save, *visibility, started_from.as_ref(), now).await?,
        Target::Existing {
            recipe,
            expected_version,
            visibility,
        } => {
            if let Some(visibility) = visibility {
                let author = save.author;
                if !sharing_allowed(conn, author, recipe, *visibility).await? {
                    return Err(SaveError::WiderThanSource);
                }
            }
            let title = without_nul(save.title);
            advance(
                conn,
                save.author,
                recipe,
                *expected_version,
                &title,
                *visibility,
                now,
            )
            .await?
        }
    };
    append(
        conn,
        &place,
        &Content {
            title: save.title,
            document: save.document,
            numbers: save.numbers,
            note: save.note,
            restored_from: None,
            author: save.author,
        },
        now,
    )
    .await?;
    if let Some(end) = save.draft {
        drafts::store::close(conn, save.author, end.draft, end.sequence, now).await?;
    }
    Ok(Saved {
        recipe: place.public_id,
        number: place.number,
    })
}

/// Brings back the text of an older revision as a new one.
pub async fn restore(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
    number: i32,
    expected_version: i32,
    now: DateTime<Utc>,
) -> Result<Saved, SaveError> {
    let old = store::find_revision(conn, Some(owner), recipe, number)
        .await?
        .ok_or(SaveError::NotFound)?;
    let numbers = store::numbers_of(conn, old.id).await?;
    let place = advance(conn, owner, recipe, expected_version, &old.title, None, now).await?;
    append(
        conn,
        &place,
        &Content {
            title: &old.title,
            document: &old.document,
            numbers: &numbers,
            note: "",
            restored_from: Some(number),
            author: owner,
        },
        now,
    )
    .await?;
    Ok(Saved {
        recipe: place.public_id,
        number: place.number,
    })
}

/// Changes who may read a recipe. It is no revision and no edit loses its race by it.
pub async fn share(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
    visibility: Visibility,
) -> Result<(), SaveError> {
    if !sharing_allowed(conn, owner, recipe, visibility).await? {
        return Err(SaveError::WiderThanSource);
    }
    let done = sqlx::query!(
        "update recipes set visibility = $3 where public_id = $1 and owner_id = $2",
        recipe.as_str(),
        owner.0,
        visibility.as_str(),
    )
    .execute(conn)
    .await?;
    if done.rows_affected() == 1 {
        Ok(())
    } else {
        Err(SaveError::NotFound)
    }
}

/// Puts a recipe into the bin; false when there is none of the owner's. Twice keeps the first day.
pub async fn bin(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "update recipes set binned_at = coalesce(binned_at, $3) where public_id = $1 and owner_id = $2",
        recipe.as_str(),
        owner.0,
        now,
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// Takes a recipe out of the bin; false when there is none of the owner's.
pub async fn unbin(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "update recipes set binned_at = null where public_id = $1 and owner_id = $2",
        recipe.as_str(),
        owner.0,
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// Where the next revision goes; the recipe's row is locked.
struct Place {
    id: RecipeId,
    public_id: PublicId,
    number: i32,
}

struct Content<'a> {
    title: &'a str,
    document: &'a Value,
    numbers: &'a Numbers,
    note: &'a str,
    restored_from: Option<i32>,
    author: MemberId,
}

async fn new_recipe(
    conn: &mut PgConnection,
    save: &SaveRevision<'_>,
    visibility: Visibility,
    started_from: Option<&Source<'_>>,
    now: DateTime<Utc>,
) -> Result<Place, SaveError> {
    let source = match started_from {
        None => None,
        Some(source) => {
            let found = store::find_source_revision(conn, save.author, source)
                .await?
                .ok_or(SaveError::SourceNotFound)?;
            if visibility == Visibility::Link && !found.may_be_linked {
                return Err(SaveError::WiderThanSource);
            }
            Some(found)
        }
    };
    let public_id = PublicId::random()?;
    let id = sqlx::query_scalar!(
        r#"insert into recipes (public_id, owner_id, title, visibility, started_from_id, started_unnamed, created_at,
               updated_at)
           values ($1, $2, $3, $4, $5, $6, $7, $7) returning id as "id: RecipeId""#,
        public_id.as_str(),
        save.author.0,
        without_nul(save.title),
        visibility.as_str(),
        source.as_ref().map(|source| source.id.0),
        source.is_some_and(|source| source.unnamed),
        now,
    )
    .fetch_one(conn)
    .await?;
    Ok(Place {
        id,
        public_id,
        number: 1,
    })
}

async fn advance(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
    expected_version: i32,
    title: &str,
    visibility: Option<Visibility>,
    now: DateTime<Utc>,
) -> Result<Place, SaveError> {
    let moved = sqlx::query!(
        r#"update recipes set version = version + 1, title = $4, visibility = coalesce($5, visibility), updated_at = $6
           where public_id = $1 and owner_id = $2 and version = $3 and binned_at is null
           returning id as "id: RecipeId", version"#,
        recipe.as_str(),
        owner.0,
        expected_version,
        title,
        visibility.map(Visibility::as_str),
        now,
    )
    .fetch_optional(&mut *conn)
    .await?;
    if let Some(row) = moved {
        return Ok(Place {
            id: row.id,
            public_id: recipe.clone(),
            number: row.version,
        });
    }
    let found = store::find_recipe(conn, Some(owner), recipe)
        .await?
        .filter(|found| found.owner == owner);
    let found = found.ok_or(SaveError::NotFound)?;
    if found.binned_at.is_some() {
        return Err(SaveError::Binned);
    }
    let newest = store::find_revision(conn, Some(owner), recipe, found.version).await?;
    Err(SaveError::Conflict(Box::new(
        newest.ok_or(SaveError::NotFound)?,
    )))
}

async fn append(
    conn: &mut PgConnection,
    place: &Place,
    content: &Content<'_>,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    let revision = sqlx::query_scalar!(
        r#"insert into revisions (recipe_id, number, title, document, note, restored_from, author_id, created_at)
           values ($1, $2, $3, $4, $5, $6, $7, $8) returning id as "id: RevisionId""#,
        place.id.0,
        place.number,
        without_nul(content.title),
        nul_free(content.document),
        without_nul(content.note),
        content.restored_from,
        content.author.0,
        now,
    )
    .fetch_one(&mut *conn)
    .await?;
    // What lists and searches read follows by itself.
    store::put_numbers(conn, revision, content.numbers).await
}

/// Whether the owner may share this recipe so widely: not by link when it was started from another member's
/// that is not shared by link itself.
async fn sharing_allowed(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
    visibility: Visibility,
) -> Result<bool, sqlx::Error> {
    if visibility != Visibility::Link {
        return Ok(true);
    }
    let narrower = sqlx::query_scalar!(
        r#"select exists (
               select from recipes r
               join revisions v on v.id = r.started_from_id
               join recipes source on source.id = v.recipe_id
               where r.public_id = $1 and r.owner_id = $2
                 and source.owner_id <> r.owner_id and source.visibility <> 'link'
           ) as "narrower!""#,
        recipe.as_str(),
        owner.0,
    )
    .fetch_one(conn)
    .await?;
    Ok(!narrower)
}

/// PostgreSQL stores no NUL; a mark in its place loses nothing that could be read.
pub(in crate::recipes) fn without_nul(text: &str) -> String {
    text.replace('\0', "\u{fffd}")
}

fn nul_free(value: &Value) -> Value {
    match value {
        Value::String(text) => Value::String(without_nul(text)),
        Value::Array(items) => items.iter().map(nul_free).collect(),
        Value::Object(entries) => entries
            .iter()
            .map(|(key, item)| (without_nul(key), nul_free(item)))
            .collect(),
        other => other.clone(),
    }
}
