//! What stands in a cupboard, in words.

use chrono::NaiveDate;

use super::amount::Amount;
use super::forms::Speaks;
use super::model::{Deed, Done, Item};
use super::paths;
use crate::app::App;
use crate::catalogue::Kind;
use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::item::{Group, Item as Entry};
use crate::web::dates::date;
use crate::web::units::Units;
use crate::web::viewer::Member;

/// How many days ahead a date is told.
const SOON_DAYS: i64 = 45;

/// One thing in words.
pub(super) struct Row {
    pub name: String,
    pub url: String,
    pub left: String,
    /// What it cost, its dates, its note.
    pub meta: String,
    /// What its date asks for.
    pub soon: String,
}

fn today(app: &App, member: &Member) -> NaiveDate {
    app.clock
        .now()
        .with_timezone(&member.settings.zone)
        .date_naive()
}

pub(super) fn speaks<'a>(app: &App, member: &Member, catalogue: &'a ClubCatalogue) -> Speaks<'a> {
    Speaks {
        units: member.settings.units,
        today: today(app, member),
        currency: app.site.currency(),
        catalogue,
    }
}

/// What a date asks for, kindly; empty while it is far.
fn soon(item: &Item, group: Option<Group>, today: NaiveDate) -> String {
    let Some(day) = item.said.best_before.filter(|_| item.said.left.value > 0.0) else {
        return String::new();
    };
    let days = (day - today).num_days();
    let when = date(day);
    let over = match group {
        Some(Group::Yeasts) => {
            "fewer of its cells are alive: pitch more of it, or try it in a starter first"
        }
        Some(Group::Feeds) => "still good while it is dry and free of lumps",
        Some(Group::Of(Kind::Honey)) => "honey keeps for years: look for foam and smell it",
        _ => "look at it, smell it and taste it before it goes in",
    };
    match days {
        ..0 => format!("best before {when}, which is past: {over}"),
        0..=SOON_DAYS => format!("use it soon: best before {when}"),
        _ => String::new(),
    }
}

pub(super) fn row(app: &App, member: &Member, catalogue: &ClubCatalogue, item: &Item) -> Row {
    let units = member.settings.units;
    let said = &item.said;
    let told =
        |words: &str, day: Option<NaiveDate>| day.map(|day| format!("{words} {}", date(day)));
    let price = said
        .price
        .map(|price| price.shown(units, app.site.currency()));
    let soon = soon(item, group_of(catalogue, item), today(app, member));
    let best = said.best_before.filter(|_| soon.is_empty());
    let parts = [
        price,
        told("bought", said.bought_on),
        told("opened", said.opened_on),
        told("best before", best),
    ];
    Row {
        name: said.name.clone(),
        url: app.site.base().link(&paths::ITEM.with(&[&item.public_id])),
        left: said.left.shown(units),
        meta: parts.into_iter().flatten().collect::<Vec<_>>().join(" · "),
        soon,
    }
}

fn group_of(catalogue: &ClubCatalogue, item: &Item) -> Option<Group> {
    let entry = catalogue.item(item.said.key.as_deref()?)?;
    Some(entry.group())
}

/// What can be chosen: the catalogue's ingredients, yeasts and feeds by name.
pub(super) fn choices(catalogue: &ClubCatalogue) -> Vec<(String, String)> {
    let named = |item: Entry<'_>| match item {
        Entry::Ingredient(_) | Entry::Yeast(_) | Entry::Feed(_) => {
            Some((item.key().to_owned(), item.name().to_owned()))
        }
        _ => None,
    };
    let mut choices: Vec<_> = catalogue.items().filter_map(named).collect();
    choices.sort_by_key(|(_, name)| name.to_lowercase());
    choices.insert(
        0,
        (String::new(), "something that is not listed".to_owned()),
    );
    choices
}

/// What was done, in words: "used 500 g, 1.5 kg left".
pub(super) fn done_words(item: &Item, done: &Done, units: Units) -> String {
    let much = |value: f64| {
        let amount = Amount {
            value: value.abs(),
            ..item.said.left
        };
        amount.shown(units)
    };
    let left = match done.remaining > 0.0 {
        true => format!("{} left", much(done.remaining)),
        false => "nothing left".to_owned(),
    };
    let said = match done.deed {
        Deed::PutIn => format!("put in {}", much(done.amount)),
        Deed::Corrected => format!("corrected: {left}"),
        Deed::Used | Deed::ThrownAway => {
            format!("{} {}, {left}", done.deed.word(), much(done.amount))
        }
    };
    match done.note.as_str() {
        "" => said,
        note => format!("{said}: {note}"),
    }
}
