//! The page of what goes with what: honeys for something, the other way round, and what the club's best recipes used.

use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use serde::Deserialize;

use super::{Tally, Used, paths, store, tally};
use crate::app::App;
use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::pairing::{
    Pair, Partner, Sort, Weight, honeys_for, partner_of, partners, partners_for,
};
use crate::catalogue::{Entry, Kind, colour, paths as catalogue};
use crate::recipes::list::encoded;
use crate::recipes::opinions::model::standing;
use crate::recipes::paths as recipes;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::viewer::Viewer;

/// The route of pairings.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES).on(paths::PAIRINGS, show).done()
}

/// One suggestion.
struct Line {
    name: String,
    /// What it goes with in turn.
    url: String,
    /// What it tastes of, and how pale or dark a honey is.
    words: String,
    why: String,
    beware: &'static str,
    start_url: String,
    /// What the recipe is started with, for who hears the page.
    both: String,
}

/// What well-rated recipes of the club used.
struct ClubLine {
    name: String,
    count: String,
    recipe_url: String,
    recipe: String,
    standing: String,
}

#[derive(Template)]
#[template(path = "recipes/pairings.html")]
struct PairingsPage {
    shell: Shell,
    heading: String,
    lead: String,
    all_url: Option<String>,
    entry_url: String,
    caution: Option<String>,
    groups: Vec<(&'static str, Vec<Line>)>,
    /// Honeys that would cover it.
    covers: String,
    club: Vec<ClubLine>,
    /// What is asked about, in the words of a sentence.
    thing: String,
    /// Where one begins: headings with addresses and names.
    lists: Vec<(&'static str, Vec<(String, String)>)>,
}

#[derive(Deserialize)]
struct PairingsQuery {
    beside: Option<String>,
    honey: Option<String>,
}

async fn show(
    State(app): State<App>,
    viewer: Viewer,
    Query(query): Query<PairingsQuery>,
) -> Answer {
    let seen = match viewer.member() {
        // The club's own entries are its members'.
        None => ClubCatalogue::default(),
        Some(_) => {
            let mut conn = app.pool.acquire().await?;
            app.catalogue.now(&mut conn).await?
        }
    };
    let shown = match (query.beside.as_deref(), query.honey.as_deref()) {
        (Some(key), _) if !key.is_empty() => of_partner(&app, &viewer, &seen, key).await?,
        (_, Some(key)) if !key.is_empty() => of_honey(&app, &viewer, &seen, key).await?,
        _ => everything(&app, &viewer, &seen),
    };
    page(&shown)
}

/// "Sour cherry, pitted" → "sour cherry".
fn plain_name(entry: &Entry, seen: &ClubCatalogue) -> String {
    let short = short_name(entry, seen);
    let mut letters = short.chars();
    let first = letters.next();
    first
        .map(|first| first.to_lowercase().chain(letters).collect())
        .unwrap_or_default()
}

fn link(app: &App, field: &str, key: &str) -> String {
    let query = encoded(&[(field, key)]);
    app.site
        .base()
        .link(&format!("{}?{query}", paths::PAIRINGS.path))
}

fn everything(app: &App, viewer: &Viewer, seen: &ClubCatalogue) -> PairingsPage {
    let of_sort = |sort: Sort| {
        let own = partners()
            .iter()
            .filter(move |partner| partner.sort == sort);
        let named = own.filter_map(|partner| {
            let entry = seen.find(&partner.key)?;
            Some((link(app, "beside", &entry.key), short_name(entry, seen)))
        });
        let mut named: Vec<_> = named.collect();
        named.sort_by(|a, b| a.1.cmp(&b.1));
        (sort.heading(), named)
    };
    let of_weight = |weight: Weight| {
        let own = seen
            .honeys()
            .filter(|honey| weight_of(honey) == Some(weight));
        let named = own.map(|honey| (link(app, "honey", &honey.key), honey.name.clone()));
        (weight.heading(), named.collect::<Vec<_>>())
    };
    let lists = Sort::ALL.into_iter().map(of_sort);
    let lists = lists.chain(Weight::ALL.into_iter().map(of_weight));
    PairingsPage {
        shell: app.shell(viewer),
        heading: "What goes with what".to_owned(),
        lead: "Choose a fruit, a flower or a spice to see which honeys go with it. Or choose a honey to see what goes with that.".to_owned(),
        all_url: None,
        entry_url: String::new(),
        caution: None,
        groups: Vec::new(),
        covers: String::new(),
        club: Vec::new(),
        thing: String::new(),
        lists: lists.filter(|(_, names)| !names.is_empty()).collect(),
    }
}

/// A name without what a food table adds to it, where that still tells it from the others.
fn short_name(entry: &Entry, seen: &ClubCatalogue) -> String {
    let short = |name: &str| {
        let plain = name.split([',', '(']).next().unwrap_or(name);
        plain.trim().to_owned()
    };
    let named = partners().iter().filter_map(|other| seen.find(&other.key));
    let alike = named.filter(|other| short(&other.name) == short(&entry.name));
    match alike.count() {
        0 | 1 => short(&entry.name),
        _ => entry.name.clone(),
    }
}

fn weight_of(honey: &Entry) -> Option<Weight> {
    let intensity = honey.honey.as_ref()?.intensity?;
    Some(Weight::of(intensity))
}

/// The page of one thing, still without suggestions.
fn page_of(
    app: &App,
    viewer: &Viewer,
    seen: &ClubCatalogue,
    entry: &Entry,
    heading: String,
    lead: &str,
) -> PairingsPage {
    let base = app.site.base();
    PairingsPage {
        shell: app.shell(viewer),
        heading,
        lead: lead.to_owned(),
        all_url: Some(base.link(paths::PAIRINGS.path)),
        entry_url: base.link(&catalogue::ENTRY.with(&[&entry.key])),
        caution: entry.caution.clone(),
        groups: Vec::new(),
        covers: String::new(),
        club: Vec::new(),
        thing: plain_name(entry, seen),
        lists: Vec::new(),
    }
}

async fn of_partner(
    app: &App,
    viewer: &Viewer,
    seen: &ClubCatalogue,
    key: &str,
) -> Result<PairingsPage, Error> {
    let partner = partner_of(key).ok_or_else(Error::not_found)?;
    let entry = seen.find(key).ok_or_else(Error::not_found)?;
    let name = plain_name(entry, seen);
    let pairs = honeys_for(partner, seen.honeys());
    let mut shown = page_of(
        app,
        viewer,
        seen,
        entry,
        format!("Honey for {name}"),
        "By how heavy they are; in each group the one that fits best stands first.",
    );
    shown.groups = Weight::ALL
        .into_iter()
        .map(|weight| {
            let own = pairs.iter().filter(|pair| pair.weight == weight);
            let lines = own.filter(|pair| pair.is_good());
            let line = |pair: &Pair<'_>| honey_line(app, pair, entry, seen);
            (weight.heading(), lines.map(line).collect::<Vec<_>>())
        })
        .filter(|(_, lines)| !lines.is_empty())
        .collect();
    let covers = pairs.iter().filter(|pair| pair.covers());
    shown.covers = covers
        .map(|pair| plain_name(pair.honey, seen))
        .collect::<Vec<_>>()
        .join(", ");
    let is_honey = |key: &str| {
        let entry = seen.find(key)?;
        (entry.kind == Kind::Honey).then(|| key.to_owned())
    };
    shown.club = club_lines(app, viewer, seen, &keys_of(partner), is_honey).await?;
    Ok(shown)
}

async fn of_honey(
    app: &App,
    viewer: &Viewer,
    seen: &ClubCatalogue,
    key: &str,
) -> Result<PairingsPage, Error> {
    let honey = seen.find(key).ok_or_else(Error::not_found)?;
    if honey.kind != Kind::Honey {
        return Err(Error::not_found());
    }
    let pairs = partners_for(honey);
    let name = plain_name(honey, seen);
    let lead = match pairs.is_empty() {
        true => {
            "Nobody has written down how loud this honey is: taste it, and start with what a honey like it goes with."
        }
        false => "What fits best stands first.",
    };
    let mut shown = page_of(
        app,
        viewer,
        seen,
        honey,
        format!("What goes with {name}"),
        lead,
    );
    shown.groups = Sort::ALL
        .into_iter()
        .map(|sort| {
            let own = pairs.iter().filter(|pair| pair.partner.sort == sort);
            let lines = own.filter(|pair| pair.is_good());
            let line = |pair: &Pair<'_>| partner_line(app, pair, seen);
            (sort.heading(), lines.filter_map(line).collect::<Vec<_>>())
        })
        .filter(|(_, lines)| !lines.is_empty())
        .collect();
    let as_partner = |key: &str| partner_of(key).map(|partner| partner.key.clone());
    shown.club = club_lines(app, viewer, seen, &[key.to_owned()], as_partner).await?;
    Ok(shown)
}

/// The keys of everything that tastes of a partner.
fn keys_of(partner: &Partner) -> Vec<String> {
    let own = std::iter::once(&partner.key);
    own.chain(&partner.also).cloned().collect()
}

fn start(app: &App, honey: &str, beside: &str) -> String {
    let query = encoded(&[("honey", honey), ("beside", beside)]);
    app.site
        .base()
        .link(&format!("{}?{query}", recipes::NEW.path))
}

fn honey_line(app: &App, pair: &Pair<'_>, beside: &Entry, seen: &ClubCatalogue) -> Line {
    let honey = pair.honey;
    let traits = honey.honey.as_ref();
    let colours = traits.map_or(String::new(), |traits| colour::words(&traits.colours()));
    let parts = [colours.as_str(), honey.words.as_str()];
    let parts = parts.into_iter().filter(|part| !part.is_empty());
    Line {
        name: honey.name.clone(),
        url: link(app, "honey", &honey.key),
        words: parts.collect::<Vec<_>>().join("; "),
        why: pair.why(&plain_name(beside, seen)),
        beware: pair.beware(),
        start_url: start(app, &honey.key, &beside.key),
        both: format!(
            "{} and {}",
            plain_name(honey, seen),
            plain_name(beside, seen)
        ),
    }
}

fn partner_line(app: &App, pair: &Pair<'_>, seen: &ClubCatalogue) -> Option<Line> {
    let entry = seen.find(&pair.partner.key)?;
    Some(Line {
        name: short_name(entry, seen),
        url: link(app, "beside", &entry.key),
        words: entry.words.clone(),
        why: pair.why(&plain_name(entry, seen)),
        beware: pair.beware(),
        start_url: start(app, &pair.honey.key, &entry.key),
        both: format!(
            "{} and {}",
            plain_name(pair.honey, seen),
            plain_name(entry, seen)
        ),
    })
}

/// What the best-rated recipes with one of these keys used; nothing for a stranger, who sees no recipes.
async fn club_lines(
    app: &App,
    viewer: &Viewer,
    seen: &ClubCatalogue,
    keys: &[String],
    counted: impl Fn(&str) -> Option<String>,
) -> Result<Vec<ClubLine>, Error> {
    if viewer.member().is_none() {
        return Ok(Vec::new());
    }
    let mut conn = app.pool.acquire().await?;
    let used: Vec<Used> = store::best_rated_with(&mut conn, viewer.id(), keys).await?;
    drop(conn);
    let line = |tally: &Tally<'_>| {
        let best = tally.best;
        let path = recipes::SHEET.with(&[best.recipe.as_str()]);
        Some(ClubLine {
            name: short_name(seen.find(&tally.key)?, seen),
            count: match tally.recipes {
                1 => "in one of them".to_owned(),
                many => format!("in {many} of them"),
            },
            recipe_url: app.site.base().link(&path),
            recipe: format!("{} by {}", best.title, best.owner_name),
            standing: standing(Some(best.rating_mean), best.rating_count, best.made_count),
        })
    };
    Ok(tally(&used, counted).iter().filter_map(line).collect())
}
