//! What it is called, its days, bottles, limits and fee, the words of the house, and prizes.

use chrono::NaiveDate;

use super::{Fixed, Speaks, whole, whole_or_none};
use crate::competitions::organise::creating::{TITLE_MAX, TITLE_WANTED};
use crate::web::day;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;

const LINE_MAX: usize = 200;
const TERMS_MAX: usize = 10_000;
const PRIZES_MAX: usize = 2_000;

/// Until when a maker may take an entry back.
pub const WITHDRAW: &[(&str, &str)] = &[
    ("closed", "until entries close"),
    ("received", "until the taking in of bottles ends"),
];

pub const FIELDS: &[(&str, &str)] = &[
    ("title", "What it is called"),
    ("closes_on", "The last day to enter"),
    ("drop_off_until", "The last day for bottles"),
    ("drop_off_at", "Where bottles go"),
    ("judged_on", "Judged on"),
    ("fee", "Price of an entry"),
    ("most_per_member", "Entries of one member"),
    ("most_in_all", "Entries in all"),
    ("withdraw_until", "Taken back"),
    ("bottles", "Bottles of an entry"),
    ("held_back", "Held back for a final"),
    ("bottle_ml", "Size of a bottle"),
    ("terms", "Rules of the house"),
    ("prizes", "What one can win"),
];

pub fn read(typed: &mut Typed<'_>, fixed: &mut Fixed, to: Speaks) -> Result<(), Error> {
    fixed.title = typed.wanted("title", TITLE_MAX, TITLE_WANTED)?;
    let ahead = |text: &str, units| day::read(text, to.today, units);
    let closes = typed.day("closes_on", to.units, ahead)?;
    let drop_off = typed.day("drop_off_until", to.units, ahead)?;
    let judged = typed.day("judged_on", to.units, ahead)?;
    if closes
        .zip(drop_off)
        .is_some_and(|(enter, bring)| bring < enter)
    {
        let why = "Bottles come in on the last day to enter, or later.";
        typed.form.refuse("drop_off_until", why);
    }
    let before = drop_off.max(closes);
    if before
        .zip(judged)
        .is_some_and(|(bring, judge)| judge < bring)
    {
        let why = "It is judged once the bottles are here: on that day, or later.";
        typed.form.refuse("judged_on", why);
    }
    let rules = &mut fixed.rules;
    let text = |day: Option<NaiveDate>| day.map(|day| day.to_string());
    (rules.closes_on, rules.drop_off_until) = (text(closes), text(drop_off));
    rules.judged_on = text(judged);
    rules.drop_off_at = typed.line("drop_off_at", LINE_MAX)?;
    let fee = typed.read("fee", |text| to.currency.read(text))?;
    rules.fee = fee.map(|coins| coins as f64 / to.currency.coins());
    rules.most_per_member = whole_or_none(typed, "most_per_member", (1, 100))?;
    rules.most_in_all = whole_or_none(typed, "most_in_all", (1, 2000))?;
    let until = typed.text("withdraw_until")?;
    match WITHDRAW.iter().any(|(word, _)| *word == until) {
        true => rules.withdraw_until = until.to_owned(),
        false => typed
            .form
            .refuse("withdraw_until", "Choose one of the two."),
    }
    rules.bottles = whole(typed, "bottles", (1, 12), rules.bottles)?;
    rules.held_back = whole(typed, "held_back", (0, 11), rules.held_back)?;
    if rules.held_back >= rules.bottles {
        let why = "At least one bottle is opened before a final: hold fewer back.";
        typed.form.refuse("held_back", why);
    }
    rules.bottle_ml = whole(typed, "bottle_ml", (50, 5000), rules.bottle_ml)?;
    fixed.terms = typed.lines("terms", TERMS_MAX)?;
    fixed.prizes = typed.lines("prizes", PRIZES_MAX)?;
    Ok(())
}

pub fn filled(stands: &Fixed, to: Speaks) -> FormState {
    let rules = &stands.rules;
    let mut form = FormState::new();
    let number = |number: Option<u32>| number.map_or(String::new(), |number| number.to_string());
    let fee = rules
        .fee
        .map(|fee| (fee * to.currency.coins()).round() as i64);
    for (name, text) in [
        ("title", stands.title.clone()),
        ("closes_on", rules.closes_on.clone().unwrap_or_default()),
        (
            "drop_off_until",
            rules.drop_off_until.clone().unwrap_or_default(),
        ),
        ("drop_off_at", rules.drop_off_at.clone()),
        ("judged_on", rules.judged_on.clone().unwrap_or_default()),
        (
            "fee",
            fee.map_or(String::new(), |fee| to.currency.plain(fee)),
        ),
        ("most_per_member", number(rules.most_per_member)),
        ("most_in_all", number(rules.most_in_all)),
        ("withdraw_until", rules.withdraw_until.clone()),
        ("bottles", rules.bottles.to_string()),
        ("held_back", rules.held_back.to_string()),
        ("bottle_ml", rules.bottle_ml.to_string()),
        ("terms", stands.terms.clone()),
        ("prizes", stands.prizes.clone()),
    ] {
        form.set(name, text);
    }
    form
}
