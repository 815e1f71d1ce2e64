//! Drafts: what a maker has typed and not yet saved, one per open form.

pub mod store;

use std::time::Duration;

use chrono::{DateTime, TimeDelta, Utc};

use super::public_id::PublicId;
use super::saving::Source;
use crate::web::viewer::MemberId;

/// The form as typed: names and texts in the form's order.
pub type Fields = Vec<(String, String)>;

/// The shortest time between two ordinary writes of one draft.
pub const WRITE_EVERY: Duration = Duration::from_secs(2);
/// Drafts left alone so long are removed.
pub const KEPT_DAYS: i64 = 90;
/// So long a draft that was thrown away can be put back.
pub const KEPT_THROWN: TimeDelta = TimeDelta::days(1);

/// A draft to be kept.
#[derive(Debug, Clone)]
pub struct PutDraft<'a> {
    pub member: MemberId,
    /// The draft's id in the form; made with the form.
    pub draft: &'a PublicId,
    /// The recipe being edited and the version that the form saw; none for a new one.
    pub editing: Option<(&'a PublicId, i32)>,
    pub started_from: Option<Source<'a>>,
    /// The recipe's title as typed so far.
    pub title: &'a str,
    pub fields: &'a [(String, String)],
    /// The form's counter, which grows with every request; a form without script has none, and its request is
    /// then the newest by its arrival.
    pub sequence: Option<i64>,
    /// Do not wait: somebody pressed a button, or the page is going away.
    pub at_once: bool,
}

/// What became of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kept {
    /// Written, under this sequence number.
    Written { sequence: i64 },
    /// Not written, for the last write is less than [`WRITE_EVERY`] ago. The text is only in the request: it
    /// must come again, with the same or a higher sequence number, after this time.
    Deferred { again_in: Duration },
    /// Not written, for newer text (or the saved revision) has come before it.
    Late,
}

/// A draft as kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    pub draft: PublicId,
    pub recipe: Option<PublicId>,
    pub base_version: Option<i32>,
    /// The recipe and number it was started from, while the member may see it.
    pub source: Option<PublicId>,
    pub source_number: Option<i32>,
    pub title: String,
    pub fields: Fields,
    pub sequence: i64,
    pub updated_at: DateTime<Utc>,
}

/// One line of "continue where you left off".
#[derive(Debug, Clone, PartialEq)]
pub struct DraftLine {
    pub draft: PublicId,
    pub recipe: Option<PublicId>,
    pub title: String,
    pub updated_at: DateTime<Utc>,
}
