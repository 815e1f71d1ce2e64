//! Whose the entries are: read by organisers alone, each time with a row in the chain of deeds.

use sqlx::{PgConnection, query, query_scalar};

use crate::competitions::model::{CategoryId, CompetitionId, Duty};
use crate::web::viewer::MemberId;

/// An entry with its makers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Whose {
    pub code: String,
    pub category: CategoryId,
    pub called: String,
    pub lead: String,
    pub others: Vec<String>,
}

/// Every entry with its makers, by codes.
pub async fn all(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Whose>, sqlx::Error> {
    let rows = query!(
        r#"select e.code, e.category_id as "category: CategoryId", k.name as called, m.name as lead,
               array(select p.name from competition_makers o join members p on p.id = o.member_id
                   where o.entry_id = e.id and not o.leads order by p.name_key) as "others!: Vec<String>"
           from competition_entries e join competition_makers k on k.entry_id = e.id and k.leads
           join members m on m.id = k.member_id
           where e.competition_id = $1 order by e.code"#,
        competition.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Whose {
            code: row.code,
            category: row.category,
            called: row.called,
            lead: row.lead,
            others: row.others,
        })
        .collect())
}

/// Organisers and stewards who entered something themselves: name, duty, category.
pub async fn walled(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<(String, Duty, CategoryId)>, sqlx::Error> {
    let rows = query!(
        r#"select distinct m.name, s.duty as "duty: Duty", e.category_id as "category: CategoryId"
           from competition_roster s join members m on m.id = s.member_id
           join competition_makers k on k.member_id = s.member_id
           join competition_entries e on e.id = k.entry_id and e.competition_id = s.competition_id
           where s.competition_id = $1 and s.duty in ('organiser', 'steward') and e.withdrawn_at is null
           order by 1, 2, 3"#,
        competition.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows.map(|row| (row.name, row.duty, row.category)).collect())
}

/// Whether a member has read whose the entries are: they judge and pour nothing here any more.
pub async fn has_read(
    conn: &mut PgConnection,
    competition: CompetitionId,
    member: MemberId,
) -> Result<bool, sqlx::Error> {
    query_scalar!(
        r#"select exists (select from competition_deeds where competition_id = $1 and by_id = $2
               and deed = 'names_read') as "has!""#,
        competition.0,
        member.0
    )
    .fetch_one(conn)
    .await
}
