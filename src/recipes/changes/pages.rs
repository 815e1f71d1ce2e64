//! The page of what leads from one revision to another, of one recipe or of two: each difference with what it does alone, then
//! all of them together, both side by side, and ways to bring one into a recipe of one's own.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::beside::{Beside, beside};
use super::said::said;
use super::take::pairs;
use super::{Difference, differences};
use crate::app::App;
use crate::recipes::compare::{Change, Compared, Side, compare, feeding, moved};
use crate::recipes::list::encoded;
use crate::recipes::method_pages::general;
use crate::recipes::model::{Recipe, Revision, Shelf};
use crate::recipes::numbers::{Links, Reader};
use crate::recipes::opened::reader_for;
use crate::recipes::public_id::PublicId;
use crate::recipes::revisions::note_words;
use crate::recipes::workbench::choices::Choices;
use crate::recipes::workbench::{Worked, form_of, work};
use crate::recipes::{paths, store};
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::policy::{Action, may};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// Recipes of one's own that are offered to be changed.
const OWN: usize = 50;

/// One difference and what it does by itself.
struct Step {
    changes: Vec<Change>,
    /// What moves, in words: "strength from 10 % to 12 %".
    does: Vec<String>,
    /// Where it is brought into a recipe of one's own.
    take_url: String,
}

/// One of the two revisions.
struct One {
    url: String,
    words: String,
}

/// Where differences are brought.
struct Into {
    /// What the button says.
    button: &'static str,
    /// The sentence that says what it does.
    sentence: String,
    /// The recipe, where it is one of one's own.
    chosen: String,
    /// Recipes of one's own: id and title.
    choices: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "recipes/changes.html")]
struct ChangesPage {
    shell: Shell,
    heading: &'static str,
    title: String,
    sheet_url: String,
    before: One,
    after: One,
    note: String,
    steps: Vec<Step>,
    compared: Compared,
    beside: Beside,
    into: Into,
    /// The address of this page without what differences are brought into, and what it is asked for.
    here: String,
    hidden: Vec<(&'static str, String)>,
    turned_url: String,
    others_url: String,
    links: Links,
}

#[derive(Deserialize)]
pub(in crate::recipes) struct Since {
    /// The number of the revision before; the one just before this if it is not said.
    since: Option<i32>,
    /// The recipe whose revision that is; this recipe if it is not said.
    of: Option<String>,
    /// The recipe of one's own into which differences are brought.
    into: Option<String>,
}

pub(in crate::recipes) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, i32)>,
    Query(query): Query<Since>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    let (from, since) = before(&mut conn, &viewer, &id, number, &query).await?;
    let old = find(&mut conn, &viewer, &from, since).await?;
    let new = find(&mut conn, &viewer, &id, number).await?;
    let wanted = query.into.as_deref().unwrap_or_default();
    let target = target(&mut conn, &viewer, wanted, &old, &new).await?;
    let mine = store::list_recipes(&mut conn, viewer.id(), Shelf::Mine, None, OWN).await?;
    drop(conn);
    let way = Way::of(target.as_ref(), &old, &new);
    let Told {
        mut steps,
        compared,
        beside,
    } = told(&member, &reader, &old, &new)?;
    for step in &mut steps {
        step.take_url = way.url(&app, &step.difference, &old, &new);
    }
    let base = app.site.base();
    let one_recipe = from == id;
    let one = |revision: &Revision| One {
        url: base.link(&revision_path(revision)),
        words: match revision.recipe == id {
            true => format!("revision {}", revision.number),
            false => format!(
                "{} by {}, revision {}",
                revision.title, revision.author_name, revision.number
            ),
        },
    };
    let hidden = vec![("of", from.to_string()), ("since", since.to_string())];
    let choices = mine.lines.into_iter();
    let choices = choices.map(|line| (line.public_id.to_string(), line.title));
    page(&ChangesPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        heading: match one_recipe {
            true => "What changed",
            false => "What differs",
        },
        sheet_url: base.link(&paths::SHEET.with(&[id.as_str()])),
        into: way.words(target.as_ref(), &old, &new, choices.collect()),
        here: base.link(&changes_path(&new)),
        turned_url: base.link(&format!(
            "{}?{}",
            changes_path(&old),
            encoded(&[("of", id.as_str()), ("since", &number.to_string())])
        )),
        others_url: base.link(&format!(
            "{}?revision={number}",
            paths::COMPARE.with(&[id.as_str()])
        )),
        hidden,
        before: one(&old),
        after: one(&new),
        note: match one_recipe {
            true => note_words(&new.note, new.restored_from),
            false => String::new(),
        },
        title: new.title,
        steps: steps.into_iter().map(ToldStep::shown).collect(),
        compared,
        beside,
        links: general(&app),
    })
}

fn revision_path(revision: &Revision) -> String {
    paths::REVISION.with(&[revision.recipe.as_str(), &revision.number.to_string()])
}

fn changes_path(revision: &Revision) -> String {
    paths::CHANGES.with(&[revision.recipe.as_str(), &revision.number.to_string()])
}

/// The recipe and number of the revision before: as asked, else the one just before, else the one that it was started from.
async fn before(
    conn: &mut PgConnection,
    viewer: &Viewer,
    id: &PublicId,
    number: i32,
    query: &Since,
) -> Result<(PublicId, i32), Error> {
    let of = query.of.as_ref().filter(|of| !of.is_empty());
    if let Some(of) = of {
        let of = of.parse().map_err(|_| Error::not_found())?;
        return Ok((of, query.since.ok_or_else(Error::not_found)?));
    }
    if let Some(since) = query.since {
        return Ok((id.clone(), since));
    }
    if number > 1 {
        return Ok((id.clone(), number - 1));
    }
    let source = store::find_started_from(conn, viewer.id(), id).await?;
    let source = source.and_then(|from| Some((from.recipe?, from.number)));
    source.ok_or_else(Error::not_found)
}

