//! The starter recipes as pages: all of them, and each as a sheet in two sizes.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::{Size, Starter, find, starters};
use crate::app::App;
use crate::catalogue::club::ClubCatalogue;
use crate::engine::recipe::Step;
use crate::engine::scaling::{Rounded, Scale, round};
use crate::engine::{Recipe, formulate};
use crate::recipes::method_pages::general;
use crate::recipes::numbers::steps::{StepLine, steps};
use crate::recipes::numbers::{NumbersView, lead_where_told, weighed_view};
use crate::recipes::paths;
use crate::recipes::workbench::{engine_settings, glance, reader};
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::units;
use crate::web::viewer::Viewer;

/// Binds the handlers of the starter recipes.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes.on(paths::STARTERS, list).on(paths::STARTER, sheet)
}

struct Entry {
    url: String,
    starter: &'static Starter,
    figures: String,
}

#[derive(Template)]
#[template(path = "recipes/starters.html")]
struct StartersPage {
    shell: Shell,
    entries: Vec<Entry>,
    sizes: [String; 2],
    new_url: String,
    day_url: String,
}

#[derive(Template)]
#[template(path = "recipes/starter.html")]
struct StarterPage {
    shell: Shell,
    starter: &'static Starter,
    kicker: String,
    /// Address, words, and whether it is the one shown.
    sizes: Vec<(String, String, bool)>,
    numbers: NumbersView,
    steps: Vec<StepLine>,
    own_steps: Vec<Step>,
    start_url: String,
    all_url: String,
    signed_in: bool,
}

#[derive(Deserialize)]
struct StarterQuery {
    size: Option<String>,
}

async fn list(State(app): State<App>, viewer: Viewer) -> Answer {
    let base = app.site.base();
    let units = viewer.settings().units;
    let entries = starters().iter().map(|starter| {
        let recipe = starter.recipe(Size::Small, units);
        Entry {
            url: base.link(&paths::STARTER.with(&[&starter.key])),
            figures: glance(&formulate(&recipe, &engine_settings(&viewer))),
            starter,
        }
    });
    page(&StartersPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        entries: entries.collect(),
        sizes: Size::ALL.map(|size| units::volume(size.litres(units), units)),
        new_url: base.link(paths::NEW.path),
        day_url: base.link(paths::FOR_A_DAY.path),
    })
}

async fn sheet(
    State(app): State<App>,
    viewer: Viewer,
    Path(key): Path<String>,
    Query(query): Query<StarterQuery>,
) -> Answer {
    let starter = find(&key).ok_or_else(Error::not_found)?;
    let size = Size::from_word(query.size.as_deref().unwrap_or_default());
    let units = viewer.settings().units;
    let recipe = starter.recipe(size, units);
    let rounded = round(&recipe, &engine_settings(&viewer), Scale::Kitchen);
    // The book knows nothing of the club's own entries.
    let reader = reader(&viewer, app.clock.now(), ClubCatalogue::default());
    let numbers = weighed_view(&recipe, &rounded, &reader);
    let base = app.site.base();
    let path = paths::STARTER.with(&[&key]);
    let sizes = Size::ALL.map(|one| {
        let words = units::volume(one.litres(units), units);
        let url = base.link(&format!("{path}?size={}", one.word()));
        (url, words, one == size)
    });
    let kicker = [
        numbers.family.as_str(),
        "starter recipe",
        "not yet made here",
    ];
    page(&StarterPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        starter,
        kicker: kicker.join(" · "),
        sizes: sizes.into(),
        steps: steps_of(&recipe, &rounded, &numbers, units),
        numbers: numbers.leading_to(general(&app)),
        own_steps: recipe.process,
        start_url: base.link(&format!(
            "{}?starter={key}&size={}",
            paths::NEW.path,
            size.word()
        )),
        all_url: base.link(paths::STARTERS.path),
        signed_in: viewer.member().is_some(),
    })
}

/// What to do, its figures leading to where the page tells how they are reckoned.
fn steps_of(
    recipe: &Recipe,
    rounded: &Rounded,
    numbers: &NumbersView,
    units: units::Units,
) -> Vec<StepLine> {
    let mut lines = steps(recipe, &rounded.weighed, units);
    let told = numbers.told();
    for line in &mut lines {
        lead_where_told(&mut line.text, &told);
    }
    lines
}
