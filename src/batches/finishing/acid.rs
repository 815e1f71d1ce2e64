//! Acid and what takes it away, from what was measured; tannin beside it.

use askama::Template;
use axum::extract::{Path, RawQuery, State};
use axum::http::StatusCode;

use super::known;
use super::shared::{Head, address, done, entries, once_of, powder_kg, shell, speaks, when, write};
use crate::app::App;
use crate::batches::opened::{Opened, open_own};
use crate::batches::paths;
use crate::batches::plan::{CautionLine, caution_line, held};
use crate::engine::acid::{Acid, Addition as Acidity};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Addition, What, Why};
use crate::engine::problem::{Arguments, Caution, CautionCode as Code, Severity};
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page_with, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::units;
use crate::web::viewer::Member;

/// Fields that the address may carry.
const MAX_FIELDS: usize = 10;
/// A mead that was never measured is changed by so little at first, g/L (common practice, no published source).
const FIRST_STEP_G_PER_L: f64 = 0.5;
/// Below this pH more acid bites (common practice, no published source).
const LOW_PH: f64 = 3.1;

/// What can be chosen: what it does, its words, its name in the log.
const CHOICES: &[(Acidity, &str, &str)] = &[
    (
        Acidity::Acid(Acid::Tartaric),
        "tartaric acid: sourer, firm",
        "Tartaric acid",
    ),
    (
        Acidity::Acid(Acid::Malic),
        "malic acid: sourer, like green apples",
        "Malic acid",
    ),
    (
        Acidity::Acid(Acid::Citric),
        "citric acid, free of water: sourer, like lemon",
        "Citric acid, free of water",
    ),
    (
        Acidity::Acid(Acid::CitricMonohydrate),
        "citric acid as it is mostly sold, with water in it",
        "Citric acid, monohydrate",
    ),
    (
        Acidity::Acid(Acid::Lactic),
        "lactic acid, counted as pure: sourer, soft",
        "Lactic acid, counted as pure",
    ),
    (
        Acidity::PotassiumBicarbonate,
        "potassium bicarbonate: less sour",
        "Potassium bicarbonate",
    ),
    (
        Acidity::PotassiumCarbonate,
        "potassium carbonate: less sour",
        "Potassium carbonate",
    ),
    (
        Acidity::CalciumCarbonate,
        "calcium carbonate: less sour",
        "Calcium carbonate",
    ),
];

#[derive(Template)]
#[template(path = "batches/finishing/acid.html")]
struct AcidPage {
    shell: Shell,
    head: Head,
    lead: String,
    ph: String,
    /// Whether an acidity is known from which one can go.
    is_known: bool,
    warnings: Vec<CautionLine>,
    choices: Vec<(&'static str, &'static str)>,
    here: String,
    answer: Option<(String, String)>,
    carried: Vec<(&'static str, String)>,
    action: String,
    trials_url: String,
    tannin_url: String,
    log_url: String,
    form: FormState,
    once: String,
}

fn chosen(form: &FormState) -> Option<&'static (Acidity, &'static str, &'static str)> {
    let word = form.typed("acid");
    CHOICES.iter().find(|(is, _, _)| is.as_str() == word)
}

/// The grams that are asked for; faults stand in the form.
fn solve(typed: &mut Typed<'_>, opened: &Opened) -> Result<Option<f64>, Error> {
    let choice = chosen(&typed.form);
    if choice.is_none() {
        typed.form.refuse("acid", "Choose one of the list.");
    }
    let wanted = typed.read("to", |text| {
        units::parse_number_within(text.trim_end_matches("g/L"), 0.0, 20.0)
            .map_err(|_| "Write grams in a litre from 0 to 20, such as 6.")
    })?;
    let change = match opened.state.ta_g_per_l {
        Some(now) => wanted.map(|wanted| wanted - now),
        None => wanted,
    };
    let Some((change, (is, _, _))) = change.zip(choice).filter(|_| typed.form.is_sound()) else {
        return Ok(None);
    };
    let takes_away = is.change_as_tartaric() < 0.0;
    // Of a mead that nobody measured only the step is known; what is chosen says which way.
    let change = match opened.state.ta_g_per_l.is_none() && takes_away {
        true => -change,
        false => change,
    };
    let grams = is.grams(change, opened.state.volume_l);
    if grams < 0.0 {
        typed.form.refuse(
            "acid",
            match takes_away {
                true => "This takes acid away, and it is to become sourer. Choose an acid.",
                false => "This is an acid, and it is to become less sour. Choose a carbonate.",
            },
        );
        return Ok(None);
    }
    Ok(Some(grams))
}

fn warnings(app: &App, member: &Member, form: &FormState, ph: Option<f64>) -> Vec<CautionLine> {
    let Some((is, _, name)) = chosen(form) else {
        return Vec::new();
    };
    let named = || Arguments::none().with("name", is.as_str());
    let caution = |code, severity| Caution::new(code, severity, named());
    let cautions = match is {
        Acidity::Acid(_) => vec![caution(Code::AcidHandling, Severity::Danger)],
        Acidity::PotassiumCarbonate => vec![
            caution(Code::Caustic, Severity::Danger),
            caution(Code::NeutraliserFoams, Severity::Watch),
        ],
        _ => vec![caution(Code::NeutraliserFoams, Severity::Watch)],
    };
    let mut lines: Vec<CautionLine> = cautions
        .iter()
        .map(|caution| caution_line(caution, app.site.base(), member.settings.units))
        .collect();
    if matches!(is, Acidity::Acid(_))
        && let Some(ph) = ph.filter(|ph| *ph < LOW_PH)
    {
        lines.push(CautionLine {
            class: "watch",
            lead: "Its pH is low already".to_owned(),
            sentence: format!(
                "At pH {} more {} bites. Taste it in a glass first.",
                units::plain(ph, 2),
                name.to_lowercase()
            ),
            more: String::new(),
        });
    }
    lines
}