async fn find(
    conn: &mut PgConnection,
    viewer: &Viewer,
    recipe: &PublicId,
    number: i32,
) -> Result<Revision, Error> {
    store::find_revision(conn, viewer.id(), recipe, number)
        .await?
        .ok_or_else(Error::not_found)
}

/// The recipe of one's own that differences are brought into: the one asked for, else one of the two.
async fn target(
    conn: &mut PgConnection,
    viewer: &Viewer,
    wanted: &str,
    old: &Revision,
    new: &Revision,
) -> Result<Option<Recipe>, Error> {
    let asked: Option<PublicId> = wanted.parse().ok();
    for id in asked.iter().chain([&old.recipe, &new.recipe]) {
        let found = store::find_recipe(conn, viewer.id(), id).await?;
        let own = found.filter(|recipe| {
            may(viewer, Action::Change, &recipe.facts()) && recipe.binned_at.is_none()
        });
        if own.is_some() {
            return Ok(own);
        }
    }
    Ok(None)
}

/// Which way a difference goes, and where.
struct Way {
    into: Option<PublicId>,
    /// From the revision after to the one before.
    back: bool,
}

impl Way {
    /// What one has already is not brought there: the other side is.
    fn of(target: Option<&Recipe>, old: &Revision, new: &Revision) -> Way {
        let is = |one: &Revision| {
            target.is_some_and(|own| own.public_id == one.recipe && own.version == one.number)
        };
        Way {
            into: target.map(|own| own.public_id.clone()),
            back: is(new) && !is(old),
        }
    }

    fn url(&self, app: &App, difference: &Difference, old: &Revision, new: &Revision) -> String {
        let asked = match self.back {
            true => pairs(&difference.turned(), new, old),
            false => pairs(difference, old, new),
        };
        let number = old.number.to_string();
        let (path, own) = match &self.into {
            Some(into) => (paths::EDIT.with(&[into.as_str()]), Vec::new()),
            None => (
                paths::NEW.path.to_owned(),
                vec![("from", old.recipe.as_str()), ("revision", &number)],
            ),
        };
        let asked = asked.iter().map(|(name, text)| (*name, text.as_str()));
        let all: Vec<(&str, &str)> = own.into_iter().chain(asked).collect();
        app.site.base().link(&format!("{path}?{}", encoded(&all)))
    }

    fn words(
        &self,
        target: Option<&Recipe>,
        old: &Revision,
        new: &Revision,
        choices: Vec<(String, String)>,
    ) -> Into {
        let source = if self.back { old } else { new };
        let takes_back = self.back && old.recipe == new.recipe;
        let brings = format!("{}, revision {},", source.title, source.number);
        Into {
            button: match takes_back {
                true => "Take this back",
                false => "Take this over",
            },
            sentence: match target {
                Some(own) => format!(
                    "Each can be brought by itself from {brings} into {}: the workbench opens with it, and nothing is saved until you save it.",
                    own.title
                ),
                None => format!(
                    "Each can be brought by itself from {brings} into one of your own, started from {}: the workbench opens with it, and nothing is saved until you save it.",
                    old.title
                ),
            },
            chosen: target.map_or(String::new(), |own| own.public_id.to_string()),
            choices,
        }
    }
}

/// A difference while its page is made.
struct ToldStep {
    difference: Difference,
    changes: Vec<Change>,
    does: Vec<String>,
    take_url: String,
}

impl ToldStep {
    fn shown(self) -> Step {
        Step {
            changes: self.changes,
            does: self.does,
            take_url: self.take_url,
        }
    }
}

struct Told {
    steps: Vec<ToldStep>,
    compared: Compared,
    beside: Beside,
}

/// Every difference with what it does alone, all of them together, and both sides.
fn told(member: &Member, reader: &Reader, old: &Revision, new: &Revision) -> Result<Told, Error> {
    let (before, after) = (form_of(old, reader)?, form_of(new, reader)?);
    let catalogue = &reader.catalogue;
    let choices = Choices::of(&after, &[], reader);
    let (start, end) = (work(&before, member, reader), work(&after, member, reader));
    let step = |difference: Difference| ToldStep {
        changes: said(&difference, &before, &after, &choices, catalogue),
        does: match difference.put_into(&before, &before, &after, catalogue) {
            Ok(form) => does(&start, &work(&form, member, reader), reader),
            Err(_) => vec![ONLY_TOGETHER.to_owned()],
        },
        take_url: String::new(),
        difference,
    };
    let all = differences(&before, &after, catalogue).into_iter();
    let mut steps: Vec<ToldStep> = all.map(step).collect();
    steps.retain(|step| !step.changes.is_empty());
    // What moves a number comes before mere words.
    steps.sort_by_key(|step| step.does.is_empty());
    let (left, right) = (Side::of(&start), Side::of(&end));
    Ok(Told {
        steps,
        compared: compare(&left, &right, reader.units),
        beside: beside(&left, &right, reader.units),
    })
}

const ONLY_TOGETHER: &str = "only together with the others";

/// What a difference moves: the numbers, and what the yeast is fed.
pub(in crate::recipes) fn does(start: &Worked, reckoned: &Worked, reader: &Reader) -> Vec<String> {
    if !reckoned.counted {
        return vec![ONLY_TOGETHER.to_owned()];
    }
    let fed = feeding(&Side::of(start), &Side::of(reckoned), reader.units);
    let moved = moved(&start.view, &reckoned.view).into_iter().chain(fed);
    moved
        .map(
            |Change {
                 label,
                 before,
                 after,
             }| format!("{label} from {before} to {after}"),
        )
        .collect()
}
