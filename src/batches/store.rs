//! Batches, each within what the viewer may see. What stands in their logs is in the log's own store.

use chrono::{DateTime, Utc};
use sqlx::types::Json;
use sqlx::{PgConnection, query, query_scalar};

pub use super::log::store::{add, correct, entries, versions};
use super::model::{
    Batch, BatchId, BatchLine, Ending, Expected, MadeOf, NewBatch, Numbers, SaveError, Shelf,
};
use crate::engine::ENGINE_VERSION;
use crate::engine::log::own::Own;
use crate::recipes::public_id::PublicId;
use crate::web::policy::Visibility;
use crate::web::viewer::MemberId;

/// A batch, unless the viewer may not see it; `None` is a stranger. Of its recipe and of the batch that it was parted from
/// is told what the viewer may see.
pub async fn find(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    batch: &PublicId,
) -> Result<Option<Batch>, sqlx::Error> {
    let row = query!(
        r#"select b.id as "id: BatchId", b.public_id as "public_id: PublicId", b.owner_id as "owner: MemberId",
               m.name as owner_name, b.name, b.visibility as "visibility: Visibility", b.supposed, b.document,
               b.formulation, b.own, b.vessel_name, b.began_at, b.ended_at, b.how_it_ended, b.version, b.created_at, b.binned_at,
               r.public_id as "recipe?: PublicId", v.number as "number?", v.title as "recipe_title?",
               p.public_id as "parted_from?: PublicId", p.name as "parted_from_name?",
               n.one_third_at as "one_third_at?", n.still_at as "still_at?"
           from batches b
           join members m on m.id = b.owner_id
           left join batch_numbers n on n.batch_id = b.id
           left join revisions v on v.id = b.revision_id
               and exists (select from recipes s where s.id = v.recipe_id and recipe_visible(s, $2))
           left join recipes r on r.id = v.recipe_id
           left join batches p on p.id = b.parted_from_id and batch_visible(p, $2)
           where b.public_id = $1 and batch_visible(b, $2)"#,
        batch.as_str(),
        viewer.map(|member| member.0),
    );
    let row = row.fetch_optional(conn).await?;
    Ok(row.map(|row| Batch {
        id: row.id,
        public_id: row.public_id,
        owner: row.owner,
        owner_name: row.owner_name,
        name: row.name,
        visibility: row.visibility,
        made_of: match (row.recipe, row.number, row.recipe_title) {
            (Some(recipe), Some(number), Some(title)) => Some(MadeOf {
                recipe,
                number,
                title,
            }),
            _ => None,
        },
        parted_from: row.parted_from.zip(row.parted_from_name),
        supposed: row.supposed,
        document: row.document,
        formulation: row.formulation,
        own: serde_json::from_value::<Own>(row.own)
            .unwrap_or_default()
            .sound(),
        vessel_name: row.vessel_name,
        began_at: row.began_at,
        ended_at: row.ended_at,
        ending: row.how_it_ended.as_deref().and_then(Ending::from_word),
        version: row.version,
        created_at: row.created_at,
        binned_at: row.binned_at,
        expected: Expected {
            one_third_at: row.one_third_at,
            still_at: row.still_at,
        },
    }))
}

/// Batches of a shelf, the newest first, after that place; at most `limit` (1 to 100).
pub async fn list(
    conn: &mut PgConnection,
    viewer: MemberId,
    shelf: Shelf,
    after: Option<(DateTime<Utc>, PublicId)>,
    limit: usize,
) -> Result<Vec<BatchLine>, sqlx::Error> {
    let (after_at, after_id) = after.unzip();
    let rows = query!(
        r#"select b.public_id as "public_id: PublicId", b.owner_id as "owner: MemberId", m.name as owner_name, b.name,
               b.visibility as "visibility: Visibility", b.began_at, b.ended_at, b.how_it_ended,
               n.og as "og?", n.sg as "sg?", n.abv_percent as "abv_percent?", n.volume_l as "volume_l?",
               n.last_reading_at as "last_reading_at?", n.course as "course?"
           from batches b
           join members m on m.id = b.owner_id
           left join batch_numbers n on n.batch_id = b.id
           where batch_visible(b, $1, (select book_closed($1)))
               and case $2::text
                   when 'going' then b.owner_id = $1 and b.ended_at is null and b.binned_at is null
                   when 'done' then b.owner_id = $1 and b.ended_at is not null and b.binned_at is null
                   when 'club' then b.visibility = 'club' and b.binned_at is null
                   else b.owner_id = $1 and b.binned_at is not null end
               and ($3::timestamptz is null or (b.began_at, b.public_id) < ($3, $4))
           order by b.began_at desc, b.public_id desc limit $5"#,
        viewer.0,
        shelf.word(),
        after_at,
        after_id.as_ref().map(PublicId::as_str),
        limit.clamp(1, 100) as i64,
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| BatchLine {
            public_id: row.public_id,
            owner: row.owner,
            owner_name: row.owner_name,
            name: row.name,
            visibility: row.visibility,
            began_at: row.began_at,
            ended_at: row.ended_at,
            ending: row.how_it_ended.as_deref().and_then(Ending::from_word),
            og: row.og,
            sg: row.sg,
            abv_percent: row.abv_percent,
            volume_l: row.volume_l,
            last_reading_at: row.last_reading_at,
            course: row.course,
        })
        .collect())
}

