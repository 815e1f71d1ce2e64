//! Revisions whose numbers another version reckoned.

use serde_json::Value;
use sqlx::PgConnection;

use crate::recipes::model::RevisionId;

/// A revision to be reckoned again.
pub struct Stale {
    pub revision: RevisionId,
    pub document: Value,
}

/// The next of them after a key, locked until the transaction ends; those that another holds are left out.
pub async fn stale(
    conn: &mut PgConnection,
    version: &str,
    after: i64,
    limit: i64,
) -> Result<Vec<Stale>, sqlx::Error> {
    sqlx::query_as!(
        Stale,
        r#"select n.revision_id as "revision: RevisionId", v.document
           from revision_numbers n join revisions v on v.id = n.revision_id
           where n.engine_version <> $1 and n.revision_id > $2
           order by n.revision_id limit $3 for update of n skip locked"#,
        version,
        after,
        limit,
    )
    .fetch_all(conn)
    .await
}
