//! The mead with which a day of judging opens: everybody knows it, every judge gives it points alone, then all of them are shown.

pub mod store;

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Path, State as Shared};
use serde_json::json;
use sqlx::PgConnection;

use super::paths;
use super::view::{self, Around};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::model::Duty;
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::engine::contest::rules::{Rules, Section};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::units::parse_whole;
use crate::web::viewer::{Member, MemberId, Viewer};

/// The longest name of the mead and the longest notice, in letters.
const MEAD_MAX: usize = 120;
const NOTICE_MAX: usize = 2000;

/// The mead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mead {
    pub mead: String,
    pub notice: String,
    pub version: i32,
}

/// What one judge gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    pub judge: MemberId,
    pub name: String,
    /// By the section's key.
    pub points: BTreeMap<String, u32>,
}

impl Given {
    fn total(&self) -> u32 {
        self.points.values().sum()
    }
}

/// A section with its field.
struct SectionField {
    name: String,
    field: String,
    hint: String,
}

/// What one judge gave, section by section and in all.
struct GivenRow {
    name: String,
    points: Vec<String>,
    total: u32,
}

#[derive(Template)]
#[template(path = "competitions/flights/calibration.html")]
struct CalibrationPage {
    shell: Shell,
    competition_url: String,
    title: String,
    mead: Option<Mead>,
    sections: Vec<SectionField>,
    /// A judge who has not given points yet.
    give_at: Option<String>,
    given: Vec<GivenRow>,
    spread: String,
    waiting: usize,
    /// An organiser.
    set_at: Option<String>,
    form: FormState,
    once: String,
}

fn field(section: &Section) -> String {
    format!("points_{}", section.key)
}

fn spread(given: &[Given]) -> String {
    let totals = given.iter().map(Given::total);
    match (totals.clone().min(), totals.max(), given.len()) {
        (Some(least), Some(most), 2..) => format!(
            "From {least} to {most}: {} apart. Say what you gave most and least for, then taste once more.",
            most - least
        ),
        _ => String::new(),
    }
}

fn rows(given: &[Given], rules: &Rules) -> Vec<GivenRow> {
    let row = |one: &Given| {
        let points = rules.sections.iter().map(|section| {
            let points = one.points.get(&section.key);
            points.map_or_else(|| "–".to_owned(), u32::to_string)
        });
        GivenRow {
            name: one.name.clone(),
            points: points.collect(),
            total: one.total(),
        }
    };
    given.iter().map(row).collect()
}

/// Whoever organises, pours or judges; nobody else has anything to do here.
fn demand(opened: &Opened) -> Result<(), Error> {
    opened.demand(&[Duty::Organiser, Duty::Steward, Duty::Judge])?;
    match opened.allows(Act::ReadPours) {
        true => Ok(()),
        false => Err(Error::not_found()),
    }
}

async fn calibration_page(
    app: &App,
    conn: &mut PgConnection,
    (member, opened): (&Member, &Opened),
    form: FormState,
) -> Result<CalibrationPage, Error> {
    let rules = &opened.competition.rules;
    let mead = store::find(conn, opened.competition.id).await?;
    let given = store::given(conn, opened.competition.id).await?;
    let gave = given.iter().any(|one| one.judge == member.id);
    let gives = opened.has(Duty::Judge) && opened.allows(Act::Pour) && mead.is_some() && !gave;
    // Until one has given points oneself, one reads nobody's; whoever does not judge reads them at once.
    let reads = gave || !opened.has(Duty::Judge);
    let around = Around::of(app, member, opened);
    let sections = rules.sections.iter().map(|section| SectionField {
        name: section.name.clone(),
        field: field(section),
        hint: format!("From 0 to {}.", section.most),
    });
    Ok(CalibrationPage {
        competition_url: around.competition_url,
        title: around.title,
        sections: sections.collect(),
        give_at: gives.then(|| view::at(app, opened, paths::GIVE)),
        spread: if reads { spread(&given) } else { String::new() },
        waiting: if reads { 0 } else { given.len() },
        given: if reads {
            rows(&given, rules)
        } else {
            Vec::new()
        },
        mead: mead.map(|mead| Mead {
            notice: if reads { mead.notice } else { String::new() },
            ..mead
        }),
        set_at: opened
            .has(Duty::Organiser)
            .then(|| view::at(app, opened, paths::SET_MEAD)),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
        shell: around.shell,
    })
}

