//! Tastings and what is poured at them, each within what the viewer may see.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_scalar};

use super::model::{Kind, NewTasting, Pour, Tasting, TastingId};
use crate::recipes::public_id::PublicId;
use crate::web::policy::Visibility;
use crate::web::viewer::MemberId;

struct Row {
    id: TastingId,
    public_id: PublicId,
    host: MemberId,
    host_name: String,
    title: String,
    kind: String,
    coded: bool,
    on_paper: bool,
    visibility: Visibility,
    question: String,
    created_at: DateTime<Utc>,
    closed_at: Option<DateTime<Utc>>,
    seated: bool,
    readable: bool,
}

impl TryFrom<Row> for Tasting {
    type Error = sqlx::Error;

    fn try_from(row: Row) -> Result<Tasting, sqlx::Error> {
        let kind = Kind::from_word(&row.kind)
            .ok_or_else(|| sqlx::Error::Decode("an unknown kind of tasting".into()))?;
        Ok(Tasting {
            id: row.id,
            public_id: row.public_id,
            host: row.host,
            host_name: row.host_name,
            title: row.title,
            kind,
            coded: row.coded,
            on_paper: row.on_paper,
            visibility: row.visibility,
            question: row.question,
            created_at: row.created_at,
            closed_at: row.closed_at,
            seated: row.seated,
            readable: row.readable,
        })
    }
}

/// What a list is of.
#[derive(Clone, Copy, Default)]
struct Of<'a> {
    tasting: Option<&'a str>,
    batch: Option<&'a str>,
}

async fn read(
    conn: &mut PgConnection,
    viewer: MemberId,
    of: Of<'_>,
) -> Result<Vec<Tasting>, sqlx::Error> {
    let rows = sqlx::query_as!(
        Row,
        r#"select t.id as "id: TastingId", t.public_id as "public_id: PublicId", t.host_id as "host: MemberId",
               m.name as host_name, t.title, t.kind, t.coded, t.on_paper, t.visibility as "visibility: Visibility",
               t.question, t.created_at, t.closed_at,
               exists (select from tasting_seats s where s.tasting_id = t.id and s.member_id = $1) as "seated!",
               tasting_readable(t, $1) as "readable!"
           from tastings t join members m on m.id = t.host_id
           where tasting_visible(t, $1)
               and ($2::text is null or t.public_id = $2)
               and ($3::text is null or exists (select from tasting_pours p join batches b on b.id = p.batch_id
                   where p.tasting_id = t.id and b.public_id = $3
                       and (t.closed_at is not null or not t.coded or t.host_id = $1)))
           order by t.created_at desc, t.id desc limit 200"#,
        viewer.0,
        of.tasting,
        of.batch
    );
    let rows = rows.fetch_all(conn).await?;
    rows.into_iter().map(Tasting::try_from).collect()
}

/// Tastings that the viewer may see, the newest first.
pub async fn list(conn: &mut PgConnection, viewer: MemberId) -> Result<Vec<Tasting>, sqlx::Error> {
    read(conn, viewer, Of::default()).await
}

/// Tastings at which a batch was poured, as far as the viewer may see them and know by now what was in the glasses.
pub async fn of_batch(
    conn: &mut PgConnection,
    viewer: MemberId,
    batch: &PublicId,
) -> Result<Vec<Tasting>, sqlx::Error> {
    let of = Of {
        batch: Some(batch.as_str()),
        ..Of::default()
    };
    read(conn, viewer, of).await
}

/// One tasting, unless the viewer may not see it.
pub async fn find(
    conn: &mut PgConnection,
    viewer: MemberId,
    id: &str,
) -> Result<Option<Tasting>, sqlx::Error> {
    let of = Of {
        tasting: Some(id),
        ..Of::default()
    };
    Ok(read(conn, viewer, of).await?.pop())
}

/// What is poured, in order; of a batch is told what the viewer may see, nothing to `None`.
pub async fn pours(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    tasting: TastingId,
) -> Result<Vec<Pour>, sqlx::Error> {
    let rows = query!(
        r#"select p.place, b.public_id as "batch?: PublicId", p.name, p.code, p.allergens
           from tasting_pours p left join batches b on b.id = p.batch_id and batch_visible(b, $2)
           where p.tasting_id = $1 order by p.place"#,
        tasting.0,
        viewer.map(|viewer| viewer.0)
    );
    let rows = rows.fetch_all(conn).await?.into_iter().map(|row| Pour {
        place: row.place,
        batch: row.batch,
        name: row.name,
        code: row.code,
        allergens: row.allergens,
    });
    Ok(rows.collect())
}

