//! How numbers are reckoned, as pages: one for each number of a recipe, and all of them for anybody.

use askama::Template;
use axum::extract::{Path, Query, State};
use chrono::NaiveDate;
use serde::Deserialize;

use super::list::encoded;
use super::model::{Recipe, Revision};
use super::numbers::method::{self, GROUPS, Material, Method, MethodText};
use super::numbers::{CautionLine, Links, NumbersView, called_as_solved, weighed_view};
use super::opened::{Opened, open};
use super::paths;
use crate::app::App;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::shell::{Nav, Shell};
use crate::web::units;
use crate::web::viewer::{Member, Viewer};

/// Where the pages about the numbers of a revision are, at its own volume or another, dated from a mixing day or not.
pub(super) fn links(
    app: &App,
    recipe: &Recipe,
    revision: &Revision,
    wanted: Option<f64>,
    mixing_day: Option<NaiveDate>,
) -> Links {
    let base = app.site.base();
    let id = recipe.public_id.as_str();
    let number = match revision.number == recipe.version {
        true => String::new(),
        false => revision.number.to_string(),
    };
    let query = asked(&number, wanted, mixing_day);
    Links {
        base: base.to_string(),
        methods: base.link(paths::METHODS.path),
        own: (base.link(&paths::NUMBER.with(&[id, ""])), query.clone()),
        shopping: base.link(&format!("{}{query}", paths::SHOPPING.with(&[id]))),
    }
}

/// What a page is asked for, as a query; nothing where it is asked for nothing.
fn asked(number: &str, wanted: Option<f64>, mixing_day: Option<NaiveDate>) -> String {
    let volume = wanted.map_or(String::new(), |litres| {
        format!("{} L", units::plain(litres, 6))
    });
    let mixed = mixing_day.map_or(String::new(), |day| day.to_string());
    let pairs = [("revision", number), ("volume", &volume), ("mixed", &mixed)];
    match encoded(&pairs).as_str() {
        "" => String::new(),
        query => format!("?{query}"),
    }
}

/// Where all methods are, for a page whose recipe has no pages yet.
pub(super) fn general(app: &App) -> Links {
    let base = app.site.base();
    Links {
        base: base.to_string(),
        methods: base.link(paths::METHODS.path),
        ..Links::default()
    }
}

#[derive(Template)]
#[template(path = "recipes/number.html")]
struct NumberPage {
    shell: Shell,
    recipe_title: String,
    sheet_url: String,
    which: String,
    method: Method,
    cautions: Vec<CautionLine>,
    /// The recipe's other numbers: address, name, value.
    others: Vec<(String, String, String)>,
    methods_url: String,
    links: Links,
}

#[derive(Deserialize)]
pub(super) struct NumberQuery {
    pub revision: Option<i32>,
    pub volume: Option<String>,
    pub mixed: Option<String>,
}

/// One number of a recipe.
pub(super) async fn number(
    State(app): State<App>,
    member: Member,
    Path((id, key)): Path<(String, String)>,
    Query(query): Query<NumberQuery>,
) -> Answer {
    let typed = query.volume.unwrap_or_default();
    let mixed = query.mixed.unwrap_or_default();
    let opened = open(&app, &member, &id, query.revision, &typed, &mixed).await?;
    let called = called_as_solved(&opened.rounded);
    let material = Material {
        recipe: &opened.document,
        numbers: &called,
        exact: &opened.rounded.exact,
        reader: &opened.reader,
    };
    let method = method::by_key(&key, &material).ok_or_else(Error::not_found)?;
    let links = links(
        &app,
        &opened.recipe,
        &opened.revision,
        opened.wanted,
        opened.mixing_day,
    );
    let others: Vec<_> = method::all(&material)
        .into_iter()
        .filter(|other| other.key != method.key)
        .map(|other| (links.of(&other.key), other.title, other.value))
        .collect();
    let view = weighed_view(&opened.document, &opened.rounded, &opened.reader);
    let volume = opened.rounded.exact.whole.as_ref();
    let volume = volume.map(|whole| units::volume(whole.volume_l, member.settings.units));
    let which = [Some(format!("revision {}", opened.revision.number)), volume];
    let viewer = Viewer::known(member.clone());
    page(&NumberPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        sheet_url: sheet_url(&app, &opened),
        which: which.into_iter().flatten().collect::<Vec<_>>().join(", "),
        cautions: beside(&view, &method.key),
        others,
        methods_url: format!("{}#{}", links.methods, method.text.slug),
        recipe_title: opened.revision.title,
        links,
        method,
    })
}

/// The sheet that the page belongs to, as it was asked for.
pub(super) fn sheet_url(app: &App, opened: &Opened) -> String {
    let number = opened.revision.number.to_string();
    let path = match opened.is_newest() {
        true => paths::SHEET.with(&[opened.recipe.public_id.as_str()]),
        false => paths::REVISION.with(&[opened.recipe.public_id.as_str(), &number]),
    };
    let query = asked("", opened.wanted, opened.mixing_day);
    app.site.base().link(&format!("{path}{query}"))
}

/// What to beware of beside a number.
fn beside(view: &NumbersView, key: &str) -> Vec<CautionLine> {
    let has = |methods: &[Method]| methods.iter().any(|method| method.key == key);
    let amounts = view.amounts.iter().filter(|line| has(&line.methods));
    let notes = view.notes.iter().chain(&view.fed);
    let notes = notes.filter(|note| has(&note.methods));
    amounts
        .flat_map(|line| &line.cautions)
        .chain(notes.flat_map(|note| &note.cautions))
        .cloned()
        .collect()
}

#[derive(Template)]
#[template(path = "recipes/methods.html")]
struct MethodsPage {
    shell: Shell,
    groups: Vec<(&'static str, Vec<&'static MethodText>)>,
}

/// Every method, for anybody.
pub(super) async fn methods(State(app): State<App>, viewer: Viewer) -> Answer {
    let groups = GROUPS
        .iter()
        .map(|(title, numbers)| (*title, numbers.iter().map(|number| number.text()).collect()));
    page(&MethodsPage {
        shell: app.shell(&viewer),
        groups: groups.collect(),
    })
}