/// The organiser's form with what stands.
fn filled(mead: Option<&Mead>) -> FormState {
    let mut form = FormState::new();
    if let Some(mead) = mead {
        form.set("mead", &mead.mead);
        form.set("notice", &mead.notice);
        form.set("version", mead.version.to_string());
    }
    form
}

pub(super) async fn show(
    Shared(app): Shared<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    demand(&opened)?;
    let form = match opened.has(Duty::Organiser) {
        true => filled(
            store::find(&mut conn, opened.competition.id)
                .await?
                .as_ref(),
        ),
        false => FormState::new(),
    };
    not_stored(page(
        &calibration_page(&app, &mut conn, (&member, &opened), form).await?,
    ))
}

pub(super) async fn set_mead(
    Shared(app): Shared<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::SET_MEAD).await? {
        return see_other(app.site.base(), &location);
    }
    opened.hold(&mut tx, Act::ReadPours).await?;
    let mut typed = Typed::of(&posted);
    let mead = Mead {
        mead: typed.wanted("mead", MEAD_MAX, "Write which mead it is.")?,
        notice: typed.lines("notice", NOTICE_MAX)?,
        version: typed.text("version")?.parse().unwrap_or(0),
    };
    if typed.form.is_sound() && !store::put(&mut tx, opened.competition.id, &mead).await? {
        let now = store::find(&mut tx, opened.competition.id).await?;
        let now = now.map_or_else(String::new, |now| format!("{}. {}", now.mead, now.notice));
        return Err(Error::conflict(format!(
            "Somebody else wrote meanwhile: “{now}” What you typed is below."
        )));
    }
    if !typed.form.is_sound() {
        let who = (&member, &opened);
        return form_again(&calibration_page(&app, &mut tx, who, typed.form).await?);
    }
    let deed = Deed {
        deed: "calibration_mead",
        about: json!({ "mead": mead.mead }),
        reason: "",
    };
    let competition = opened.competition.id;
    deeds::write(
        &mut tx,
        competition,
        Some(member.id),
        &deed,
        app.clock.now(),
    )
    .await?;
    let location = paths::CALIBRATION.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::SET_MEAD, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// The points of every section; faults beside the fields.
fn read(typed: &mut Typed<'_>, rules: &Rules) -> Result<BTreeMap<String, u32>, Error> {
    let mut points = BTreeMap::new();
    for section in &rules.sections {
        let name = field(section);
        let most = i32::try_from(section.most).unwrap_or(i32::MAX);
        let given = typed.read(&name, |text| parse_whole(text, 0, most))?;
        match given.and_then(|given| u32::try_from(given).ok()) {
            Some(given) => {
                points.insert(section.key.clone(), given);
            }
            None if typed.form.fault(&name).is_none() => {
                let why = format!("Give {} points from 0 to {most}.", section.name);
                typed.form.refuse(&name, why);
            }
            None => {}
        }
    }
    Ok(points)
}

pub(super) async fn give(
    Shared(app): Shared<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Judge])?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::GIVE).await? {
        return see_other(app.site.base(), &location);
    }
    opened.hold(&mut tx, Act::Pour).await?;
    let competition = opened.competition.id;
    if store::find(&mut tx, competition).await?.is_none() {
        return Err(Error::not_found());
    }
    let mut typed = Typed::of(&posted);
    let points = read(&mut typed, &opened.competition.rules)?;
    if !typed.form.is_sound() {
        let who = (&member, &opened);
        return form_again(&calibration_page(&app, &mut tx, who, typed.form).await?);
    }
    if !store::give(&mut tx, competition, member.id, &points, app.clock.now()).await? {
        return Err(Error::conflict(
            "You gave it points before, and have read what others gave.",
        ));
    }
    let location = paths::CALIBRATION.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::GIVE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
