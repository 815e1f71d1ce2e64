//! The page of a swap: what is in it, what could stand in its place, and what that does. Nothing is saved here.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use serde::Deserialize;

use super::asked::Asked;
use super::nearest::{Near, nearest};
use super::told::{Told, told};
use super::{Place, can_stand, swapped};
use crate::app::App;
use crate::engine::recipe::NitrogenNeed;
use crate::recipes::drafts::store as drafts;
use crate::recipes::forms::{Group, Workbench};
use crate::recipes::list::encoded;
use crate::recipes::method_pages::general;
use crate::recipes::numbers::{Links, Reader};
use crate::recipes::opened::reader_for;
use crate::recipes::public_id::PublicId;
use crate::recipes::workbench::assume::OWN;
use crate::recipes::workbench::{Worked, form_of, work};
use crate::recipes::{paths, store};
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, page_with};
use crate::web::policy::{Action, may};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// Alternatives that are shown at once.
const FIRST: usize = 6;

/// One thing that is in it.
struct Thing {
    name: String,
    amount: String,
    url: String,
}

/// One thing that could stand there.
struct Other {
    near: Near,
    url: String,
}

/// Where the page belongs.
struct Desk {
    title: String,
    back_url: String,
    at: String,
    /// What every address of the page says besides the swap.
    hidden: Vec<(&'static str, String)>,
    /// The workbench of one's own recipe or draft.
    take_over_at: Option<String>,
    /// The workbench of a new recipe, and what its address says.
    start_own: Option<(String, Vec<(&'static str, String)>)>,
}

#[derive(Template)]
#[template(path = "recipes/swap.html")]
struct SwapPage {
    shell: Shell,
    heading: String,
    desk: Desk,
    asked: Asked,
    faults: Vec<(String, String)>,
    things: Vec<Thing>,
    /// What stands there, where one was chosen: its word, its name and its group.
    stood: Option<(String, String, String)>,
    first: Vec<Other>,
    more: Vec<Other>,
    told: Option<Told>,
    take_over_url: Option<String>,
    start_url: Option<String>,
    needs: Vec<(String, String)>,
    links: Links,
}

impl SwapPage {
    fn fault(&self, field: &str) -> String {
        let found = self.faults.iter().find(|(name, _)| name == field);
        found.map(|(_, why)| why.clone()).unwrap_or_default()
    }

    /// The price stands in two forms; a fault belongs to the one that was sent.
    fn own_id(&self, field: &str) -> String {
        match self.is_own() {
            true => field.to_owned(),
            false => format!("own-{field}"),
        }
    }

    fn own_fault(&self, field: &str) -> String {
        match self.is_own() {
            true => self.fault(field),
            false => String::new(),
        }
    }

    /// Whether something of one's own was typed, so that it stands open.
    fn is_own(&self) -> bool {
        self.asked.text("with") == OWN
    }
}

#[derive(Deserialize)]
pub(in crate::recipes) struct Which {
    revision: Option<i32>,
}

/// A swap in a recipe that the member may see.
pub(in crate::recipes) async fn of_recipe(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(which): Query<Which>,
    Query(asked): Query<Asked>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    let found = store::find_with_revision(&mut conn, viewer.id(), &id, which.revision).await?;
    let (recipe, revision) = found.ok_or_else(Error::not_found)?;
    let number = revision.number;
    drop(conn);
    let form = form_of(&revision, &reader)?;
    let newest = number == recipe.version && recipe.binned_at.is_none();
    let mine = newest && may(&viewer, Action::Change, &recipe.facts());
    let (base, text) = (app.site.base(), number.to_string());
    let desk = Desk {
        title: revision.title,
        back_url: base.link(&paths::REVISION.with(&[id.as_str(), &text])),
        at: base.link(&paths::SWAP.with(&[id.as_str()])),
        hidden: vec![("revision", text.clone())],
        take_over_at: mine.then(|| base.link(&paths::EDIT.with(&[id.as_str()]))),
        start_own: Some((
            base.link(paths::NEW.path),
            vec![("from", id.to_string()), ("revision", text)],
        )),
    };
    show(&app, &member, &reader, &form, asked, desk)
}

/// A swap in what the member is typing.
pub(in crate::recipes) async fn of_draft(
    State(app): State<App>,
    member: Member,
    Path(draft): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let draft: PublicId = draft.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    let kept = drafts::find(&mut conn, member.id, &draft).await?;
    let kept = kept.ok_or_else(Error::not_found)?;
    drop(conn);
    let form = Workbench::read(&Posted::from_pairs(kept.fields))?;
    let base = app.site.base();
    let workbench = base.link(&paths::DRAFT.with(&[draft.as_str()]));
    let desk = Desk {
        title: match form.text("title").trim() {
            "" => "the recipe on your workbench".to_owned(),
            title => title.to_owned(),
        },
        back_url: workbench.clone(),
        at: base.link(&paths::SWAP_DRAFT.with(&[draft.as_str()])),
        hidden: Vec::new(),
        take_over_at: Some(workbench),
        start_own: None,
    };
    show(&app, &member, &reader, &form, asked, desk)
}

fn show(
    app: &App,
    member: &Member,
    reader: &Reader,
    form: &Workbench,
    asked: Asked,
    desk: Desk,
) -> Answer {
    let worked = work(form, member, reader);
    let place = asked.place().filter(|place| place.row(form).is_some());
    let mut faults = Vec::new();
    let mut told_of = None;
    let with = asked.text("with");
    match &place {
        None if asked.text("of").is_empty() => {}
        None => faults.push((
            "things".to_owned(),
            "Choose what you do not have: what was asked about is not in this recipe.".to_owned(),
        )),
        Some(_) if with.is_empty() => {}
        Some(place) if !can_stand(place.group, with, &reader.catalogue) => faults.push((
            "others".to_owned(),
            "Choose one of the list, or write something of your own.".to_owned(),
        )),
        Some(place) => {
            let new = swapped(form, place, &asked, reader.units, &reader.catalogue);
            let after = new.map(|new| work(&new, member, reader));
            if let Some(after) = &after {
                faults = faults_at(place, &worked, after);
                let sound = faults.is_empty();
                told_of = sound.then(|| told(place, &worked, after, reader));
            }
        }
    }
    let stood = place.as_ref().and_then(|place| {
        let row = place.row(form)?;
        let name = row.called(&reader.catalogue)?;
        Some((place.word(), name, place.group.word().to_owned()))
    });
    let near = place.map_or(Vec::new(), |place| {
        nearest(&place, &worked, &reader.catalogue)
    });
    let mut others: Vec<Other> = near
        .into_iter()
        .map(|near| Other {
            url: desk.address(&Asked::for_swap(asked.text("of"), &near.key)),
            near,
        })
        .collect();
    let more = others.split_off(FIRST.min(others.len()));
    let pairs: Vec<(&str, &str)> = asked.pairs();
    let take_over = told_of.as_ref().and(desk.take_over_at.as_ref());
    let start = told_of.as_ref().and(desk.start_own.as_ref());
    let viewer = Viewer::known(member.clone());
    let page = SwapPage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        heading: match (&stood, &told_of) {
            (Some((_, name, _)), None) => format!("In place of {name}"),
            (Some(_), Some(_)) => "What the swap does".to_owned(),
            (None, _) => "Swap what you do not have".to_owned(),
        },
        take_over_url: take_over.map(|at| format!("{at}?{}", encoded(&pairs))),
        start_url: start.map(|(at, own)| {
            let own = own.iter().map(|(name, text)| (*name, text.as_str()));
            let all: Vec<(&str, &str)> = own.chain(pairs.iter().copied()).collect();
            format!("{at}?{}", encoded(&all))
        }),
        needs: needs(),
        links: general(app),
        things: things(form, &worked, reader, &desk),
        first: others,
        told: told_of,
        stood,
        more,
        faults,
        asked,
        desk,
    };
    let status = match page.faults.is_empty() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    page_with(status, &page)
}

impl Desk {
    /// The address of this page that asks for a swap.
    fn address(&self, asked: &Asked) -> String {
        let own = self
            .hidden
            .iter()
            .map(|(name, text)| (*name, text.as_str()));
        let pairs: Vec<(&str, &str)> = own.chain(asked.pairs()).collect();
        format!("{}?{}", self.at, encoded(&pairs))
    }
}

/// What is wrong with what was typed of one's own, by the fields of this page.
fn faults_at(place: &Place, before: &Worked, after: &Worked) -> Vec<(String, String)> {
    let row = format!("{}-", place.word());
    let known = &before.checked.faults;
    let new = after
        .checked
        .faults
        .iter()
        .filter(|fault| !known.contains(fault));
    new.filter_map(|(field, why)| Some((field.strip_prefix(&row)?.to_owned(), why.clone())))
        .collect()
}

fn needs() -> Vec<(String, String)> {
    let as_before = (String::new(), "as the other".to_owned());
    let words = NitrogenNeed::ALL
        .iter()
        .map(|need| need.as_str().to_owned());
    std::iter::once(as_before)
        .chain(words.map(|word| (word.clone(), word)))
        .collect()
}

/// Everything that one may have or not have, with how much of it.
fn things(form: &Workbench, worked: &Worked, reader: &Reader, desk: &Desk) -> Vec<Thing> {
    let mut all = Vec::new();
    for group in [Group::Honey, Group::Other, Group::Yeast, Group::Feed] {
        for row in form.rows(group) {
            let place = Place {
                group,
                key: row.key.clone(),
            };
            let Some(name) = place
                .row(form)
                .and_then(|row| row.called(&reader.catalogue))
            else {
                continue;
            };
            all.push(Thing {
                name,
                amount: amount(&place, worked),
                url: desk.address(&Asked::for_swap(&place.word(), "")),
            });
        }
    }
    all
}

/// How much of it goes in, or what it is.
fn amount(place: &Place, worked: &Worked) -> String {
    let at = worked.checked.place_of(place.group, &place.key);
    match place.group {
        Group::Yeast => "the yeast".to_owned(),
        Group::Feed => "food for the yeast".to_owned(),
        _ => {
            let lines = worked.view.amounts.iter();
            let mut of = lines.filter(|line| {
                let here = line.at.and_then(|at| worked.numbers.ingredients.get(at));
                at.is_some() && here.map(|line| line.index) == at
            });
            of.next()
                .map(|line| line.amount.clone())
                .unwrap_or_default()
        }
    }
}
