//! The trials of a batch, and the form that sets new glasses up.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::super::known;
use super::super::offered::honey;
use super::super::shared::{Head, address, once_of, shell};
use super::{all, stocks};
use crate::app::App;
use crate::batches::model::NewEntry;
use crate::batches::opened::{Opened, open_own, refresh};
use crate::batches::plan::held;
use crate::batches::{paths, store};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Glass, Stock, Trial};
use crate::engine::recipe::Ingredient;
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::random::three_digits;
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::units;
use crate::web::viewer::Member;

/// The most glasses.
const GLASSES: usize = 6;
/// What a glass usually holds, ml.
const USUAL_ML: &str = "50";
/// The longest name of a stock, in letters.
const NAME_MAX: usize = 80;

#[derive(Template)]
#[template(path = "batches/finishing/trials.html")]
struct TrialsPage {
    shell: Shell,
    head: Head,
    earlier: Vec<Earlier>,
    stocks: Vec<(&'static str, &'static str)>,
    here: String,
    stock: &'static str,
    is_own: bool,
    made: &'static str,
    glasses: Vec<(String, String)>,
    action: String,
    form: FormState,
    once: String,
}

/// A trial in the list.
struct Earlier {
    words: String,
    meta: String,
    url: String,
}

fn earlier(app: &App, member: &Member, opened: &Opened) -> Vec<Earlier> {
    let id = opened.batch.public_id.as_str();
    all(opened)
        .map(|(logged, trial)| Earlier {
            words: format!("{} glasses with {}", trial.glasses.len(), trial.name),
            meta: match &trial.winner {
                Some(code) => format!("glass {code} was liked best"),
                None => format!(
                    "set up on {}, not decided yet",
                    day(logged.at, member.settings.zone)
                ),
            },
            url: app
                .site
                .base()
                .link(&paths::TRIAL.with(&[id, &logged.entry.to_string()])),
        })
        .collect()
}

fn trials_page(
    app: &App,
    (member, opened): (&Member, &Opened),
    stock: Stock,
    mut form: FormState,
) -> Result<TrialsPage, Error> {
    let words = stocks::words(stock);
    let names: Vec<String> = (1..=GLASSES)
        .map(|glass| format!("glass-{glass}"))
        .collect();
    if form.typed(once::FIELD).is_empty() {
        form.set("stock", stock.as_str());
        form.set("sample", USUAL_ML);
        for (name, ml) in names.iter().zip(words.glasses) {
            form.set(name, units::plain(ml, 2));
        }
    }
    Ok(TrialsPage {
        shell: shell(app, member),
        head: Head::of(app, opened),
        earlier: earlier(app, member, opened),
        stocks: Stock::ALL
            .iter()
            .map(|stock| (stock.as_str(), stocks::words(*stock).choice))
            .collect(),
        here: address(app, opened, paths::TRIALS),
        stock: stock.as_str(),
        is_own: stock == Stock::Own,
        made: words.made,
        glasses: names
            .into_iter()
            .zip(1..)
            .map(|(name, number)| (name, format!("Ml of it in glass {number}")))
            .collect(),
        action: address(app, opened, paths::MAKE_TRIAL),
        once: once_of(&form, member)?,
        form,
    })
}

#[derive(Deserialize)]
pub(super) struct Asked {
    stock: Option<String>,
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open_own(&mut conn, &member, &id).await?;
    let stock = asked.stock.as_deref().and_then(Stock::from_word);
    let stock = stock.unwrap_or(Stock::Honey);
    page(&trials_page(
        &app,
        (&member, &opened),
        stock,
        FormState::new(),
    )?)
}

pub(super) async fn make(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let (once, route) = (Once::read(&posted, &member)?, paths::MAKE_TRIAL);
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(to) = once::claim(&mut tx, &once, &member, route).await? {
        return see_other(app.site.base(), &to);
    }
    let opened = held(&mut tx, &member, &id).await?;
    let catalogue = app.catalogue.now(&mut tx).await?;
    let mut typed = Typed::of(&posted);
    let stock = Stock::from_word(typed.text("stock")?).unwrap_or(Stock::Honey);
    let trial = trial(&mut typed, &opened, stock, honey(&opened, &catalogue))?;
    let Some(trial) = trial.filter(|_| typed.form.is_sound()) else {
        return form_again(&trials_page(&app, (&member, &opened), stock, typed.form)?);
    };
    let now = app.clock.now();
    let entry = NewEntry::of(Deed::Trial(trial), now, member.id);
    let number = store::add(&mut tx, opened.batch.id, &entry, now).await?;
    refresh(&mut tx, &member, &opened.batch.public_id).await?;
    let to = paths::TRIAL.with(&[&id, &number.to_string()]);
    once::settle(&mut tx, &once, &member, route, &to).await?;
    tx.commit().await?;
    see_other(app.site.base(), &to)
}

/// The glasses that were asked for, each with a number drawn by chance.
fn trial(
    typed: &mut Typed<'_>,
    opened: &Opened,
    stock: Stock,
    honey: Option<Ingredient>,
) -> Result<Option<Trial>, Error> {
    let ml_within = |text: &str, low: f64, high: f64| {
        units::parse_number_within(text.trim_end_matches("ml").trim(), low, high)
    };
    let sample = typed.read("sample", |text| {
        ml_within(text, 10.0, 250.0).map_err(|_| "Write millilitres from 10 to 250, such as 50.")
    })?;
    if sample.is_none() && typed.form.fault("sample").is_none() {
        typed.form.refuse(
            "sample",
            "Write how much mead each glass holds, such as 50.",
        );
    }
    let mut much = Vec::new();
    for glass in 1..=GLASSES {
        let ml = typed.read(&format!("glass-{glass}"), |text| {
            ml_within(text, 0.0, 100.0).map_err(|_| "Write millilitres from 0 to 100, such as 0.5.")
        })?;
        much.extend(ml);
    }
    if much.len() < 2 && typed.form.is_sound() {
        typed.form.refuse(
            "glass-1",
            "Fill at least two glasses, or there is nothing to compare.",
        );
    }
    let name = match stock {
        Stock::Own => typed.wanted("name", NAME_MAX, "Write what it is.")?,
        Stock::Honey => {
            let honey = honey.as_ref().map_or("Honey", |honey| honey.name.as_str());
            format!("{honey} with as much water")
        }
        _ => stocks::words(stock).choice.to_owned(),
    };
    let taken_l = sample.unwrap_or(0.0) / 1000.0 * much.len() as f64;
    if typed.form.is_sound() && taken_l > opened.state.volume_l {
        let there = match known::is_empty(opened) {
            true => "By its log nothing is left of it.",
            false => "By its log there is not so much of it.",
        };
        typed.form.refuse("sample", there);
    }
    let Some(sample_ml) = sample.filter(|_| typed.form.is_sound()) else {
        return Ok(None);
    };
    let codes = three_digits(much.len())?;
    let glasses = codes.into_iter().zip(much);
    Ok(Some(Trial {
        stock,
        name,
        composition: honey
            .filter(|_| stock == Stock::Honey)
            .and_then(|honey| honey.composition),
        sample_ml,
        glasses: glasses
            .map(|(code, stock_ml)| Glass {
                code: code.to_string(),
                stock_ml,
            })
            .collect(),
        winner: None,
    }))
}
