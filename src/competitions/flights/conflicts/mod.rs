//! Who must not judge what, asked in one place: when judges are given their tables, and again when a sheet is written.

pub mod store;

use std::collections::BTreeSet;

use sqlx::PgConnection;

use crate::competitions::model::{CompetitionId, EntryId};
use crate::engine::contest::abstain::forbids;
use crate::web::viewer::MemberId;

/// Pairs of a judge and an entry that never meet. Why is not among them, so that nobody can be shown it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Forbidden(BTreeSet<(MemberId, EntryId)>);

impl Forbidden {
    /// Whether this judge must not judge this entry.
    pub fn has(&self, judge: MemberId, entry: EntryId) -> bool {
        self.0.contains(&(judge, entry))
    }

    /// Whether this judge must keep away from a table at which any of these is poured.
    pub fn any(&self, judge: MemberId, entries: &[EntryId]) -> bool {
        entries.iter().any(|entry| self.has(judge, *entry))
    }
}

/// All of them: own entries, those made together or under one roof, those that a judge recognised, those that a judge does not
/// taste. The same statements whatever the answer.
pub async fn forbidden(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Forbidden, sqlx::Error> {
    let mut pairs: BTreeSet<_> = store::pairs(conn, competition).await?.into_iter().collect();
    let judges = store::abstaining(conn, competition).await?;
    let entries = store::declared(conn, competition).await?;
    for (judge, words) in &judges {
        let kept_away = entries
            .iter()
            .filter(|(_, declared)| forbids(words, declared));
        pairs.extend(kept_away.map(|(entry, _)| (*judge, *entry)));
    }
    Ok(Forbidden(pairs))
}
