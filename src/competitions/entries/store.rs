//! Reading entries without their makers, in the order of their codes, which is nobody's order.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;
use sqlx::types::Json;

use super::{Arrival, Entry};
use crate::competitions::model::{CategoryId, CompetitionId, EntryId};
use crate::engine::contest::declared::Declared;
use crate::recipes::public_id::PublicId;

struct Row {
    id: EntryId,
    public_id: PublicId,
    category: CategoryId,
    code: String,
    declared: Json<Declared>,
    masked_note: Option<String>,
    masked_special: Option<String>,
    withdrawn_at: Option<DateTime<Utc>>,
    fee_paid_at: Option<DateTime<Utc>>,
    arrival: Option<Arrival>,
    bottles_here: Option<i32>,
    checked_at: Option<DateTime<Utc>>,
    version: i32,
}

impl From<Row> for Entry {
    fn from(row: Row) -> Entry {
        Entry {
            id: row.id,
            public_id: row.public_id,
            category: row.category,
            code: row.code,
            declared: row.declared.0,
            masked_note: row.masked_note,
            masked_special: row.masked_special,
            withdrawn_at: row.withdrawn_at,
            fee_paid_at: row.fee_paid_at,
            arrival: row.arrival,
            bottles_here: row.bottles_here,
            checked_at: row.checked_at,
            version: row.version,
        }
    }
}

async fn read(
    conn: &mut PgConnection,
    competition: CompetitionId,
    code: Option<&str>,
) -> Result<Vec<Entry>, sqlx::Error> {
    let rows = sqlx::query_as!(
        Row,
        r#"select e.id as "id: EntryId", e.public_id as "public_id: PublicId", e.category_id as "category: CategoryId",
               e.code, e.declared as "declared: Json<Declared>", e.masked_note, e.masked_special, e.withdrawn_at, e.fee_paid_at,
               e.arrival as "arrival: Arrival", e.bottles_here, e.checked_at, e.version
           from competition_entries e
           where e.competition_id = $1 and ($2::text is null or e.code = $2)
           order by e.code"#,
        competition.0,
        code
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(Entry::from).collect())
}

/// All of a competition, those that were withdrawn among them.
pub async fn all(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Entry>, sqlx::Error> {
    read(conn, competition, None).await
}

/// The one of a code.
pub async fn of_code(
    conn: &mut PgConnection,
    competition: CompetitionId,
    code: &str,
) -> Result<Option<Entry>, sqlx::Error> {
    Ok(read(conn, competition, Some(code)).await?.pop())
}
