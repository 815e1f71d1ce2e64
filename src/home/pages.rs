//! The first page: for strangers what this is, for a newcomer three doors, for members the ways on.

use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use chrono::TimeDelta;
use serde::Deserialize;

use super::due::{self, Due};
use super::news::{self, Before, News};
use super::paths;
use crate::app::App;
use crate::batches;
use crate::batches::model::Shelf as GoingShelf;
use crate::batches::view::Row;
use crate::members::mentors::store::whom_to_ask;
use crate::members::sessions::store::away_since;
use crate::recipes::model::Shelf;
use crate::recipes::numbers::listed;
use crate::recipes::opinions::paths::OPINIONS;
use crate::recipes::opinions::store::since as opinions_since;
use crate::recipes::paths as recipes;
use crate::recipes::store::list_recipes;
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::site::Club;
use crate::web::viewer::{Member, Viewer};

/// News on one page.
const PAGE: usize = 15;
/// Batches that are told of.
const GOING: usize = 6;
/// For so many days opinions on one's recipes stand here.
const LATELY_DAYS: i64 = 14;

/// The routes of the first page.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::HOME, show)
        .on(paths::ROBOTS, robots)
        .done()
}

/// What a member has here.
#[derive(Default)]
struct Own {
    /// Whether they have a recipe or a draft.
    begun: bool,
    due: Vec<Due>,
    /// The batches that are going.
    going: Vec<Row>,
    /// What others said lately of the member's recipes: address, title, what, and when.
    opinions: Vec<(String, String, String, String)>,
    /// What happened since they were last here, then what happened before.
    fresh: Vec<NewsLine>,
    known: Vec<NewsLine>,
    older: Option<String>,
    /// Whether these are older news, without all else.
    is_older: bool,
}

/// Something that happened, in words.
struct NewsLine {
    url: String,
    /// What the address leads to.
    name: String,
    words: String,
    note: String,
    day: String,
}

#[derive(Template)]
#[template(path = "home/home.html")]
struct HomePage {
    shell: Shell,
    club: Club,
    /// Whom a newcomer may ask.
    ask: Option<String>,
    own: Own,
    new_url: String,
    going_url: String,
    starters_url: String,
    day_url: String,
}

impl HomePage {
    /// Whether the member has neither recipe nor draft: the page begins with where to begin.
    fn is_new(&self) -> bool {
        !self.own.begun
    }
}

#[derive(Deserialize)]
struct HomeQuery {
    before: Option<String>,
}

async fn show(State(app): State<App>, viewer: Viewer, Query(query): Query<HomeQuery>) -> Answer {
    let before: Option<Before> = query.before.and_then(|before| before.parse().ok());
    let (own, ask) = match viewer.member() {
        Some(member) => (own(&app, member, before).await?, ask(&app, member).await?),
        None => (Own::default(), None),
    };
    let base = app.site.base();
    page(&HomePage {
        shell: app.shell(&viewer),
        club: app.site.club(),
        ask,
        own,
        new_url: base.link(recipes::NEW.path),
        going_url: base.link(batches::paths::GOING.path),
        starters_url: base.link(recipes::STARTERS.path),
        day_url: base.link(recipes::FOR_A_DAY.path),
    })
}

async fn own(app: &App, member: &Member, before: Option<Before>) -> Result<Own, Error> {
    let mut conn = app.pool.acquire().await?;
    let base = app.site.base();
    let found = list_recipes(&mut conn, Some(member.id), Shelf::Mine, None, 1).await?;
    let mut due = match before {
        None => due::batches(app, &mut conn, member).await?,
        Some(_) => Vec::new(),
    };
    due.extend(due::left(app, &mut conn, member).await?);
    let going = match before {
        None => batches::store::list(&mut conn, member.id, GoingShelf::Going, None, GOING).await?,
        Some(_) => Vec::new(),
    };
    let begun = !found.lines.is_empty() || !due.is_empty() || !going.is_empty();
    due.extend(due::together(app, &mut conn, member).await?);
    let (news, next) = news::list(&mut conn, member.id, before.as_ref(), PAGE).await?;
    let away = away_since(&mut conn, member.id).await?;
    let lately = app.clock.now() - TimeDelta::days(LATELY_DAYS);
    let opinions = match before {
        None => opinions_since(&mut conn, member.id, lately).await?,
        Some(_) => Vec::new(),
    };
    let (fresh, known): (Vec<News>, Vec<News>) = news
        .into_iter()
        .partition(|news| away.is_some_and(|away| news.at() > away));
    Ok(Own {
        begun,
        due,
        going: going
            .into_iter()
            .map(|line| batches::view::row(app, member, line))
            .collect(),
        opinions: opinions
            .into_iter()
            .map(|news| {
                let path = OPINIONS.with(&[news.recipe.as_str()]);
                let (words, day) = (news.words(), day(news.at, member.settings.zone));
                (base.link(&path), news.title, words, day)
            })
            .collect(),
        fresh: told(app, member, fresh),
        known: told(app, member, known),
        older: next.map(|next| base.link(&format!("{}?before={next}", paths::HOME.path))),
        is_older: before.is_some(),
    })
}

async fn ask(app: &App, member: &Member) -> Result<Option<String>, Error> {
    let mut conn = app.pool.acquire().await?;
    whom_to_ask(&mut conn, member.id, app.clock.now()).await
}

/// News in words; those who joined one after the other share a line.
fn told(app: &App, member: &Member, news: Vec<News>) -> Vec<NewsLine> {
    let mut lines: Vec<NewsLine> = Vec::new();
    let mut joined: Vec<String> = Vec::new();
    let mut news = news.into_iter().peekable();
    while let Some(one) = news.next() {
        let day = day(one.at(), member.settings.zone);
        match one {
            News::Recipe(recipe) => {
                let path = recipes::SHEET.with(&[recipe.public_id.as_str()]);
                lines.push(NewsLine {
                    url: app.site.base().link(&path),
                    name: recipe.title,
                    words: match (recipe.shared, recipe.version) {
                        (true, _) => format!("shared by {}", recipe.owner_name),
                        (false, number) => {
                            format!("revised by {}: revision {number}", recipe.owner_name)
                        }
                    },
                    note: recipe.note,
                    day,
                });
            }
            News::Joined(one) => {
                joined.push(one.name);
                if !matches!(news.peek(), Some(News::Joined(_))) {
                    let names: Vec<&str> = joined.iter().map(String::as_str).collect();
                    lines.push(NewsLine {
                        url: String::new(),
                        name: listed(&names),
                        words: "joined the club".to_owned(),
                        note: String::new(),
                        day,
                    });
                    joined.clear();
                }
            }
        }
    }
    lines
}

/// The file that programs of search engines ask for first (RFC 9309). The look of what they may read is theirs too.
async fn robots(State(app): State<App>) -> Response {
    let base = app.site.base();
    let shared = recipes::SHARED.with(&[""]);
    let open = [base.link(&shared), base.link("/static/")];
    let text = format!(
        "User-agent: *\nAllow: {}\nAllow: {}\nDisallow: /\n",
        open[0], open[1]
    );
    ([(CONTENT_TYPE, "text/plain; charset=utf-8")], text).into_response()
}
