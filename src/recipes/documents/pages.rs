//! Handlers of documents: a recipe written out, and recipes brought in, which are drafts until somebody saves them.

use askama::Template;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::handler::Handler;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::IntoResponse;
use serde::Deserialize;

use super::words::{Told, not_held, of_each, of_whole};
use super::{MOST, Taken, take};
use crate::app::App;
use crate::engine::Recipe;
use crate::recipes::forms::check::{check, stored};
use crate::recipes::forms::{Workbench, fill};
use crate::recipes::model::Visibility;
use crate::recipes::numbers::Reader;
use crate::recipes::opened::reader_for;
use crate::recipes::public_id::PublicId;
use crate::recipes::workbench::{assume, keep_draft, open_unsaved};
use crate::recipes::{paths, store};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::upload;
use crate::web::viewer::{Member, Viewer};

/// The largest file, bytes, and what stands around it in its form.
const MAX_FILE: usize = 1024 * 1024;
const MAX_AROUND: usize = 4 * 1024;
/// The longest text that is shown again in the field after it came as a file, bytes.
const MAX_SHOWN: usize = 64 * 1024;
/// The name of the field for the text.
const TEXT: &str = "document";

#[derive(Template)]
#[template(path = "recipes/import.html")]
struct ImportPage {
    shell: Shell,
    most: usize,
    form: FormState,
    once: String,
    told: Vec<Told>,
    text_at: String,
    file_at: String,
    back: String,
}

#[derive(Template)]
#[template(path = "recipes/imported.html")]
struct ImportedPage {
    shell: Shell,
    drafts: Vec<(String, String)>,
    back: String,
}

#[derive(Deserialize)]
struct Which {
    revision: Option<i32>,
}

/// Binds the handlers of documents.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    let limit = DefaultBodyLimit::max(MAX_FILE + MAX_AROUND);
    routes
        .on(paths::DOCUMENT, write_out)
        .on(paths::IMPORT, show)
        .on(paths::TAKE_TEXT, take_text)
        .on(paths::TAKE_FILE, take_file.layer(limit))
}

async fn write_out(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(which): Query<Which>,
) -> Answer {
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let (_, revision) = store::find_with_revision(&mut conn, Some(member.id), &id, which.revision)
        .await?
        .ok_or_else(Error::not_found)?;
    let number = revision.number;
    let document = stored(&revision.document).ok_or_else(|| {
        Error::unexpected(std::io::Error::other("a stored document does not read"))
    })?;
    let text = serde_json::to_string_pretty(&document).map_err(Error::unexpected)?;
    let name = format!(
        "attachment; filename=\"{}-{number}.json\"",
        file_name(&revision.title)
    );
    let headers = [
        (
            header::CONTENT_TYPE,
            HeaderValue::from_static("application/json; charset=utf-8"),
        ),
        (
            header::CONTENT_DISPOSITION,
            HeaderValue::try_from(name).map_err(Error::unexpected)?,
        ),
    ];
    Ok((headers, text + "\n").into_response())
}

/// A title as the name of a file: plain letters, figures and dashes, whatever the title holds.
fn file_name(title: &str) -> String {
    let mut name = String::new();
    for c in title.chars().take(60) {
        match c.is_ascii_alphanumeric() {
            true => name.push(c.to_ascii_lowercase()),
            false if !name.ends_with('-') => name.push('-'),
            false => {}
        }
    }
    match name.trim_matches('-') {
        "" => "recipe".to_owned(),
        name => name.to_owned(),
    }
}

fn import_page(
    app: &App,
    viewer: &Viewer,
    form: FormState,
    told: Vec<Told>,
) -> Result<ImportPage, Error> {
    let base = app.site.base();
    Ok(ImportPage {
        shell: app.shell(viewer).at_place(Nav::Recipes),
        most: MOST,
        form,
        once: Once::fresh(viewer)?,
        told,
        text_at: base.link(paths::TAKE_TEXT.path),
        file_at: base.link(paths::TAKE_FILE.path),
        back: base.link(paths::LIST.path),
    })
}

async fn show(State(app): State<App>, viewer: Viewer) -> Answer {
    page(&import_page(&app, &viewer, FormState::new(), Vec::new())?)
}

async fn take_text(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    bring_in(&app, &member, &once, posted.one(TEXT)?, TEXT).await
}

async fn take_file(
    State(app): State<App>,
    member: Member,
    headers: HeaderMap,
    body: Result<Bytes, BytesRejection>,
) -> Answer {
    let body = body.map_err(|_| Error::too_large())?;
    let kind = headers
        .get(header::CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok())
        .unwrap_or_default();
    let incomplete = || Error::bad_request("This form is incomplete. Open its page again.");
    let parts = upload::read(kind, &body).map_err(|_| incomplete())?;
    let of = |name: &str| {
        let part = parts.iter().find(|part| part.name == name);
        part.map(|part| part.bytes.as_slice()).unwrap_or_default()
    };
    let key = String::from_utf8(of(once::FIELD).to_vec()).map_err(|_| incomplete())?;
    match std::str::from_utf8(of("file")) {
        Ok(text) => {
            let pairs = [
                (once::FIELD.to_owned(), key),
                (TEXT.to_owned(), text.to_owned()),
            ];
            let once = Once::read(&Posted::from_pairs(pairs), &member)?;
            bring_in(&app, &member, &once, text, "file").await
        }
        Err(_) => {
            let mut form = FormState::new();
            form.refuse(
                "file",
                "The file is no text in UTF-8. Choose a document as Mustwright writes it.",
            );
            let viewer = Viewer::known(member);
            form_again(&import_page(&app, &viewer, form, Vec::new())?)
        }
    }
}

