//! The organiser's list: entries by their codes with fees and bottles; whose they are only when a reason is given, which the
//! chain of deeds keeps, and never to whoever judges or pours, nor of a category in which the reader has an entry.

pub mod store;

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State};
use serde_json::json;
use sqlx::PgConnection;

use super::paths;
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::entries::{self, Entry};
use crate::competitions::flights::conflicts;
use crate::competitions::model::{Category, CategoryId, Duty};
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::competitions::{self, desk, shown};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::viewer::Member;

/// Letters of a reason.
const REASON_MAX: usize = 600;

/// An entry in the list.
struct Row {
    url: String,
    code: String,
    category: String,
    fee: &'static str,
    bottles: &'static str,
    /// Its makers, once they were asked for.
    whose: String,
}

#[derive(Template)]
#[template(path = "competitions/entering/entries.html")]
struct EntriesPage {
    shell: Shell,
    title: String,
    competition_url: String,
    names_at: Option<String>,
    has_fee: bool,
    named: bool,
    rows: Vec<Row>,
    /// Organisers and stewards with entries of their own, and where they are walled off.
    walled: Vec<(String, String)>,
    form: FormState,
}

/// The list as its organiser may read it.
struct List {
    opened: Opened,
    entries: Vec<Entry>,
    categories: Vec<Category>,
    walls: BTreeSet<CategoryId>,
}

impl List {
    async fn read(conn: &mut PgConnection, member: &Member, id: &str) -> Result<List, Error> {
        let opened = Opened::read(conn, member, id).await?;
        opened.demand(&[Duty::Organiser])?;
        let competition = opened.competition.id;
        Ok(List {
            entries: entries::store::all(conn, competition).await?,
            categories: competitions::store::categories(conn, competition).await?,
            walls: match opened.competition.phase.is_blind() && !opened.competition.rehearsal {
                true => conflicts::store::walled_off(conn, competition, member.id).await?,
                false => BTreeSet::new(),
            },
            opened,
        })
    }

    fn category(&self, id: CategoryId) -> String {
        let found = self.categories.iter().find(|one| one.id == id);
        found.map_or(String::new(), |one| one.name.clone())
    }

    fn page(
        &self,
        app: &App,
        member: &Member,
        whose: &[store::Whose],
        form: FormState,
    ) -> EntriesPage {
        let base = app.site.base();
        let competition = &self.opened.competition;
        let id = competition.public_id.as_str();
        let row = |entry: &Entry| Row {
            url: base.link(&desk::paths::BOTTLE.with(&[id, &entry.code])),
            code: entry.code.clone(),
            category: self.category(entry.category),
            fee: match entry.fee_paid_at {
                Some(_) => "paid",
                None => "not paid",
            },
            bottles: match (entry.withdrawn_at, entry.arrival) {
                (Some(_), _) => "withdrawn",
                (_, Some(arrival)) => arrival.says(),
                (_, None) => "not received",
            },
            whose: self.whose(entry, whose),
        };
        let may_ask =
            self.opened.allows(Act::ReadNames) && whose.is_empty() && !self.opened.is_blind();
        EntriesPage {
            shell: shown::shell(app, member),
            title: competition.title.clone(),
            competition_url: base.link(&competitions::paths::COMPETITION.with(&[id])),
            names_at: may_ask.then(|| base.link(&paths::NAMES.with(&[id]))),
            has_fee: competition.rules.fee.is_some_and(|fee| fee > 0.0),
            named: !whose.is_empty(),
            rows: self.entries.iter().map(row).collect(),
            walled: Vec::new(),
            form,
        }
    }

    fn whose(&self, entry: &Entry, whose: &[store::Whose]) -> String {
        let found = whose.iter().find(|one| one.code == entry.code);
        match found {
            None => String::new(),
            Some(_) if self.walls.contains(&entry.category) => {
                "not for you: you have an entry in this category".to_owned()
            }
            Some(one) if one.others.is_empty() => format!("{}: {}", one.lead, one.called),
            Some(one) => format!(
                "{} with {}: {}",
                one.lead,
                one.others.join(", "),
                one.called
            ),
        }
    }
}

pub(super) async fn list(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let list = List::read(&mut conn, &member, &id).await?;
    drop(conn);
    page(&list.page(&app, &member, &[], FormState::new()))
}

pub(super) async fn names(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let list = List::read(&mut tx, &member, &id).await?;
    list.opened.hold(&mut tx, Act::ReadNames).await?;
    if list.opened.is_blind() {
        return Err(Error::forbidden(
            "You judge or pour at this competition, so you learn whose the entries are when everybody does. Another organiser can look.",
        ));
    }
    let mut typed = Typed::of(&posted);
    let why = "Write what you need the names for: it stands in the list of deeds, beside your own.";
    let reason = typed.wanted("reason", REASON_MAX, why)?;
    if !typed.form.is_sound() {
        return form_again(&list.page(&app, &member, &[], typed.form));
    }
    let competition = list.opened.competition.id;
    let whose = store::all(&mut tx, competition).await?;
    let walled = store::walled(&mut tx, competition).await?;
    let deed = Deed {
        deed: "names_read",
        about: json!({ "entries": whose.len() }),
        reason: &reason,
    };
    deeds::write(
        &mut tx,
        competition,
        Some(member.id),
        &deed,
        app.clock.now(),
    )
    .await?;
    tx.commit().await?;
    let mut shown = list.page(&app, &member, &whose, FormState::new());
    shown.walled = walled
        .into_iter()
        .filter(|(_, _, category)| !list.walls.contains(category))
        .map(|(name, duty, category)| (format!("{name}, {}", duty.word()), list.category(category)))
        .collect();
    not_stored(page(&shown))
}
