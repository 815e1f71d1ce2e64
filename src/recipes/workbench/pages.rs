//! Handlers of the workbench.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use serde::Deserialize;
use sqlx::PgConnection;

use super::choices::Choices;
use super::view::{FormView, Material, form_view};
use super::{Worked, press, work};
use crate::app::App;
use crate::engine::recipe::Kind;
use crate::engine::{ENGINE_VERSION, Formulation, Recipe};
use crate::recipes::drafts::{Kept, PutDraft, store as drafts};
use crate::recipes::forms::{Workbench, check::stored, fill};
use crate::recipes::model::{Numbers, Revision, Visibility};
use crate::recipes::numbers::NumbersView;
use crate::recipes::public_id::PublicId;
use crate::recipes::saving::{DraftEnd, SaveError, SaveRevision, Source, Target};
use crate::recipes::{paths, store};
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, page, page_with, see_other};
use crate::web::paths::{Route, Routes};
use crate::web::policy::{Action, may};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers of the workbench.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::NEW, new)
        .on(paths::CREATE, create)
        .on(paths::RECALCULATE, recalculate)
        .on(paths::EDIT, edit)
        .on(paths::SAVE, save)
        .on(paths::DRAFT, resume)
        .on(paths::DISCARD, discard)
}

/// A difference between two texts of one field.
struct Difference {
    field: String,
    theirs: String,
    yours: String,
}

/// What somebody else saved meanwhile.
struct Meanwhile {
    number: i32,
    author: String,
    differences: Vec<Difference>,
}

#[derive(Template)]
#[template(path = "recipes/workbench.html")]
struct WorkbenchPage {
    shell: Shell,
    heading: String,
    save_words: String,
    save_at: String,
    recalculate_at: String,
    discard_at: String,
    form: FormView,
    numbers: NumbersView,
    glance: String,
    ticket: Vec<(&'static str, String)>,
    draft_state: String,
    started_from: Option<(String, String)>,
    meanwhile: Option<Meanwhile>,
    dirty: bool,
    choices: Choices,
}

impl WorkbenchPage {
    /// Where a button leads that adds a row: the first field of that row.
    fn add_at(&self, group: &str) -> String {
        format!("{}#{}", self.recalculate_at, self.form.next(group))
    }
}

/// The same regions alone, for an edit while typing.
#[derive(Template)]
#[template(path = "recipes/live.html")]
struct LiveAnswer {
    form: FormView,
    numbers: NumbersView,
    glance: String,
    draft_state: String,
}

#[derive(Deserialize)]
struct From {
    from: Option<String>,
    revision: Option<i32>,
}

async fn new(State(app): State<App>, member: Member, Query(query): Query<From>) -> Answer {
    let viewer = Viewer::known(member.clone());
    let mut form = match query.from.as_deref() {
        None => fill::fresh(member.settings.units),
        Some(id) => {
            let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
            let mut conn = app.pool.acquire().await?;
            let recipe = store::find_recipe(&mut conn, viewer.id(), &id)
                .await?
                .ok_or_else(Error::not_found)?;
            let number = query.revision.unwrap_or(recipe.version);
            let revision = store::find_revision(&mut conn, viewer.id(), &id, number)
                .await?
                .ok_or_else(Error::not_found)?;
            let mut form = form_of(&revision, &member)?;
            form.set("from_recipe", id.as_str());
            form.set("from_number", number.to_string());
            form.set("title", format!("{}, my own", revision.title));
            form.set("visibility", Visibility::Private.as_str());
            form
        }
    };
    form.set(
        "draft",
        PublicId::random().map_err(Error::unexpected)?.as_str(),
    );
    show(&app, &member, form, Showing::default()).await
}

fn form_of(revision: &Revision, member: &Member) -> Result<Workbench, Error> {
    let recipe = stored(&revision.document).ok_or_else(|| {
        Error::unexpected(std::io::Error::other("a stored document does not read"))
    })?;
    Ok(fill::fill(&recipe, member.settings.units))
}

async fn edit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let recipe = store::find_recipe(&mut conn, viewer.id(), &id)
        .await?
        .ok_or_else(Error::not_found)?;
    if !may(&viewer, Action::Change, &recipe.facts()) {
        return Err(Error::not_found());
    }
    let revision = store::find_revision(&mut conn, viewer.id(), &id, recipe.version)
        .await?
        .ok_or_else(Error::not_found)?;
    drop(conn);
    let mut form = form_of(&revision, &member)?;
    form.set("visibility", recipe.visibility.as_str());
    form.set(
        "draft",
        PublicId::random().map_err(Error::unexpected)?.as_str(),
    );
    form.set("base_version", recipe.version.to_string());
    show(
        &app,
        &member,
        form,
        Showing {
            recipe: Some(id),
            ..Showing::default()
        },
    )
    .await
}

