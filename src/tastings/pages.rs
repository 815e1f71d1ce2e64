//! The pages of tastings bound to their routes: lists, opening one, closing it.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, RawQuery, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::model::{Kind, Tasting};
use super::{forms, guests, paper, paths, poured, removing, shown, store, taking};
use crate::app::App;
use crate::batches::compare::store::{Choice, choices, to_pour};
use crate::batches::start::READERS;
use crate::recipes::public_id::PublicId;
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::Routes;
use crate::web::policy::{Action, may};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// Batches to choose among.
const CHOICES: usize = 100;

/// The routes of tastings.
pub fn router() -> Router<App> {
    let routes = Routes::of(paths::ROUTES)
        .on(paths::LIST, list)
        .on(paths::NEW, new)
        .on(paths::CREATE, create)
        .on(paths::TASTING, shown::show)
        .on(paths::CLOSE, close)
        .on(paths::REMOVE, removing::ask)
        .on(paths::CALL_OFF, removing::remove);
    paper::bind(guests::bind(taking::bind(routes))).done()
}

/// A tasting in a list.
struct Row {
    url: String,
    title: String,
    meta: String,
}

#[derive(Template)]
#[template(path = "tastings/list.html")]
struct ListPage {
    shell: Shell,
    /// Whether the batches of one recipe are to be poured.
    of_recipe: bool,
    doors: Vec<Door>,
    open: Vec<Row>,
    /// Open ones of members who are gone, for a keeper: words, and where each is closed.
    left: Vec<(String, String)>,
    over: Vec<Row>,
}

/// A way into a new tasting.
struct Door {
    url: String,
    words: &'static str,
    about: &'static str,
}

/// The field in which a mead is chosen.
struct MeadField {
    name: &'static str,
    label: String,
}

#[derive(Template)]
#[template(path = "tastings/new.html")]
struct NewPage {
    shell: Shell,
    list_url: String,
    action: String,
    kind: Kind,
    heading: &'static str,
    about: &'static str,
    meads: Vec<MeadField>,
    choices: Vec<(String, String)>,
    form: FormState,
    once: String,
}

impl NewPage {
    const CODED: &[(&str, &str)] = &[
        ("yes", "codes; the names are told at the end"),
        ("no", "their names"),
    ];
    const HOW: &[(&str, &str)] = &[
        ("phones", "on their phones"),
        ("paper", "on sheets of paper, which you type in afterwards"),
    ];
    const READERS: &[(&str, &str)] = READERS;

    fn is_test(&self) -> bool {
        self.kind != Kind::Shared
    }

    /// What is said about the number of tasters.
    fn tasters(&self) -> &'static str {
        match self.kind {
            Kind::Triangle => {
                "Each gets three glasses, with a code on every one. More tasters notice smaller differences; a multiple of six keeps the orders even."
            }
            _ => {
                "Each gets a glass of every mead, with a code on it. More tasters notice smaller differences."
            }
        }
    }
}

/// What a kind is called, and what it is for.
pub(super) fn told(kind: Kind) -> (&'static str, &'static str) {
    match kind {
        Kind::Shared => (
            "Taste together",
            "One mead or several, and everybody writes on a phone what each is like. Nobody reads what others said before the end.",
        ),
        Kind::Triangle => (
            "Can anybody tell two apart?",
            "Three glasses each, two of them alike. Whoever can tell picks the odd one more often than luck would.",
        ),
        Kind::Ranking => (
            "Put meads in order",
            "Three to six meads, and everybody gives each a place. Where they agree more than luck would, there is an order.",
        ),
    }
}

pub(super) fn shell(app: &App, member: &Member) -> Shell {
    app.shell(&Viewer::known(member.clone()))
        .at_place(Nav::Batches)
}

