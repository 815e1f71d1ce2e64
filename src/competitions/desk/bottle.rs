//! The bottles of one entry at the desk: what is declared, how they came, whether they tell nothing.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, Query, State};
use chrono::NaiveDate;
use serde::Deserialize;
use sqlx::PgConnection;

use super::masking::telling;
use super::{forms, paths, store};
use crate::app::App;
use crate::competitions::entering::declared_facts;
use crate::competitions::entries::{self, Entry, codes};
use crate::competitions::flights::conflicts;
use crate::competitions::model::{CategoryId, Duty};
use crate::competitions::opened::Opened;
use crate::competitions::phases::{Act, allows};
use crate::competitions::{self, shown};
use crate::web::dates::{date, day};
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::pages::{Answer, page};
use crate::web::paths::Route;
use crate::web::shell::Shell;
use crate::web::typed::Difference;
use crate::web::viewer::Member;

/// An entry as the desk finds it, with what the viewer may do about it.
pub(super) struct Found {
    pub opened: Opened,
    pub entry: Entry,
    category: String,
    /// The viewer has an entry in its category: somebody else sees to it.
    pub is_walled: bool,
    names: Vec<String>,
}

impl Found {
    /// Finds the entry of a code, for stewards and organisers.
    pub async fn read(
        conn: &mut PgConnection,
        member: &Member,
        (id, code): (&str, &str),
    ) -> Result<Found, Error> {
        let opened = Opened::read(conn, member, id).await?;
        opened.demand(&[Duty::Steward, Duty::Organiser])?;
        let competition = opened.competition.id;
        let code = codes::read(code).ok_or_else(Error::not_found)?;
        let entry = entries::store::of_code(conn, competition, &code).await?;
        let entry = entry.ok_or_else(Error::not_found)?;
        let walls = conflicts::store::walled_off(conn, competition, member.id).await?;
        let categories = competitions::store::categories(conn, competition).await?;
        let category = categories.iter().find(|one| one.id == entry.category);
        Ok(Found {
            is_walled: walls_off(&opened, &walls, entry.category),
            category: category.map_or(String::new(), |one| one.name.clone()),
            names: store::names(conn).await?,
            opened,
            entry,
        })
    }

    /// Refuses whoever has an entry of their own in its category.
    pub fn demand_no_wall(&self) -> Result<(), Error> {
        match self.is_walled {
            true => Err(Error::forbidden(
                "You have an entry in this category, so another steward or organiser sees to it.",
            )),
            false => Ok(()),
        }
    }

    /// Whether the viewer organises.
    pub fn organises(&self) -> bool {
        self.opened.has(Duty::Organiser)
    }
}

/// Whether a category is left to somebody else. At a rehearsal everybody does everything.
pub(super) fn walls_off(
    opened: &Opened,
    walls: &BTreeSet<CategoryId>,
    category: CategoryId,
) -> bool {
    !opened.competition.rehearsal && walls.contains(&category)
}

/// What stands in the forms of the page.
#[derive(Default)]
pub(super) struct Typed {
    pub came: Option<FormState>,
    pub looked: Option<FormState>,
    pub out: Option<FormState>,
    pub version: Option<i32>,
    pub meanwhile: Vec<Difference>,
}

