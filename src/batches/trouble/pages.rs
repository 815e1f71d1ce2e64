//! The pages of trouble: what one may see, and one of them with its checks, steps and end; with a batch and without.

use askama::Template;
use axum::extract::{Path, RawQuery, State};
use axum::http::StatusCode;

use super::asked::{self, Answered, Field};
use super::facts::facts;
use crate::app::App;
use crate::batches::opened::{Opened, open, settings_of};
use crate::batches::{outlook, paths};
use crate::engine::outlook::Course;
use crate::engine::problem::Severity;
use crate::engine::trouble::{Answer as Found, Facts, Guide, Symptom, guide};
use crate::safety;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, page, page_with};
use crate::web::shell::{Nav, Shell};
use crate::web::units::Units;
use crate::web::viewer::{Member, Viewer};
use crate::web::words::{Words, outlook as said, trouble as words};

/// Fields that an address may carry.
const MAX_FIELDS: usize = 60;

#[derive(Template)]
#[template(path = "batches/troubles.html")]
struct AllPage {
    shell: Shell,
    /// The batch: name and address; everybody's page has none.
    batch: Option<(String, String)>,
    symptoms: Vec<(String, Words)>,
    safety_url: String,
}

#[derive(Template)]
#[template(path = "batches/trouble.html")]
struct OnePage {
    shell: Shell,
    batch: Option<(String, String)>,
    all_url: String,
    action: String,
    symptom: Words,
    /// How it goes by its own readings.
    course: Option<Words>,
    remedies: Vec<(&'static str, Words)>,
    findings: Vec<(&'static str, Words)>,
    pour_away: Vec<Words>,
    fields: Vec<Field>,
    form: FormState,
    safety_url: String,
}

impl OnePage {
    const CHOICES: &[(&str, &str)] = &[("", "I do not know"), ("yes", "yes"), ("no", "no")];
    const MARK: &str = words::MARK;
}

fn symptom_of(word: &str) -> Result<Symptom, Error> {
    let mut all = Symptom::ALL.iter().copied();
    all.find(|one| one.as_str() == word)
        .ok_or_else(Error::not_found)
}

async fn opened(app: &App, member: &Member, id: &str) -> Result<Opened, Error> {
    let mut conn = app.pool.acquire().await?;
    open(&mut conn, Some(member.id), &settings_of(member), id).await
}

fn batch_of(app: &App, opened: &Opened) -> (String, String) {
    let path = paths::BATCH.with(&[opened.batch.public_id.as_str()]);
    (opened.batch.name.clone(), app.site.base().link(&path))
}

pub(super) async fn all(State(app): State<App>, viewer: Viewer) -> Answer {
    let at = |symptom: Symptom| paths::TROUBLE_OF.with(&[symptom.as_str()]);
    page(&all_page(&app, app.shell(&viewer), None, at))
}

pub(super) async fn all_of_batch(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let opened = opened(&app, &member, &id).await?;
    let at = |symptom: Symptom| paths::SYMPTOM.with(&[&id, symptom.as_str()]);
    let shell = app.shell(&Viewer::known(member)).at_place(Nav::Batches);
    page(&all_page(&app, shell, Some(batch_of(&app, &opened)), at))
}

fn all_page(
    app: &App,
    shell: Shell,
    batch: Option<(String, String)>,
    at: impl Fn(Symptom) -> String,
) -> AllPage {
    let base = app.site.base();
    let symptoms = Symptom::ALL.iter().copied();
    AllPage {
        shell,
        batch,
        symptoms: symptoms
            .map(|symptom| (base.link(&at(symptom)), words::symptom(symptom)))
            .collect(),
        safety_url: base.link(safety::paths::INDEX.path),
    }
}

pub(super) async fn one(
    State(app): State<App>,
    viewer: Viewer,
    Path(symptom): Path<String>,
    RawQuery(query): RawQuery,
) -> Answer {
    let symptom = symptom_of(&symptom)?;
    let units = viewer.settings().units;
    let sent = Posted::asked(query, MAX_FIELDS)?;
    let answered = asked::read(symptom, Facts::default(), &sent, units)?;
    let places = [
        paths::TROUBLES.path.to_owned(),
        paths::TROUBLE_OF.with(&[symptom.as_str()]),
    ];
    let shell = app.shell(&viewer);
    answer(one_page(&app, (shell, units), symptom, answered, places))
}

pub(super) async fn one_of_batch(
    State(app): State<App>,
    member: Member,
    Path((id, symptom)): Path<(String, String)>,
    RawQuery(query): RawQuery,
) -> Answer {
    let symptom = symptom_of(&symptom)?;
    let opened = opened(&app, &member, &id).await?;
    let now_h = opened.batch.hours_at(app.clock.now());
    let units = member.settings.units;
    let sent = Posted::asked(query, MAX_FIELDS)?;
    let answered = asked::read(symptom, facts(&opened, now_h), &sent, units)?;
    let mut conn = app.pool.acquire().await?;
    let earlier = outlook::store::earlier(&mut conn).await?;
    drop(conn);
    let is_tight = answered.facts.lid_is_tight == Some(true);
    let sight = outlook::sight(&opened, now_h, earlier, is_tight);
    let places = [
        paths::TROUBLE.with(&[&id]),
        paths::SYMPTOM.with(&[&id, symptom.as_str()]),
    ];
    let shell = app.shell(&Viewer::known(member)).at_place(Nav::Batches);
    let mut shown = one_page(&app, (shell, units), symptom, answered, places);
    shown.batch = Some(batch_of(&app, &opened));
    shown.course = sight
        .course()
        .filter(|course| is_telling(*course))
        .map(said::course);
    answer(shown)
}

/// Whether how it goes says something where something seems wrong.
fn is_telling(course: Course) -> bool {
    !matches!(course, Course::Early | Course::NotRead)
}

fn answer(shown: OnePage) -> Answer {
    let status = match shown.form.is_sound() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    page_with(status, &shown)
}

fn one_page(
    app: &App,
    (shell, units): (Shell, Units),
    symptom: Symptom,
    answered: Answered,
    [all, here]: [String; 2],
) -> OnePage {
    let base = app.site.base();
    let found: Guide = guide(symptom, &answered.facts);
    OnePage {
        shell,
        batch: None,
        all_url: base.link(&all),
        action: base.link(&here),
        symptom: words::symptom(symptom),
        course: None,
        remedies: found
            .remedies
            .iter()
            .map(|remedy| (class_of(remedy.severity), words::remedy(remedy, units)))
            .collect(),
        findings: found
            .findings
            .iter()
            .map(|finding| (found_words(finding.answer), words::finding(finding, units)))
            .collect(),
        pour_away: found
            .pour_away
            .iter()
            .map(|reason| words::pour_away(*reason))
            .collect(),
        fields: answered.fields,
        form: answered.form,
        safety_url: base.link(safety::paths::INDEX.path),
    }
}

fn class_of(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "caution danger",
        Severity::Watch => "caution watch",
        Severity::Note => "caution",
    }
}

fn found_words(answer: Found) -> &'static str {
    match answer {
        Found::Yes => "Yes.",
        Found::No => "No.",
        Found::NotKnown => "Not known.",
    }
}
