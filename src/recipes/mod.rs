//! Recipes: revisions, drafts, the workbench, the sheet, lists and search.

pub mod drafts;
pub mod forms;
mod list;
pub mod model;
pub mod numbers;
pub mod pages;
pub mod paths;
pub mod public_id;
mod revisions;
pub mod saving;
pub mod search;
mod sharing;
mod sheet;
pub mod store;
pub mod workbench;