async fn resume(State(app): State<App>, member: Member, Path(draft): Path<String>) -> Answer {
    let draft: PublicId = draft.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let kept = drafts::find(&mut conn, member.id, &draft)
        .await?
        .ok_or_else(Error::not_found)?;
    drop(conn);
    let form = Workbench::read(&Posted::from_pairs(kept.fields))?;
    show(
        &app,
        &member,
        form,
        Showing {
            recipe: kept.recipe,
            dirty: true,
            ..Showing::default()
        },
    )
    .await
}

async fn discard(State(app): State<App>, member: Member, Path(draft): Path<String>) -> Answer {
    let draft: PublicId = draft.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    drafts::discard(&mut conn, member.id, &draft).await?;
    see_other(app.site.base(), paths::LIST.path)
}

/// Recalculates. A live edit gets the regions alone; a button gets the whole page.
async fn recalculate(
    State(app): State<App>,
    member: Member,
    headers: HeaderMap,
    posted: Posted,
) -> Answer {
    let live = headers.contains_key("x-live");
    let mut form = Workbench::read(&posted)?;
    press(&mut form, posted.one("press")?);
    let recipe = form_recipe(&posted)?;
    let mut conn = app.pool.acquire().await?;
    let kept = keep_draft(
        &app,
        &mut conn,
        &member,
        &form,
        recipe.as_ref(),
        !live || posted.has("at_once"),
    )
    .await?;
    drop(conn);
    if !live {
        return show(
            &app,
            &member,
            form,
            Showing {
                recipe,
                dirty: true,
                scold: true,
                ..Showing::default()
            },
        )
        .await;
    }
    let now = app.clock.now();
    let worked = work(&form, &member, now);
    let view = view_of(&form, &worked, &member, false);
    let answer = LiveAnswer {
        form: view,
        glance: glance(&worked.numbers),
        numbers: worked.view,
        draft_state: draft_state(&app, &member, kept.as_ref()),
    };
    let mut response = page(&answer)?;
    if let Some(Kept::Deferred { again_in }) = kept
        && let Ok(value) = HeaderValue::try_from((again_in.as_millis() + 50).to_string())
    {
        response.headers_mut().insert("x-draft-again", value);
    }
    Ok(response)
}

/// The recipe that a form edits, if it is not a new one.
fn form_recipe(posted: &Posted) -> Result<Option<PublicId>, Error> {
    match posted.one("recipe")? {
        "" => Ok(None),
        id => id.parse().map(Some).map_err(|_| Error::not_found()),
    }
}

async fn keep_draft(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    form: &Workbench,
    recipe: Option<&PublicId>,
    at_once: bool,
) -> Result<Option<Kept>, Error> {
    let Ok(draft) = form.text("draft").parse::<PublicId>() else {
        return Ok(None);
    };
    let base: i32 = form.text("base_version").parse().unwrap_or(0);
    let from = form.text("from_recipe").parse::<PublicId>().ok();
    let source = from.as_ref().zip(form.text("from_number").parse().ok());
    let mut fields = form.pairs();
    if let Some(recipe) = recipe {
        fields.push(("recipe".to_owned(), recipe.to_string()));
    }
    let put = PutDraft {
        member: member.id,
        draft: &draft,
        editing: recipe.map(|recipe| (recipe, base)),
        started_from: source.map(|(recipe, number)| Source { recipe, number }),
        title: form.text("title"),
        fields: &fields,
        sequence: form.text("sequence").parse().ok(),
        at_once,
    };
    Ok(Some(drafts::put(conn, &put, app.clock.now()).await?))
}

fn draft_state(app: &App, member: &Member, kept: Option<&Kept>) -> String {
    match kept {
        Some(Kept::Written { .. }) => {
            let now = app.clock.now().with_timezone(&member.settings.zone);
            format!("Draft kept {}.", now.format("%H:%M"))
        }
        Some(Kept::Deferred { .. }) => "Draft is being kept.".to_owned(),
        Some(Kept::Late) | None => "A newer draft is kept.".to_owned(),
    }
}

async fn create(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    keep(&app, &member, &posted, paths::CREATE, None).await
}

async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    keep(&app, &member, &posted, paths::SAVE, Some(id)).await
}

