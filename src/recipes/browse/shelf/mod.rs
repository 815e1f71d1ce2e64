//! A whole shelf, the newest first: the list that is opened most often, in one statement.

mod store;

use super::place::After;
use super::{Search, Sort};
use crate::recipes::model::{Cursor, RecipePage};

impl Search<'_> {
    /// Whether nothing narrows the shelf, and no more is looked for than one statement reads.
    pub(super) fn is_whole(&self) -> bool {
        self.view.words.trim().is_empty() && self.view.filter.is_empty() && self.need <= store::MOST
    }

    /// A page of it.
    pub(super) async fn whole(
        &mut self,
        after: Option<&Cursor>,
    ) -> Result<RecipePage, sqlx::Error> {
        let (own, after) = (self.own(), After::of(Sort::Newest, after));
        let ways = (self.has_the_clubs(), own.as_ref());
        let mut lines = store::newest(self.conn, self.viewer, ways, &after, self.need).await?;
        let more = lines.len() == self.need;
        lines.truncate(self.need - 1);
        let next = lines.last().filter(|_| more).map(|last| Cursor::Newest {
            updated_at: last.updated_at,
            public_id: last.public_id.clone(),
        });
        Ok(RecipePage { lines, next })
    }
}
