//! Saving: what makes a new revision, and how that can fail.

pub mod store;

use serde_json::Value;

use super::model::{Numbers, Revision, Visibility};
use super::public_id::PublicId;
use crate::web::viewer::MemberId;

/// A revision to be saved.
#[derive(Debug, Clone)]
pub struct SaveRevision<'a> {
    pub author: MemberId,
    pub target: Target<'a>,
    /// 1 to [`super::model::TITLE_MAX`] characters.
    pub title: &'a str,
    /// The recipe document with what was typed; an object.
    pub document: &'a Value,
    pub numbers: &'a Numbers,
    /// At most [`super::model::NOTE_MAX`] characters.
    pub note: &'a str,
    /// The draft that this revision completes.
    pub draft: Option<DraftEnd<'a>>,
}

/// What the revision belongs to.
#[derive(Debug, Clone)]
pub enum Target<'a> {
    /// A new recipe, perhaps started from a revision that the author may see.
    New {
        visibility: Visibility,
        started_from: Option<Source<'a>>,
    },
    /// A recipe of the author's, if it is still at the version that the edit saw.
    Existing {
        recipe: &'a PublicId,
        expected_version: i32,
        visibility: Option<Visibility>,
    },
}

/// A revision of a recipe, as addresses name it.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    pub recipe: &'a PublicId,
    pub number: i32,
    /// The hash of a link to it, where that is how the author knows it.
    pub held: Option<&'a [u8]>,
}

/// The draft that ends with a save, with the sequence number that came with the form, if any.
#[derive(Debug, Clone, Copy)]
pub struct DraftEnd<'a> {
    pub draft: &'a PublicId,
    pub sequence: Option<i64>,
}

/// What was saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Saved {
    pub recipe: PublicId,
    pub number: i32,
}

/// Why nothing was saved. Nothing has been written then; the typed text is the caller's to give back.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    /// Another save came first; here is the revision it made.
    #[error("the recipe has changed since")]
    Conflict(Box<Revision>),
    /// No such recipe, or not the author's.
    #[error("no such recipe")]
    NotFound,
    /// The recipe lies in the bin and must be put back first.
    #[error("the recipe lies in the bin")]
    Binned,
    /// The recipe to start from does not exist, or the author may not see it.
    #[error("no such recipe to start from")]
    SourceNotFound,
    /// A recipe started from another member's is not shared by link unless the source is.
    #[error("shared more widely than the recipe it was started from")]
    WiderThanSource,
    /// The system gave no random bytes.
    #[error("no randomness")]
    Random(#[from] getrandom::Error),
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}
