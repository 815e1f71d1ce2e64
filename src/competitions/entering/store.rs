//! Writing entries with their makers, and reading them as a maker. Callers hold the competition.

use std::collections::HashSet;

use chrono::{DateTime, Utc};
use sqlx::types::Json;
use sqlx::{PgConnection, query, query_scalar};

use super::model::{Counted, Mine, Said};
use crate::competitions::entries;
use crate::competitions::model::{CategoryId, CompetitionId, EntryId};
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// How many entries the member and the competition have, withdrawn ones not counted.
pub async fn count(
    conn: &mut PgConnection,
    competition: CompetitionId,
    member: MemberId,
) -> Result<Counted, sqlx::Error> {
    let row = query!(
        r#"select count(*) as "in_all!", count(*) filter (where exists (select from competition_makers k
               where k.entry_id = e.id and k.member_id = $2 and k.leads)) as "of_member!"
           from competition_entries e where e.competition_id = $1 and e.withdrawn_at is null"#,
        competition.0,
        member.0
    );
    let row = row.fetch_one(conn).await?;
    Ok(Counted {
        of_member: row.of_member,
        in_all: row.in_all,
    })
}

/// Codes that were given out.
pub async fn codes(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<HashSet<String>, sqlx::Error> {
    let codes = query_scalar!(
        "select code from competition_entries where competition_id = $1",
        competition.0
    );
    Ok(codes.fetch_all(conn).await?.into_iter().collect())
}

/// Whether a category is one of the competition into which one may enter.
pub async fn has_category(
    conn: &mut PgConnection,
    competition: CompetitionId,
    category: CategoryId,
) -> Result<bool, sqlx::Error> {
    query_scalar!(
        r#"select exists (select from competition_categories where id = $2 and competition_id = $1
               and merged_into is null and part_of is null) as "has!""#,
        competition.0,
        category.0
    )
    .fetch_one(conn)
    .await
}

/// Puts an entry down under a code.
pub async fn make(
    conn: &mut PgConnection,
    competition: CompetitionId,
    code: &str,
    public_id: &PublicId,
    said: &Said,
) -> Result<EntryId, sqlx::Error> {
    query_scalar!(
        r#"insert into competition_entries (public_id, competition_id, category_id, code, declared)
           values ($1, $2, $3, $4, $5) returning id as "id: EntryId""#,
        public_id.as_str(),
        competition.0,
        said.category.0,
        code,
        Json(&said.declared) as _
    )
    .fetch_one(conn)
    .await
}

/// Writes whose it is: whoever leads, and whoever made it together with them. What was written before is replaced.
pub async fn set_makers(
    conn: &mut PgConnection,
    entry: EntryId,
    lead: MemberId,
    said: &Said,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    let others: Vec<i64> = said
        .together
        .iter()
        .filter(|other| **other != lead)
        .map(|other| other.0)
        .collect();
    query!(
        "delete from competition_makers where entry_id = $1 and not leads and member_id <> all($2)",
        entry.0,
        &others
    )
    .execute(&mut *conn)
    .await?;
    query!(
        "insert into competition_makers (entry_id, member_id, leads, batch_id, name, entered_at)
         values ($1, $2, true, (select b.id from batches b where b.public_id = $3 and b.owner_id = $2), $4, $5)
         on conflict (entry_id, member_id) do update set batch_id = excluded.batch_id, name = excluded.name",
        entry.0,
        lead.0,
        said.batch.as_ref().map(PublicId::as_str),
        said.name,
        now
    )
    .execute(&mut *conn)
    .await?;
    query!(
        "insert into competition_makers (entry_id, member_id, leads, name, entered_at)
         select distinct $1::bigint, other, false, $3, $4::timestamptz from unnest($2::bigint[]) other
         on conflict (entry_id, member_id) do update set name = excluded.name",
        entry.0,
        &others,
        said.name,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Members who may have made it together with the viewer: id, public id, name.
pub async fn others(
    conn: &mut PgConnection,
    viewer: MemberId,
) -> Result<Vec<(MemberId, String, String)>, sqlx::Error> {
    let rows = query!(
        r#"select id as "id: MemberId", public_id, name from members
           where id <> $1 and disabled_at is null and left_at is null order by name_key"#,
        viewer.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows.map(|row| (row.id, row.public_id, row.name)).collect())
}

struct MineRow {
    code: String,
    name: String,
    leads: bool,
    lead_name: String,
    batch: Option<PublicId>,
    together: Vec<i64>,
    together_names: Vec<String>,
    entered_at: DateTime<Utc>,
}

/// Entries of which the viewer is a maker, the last one first.
pub async fn mine(
    conn: &mut PgConnection,
    competition: CompetitionId,
    viewer: MemberId,
) -> Result<Vec<Mine>, sqlx::Error> {
    let rows = sqlx::query_as!(
        MineRow,
        r#"select e.code, k.name, k.leads, m.name as lead_name, b.public_id as "batch?: PublicId",
               array(select o.member_id from competition_makers o where o.entry_id = e.id and not o.leads
                   order by o.member_id) as "together!",
               array(select p.name from competition_makers o join members p on p.id = o.member_id
                   where o.entry_id = e.id and not o.leads order by o.member_id) as "together_names!", k.entered_at
           from competition_makers k
           join competition_entries e on e.id = k.entry_id
           join competition_makers l on l.entry_id = e.id and l.leads
           join members m on m.id = l.member_id
           left join batches b on b.id = l.batch_id and batch_visible(b, $2)
           where e.competition_id = $1 and k.member_id = $2
           order by k.entered_at desc, e.code"#,
        competition.0,
        viewer.0
    )
    .fetch_all(&mut *conn)
    .await?;
    let mut entries = entries::store::all(conn, competition).await?;
    let mut mine = Vec::new();
    for row in rows {
        let Some(at) = entries.iter().position(|entry| entry.code == row.code) else {
            continue;
        };
        let together = row.together.into_iter().map(MemberId);
        mine.push(Mine {
            entry: entries.swap_remove(at),
            name: row.name,
            leads: row.leads,
            lead_name: row.lead_name,
            batch: row.batch,
            together: together.zip(row.together_names).collect(),
            entered_at: row.entered_at,
        });
    }
    Ok(mine)
}

/// Writes what is declared and where it belongs; false when somebody did so since.
pub async fn change(
    conn: &mut PgConnection,
    entry: EntryId,
    version: i32,
    said: &Said,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update competition_entries set category_id = $3, declared = $4, masked_note = null, masked_special = null,
             checked_at = null, version = version + 1
         where id = $1 and version = $2 and withdrawn_at is null",
        entry.0,
        version,
        said.category.0,
        Json(&said.declared) as _
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Takes an entry back; false when it is out already.
pub async fn withdraw(
    conn: &mut PgConnection,
    entry: EntryId,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update competition_entries set withdrawn_at = $2, version = version + 1 where id = $1 and withdrawn_at is null",
        entry.0,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Takes a member off those who made it together; whoever entered it stays.
pub async fn leave(
    conn: &mut PgConnection,
    entry: EntryId,
    member: MemberId,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "delete from competition_makers where entry_id = $1 and member_id = $2 and not leads",
        entry.0,
        member.0
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}
