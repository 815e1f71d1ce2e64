//! Drafts in the database: newer text wins, older arrivals lose, saving ends them.

use std::time::Duration;

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::PgConnection;
use sqlx::types::Json;

use super::{Draft, DraftLine, Fields, KEPT_DAYS, KEPT_THROWN, Kept, PutDraft, WRITE_EVERY};
use crate::recipes::public_id::PublicId;
use crate::recipes::saving::store::without_nul;
use crate::web::viewer::MemberId;

/// Keeps what was typed. A recipe or source that is not there for this member is left out; the text is kept
/// all the same.
pub async fn put(
    conn: &mut PgConnection,
    put: &PutDraft<'_>,
    now: DateTime<Utc>,
) -> Result<Kept, sqlx::Error> {
    let fields: Fields = put
        .fields
        .iter()
        .map(|(name, text)| (without_nul(name), without_nul(text)))
        .collect();
    let written = sqlx::query_scalar!(
        r#"insert into recipe_drafts as d (member_id, public_id, recipe_id, base_version, started_from_id, title,
               fields, sequence, created_at, updated_at)
           values ($1, $2,
               (select id from recipes where public_id = $3 and owner_id = $1), $4,
               (select v.id from recipes r join revisions v on v.recipe_id = r.id
                where r.public_id = $5 and v.number = $6 and recipe_visible(r, $1)),
               $7, $8, coalesce($9::bigint, 1), $10, $10)
           on conflict (member_id, public_id) do update set
               recipe_id = excluded.recipe_id, base_version = excluded.base_version,
               started_from_id = coalesce(excluded.started_from_id, d.started_from_id),
               title = excluded.title, fields = excluded.fields,
               sequence = coalesce($9, d.sequence + 1), updated_at = excluded.updated_at, closed_at = null, thrown_at = null
           where ($9::bigint is null or $9 > d.sequence)
             and ($11 or d.closed_at is not null or d.thrown_at is not null or d.updated_at <= $12 or d.updated_at > $10)
           returning sequence"#,
        put.member.0,
        put.draft.as_str(),
        put.editing.map(|(recipe, _)| recipe.as_str()),
        put.editing.map(|(_, version)| version),
        put.started_from.map(|source| source.recipe.as_str()),
        put.started_from.map(|source| source.number),
        without_nul(put.title),
        Json(fields) as Json<Fields>,
        put.sequence,
        now,
        put.at_once || put.sequence.is_none(),
        now - TimeDelta::from_std(WRITE_EVERY).unwrap_or_default(),
    )
    .fetch_optional(&mut *conn)
    .await?;
    if let Some(sequence) = written {
        return Ok(Kept::Written { sequence });
    }
    let row = sqlx::query!(
        "select sequence, updated_at from recipe_drafts where member_id = $1 and public_id = $2",
        put.member.0,
        put.draft.as_str(),
    )
    .fetch_optional(conn)
    .await?;
    Ok(match row {
        Some(row) if put.sequence.is_some_and(|sequence| sequence > row.sequence) => {
            let since = (now - row.updated_at).to_std().unwrap_or(Duration::ZERO);
            Kept::Deferred {
                again_in: WRITE_EVERY.saturating_sub(since),
            }
        }
        // Removed between the two statements: nothing newer is kept, so the text must come again.
        None => Kept::Deferred {
            again_in: Duration::ZERO,
        },
        Some(_) => Kept::Late,
    })
}

/// One open draft of a member.
pub async fn find(
    conn: &mut PgConnection,
    member: MemberId,
    draft: &PublicId,
) -> Result<Option<Draft>, sqlx::Error> {
    let row = sqlx::query!(
        r#"select d.public_id as "draft: PublicId", r.public_id as "recipe?: PublicId", d.base_version,
               source.public_id as "source?: PublicId", s.number as "source_number?", d.title,
               d.fields as "fields: Json<Fields>", d.sequence, d.updated_at
           from recipe_drafts d
           left join recipes r on r.id = d.recipe_id
           left join (revisions s join recipes source on source.id = s.recipe_id and recipe_visible(source, $1))
               on s.id = d.started_from_id
           where d.member_id = $1 and d.public_id = $2 and d.closed_at is null and d.thrown_at is null"#,
        member.0,
        draft.as_str(),
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map(|row| Draft {
        draft: row.draft,
        recipe: row.recipe,
        base_version: row.base_version,
        source: row.source,
        source_number: row.source_number,
        title: row.title,
        fields: row.fields.0,
        sequence: row.sequence,
        updated_at: row.updated_at,
    }))
}

