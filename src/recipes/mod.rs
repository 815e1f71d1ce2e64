//! Recipes: revisions, drafts, the workbench, the sheet, lists and search.

pub mod drafts;
pub mod model;
pub mod public_id;
pub mod saving;
pub mod search;
pub mod store;
