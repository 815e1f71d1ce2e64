//! Recipes for programs: read, saved, shared and binned by a member's token, under the policy of the pages.

mod asked;
mod body;
pub mod pages;
mod shown;
