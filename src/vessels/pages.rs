//! The page of my vessels and instruments, and the form of a vessel.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use serde::Deserialize;

use super::forms::{self, MOUTHS};
use super::model::{Described, MadeOf, Vessel};
use super::store::{self, SaveError};
use super::words::{self, ASSUMED, Line};
use super::{instruments, lending, paths};
use crate::app::App;
use crate::catalogue::{VesselKind, catalogue};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::{Base, Routes};
use crate::web::random;
use crate::web::shell::Shell;
use crate::web::units::Units;
use crate::web::viewer::{Member, Viewer};

/// Every route of the room.
pub fn router() -> Router<App> {
    let own = Routes::of(paths::ROUTES)
        .on(paths::LIST, list)
        .on(paths::NEW, new)
        .on(paths::ADD, add)
        .on(paths::EDIT, edit)
        .on(paths::SAVE, save)
        .on(paths::RETIRE, retire)
        .on(paths::BRING_BACK, bring_back);
    lending::pages::bind(instruments::pages::bind(own)).done()
}

#[derive(Template)]
#[template(path = "vessels/list.html")]
struct ListPage {
    shell: Shell,
    vessels: Vec<Line>,
    retired: Vec<Line>,
    instruments: Vec<instruments::words::Line>,
    instruments_retired: Vec<instruments::words::Line>,
    new_url: String,
    /// Where one adds an instrument, with its words.
    adds: Vec<(String, &'static str)>,
    assumed: &'static str,
    settings_url: String,
    lent_url: String,
}

#[derive(Template)]
#[template(path = "vessels/form.html")]
struct FormPage {
    shell: Shell,
    heading: String,
    action: String,
    back_url: String,
    form: FormState,
    once: String,
    version: i32,
    /// What stands there now, where somebody saved meanwhile.
    meanwhile: Vec<String>,
    kinds: Vec<(&'static str, &'static str)>,
    materials: Vec<(&'static str, &'static str)>,
    /// Usual vessels to begin with: address and name.
    usual: Vec<(String, String)>,
    units: Units,
    assumed: &'static str,
}

impl FormPage {
    const MOUTHS: &[(&str, &str)] = &MOUTHS;

    /// Whether what it holds was weighed.
    fn is_weighed(&self) -> bool {
        let fields = ["empty", "full", "water"].iter();
        fields
            .into_iter()
            .any(|name| !self.form.typed(name).is_empty() || self.form.fault(name).is_some())
    }
}

/// What was done just now, for the message above the page.
#[derive(Deserialize)]
pub(super) struct Done {
    done: Option<String>,
}

async fn list(State(app): State<App>, member: Member, Query(query): Query<Done>) -> Answer {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let units = member.settings.units;
    let mut conn = app.pool.acquire().await?;
    let all = store::list(&mut conn, member.id).await?;
    let tools = instruments::store::list(&mut conn, member.id).await?;
    drop(conn);
    let today = app.clock.now().with_timezone(&member.settings.zone);
    let (retired, used): (Vec<Vessel>, Vec<Vessel>) = all.into_iter().partition(|it| it.retired);
    let (put_away, at_hand): (Vec<_>, Vec<_>) = tools.into_iter().partition(|it| it.retired);
    let lines = |all: Vec<Vessel>| all.iter().map(|it| line(base, it, units)).collect();
    let tools = |all: Vec<instruments::Owned>| {
        let line = |it| instruments::words::line(base, it, units, today.date_naive());
        all.iter().map(line).collect()
    };
    let shell = app.shell(&viewer);
    page(&ListPage {
        shell: match query.done.as_deref() {
            Some("saved") => shell.saying("It is kept."),
            Some("out") => shell.saying("It is out of use. What was made in it still names it."),
            Some("back") => shell.saying("It is in use again."),
            _ => shell,
        },
        vessels: lines(used),
        retired: lines(retired),
        instruments: tools(at_hand),
        instruments_retired: tools(put_away),
        new_url: base.link(paths::NEW.path),
        adds: instruments::Kind::ALL
            .iter()
            .map(|kind| {
                let url = base.link(&paths::NEW_INSTRUMENT.with(&[kind.word()]));
                (url, kind.add_words())
            })
            .collect(),
        assumed: ASSUMED,
        settings_url: base.link(crate::members::paths::SETTINGS.path),
        lent_url: base.link(paths::EQUIPMENT.path),
    })
}

fn line(base: &Base, vessel: &Vessel, units: Units) -> Line {
    let id = vessel.public_id.as_str();
    let button = match vessel.retired {
        false => (paths::RETIRE, "Take out of use"),
        true => (paths::BRING_BACK, "Bring back"),
    };
    let url = base.link(&paths::EDIT.with(&[id]));
    let button = (base.link(&button.0.with(&[id])), button.1);
    words::line(vessel, url, button, units)
}

/// Which vessel the form is of.
enum Of<'a> {
    New,
    Kept(&'a Vessel),
}

fn form_page(
    app: &App,
    member: &Member,
    of: &Of<'_>,
    mut form: FormState,
) -> Result<FormPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    if form.typed("kind").is_empty() {
        form.set("kind", VesselKind::Bucket.word());
    }
    let usual = catalogue().vessels().iter().map(|vessel| {
        let url = format!("{}?as={}", paths::NEW.path, vessel.key);
        (base.link(&url), vessel.name.clone())
    });
    let (heading, action, version, usual) = match of {
        Of::New => (
            "A new vessel".to_owned(),
            base.link(paths::ADD.path),
            0,
            usual.collect(),
        ),
        Of::Kept(vessel) => (
            vessel.is.name.clone(),
            base.link(&paths::SAVE.with(&[&vessel.public_id])),
            vessel.version,
            Vec::new(),
        ),
    };
    Ok(FormPage {
        shell: app.shell(&viewer),
        heading,
        action,
        back_url: base.link(paths::LIST.path),
        form,
        once: Once::fresh(&viewer)?,
        version,
        meanwhile: Vec::new(),
        kinds: VesselKind::ALL
            .iter()
            .map(|kind| (kind.word(), kind.word()))
            .collect(),
        materials: MadeOf::ALL
            .iter()
            .map(|of| (of.word(), of.words()))
            .collect(),
        usual,
        units: member.settings.units,
        assumed: ASSUMED,
    })
}

