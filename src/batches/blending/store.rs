//! What blending reads and writes besides batches and entries.

use sqlx::{PgConnection, query};

use crate::batches::model::BatchId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// A batch that a blend is kin to, and the litres that went from the one into the other.
pub struct Poured {
    pub batch: PublicId,
    pub name: String,
    pub litres: f64,
}

/// Writes that so many litres of a batch went into a blend.
pub async fn add(
    conn: &mut PgConnection,
    blend: BatchId,
    parent: BatchId,
    litres: f64,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into batch_parents (batch_id, parent_id, litres) values ($1, $2, $3)",
        blend.0,
        parent.0,
        litres
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// What a batch was blended of, as far as the viewer may see it, the largest part first.
pub async fn parents(
    conn: &mut PgConnection,
    viewer: MemberId,
    blend: BatchId,
) -> Result<Vec<Poured>, sqlx::Error> {
    let rows = query!(
        r#"select b.public_id as "public_id: PublicId", b.name, p.litres
           from batch_parents p join batches b on b.id = p.parent_id
           where p.batch_id = $1 and b.binned_at is null and batch_visible(b, $2)
           order by p.litres desc, b.id limit 6"#,
        blend.0,
        viewer.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Poured {
            batch: row.public_id,
            name: row.name,
            litres: row.litres,
        })
        .collect())
}

/// The blends that a batch went into, as far as the viewer may see them, the oldest first.
pub async fn blends(
    conn: &mut PgConnection,
    viewer: MemberId,
    parent: BatchId,
) -> Result<Vec<Poured>, sqlx::Error> {
    let rows = query!(
        r#"select b.public_id as "public_id: PublicId", b.name, p.litres
           from batch_parents p join batches b on b.id = p.batch_id
           where p.parent_id = $1 and b.binned_at is null and batch_visible(b, $2)
           order by b.id limit 50"#,
        parent.0,
        viewer.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Poured {
            batch: row.public_id,
            name: row.name,
            litres: row.litres,
        })
        .collect())
}
