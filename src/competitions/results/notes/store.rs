//! Entries that came from a batch, with their sheets, for whoever entered them and once the results are out.

use chrono::{DateTime, Utc};
use sqlx::types::Json;
use sqlx::{PgConnection, query, query_scalar};

use crate::engine::contest::declared::Declared;
use crate::engine::contest::sheet::Sheet;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// An entry that was made of a batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    pub competition: String,
    pub title: String,
    pub code: String,
    pub declared: Declared,
    pub released_at: Option<DateTime<Utc>>,
    /// Sheets that count.
    pub sheets: Vec<Sheet>,
}

/// Everything that was judged of a batch of this member's own, the newest first.
pub async fn of_batch(
    conn: &mut PgConnection,
    member: MemberId,
    batch: &PublicId,
) -> Result<Vec<Judged>, sqlx::Error> {
    let rows = query!(
        r#"select e.id, c.public_id, c.title, e.code, e.declared as "declared: Json<Declared>", c.released_at
           from competition_makers k
           join batches b on b.id = k.batch_id and b.owner_id = k.member_id
           join competition_entries e on e.id = k.entry_id
           join competitions c on c.id = e.competition_id and c.phase in ('released', 'archived') and not c.rehearsal
           where k.member_id = $1 and b.public_id = $2 and e.withdrawn_at is null
           order by c.released_at desc nulls last, e.code"#,
        member.0,
        batch.as_str()
    );
    let mut all = Vec::new();
    for row in rows.fetch_all(&mut *conn).await? {
        let sheets = query_scalar!(
            r#"select w.data as "sheet!: Json<Sheet>"
               from (select distinct on (s.flight_id, s.judge_id) s.flight_id, s.judge_id, s.data, s.deed
                     from competition_sheets s
                     join competition_tables t on t.flight_id = s.flight_id and t.member_id = s.judge_id
                     where s.entry_id = $1
                     order by s.flight_id, s.judge_id, s.number desc) w
               where w.deed in ('signed', 'checked') order by w.flight_id, w.judge_id"#,
            row.id
        );
        let sheets = sheets.fetch_all(&mut *conn).await?;
        all.push(Judged {
            competition: row.public_id,
            title: row.title,
            code: row.code,
            declared: row.declared.0,
            released_at: row.released_at,
            sheets: sheets.into_iter().map(|sheet| sheet.0).collect(),
        });
    }
    Ok(all)
}

/// Whether anything of a batch of this member's own was judged, and the results are out: for the link on its sheet.
pub async fn is_judged(
    conn: &mut PgConnection,
    member: MemberId,
    batch: &PublicId,
) -> Result<bool, sqlx::Error> {
    query_scalar!(
        r#"select exists (select from competition_makers k
               join batches b on b.id = k.batch_id and b.owner_id = k.member_id
               join competition_entries e on e.id = k.entry_id
               join competitions c on c.id = e.competition_id and c.phase in ('released', 'archived') and not c.rehearsal
               where k.member_id = $1 and b.public_id = $2 and e.withdrawn_at is null) as "is!""#,
        member.0,
        batch.as_str()
    )
    .fetch_one(conn)
    .await
}
