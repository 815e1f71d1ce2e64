//! Stabilising, in its order: sulfite by the pH, sorbate by the strength, both against what the law of several places allows.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::dosing::{
    Proposed, Row, about_sorbate, about_sulfite, dangers, grams, mg, proposed, rows,
};
use super::known;
use super::passing::{self, Danger, unexplained};
use super::shared::{
    Head, address, done, entries, now_h, once_of, powder_kg, shell, speaks, when, write,
};
use crate::app::App;
use crate::batches::opened::{Opened, open_own};
use crate::batches::paths;
use crate::batches::plan::{CautionLine, caution_line, held};
use crate::engine::finish::limits::LABEL_MG_PER_L;
use crate::engine::finish::stabilising::Sulfite;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Addition, What, Why};
use crate::engine::problem::{Arguments, Caution, CautionCode as Code, Severity};
use crate::engine::stoichiometry::{SO2_PER_POTASSIUM_METABISULFITE, SORBIC_ACID_PER_SORBATE};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::viewer::Member;

#[derive(Template)]
#[template(path = "batches/finishing/stabilise.html")]
struct StabilisePage {
    shell: Shell,
    head: Head,
    lead: String,
    is_sweet: bool,
    /// Where the other answer to "will it be sweet?" leads.
    other_url: String,
    warnings: Vec<CautionLine>,
    finished_url: String,
    sulfite: Vec<String>,
    sorbate: Vec<String>,
    limits: Vec<Row>,
    label_mg_per_l: String,
    log_url: String,
    sweeten_url: String,
    action: String,
    asks_why: bool,
    form: FormState,
    once: String,
}

fn warnings(app: &App, member: &Member, opened: &Opened, of: &Proposed) -> Vec<CautionLine> {
    let base = app.site.base();
    let plain = |code, severity| Caution::new(code, severity, Arguments::none());
    let mut cautions = vec![plain(Code::SulfiteFumes, Severity::Danger)];
    if let Sulfite::ByPh(dose) = &of.sulfite
        && dose.is_held_back()
    {
        let wanted = Arguments::none().with("free_mg_per_l", dose.wanted_mg_per_l);
        cautions.push(Caution::new(Code::LowerPhFirst, Severity::Watch, wanted));
    }
    if of.sorbate_g > 0.0 {
        cautions.push(plain(Code::SorbateNeedsSulfite, Severity::Watch));
    }
    let recipe = opened.planned.cautions.iter();
    cautions.extend(
        recipe
            .filter(|caution| caution.code == Code::SorbateWithMalolactic)
            .cloned(),
    );
    cautions
        .iter()
        .map(|caution| caution_line(caution, base, member.settings.units))
        .collect()
}

fn stabilise_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    is_sweet: bool,
    mut form: FormState,
) -> Result<StabilisePage, Error> {
    let now_h = now_h(app, opened);
    let of = proposed(opened, is_sweet, now_h);
    let litres = opened.state.volume_l.max(1e-9);
    let more = (
        1000.0 * of.sulfite_g * SO2_PER_POTASSIUM_METABISULFITE / litres,
        of.sorbic_mg_per_l,
    );
    if form.typed(once::FIELD).is_empty() {
        form.set("sulfite", grams(of.sulfite_g));
        form.set("sorbate", grams(of.sorbate_g));
    }
    let open = unexplained(opened, &dangers(opened, is_sweet, now_h, more));
    let here = address(app, opened, paths::STABILISE);
    let other = if is_sweet { "dry" } else { "sweet" };
    let mut warnings = warnings(app, member, opened, &of);
    if open.contains(&Danger::NotFinished) {
        warnings.insert(0, not_finished());
    }
    Ok(StabilisePage {
        shell: shell(app, member),
        head: Head::of(app, opened),
        lead: match is_sweet {
            true => {
                "Sulfite first, then sorbate, then a day or two of rest; only then something sweet."
                    .to_owned()
            }
            false => {
                "It stays dry, so a little sulfite keeps the air from it. That is all.".to_owned()
            }
        },
        is_sweet,
        other_url: format!("{here}?will={other}"),
        warnings,
        finished_url: address(app, opened, paths::FINISHED),
        sulfite: about_sulfite(opened, &of, member, now_h),
        sorbate: about_sorbate(opened, &of, is_sweet),
        limits: rows(opened, is_sweet, more),
        label_mg_per_l: mg(LABEL_MG_PER_L),
        log_url: address(app, opened, paths::LOG),
        sweeten_url: address(app, opened, paths::SWEETEN),
        action: address(app, opened, paths::STABILISED),
        asks_why: !open.is_empty() || form.fault(passing::FIELD).is_some(),
        once: once_of(&form, member)?,
        form,
    })
}

