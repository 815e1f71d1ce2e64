//! The rows behind who must not judge what. No name and no address leaves this file.

use std::collections::BTreeSet;

use sqlx::PgConnection;
use sqlx::types::Json;

use crate::competitions::model::{CategoryId, CompetitionId, EntryId};
use crate::engine::contest::declared::Declared;
use crate::web::viewer::MemberId;

/// Judges and entries kept apart by whose the entry is, or because the judge said that they recognise it.
pub(super) async fn pairs(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(MemberId, EntryId)>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select s.member_id as "judge!: MemberId", e.id as "entry!: EntryId"
           from competition_roster s
           join competition_entries e on e.competition_id = s.competition_id
           join competition_makers m on m.entry_id = e.id
           where s.competition_id = $1 and s.duty = 'judge'
               and (m.member_id = s.member_id or exists (select from competition_conflicts k
                   where k.competition_id = s.competition_id
                       and k.one_id = least(m.member_id, s.member_id) and k.other_id = greatest(m.member_id, s.member_id)))
           union
           select w.judge_id, w.entry_id
           from competition_sheets w
           join competition_flights f on f.id = w.flight_id
           where f.competition_id = $1 and w.deed = 'recused'"#,
        competition.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(|row| (row.judge, row.entry)).collect())
}

/// Judges who do not taste everything, with their words.
pub(super) async fn abstaining(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(MemberId, Vec<String>)>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select member_id as "judge: MemberId", abstains from competition_roster
           where competition_id = $1 and duty = 'judge' and abstains <> '{}' order by member_id"#,
        competition.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| (row.judge, row.abstains))
        .collect())
}

/// What is declared of every entry.
pub(super) async fn declared(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(EntryId, Declared)>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select id as "id: EntryId", declared as "declared: Json<Declared>"
           from competition_entries where competition_id = $1 order by id"#,
        competition.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows
        .into_iter()
        .map(|row| (row.id, row.declared.0))
        .collect())
}

/// Categories in which this member has an entry, alone or with others: whoever organises or pours leaves those to somebody else.
/// A rehearsal hides nothing.
pub async fn walled_off(
    conn: &mut PgConnection,
    competition: CompetitionId,
    member: MemberId,
) -> Result<BTreeSet<CategoryId>, sqlx::Error> {
    let rows = sqlx::query_scalar!(
        r#"select distinct e.category_id as "category: CategoryId"
           from competition_makers m join competition_entries e on e.id = m.entry_id
           where m.member_id = $2 and e.competition_id = $1 and e.withdrawn_at is null
               and not (select c.rehearsal from competitions c where c.id = $1)"#,
        competition.0,
        member.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().collect())
}
