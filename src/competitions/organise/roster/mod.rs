//! Who has which duty, and what judges say of themselves.

pub(super) mod mine;
pub(super) mod pages;
pub(super) mod stepping_in;
pub mod store;

use crate::competitions::model::Duty;
use crate::web::viewer::MemberId;

/// Somebody with a duty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Helper {
    pub member: MemberId,
    pub public_id: String,
    pub name: String,
    pub duty: Duty,
    pub experienced: bool,
    /// They left the club, or were shut out.
    pub gone: bool,
    /// Flights that are not done at whose table they sit.
    pub seats: i64,
}

/// What a judge says of themselves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// Codes of allergens and kinds, and words of their own.
    pub abstains: Vec<String>,
    /// Glasses in a day.
    pub ceiling: Option<i32>,
    /// Whose meads they must not judge besides their own.
    pub apart_from: Vec<MemberId>,
}
