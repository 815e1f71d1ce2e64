//! The form of the club's own entries: made new, started from another, edited, saved once and on top of what was seen.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use serde::Deserialize;

use super::item::Item;
use super::own::store::{self, Deed, Kept, SaveError};
use super::own::{self, Document, Field, Part, Says, Sort, form};
use super::pages::{entry_of, seen_by};
use super::paths;
use crate::app::App;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, page_with, see_other};
use crate::web::random;
use crate::web::shell::Shell;
use crate::web::units::Units;
use crate::web::viewer::{Member, Viewer};

/// A difference between two texts of one field.
struct Difference {
    label: &'static str,
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
#[template(path = "catalogue/form.html")]
struct FormPage {
    shell: Shell,
    heading: String,
    action: String,
    back_url: String,
    save_words: String,
    parts: &'static [Part],
    form: FormState,
    once: String,
    version: i32,
    meanwhile: Option<Meanwhile>,
}

impl FormPage {
    fn value(&self, field: &Field) -> &str {
        self.form.typed(field.name)
    }

    fn fault(&self, field: &Field) -> &str {
        self.form.message(field.name)
    }

    /// The unit that stands behind the box.
    fn unit(field: &Field) -> &'static str {
        match field.says {
            Says::Fraction | Says::Percent(..) => "%",
            Says::Number(unit, ..) => unit,
            _ => "",
        }
    }

    fn inputmode(field: &Field) -> &'static str {
        match field.says {
            Says::Whole(..) => "numeric",
            Says::Fraction | Says::Percent(..) => "decimal",
            // Acid may be taken away: a minus must be on the keyboard.
            Says::Number(_, low, _) if low >= 0.0 => "decimal",
            _ => "",
        }
    }
}

/// Which entry the form is of.
enum Of<'a> {
    New(Sort),
    Kept(&'a Kept),
}

impl Of<'_> {
    fn sort(&self) -> Sort {
        match self {
            Of::New(sort) => *sort,
            Of::Kept(kept) => kept.sort,
        }
    }
}

fn form_page(app: &App, member: &Member, of: &Of<'_>, form: FormState) -> Result<FormPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let (heading, action, back_url, version) = match of {
        Of::New(sort) => {
            let what = match sort {
                Sort::Ingredient => "A new ingredient of the club’s own",
                Sort::Yeast => "A new yeast of the club’s own",
                Sort::Feed => "A new feed of the club’s own",
            };
            let action = base.link(&paths::CREATE.with(&[sort.word()]));
            (what.to_owned(), action, base.link(paths::LIST.path), 0)
        }
        Of::Kept(kept) => (
            format!("Edit {}", kept.document.text("name")),
            base.link(&paths::SAVE.with(&[&kept.key])),
            entry_of(app, &kept.key),
            kept.version,
        ),
    };
    Ok(FormPage {
        shell: app.shell(&viewer),
        heading,
        action,
        back_url,
        save_words: format!("Save as revision {}", version + 1),
        parts: own::parts(of.sort()),
        form,
        once: Once::fresh(&viewer)?,
        version,
        meanwhile: None,
    })
}

#[derive(Deserialize)]
pub(super) struct From {
    from: Option<String>,
}

pub(super) async fn new(
    State(app): State<App>,
    member: Member,
    Path(sort): Path<String>,
    Query(query): Query<From>,
) -> Answer {
    let sort = Sort::from_word(&sort).ok_or_else(Error::not_found)?;
    let units = member.settings.units;
    let seen = seen_by(&app, &Viewer::known(member.clone())).await?;
    let from = query.from.unwrap_or_default();
    let source = match (seen.item(&from), sort) {
        (Some(Item::Ingredient(entry)), Sort::Ingredient) => Document::from(entry),
        (Some(Item::Yeast(yeast)), Sort::Yeast) => Document::from(yeast),
        (Some(Item::Feed(feed)), Sort::Feed) => Document::from(feed),
        _ => Document::default(),
    };
    let form = form::filled(&source, sort, units);
    let page = form_page(&app, &member, &Of::New(sort), form)?;
    page_with(StatusCode::OK, &page)
}

pub(super) async fn edit(
    State(app): State<App>,
    member: Member,
    Path(key): Path<String>,
) -> Answer {
    let kept = found(&app, &key).await?;
    let form = form::filled(&kept.document, kept.sort, member.settings.units);
    let page = form_page(&app, &member, &Of::Kept(&kept), form)?;
    page_with(StatusCode::OK, &page)
}

