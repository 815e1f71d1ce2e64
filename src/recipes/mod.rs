//! Recipes: revisions, drafts, the workbench, the sheet, lists and search.

pub mod buckets;
mod changes;
pub mod compare;
pub mod documents;
pub mod drafts;
pub mod for_a_day;
pub mod forms;
mod list;
mod method_pages;
pub mod model;
pub mod numbers;
mod opened;
pub mod pages;
pub mod paths;
pub mod public_id;
mod revisions;
pub mod saving;
pub mod search;
mod sharing;
mod sheet;
mod shopping_page;
pub mod starters;
pub mod store;
pub mod swap;
pub mod workbench;
