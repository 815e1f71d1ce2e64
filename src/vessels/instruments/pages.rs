//! The form of an instrument.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;

use super::{Kind, Owned, forms, store};
use crate::app::App;
use crate::vessels::paths;
use crate::vessels::store::SaveError;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::Routes;
use crate::web::random;
use crate::web::shell::Shell;
use crate::web::units::Units;
use crate::web::viewer::{Member, Viewer};

/// Binds the handlers.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::NEW_INSTRUMENT, new)
        .on(paths::ADD_INSTRUMENT, add)
        .on(paths::EDIT_INSTRUMENT, edit)
        .on(paths::SAVE_INSTRUMENT, save)
        .on(paths::RETIRE_INSTRUMENT, retire)
        .on(paths::BRING_BACK_INSTRUMENT, bring_back)
}

#[derive(Template)]
#[template(path = "vessels/instrument.html")]
struct FormPage {
    shell: Shell,
    heading: String,
    kind: Kind,
    action: String,
    back_url: String,
    form: FormState,
    once: String,
    version: i32,
    conflict: bool,
    units: Units,
}

/// Which instrument the form is of.
enum Of<'a> {
    New(Kind),
    Kept(&'a Owned),
}

impl Of<'_> {
    fn kind(&self) -> Kind {
        match self {
            Of::New(kind) => *kind,
            Of::Kept(it) => it.is.what.kind(),
        }
    }
}

fn form_page(app: &App, member: &Member, of: &Of<'_>, form: FormState) -> Result<FormPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let (heading, action, version) = match of {
        Of::New(kind) => (
            format!("A new {}", kind.words()),
            paths::ADD_INSTRUMENT.with(&[kind.word()]),
            0,
        ),
        Of::Kept(it) => (
            it.is.name.clone(),
            paths::SAVE_INSTRUMENT.with(&[&it.public_id]),
            it.version,
        ),
    };
    Ok(FormPage {
        shell: app.shell(&viewer),
        heading,
        kind: of.kind(),
        action: base.link(&action),
        back_url: base.link(paths::LIST.path),
        form,
        once: Once::fresh(&viewer)?,
        version,
        conflict: false,
        units: member.settings.units,
    })
}

fn kind_at(word: &str) -> Result<Kind, Error> {
    Kind::from_word(word).ok_or_else(Error::not_found)
}

async fn new(State(app): State<App>, member: Member, Path(kind): Path<String>) -> Answer {
    let kind = kind_at(&kind)?;
    let form = forms::fresh(kind, member.settings.units);
    page(&form_page(&app, &member, &Of::New(kind), form)?)
}

async fn found(app: &App, member: &Member, id: &str) -> Result<Owned, Error> {
    let mut conn = app.pool.acquire().await?;
    let it = store::find(&mut conn, member.id, id).await?;
    it.ok_or_else(Error::not_found)
}

async fn edit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let it = found(&app, &member, &id).await?;
    let form = forms::filled(&it.is, member.settings.units);
    page(&form_page(&app, &member, &Of::Kept(&it), form)?)
}

async fn add(
    State(app): State<App>,
    member: Member,
    Path(kind): Path<String>,
    posted: Posted,
) -> Answer {
    keep(&app, &member, &posted, &Of::New(kind_at(&kind)?)).await
}

async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let it = found(&app, &member, &id).await?;
    keep(&app, &member, &posted, &Of::Kept(&it)).await
}

async fn keep(app: &App, member: &Member, posted: &Posted, of: &Of<'_>) -> Answer {
    let once = Once::read(posted, member)?;
    let units = member.settings.units;
    let now = app.clock.now();
    let today = now.with_timezone(&member.settings.zone).date_naive();
    let version: i32 = posted.one("version")?.parse().unwrap_or(0);
    let described = match forms::read(posted, of.kind(), units, today)? {
        Ok(described) => described,
        Err(form) => {
            let page = form_page(app, member, of, form)?;
            return form_again(&FormPage { version, ..page });
        }
    };
    let route = match of {
        Of::New(_) => paths::ADD_INSTRUMENT,
        Of::Kept(_) => paths::SAVE_INSTRUMENT,
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, member, route).await? {
        return see_other(app.site.base(), &location);
    }
    let kept = match of {
        Of::New(_) => store::add(&mut tx, member.id, &random::public_id()?, &described, now).await,
        Of::Kept(it) => {
            let seen = (it.public_id.as_str(), version);
            store::change(&mut tx, member.id, seen, &described).await
        }
    };
    match kept {
        Ok(()) => {
            let location = format!("{}?done=saved", paths::LIST.path);
            once::settle(&mut tx, &once, member, route, &location).await?;
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Err(SaveError::TooMany) => {
            tx.rollback().await?;
            let mut form = FormState::of(posted);
            form.refuse("name", "You have more instruments here than one can use.");
            form_again(&form_page(app, member, of, form)?)
        }
        Err(SaveError::Conflict) => {
            tx.rollback().await?;
            let Of::Kept(seen) = of else {
                return Err(Error::not_found());
            };
            let now = found(app, member, &seen.public_id).await?;
            let page = form_page(app, member, &Of::Kept(&now), FormState::of(posted))?;
            let page = FormPage {
                conflict: true,
                ..page
            };
            page_with(StatusCode::CONFLICT, &page)
        }
        Err(SaveError::Database(fault)) => Err(fault.into()),
        Err(SaveError::NotFound | SaveError::NameTaken) => Err(Error::not_found()),
    }
}

async fn retire(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    put(&app, &member, &id, true).await
}

async fn bring_back(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    put(&app, &member, &id, false).await
}

async fn put(app: &App, member: &Member, id: &str, out: bool) -> Answer {
    let mut conn = app.pool.acquire().await?;
    match store::retire(&mut conn, member.id, id, out, app.clock.now()).await {
        Ok(()) => see_other(app.site.base(), paths::LIST.path),
        Err(SaveError::Database(fault)) => Err(fault.into()),
        Err(_) => Err(Error::not_found()),
    }
}
