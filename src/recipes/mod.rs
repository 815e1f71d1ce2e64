//! Recipes: revisions, drafts, the workbench, the sheet, lists and search.

pub mod browse;
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
pub mod news;
pub mod numbers;
mod opened;
pub mod pages;
pub mod paths;
pub mod public_id;
pub mod renewal;
mod revisions;
pub mod saving;
mod sharing;
mod sheet;
mod shopping_page;
pub mod starters;
pub mod store;
pub mod swap;
pub mod workbench;
