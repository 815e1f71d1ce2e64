//! Recipes for programs: read, saved, shared and binned by a member's token, under the policy of the pages.

pub(super) mod asked;
mod body;
pub mod pages;
mod shown;
