//! Competitions: opened by an organiser, entered under codes, poured by stewards, judged blind, reckoned so that anybody can
//! reckon it again.

pub mod deeds;
pub mod desk;
pub mod entering;
pub mod entries;
pub mod flights;
pub mod judging;
pub mod model;
pub mod opened;
mod order;
pub mod organise;
pub mod paths;
pub mod phases;
pub mod results;
pub mod shown;
pub mod store;
pub mod view;

use axum::Router;

use crate::app::App;

/// The routes of all parts.
pub fn router() -> Router<App> {
    Router::new()
        .merge(shown::router())
        .merge(organise::router())
        .merge(entering::router())
        .merge(desk::router())
        .merge(flights::router())
        .merge(judging::router())
        .merge(results::router())
}
