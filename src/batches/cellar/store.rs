//! The cellar in the database: what logs fill follows them, what is taken out is written down.

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::model::{Days, Filled, Lot, Taken, Taking};
use crate::batches::model::BatchId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Makes the lots of a batch what its log says: new ones with `names` (public id and code), one for each of `filled`; what is not
/// said any more is empty. Places, and what was taken, stay.
pub async fn follow(
    conn: &mut PgConnection,
    batch: BatchId,
    filled: &[(Filled, [String; 2])],
    days: Days,
) -> Result<(), sqlx::Error> {
    query!(
        "update cellar_lots set filled = 0 where batch_id = $1 and filled > 0",
        batch.0
    )
    .execute(&mut *conn)
    .await?;
    for (one, [public_id, code]) in filled {
        query!(
            "insert into cellar_lots (public_id, code, batch_id, entry, size_ml, filled, gas, filled_at, good_on, best_on,
                 keeps_until, keg)
             values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
             on conflict on constraint cellar_lots_of_entry do update set filled = $6, gas = $7, filled_at = $8, good_on = $9,
                 best_on = $10, keeps_until = $11, keg = $12",
            public_id,
            code,
            batch.0,
            one.entry,
            one.size_ml,
            one.count,
            one.gas,
            one.at,
            days.good_on,
            days.best_on,
            days.keeps_until,
            one.keg,
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

/// The most lots that a cellar shows.
const MOST: i64 = 500;

/// The lots of a member's batches that were ever filled, the batch that was filled last first; of one batch alone where it is given.
pub async fn lots(
    conn: &mut PgConnection,
    owner: MemberId,
    batch: Option<&PublicId>,
) -> Result<Vec<Lot>, sqlx::Error> {
    query_as!(
        Lot,
        r#"select l.id, l.public_id, l.code, b.public_id as "batch: PublicId", b.name as batch_name,
               b.owner_id as "owner: MemberId", l.size_ml, l.filled,
               (select coalesce(sum(t.bottles), 0) from cellar_taken t
                where t.lot_id = l.id and t.put_back_at is null) as "taken!",
               l.gas, l.keg, l.filled_at, l.good_on, l.best_on, l.keeps_until, l.place, l.kept_back, l.kept_until
           from cellar_lots l join batches b on b.id = l.batch_id
           where b.owner_id = $1 and b.binned_at is null and l.filled > 0 and ($2::text is null or b.public_id = $2)
           order by l.filled_at desc, l.id limit $3"#,
        owner.0,
        batch.map(PublicId::as_str),
        MOST,
    )
    .fetch_all(conn)
    .await
}

/// A lot of a member's own.
pub async fn lot(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
) -> Result<Option<Lot>, sqlx::Error> {
    query_as!(
        Lot,
        r#"select l.id, l.public_id, l.code, b.public_id as "batch: PublicId", b.name as batch_name,
               b.owner_id as "owner: MemberId", l.size_ml, l.filled,
               (select coalesce(sum(t.bottles), 0) from cellar_taken t
                where t.lot_id = l.id and t.put_back_at is null) as "taken!",
               l.gas, l.keg, l.filled_at, l.good_on, l.best_on, l.keeps_until, l.place, l.kept_back, l.kept_until
           from cellar_lots l join batches b on b.id = l.batch_id
           where l.public_id = $1 and b.owner_id = $2 and b.binned_at is null and l.filled > 0"#,
        public_id,
        owner.0,
    )
    .fetch_optional(conn)
    .await
}

/// The lot of a code on a label, whoever asks: who may know more than its label says is not decided here.
pub async fn of_code(conn: &mut PgConnection, code: &str) -> Result<Option<Lot>, sqlx::Error> {
    query_as!(
        Lot,
        r#"select l.id, l.public_id, l.code, b.public_id as "batch: PublicId", b.name as batch_name,
               b.owner_id as "owner: MemberId", l.size_ml, l.filled,
               (select coalesce(sum(t.bottles), 0) from cellar_taken t
                where t.lot_id = l.id and t.put_back_at is null) as "taken!",
               l.gas, l.keg, l.filled_at, l.good_on, l.best_on, l.keeps_until, l.place, l.kept_back, l.kept_until
           from cellar_lots l join batches b on b.id = l.batch_id
           where l.code = $1 and b.binned_at is null and l.filled > 0"#,
        code,
    )
    .fetch_optional(conn)
    .await
}

/// Holds a lot until the transaction ends, so that two who take from it take one after the other.
pub async fn hold(conn: &mut PgConnection, lot: i64) -> Result<(), sqlx::Error> {
    query_scalar!(
        "select 1 as held from cellar_lots where id = $1 for update",
        lot
    )
    .fetch_optional(conn)
    .await?;
    Ok(())
}

/// Takes bottles out of a lot that is held; those kept back are never more than there are left.
pub async fn take(
    conn: &mut PgConnection,
    (lot, by): (&Lot, MemberId),
    public_id: &str,
    taking: &Taking,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into cellar_taken (public_id, lot_id, bottles, why, whom, by_id, at, recorded_at)
         values ($1, $2, $3, $4, $5, $6, $7, $8)",
        public_id,
        lot.id,
        taking.bottles,
        taking.why.word(),
        taking.whom,
        by.0,
        taking.at,
        now,
    )
    .execute(&mut *conn)
    .await?;
    let left = lot.left() - i64::from(taking.bottles);
    query!(
        "update cellar_lots set kept_back = least(kept_back, $2) where id = $1",
        lot.id,
        i32::try_from(left.max(0)).unwrap_or(i32::MAX),
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// What was taken from a lot, the newest first.
pub async fn taken(conn: &mut PgConnection, lot: i64) -> Result<Vec<Taken>, sqlx::Error> {
    query_as!(
        Taken,
        r#"select t.public_id, t.bottles, t.why, t.whom, m.name as by_name, t.at, t.put_back_at
           from cellar_taken t join members m on m.id = t.by_id
           where t.lot_id = $1 order by t.at desc, t.id desc limit 500"#,
        lot
    )
    .fetch_all(conn)
    .await
}

/// It was a slip: what was taken is there again. False where there is nothing to put back.
pub async fn put_back(
    conn: &mut PgConnection,
    lot: i64,
    taken: &str,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update cellar_taken set put_back_at = $3 where lot_id = $1 and public_id = $2 and put_back_at is null",
        lot,
        taken,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() > 0)
}

/// Where a lot lies, how many of it are kept back, and until when.
pub async fn save(
    conn: &mut PgConnection,
    lot: i64,
    place: &str,
    (kept_back, kept_until): (i32, Option<NaiveDate>),
) -> Result<(), sqlx::Error> {
    query!(
        "update cellar_lots set place = $2, kept_back = $3, kept_until = $4 where id = $1",
        lot,
        place,
        kept_back,
        kept_until
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The same for all that an entry of a log has just filled; of several sizes of bottles the most numerous keeps some back.
pub async fn lay_down(
    conn: &mut PgConnection,
    (batch, entry): (BatchId, i32),
    place: &str,
    (kept_back, kept_until): (i32, Option<NaiveDate>),
) -> Result<(), sqlx::Error> {
    query!(
        "update cellar_lots set place = $3 where batch_id = $1 and entry = $2",
        batch.0,
        entry,
        place
    )
    .execute(&mut *conn)
    .await?;
    query!(
        "update cellar_lots set kept_back = $3, kept_until = $4
         where id = (select id from cellar_lots where batch_id = $1 and entry = $2 and filled >= $3 and not keg order by filled desc, id limit 1)",
        batch.0,
        entry,
        kept_back,
        kept_until
    )
    .execute(conn)
    .await?;
    Ok(())
}
