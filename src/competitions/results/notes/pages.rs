//! The page that leads from sheets to one change, and the draft that it keeps.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::store::Judged;
use super::{store, words};
use crate::app::App;
use crate::batches::next::words::change as change_words;
use crate::batches::opened::{Opened, open_own};
use crate::batches::paths as batches;
use crate::competitions::judging::words::fault as fault_words;
use crate::competitions::results::paths;
use crate::engine::contest::causes::{Habit, Heard, Known, Proposal, causes, heard, proposals};
use crate::engine::decide::{Change, changes};
use crate::recipes;
use crate::recipes::next::Next;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, page, see_other};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers.
pub(in crate::competitions::results) fn bind(routes: Routes<App>) -> Routes<App> {
    routes.on(paths::NOTES, show).on(paths::NOTES_DRAFT, keep)
}

/// A fault with what the log says about it.
struct FaultLine {
    name: &'static str,
    shows: &'static str,
    judges: String,
    causes: Vec<String>,
}

/// One thing to do otherwise, as a change of the recipe.
struct ChangePart {
    words: String,
    does: Vec<String>,
    action: String,
    recipe: (String, String),
    is_own: bool,
}

#[derive(Template)]
#[template(path = "competitions/notes.html")]
struct NotesPage {
    shell: Shell,
    name: String,
    batch_url: String,
    next_url: String,
    /// Where it was judged: title and code, with the way to its sheets.
    judged: Vec<(String, String)>,
    sheets: usize,
    faults: Vec<FaultLine>,
    /// The fault for which something is proposed.
    because: String,
    change: Option<ChangePart>,
    habit: &'static str,
    advice: Vec<String>,
    once: String,
}

/// Everything that the page and its form go by.
struct Case {
    opened: Opened,
    judged: Vec<Judged>,
    heard: Vec<Heard>,
    next: Option<Next>,
}

async fn case(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Case, Error> {
    let opened = open_own(conn, member, id).await?;
    let judged = store::of_batch(conn, member.id, &opened.batch.public_id).await?;
    if judged.is_empty() {
        return Err(Error::not_found());
    }
    let next = match &opened.batch.made_of {
        Some(made) => Next::of(app, conn, member, &made.recipe).await?,
        None => None,
    };
    Ok(Case {
        heard: heard(judged.iter().flat_map(|one| &one.sheets)),
        opened,
        judged,
        next,
    })
}

/// What is proposed.
enum Proposed {
    Change(Box<Change>),
    Habit(Habit),
}

impl Case {
    fn known(&self) -> Known<'_> {
        let newest = self.judged.first();
        let released = newest.and_then(|one| one.released_at);
        Known {
            entries: &self.opened.entries,
            state: &self.opened.state,
            recipe: &self.opened.recipe,
            judged_h: released.map(|at| self.opened.batch.hours_at(at)),
            declared_abv_percent: newest.map(|one| one.declared.abv_percent),
        }
    }

    /// For the fault that most judges ticked, the first thing that can be done.
    fn proposed(&self) -> Option<(Heard, Proposed)> {
        let first = *self.heard.first()?;
        let found = proposals(first.fault, &causes(first.fault, &self.known()));
        let done = found.into_iter().find_map(|one| self.can_be_done(one))?;
        Some((first, done))
    }

    fn can_be_done(&self, proposal: Proposal) -> Option<Proposed> {
        match proposal {
            Proposal::Habit(habit) => Some(Proposed::Habit(habit)),
            Proposal::Recipe { sense, way, only } => {
                let next = self.next.as_ref()?;
                let offered = changes(next.document(), next.numbers(), sense, way);
                let fits = |change: &Change| only.is_none_or(|word| change.code.word() == word);
                let found = offered.into_iter().find(fits)?;
                Some(Proposed::Change(Box::new(found)))
            }
        }
    }

    /// "two of three judges ticked hot".
    fn because(&self, heard: Heard) -> String {
        let (name, _) = fault_words(heard.fault);
        let sheets: usize = self.judged.iter().map(|one| one.sheets.len()).sum();
        format!("{} of {sheets} sheets: {name}", heard.judges)
    }
}

fn fault_line(case: &Case, heard: Heard, member: &Member) -> FaultLine {
    let (name, shows) = fault_words(heard.fault);
    let found = causes(heard.fault, &case.known()).into_iter();
    FaultLine {
        name,
        shows,
        judges: match heard.judges {
            1 => "one sheet".to_owned(),
            several => format!("{several} sheets"),
        },
        causes: found
            .map(|cause| words::cause(cause, member.settings.units))
            .collect(),
    }
}

async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let case = case(&app, &mut conn, &member, &id).await?;
    drop(conn);
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let (because, change, habit) = match case.proposed() {
        None => (String::new(), None, ""),
        Some((first, Proposed::Habit(habit))) => (case.because(first), None, words::habit(habit)),
        Some((first, Proposed::Change(change))) => {
            let part = case.next.as_ref().map(|next| ChangePart {
                words: change_words(change.code, member.settings.units),
                does: next.does(&member, &change.recipe),
                action: base.link(&paths::NOTES_DRAFT.with(&[&id])),
                recipe: (
                    format!("{}, revision {}", next.revision.title, next.revision.number),
                    base.link(&recipes::paths::SHEET.with(&[next.recipe.public_id.as_str()])),
                ),
                is_own: next.is_own,
            });
            (case.because(first), part, "")
        }
    };
    let advice = case.judged.iter().flat_map(|one| &one.sheets);
    let mut advice: Vec<String> = advice.map(|sheet| sheet.advice.trim().to_owned()).collect();
    advice.retain(|text| !text.is_empty());
    advice.dedup();
    page(&NotesPage {
        name: case.opened.batch.name.clone(),
        batch_url: base.link(&batches::BATCH.with(&[&id])),
        next_url: base.link(&batches::NEXT.with(&[&id])),
        judged: case
            .judged
            .iter()
            .map(|one| {
                let path = paths::OWN.with(&[&one.competition, &one.code]);
                (format!("{}, {}", one.title, one.code), base.link(&path))
            })
            .collect(),
        sheets: case.judged.iter().map(|one| one.sheets.len()).sum(),
        faults: case
            .heard
            .iter()
            .map(|one| fault_line(&case, *one, &member))
            .collect(),
        because,
        change,
        habit,
        advice,
        once: Once::fresh(&viewer)?,
        shell: app.shell(&viewer).at_place(Nav::Batches),
    })
}

async fn keep(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let case = case(&app, &mut tx, &member, &id).await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::NOTES_DRAFT).await? {
        return see_other(app.site.base(), &location);
    }
    let (Some((first, Proposed::Change(change))), Some(next)) = (case.proposed(), &case.next)
    else {
        return Err(Error::conflict(
            "Its recipe or its log changed meanwhile: nothing of the recipe is proposed any more. Open the page again.",
        ));
    };
    let note = format!(
        "After {} was judged: {} ({}).",
        case.opened.batch.name,
        change_words(change.code, member.settings.units),
        case.because(first)
    );
    let location = next
        .keep(&app, &mut tx, &member, (&change.recipe, &note))
        .await?;
    once::settle(&mut tx, &once, &member, paths::NOTES_DRAFT, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
