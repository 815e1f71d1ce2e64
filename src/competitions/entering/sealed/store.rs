//! Rows of seals, and of what they are made of.

use sqlx::{PgConnection, query};

use super::{Hash, Made};
use crate::competitions::model::{CompetitionId, EntryId};

/// Every entry with its makers, in the order of the codes.
pub async fn made(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Vec<Made>, sqlx::Error> {
    let rows = query!(
        r#"select e.id as "entry: EntryId", e.code, m.public_id as lead,
               array(select p.public_id from competition_makers o join members p on p.id = o.member_id
                   where o.entry_id = e.id and not o.leads order by p.public_id collate "C") as "others!: Vec<String>"
           from competition_entries e join competition_makers k on k.entry_id = e.id and k.leads
           join members m on m.id = k.member_id
           where e.competition_id = $1 order by e.code"#,
        competition.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    Ok(rows
        .map(|row| Made {
            entry: row.entry,
            code: row.code,
            lead: row.lead,
            others: row.others,
        })
        .collect())
}

/// Keeps the seals in place of earlier ones, with the salt that opens them and the hash of all.
pub async fn put(
    conn: &mut PgConnection,
    competition: CompetitionId,
    seals: &[(EntryId, Hash)],
    (salt, all): (&Hash, &Hash),
) -> Result<(), sqlx::Error> {
    query!(
        "delete from competition_seals s using competition_entries e
         where e.id = s.entry_id and e.competition_id = $1",
        competition.0
    )
    .execute(&mut *conn)
    .await?;
    let ids: Vec<i64> = seals.iter().map(|(entry, _)| entry.0).collect();
    let hashes: Vec<Vec<u8>> = seals.iter().map(|(_, seal)| seal.to_vec()).collect();
    query!(
        "insert into competition_seals (entry_id, seal) select * from unnest($1::bigint[], $2::bytea[])",
        &ids,
        &hashes
    )
    .execute(&mut *conn)
    .await?;
    query!(
        "update competitions set commitment = $2, commitment_salt = $3 where id = $1",
        competition.0,
        &all[..],
        &salt[..]
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// What is kept of the seal of a competition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    pub all: Vec<u8>,
    pub salt: Vec<u8>,
    /// Codes with their seals, in the order of the codes.
    pub seals: Vec<(String, Vec<u8>)>,
}

/// Reads it; none before entries were closed.
pub async fn kept(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Option<Kept>, sqlx::Error> {
    let head = query!(
        "select commitment, commitment_salt from competitions where id = $1",
        competition.0
    );
    let head = head.fetch_one(&mut *conn).await?;
    let rows = query!(
        "select e.code, s.seal from competition_seals s join competition_entries e on e.id = s.entry_id
         where e.competition_id = $1 order by e.code",
        competition.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    let seals = rows.map(|row| (row.code, row.seal)).collect();
    let both = head.commitment.zip(head.commitment_salt);
    Ok(both.map(|(all, salt)| Kept { all, salt, seals }))
}