async fn found(app: &App, key: &str) -> Result<Kept, Error> {
    let mut conn = app.pool.acquire().await?;
    let kept = store::find(&mut conn, key).await?;
    kept.ok_or_else(Error::not_found)
}

pub(super) async fn create(
    State(app): State<App>,
    member: Member,
    Path(sort): Path<String>,
    posted: Posted,
) -> Answer {
    let sort = Sort::from_word(&sort).ok_or_else(Error::not_found)?;
    keep(&app, &member, &posted, &Of::New(sort)).await
}

pub(super) async fn save(
    State(app): State<App>,
    member: Member,
    Path(key): Path<String>,
    posted: Posted,
) -> Answer {
    let kept = found(&app, &key).await?;
    keep(&app, &member, &posted, &Of::Kept(&kept)).await
}

/// Saves what was typed: once, whole, and only on top of the version that was seen.
async fn keep(app: &App, member: &Member, posted: &Posted, of: &Of<'_>) -> Answer {
    let once = Once::read(posted, member)?;
    let (document, mut form) = form::read(posted, of.sort(), member.settings.units)?;
    let (key, route) = match of {
        Of::New(_) => (
            format!("{}{}", own::KEY_PREFIX, random::public_id()?),
            paths::CREATE,
        ),
        Of::Kept(kept) => (kept.key.clone(), paths::SAVE),
    };
    let mut tx = app.pool.begin().await?;
    if form.is_sound() {
        if let Claim::Done(location) = once::claim(&mut tx, &once, member, route).await? {
            return see_other(app.site.base(), &location);
        }
        let seen = store::club_catalogue(&mut tx).await?;
        if seen.has_name(document.text("name"), &key) {
            form.refuse("name", NAME_TAKEN);
        }
    }
    if !form.is_sound() {
        tx.rollback().await?;
        return refused(app, member, posted, of, form);
    }
    let now = app.clock.now();
    let saved = match of {
        Of::New(sort) => store::make(&mut tx, &key, *sort, &document, member.id, now).await,
        Of::Kept(_) => {
            let version = posted.one("version")?.parse().unwrap_or(0);
            let seen = (key.as_str(), version);
            store::change(&mut tx, seen, Deed::Changed, &document, member.id, now)
                .await
                .map(|_| ())
        }
    };
    match saved {
        Ok(()) => {
            let location = format!("{}?done=saved", paths::ENTRY.with(&[&key]));
            once::settle(&mut tx, &once, member, route, &location).await?;
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Err(SaveError::NameTaken) => {
            tx.rollback().await?;
            form.refuse("name", NAME_TAKEN);
            refused(app, member, posted, of, form)
        }
        Err(SaveError::Conflict(theirs)) => {
            tx.rollback().await?;
            conflict(app, member, &document, form, &theirs)
        }
        Err(SaveError::NotFound) => Err(Error::not_found()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

const NAME_TAKEN: &str =
    "Something in the catalogue has this name already. Give yours a name of its own.";

/// The form again, with its faults; it still edits the version that was seen.
fn refused(app: &App, member: &Member, posted: &Posted, of: &Of<'_>, form: FormState) -> Answer {
    let mut page = form_page(app, member, of, form)?;
    if let Of::Kept(_) = of {
        page.version = posted.one("version")?.parse().unwrap_or(0);
        page.save_words = format!("Save as revision {}", page.version.saturating_add(1));
    }
    page_with(StatusCode::UNPROCESSABLE_ENTITY, &page)
}

/// The page of the loser of a race: both texts, nothing lost, and a way to go on.
fn conflict(
    app: &App,
    member: &Member,
    yours: &Document,
    form: FormState,
    theirs: &Kept,
) -> Answer {
    let mut page = form_page(app, member, &Of::Kept(theirs), form)?;
    page.meanwhile = Some(Meanwhile {
        number: theirs.version,
        author: theirs.author_name.clone(),
        differences: differences(&theirs.document, yours, theirs.sort, member.settings.units),
    });
    page_with(StatusCode::CONFLICT, &page)
}

fn differences(theirs: &Document, yours: &Document, sort: Sort, units: Units) -> Vec<Difference> {
    own::changes(theirs, yours, sort, units)
        .into_iter()
        .map(|change| Difference {
            label: change.label,
            theirs: change.was,
            yours: change.is,
        })
        .collect()
}
