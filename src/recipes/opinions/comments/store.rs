//! Comments in the database, each read within what the viewer may see; words are only ever added.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use super::{Comment, Draft, RemovedAs, Words};
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Why words were not saved.
#[derive(Debug, thiserror::Error)]
pub enum CommentError {
    /// There is no such recipe, revision or comment for this member.
    #[error("nothing that this member comments on")]
    NotFound,
    /// Other words were saved since the member began: these.
    #[error("the words were changed meanwhile")]
    Conflict(Box<Comment>),
    #[error(transparent)]
    Random(#[from] getrandom::Error),
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}

/// Writes a comment; to be called in a transaction. Gives its public id.
pub async fn write(
    conn: &mut PgConnection,
    writer: MemberId,
    recipe: &PublicId,
    draft: &Draft,
    now: DateTime<Utc>,
) -> Result<PublicId, CommentError> {
    let public_id = PublicId::random()?;
    let id = sqlx::query_scalar!(
        "insert into recipe_comments (public_id, recipe_id, writer_id, revision_number, written_at)
         select $1, r.id, $2, $3, $4 from recipes r
         where r.public_id = $5 and recipe_visible(r, $2) and coalesce($3, 1) between 1 and r.version
         returning id",
        public_id.as_str(),
        writer.0,
        draft.revision,
        now,
        recipe.as_str(),
    )
    .fetch_optional(&mut *conn)
    .await?
    .ok_or(CommentError::NotFound)?;
    add_words(conn, id, 1, &draft.words, now).await?;
    Ok(public_id)
}

async fn add_words(
    conn: &mut PgConnection,
    comment: i64,
    number: i32,
    words: &str,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "insert into recipe_comment_words (comment_id, number, words, written_at) values ($1, $2, $3, $4)",
        comment,
        number,
        words,
        now,
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Gives a comment new words; to be called in a transaction. The version check and the new version are one statement.
pub async fn change(
    conn: &mut PgConnection,
    writer: MemberId,
    recipe: &PublicId,
    comment: &PublicId,
    expected_version: i32,
    draft: &Draft,
    now: DateTime<Utc>,
) -> Result<(), CommentError> {
    let done = sqlx::query!(
        "update recipe_comments c set version = c.version + 1, revision_number = $5
         from recipes r
         where r.id = c.recipe_id and r.public_id = $1 and c.public_id = $2 and c.writer_id = $3 and c.version = $4
             and c.removed_at is null and recipe_visible(r, $3) and coalesce($5, 1) between 1 and r.version
         returning c.id, c.version",
        recipe.as_str(),
        comment.as_str(),
        writer.0,
        expected_version,
        draft.revision,
    )
    .fetch_optional(&mut *conn)
    .await?;
    if let Some(done) = done {
        return Ok(add_words(conn, done.id, done.version, &draft.words, now).await?);
    }
    match find(conn, Some(writer), recipe, comment).await? {
        Some(found) if found.writer == writer && found.removed_as.is_none() => {
            match found.version == expected_version {
                // Not the version: a revision that is none.
                true => Err(CommentError::NotFound),
                false => Err(CommentError::Conflict(Box::new(found))),
            }
        }
        _ => Err(CommentError::NotFound),
    }
}

/// Takes a comment's words out of sight as its writer, the recipe's owner or a keeper; false for whoever is none of these
/// or sees no such comment. Twice keeps the first.
pub async fn remove(
    conn: &mut PgConnection,
    member: MemberId,
    keeps: bool,
    recipe: &PublicId,
    comment: &PublicId,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "update recipe_comments c set removed_at = coalesce(c.removed_at, $5), removed_by = coalesce(c.removed_by, $3),
             removed_as = coalesce(c.removed_as,
                 case $3 when c.writer_id then 'writer' when r.owner_id then 'owner' else 'keeper' end)
         from recipes r
         where r.id = c.recipe_id and r.public_id = $1 and c.public_id = $2 and recipe_visible(r, $3)
             and (c.writer_id = $3 or r.owner_id = $3 or $4)",
        recipe.as_str(),
        comment.as_str(),
        member.0,
        keeps,
        now,
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// One comment.
pub async fn find(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
    comment: &PublicId,
) -> Result<Option<Comment>, sqlx::Error> {
    sqlx::query_as!(
        Comment,
        r#"select c.public_id, c.writer_id as "writer: MemberId", m.name as writer_name,
               c.revision_number as revision, c.version, case when c.removed_at is null then w.words end as words,
               c.written_at, w.written_at as changed_at, c.removed_as as "removed_as: RemovedAs"
           from recipes r
           join recipe_comments c on c.recipe_id = r.id
           join recipe_comment_words w on w.comment_id = c.id and w.number = c.version
           join members m on m.id = c.writer_id
           where r.public_id = $1 and recipe_visible(r, $2) and c.public_id = $3"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
        comment.as_str(),
    )
    .fetch_optional(conn)
    .await
}

/// Comments, the newest first, from before the one of this id; at most `limit` (1 to 100) and one more, which tells that
/// there are older ones.
pub async fn list(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
    before: Option<&PublicId>,
    limit: usize,
) -> Result<Vec<Comment>, sqlx::Error> {
    sqlx::query_as!(
        Comment,
        r#"select c.public_id, c.writer_id as "writer: MemberId", m.name as writer_name,
               c.revision_number as revision, c.version, case when c.removed_at is null then w.words end as words,
               c.written_at, w.written_at as changed_at, c.removed_as as "removed_as: RemovedAs"
           from recipes r
           join recipe_comments c on c.recipe_id = r.id
           join recipe_comment_words w on w.comment_id = c.id and w.number = c.version
           join members m on m.id = c.writer_id
           where r.public_id = $1 and recipe_visible(r, $2)
               and ($3::text is null or c.id < (select b.id from recipe_comments b where b.public_id = $3))
           order by c.id desc limit $4"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
        before.map(PublicId::as_str),
        limit.clamp(1, 100) as i64 + 1,
    )
    .fetch_all(conn)
    .await
}

/// How many comments of a recipe stand.
pub async fn count(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
) -> Result<i64, sqlx::Error> {
    sqlx::query_scalar!(
        r#"select count(*) as "count!" from recipes r join recipe_comments c on c.recipe_id = r.id
           where r.public_id = $1 and recipe_visible(r, $2) and c.removed_at is null"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
    )
    .fetch_one(conn)
    .await
}

/// Everything that a comment ever said, the newest first. Of one that was removed only its writer reads it.
pub async fn earlier(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
    comment: &PublicId,
) -> Result<Vec<Words>, sqlx::Error> {
    sqlx::query_as!(
        Words,
        r#"select w.number, w.words, w.written_at
           from recipes r
           join recipe_comments c on c.recipe_id = r.id
           join recipe_comment_words w on w.comment_id = c.id
           where r.public_id = $1 and recipe_visible(r, $2) and c.public_id = $3
               and (c.removed_at is null or c.writer_id = $2)
           order by w.number desc limit 200"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
        comment.as_str(),
    )
    .fetch_all(conn)
    .await
}
