//! The owner's page of a recipe's links: made, shown once, taken back; and what whoever opens one is told.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::store::{self, NewLink};
use super::{Link, MOST, Terms, forms};
use crate::app::App;
use crate::recipes::model::{Recipe, Visibility};
use crate::recipes::public_id::PublicId;
use crate::recipes::{paths, store as recipes};
use crate::web::dates;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::paths::Routes;
use crate::web::policy::{Action, may};
use crate::web::random;
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers of links.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::LINKS, show)
        .on(paths::MAKE_LINK, make)
        .on(paths::LINK_TERMS, change_terms)
        .on(paths::TAKE_LINK_BACK, take_back)
}

/// One link in words.
struct Row {
    title: String,
    meta: String,
    take_back_at: String,
}

#[derive(Template)]
#[template(path = "recipes/links.html")]
struct LinksPage {
    shell: Shell,
    title: String,
    sheet_url: String,
    terms: Terms,
    share_at: String,
    terms_at: String,
    make_at: String,
    form: FormState,
    once: String,
    rows: Vec<Row>,
}

impl LinksPage {
    /// Whether the links open.
    fn open(&self) -> bool {
        self.terms.visibility == Visibility::Link
    }
}

#[derive(Template)]
#[template(path = "recipes/link.html")]
struct LinkPage {
    shell: Shell,
    title: String,
    link: String,
    whom: String,
    back: String,
}

/// What was done just now, for the message above the page.
#[derive(Deserialize)]
pub(super) struct Done {
    done: Option<String>,
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(query): Query<Done>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let recipe = own_recipe(&mut conn, &member, &id).await?;
    let mut shown = links_page(&app, &mut conn, &member, &recipe, FormState::new()).await?;
    let said = match query.done.as_deref() {
        Some("shared") => "Who may see it is changed.",
        Some("terms") => "What a reader is told is changed.",
        Some("taken-back") => "The link is taken back: it opens nothing any more.",
        _ => "",
    };
    shown.shell = shown.shell.saying(said);
    page(&shown)
}

async fn make(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let recipe = own_recipe(&mut tx, &member, &id).await?;
    let note = match forms::note(&posted)? {
        Ok(note) => note,
        Err(form) => {
            let shown = links_page(&app, &mut tx, &member, &recipe, form).await?;
            return form_again(&shown);
        }
    };
    let token = random::token()?;
    let held = random::hash_of(&token);
    match once::claim(&mut tx, &once, &member, paths::MAKE_LINK).await? {
        Claim::Fresh => {
            let public_id = random::public_id()?;
            let link = NewLink {
                public_id: &public_id,
                held: &held,
                note: &note,
            };
            let now = app.clock.now();
            if !store::make_link(&mut tx, member.id, &recipe.public_id, &link, now).await? {
                return Err(refused(&recipe));
            }
            once::settle(&mut tx, &once, &member, paths::MAKE_LINK, &public_id).await?;
        }
        // Of the same form the browser shows the last answer only: the link gets another token.
        Claim::Done(link) => {
            if !store::renew_link(&mut tx, member.id, &link, &held).await? {
                return Err(Error::not_found());
            }
        }
    }
    tx.commit().await?;
    let base = app.site.base();
    not_stored(page(&LinkPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Recipes),
        link: app.site.address(&paths::SHARED.with(&[&token])),
        whom: note,
        back: base.link(&paths::LINKS.with(&[recipe.public_id.as_str()])),
        title: recipe.title,
    }))
}

/// Why no link was made.
fn refused(recipe: &Recipe) -> Error {
    Error::bad_request(match recipe.visibility {
        Visibility::Link => format!(
            "It has {MOST} links already. Take one back that nobody needs, then make this one."
        ),
        _ => {
            "Choose first that whoever has a link may see the recipe: then links to it can be made."
                .to_owned()
        }
    })
}

async fn change_terms(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let ticked = |name| Ok::<_, Error>(posted.one(name)? == "yes");
    let (signed, searchable) = (ticked("signed")?, ticked("searchable")?);
    let mut conn = app.pool.acquire().await?;
    match store::set_terms(&mut conn, member.id, &id, signed, searchable).await? {
        true => back(&app, &id, "terms"),
        false => Err(Error::not_found()),
    }
}

async fn take_back(
    State(app): State<App>,
    member: Member,
    Path((id, link)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let recipe = own_recipe(&mut conn, &member, &id).await?;
    store::remove_link(&mut conn, member.id, &recipe.public_id, &link).await?;
    back(&app, &recipe.public_id, "taken-back")
}

fn back(app: &App, id: &PublicId, done: &str) -> Answer {
    let path = paths::LINKS.with(&[id.as_str()]);
    see_other(app.site.base(), &format!("{path}?done={done}"))
}

/// A recipe of the member's own that does not lie in the bin.
async fn own_recipe(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Recipe, Error> {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let recipe = recipes::find_recipe(conn, viewer.id(), &id).await?;
    recipe
        .filter(|recipe| may(&viewer, Action::Change, &recipe.facts()))
        .filter(|recipe| recipe.binned_at.is_none())
        .ok_or_else(Error::not_found)
}

async fn links_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    recipe: &Recipe,
    form: FormState,
) -> Result<LinksPage, Error> {
    let id = recipe.public_id.as_str();
    let terms = store::find_terms(conn, member.id, &recipe.public_id)
        .await?
        .ok_or_else(Error::not_found)?;
    let links = store::list_links(conn, member.id, &recipe.public_id).await?;
    let viewer = Viewer::known(member.clone());
    let once = Once::for_form(&form, &viewer)?;
    let base = app.site.base();
    let row = |link: &Link| Row {
        title: match link.note.as_str() {
            "" => "for nobody in particular".to_owned(),
            note => note.to_owned(),
        },
        meta: format!(
            "made on {}, {}",
            dates::day(link.created_at, member.settings.zone),
            match link.opened_on {
                Some(day) => format!("last opened on {}", day.format("%-d %B %Y")),
                None => "not opened yet".to_owned(),
            }
        ),
        take_back_at: base.link(&paths::TAKE_LINK_BACK.with(&[id, &link.public_id])),
    };
    Ok(LinksPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        title: recipe.title.clone(),
        sheet_url: base.link(&paths::SHEET.with(&[id])),
        terms,
        share_at: base.link(&paths::SHARE.with(&[id])),
        terms_at: base.link(&paths::LINK_TERMS.with(&[id])),
        make_at: base.link(&paths::MAKE_LINK.with(&[id])),
        form,
        once,
        rows: links.iter().map(row).collect(),
    })
}