#[derive(Deserialize)]
struct As {
    r#as: Option<String>,
}

async fn new(State(app): State<App>, member: Member, Query(query): Query<As>) -> Answer {
    let usual = query.r#as.and_then(|key| catalogue().find_vessel(&key));
    let form = match usual {
        Some(usual) => forms::begun(usual, member.settings.units),
        None => forms::fresh(),
    };
    page(&form_page(&app, &member, &Of::New, form)?)
}

async fn found(app: &App, member: &Member, id: &str) -> Result<Vessel, Error> {
    let mut conn = app.pool.acquire().await?;
    let vessel = store::find(&mut conn, member.id, id).await?;
    vessel.ok_or_else(Error::not_found)
}

async fn edit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let vessel = found(&app, &member, &id).await?;
    let form = forms::filled(&vessel.is, member.settings.units);
    page(&form_page(&app, &member, &Of::Kept(&vessel), form)?)
}

async fn add(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    keep(&app, &member, &posted, &Of::New).await
}

async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let vessel = found(&app, &member, &id).await?;
    keep(&app, &member, &posted, &Of::Kept(&vessel)).await
}

/// Keeps what was typed: once, and only on top of the version that was seen.
async fn keep(app: &App, member: &Member, posted: &Posted, of: &Of<'_>) -> Answer {
    let once = Once::read(posted, member)?;
    let described = match forms::read(posted, member.settings.units)? {
        Ok(described) => described,
        Err(form) => return refused(app, member, posted, of, form),
    };
    let route = match of {
        Of::New => paths::ADD,
        Of::Kept(_) => paths::SAVE,
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, member, route).await? {
        return see_other(app.site.base(), &location);
    }
    let kept = match of {
        Of::New => {
            let id = random::public_id()?;
            store::add(&mut tx, member.id, &id, &described, app.clock.now()).await
        }
        Of::Kept(vessel) => {
            let version = posted.one("version")?.parse().unwrap_or(0);
            let seen = (vessel.public_id.as_str(), version);
            store::change(&mut tx, member.id, seen, &described).await
        }
    };
    let mut form = FormState::of(posted);
    match kept {
        Ok(()) => {
            let location = format!("{}?done=saved", paths::LIST.path);
            once::settle(&mut tx, &once, member, route, &location).await?;
            tx.commit().await?;
            see_other(app.site.base(), &location)
        }
        Err(SaveError::NameTaken) => {
            tx.rollback().await?;
            form.refuse(
                "name",
                "Another of your vessels has this name. Give this one a name of its own.",
            );
            refused(app, member, posted, of, form)
        }
        Err(SaveError::TooMany) => {
            tx.rollback().await?;
            form.refuse(
                "name",
                "You have more vessels here than one can use. Write “how many” instead of one entry each.",
            );
            refused(app, member, posted, of, form)
        }
        Err(SaveError::Conflict) => {
            tx.rollback().await?;
            let Of::Kept(seen) = of else {
                return Err(Error::not_found());
            };
            let now = found(app, member, &seen.public_id).await?;
            let mut page = form_page(app, member, &Of::Kept(&now), form)?;
            page.meanwhile = as_it_is(&now.is, member.settings.units);
            page_with(StatusCode::CONFLICT, &page)
        }
        Err(SaveError::NotFound) => Err(Error::not_found()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

/// The vessel as somebody saved it meanwhile, in words.
fn as_it_is(is: &Described, units: Units) -> Vec<String> {
    let form = forms::filled(is, units);
    [
        ("name", ""),
        ("brim", "to the brim: "),
        ("empty", "empty: "),
        ("full", "full of water: "),
        ("headspace", "left free, in percent: "),
        ("loss", "stays behind: "),
        ("how_many", "how many: "),
        ("notes", ""),
    ]
    .into_iter()
    .filter(|(field, _)| !form.typed(field).is_empty())
    .map(|(field, label)| format!("{label}{}", form.typed(field)))
    .collect()
}

/// The form again with its faults; it still changes the version that was seen.
fn refused(app: &App, member: &Member, posted: &Posted, of: &Of<'_>, form: FormState) -> Answer {
    let mut page = form_page(app, member, of, form)?;
    page.version = posted.one("version")?.parse().unwrap_or(0);
    form_again(&page)
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
        Ok(()) => {
            let done = if out { "out" } else { "back" };
            see_other(
                app.site.base(),
                &format!("{}?done={done}", paths::LIST.path),
            )
        }
        Err(SaveError::NameTaken) => Err(Error::conflict(
            "Another vessel in use has this name by now. Rename one of them first.",
        )),
        Err(SaveError::Database(fault)) => Err(fault.into()),
        Err(_) => Err(Error::not_found()),
    }
}
