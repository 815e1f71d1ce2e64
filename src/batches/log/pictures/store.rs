//! Pictures of batches.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_scalar};

use super::Shrunk;
use crate::batches::model::BatchId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// A picture beside an entry.
pub struct Picture {
    pub public_id: PublicId,
    pub entry: i32,
    pub says: String,
    pub width: i32,
    pub height: i32,
}

/// A picture to be kept.
pub struct NewPicture<'a> {
    pub public_id: &'a PublicId,
    pub entry: i32,
    pub by: MemberId,
    pub is: &'a Shrunk,
    pub says: &'a str,
}

/// Keeps a picture of a batch that is held.
pub async fn add(
    conn: &mut PgConnection,
    batch: BatchId,
    new: &NewPicture<'_>,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into batch_pictures (public_id, batch_id, entry, by_id, image, width, height, says, at)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
        new.public_id.as_str(),
        batch.0,
        new.entry,
        new.by.0,
        new.is.jpeg,
        new.is.width.cast_signed(),
        new.is.height.cast_signed(),
        new.says,
        now,
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// How many pictures stand beside the notes of a member's batches.
pub async fn count_of(conn: &mut PgConnection, owner: MemberId) -> Result<i64, sqlx::Error> {
    query_scalar!(
        r#"select count(*) as "count!" from batch_pictures p join batches b on b.id = p.batch_id where b.owner_id = $1"#,
        owner.0
    )
    .fetch_one(conn)
    .await
}

/// The pictures of a batch, the oldest first.
pub async fn list(conn: &mut PgConnection, batch: BatchId) -> Result<Vec<Picture>, sqlx::Error> {
    let rows = query!(
        r#"select public_id as "public_id: PublicId", entry, says, width, height from batch_pictures
           where batch_id = $1 order by id"#,
        batch.0,
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Picture {
            public_id: row.public_id,
            entry: row.entry,
            says: row.says,
            width: row.width,
            height: row.height,
        })
        .collect())
}

/// A picture itself, of a batch that the viewer may see.
pub async fn image(
    conn: &mut PgConnection,
    viewer: MemberId,
    (batch, picture): (&PublicId, &PublicId),
) -> Result<Option<Vec<u8>>, sqlx::Error> {
    query_scalar!(
        "select p.image from batch_pictures p join batches b on b.id = p.batch_id
         where b.public_id = $1 and p.public_id = $2 and batch_visible(b, $3)",
        batch.as_str(),
        picture.as_str(),
        viewer.0,
    )
    .fetch_optional(conn)
    .await
}

/// Removes a picture of a batch of the member's own. False when there is none.
pub async fn remove(
    conn: &mut PgConnection,
    owner: MemberId,
    (batch, picture): (&PublicId, &PublicId),
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "delete from batch_pictures p using batches b
         where b.id = p.batch_id and b.public_id = $1 and p.public_id = $2 and b.owner_id = $3",
        batch.as_str(),
        picture.as_str(),
        owner.0,
    );
    Ok(done.execute(conn).await?.rows_affected() > 0)
}
