//! Competitions and their categories, within what the viewer may see: a draft is seen by its organisers alone.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;
use sqlx::types::Json;

use super::model::{Category, CategoryId, Competition, CompetitionId, Duty, Phase};
use crate::engine::contest::rules::Rules;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

struct Row {
    id: CompetitionId,
    public_id: PublicId,
    title: String,
    phase: Phase,
    rehearsal: bool,
    rules: Json<Rules>,
    terms: String,
    prizes: String,
    created_at: DateTime<Utc>,
    released_at: Option<DateTime<Utc>>,
    version: i32,
}

impl From<Row> for Competition {
    fn from(row: Row) -> Competition {
        Competition {
            id: row.id,
            public_id: row.public_id,
            title: row.title,
            phase: row.phase,
            rehearsal: row.rehearsal,
            rules: row.rules.0,
            terms: row.terms,
            prizes: row.prizes,
            created_at: row.created_at,
            released_at: row.released_at,
            version: row.version,
        }
    }
}

async fn read(
    conn: &mut PgConnection,
    viewer: MemberId,
    competition: Option<&str>,
) -> Result<Vec<Competition>, sqlx::Error> {
    let rows = sqlx::query_as!(
        Row,
        r#"select c.id as "id: CompetitionId", c.public_id as "public_id: PublicId", c.title, c.phase as "phase: Phase",
               c.rehearsal, c.rules as "rules: Json<Rules>", c.terms, c.prizes, c.created_at, c.released_at, c.version
           from competitions c
           where ($2::text is null or c.public_id = $2)
               and (c.phase <> 'draft' or exists (select from competition_roster s
                   where s.competition_id = c.id and s.member_id = $1 and s.duty = 'organiser'))
           order by c.created_at desc, c.id desc limit 200"#,
        viewer.0,
        competition
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(Competition::from).collect())
}

/// Those that the viewer may see, the newest first.
pub async fn list(
    conn: &mut PgConnection,
    viewer: MemberId,
) -> Result<Vec<Competition>, sqlx::Error> {
    read(conn, viewer, None).await
}

/// One of them.
pub async fn find(
    conn: &mut PgConnection,
    viewer: MemberId,
    competition: &str,
) -> Result<Option<Competition>, sqlx::Error> {
    let found = read(conn, viewer, Some(competition)).await?;
    Ok(found.into_iter().next())
}

/// What is the viewer's duty at it.
pub async fn duties(
    conn: &mut PgConnection,
    viewer: MemberId,
    competition: CompetitionId,
) -> Result<Vec<Duty>, sqlx::Error> {
    sqlx::query_scalar!(
        r#"select duty as "duty: Duty" from competition_roster where competition_id = $1 and member_id = $2 order by duty"#,
        competition.0,
        viewer.0
    )
    .fetch_all(conn)
    .await
}

/// Holds the competition until the end of the transaction, so that nothing moves it on meanwhile, and tells where it stands.
pub async fn hold(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Phase, sqlx::Error> {
    sqlx::query_scalar!(
        r#"select phase as "phase: Phase" from competitions where id = $1 for no key update"#,
        competition.0
    )
    .fetch_one(conn)
    .await
}

/// Its categories, in their order.
pub async fn categories(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Category>, sqlx::Error> {
    sqlx::query_as!(
        Category,
        r#"select id as "id: CategoryId", place, name, about, family, strength,
               merged_into as "merged_into: CategoryId", part_of as "part_of: CategoryId"
           from competition_categories where competition_id = $1 order by place"#,
        competition.0
    )
    .fetch_all(conn)
    .await
}
