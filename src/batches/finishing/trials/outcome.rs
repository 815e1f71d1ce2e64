//! What the glass that was liked says of the whole batch, what of it went in already, and what the log keeps of that.

use super::super::known;
use super::{OF_TRIAL, stocks};
use crate::batches::model::Logged;
use crate::batches::opened::Opened;
use crate::engine::finish::sweetness::SHORT_SG;
use crate::engine::finish::trial::{self, Dose, FIRST_PART};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Addition, Stock, Trial, What, Why};
use crate::web::dates::day;
use crate::web::units::{self, Units};
use crate::web::viewer::Member;

/// What the whole batch gets.
pub struct Outcome {
    pub lead: String,
    pub then: Vec<String>,
    pub first: String,
    /// Ways in which it can go in: value and words; none where nothing is needed.
    pub ways: Vec<(&'static str, &'static str)>,
}

pub fn ml(ml: f64) -> String {
    format!("{} ml", units::plain(ml, 2))
}

/// What went in of it, as the log says.
pub fn given(opened: &Opened, entry: i32) -> Vec<(&Logged, &Addition)> {
    let number = entry.to_string();
    let log = opened.log.iter().filter(|logged| !logged.struck);
    let of_this = log.filter(|logged| logged.typed.get(OF_TRIAL) == Some(&number));
    of_this
        .filter_map(|logged| match &logged.deed {
            Deed::Addition(added) => Some((logged, added)),
            _ => None,
        })
        .collect()
}

/// How much of the dose went in, as a part of it.
pub fn part_given(given: &[(&Logged, &Addition)], dose: &Dose) -> f64 {
    let part = |added: &Addition| {
        let kg = added.kg.or(added.grams.map(|grams| grams / 1000.0));
        let of_itself = kg.zip(dose.itself).map(|(kg, itself)| kg / itself.kg);
        let of_stock = added.litres.map(|litres| litres / dose.stock_l);
        of_itself
            .or(of_stock)
            .filter(|part| part.is_finite())
            .unwrap_or(0.0)
    };
    given.iter().map(|(_, added)| part(added)).sum()
}

/// What went in and when, in words.
pub fn given_words(given: &[(&Logged, &Addition)], member: &Member) -> Vec<String> {
    let reads = member.settings.units;
    let much = |added: &Addition| match (added.kg, added.grams, added.litres) {
        (Some(kg), _, _) => units::mass(kg, reads),
        (_, Some(grams), _) => units::mass(grams / 1000.0, reads),
        (_, _, Some(litres)) => units::volume(litres, reads),
        _ => String::new(),
    };
    given
        .iter()
        .map(|(logged, added)| {
            let on = day(logged.at, member.settings.zone);
            format!("{} went in on {on}", much(added))
        })
        .collect()
}

/// The dose of the whole batch; nothing while no glass was chosen, or nothing is left of the mead.
pub fn dose(opened: &Opened, trial: &Trial) -> Option<Dose> {
    let best = trial.best()?;
    let stock = (trial.stock, trial.composition.as_ref());
    let glass = (trial.sample_ml, best.stock_ml);
    (!known::is_empty(opened)).then(|| trial::dose(&opened.state.flows.vessel, stock, glass))
}

/// Of what it is made of, what goes in first: a little short of the gravity, else three quarters.
fn first_part(opened: &Opened, trial: &Trial, dose: &Dose) -> f64 {
    let raised = dose
        .itself
        .map_or(0.0, |itself| itself.with_it.sg - opened.state.sg);
    match stocks::ferments(trial.stock) && raised > 0.0 {
        true => (1.0 - SHORT_SG / raised).max(0.5),
        false => FIRST_PART,
    }
}

/// The part of the dose that goes in next: the first of it, else the rest.
pub fn next_part(opened: &Opened, trial: &Trial, dose: &Dose, given: f64) -> f64 {
    match given > 0.0 {
        true => (1.0 - given).max(0.0),
        false => first_part(opened, trial, dose),
    }
}

pub fn amount(part: f64, dose: &Dose, reads: Units) -> String {
    match &dose.itself {
        Some(itself) => units::mass(part * itself.kg, reads),
        None => units::volume(part * dose.stock_l, reads),
    }
}