/// One recipe opens in the workbench, several become a draft each; with any fault in any of them nothing happens.
async fn bring_in(app: &App, member: &Member, once: &Once, text: &str, field: &str) -> Answer {
    let bare = text.trim_start_matches('\u{feff}');
    let taken = match bare.trim().is_empty() {
        true => None,
        false => Some(take(bare)),
    };
    let sound: Option<Vec<&Recipe>> = match &taken {
        Some(Taken::Each(each)) => each
            .iter()
            .map(|one| one.read.as_ref().ok().map(AsRef::as_ref))
            .collect(),
        _ => None,
    };
    match sound.as_deref() {
        None => refuse(app, member, taken.as_ref(), text, field),
        Some([one]) => {
            let mut conn = app.pool.acquire().await?;
            let reader = reader_for(app, &mut conn, member).await?;
            drop(conn);
            let form = form_of(one, &reader);
            let said = said_of(one, &form, &reader);
            open_unsaved(app, member, &reader, form, said).await
        }
        Some(several) => keep(app, member, once, several).await,
    }
}

/// The page again, with what was wrong and the text as it came.
fn refuse(app: &App, member: &Member, taken: Option<&Taken>, text: &str, field: &str) -> Answer {
    let mut form = FormState::new();
    if text.len() <= MAX_SHOWN || field == TEXT {
        form.set(TEXT, text);
    }
    let units = member.settings.units;
    let told = match taken {
        Some(Taken::Each(each)) => of_each(each, units),
        _ => Vec::new(),
    };
    let why = match taken {
        None if field == TEXT => "Paste a recipe document here, or choose a file below.".to_owned(),
        None => "Choose a file that holds a recipe document.".to_owned(),
        Some(taken) => of_whole(taken).unwrap_or_else(|| {
            "Nothing was brought in. What to mend, and where, is told below.".to_owned()
        }),
    };
    form.refuse(field, why);
    let viewer = Viewer::known(member.clone());
    form_again(&import_page(app, &viewer, form, told)?)
}

fn form_of(recipe: &Recipe, reader: &Reader) -> Workbench {
    let mut form = fill::fill(recipe, reader.units, &reader.catalogue);
    assume::recognise_vessel(&mut form, reader);
    form.set("visibility", Visibility::Private.as_str());
    form
}

/// What the member is told above the workbench.
fn said_of(recipe: &Recipe, form: &Workbench, reader: &Reader) -> String {
    let brought = "Brought in from a document. Nothing is saved until you save it.";
    let checked = check(form, reader.units, &reader.catalogue);
    let lost = match checked.faults.is_empty() {
        true => not_held(recipe, &checked.recipe),
        false => Vec::new(),
    };
    match lost.is_empty() {
        true => brought.to_owned(),
        false => format!(
            "{brought} The form has no field for this, so it is left out: {}.",
            lost.join("; ")
        ),
    }
}

/// A draft for each, all of them or none.
async fn keep(app: &App, member: &Member, once: &Once, several: &[&Recipe]) -> Answer {
    let mut tx = app.pool.begin().await?;
    let reader = reader_for(app, &mut tx, member).await?;
    if let Claim::Done(location) = once::claim(&mut tx, once, member, paths::TAKE_TEXT).await? {
        return see_other(app.site.base(), &location);
    }
    let base = app.site.base();
    let mut drafts = Vec::new();
    for recipe in several {
        let mut form = form_of(recipe, &reader);
        let id = PublicId::random().map_err(Error::unexpected)?;
        form.set("draft", id.as_str());
        keep_draft(app, &mut tx, member, &form, None, true).await?;
        let said = said_of(recipe, &form, &reader);
        let left_out = said.split_once("left out: ").map(|(_, what)| what);
        let words = match left_out {
            Some(what) => format!(
                "{} (left out, for the form has no field for it: {what})",
                recipe.title
            ),
            None => recipe.title.clone(),
        };
        drafts.push((base.link(&paths::DRAFT.with(&[id.as_str()])), words));
    }
    once::settle(&mut tx, once, member, paths::TAKE_TEXT, paths::LIST.path).await?;
    tx.commit().await?;
    page(&ImportedPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Recipes),
        drafts,
        back: base.link(paths::LIST.path),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_becomes_a_plain_file_name() {
        for (title, name) in [
            ("Whitsun, 12 %", "whitsun-12"),
            ("a\"\r\nSet-Cookie: x=y", "a-set-cookie-x-y"),
            ("Μελίκρατον", "recipe"),
            ("../../etc", "etc"),
            ("", "recipe"),
        ] {
            assert_eq!(file_name(title), name, "{title:?}");
        }
    }
}
