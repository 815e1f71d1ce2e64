//! Sizes of categories and flights, glasses of a judge, when a table tastes again, who goes on, and what decides ties.

use crate::engine::contest::rules::{Rules, Tie};
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;

use super::whole;

const LINE_MAX: usize = 200;

/// Every way to decide a tie, with its word in forms.
pub const TIES: &[(Tie, &str, &str)] = &[
    (
        Tie::TastedAgain,
        "tasted_again",
        "those who share a place are poured again",
    ),
    (
        Tie::MoreFirsts,
        "more_firsts",
        "who was put first by more judges",
    ),
    (
        Tie::Taste,
        "taste",
        "who has more points for taste, at one table",
    ),
    (Tie::Drawn, "drawn", "drawn from a public number"),
];

const STEPS: [&str; 4] = ["tie_1", "tie_2", "tie_3", "tie_4"];

pub const FIELDS: &[(&str, &str)] = &[
    ("merge_below", "A category of fewer is merged"),
    ("split_above", "A category of more is split"),
    ("flight_least", "Glasses of a flight, at least"),
    ("flight_most", "Glasses of a flight, at most"),
    ("flight_strong", "Strong ones among them, at most"),
    ("glasses_a_day", "Glasses of a judge in a day"),
    ("rest_minutes", "Minutes of rest"),
    ("spread_most", "Points apart before a table tastes again"),
    ("go_on", "Entries that go on to the final"),
    ("tie_1", "What decides a tie, first"),
    ("tie_2", "What decides a tie, second"),
    ("tie_3", "What decides a tie, third"),
    ("tie_4", "What decides a tie, last"),
    ("draw_from", "The public number"),
];

/// What a select of ties offers.
pub fn choices() -> Vec<(&'static str, &'static str)> {
    let none = ("", "nothing more: they share the place");
    let all = TIES.iter().map(|(_, word, words)| (*word, *words));
    std::iter::once(none).chain(all).collect()
}

pub fn read(typed: &mut Typed<'_>, rules: &mut Rules) -> Result<(), Error> {
    rules.merge_below = whole(typed, "merge_below", (0, 20), rules.merge_below)?;
    rules.split_above = whole(typed, "split_above", (2, 500), rules.split_above)?;
    if rules.split_above < 2 * rules.merge_below {
        let why = format!(
            "Half of a category that is split must not be small: write {} or more.",
            2 * rules.merge_below
        );
        typed.form.refuse("split_above", why);
    }
    rules.flight_least = whole(typed, "flight_least", (1, 12), rules.flight_least)?;
    rules.flight_most = whole(typed, "flight_most", (2, 12), rules.flight_most)?;
    if rules.flight_most < rules.flight_least {
        let why = "That is fewer than a flight has at least.";
        typed.form.refuse("flight_most", why);
    }
    rules.flight_strong = whole(typed, "flight_strong", (1, 12), rules.flight_strong)?;
    if rules.flight_strong > rules.flight_most {
        let why = "That is more than a flight has at most.";
        typed.form.refuse("flight_strong", why);
    }
    rules.glasses_a_day = whole(typed, "glasses_a_day", (6, 60), rules.glasses_a_day)?;
    rules.rest_minutes = whole(typed, "rest_minutes", (0, 180), rules.rest_minutes)?;
    rules.spread_most = whole(typed, "spread_most", (1, rules.most()), rules.spread_most)?;
    rules.go_on = whole(typed, "go_on", (1, rules.flight_most.max(1)), rules.go_on)?;
    rules.ties = ties(typed, rules)?;
    rules.draw_from = typed.line("draw_from", LINE_MAX)?;
    if rules.ties.contains(&Tie::Drawn) && rules.draw_from.is_empty() {
        let why = "Write which number, and when it becomes known: nobody can choose it then.";
        typed.form.refuse("draw_from", why);
    }
    Ok(())
}

/// The steps in their order, each once; what stands behind an empty one moves up.
fn ties(typed: &mut Typed<'_>, rules: &Rules) -> Result<Vec<Tie>, Error> {
    let mut ties = Vec::new();
    for field in STEPS {
        let word = typed.text(field)?;
        if word.is_empty() {
            continue;
        }
        match TIES.iter().find(|(_, known, _)| *known == word) {
            None => typed.form.refuse(field, "Choose one of the list."),
            Some((tie, ..)) if ties.contains(tie) => {
                typed.form.refuse(field, "It stands above already.");
            }
            Some((Tie::Taste, ..)) if rules.sections.iter().all(|one| one.key != "taste") => {
                let why = "The scoresheet has no section for taste.";
                typed.form.refuse(field, why);
            }
            Some((tie, ..)) => ties.push(*tie),
        }
    }
    Ok(ties)
}

pub fn filled(rules: &Rules) -> FormState {
    let mut form = FormState::new();
    for (name, number) in [
        ("merge_below", rules.merge_below),
        ("split_above", rules.split_above),
        ("flight_least", rules.flight_least),
        ("flight_most", rules.flight_most),
        ("flight_strong", rules.flight_strong),
        ("glasses_a_day", rules.glasses_a_day),
        ("rest_minutes", rules.rest_minutes),
        ("spread_most", rules.spread_most),
        ("go_on", rules.go_on),
    ] {
        form.set(name, number.to_string());
    }
    for (field, tie) in STEPS.into_iter().zip(&rules.ties) {
        let known = TIES.iter().find(|(known, ..)| known == tie);
        form.set(field, known.map_or("", |(_, word, _)| *word));
    }
    form.set("draw_from", rules.draw_from.clone());
    form
}