pub fn outcome(opened: &Opened, trial: &Trial, dose: &Dose, reads: Units) -> Outcome {
    let best = trial.best();
    let code = best.map_or("", |glass| glass.code.as_str());
    if dose.stock_l <= 0.0 {
        return Outcome {
            lead: format!(
                "Glass {code} had nothing in it: the mead is best as it is, and gets nothing."
            ),
            then: Vec::new(),
            first: String::new(),
            ways: Vec::new(),
        };
    }
    let in_it = best.map_or(0.0, |glass| glass.stock_ml);
    let all = units::volume(opened.state.volume_l, reads);
    let words = stocks::words(trial.stock);
    let stock = units::volume(dose.stock_l, reads);
    let part = first_part(opened, trial, dose);
    let liked = format!("Glass {code} had {} in {}.", ml(in_it), ml(trial.sample_ml));
    let Some(itself) = &dose.itself else {
        return Outcome {
            lead: format!("{liked} For {all} that is {stock} of {}.", trial.name),
            then: vec![
                "What it is made of is not known, so strength and gravity are reckoned as if nothing had joined.".to_owned(),
            ],
            first: format!(
                "Put in {} first, three quarters of it. Stir, wait a day and taste.",
                units::volume(part * dose.stock_l, reads)
            ),
            ways: vec![("stock", "as it was in the glass")],
        };
    };
    let mut then = vec![format!(
        "With that it reads {} and has {} of alcohol, now {}. The water of the stock is left out: each litre holds as much {} as the glass did.",
        units::gravity(itself.with_it.sg),
        units::abv(itself.with_it.abv_percent),
        units::abv(opened.state.abv_percent),
        words.itself
    )];
    if let Some(with) = &dose.with_stock {
        then.push(format!(
            "Or {stock} of the stock itself, {}, whose water joins too: then it has {} of alcohol and there are {}.",
            trial.name,
            units::abv(with.abv_percent),
            units::volume(with.volume_l, reads)
        ));
    }
    let first = units::mass(part * itself.kg, reads);
    Outcome {
        lead: format!(
            "{liked} For {all} that is {} of {}.",
            units::mass(itself.kg, reads),
            words.itself
        ),
        then,
        first: match stocks::ferments(trial.stock) {
            true => format!(
                "Put in {first} first: a little short of the glass. Stir, leave it for an hour, and taste again before the rest."
            ),
            false => format!(
                "Put in {first} first, three quarters of it. Stir, wait a day and taste before the rest."
            ),
        },
        ways: vec![
            ("itself", words.itself),
            ("stock", "the stock, with its water"),
        ],
    }
}

/// What went in of it: so many kilograms of what the stock is made of, or so many litres of the stock.
pub fn addition(opened: &Opened, trial: &Trial, kg: Option<f64>, litres: Option<f64>) -> Addition {
    let words = stocks::words(trial.stock);
    let honey = trial.composition.as_ref();
    let what = match trial.stock {
        Stock::Honey => What::Honey,
        Stock::Sugar => What::Sugar,
        Stock::Tartaric | Stock::Malic | Stock::Citric => What::Acid,
        Stock::Bicarbonate => What::Neutraliser,
        Stock::Tannin => What::Tannin,
        Stock::Own => What::Other,
    };
    let name = match (litres, words.itself) {
        (Some(_), _) | (None, "") => trial.name.clone(),
        (None, itself) => itself.to_owned(),
    };
    // Of a powder the log keeps what it does, not its own few millilitres.
    let is_powder = !stocks::ferments(trial.stock);
    let composition = match litres {
        Some(_) => trial::composition(trial.stock, honey),
        None if is_powder => None,
        None => trial::itself(trial.stock, honey),
    };
    let acid_kg = match litres {
        Some(litres) => litres * trial::ACID_STOCK_G_PER_L / 1000.0,
        None => kg.unwrap_or(0.0),
    };
    let then_l = opened.state.volume_l + litres.unwrap_or(0.0);
    let acid = trial::acid_of(trial.stock)
        .map(|acid| acid.change_as_tartaric() * 1000.0 * acid_kg / then_l.max(1e-9));
    Addition {
        why: Some(match stocks::ferments(trial.stock) {
            true => Why::Sweeten,
            false => Why::Adjust,
        }),
        kg: kg.filter(|kg| *kg >= 0.1),
        grams: kg.filter(|kg| *kg < 0.1).map(|kg| 1000.0 * kg),
        litres,
        composition,
        ta_change_g_per_l: acid,
        ..Addition::of(&name, what)
    }
}
