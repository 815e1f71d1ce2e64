//! Categories of a draft: the list, a form for each, their order.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use serde_json::json;
use sqlx::PgConnection;

use super::{paths, store};
use crate::app::App;
use crate::catalogue::catalogue;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::model::{Category, Duty};
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::competitions::shown::shell;
use crate::engine::contest::categories::{GROUPS, Kind, STRENGTHS, usual};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::shell::Shell;
use crate::web::typed::{Difference, Typed, differences};
use crate::web::viewer::{Member, Viewer};

/// The most categories of one competition.
const MOST: usize = 60;
const NAME_MAX: usize = 80;
const ABOUT_MAX: usize = 600;
const FIELDS: &[(&str, &str)] = &[
    ("name", "What it is called"),
    ("about", "What belongs in it"),
    ("family", "What is in the mead"),
    ("strength", "How strong it is"),
];

struct Row {
    name: String,
    about: String,
    edit_url: String,
    move_at: String,
    remove_at: String,
}

#[derive(Template)]
#[template(path = "competitions/organise/categories.html")]
struct ListPage {
    shell: Shell,
    rules_url: String,
    title: String,
    rows: Vec<Row>,
    add_at: String,
    families: Vec<(&'static str, String)>,
    strengths: Vec<(&'static str, String)>,
    form: FormState,
    once: String,
}

#[derive(Template)]
#[template(path = "competitions/organise/category.html")]
struct EditPage {
    shell: Shell,
    list_url: String,
    title: String,
    name: String,
    action: String,
    families: Vec<(&'static str, String)>,
    strengths: Vec<(&'static str, String)>,
    meanwhile: Vec<Difference>,
    seen: [String; 4],
    form: FormState,
}

/// Groups of families, then each family of the catalogue by the engine's code.
fn families() -> Vec<(&'static str, String)> {
    let any = std::iter::once(("", "anything".to_owned()));
    let groups = GROUPS
        .iter()
        .map(|group| (group.code, group.name.to_owned()));
    let families = catalogue().families().iter();
    let families = families.map(|family| (family.code.as_str(), format!("{} alone", family.name)));
    any.chain(groups).chain(families).collect()
}

fn strengths() -> Vec<(&'static str, String)> {
    let any = std::iter::once(("", "any strength".to_owned()));
    let each = STRENGTHS.iter().map(|(code, name, bounds)| {
        let bounds = bounds.trim_end_matches('.');
        (*code, format!("{name}: {}", bounds.to_lowercase()))
    });
    any.chain(each).collect()
}

/// A competition of the viewer's whose categories may be set; elsewhere the page is not there.
async fn opened(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Opened, Error> {
    let opened = Opened::read(conn, member, id).await?;
    opened.demand(&[Duty::Organiser])?;
    Ok(opened)
}

fn read(posted: &Posted) -> Result<Result<Kind, FormState>, Error> {
    let mut typed = Typed::of(posted);
    let why = "Write what it is called, such as Plain honey, strong.";
    let name = typed.wanted("name", NAME_MAX, why)?;
    let about = typed.line("about", ABOUT_MAX)?;
    let mut chosen = |field: &str, known: Vec<(&'static str, String)>| {
        let text = typed.text(field)?;
        if known.iter().all(|(code, _)| *code != text) {
            typed.form.refuse(field, "Choose one of the list.");
        }
        Ok::<_, Error>(Some(text.to_owned()).filter(|text| !text.is_empty()))
    };
    let family = chosen("family", families())?;
    let strength = chosen("strength", strengths())?;
    Ok(match typed.form.is_sound() {
        true => Ok(Kind {
            name,
            about,
            family,
            strength,
        }),
        false => Err(typed.form),
    })
}

fn filled(category: &Category) -> FormState {
    let mut form = FormState::new();
    form.set("name", category.name.clone());
    form.set("about", category.about.clone());
    form.set("family", category.family.clone().unwrap_or_default());
    form.set("strength", category.strength.clone().unwrap_or_default());
    form
}

async fn list_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    form: FormState,
) -> Result<ListPage, Error> {
    let all = crate::competitions::store::categories(conn, opened.competition.id).await?;
    let base = app.site.base();
    let id = opened.competition.public_id.as_str();
    let rows = all.into_iter().map(|category| {
        let place = category.place.to_string();
        let at = |route: crate::web::paths::Route| base.link(&route.with(&[id, &place]));
        Row {
            edit_url: at(paths::CATEGORY),
            move_at: at(paths::MOVE_CATEGORY),
            remove_at: at(paths::REMOVE_CATEGORY),
            name: category.name,
            about: category.about,
        }
    });
    Ok(ListPage {
        shell: shell(app, member),
        rules_url: base.link(&paths::RULES.with(&[id])),
        title: opened.competition.title.clone(),
        rows: rows.collect(),
        add_at: base.link(&paths::ADD_CATEGORY.with(&[id])),
        families: families(),
        strengths: strengths(),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
    })
}

pub(super) async fn list(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = opened(&mut conn, &member, &id).await?;
    if !opened.allows(Act::SetCategories) {
        return see_other(app.site.base(), &paths::RULES.with(&[&id]));
    }
    page(&list_page(&app, &mut conn, &member, &opened, FormState::new()).await?)
}

/// Notes how the categories stand now.
async fn note(app: &App, conn: &mut PgConnection, opened: &Opened) -> Result<(), Error> {
    let id = opened.competition.id;
    let all = crate::competitions::store::categories(conn, id).await?;
    let all = all.iter().map(|one| {
        json!({ "name": one.name, "about": one.about, "family": one.family, "strength": one.strength })
    });
    let deed = Deed {
        deed: "categories",
        about: json!({ "categories": all.collect::<Vec<_>>() }),
        reason: "",
    };
    deeds::write(conn, id, Some(opened.viewer), &deed, app.clock.now()).await?;
    Ok(())
}

/// Adds one, or the whole usual set to an empty list.
pub(super) async fn add(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(at) = once::claim(&mut tx, &once, &member, paths::ADD_CATEGORY).await? {
        return see_other(app.site.base(), &at);
    }
    let opened = opened(&mut tx, &member, &id).await?;
    opened.hold(&mut tx, Act::SetCategories).await?;
    let there = crate::competitions::store::categories(&mut tx, opened.competition.id).await?;
    let kinds = match posted.has("usual") && there.is_empty() {
        true => usual(),
        false => match read(&posted)? {
            Ok(kind) => vec![kind],
            Err(form) => {
                return form_again(&list_page(&app, &mut tx, &member, &opened, form).await?);
            }
        },
    };
    let name_taken = kinds
        .iter()
        .any(|kind| there.iter().any(|one| one.name == kind.name));
    if name_taken || there.len() + kinds.len() > MOST {
        let mut form = FormState::of(&posted);
        form.refuse(
            "name",
            match name_taken {
                true => "There is one of that name already.".to_owned(),
                false => format!("There are {MOST} already: take one out first."),
            },
        );
        return form_again(&list_page(&app, &mut tx, &member, &opened, form).await?);
    }
    store::put_categories(&mut tx, opened.competition.id, &kinds).await?;
    note(&app, &mut tx, &opened).await?;
    let location = paths::CATEGORIES.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::ADD_CATEGORY, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

async fn at_place(
    conn: &mut PgConnection,
    opened: &Opened,
    place: &str,
) -> Result<Category, Error> {
    let place: i32 = place.parse().map_err(|_| Error::not_found())?;
    let all = crate::competitions::store::categories(conn, opened.competition.id).await?;
    all.into_iter()
        .find(|one| one.place == place)
        .ok_or_else(Error::not_found)
}

fn edit_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    category: &Category,
    form: FormState,
) -> EditPage {
    let base = app.site.base();
    let id = opened.competition.public_id.as_str();
    let stands = filled(category);
    EditPage {
        shell: shell(app, member),
        list_url: base.link(&paths::CATEGORIES.with(&[id])),
        title: opened.competition.title.clone(),
        name: category.name.clone(),
        action: base.link(&paths::SAVE_CATEGORY.with(&[id, &category.place.to_string()])),
        families: families(),
        strengths: strengths(),
        meanwhile: Vec::new(),
        seen: FIELDS
            .iter()
            .map(|(name, _)| stands.typed(name).to_owned())
            .collect::<Vec<_>>()
            .try_into()
            .unwrap_or_default(),
        form,
    }
}

pub(super) async fn edit(
    State(app): State<App>,
    member: Member,
    Path((id, place)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = opened(&mut conn, &member, &id).await?;
    if !opened.allows(Act::SetCategories) {
        return see_other(app.site.base(), &paths::RULES.with(&[&id]));
    }
    let category = at_place(&mut conn, &opened, &place).await?;
    let form = filled(&category);
    page(&edit_page(&app, &member, &opened, &category, form))
}

/// What the form was opened with, for whoever saved meanwhile.
fn seen(posted: &Posted) -> Result<FormState, Error> {
    let mut seen = FormState::new();
    for (name, _) in FIELDS {
        seen.set(name, posted.one(&format!("seen_{name}"))?);
    }
    Ok(seen)
}

pub(super) async fn save(
    State(app): State<App>,
    member: Member,
    Path((id, place)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = opened(&mut tx, &member, &id).await?;
    opened.hold(&mut tx, Act::SetCategories).await?;
    let category = at_place(&mut tx, &opened, &place).await?;
    let all = crate::competitions::store::categories(&mut tx, opened.competition.id).await?;
    let stands = filled(&category);
    let kind = match read(&posted)? {
        Ok(kind) => kind,
        Err(form) => return form_again(&edit_page(&app, &member, &opened, &category, form)),
    };
    if !differences(FIELDS, &stands, &seen(&posted)?).is_empty() {
        let yours = FormState::of(&posted);
        let mut again = edit_page(&app, &member, &opened, &category, yours.clone());
        again.meanwhile = differences(FIELDS, &stands, &yours);
        return page_with(StatusCode::CONFLICT, &again);
    }
    let taken = |one: &Category| one.id != category.id && one.name == kind.name;
    if all.iter().any(taken) {
        let mut form = FormState::of(&posted);
        form.refuse("name", "There is one of that name already.");
        return form_again(&edit_page(&app, &member, &opened, &category, form));
    }
    store::set_category(&mut tx, category.id, &kind).await?;
    note(&app, &mut tx, &opened).await?;
    tx.commit().await?;
    see_other(app.site.base(), &paths::CATEGORIES.with(&[&id]))
}

/// Places change as others move and go: the name says which one was meant.
fn meant(posted: &Posted, category: &Category) -> Result<(), Error> {
    match posted.one("named")? == category.name {
        true => Ok(()),
        false => Err(Error::conflict(
            "The list changed meanwhile. Open it again and choose what you meant.",
        )),
    }
}

/// One place up.
pub(super) async fn move_up(
    State(app): State<App>,
    member: Member,
    Path((id, place)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = opened(&mut tx, &member, &id).await?;
    opened.hold(&mut tx, Act::SetCategories).await?;
    let category = at_place(&mut tx, &opened, &place).await?;
    meant(&posted, &category)?;
    store::raise_category(&mut tx, opened.competition.id, category.place).await?;
    note(&app, &mut tx, &opened).await?;
    tx.commit().await?;
    see_other(app.site.base(), &paths::CATEGORIES.with(&[&id]))
}

pub(super) async fn remove(
    State(app): State<App>,
    member: Member,
    Path((id, place)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let opened = opened(&mut tx, &member, &id).await?;
    opened.hold(&mut tx, Act::SetCategories).await?;
    let category = at_place(&mut tx, &opened, &place).await?;
    meant(&posted, &category)?;
    store::remove_category(&mut tx, opened.competition.id, &category).await?;
    note(&app, &mut tx, &opened).await?;
    tx.commit().await?;
    see_other(app.site.base(), &paths::CATEGORIES.with(&[&id]))
}
