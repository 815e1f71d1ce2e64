//! One trial: what is in which glass, which was liked best, and what the whole batch then gets.

use askama::Template;
use axum::extract::{Path, State};

use super::super::passing::{self, Danger, unexplained};
use super::super::shared::{Head, done, entries, mass_kg, once_of, shell, speaks, when, write};
use super::outcome::{
    Outcome, addition, amount, dose, given, given_words, ml, next_part, outcome, part_given,
};
use super::{OF_TRIAL, find, stocks};
use crate::app::App;
use crate::batches::model::{Logged, NewEntry, SaveError};
use crate::batches::opened::{Opened, open_own, refresh};
use crate::batches::plan::held;
use crate::batches::{paths, store};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Stock, Trial};
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::Route;
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::units::{self, Units};
use crate::web::viewer::Member;

/// What is chosen where no glass was better than the others.
const NONE: &str = "none";

#[derive(Template)]
#[template(path = "batches/finishing/trial.html")]
struct TrialPage {
    shell: Shell,
    head: Head,
    lead: String,
    number: i32,
    trials_url: String,
    sheet_url: String,
    /// Numbers and what is in the glass, as it is poured.
    key: Vec<(String, String)>,
    codes: Vec<(String, String)>,
    choose_at: String,
    version: i32,
    /// What the glass that was liked asks for; nothing before one was.
    outcome: Option<Outcome>,
    /// Ways in which it can go in: value and words; none where nothing is needed.
    ways: Vec<(&'static str, &'static str)>,
    /// What of it went in already, and what is left of the dose; empty where nothing did.
    given: Vec<String>,
    rest: String,
    give_at: String,
    asks_why: bool,
    form: FormState,
    once: String,
}

fn trial_page(
    app: &App,
    (member, opened): (&Member, &Opened),
    (logged, trial): (&Logged, &Trial),
    mut form: FormState,
) -> Result<TrialPage, Error> {
    let ids = [opened.batch.public_id.as_str(), &logged.entry.to_string()];
    let at = |route: Route| app.site.base().link(&route.with(&ids));
    let reads = member.settings.units;
    let dose = dose(opened, trial);
    let given = given(opened, logged.entry);
    let rest = dose
        .as_ref()
        .filter(|_| !given.is_empty())
        .map(|dose| amount((1.0 - part_given(&given, dose)).max(0.0), dose, reads));
    let outcome = dose
        .as_ref()
        .map(|dose| outcome(opened, trial, dose, reads));
    if form.typed("amount").is_empty()
        && let Some(dose) = &dose
    {
        let part = next_part(opened, trial, dose, part_given(&given, dose));
        form.set("amount", amount(part, dose, reads));
    }
    let mut codes: Vec<&str> = trial
        .glasses
        .iter()
        .map(|glass| glass.code.as_str())
        .collect();
    codes.sort_unstable();
    let codes = codes
        .into_iter()
        .map(|code| (code.to_owned(), format!("glass {code}")));
    let none = (NONE.to_owned(), "none of them".to_owned());
    if form.typed("winner").is_empty() {
        form.set("winner", trial.winner.clone().unwrap_or_default());
    }
    Ok(TrialPage {
        shell: shell(app, member),
        head: Head::of(app, opened),
        lead: format!(
            "{} glasses of {} with {}, set up on {}.",
            trial.glasses.len(),
            ml(trial.sample_ml),
            trial.name,
            day(logged.at, member.settings.zone)
        ),
        number: logged.entry,
        trials_url: at(paths::TRIALS),
        sheet_url: at(paths::TRIAL_SHEET),
        key: trial
            .glasses
            .iter()
            .map(|glass| (glass.code.clone(), ml(glass.stock_ml)))
            .collect(),
        codes: codes.chain([none]).collect(),
        choose_at: at(paths::CHOOSE_GLASS),
        version: logged.version,
        ways: outcome
            .as_ref()
            .map_or_else(Vec::new, |outcome| outcome.ways.clone()),
        outcome,
        given: given_words(&given, member),
        rest: rest.unwrap_or_default(),
        give_at: at(paths::GIVE_AS_TRIED),
        asks_why: !unexplained(opened, &dangers(opened, trial)).is_empty(),
        once: once_of(&form, member)?,
        form,
    })
}

