//! What a recipe is: its revisions, who may see it, the numbers that lists show, pages of a list.

use std::fmt;
use std::str::FromStr;

use chrono::{DateTime, Utc};
use serde_json::Value;

use super::public_id::PublicId;
use crate::web::policy::Facts;
use crate::web::viewer::{Member, MemberId};

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
    /// Names of what else is in it.
    pub others: Vec<String>,
    pub yeasts: Vec<String>,
    /// Keys of the catalogue for all of it.
    pub keys: Vec<String>,
    pub style_family: Option<String>,
    pub strength: Option<String>,
    pub sweetness: Option<String>,
    /// Months from the mixing day until it is usually good.
    pub ready_months: Option<i32>,
    /// Of 0.75 L, in the club's currency.
    pub cost_per_bottle: Option<f64>,
    /// Whether it is made with what every maker has.
    pub little_gear: bool,
    /// How many problems the engine named.
    pub problems: i32,
    /// The engine's, and after the point the version of what lists keep.
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
    pub ready_months: Option<i32>,
    pub cost_per_bottle: Option<f64>,
    pub rating_count: i32,
    pub rating_mean: Option<f64>,
    pub made_count: i32,
}

/// Where a recipe was started from. The maker's name and the number stay for ever, unless it was started by a link
/// that did not tell the name; title and address only while the reader may see the source.
#[derive(Debug, Clone, PartialEq)]
pub struct StartedFrom {
    pub number: i32,
    pub author_name: Option<String>,
    pub recipe: Option<PublicId>,
    pub title: Option<String>,
}

/// A recipe that was started from another one, as that one's sheet names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StartedHere {
    pub recipe: PublicId,
    pub title: String,
    pub owner_name: String,
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

    /// What of it a member looks through: nothing but their own while their book is closed.
    pub fn open_to(self, member: &Member) -> Shelf {
        match self {
            Self::Everything | Self::Club if member.book_closed => Self::Mine,
            shelf => shelf,
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

/// The place in a list after which the next page begins; it is good in lists of the same order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cursor {
    Newest {
        updated_at: DateTime<Utc>,
        public_id: PublicId,
    },
    Best {
        score: i32,
        updated_at: DateTime<Utc>,
        public_id: PublicId,
    },
    Found {
        /// Where the words were found, the closest first.
        tier: i32,
        score: i32,
        updated_at: DateTime<Utc>,
        public_id: PublicId,
    },
    Name {
        name_key: String,
        public_id: PublicId,
    },
}

impl fmt::Display for Cursor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Newest {
                updated_at,
                public_id,
            } => write!(f, "{}.{public_id}", updated_at.timestamp_micros()),
            Self::Best {
                score,
                updated_at,
                public_id,
            } => write!(f, "{score}.{}.{public_id}", updated_at.timestamp_micros()),
            Self::Found {
                tier,
                score,
                updated_at,
                public_id,
            } => write!(
                f,
                "{tier}.{score}.{}.{public_id}",
                updated_at.timestamp_micros()
            ),
            Self::Name {
                name_key,
                public_id,
            } => write!(f, "{public_id} {name_key}"),
        }
    }
}

/// The text is no place in a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("not a place in a list")]
pub struct NotACursor;

/// The longest title, folded.
const NAME_KEY_MAX: usize = 1000;

impl FromStr for Cursor {
    type Err = NotACursor;

    fn from_str(text: &str) -> Result<Self, NotACursor> {
        let id = |id: &str| id.parse::<PublicId>().map_err(|_| NotACursor);
        let number = |text: &str| text.parse::<i32>().map_err(|_| NotACursor);
        if let Some((public_id, name)) = text.split_once(' ') {
            let fits = name.len() <= NAME_KEY_MAX && !name.contains('\0');
            return Ok(Self::Name {
                name_key: fits.then(|| name.to_owned()).ok_or(NotACursor)?,
                public_id: id(public_id)?,
            });
        }
        match text.split('.').collect::<Vec<_>>().as_slice() {
            [at, public_id] => Ok(Self::Newest {
                updated_at: instant(at)?,
                public_id: id(public_id)?,
            }),
            [score, at, public_id] => Ok(Self::Best {
                score: number(score)?,
                updated_at: instant(at)?,
                public_id: id(public_id)?,
            }),
            [tier, score, at, public_id] => Ok(Self::Found {
                tier: number(tier)?,
                score: number(score)?,
                updated_at: instant(at)?,
                public_id: id(public_id)?,
            }),
            _ => Err(NotACursor),
        }
    }
}

fn instant(micros: &str) -> Result<DateTime<Utc>, NotACursor> {
    let micros = micros.parse::<i64>().map_err(|_| NotACursor)?;
    // The range a database holds is narrower than chrono's.
    DateTime::from_timestamp_micros(micros)
        .filter(|at| (1970..10_000).contains(&chrono::Datelike::year(at)))
        .ok_or(NotACursor)
}

/// One page of a list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RecipePage {
    pub lines: Vec<RecipeLine>,
    /// Where the next page begins; none on the last.
    pub next: Option<Cursor>,
}
