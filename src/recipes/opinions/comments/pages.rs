//! Writing, editing and removing a comment; its earlier words.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;

use super::store::CommentError;
use super::{Comment, store};
use crate::app::App;
use crate::recipes::list::day;
use crate::recipes::model::Recipe;
use crate::recipes::opinions::pages::{again, recipe_of};
use crate::recipes::opinions::shown::{CommentForm, Typed, anchor};
use crate::recipes::opinions::{forms, paths};
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::markdown::{Rendered, render};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::policy::{Action, Facts, may};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

pub(in crate::recipes::opinions) async fn write(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let recipe: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let once = Once::read(&posted, &member)?;
    let draft = match forms::comment(&posted)? {
        Ok(draft) => draft,
        Err(form) => {
            let revision = form.typed("about").to_owned();
            let typed = Typed {
                comment: Some(form),
                ..Typed::default()
            };
            return again(&app, &member, &id, &revision, typed).await;
        }
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::COMMENT).await? {
        return see_other(app.site.base(), &location);
    }
    let written = store::write(&mut tx, member.id, &recipe, &draft, app.clock.now())
        .await
        .map_err(not_written)?;
    let location = back(&recipe, written.as_str(), "commented");
    once::settle(&mut tx, &once, &member, paths::COMMENT, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// The place of a comment among the opinions, with what was done.
fn back(recipe: &PublicId, comment: &str, done: &str) -> String {
    let path = paths::OPINIONS.with(&[recipe.as_str()]);
    format!("{path}?done={done}#{}", anchor(comment))
}

fn not_written(fault: CommentError) -> Error {
    match fault {
        CommentError::NotFound | CommentError::Conflict(_) => Error::not_found(),
        CommentError::Random(fault) => Error::unexpected(fault),
        CommentError::Database(fault) => fault.into(),
    }
}

#[derive(Template)]
#[template(path = "recipes/comment_edit.html")]
struct EditPage {
    shell: Shell,
    title: String,
    opinions_url: String,
    write: CommentForm,
    version: i32,
    /// What was saved meanwhile.
    theirs: Option<Rendered>,
}

/// The form of one's own comment.
fn edit_page(
    app: &App,
    member: &Member,
    recipe: &Recipe,
    comment: &Comment,
    form: FormState,
) -> Result<EditPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let ids = [recipe.public_id.as_str(), comment.public_id.as_str()];
    let typed_about = form.typed("about").parse().ok();
    let typed_about = typed_about.filter(|number| (1..=recipe.version).contains(number));
    Ok(EditPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        title: recipe.title.clone(),
        opinions_url: base.link(&paths::OPINIONS.with(&ids)),
        write: CommentForm::new(
            &viewer,
            base.link(&paths::SAVE.with(&ids)),
            form,
            &[comment.revision, Some(recipe.version), typed_about],
        )?,
        version: comment.version,
        theirs: None,
    })
}

/// A recipe and one's own comment on it that still stands.
async fn own_comment(
    app: &App,
    member: &Member,
    id: &str,
    comment: &str,
) -> Result<(Recipe, Comment), Error> {
    let comment: PublicId = comment.parse().map_err(|_| Error::not_found())?;
    let viewer = Viewer::known(member.clone());
    let mut conn = app.pool.acquire().await?;
    let recipe = recipe_of(&mut conn, member, id).await?;
    let found = store::find(&mut conn, viewer.id(), &recipe.public_id, &comment).await?;
    let found = found.filter(|found| found.may_be_changed_by(&viewer));
    Ok((recipe, found.ok_or_else(Error::not_found)?))
}

pub(in crate::recipes::opinions) async fn edit(
    State(app): State<App>,
    member: Member,
    Path((id, comment)): Path<(String, String)>,
) -> Answer {
    let (recipe, found) = own_comment(&app, &member, &id, &comment).await?;
    let mut form = FormState::new();
    form.set("words", found.words.as_deref().unwrap_or_default());
    let about = found.revision.map(|number| number.to_string());
    form.set("about", about.unwrap_or_default());
    page(&edit_page(&app, &member, &recipe, &found, form)?)
}

