//! The rules as everybody reads them, with the ways to change them while it is a draft.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::Part;
use super::tables::TIES;
use crate::app::App;
use crate::competitions::model::{Category, Competition, Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::organise::paths;
use crate::competitions::phases::Act;
use crate::competitions::shown::shell;
use crate::competitions::{paths as all, store};
use crate::engine::contest::rules::Rules;
use crate::web::dates::date;
use crate::web::markdown::{self, Rendered};
use crate::web::money::Currency;
use crate::web::pages::{Answer, page};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

#[derive(Template)]
#[template(path = "competitions/organise/rules.html")]
struct RulesPage {
    shell: Shell,
    competition_url: String,
    title: String,
    rules: Rules,
    bands: Vec<(String, String)>,
    /// A line each: what, and how much or when.
    facts: Vec<(&'static str, String)>,
    ties: Vec<&'static str>,
    categories: Vec<Category>,
    categories_url: Option<String>,
    edits: Vec<(&'static str, String)>,
    terms: Rendered,
    prizes: String,
}

#[derive(Deserialize)]
pub struct Told {
    done: Option<String>,
}

/// A day as a text of the rules has it.
fn day(text: &Option<String>) -> Option<String> {
    let day = text.as_deref()?.parse().ok()?;
    Some(date(day))
}

const JUDGED_ON: &str = "Judged on";

/// Of the days those that somebody has still to keep: once the bottles are here, the day of the judging alone.
pub(in crate::competitions) fn days_ahead(
    competition: &Competition,
    currency: Currency,
) -> Vec<(&'static str, String)> {
    let all = days(&competition.rules, currency).into_iter();
    match competition.phase {
        Phase::Draft | Phase::Open | Phase::Closed => all.collect(),
        Phase::Received | Phase::Judging | Phase::Review => {
            all.filter(|(name, _)| *name == JUDGED_ON).collect()
        }
        Phase::Released | Phase::Archived => Vec::new(),
    }
}

/// Days, places and prices, each with its name; what is not set is left out.
fn days(rules: &Rules, currency: Currency) -> Vec<(&'static str, String)> {
    let place = Some(rules.drop_off_at.clone()).filter(|place| !place.is_empty());
    [
        ("Enter until", day(&rules.closes_on)),
        ("Bottles until", day(&rules.drop_off_until)),
        ("Bottles go to", place),
        (JUDGED_ON, day(&rules.judged_on)),
        (
            "Price of an entry",
            rules.fee.map(|fee| currency.reckoned(fee)),
        ),
    ]
    .into_iter()
    .filter_map(|(name, said)| Some((name, said?)))
    .collect()
}

/// What so many points are called, the fewest first: "40 to 45", "very good".
pub(in crate::competitions) fn bands(rules: &Rules) -> Vec<(String, String)> {
    let mut bands: Vec<_> = rules.bands.iter().collect();
    bands.sort_by_key(|band| band.from);
    let ends = bands.iter().skip(1).map(|next| next.from.saturating_sub(1));
    let ends = ends.chain([rules.most()]);
    let said = bands.iter().zip(ends).map(|(band, end)| {
        let range = match end > band.from {
            true => format!("{} to {end}", band.from),
            false => band.from.to_string(),
        };
        (range, band.words.clone())
    });
    said.collect()
}

/// All of it: days, bottles, limits and sizes.
fn facts(rules: &Rules, currency: Currency) -> Vec<(&'static str, String)> {
    let bottles = match rules.held_back {
        0 => format!("{} of about {} mL", rules.bottles, rules.bottle_ml),
        held => format!(
            "{} of about {} mL, {held} of them held back for a final",
            rules.bottles, rules.bottle_ml
        ),
    };
    let withdraw = match rules.withdraw_until.as_str() {
        "received" => "until the taking in of bottles ends",
        _ => "until entries close",
    };
    let merge = match rules.merge_below {
        0 | 1 => format!("One of more than {} entries is split.", rules.split_above),
        least => format!(
            "One of fewer than {least} entries goes into its neighbour, one of more than {} is split. Everybody who entered there is told.",
            rules.split_above
        ),
    };
    let number = |number: Option<u32>| number.map(|number| number.to_string());
    let limits = [
        (
            "Entries of one member, at most",
            number(rules.most_per_member),
        ),
        ("Entries in all, at most", number(rules.most_in_all)),
        ("An entry may be taken back", Some(withdraw.to_owned())),
        ("Bottles of an entry", Some(bottles)),
        (
            "On the bottle",
            Some("no label, no mark on the cap, nothing but the code".to_owned()),
        ),
        ("Sizes of categories", Some(merge)),
        (
            "Glasses in a flight",
            Some(format!(
                "{} to {}, at most {} strong ones",
                rules.flight_least, rules.flight_most, rules.flight_strong
            )),
        ),
        (
            "Glasses of a judge in a day, at most",
            Some(rules.glasses_a_day.to_string()),
        ),
        (
            "Rest between flights",
            Some(match rules.rest_minutes {
                0 => "none".to_owned(),
                minutes => format!("{minutes} minutes"),
            }),
        ),
        (
            "A table tastes again",
            Some(format!(
                "where its judges lie more than {} points apart",
                rules.spread_most
            )),
        ),
        (
            "On to the final of a category",
            Some(match rules.go_on {
                1 => "the best of each flight".to_owned(),
                many => format!("the best {many} of each flight"),
            }),
        ),
    ]
    .into_iter()
    .filter_map(|(name, said)| Some((name, said?)));
    days(rules, currency).into_iter().chain(limits).collect()
}

pub(in crate::competitions::organise) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let competition = &opened.competition;
    let categories = store::categories(&mut conn, competition.id).await?;
    let base = app.site.base();
    let sets = opened.has(Duty::Organiser) && opened.allows(Act::SetRules);
    let edits = Part::ALL.into_iter().filter(|_| sets).map(|part| {
        let url = base.link(&paths::EDIT_RULES.with(&[&id, part.word()]));
        (part.says(), url)
    });
    let ties = competition.rules.ties.iter();
    let ties = ties.filter_map(|tie| TIES.iter().find(|(known, ..)| known == tie));
    let done = match told.done.as_deref() {
        Some("saved") => "Saved.",
        _ => "",
    };
    page(&RulesPage {
        shell: shell(&app, &member).saying(done),
        competition_url: base.link(&all::COMPETITION.with(&[&id])),
        title: competition.title.clone(),
        facts: facts(&competition.rules, app.site.currency()),
        ties: ties.map(|(.., words)| *words).collect(),
        categories: categories
            .into_iter()
            .filter(|one| one.part_of.is_none())
            .collect(),
        categories_url: sets.then(|| base.link(&paths::CATEGORIES.with(&[&id]))),
        edits: edits.collect(),
        terms: markdown::render(&competition.terms),
        prizes: competition.prizes.clone(),
        bands: bands(&competition.rules),
        rules: competition.rules.clone(),
    })
}
