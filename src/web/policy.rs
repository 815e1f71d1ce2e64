//! Who may do what: the facts that a decision needs.

use super::viewer::MemberId;

/// Who sees a thing besides its owner.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    Hash,
    sqlx::Type,
    serde::Serialize,
    serde::Deserialize,
)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
#[serde(rename_all = "lowercase")]
pub enum Visibility {
    /// Nobody.
    #[default]
    Private,
    /// Every member of the club.
    Club,
    /// Whoever holds its link.
    Link,
}

/// What the decision needs to know about the thing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Facts {
    /// Whose it is.
    pub owner: Option<MemberId>,
    /// Who else sees it.
    pub visibility: Visibility,
    /// The request carries the thing's own valid link.
    pub holds_link: bool,
}

impl Facts {
    /// Facts of a thing that `owner` has and `visibility` shows.
    pub fn of(owner: MemberId, visibility: Visibility) -> Facts {
        Facts {
            owner: Some(owner),
            visibility,
            holds_link: false,
        }
    }
}