pub(in crate::recipes::opinions) async fn save(
    State(app): State<App>,
    member: Member,
    Path((id, comment)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let (recipe, found) = own_comment(&app, &member, &id, &comment).await?;
    // A form of another member on the same machine is refused.
    Once::read(&posted, &member)?;
    let seen = posted.one("base_version")?.parse().map_err(|_| {
        Error::bad_request("Open the comment again, and change its words from there.")
    })?;
    let draft = match forms::comment(&posted)? {
        Ok(draft) => draft,
        Err(form) => {
            let mut shown = edit_page(&app, &member, &recipe, &found, form)?;
            shown.version = seen;
            return form_again(&shown);
        }
    };
    let location = back(&recipe.public_id, &found.public_id, "edited");
    let same = found.words.as_deref() == Some(draft.words.as_str());
    if same && found.revision == draft.revision {
        return see_other(app.site.base(), &location);
    }
    let public_id: PublicId = comment.parse().map_err(|_| Error::not_found())?;
    let mut tx = app.pool.begin().await?;
    let now = app.clock.now();
    let id = &recipe.public_id;
    match store::change(&mut tx, member.id, id, &public_id, seen, &draft, now).await {
        Ok(()) => {
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Err(CommentError::Conflict(newest)) => {
            let form = FormState::of(&posted);
            let mut shown = edit_page(&app, &member, &recipe, &newest, form)?;
            shown.theirs = newest.words.as_deref().map(render);
            page_with(StatusCode::CONFLICT, &shown)
        }
        Err(fault) => Err(not_written(fault)),
    }
}

/// Words that a comment had.
struct EarlierWords {
    number: i32,
    when: String,
    words: Rendered,
}

#[derive(Template)]
#[template(path = "recipes/comment_earlier.html")]
struct EarlierPage {
    shell: Shell,
    title: String,
    by: String,
    opinions_url: String,
    removed: &'static str,
    all: Vec<EarlierWords>,
}

pub(in crate::recipes::opinions) async fn earlier(
    State(app): State<App>,
    member: Member,
    Path((id, comment)): Path<(String, String)>,
) -> Answer {
    let comment: PublicId = comment.parse().map_err(|_| Error::not_found())?;
    let viewer = Viewer::known(member.clone());
    let mut conn = app.pool.acquire().await?;
    let recipe = recipe_of(&mut conn, &member, &id).await?;
    let found = store::find(&mut conn, viewer.id(), &recipe.public_id, &comment)
        .await?
        .ok_or_else(Error::not_found)?;
    let all = store::earlier(&mut conn, viewer.id(), &recipe.public_id, &comment).await?;
    drop(conn);
    if all.is_empty() {
        return Err(Error::not_found());
    }
    let ids = [recipe.public_id.as_str()];
    page(&EarlierPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        opinions_url: app.site.base().link(&paths::OPINIONS.with(&ids)),
        by: match found.writer == member.id {
            true => "you".to_owned(),
            false => found.writer_name,
        },
        removed: found.removed_as.map_or("", |way| way.words()),
        title: recipe.title,
        all: all
            .iter()
            .map(|words| EarlierWords {
                number: words.number,
                when: day(words.written_at, &member),
                words: render(&words.words),
            })
            .collect(),
    })
}

pub(in crate::recipes::opinions) async fn remove(
    State(app): State<App>,
    member: Member,
    Path((id, comment)): Path<(String, String)>,
) -> Answer {
    let recipe: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let public_id: PublicId = comment.parse().map_err(|_| Error::not_found())?;
    let keeps = may(
        &Viewer::known(member.clone()),
        Action::KeepClub,
        &Facts::default(),
    );
    let now = app.clock.now();
    let mut conn = app.pool.acquire().await?;
    match store::remove(&mut conn, member.id, keeps, &recipe, &public_id, now).await? {
        true => see_other(app.site.base(), &back(&recipe, &comment, "removed")),
        false => Err(Error::not_found()),
    }
}
