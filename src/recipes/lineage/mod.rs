//! Lineage: what a recipe was started from and what was started from it, across members, as far as the viewer may see.
//!
//! It ends at a recipe that the viewer may not see, in both directions: what lies behind it is not told, not even that it is
//! there. That something was started from such a recipe is told by whatever was started from it, as on its sheet.

pub mod pages;
pub mod store;
mod told;
mod tree;

use chrono::{DateTime, Utc};

use super::model::RecipeId;
use super::public_id::PublicId;
use crate::web::viewer::MemberId;

/// The most steps that are followed in one direction.
pub const DEEPEST: i32 = 30;
/// The most recipes below one that are shown.
pub const MOST: usize = 40;

/// One recipe of a lineage.
#[derive(Clone, Debug, PartialEq)]
pub struct Kin {
    pub id: RecipeId,
    pub public_id: PublicId,
    pub title: String,
    pub owner: MemberId,
    pub owner_name: String,
    pub version: i32,
    pub created_at: DateTime<Utc>,
    /// The recipe it was started from, if that is shown too, and the number of the revision.
    pub parent: Option<RecipeId>,
    pub from_number: Option<i32>,
    pub rating_count: i32,
    pub rating_mean: Option<f64>,
    /// Of the revisions that were rated the best: its number, its score and how many rated it.
    pub best_number: Option<i32>,
    pub best_mean: Option<f64>,
    pub best_count: Option<i64>,
}

/// A recipe with its ancestors and descendants.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Family {
    /// The oldest first.
    pub kin: Vec<Kin>,
    /// Whether there are more than are shown.
    pub cut: bool,
}
