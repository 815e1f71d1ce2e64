//! Fining, tannin, wood and spice: little at first, and tasted from a day on that the plan then has.

use askama::Template;
use axum::extract::{Path, Query, State};
use chrono::TimeDelta;
use serde::Deserialize;

use super::known;
use super::offered::for_taste;
use super::shared::{Head, address, done, entries, once_of, powder_kg, shell, speaks, when, write};
use crate::app::App;
use crate::batches::log::addition_of;
use crate::batches::opened::{Opened, open_own};
use crate::batches::paths;
use crate::batches::plan::held;
use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::{Entry, Kind};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Addition, Why};
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::units;
use crate::web::viewer::Member;

#[derive(Template)]
#[template(path = "batches/finishing/flavour.html")]
struct FlavourPage {
    shell: Shell,
    head: Head,
    lead: String,
    things: Vec<(String, String)>,
    here: String,
    chosen: Option<Chosen>,
    trials_url: String,
    action: String,
    form: FormState,
    once: String,
}

/// What was chosen, with what is usual of it.
struct Chosen {
    key: String,
    name: String,
    words: String,
    proposed: String,
    usual: String,
    /// When it is tasted first, and how long it usually stays; empty for what stays for good.
    days: String,
    caution: String,
    note: String,
    source: String,
    /// Whether it clears a mead that is still to be sweetened.
    is_too_soon: bool,
}

fn kind_words(kind: Kind) -> &'static str {
    match kind {
        Kind::Fining => "to clear it",
        Kind::Tannin => "tannin",
        Kind::Wood => "wood",
        _ => "spice",
    }
}

fn grams(grams: f64) -> String {
    let decimals = match grams {
        x if x < 1.0 => 2,
        x if x < 10.0 => 1,
        _ => 0,
    };
    format!("{} g", units::plain(grams, decimals))
}

fn chosen(app: &App, member: &Member, opened: &Opened, entry: &Entry) -> Chosen {
    let litres = opened.state.volume_l;
    let much = units::volume(litres, member.settings.units);
    let usual = entry
        .usual_g_per_l
        .map(|usual| usual.map(|dose| dose * litres));
    let first_taste = entry.days.and_then(|[first, _]| {
        let at = app
            .clock
            .now()
            .checked_add_signed(TimeDelta::days(first.round() as i64))?;
        Some(day(at, member.settings.zone))
    });
    let sweetened = opened.entries.iter().any(
        |entry| matches!(&entry.deed, Deed::Addition(added) if added.why == Some(Why::Sweeten)),
    );
    Chosen {
        key: entry.key.clone(),
        name: entry.name.clone(),
        words: entry.words.clone(),
        proposed: usual.map_or(String::new(), |[low, _]| grams(low)),
        usual: match (usual, entry.usual_g_per_l) {
            (Some([low, high]), Some([least, most])) => format!(
                "{} for {much} is the least that is usual, {} the most ({} to {} g in a litre). Begin with the least: more can go in, none comes out.",
                grams(low),
                grams(high),
                units::plain(least, 2),
                units::plain(most, 2)
            ),
            _ => "How much is usual nobody has written down: begin with very little.".to_owned(),
        },
        days: match (entry.days, first_taste) {
            (Some([first, last]), Some(on)) => format!(
                "If it goes in today, taste it from {on} on, every few days; it usually stays {} to {} days. The day comes into the plan and the calendar of this batch.",
                units::plain(first, 0),
                units::plain(last, 0)
            ),
            _ => String::new(),
        },
        caution: entry.caution.clone().unwrap_or_default(),
        note: entry.note.clone().unwrap_or_default(),
        source: entry.source.clone(),
        is_too_soon: entry.kind == Kind::Fining && known::is_sweet(opened) && !sweetened,
    }
}

fn flavour_page(
    app: &App,
    (member, opened): (&Member, &Opened),
    catalogue: &ClubCatalogue,
    mut form: FormState,
) -> Result<FlavourPage, Error> {
    let all = for_taste(catalogue);
    let wanted = all.iter().find(|entry| entry.key == form.typed("thing"));
    let chosen = wanted.map(|entry| chosen(app, member, opened, entry));
    if let Some(chosen) = &chosen
        && form.typed(once::FIELD).is_empty()
    {
        form.set("amount", chosen.proposed.clone());
    }
    Ok(FlavourPage {
        shell: shell(app, member),
        head: Head::of(app, opened),
        lead: format!(
            "{} to give something to. Time alone clears most meads, and plain mead is mead too.",
            units::volume(opened.state.volume_l, member.settings.units)
        ),
        things: all
            .iter()
            .map(|entry| {
                let words = format!("{} ({})", entry.name, kind_words(entry.kind));
                (entry.key.clone(), words)
            })
            .collect(),
        here: address(app, opened, paths::FLAVOUR),
        chosen,
        trials_url: address(app, opened, paths::TRIALS),
        action: address(app, opened, paths::FLAVOURED),
        once: once_of(&form, member)?,
        form,
    })
}

#[derive(Deserialize)]
pub(super) struct Asked {
    thing: Option<String>,
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let catalogue = app.catalogue.now(&mut conn).await?;
    drop(conn);
    let mut form = FormState::new();
    form.set("thing", asked.thing.unwrap_or_default());
    page(&flavour_page(&app, (&member, &opened), &catalogue, form)?)
}

pub(super) async fn give(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let (once, route) = (Once::read(&posted, &member)?, paths::FLAVOURED);
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let catalogue = app.catalogue.now(&mut tx).await?;
    let mut typed = Typed::of(&posted);
    let at = when(&mut typed, speaks(&app, &member), &opened)?;
    let deed = deed(&mut typed, &catalogue)?;
    let Some((at, deed)) = at.zip(deed).filter(|_| typed.form.is_sound()) else {
        let again = flavour_page(&app, (&member, &opened), &catalogue, typed.form)?;
        return form_again(&again);
    };
    let entries = entries(vec![deed], at, &member);
    let to = done(&id);
    write(&app, tx, (&member, &opened), &entries, (&once, route, &to)).await
}

fn deed(typed: &mut Typed<'_>, catalogue: &ClubCatalogue) -> Result<Option<Deed>, Error> {
    let key = typed.text("thing")?;
    let entry = for_taste(catalogue)
        .into_iter()
        .find(|entry| entry.key == key);
    if entry.is_none() {
        typed.form.refuse("thing", "Choose one of the list.");
    }
    let kg = powder_kg(typed, "amount")?;
    if kg.is_none() && typed.form.fault("amount").is_none() {
        typed
            .form
            .refuse("amount", "Write how much went in, such as 4 g.");
    }
    let why = entry.map(|entry| match entry.kind {
        Kind::Fining => Why::Other,
        Kind::Tannin => Why::Adjust,
        _ => Why::Secondary,
    });
    Ok(entry.zip(kg).map(|(entry, kg)| {
        Deed::Addition(Addition {
            why,
            grams: Some(1000.0 * kg),
            // So little of it moves no gravity, and of what stays in a bag only the taste goes over.
            composition: None,
            ..addition_of(&entry.ingredient())
        })
    }))
}
