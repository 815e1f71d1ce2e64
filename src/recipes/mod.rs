//! Recipes: revisions, drafts, the workbench, the sheet, lists and search.