fn grams(grams: f64) -> String {
    let decimals = if grams < 10.0 { 1 } else { 0 };
    format!("{} g", units::plain(grams, decimals))
}

fn acid_page(
    app: &App,
    (member, opened): (&Member, &Opened),
    found: Option<f64>,
    mut form: FormState,
) -> Result<AcidPage, Error> {
    let state = &opened.state;
    let (reads, zone) = (member.settings.units, member.settings.zone);
    let on = |hours: f64| {
        let at = opened.batch.at_hours(hours);
        at.map_or_else(String::new, |at| day(at, zone))
    };
    let much = units::volume(state.volume_l, reads);
    let lead = match (state.ta_g_per_l, known::measured_acid(opened)) {
        (Some(acid), Some((_, hours))) => format!(
            "{much} with {} of acid, counted as tartaric; measured on {}.",
            units::grams_per_litre(acid),
            on(hours)
        ),
        (Some(acid), None) => format!(
            "{much} with {} of acid by its recipe. Nobody has measured it: measure first, or try it in glasses.",
            units::grams_per_litre(acid)
        ),
        (None, _) => {
            format!("{much}, and nobody knows its acid. Measure it, or try it in glasses.")
        }
    };
    let ph = known::ph(opened, opened.batch.hours_at(app.clock.now()));
    if form.typed("acid").is_empty() {
        form.set("acid", CHOICES[0].0.as_str());
    }
    let answer = found.zip(chosen(&form)).map(|(much, (_, _, name))| {
        if form.typed("amount").is_empty() {
            form.set("amount", grams(much / 2.0));
        }
        (
            format!("{} of {} in all.", grams(much), name.to_lowercase()),
            format!(
                "Give {} first, dissolved in a little of the mead. Stir, wait a day, measure and taste; then give the rest, or leave it.",
                grams(much / 2.0)
            ),
        )
    });
    let flavour = address(app, opened, paths::FLAVOUR);
    Ok(AcidPage {
        shell: shell(app, member),
        head: Head::of(app, opened),
        lead,
        ph: match ph {
            Some(ph) => format!(
                "pH {} on {}. The pH does not follow from the acidity: measure it again afterwards.",
                units::plain(ph.value, 2),
                on(ph.hours)
            ),
            None => "No pH was measured since it stopped.".to_owned(),
        },
        is_known: state.ta_g_per_l.is_some(),
        warnings: warnings(app, member, &form, ph.map(|ph| ph.value)),
        choices: CHOICES
            .iter()
            .map(|(is, words, _)| (is.as_str(), *words))
            .collect(),
        here: address(app, opened, paths::SOUR),
        answer,
        carried: vec![
            ("acid", form.typed("acid").to_owned()),
            ("to", form.typed("to").to_owned()),
        ],
        action: address(app, opened, paths::SOURED),
        trials_url: address(app, opened, paths::TRIALS),
        tannin_url: format!("{flavour}?thing=wine-tannin"),
        log_url: address(app, opened, paths::LOG),
        once: once_of(&form, member)?,
        form,
    })
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Answer {
    let posted = Posted::asked(query, MAX_FIELDS)?;
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    drop(conn);
    let mut typed = Typed::of(&posted);
    let found = match posted.is_empty() || known::is_empty(&opened) {
        true => None,
        false => solve(&mut typed, &opened)?,
    };
    if posted.is_empty() {
        let begin = match opened.state.ta_g_per_l {
            Some(now) => now + FIRST_STEP_G_PER_L,
            None => FIRST_STEP_G_PER_L,
        };
        typed.form.set("to", units::plain(begin, 1));
    }
    let status = match typed.form.is_sound() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    page_with(
        status,
        &acid_page(&app, (&member, &opened), found, typed.form)?,
    )
}

pub(super) async fn give(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let (once, route) = (Once::read(&posted, &member)?, paths::SOURED);
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let found = solve(&mut typed, &opened)?;
    let at = when(&mut typed, speaks(&app, &member), &opened)?;
    let deed = deed(&mut typed, &opened)?;
    let Some((at, deed)) = at.zip(deed).filter(|_| typed.form.is_sound()) else {
        return form_again(&acid_page(&app, (&member, &opened), found, typed.form)?);
    };
    let entries = entries(vec![deed], at, &member);
    let to = done(&id);
    write(&app, tx, (&member, &opened), &entries, (&once, route, &to)).await
}

fn deed(typed: &mut Typed<'_>, opened: &Opened) -> Result<Option<Deed>, Error> {
    let kg = powder_kg(typed, "amount")?;
    if kg.is_none() && typed.form.fault("amount").is_none() {
        typed
            .form
            .refuse("amount", "Write how much went in, such as 4.5 g.");
    }
    let litres = opened.state.volume_l;
    Ok(kg
        .zip(chosen(&typed.form))
        .filter(|_| litres > 0.0)
        .map(|(kg, (is, _, name))| {
            let change = is.change_as_tartaric();
            let what = match change < 0.0 {
                true => What::Neutraliser,
                false => What::Acid,
            };
            Deed::Addition(Addition {
                why: Some(Why::Adjust),
                grams: Some(1000.0 * kg),
                ta_change_g_per_l: Some(change * 1000.0 * kg / litres),
                ..Addition::of(name, what)
            })
        }))
}
