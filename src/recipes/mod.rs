//! Recipes: revisions, drafts, the workbench, the sheet, lists and search.

pub mod drafts;
pub mod forms;
pub mod model;
pub mod numbers;
pub mod pages;
pub mod paths;
pub mod public_id;
pub mod saving;
pub mod search;
pub mod store;
pub mod workbench;
