//! The handlers of recipes, each bound to its route.

use axum::Router;

use super::{
    changes, documents, for_a_day, lineage, links, list, method_pages, paths, revisions, scale,
    shared, sharing, sheet, shopping_page, starters, swap, workbench,
};
use crate::app::App;
use crate::web::paths::Routes;

/// Every route of recipes.
pub fn router() -> Router<App> {
    let own = Routes::of(paths::ROUTES)
        .on(paths::LIST, list::list)
        .on(paths::SHEET, sheet::sheet)
        .on(paths::REVISIONS, revisions::revisions)
        .on(paths::REVISION, sheet::revision)
        .on(paths::NUMBER, method_pages::number)
        .on(paths::CHANGES, changes::pages::show)
        .on(paths::COMPARE, changes::picker::show)
        .on(paths::LINEAGE, lineage::pages::show)
        .on(paths::SHARED, shared::pages::show)
        .on(paths::SWAP, swap::pages::of_recipe)
        .on(paths::SWAP_DRAFT, swap::pages::of_draft)
        .on(paths::SHOPPING, shopping_page::shopping)
        .on(paths::METHODS, method_pages::methods)
        .on(paths::RESTORE, revisions::restore)
        .on(paths::SHARE, sharing::share)
        .on(paths::BIN, sharing::bin)
        .on(paths::UNBIN, sharing::unbin);
    let own = scale::pages::bind(own);
    let own = documents::pages::bind(for_a_day::pages::bind(starters::pages::bind(own)));
    let own = links::pages::bind(own);
    workbench::pages::bind(own).done()
}