/// A member's open drafts, newest first; at most `limit` (1 to 100).
pub async fn list(
    conn: &mut PgConnection,
    member: MemberId,
    limit: usize,
) -> Result<Vec<DraftLine>, sqlx::Error> {
    sqlx::query_as!(
        DraftLine,
        r#"select d.public_id as "draft: PublicId", r.public_id as "recipe?: PublicId", d.title, d.updated_at
           from recipe_drafts d left join recipes r on r.id = d.recipe_id
           where d.member_id = $1 and d.closed_at is null and d.thrown_at is null
           order by d.updated_at desc, d.public_id desc limit $2"#,
        member.0,
        limit.clamp(1, 100) as i64,
    )
    .fetch_all(conn)
    .await
}

/// A member's open drafts, and those that they threw away less than a day ago, each newest first; at most `limit`
/// (1 to 100) of either.
pub async fn list_with_thrown(
    conn: &mut PgConnection,
    member: MemberId,
    limit: usize,
    now: DateTime<Utc>,
) -> Result<(Vec<DraftLine>, Vec<DraftLine>), sqlx::Error> {
    let rows = sqlx::query!(
        r#"select d.public_id as "draft!: PublicId", r.public_id as "recipe?: PublicId", d.title as "title!",
               d.updated_at as "updated_at!", d.thrown_at is not null as "thrown!"
           from (
               (select * from recipe_drafts
                where member_id = $1 and closed_at is null and thrown_at is null
                order by updated_at desc, public_id desc limit $2)
               union all
               (select * from recipe_drafts
                where member_id = $1 and closed_at is null and thrown_at > $3
                order by thrown_at desc, public_id desc limit $2)
           ) d left join recipes r on r.id = d.recipe_id
           order by coalesce(d.thrown_at, d.updated_at) desc, d.public_id desc"#,
        member.0,
        limit.clamp(1, 100) as i64,
        now - KEPT_THROWN,
    )
    .fetch_all(conn)
    .await?;
    let (mut kept, mut thrown) = (Vec::new(), Vec::new());
    for row in rows {
        let list = match row.thrown {
            true => &mut thrown,
            false => &mut kept,
        };
        list.push(DraftLine {
            draft: row.draft,
            recipe: row.recipe,
            title: row.title,
            updated_at: row.updated_at,
        });
    }
    Ok((kept, thrown))
}

/// Throws a draft away because its maker says so; false when there is none. It can be put back for [`KEPT_THROWN`].
pub async fn discard(
    conn: &mut PgConnection,
    member: MemberId,
    draft: &PublicId,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "update recipe_drafts set thrown_at = $3
         where member_id = $1 and public_id = $2 and closed_at is null and thrown_at is null",
        member.0,
        draft.as_str(),
        now,
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// Puts a draft back that was thrown away; false when there is none any more.
pub async fn put_back(
    conn: &mut PgConnection,
    member: MemberId,
    draft: &PublicId,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "update recipe_drafts set thrown_at = null
         where member_id = $1 and public_id = $2 and closed_at is null and thrown_at > $3",
        member.0,
        draft.as_str(),
        now - KEPT_THROWN,
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// Ends a draft with the save that completes it: the text goes, the sequence number stays for a day.
pub async fn close(
    conn: &mut PgConnection,
    member: MemberId,
    draft: &PublicId,
    sequence: Option<i64>,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "insert into recipe_drafts as d (member_id, public_id, fields, sequence, created_at, updated_at, closed_at)
         values ($1, $2, '[]', coalesce($3::bigint, 0), $4, $4, $4)
         on conflict (member_id, public_id) do update set
             recipe_id = null, base_version = null, started_from_id = null, title = '', fields = '[]',
             sequence = greatest(d.sequence, excluded.sequence), updated_at = $4, closed_at = $4, thrown_at = null",
        member.0,
        draft.as_str(),
        sequence,
        now,
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Removes drafts left alone for [`KEPT_DAYS`], those thrown away, and the traces of ended ones after a day; says how many.
pub async fn prune(conn: &mut PgConnection, now: DateTime<Utc>) -> Result<u64, sqlx::Error> {
    let done = sqlx::query!(
        "delete from recipe_drafts where updated_at < $1 or closed_at < $2 or thrown_at < $3",
        now - TimeDelta::days(KEPT_DAYS),
        now - TimeDelta::days(1),
        now - KEPT_THROWN,
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected())
}