/// Opens a tasting. A batch that the host may not see by now is poured under its name alone.
pub async fn make(
    conn: &mut PgConnection,
    host: MemberId,
    public_id: &PublicId,
    new: &NewTasting,
    now: DateTime<Utc>,
) -> Result<TastingId, sqlx::Error> {
    let id = query_scalar!(
        r#"insert into tastings (public_id, host_id, title, kind, coded, on_paper, visibility, question, created_at)
           values ($1, $2, $3, $4, $5, $6, $7, $8, $9) returning id as "id: TastingId""#,
        public_id.as_str(),
        host.0,
        new.title,
        new.kind.word(),
        new.coded,
        new.on_paper,
        new.visibility as Visibility,
        new.question,
        now
    );
    let id = id.fetch_one(&mut *conn).await?;
    for (place, pour) in (1_i32..).zip(&new.pours) {
        let put = query!(
            "insert into tasting_pours (tasting_id, place, batch_id, name, code, allergens)
             values ($1, $2, (select b.id from batches b where b.public_id = $3 and batch_visible(b, $4)), $5, $6, $7)",
            id.0,
            place,
            pour.batch.as_str(),
            host.0,
            pour.name,
            pour.code,
            &pour.allergens
        );
        put.execute(&mut *conn).await?;
    }
    for serving in &new.servings {
        let (codes, meads): (Vec<i32>, Vec<i32>) = serving.glasses.iter().copied().unzip();
        let put = query!(
            "insert into tasting_servings (tasting_id, number, codes, meads) values ($1, $2, $3, $4)",
            id.0,
            serving.number,
            &codes,
            &meads
        );
        put.execute(&mut *conn).await?;
    }
    Ok(id)
}

/// Holds an open tasting until the transaction ends, so that it is neither closed nor called off meanwhile. False when it is over.
pub async fn hold_open(conn: &mut PgConnection, tasting: TastingId) -> Result<bool, sqlx::Error> {
    let open = query_scalar!(
        "select id from tastings where id = $1 and closed_at is null for update",
        tasting.0
    );
    Ok(open.fetch_optional(conn).await?.is_some())
}

/// Closes a tasting; false when it is over already.
pub async fn close(
    conn: &mut PgConnection,
    tasting: TastingId,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update tastings set closed_at = $2 where id = $1 and closed_at is null",
        tasting.0,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Takes a tasting away with everything that was said at it; false when it is not open, or closed, as it `was_closed`.
pub async fn remove(
    conn: &mut PgConnection,
    tasting: TastingId,
    was_closed: bool,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "delete from tastings where id = $1 and (closed_at is not null) = $2",
        tasting.0,
        was_closed
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// An open tasting whose host can close it no more: nothing is told of it but whose it is.
pub struct Left {
    pub public_id: PublicId,
    pub host_name: String,
    pub created_at: DateTime<Utc>,
}

/// Those of members who left or were shut out.
pub async fn left_open(conn: &mut PgConnection) -> Result<Vec<Left>, sqlx::Error> {
    let rows = sqlx::query_as!(
        Left,
        r#"select t.public_id as "public_id: PublicId", m.name as host_name, t.created_at
           from tastings t join members m on m.id = t.host_id
           where t.closed_at is null and m.disabled_at is not null order by t.created_at, t.id limit 200"#
    );
    rows.fetch_all(conn).await
}

/// Closes one of those; false where its host is there, or it is closed.
pub async fn close_left(
    conn: &mut PgConnection,
    tasting: &str,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update tastings t set closed_at = $2 from members m
         where t.public_id = $1 and t.closed_at is null and m.id = t.host_id and m.disabled_at is not null",
        tasting,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// How many have a seat, and how many of them have said something.
pub async fn count(conn: &mut PgConnection, tasting: TastingId) -> Result<(i64, i64), sqlx::Error> {
    let row = query!(
        r#"select count(*) as "seats!", count(*) filter (where s.pick is not null
               or exists (select from tasting_answers a where a.seat_id = s.id)) as "answered!"
           from tasting_seats s where s.tasting_id = $1"#,
        tasting.0
    );
    let row = row.fetch_one(conn).await?;
    Ok((row.seats, row.answered))
}