/// A tasting that the member may see.
pub(super) async fn found(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Tasting, Error> {
    let tasting = store::find(conn, member.id, id).await?;
    let viewer = Viewer::known(member.clone());
    tasting
        .filter(|tasting| may(&viewer, Action::See, &tasting.facts()))
        .ok_or_else(Error::not_found)
}

/// A tasting of which the member is the host.
pub(super) async fn own(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Tasting, Error> {
    let tasting = found(conn, member, id).await?;
    let viewer = Viewer::known(member.clone());
    match may(&viewer, Action::Change, &tasting.facts()) {
        true => Ok(tasting),
        false => Err(Error::not_found()),
    }
}

fn row(app: &App, member: &Member, tasting: &Tasting) -> Row {
    let zone = member.settings.zone;
    let what = match tasting.kind {
        Kind::Shared => "tasted together",
        Kind::Triangle => "two meads, told apart or not",
        Kind::Ranking => "meads in order",
    };
    let when = match tasting.closed_at {
        Some(at) => format!("closed on {}", day(at, zone)),
        None => format!("open since {}", day(tasting.created_at, zone)),
    };
    let host = match tasting.host == member.id {
        true => "yours".to_owned(),
        false => format!("by {}", tasting.host_name),
    };
    let path = paths::TASTING.with(&[tasting.public_id.as_str()]);
    Row {
        url: app.site.base().link(&path),
        title: tasting.title.clone(),
        meta: format!("{what} · {when} · {host}"),
    }
}

/// What a keeper is asked to close, without a word of what it is about.
fn left(app: &App, member: &Member, of: store::Left) -> (String, String) {
    let since = day(of.created_at, member.settings.zone);
    let close = paths::CLOSE.with(&[of.public_id.as_str()]);
    (
        format!("{}, open since {since}", of.host_name),
        app.site.base().link(&close),
    )
}

#[derive(Deserialize)]
struct Told {
    done: Option<String>,
    /// The recipe from which somebody came: its batches are poured.
    recipe: Option<String>,
}

async fn list(State(app): State<App>, member: Member, Query(said): Query<Told>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let all = store::list(&mut conn, member.id).await?;
    let left_open = match Viewer::known(member.clone()).is_keeper() {
        true => store::left_open(&mut conn).await?,
        false => Vec::new(),
    };
    drop(conn);
    let words = match said.done.as_deref() {
        Some("gone") => "It is gone, with what was said at it.",
        Some("closed") => "Closed. Everybody who said something reads everything now.",
        _ => "",
    };
    let (open, over): (Vec<&Tasting>, Vec<&Tasting>) = all.iter().partition(|one| one.is_open());
    let rows = |of: Vec<&Tasting>| of.into_iter().map(|one| row(&app, &member, one)).collect();
    let recipe: Option<PublicId> = said.recipe.and_then(|recipe| recipe.parse().ok());
    let of_recipe = recipe.map_or(String::new(), |id| format!("&recipe={}", id.as_str()));
    let doors = Kind::ALL.into_iter().map(|kind| {
        let (words, about) = told(kind);
        let path = format!("{}?kind={}{of_recipe}", paths::NEW.path, kind.word());
        Door {
            url: app.site.base().link(&path),
            words,
            about,
        }
    });
    page(&ListPage {
        shell: shell(&app, &member).saying(words),
        of_recipe: !of_recipe.is_empty(),
        doors: doors.collect(),
        open: rows(open),
        left: left_open
            .into_iter()
            .map(|one| left(&app, &member, one))
            .collect(),
        over: rows(over),
    })
}

fn choice(member: &Member, one: Choice) -> (String, String) {
    let begun = day(one.began_at, member.settings.zone);
    let label = match one.owner == member.id {
        true => format!("{}, {begun}", one.name),
        false => format!("{}, by {}, {begun}", one.name, one.owner_name),
    };
    (one.public_id.as_str().to_owned(), label)
}

async fn new_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    kind: Kind,
    form: FormState,
) -> Result<NewPage, Error> {
    let all = choices(conn, member.id, CHOICES).await?;
    let known = all.into_iter().map(|one| choice(member, one));
    let (heading, about) = told(kind);
    let (_, most) = kind.meads();
    let meads = forms::MEADS.into_iter().take(most).zip(1..);
    let label = |at: i32| match kind {
        Kind::Triangle if at == 1 => "One mead".to_owned(),
        Kind::Triangle => "The other mead".to_owned(),
        _ => format!("Mead {at}"),
    };
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    Ok(NewPage {
        shell: shell(app, member),
        list_url: base.link(paths::LIST.path),
        action: base.link(paths::CREATE.path),
        kind,
        heading,
        about,
        meads: meads
            .map(|(name, at)| MeadField {
                name,
                label: label(at),
            })
            .collect(),
        choices: std::iter::once((String::new(), "none".to_owned()))
            .chain(known)
            .collect(),
        once: Once::for_form(&form, &viewer)?,
        form,
    })
}

async fn new(State(app): State<App>, member: Member, RawQuery(query): RawQuery) -> Answer {
    let sent = Posted::read(query.unwrap_or_default().as_bytes(), 20)
        .map_err(|_| Error::bad_request("This address cannot be read. Choose again."))?;
    let kind = Kind::from_word(sent.one("kind")?).unwrap_or(Kind::Shared);
    let mut form = FormState::new();
    let mut conn = app.pool.acquire().await?;
    let mut meads: Vec<PublicId> = sent
        .all("mead")
        .filter_map(|mead| mead.parse().ok())
        .collect();
    if meads.is_empty() {
        let recipe = sent.one("recipe")?;
        meads = to_pour(&mut conn, member.id, recipe, forms::MEADS.len()).await?;
    }
    for (field, mead) in forms::MEADS.into_iter().zip(&meads) {
        form.set(field, mead.as_str());
    }
    form.set("coded", "yes");
    form.set("how", "phones");
    form.set("visibility", "club");
    page(&new_page(&app, &mut conn, &member, kind, form).await?)
}

async fn create(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let kind = Kind::from_word(posted.one("kind")?)
        .ok_or_else(|| Error::bad_request("This form is incomplete. Open its page again."))?;
    let mut tx = app.pool.begin().await?;
    let asked = match forms::opening(&posted, kind)? {
        Ok(asked) => asked,
        Err(form) => return form_again(&new_page(&app, &mut tx, &member, kind, form).await?),
    };
    let batches = match poured::batches(&mut tx, &member, &asked).await? {
        Ok(batches) => batches,
        Err(field) => {
            let mut form = FormState::of(&posted);
            form.refuse(field, "Choose one of the list.");
            return form_again(&new_page(&app, &mut tx, &member, kind, form).await?);
        }
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::CREATE).await? {
        return see_other(app.site.base(), &location);
    }
    let new = poured::tasting(kind, asked, &batches, seed()?);
    let id = PublicId::random().map_err(Error::unexpected)?;
    store::make(&mut tx, member.id, &id, &new, app.clock.now()).await?;
    let location = format!("{}?done=opened", paths::TASTING.with(&[id.as_str()]));
    once::settle(&mut tx, &once, &member, paths::CREATE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

fn seed() -> Result<u64, Error> {
    let mut bytes = [0u8; 8];
    getrandom::fill(&mut bytes).map_err(Error::unexpected)?;
    Ok(u64::from_le_bytes(bytes))
}

/// Closes a tasting: its host, or a keeper who sees it. Where the host is gone a keeper closes it unseen.
async fn close(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let keeps = Viewer::known(member.clone()).is_keeper();
    let now = app.clock.now();
    if keeps && store::close_left(&mut conn, &id, now).await? {
        return see_other(
            app.site.base(),
            &format!("{}?done=closed", paths::LIST.path),
        );
    }
    let tasting = found(&mut conn, &member, &id).await?;
    if tasting.host != member.id && !keeps {
        return Err(Error::not_found());
    }
    store::close(&mut conn, tasting.id, now).await?;
    let path = format!("{}?done=closed", paths::TASTING.with(&[&id]));
    see_other(app.site.base(), &path)
}
