//! Entering, and a maker's own entries as they are read.

use askama::Template;
use axum::extract::{Path, Query, State};
use chrono::NaiveDate;
use serde::Deserialize;
use sqlx::PgConnection;

use super::form_page::{FormPage, Known, asks};
use super::model::{Mine, Refused, over};
use super::ways::may_enter;
use super::{Entered, enter, forms, paths, proposed, store};
use crate::app::App;
use crate::batches;
use crate::batches::opened::open_own;
use crate::competitions::entries::Arrival;
use crate::competitions::flights::regrouping;
use crate::competitions::model::{Category, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::phases::{Act, allows, demand, may_withdraw};
use crate::competitions::{self, results, shown};
use crate::engine::contest::declared::Declared;
use crate::web::dates::{date, day};
use crate::web::error::{Error, Kind};
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::units::percent;
use crate::web::viewer::Member;
use crate::web::words::contest as words;

#[derive(Deserialize)]
pub(super) struct Chosen {
    batch: Option<String>,
}

pub(super) async fn new(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(chosen): Query<Chosen>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    demand(opened.competition.phase, Act::Enter)?;
    in_time(&app, &member, &opened)?;
    let known = Known::read(&mut conn, &member, &opened).await?;
    let batch = chosen.batch.unwrap_or_default();
    let form = begun(&mut conn, &member, &batch, &known.categories).await?;
    page(&FormPage::of(&app, &member, &opened, known, None, form)?)
}

/// The day as the clock of whoever looks says.
pub(in crate::competitions) fn today(app: &App, member: &Member) -> NaiveDate {
    let now = app.clock.now().with_timezone(&member.settings.zone);
    now.date_naive()
}

/// Refuses what comes after the last day, even before somebody closes entries.
fn in_time(app: &App, member: &Member, opened: &Opened) -> Result<(), Error> {
    match over(&opened.competition.rules, today(app, member)) {
        None => Ok(()),
        Some(last) => Err(Error::conflict(format!(
            "The last day to enter was {}.",
            date(last)
        ))),
    }
}

/// The form with what a batch of the member proposes; of any other it holds nothing.
async fn begun(
    conn: &mut PgConnection,
    member: &Member,
    batch: &str,
    categories: &[Category],
) -> Result<FormState, Error> {
    let mut form = FormState::new();
    let opened = match open_own(conn, member, batch).await {
        Ok(opened) => opened,
        Err(fault) if fault.kind() == Kind::NotFound => return Ok(form),
        Err(fault) => return Err(fault),
    };
    let proposed = proposed::of(&opened, categories);
    forms::fill(&mut form, &proposed.declared);
    form.set("batch", opened.batch.public_id.as_str());
    form.set("name", proposed.name);
    if let Some(category) = proposed.category {
        form.set("category", category.0.to_string());
    }
    Ok(form)
}

/// Why an entry was not taken or not changed.
pub(super) fn refusal(refused: Refused) -> Error {
    let sentence = match refused {
        Refused::Phase(phase) => match demand(phase, Act::Enter) {
            Err(error) => return error,
            Ok(()) => "The competition has moved on. Open its page again.".to_owned(),
        },
        Refused::OneMember(1) => "You have entered a mead, and one member may enter one. Withdraw it, and you can enter another.".to_owned(),
        Refused::OneMember(most) => format!("You have entered {most} meads, and one member may enter no more. Withdraw one, and you can enter another."),
        Refused::InAll(most) => format!("The competition takes {most} entries, and they are all taken. Should somebody withdraw, there is room again."),
        Refused::Withdrawn => "The entry was withdrawn. Enter the mead again if it shall take part.".to_owned(),
        Refused::Changed => "The entry was changed since you opened its form. Open it again.".to_owned(),
        Refused::Category => "The category is not there any more. Open the form again and choose another.".to_owned(),
    };
    Error::conflict(sentence)
}

pub(super) async fn take(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    let known = Known::read(&mut tx, &member, &opened).await?;
    let said = match forms::read(&posted, &known.against())? {
        Ok(said) => said,
        Err(form) => {
            return form_again(&FormPage::of(&app, &member, &opened, known, None, form)?);
        }
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::ENTER).await? {
        return see_other(app.site.base(), &location);
    }
    in_time(&app, &member, &opened)?;
    let now = app.clock.now();
    let taken = enter(&mut tx, &opened.competition, member.id, &said, now).await?;
    let Entered { public_id, .. } = taken.map_err(refusal)?;
    let entry = paths::ENTRY.with(&[&id, public_id.as_str()]);
    let location = format!("{entry}?done=entered");
    once::settle(&mut tx, &once, &member, paths::ENTER, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// An entry in the list of the member's own.
struct Row {
    url: String,
    name: String,
    code: String,
    meta: String,
}

#[derive(Template)]
#[template(path = "competitions/entering/mine.html")]
struct MinePage {
    shell: Shell,
    title: String,
    competition_url: String,
    new_url: Option<String>,
    labels_url: Option<String>,
    rows: Vec<Row>,
}

pub(super) async fn mine(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let categories = competitions::store::categories(&mut conn, opened.competition.id).await?;
    let mine = store::mine(&mut conn, opened.competition.id, member.id).await?;
    drop(conn);
    let base = app.site.base();
    let prints = allows(opened.competition.phase, Act::PrintLabels)
        && mine.iter().any(|one| one.entry.withdrawn_at.is_none());
    let rows = mine.into_iter().map(|mine| Row {
        url: base.link(&paths::ENTRY.with(&[&id, mine.entry.public_id.as_str()])),
        meta: format!(
            "{}, {}",
            category_of(&categories, &mine),
            stands(&mine, &opened)
        ),
        code: mine.entry.code,
        name: mine.name,
    });
    page(&MinePage {
        shell: shown::shell(&app, &member),
        title: opened.competition.title.clone(),
        competition_url: base.link(&competitions::paths::COMPETITION.with(&[&id])),
        new_url: may_enter(&opened, today(&app, &member))
            .then(|| base.link(&paths::NEW.with(&[&id]))),
        labels_url: prints.then(|| base.link(&paths::ALL_LABELS.with(&[&id]))),
        rows: rows.collect(),
    })
}

fn category_of(categories: &[Category], mine: &Mine) -> String {
    let own = categories.iter().find(|one| one.id == mine.entry.category);
    let Some(own) = own else {
        return String::new();
    };
    let into = own
        .merged_into
        .and_then(|into| categories.iter().find(|one| one.id == into));
    match into {
        Some(into) => format!("{} (judged with {})", own.name, into.name),
        None => own.name.clone(),
    }
}

/// Where an entry stands, in a few words.
fn stands(mine: &Mine, opened: &Opened) -> String {
    let entry = &mine.entry;
    if entry.withdrawn_at.is_some() {
        return "withdrawn".to_owned();
    }
    let bottles = match entry.arrival {
        None => "bottles not received yet",
        Some(Arrival::Here) => "its bottles are here",
        Some(Arrival::Leaking) => "its bottles are here, and one leaks",
        Some(Arrival::Late) => "its bottles came too late",
        Some(Arrival::Missing) => "its bottles are missing",
    };
    let has_fee = opened.competition.rules.fee.is_some_and(|fee| fee > 0.0);
    match (has_fee, entry.fee_paid_at) {
        (false, _) => bottles.to_owned(),
        (true, Some(_)) => format!("{bottles}, fee paid"),
        (true, None) => format!("{bottles}, fee not paid yet"),
    }
}

/// One of the member's own entries.
#[derive(Template)]
#[template(path = "competitions/entering/entry.html")]
pub(super) struct EntryPage {
    shell: Shell,
    title: String,
    mine_url: String,
    code: String,
    name: String,
    by: String,
    stands: String,
    facts: Vec<(&'static str, String)>,
    masked: bool,
    asks: Vec<String>,
    batch: Option<String>,
    /// Its place and its sheets, once the results are out.
    results_url: Option<String>,
    frozen: bool,
    edit_url: Option<String>,
    labels_url: Option<String>,
    withdraw_at: Option<String>,
    leave_at: Option<String>,
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

/// An entry of which the member is a maker; any other is not there.
pub(super) async fn own(
    conn: &mut PgConnection,
    opened: &Opened,
    entry: &str,
) -> Result<Mine, Error> {
    let mine = store::mine(conn, opened.competition.id, opened.viewer).await?;
    mine.into_iter()
        .find(|one| one.entry.public_id.as_str() == entry)
        .ok_or_else(Error::not_found)
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, entry)): Path<(String, String)>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let mine = own(&mut conn, &opened, &entry).await?;
    let categories = competitions::store::categories(&mut conn, opened.competition.id).await?;
    drop(conn);
    let mut shown = entry_page(&app, &member, &opened, &mine, &categories);
    let words = match told.done.as_deref() {
        Some("entered") => "Entered. Print its labels, or write the code on every bottle.",
        Some("saved") => "Saved.",
        Some("withdrawn") => "Withdrawn. Nobody pours it.",
        _ => "",
    };
    shown.shell = shown.shell.saying(words);
    page(&shown)
}

fn entry_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    mine: &Mine,
    categories: &[Category],
) -> EntryPage {
    let base = app.site.base();
    let id = opened.competition.public_id.as_str();
    let entry = mine.entry.public_id.as_str();
    let at = |route: crate::web::paths::Route| base.link(&route.with(&[id, entry]));
    let phase = opened.competition.phase;
    let is_in = mine.entry.withdrawn_at.is_none();
    let changes = is_in && allows(phase, Act::ChangeEntry);
    let withdraws = is_in && mine.leads && may_withdraw(phase, &opened.competition.rules);
    EntryPage {
        shell: shown::shell(app, member),
        title: opened.competition.title.clone(),
        mine_url: base.link(&paths::MINE.with(&[id])),
        code: mine.entry.code.clone(),
        name: mine.name.clone(),
        by: by(mine, member),
        stands: stands(mine, opened),
        facts: facts(mine, categories),
        masked: mine.entry.masked_note.is_some() || mine.entry.masked_special.is_some(),
        asks: match is_in && phase <= Phase::Closed {
            true => asks(opened, app),
            false => Vec::new(),
        },
        batch: mine
            .batch
            .as_ref()
            .map(|batch| base.link(&batches::paths::BATCH.with(&[batch.as_str()]))),
        results_url: (is_in && allows(phase, Act::ReadOwnSheets))
            .then(|| base.link(&results::paths::OWN.with(&[id, &mine.entry.code]))),
        frozen: is_in && !changes,
        edit_url: (changes && mine.leads).then(|| at(paths::EDIT)),
        labels_url: (is_in && allows(phase, Act::PrintLabels)).then(|| at(paths::LABELS)),
        withdraw_at: withdraws.then(|| at(paths::WITHDRAW)),
        leave_at: (changes && !mine.leads).then(|| at(paths::LEAVE)),
    }
}

fn by(mine: &Mine, member: &Member) -> String {
    let entered = day(mine.entered_at, member.settings.zone);
    let others: Vec<&str> = mine
        .together
        .iter()
        .map(|(_, name)| name.as_str())
        .collect();
    match others.is_empty() {
        true => format!("entered by {} on {entered}", mine.lead_name),
        false => format!(
            "entered by {} on {entered}, made together with {}",
            mine.lead_name,
            others.join(", ")
        ),
    }
}

/// What judges read, with the labels of the form.
pub(in crate::competitions) fn declared_facts(declared: &Declared) -> Vec<(&'static str, String)> {
    let allergens = declared.allergens.iter();
    let allergens: Vec<&str> = allergens.map(|one| forms::allergen_words(one)).collect();
    let all = [
        ("Strength", percent(declared.abv_percent, 1)),
        ("Sweetness", words::sweetness(declared.sweetness).to_owned()),
        ("Sparkle", words::sparkle(declared.sparkle).to_owned()),
        ("Kind", words::character(declared.character).to_owned()),
        ("Special ingredients", declared.special.clone()),
        ("Contains", allergens.join(", ")),
        ("Note", declared.note.clone()),
    ];
    all.into_iter()
        .filter(|(_, words)| !words.is_empty())
        .collect()
}

fn facts(mine: &Mine, categories: &[Category]) -> Vec<(&'static str, String)> {
    let mut facts = vec![("Category", category_of(categories, mine))];
    let ruled = regrouping::told_of(categories, mine.entry.category);
    if !ruled.is_empty() {
        facts.push(("By the published rule", ruled.join(" ")));
    }
    facts.extend(declared_facts(&mine.entry.told()));
    facts
}