fn not_finished() -> CautionLine {
    CautionLine {
        class: "danger",
        lead: "Nobody knows that it is finished".to_owned(),
        sentence: "Sulfite and sorbate do not stop a yeast that works, and what goes on working can burst a bottle. See first what is missing.".to_owned(),
        more: String::new(),
    }
}

#[derive(Deserialize)]
pub(super) struct Will {
    will: Option<String>,
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(asked): Query<Will>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let is_sweet = match asked.will.as_deref() {
        Some("sweet") => true,
        Some("dry") => false,
        _ => known::is_sweet(&opened),
    };
    page(&stabilise_page(
        &app,
        &member,
        &opened,
        is_sweet,
        FormState::new(),
    )?)
}

pub(super) async fn give(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let (once, route) = (Once::read(&posted, &member)?, paths::STABILISED);
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let is_sweet = posted.one("will")? == "sweet";
    let mut typed = Typed::of(&posted);
    let at = when(&mut typed, speaks(&app, &member), &opened)?;
    let deeds = deeds(&mut typed, &opened, is_sweet, now_h(&app, &opened))?;
    let Some(at) = at.filter(|_| typed.form.is_sound()) else {
        return form_again(&stabilise_page(
            &app, &member, &opened, is_sweet, typed.form,
        )?);
    };
    let entries = entries(deeds, at, &member);
    write(
        &app,
        tx,
        (&member, &opened),
        &entries,
        (&once, route, &done(&id)),
    )
    .await
}

/// Sulfite alone keeps the air away; with sorbate it stabilises.
fn deeds(
    typed: &mut Typed<'_>,
    opened: &Opened,
    is_sweet: bool,
    now_h: f64,
) -> Result<Vec<Deed>, Error> {
    let sulfite = powder_kg(typed, "sulfite")?;
    let sorbate = powder_kg(typed, "sorbate")?;
    if sulfite.is_none() && sorbate.is_none() && typed.form.is_sound() {
        let what = "Write how much went in of at least one of the two.";
        typed.form.refuse("sulfite", what);
    }
    let litres = opened.state.volume_l.max(1e-9);
    let per_l = |kg: Option<f64>, part: f64| kg.unwrap_or(0.0) * 1e6 * part / litres;
    let more = (
        per_l(sulfite, SO2_PER_POTASSIUM_METABISULFITE),
        per_l(sorbate, SORBIC_ACID_PER_SORBATE),
    );
    let dangers = unexplained(opened, &dangers(opened, is_sweet, now_h, more));
    let mut deeds = passing::read(typed, &dangers)?;
    let stabilises = sorbate.is_some() || opened.state.sorbic_mg_per_l > 0.0;
    let salt = |name: &str, what, why, kg: f64| {
        Deed::Addition(Addition {
            why: Some(why),
            grams: Some(1000.0 * kg),
            ..Addition::of(name, what)
        })
    };
    let why = if stabilises {
        Why::Stabilise
    } else {
        Why::Other
    };
    deeds.extend(sulfite.map(|kg| salt("Potassium metabisulfite", What::Sulfite, why, kg)));
    deeds.extend(sorbate.map(|kg| salt("Potassium sorbate", What::Sorbate, Why::Stabilise, kg)));
    Ok(deeds)
}