fn dangers(opened: &Opened, trial: &Trial) -> Vec<Danger> {
    match stocks::ferments(trial.stock) && !opened.state.stabilised {
        true => vec![Danger::NotStabilised],
        false => Vec::new(),
    }
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let found = find(&opened, &number)?;
    page(&trial_page(
        &app,
        (&member, &opened),
        found,
        FormState::new(),
    )?)
}

pub(super) async fn choose(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let (once, route) = (Once::read(&posted, &member)?, paths::CHOOSE_GLASS);
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let (logged, trial) = find(&opened, &number)?;
    let mut typed = Typed::of(&posted);
    let winner = typed.text("winner")?;
    let is_one = trial.glasses.iter().any(|glass| glass.code == winner);
    if !is_one && winner != NONE {
        typed.form.refuse("winner", "Choose one of the glasses.");
        let again = trial_page(&app, (&member, &opened), (logged, trial), typed.form)?;
        return form_again(&again);
    }
    let decided = Trial {
        winner: is_one.then(|| winner.to_owned()),
        ..trial.clone()
    };
    let mut entry = NewEntry::of(Deed::Trial(decided), logged.at, member.id);
    entry.typed.clone_from(&logged.typed);
    let seen = (logged.entry, posted.one("version")?.parse().unwrap_or(0));
    let now = app.clock.now();
    match store::correct(&mut tx, opened.batch.id, seen, &entry, false, now).await {
        Ok(()) => {}
        Err(SaveError::Database(fault)) => return Err(fault.into()),
        Err(SaveError::Conflict | SaveError::NotFound) => {
            return Err(Error::conflict(
                "Another answer was written down meanwhile. Open the glasses again and look at it first.",
            ));
        }
    }
    refresh(&mut tx, &member, &opened.batch.public_id).await?;
    let to = paths::TRIAL.with(&[&id, &number]);
    once::settle(&mut tx, &once, &member, route, &to).await?;
    tx.commit().await?;
    see_other(app.site.base(), &to)
}

pub(super) async fn give(
    State(app): State<App>,
    member: Member,
    Path((id, number)): Path<(String, String)>,
    posted: Posted,
) -> Answer {
    let (once, route) = (Once::read(&posted, &member)?, paths::GIVE_AS_TRIED);
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let (logged, trial) = find(&opened, &number)?;
    let to = speaks(&app, &member);
    let mut typed = Typed::of(&posted);
    let at = when(&mut typed, to, &opened)?;
    let deeds = deeds(&mut typed, &opened, trial, to.units)?;
    let Some(at) = at.filter(|_| typed.form.is_sound()) else {
        let again = trial_page(&app, (&member, &opened), (logged, trial), typed.form)?;
        return form_again(&again);
    };
    let mut entries = entries(deeds, at, &member);
    if let Some(last) = entries.last_mut() {
        let of = logged.entry.to_string();
        last.typed.insert(OF_TRIAL.to_owned(), of);
    }
    let to = done(&id);
    write(&app, tx, (&member, &opened), &entries, (&once, route, &to)).await
}

fn deeds(
    typed: &mut Typed<'_>,
    opened: &Opened,
    trial: &Trial,
    reads: Units,
) -> Result<Vec<Deed>, Error> {
    let is_stock = trial.stock == Stock::Own || typed.text("way")? == "stock";
    let (kg, litres) = match is_stock {
        true => (
            None,
            typed.read("amount", |text| units::parse_volume(text, reads))?,
        ),
        false => (mass_kg(typed, "amount", reads)?, None),
    };
    let litres = litres.filter(|litres| (0.0001..=10_000.0).contains(litres));
    if kg.is_none() && litres.is_none() && typed.form.fault("amount").is_none() {
        typed.form.refuse(
            "amount",
            match is_stock {
                true => "Write how much of the stock went in, such as 400 ml.",
                false => "Write how much went in, such as 12 g or 1.2 kg.",
            },
        );
    }
    let open = unexplained(opened, &dangers(opened, trial));
    let mut deeds = passing::read(typed, &open)?;
    deeds.push(Deed::Addition(addition(opened, trial, kg, litres)));
    Ok(deeds)
}
