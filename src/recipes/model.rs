//! What a recipe is: its revisions, who may see it, the numbers that lists show, pages of a list.

use std::fmt;
use std::str::FromStr;

use chrono::{DateTime, Utc};
use serde_json::Value;

use super::public_id::PublicId;
use crate::web::policy::Facts;
use crate::web::viewer::MemberId;

pub use crate::web::policy::Visibility;

/// The longest title, in characters.
pub const TITLE_MAX: usize = 120;
/// The longest note of a revision, in characters.
pub const NOTE_MAX: usize = 2000;

/// A recipe's key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(transparent)]
pub struct RecipeId(pub i64);

/// A revision's key in the database; never shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(transparent)]
pub struct RevisionId(pub i64);

impl Visibility {
    /// Every choice, the closest first.
    pub const ALL: [Self; 3] = [Self::Private, Self::Club, Self::Link];

    /// The word in the database and in forms.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Private => "private",
            Self::Club => "club",
            Self::Link => "link",
        }
    }
}

impl FromStr for Visibility {
    type Err = ();

    fn from_str(word: &str) -> Result<Self, ()> {
        Self::ALL
            .into_iter()
            .find(|choice| choice.as_str() == word)
            .ok_or(())
    }
}

/// The part of a formulation that lists need; null where the engine gave none.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Numbers {
    pub volume_l: Option<f64>,
    pub og: Option<f64>,
    pub fg: Option<f64>,
    pub abv_percent: Option<f64>,
    pub honey_kg: Option<f64>,
    /// Names of the honeys, in the recipe's order.
    pub honeys: Vec<String>,
    pub style_family: Option<String>,
    pub strength: Option<String>,
    pub sweetness: Option<String>,
    /// How many problems the engine named.
    pub problems: i32,
    pub engine_version: String,
}

/// A recipe without its text.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    pub id: RecipeId,
    pub public_id: PublicId,
    pub owner: MemberId,
    pub owner_name: String,
    pub title: String,
    pub visibility: Visibility,
    /// The newest revision's number; an edit hands back the one it saw.
    pub version: i32,
    pub created_at: DateTime<Utc>,
    pub updated_at: DateTime<Utc>,
    pub binned_at: Option<DateTime<Utc>>,
}

impl Recipe {
    /// What the policy decides by. In the bin a recipe is its owner's alone.
    pub fn facts(&self) -> Facts {
        let visibility = if self.binned_at.is_some() {
            Visibility::Private
        } else {
            self.visibility
        };
        Facts::of(self.owner, visibility)
    }
}

/// One saved state, with its text.
#[derive(Debug, Clone, PartialEq)]
pub struct Revision {
    pub id: RevisionId,
    pub recipe: PublicId,
    pub number: i32,
    pub title: String,
    pub document: Value,
    pub note: String,
    /// The older revision whose text this one brought back.
    pub restored_from: Option<i32>,
    pub author: MemberId,
    pub author_name: String,
    pub created_at: DateTime<Utc>,
}

/// One line of the list of revisions.
#[derive(Debug, Clone, PartialEq)]
pub struct RevisionLine {
    pub number: i32,
    pub title: String,
    pub note: String,
    pub restored_from: Option<i32>,
    pub author_name: String,
    pub created_at: DateTime<Utc>,
    pub volume_l: Option<f64>,
    pub og: Option<f64>,
    pub fg: Option<f64>,
    pub abv_percent: Option<f64>,
    pub honey_kg: Option<f64>,
    pub problems: i32,
}

/// One line of a list of recipes.
#[derive(Debug, Clone, PartialEq)]
pub struct RecipeLine {
    pub public_id: PublicId,
    pub title: String,
    pub owner: MemberId,
    pub owner_name: String,
    pub visibility: Visibility,
    pub version: i32,
    pub updated_at: DateTime<Utc>,
    pub volume_l: Option<f64>,
    pub og: Option<f64>,
    pub fg: Option<f64>,
    pub abv_percent: Option<f64>,
    pub honey_kg: Option<f64>,
    pub honeys: Vec<String>,
    pub style_family: Option<String>,
    pub strength: Option<String>,
    pub sweetness: Option<String>,
    pub problems: i32,
}

/// Where a recipe was started from. The maker's name and the number stay for ever; title and address only
/// while the reader may see the source.
#[derive(Debug, Clone, PartialEq)]
pub struct StartedFrom {
    pub number: i32,
    pub author_name: String,
    pub recipe: Option<PublicId>,
    pub title: Option<String>,
}

/// Which recipes a list shows; each within what the viewer may see.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shelf {
    /// One's own and the club's.
    #[default]
    Everything,
    /// One's own, of every visibility.
    Mine,
    /// What is shared with the club, one's own among it.
    Club,
    /// One's own that lie in the bin.
    Bin,
}

impl Shelf {
    /// The word in addresses and queries.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Everything => "everything",
            Self::Mine => "mine",
            Self::Club => "club",
            Self::Bin => "bin",
        }
    }
}

impl FromStr for Shelf {
    type Err = ();

    fn from_str(word: &str) -> Result<Self, ()> {
        [Self::Everything, Self::Mine, Self::Club, Self::Bin]
            .into_iter()
            .find(|shelf| shelf.as_str() == word)
            .ok_or(())
    }
}

/// The place in a list after which the next page begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cursor {
    pub updated_at: DateTime<Utc>,
    pub public_id: PublicId,
}

impl fmt::Display for Cursor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}.{}",
            self.updated_at.timestamp_micros(),
            self.public_id
        )
    }
}

/// The text is no place in a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("not a place in a list")]
pub struct NotACursor;

impl FromStr for Cursor {
    type Err = NotACursor;

    fn from_str(text: &str) -> Result<Self, NotACursor> {
        let (micros, id) = text.split_once('.').ok_or(NotACursor)?;
        let micros = micros.parse::<i64>().map_err(|_| NotACursor)?;
        // The range a database holds is narrower than chrono's.
        let updated_at = DateTime::from_timestamp_micros(micros)
            .filter(|at| (1970..10_000).contains(&chrono::Datelike::year(at)))
            .ok_or(NotACursor)?;
        Ok(Self {
            updated_at,
            public_id: id.parse().map_err(|_| NotACursor)?,
        })
    }
}

/// One page of a list, newest first.
#[derive(Debug, Clone, PartialEq)]
pub struct RecipePage {
    pub lines: Vec<RecipeLine>,
    /// Where the next page begins; none on the last.
    pub next: Option<Cursor>,
}

impl RecipePage {
    /// From the rows of a query that asked for one more than `limit`.
    pub(super) fn from_rows(mut lines: Vec<RecipeLine>, limit: usize) -> Self {
        let more = lines.len() > limit;
        lines.truncate(limit);
        let next = lines.last().filter(|_| more).map(|line| Cursor {
            updated_at: line.updated_at,
            public_id: line.public_id.clone(),
        });
        Self { lines, next }
    }
}
