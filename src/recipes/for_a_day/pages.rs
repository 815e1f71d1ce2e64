//! The page of a mead for a day, and the way from its answer into the workbench.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use chrono::NaiveDate;

use super::asked::{Asked, BUBBLES, KINDS, SWEETNESSES};
use super::making::starter_of;
use super::words::{self, Bought, Volume};
use super::{Answer, Plan, Wish, answer};
use crate::app::App;
use crate::catalogue::club::ClubCatalogue;
use crate::engine::Recipe;
use crate::engine::recipe::Step;
use crate::engine::scaling::{Scale, round};
use crate::recipes::forms::fill;
use crate::recipes::method_pages::general;
use crate::recipes::model::Visibility;
use crate::recipes::numbers::{
    AmountLine, CautionLine, Links, ProblemLine, Reader, problems, weighed_view,
};
use crate::recipes::opened::reader_for;
use crate::recipes::paths;
use crate::recipes::workbench::{assume, engine_settings, open_unsaved, reader, today};
use crate::web::pages::{Answer as Page, page_with, see_other};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::units::Units;
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::FOR_A_DAY, show)
        .on(paths::FOR_A_DAY_OPEN, open)
}

/// For whom the page is; the book knows nothing of the club's own entries.
fn book_reader(app: &App, viewer: &Viewer) -> Reader {
    reader(viewer, app.clock.now(), ClubCatalogue::default())
}

/// A plan as it is shown.
struct Shown {
    days: Vec<(String, String)>,
    volumes: Vec<Volume>,
    amounts: Vec<AmountLine>,
    also: Vec<Bought>,
    dangers: Vec<CautionLine>,
    leeway: String,
    open_url: String,
    links: Links,
}

#[derive(Template)]
#[template(path = "recipes/for_a_day.html")]
struct DayPage {
    shell: Shell,
    asked: Asked,
    faults: Vec<(String, String)>,
    lead: String,
    shown: Option<Shown>,
    problems: Vec<ProblemLine>,
    /// Others that are ready in time: address and words.
    others: Vec<(String, String)>,
    here: String,
    starters_url: String,
    signed_in: bool,
    units: Units,
}

impl DayPage {
    fn fault(&self, field: &str) -> String {
        let found = self.faults.iter().find(|(at, _)| at == field);
        found.map(|(_, why)| why.clone()).unwrap_or_default()
    }

    fn choices<T>(&self, all: &[(&str, T, &str)]) -> Vec<(String, String)> {
        all.iter()
            .map(|(word, _, said)| ((*word).to_owned(), (*said).to_owned()))
            .collect()
    }

    fn sweetnesses(&self) -> Vec<(String, String)> {
        self.choices(&SWEETNESSES)
    }

    fn kinds(&self) -> Vec<(String, String)> {
        self.choices(&KINDS)
    }

    fn bubbles(&self) -> Vec<(String, String)> {
        self.choices(&BUBBLES)
    }
}

async fn show(State(app): State<App>, viewer: Viewer, Query(asked): Query<Asked>) -> Page {
    let reader = book_reader(&app, &viewer);
    let base = app.site.base();
    let mut page = DayPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        faults: Vec::new(),
        lead: String::new(),
        shown: None,
        problems: Vec::new(),
        others: Vec::new(),
        here: base.link(paths::FOR_A_DAY.path),
        starters_url: base.link(paths::STARTERS.path),
        signed_in: viewer.member().is_some(),
        units: reader.units,
        asked,
    };
    if page.asked.is_empty() {
        page.asked = Asked::usual(reader.units);
        return page_with(StatusCode::OK, &page);
    }
    page.asked = page.asked.chosen();
    match page.asked.check(today(&reader), reader.units) {
        Err(faults) => {
            page.faults = faults;
            page_with(StatusCode::UNPROCESSABLE_ENTITY, &page)
        }
        Ok(wish) => {
            page.tell(&app, &viewer, &wish);
            page_with(StatusCode::OK, &page)
        }
    }
}

impl DayPage {
    /// Puts the answer onto the page.
    fn tell(&mut self, app: &App, viewer: &Viewer, wish: &Wish) {
        let today = today(&book_reader(app, viewer));
        let found = answer(wish, today, self.units);
        self.lead = words::lead(&found, wish, self.units);
        match &found {
            Answer::InTime(plan) => self.shown = Some(self.plan(app, viewer, plan, today)),
            Answer::TooLate {
                instead, others, ..
            } => {
                self.shown = Some(self.plan(app, viewer, instead, today));
                let others = others.iter().map(|other| {
                    let query = self.asked.about(other).query();
                    (format!("{}?{query}", self.here), words::called(other))
                });
                self.others = others.collect();
            }
            Answer::Never { .. } => {}
            Answer::Impossible(found) => {
                self.problems = problems(found, self.units, |_| None);
            }
        }
    }

    fn plan(&self, app: &App, viewer: &Viewer, plan: &Plan, today: NaiveDate) -> Shown {
        let recipe = &plan.made.recipe;
        let rounded = round(recipe, &engine_settings(viewer), Scale::Kitchen);
        let view = weighed_view(recipe, &rounded, &book_reader(app, viewer));
        let cautions = view.cautions.into_iter().chain(view.more_cautions);
        let query = self.asked.about(&plan.wish).query();
        let path = paths::FOR_A_DAY_OPEN.path;
        Shown {
            days: words::steps(plan, self.units)
                .into_iter()
                .map(|(on, what)| (words::day(on), what))
                .collect(),
            volumes: words::volumes(plan, self.units),
            amounts: (view.amounts.into_iter())
                .filter(|line| line.at.is_some())
                .collect(),
            also: words::also_to_buy(plan, self.units),
            dangers: cautions
                .filter(|caution| caution.class == "danger")
                .collect(),
            leeway: words::leeway(plan, today),
            open_url: app.site.base().link(&format!("{path}?{query}")),
            links: general(app),
        }
    }
}

/// Opens what there is time for in the workbench, unsaved.
async fn open(State(app): State<App>, member: Member, Query(asked): Query<Asked>) -> Page {
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    drop(conn);
    let units = reader.units;
    let asked = asked.chosen();
    let found = asked
        .check(today(&reader), units)
        .map(|wish| answer(&wish, today(&reader), units));
    let plan = match found {
        Ok(Answer::InTime(plan)) | Ok(Answer::TooLate { instead: plan, .. }) => plan,
        _ => {
            let back = format!("{}?{}", paths::FOR_A_DAY.path, asked.query());
            return see_other(app.site.base(), &back);
        }
    };
    let mut form = fill::fill(&own(&plan, units), units, &reader.catalogue);
    assume::recognise_vessel(&mut form, &reader);
    form.set("from_starter", starter_of(plan.wish.kind));
    form.set("visibility", Visibility::Private.as_str());
    form.set("mixing_day", plan.start.to_string());
    open_unsaved(&app, &member, &reader, form, String::new()).await
}

/// The document with the plan in its steps and notes.
fn own(plan: &Plan, units: Units) -> Recipe {
    let steps = words::steps(plan, units)
        .into_iter()
        .map(|(on, text)| Step {
            when: words::day(on),
            text,
        });
    let recipe = &plan.made.recipe;
    Recipe {
        title: words::title(&plan.wish),
        notes: words::notes(plan, units),
        process: steps.collect(),
        ..recipe.clone()
    }
}