/// Saves what was typed as a revision: once, whole, and only on top of the version that was seen.
async fn keep(
    app: &App,
    member: &Member,
    posted: &Posted,
    route: Route,
    recipe: Option<PublicId>,
) -> Answer {
    let once = Once::read(posted, member)?;
    let form = Workbench::read(posted)?;
    let worked = work(&form, member, app.clock.now());
    let visibility: Option<Visibility> = form.text("visibility").parse().ok();
    if !worked.checked.faults.is_empty() {
        let mut conn = app.pool.acquire().await?;
        keep_draft(app, &mut conn, member, &form, recipe.as_ref(), true).await?;
        drop(conn);
        let showing = Showing {
            recipe,
            dirty: true,
            scold: true,
            status: StatusCode::UNPROCESSABLE_ENTITY,
            ..Showing::default()
        };
        return show(app, member, form, showing).await;
    }
    let document = serde_json::to_value(&worked.checked.recipe).map_err(Error::unexpected)?;
    let numbers = numbers_for_lists(&worked.checked.recipe, &worked.numbers);
    let draft: Option<PublicId> = form.text("draft").parse().ok();
    let from: Option<PublicId> = form.text("from_recipe").parse().ok();
    let source = from.as_ref().zip(form.text("from_number").parse().ok());
    let target = match &recipe {
        None => Target::New {
            visibility: visibility.unwrap_or_default(),
            started_from: source.map(|(recipe, number)| Source { recipe, number }),
        },
        Some(recipe) => Target::Existing {
            recipe,
            expected_version: form.text("base_version").parse().unwrap_or(0),
            visibility,
        },
    };
    let save = SaveRevision {
        author: member.id,
        target,
        title: &worked.checked.recipe.title,
        document: &document,
        numbers: &numbers,
        note: form.text("note").trim(),
        draft: draft.as_ref().map(|draft| DraftEnd {
            draft,
            sequence: form.text("sequence").parse().ok(),
        }),
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, member, route).await? {
        return see_other(app.site.base(), &location);
    }
    match store::save_revision(&mut tx, &save, app.clock.now()).await {
        Ok(saved) => {
            let location = format!(
                "{}?saved={}",
                paths::SHEET.with(&[saved.recipe.as_str()]),
                saved.number
            );
            once::settle(&mut tx, &once, member, route, &location).await?;
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Err(SaveError::Conflict(theirs)) => {
            tx.rollback().await?;
            conflict(app, member, form, recipe, *theirs).await
        }
        Err(SaveError::WiderThanSource) => {
            tx.rollback().await?;
            let showing = Showing {
                recipe,
                dirty: true,
                scold: true,
                status: StatusCode::UNPROCESSABLE_ENTITY,
                extra: Some((
                    "visibility".to_owned(),
                    "Share it no more widely than the recipe it was started from.".to_owned(),
                )),
                ..Showing::default()
            };
            show(app, member, form, showing).await
        }
        Err(SaveError::Binned) => Err(Error::conflict(
            "This recipe lies in the bin. Put it back from the bin, then send this again.",
        )),
        Err(SaveError::NotFound | SaveError::SourceNotFound) => Err(Error::not_found()),
        Err(SaveError::Random(fault)) => Err(Error::unexpected(fault)),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

/// The page of the loser of a race: both texts, nothing lost, and a way to go on.
async fn conflict(
    app: &App,
    member: &Member,
    mut form: Workbench,
    recipe: Option<PublicId>,
    theirs: Revision,
) -> Answer {
    let other = form_of(&theirs, member)?;
    let label = |field: &str| field.replace('_', " ");
    let skipped = |field: &str| {
        super::super::forms::TICKET.contains(&field)
            || matches!(field, "note" | "visibility")
            || field.ends_with("_row")
    };
    let (ours, those) = (form.pairs(), other.pairs());
    let joined = |pairs: &[(String, String)], field: &str| {
        let texts = pairs
            .iter()
            .filter(|(name, text)| name == field && !text.trim().is_empty());
        texts
            .map(|(_, text)| text.as_str())
            .collect::<Vec<_>>()
            .join(" · ")
    };
    let mut fields: Vec<&str> = ours
        .iter()
        .chain(&those)
        .map(|(name, _)| name.as_str())
        .collect();
    fields.sort_unstable();
    fields.dedup();
    let differences = fields
        .into_iter()
        .filter(|field| !skipped(field))
        .map(|field| Difference {
            field: label(field),
            theirs: joined(&those, field),
            yours: joined(&ours, field),
        })
        .filter(|difference| difference.theirs != difference.yours)
        .collect();
    form.set("base_version", theirs.number.to_string());
    let meanwhile = Meanwhile {
        number: theirs.number,
        author: theirs.author_name,
        differences,
    };
    let showing = Showing {
        recipe,
        dirty: true,
        scold: true,
        status: StatusCode::CONFLICT,
        meanwhile: Some(meanwhile),
        ..Showing::default()
    };
    show(app, member, form, showing).await
}

/// What lists keep of a formulation.
pub fn numbers_for_lists(recipe: &Recipe, numbers: &Formulation) -> Numbers {
    let (whole, finished, style) = (
        numbers.whole.as_ref(),
        numbers.finished.as_ref(),
        numbers.style.as_ref(),
    );
    let honey = |index: usize| {
        recipe
            .ingredients
            .get(index)
            .is_some_and(|item| item.kind == Kind::Honey)
    };
    let honey_kg: f64 = numbers
        .ingredients
        .iter()
        .filter(|line| honey(line.index))
        .filter_map(|line| line.kg)
        .sum();
    Numbers {
        volume_l: whole.map(|whole| whole.volume_l).or(recipe.volume_l),
        og: whole.map(|whole| whole.og),
        fg: finished.map(|finished| finished.fg),
        abv_percent: finished.map(|finished| finished.abv_percent),
        honey_kg: whole.map(|_| honey_kg),
        honeys: recipe
            .ingredients
            .iter()
            .filter(|item| item.kind == Kind::Honey)
            .map(|item| item.name.clone())
            .collect(),
        style_family: style.and_then(|style| style.family.value.clone()),
        strength: style.and_then(|style| style.strength.value.clone()),
        sweetness: style.and_then(|style| style.sweetness.value.clone()),
        problems: i32::try_from(numbers.problems.len()).unwrap_or(i32::MAX),
        engine_version: ENGINE_VERSION.to_string(),
    }
}

/// How the workbench is shown this time.
#[derive(Default)]
struct Showing {
    recipe: Option<PublicId>,
    dirty: bool,
    /// Whether empty fields are scolded too.
    scold: bool,
    status: StatusCode,
    meanwhile: Option<Meanwhile>,
    /// A fault that only the database could find.
    extra: Option<(String, String)>,
}

fn view_of(form: &Workbench, worked: &Worked, member: &Member, scold: bool) -> FormView {
    form_view(&Material {
        form,
        checked: &worked.checked,
        numbers: &worked.numbers,
        view: &worked.view,
        units: member.settings.units,
        scold,
    })
}

fn glance(numbers: &Formulation) -> String {
    match (&numbers.whole, &numbers.finished) {
        (Some(whole), Some(finished)) => format!(
            "{}, {} to {}",
            crate::recipes::numbers::strength(finished.abv_percent),
            crate::web::units::gravity(whole.og),
            crate::web::units::gravity(finished.fg)
        ),
        _ => String::new(),
    }
}

async fn show(app: &App, member: &Member, form: Workbench, showing: Showing) -> Answer {
    let viewer = Viewer::known(member.clone());
    let worked = work(&form, member, app.clock.now());
    let mut view = view_of(&form, &worked, member, showing.scold);
    view.faults.extend(showing.extra);
    let base = app.site.base();
    let version: i32 = form.text("base_version").parse().unwrap_or(0);
    let started_from = match (form.text("from_recipe"), form.text("from_number")) {
        ("", _) => None,
        (recipe, number) => Some((
            base.link(&paths::REVISION.with(&[recipe, number])),
            number.to_owned(),
        )),
    };
    let (save_at, save_words, heading) = match &showing.recipe {
        None => (
            paths::CREATE.path.to_owned(),
            "Save as revision 1".to_owned(),
            "New recipe",
        ),
        Some(id) => (
            paths::SAVE.with(&[id.as_str()]),
            format!("Save as revision {}", version.saturating_add(1)),
            "Edit recipe",
        ),
    };
    let title = form.text("title").trim();
    let mut ticket: Vec<(&'static str, String)> = super::super::forms::TICKET
        .iter()
        .map(|name| (*name, form.text(name).to_owned()))
        .collect();
    ticket.push((once::FIELD, Once::fresh(&viewer)?));
    ticket.push((
        "recipe",
        showing
            .recipe
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default(),
    ));
    ticket.push(("water_report", form.text("water_report").to_owned()));
    let page = WorkbenchPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        heading: if title.is_empty() {
            heading.to_owned()
        } else {
            title.to_owned()
        },
        save_words,
        save_at: base.link(&save_at),
        recalculate_at: base.link(paths::RECALCULATE.path),
        discard_at: base.link(&paths::DISCARD.with(&[form.text("draft")])),
        form: view,
        glance: glance(&worked.numbers),
        numbers: worked.view,
        ticket,
        draft_state: String::new(),
        started_from,
        meanwhile: showing.meanwhile,
        dirty: showing.dirty,
        choices: Choices::new(),
    };
    page_with(showing.status, &page)
}