#[derive(Template)]
#[template(path = "competitions/desk/bottle.html")]
pub(super) struct BottlePage {
    pub shell: Shell,
    /// What the window is called: forms that came back have names of their own.
    called: String,
    title: String,
    desk_url: String,
    code: String,
    category: String,
    facts: Vec<(&'static str, String)>,
    /// What was declared where words of it are masked now.
    declared: Vec<(&'static str, String)>,
    stands: String,
    is_walled: bool,
    is_late: bool,
    late_words: String,
    /// Which bottles are kept for the final.
    aside: String,
    takes_late_in: bool,
    receive_at: Option<String>,
    check_at: Option<String>,
    /// Somebody looked, and nothing was changed since.
    is_looked: bool,
    fee_at: Option<String>,
    fee_paid: bool,
    out_at: Option<String>,
    came: FormState,
    looked: FormState,
    out: FormState,
    faults: Vec<(String, String)>,
    version: i32,
    meanwhile: Vec<Difference>,
}

impl BottlePage {
    const CAME: &[(&str, &str)] = forms::CAME;
    const LOOKS: &[forms::Look] = forms::LOOKS;

    /// The page of what was found, with forms as they were typed.
    pub fn of(app: &App, member: &Member, found: &Found, typed: Typed) -> BottlePage {
        let base = app.site.base();
        let (opened, entry) = (&found.opened, &found.entry);
        let competition = &opened.competition;
        let id = competition.public_id.as_str();
        let at = |route: Route, may: bool| may.then(|| base.link(&route.with(&[id, &entry.code])));
        let may = |act: Act| {
            entry.withdrawn_at.is_none() && !found.is_walled && allows(competition.phase, act)
        };
        let organises = found.organises();
        let has_fee = competition.rules.fee.is_some_and(|fee| fee > 0.0);
        let until = competition.rules.drop_off_until.as_deref();
        let until = until.and_then(|text| text.parse::<NaiveDate>().ok());
        let today = app
            .clock
            .now()
            .with_timezone(&member.settings.zone)
            .date_naive();
        let is_late = entry.arrival.is_none() && until.is_some_and(|until| until < today);
        let called = match (&typed.looked, &typed.out) {
            (Some(_), _) => format!("Does {} tell whose it is?", entry.code),
            (_, Some(_)) => format!("Taking {} out", entry.code),
            _ => format!("{} at the desk", entry.code),
        };
        let came = typed.came.unwrap_or_else(|| came(found, is_late));
        let looked = typed.looked.unwrap_or_else(|| looked(found));
        let out = typed.out.unwrap_or_default();
        let faults = [&came, &looked, &out];
        let faults = faults.iter().flat_map(|form| form.faults().to_vec());
        BottlePage {
            shell: shown::shell(app, member),
            called,
            title: competition.title.clone(),
            desk_url: base.link(&paths::DESK.with(&[id])),
            code: entry.code.clone(),
            category: found.category.clone(),
            facts: declared_facts(&entry.told()),
            declared: match entry.told() == entry.declared {
                true => Vec::new(),
                false => declared_facts(&entry.declared),
            },
            stands: stands(entry, member),
            is_walled: found.is_walled,
            is_late,
            late_words: until.map_or(String::new(), |until| {
                format!("The last day was {}.", date(until))
            }),
            aside: match competition.rules.held_back {
                0 => String::new(),
                1 => "One of them is put aside for the final.".to_owned(),
                many => format!("{many} of them are put aside for the final."),
            },
            takes_late_in: organises && entry.arrival == Some(entries::Arrival::Late),
            receive_at: at(paths::RECEIVE, may(Act::Receive)),
            check_at: at(paths::CHECK, may(Act::CheckEntry)),
            is_looked: entry.checked_at.is_some(),
            fee_at: at(paths::FEE, has_fee && organises && may(Act::NoteFee)),
            fee_paid: entry.fee_paid_at.is_some(),
            out_at: at(paths::TURN_AWAY, organises && may(Act::TurnAway)),
            faults: faults.collect(),
            came,
            looked,
            out,
            version: typed.version.unwrap_or(entry.version),
            meanwhile: typed.meanwhile,
        }
    }
}

/// The form of how bottles came, as it stands.
pub(super) fn came(found: &Found, is_late: bool) -> FormState {
    let entry = &found.entry;
    let mut form = FormState::new();
    let usual = if is_late { "late" } else { "here" };
    form.set("arrival", entry.arrival.map_or(usual, |one| one.word()));
    let asked = i32::try_from(found.opened.competition.rules.bottles).unwrap_or(1);
    form.set("bottles", entry.bottles_here.unwrap_or(asked).to_string());
    form
}

/// The form of the look at bottle and words, with the words that may tell.
fn looked(found: &Found) -> FormState {
    let mut form = FormState::new();
    let declared = &found.entry.declared;
    let text = format!("{}\n{}", declared.special, declared.note);
    form.set("mask", telling(&text, &found.names).join("\n"));
    form
}

fn stands(entry: &Entry, member: &Member) -> String {
    let arrival = match (entry.withdrawn_at, entry.arrival, entry.bottles_here) {
        (Some(_), ..) => return "It was withdrawn: put its bottles aside.".to_owned(),
        (_, None, _) => "Not received yet".to_owned(),
        (_, Some(arrival), Some(1)) => format!("One bottle {}", arrival.says()),
        (_, Some(arrival), Some(many)) if many > 1 => format!("{many} bottles {}", arrival.says()),
        (_, Some(arrival), _) => format!("Bottles {}", arrival.says()),
    };
    match entry.checked_at {
        Some(at) => format!("{arrival}; looked at on {}.", day(at, member.settings.zone)),
        None => format!("{arrival}; nobody has looked yet whether it tells whose it is."),
    }
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, code)): Path<(String, String)>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let found = Found::read(&mut conn, &member, (&id, &code)).await?;
    drop(conn);
    let mut shown = BottlePage::of(&app, &member, &found, Typed::default());
    let words = match told.done.as_deref() {
        Some("received") => "Noted. The next code can be typed at the desk, or scanned.",
        Some("checked") => "Noted: it tells nothing.",
        Some("fee") => "Noted.",
        Some("out") => "Taken out. Its maker sees that.",
        _ => "",
    };
    shown.shell = shown.shell.saying(words);
    page(&shown)
}