/// Starts a batch. A revision that its owner may not see, and a vessel that is not theirs, are left out.
pub async fn start(
    conn: &mut PgConnection,
    new: &NewBatch,
    now: DateTime<Utc>,
) -> Result<BatchId, sqlx::Error> {
    let (recipe, number) = new.revision.clone().unzip();
    query_scalar!(
        r#"insert into batches (public_id, owner_id, name, visibility, revision_id, parted_from_id, supposed, document,
               formulation, engine_version, vessel_id, vessel_name, began_at, created_at, own)
           values ($1, $2, $3, $4,
               (select v.id from revisions v join recipes r on r.id = v.recipe_id
                where r.public_id = $5 and v.number = $6 and recipe_visible(r, $2)),
               $7, $8, $9, $10, $11,
               (select id from vessels where public_id = $12 and owner_id = $2), $13, $14, $15, $16)
           returning id as "id: BatchId""#,
        new.public_id.as_str(),
        new.owner.0,
        new.name,
        new.visibility as Visibility,
        recipe.as_ref().map(PublicId::as_str),
        number,
        new.parted_from.map(|id| id.0),
        new.supposed,
        new.document,
        new.formulation,
        ENGINE_VERSION,
        new.vessel,
        new.vessel_name,
        new.began_at,
        now,
        Json(&new.own) as Json<&Own>,
    )
    .fetch_one(conn)
    .await
}

/// Holds a batch of the member's own until the transaction ends, so that its entries are numbered one after the other.
/// `None` when there is none.
pub async fn hold(
    conn: &mut PgConnection,
    owner: MemberId,
    batch: BatchId,
) -> Result<Option<()>, sqlx::Error> {
    let held = query_scalar!(
        "select 1 as held from batches where id = $1 and owner_id = $2 for update",
        batch.0,
        owner.0
    );
    Ok(held.fetch_optional(conn).await?.map(|_| ()))
}

/// Keeps what was reckoned from the log.
pub async fn put_numbers(
    conn: &mut PgConnection,
    batch: BatchId,
    is: &Numbers,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into batch_numbers (batch_id, og, sg, abv_percent, volume_l, last_reading_at, pitched_at, course, yeast,
             book_fg, real_fg, end_days, loss_fraction, growth_factor, uptake_factor, entries, engine_version,
             one_third_at, still_at)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19)
         on conflict (batch_id) do update set og = $2, sg = $3, abv_percent = $4, volume_l = $5, last_reading_at = $6,
             pitched_at = $7, course = $8, yeast = $9, book_fg = $10, real_fg = $11, end_days = $12, loss_fraction = $13,
             growth_factor = $14, uptake_factor = $15, entries = $16, engine_version = $17, one_third_at = $18, still_at = $19",
        batch.0,
        is.og,
        is.sg,
        is.abv_percent,
        is.volume_l,
        is.last_reading_at,
        is.pitched_at,
        is.course,
        is.yeast,
        is.book_fg,
        is.real_fg,
        is.end_days,
        is.loss_fraction,
        is.growth_factor,
        is.uptake_factor,
        is.entries,
        ENGINE_VERSION,
        is.expected.one_third_at.as_deref() as Option<&[DateTime<Utc>]>,
        is.expected.still_at.as_deref() as Option<&[DateTime<Utc>]>,
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Changes the name of a batch of one's own and who sees it, on top of the version that was seen.
pub async fn save_about(
    conn: &mut PgConnection,
    owner: MemberId,
    (batch, seen): (&PublicId, i32),
    (name, visibility): (&str, Visibility),
) -> Result<(), SaveError> {
    let done = query!(
        "update batches set name = $4, visibility = $5, version = version + 1
         where public_id = $1 and owner_id = $2 and version = $3",
        batch.as_str(),
        owner.0,
        seen,
        name,
        visibility as Visibility,
    );
    match done.execute(&mut *conn).await?.rows_affected() {
        0 => match find(conn, Some(owner), batch).await? {
            Some(found) if found.owner == owner => Err(SaveError::Conflict),
            _ => Err(SaveError::NotFound),
        },
        _ => Ok(()),
    }
}

/// Into the bin, or out of it. False when it is not the member's.
pub async fn bin(
    conn: &mut PgConnection,
    owner: MemberId,
    batch: &PublicId,
    binned_at: Option<DateTime<Utc>>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update batches set binned_at = case when $3::timestamptz is null then null else coalesce(binned_at, $3) end
         where public_id = $1 and owner_id = $2",
        batch.as_str(),
        owner.0,
        binned_at
    );
    Ok(done.execute(conn).await?.rows_affected() > 0)
}

/// Ends a batch, or lets it go on.
pub async fn end(
    conn: &mut PgConnection,
    batch: BatchId,
    ended: Option<(DateTime<Utc>, Ending)>,
) -> Result<(), sqlx::Error> {
    let (at, how) = ended.unzip();
    query!(
        "update batches set ended_at = $2, how_it_ended = $3 where id = $1",
        batch.0,
        at,
        how.map(Ending::word)
    )
    .execute(conn)
    .await?;
    Ok(())
}
