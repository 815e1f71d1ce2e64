//! Comments: one's own words about a recipe, with everything they ever said, and their removal.
//!
//! Whoever sees the recipe reads them and their earlier words. Removed by their writer, by the recipe's owner or by a
//! keeper, a comment keeps its place and is read by its writer alone: a keeper who removes it has read it before.

pub(super) mod pages;
pub mod store;

use chrono::{DateTime, Utc};

use crate::recipes::model::Recipe;
use crate::web::policy::{Action, Facts, Visibility, may};
use crate::web::viewer::{MemberId, Viewer};

/// The longest comment, in characters.
pub const WORDS_MAX: usize = 4_000;

/// As what somebody removed a comment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum RemovedAs {
    Writer,
    Owner,
    Keeper,
}

impl RemovedAs {
    /// What stands in the place of the words.
    pub fn words(self) -> &'static str {
        match self {
            RemovedAs::Writer => "Removed by its writer.",
            RemovedAs::Owner => "Removed by the recipe’s owner.",
            RemovedAs::Keeper => "Removed by a keeper.",
        }
    }
}

/// A comment as its reader may see it.
#[derive(Clone, Debug, PartialEq)]
pub struct Comment {
    pub public_id: String,
    pub writer: MemberId,
    pub writer_name: String,
    /// The revision it speaks of; none for the recipe as a whole.
    pub revision: Option<i32>,
    /// The number of its newest words; an edit hands back the one it saw.
    pub version: i32,
    /// Its newest words; none where it was removed.
    pub words: Option<String>,
    pub written_at: DateTime<Utc>,
    pub changed_at: DateTime<Utc>,
    pub removed_as: Option<RemovedAs>,
}

impl Comment {
    /// Whether this viewer changes its words: its writer, while it stands.
    pub fn may_be_changed_by(&self, viewer: &Viewer) -> bool {
        let own = Facts::of(self.writer, Visibility::Private);
        self.removed_as.is_none() && may(viewer, Action::Change, &own)
    }

    /// As what this viewer would remove it; none for whoever may not.
    pub fn removable_as(&self, viewer: &Viewer, recipe: &Recipe) -> Option<RemovedAs> {
        let ways = [
            (self.may_be_changed_by(viewer), RemovedAs::Writer),
            (
                may(viewer, Action::Change, &recipe.facts()),
                RemovedAs::Owner,
            ),
            (
                may(viewer, Action::KeepClub, &Facts::default()),
                RemovedAs::Keeper,
            ),
        ];
        let mut ways = ways.into_iter().filter(|_| self.removed_as.is_none());
        ways.find_map(|(may, way)| may.then_some(way))
    }
}

/// Words that a comment had, or has.
#[derive(Clone, Debug, PartialEq)]
pub struct Words {
    pub number: i32,
    pub words: String,
    pub written_at: DateTime<Utc>,
}

/// A comment to be written, or the new words of one.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    pub words: String,
    pub revision: Option<i32>,
}
