//! What a revision can be compared with: its own revisions, its lineage, one's own recipes, and whatever a search finds.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use crate::app::App;
use crate::recipes::browse::{self, View};
use crate::recipes::lineage::store as lineage;
use crate::recipes::list::encoded;
use crate::recipes::model::{Recipe, RecipeLine, Shelf};
use crate::recipes::public_id::PublicId;
use crate::recipes::revisions::note_words;
use crate::recipes::{paths, store};
use crate::web::dates;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// The most of each sort that is offered.
const MOST: usize = 20;

/// One choice: its address, its words, and what else is said of it.
type Choice = (String, String, String);

#[derive(Template)]
#[template(path = "recipes/compare.html")]
struct ComparePage {
    shell: Shell,
    title: String,
    number: i32,
    sheet_url: String,
    here: String,
    query: String,
    found: Vec<Choice>,
    /// Groups of choices under their headings; none is empty.
    groups: Vec<(&'static str, Vec<Choice>)>,
}

#[derive(Deserialize)]
pub(in crate::recipes) struct Which {
    revision: Option<i32>,
    q: Option<String>,
}

pub(in crate::recipes) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(which): Query<Which>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let found = store::find_with_revision(&mut conn, viewer.id(), &id, which.revision).await?;
    let (recipe, revision) = found.ok_or_else(Error::not_found)?;
    let number = revision.number;
    let with = With {
        app: &app,
        member: &member,
        recipe: &recipe,
        number,
    };
    let query = which.q.unwrap_or_default();
    let found = match query.trim() {
        "" => Vec::new(),
        typed => with.searched(&mut conn, typed).await?,
    };
    let groups = [
        ("Its own revisions", with.revisions(&mut conn).await?),
        ("Its lineage", with.lineage(&mut conn).await?),
        ("My recipes", with.mine(&mut conn).await?),
    ];
    drop(conn);
    let base = app.site.base();
    page(&ComparePage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        title: revision.title,
        number,
        sheet_url: base.link(&paths::REVISION.with(&[id.as_str(), &number.to_string()])),
        here: base.link(&paths::COMPARE.with(&[id.as_str()])),
        query,
        found,
        groups: groups
            .into_iter()
            .filter(|(_, choices)| !choices.is_empty())
            .collect(),
    })
}

/// What is to be compared, and for whom.
struct With<'a> {
    app: &'a App,
    member: &'a Member,
    recipe: &'a Recipe,
    number: i32,
}

impl With<'_> {
    /// The page that compares it with a revision of a recipe.
    fn url(&self, id: &PublicId, number: i32) -> String {
        let own = self.recipe.public_id.as_str();
        let at = paths::CHANGES.with(&[own, &self.number.to_string()]);
        let pairs = [("of", id.as_str()), ("since", &number.to_string())];
        let base = self.app.site.base();
        base.link(&format!("{at}?{}", encoded(&pairs)))
    }

    fn line(&self, line: &RecipeLine) -> Option<Choice> {
        let other = line.public_id != self.recipe.public_id;
        other.then(|| {
            let by = match line.owner == self.member.id {
                true => "you",
                false => line.owner_name.as_str(),
            };
            let meta = format!("by {by}, revision {}", line.version);
            (
                self.url(&line.public_id, line.version),
                line.title.clone(),
                meta,
            )
        })
    }

    async fn searched(&self, conn: &mut PgConnection, typed: &str) -> Result<Vec<Choice>, Error> {
        let viewer = Some(self.member.id);
        let view = View {
            words: typed.to_owned(),
            ..View::of(Shelf::Everything.open_to(self.member))
        };
        let found = browse::find(conn, viewer, &view, None, MOST).await?.page;
        Ok(found
            .lines
            .iter()
            .filter_map(|line| self.line(line))
            .collect())
    }

    async fn mine(&self, conn: &mut PgConnection) -> Result<Vec<Choice>, Error> {
        let viewer = Some(self.member.id);
        let found = store::list_recipes(conn, viewer, Shelf::Mine, None, MOST).await?;
        Ok(found
            .lines
            .iter()
            .filter_map(|line| self.line(line))
            .collect())
    }

    async fn revisions(&self, conn: &mut PgConnection) -> Result<Vec<Choice>, Error> {
        let (viewer, id) = (Some(self.member.id), &self.recipe.public_id);
        let lines = store::list_revisions(conn, viewer, id, None, MOST).await?;
        let others = lines.iter().filter(|line| line.number != self.number);
        let zone = self.member.settings.zone;
        let choice = others.map(|line| {
            let said = note_words(&line.note, line.restored_from);
            let day = dates::day(line.created_at, zone);
            let meta = match said.as_str() {
                "" => day,
                said => format!("{day}: {said}"),
            };
            let words = format!("revision {}", line.number);
            (self.url(id, line.number), words, meta)
        });
        Ok(choice.collect())
    }

    async fn lineage(&self, conn: &mut PgConnection) -> Result<Vec<Choice>, Error> {
        let (viewer, id) = (Some(self.member.id), &self.recipe.public_id);
        let family = lineage::find_family(conn, viewer, id).await?;
        let others = family.kin.iter().filter(|kin| kin.public_id != *id);
        let choice = others.take(MOST).map(|kin| {
            let meta = format!("by {}, revision {}", kin.owner_name, kin.version);
            (
                self.url(&kin.public_id, kin.version),
                kin.title.clone(),
                meta,
            )
        });
        Ok(choice.collect())
    }
}
