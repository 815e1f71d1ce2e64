//! Sulfite and sorbate: by the pH and the strength where the log knows them, else what has to be measured first.

use super::book::{Book, Stand, amount_of, numbered, step};
use super::codes::{Beware, StepKind as Kind, Why};
use super::days;
use super::step::{Amount, Due, Needs, Step};
use crate::engine::finish::stabilising::{self, Asked, Sulfite};
use crate::engine::names::Words;
use crate::engine::problem::{Arguments, Caution, CautionCode as Code, Severity};
use crate::engine::recipe::{Ingredient, When};
use crate::engine::stabilisers::{SORBATE, SULFITE};
use crate::engine::sulfite::LOWEST_LIMIT_MG_PER_L;

pub(super) fn is_stabiliser(item: &Ingredient) -> bool {
    let words = Words::of_name(&item.name);
    SULFITE.means(words) || SORBATE.means(words)
}

fn litres(book: &Book<'_>) -> f64 {
    let finished = book.numbers.finished.as_ref();
    let planned = finished.map_or(0.0, |finished| finished.volume_l);
    book.facts.volume_l.unwrap_or(planned)
}

/// The dose for a pH that was measured since the end, else what has to be measured; cautions with it.
fn sulfite(book: &Book<'_>, sweet: bool) -> (Amount, Vec<Caution>) {
    let end = book.facts.end_seen_h;
    let ph = book
        .facts
        .ph
        .filter(|ph| end.is_some_and(|end| ph.hours >= end));
    let dose = stabilising::sulfite(&Asked {
        ph: ph.map(|ph| ph.value),
        is_sweet: sweet,
        free_mg_per_l: None,
        is_first: true,
        litres: litres(book),
    });
    let without_g = match dose {
        Sulfite::WithoutPh { grams, .. } => Some(grams),
        Sulfite::ByPh(_) | Sulfite::MeasureFirst => None,
    };
    let Sulfite::ByPh(dose) = dose else {
        let reckon = Amount::Reckon {
            calculation: "sulfite",
            needs: Needs::Ph,
            without_g,
        };
        return (reckon, Vec::new());
    };
    let mut cautions = Vec::new();
    if dose.is_held_back() {
        let wanted = Arguments::none().with("free_mg_per_l", dose.wanted_mg_per_l);
        cautions.push(Caution::new(Code::LowerPhFirst, Severity::Watch, wanted));
    }
    if dose.dose_mg_per_l > LOWEST_LIMIT_MG_PER_L {
        let much = Arguments::none()
            .with("so2_mg_per_l", dose.dose_mg_per_l)
            .with("most_mg_per_l", LOWEST_LIMIT_MG_PER_L);
        cautions.push(Caution::new(Code::MuchSulfite, Severity::Danger, much));
    }
    let amount = Amount::Metabisulfite {
        grams: dose.grams,
        free_mg_per_l: dose.free_mg_per_l,
        ph: dose.ph,
    };
    (amount, cautions)
}

/// Sorbate for the strength, as the recipe's own numbers reckon it, for the litres there are.
fn sorbate(book: &Book<'_>) -> Amount {
    let missing = book.coded(&[Code::StabilisersMissing]);
    let planned = missing
        .first()
        .and_then(|caution| caution.arguments.number("sorbate_g"));
    let finished = book.numbers.finished.as_ref();
    let finished_l = finished.map(|finished| finished.volume_l);
    match planned.zip(finished_l) {
        Some((grams, finished_l)) => Amount::Sorbate {
            grams: grams * litres(book) / finished_l,
        },
        None => Amount::Reckon {
            calculation: "sorbate",
            needs: Needs::Strength,
            without_g: None,
        },
    }
}

/// The pH, and the stabilising: where sugar stays, and where the recipe has sulfite for later.
pub(super) fn stabilise(
    book: &mut Book<'_>,
    after: &Stand,
    sweet: bool,
    stopped: bool,
) -> Option<Stand> {
    let mut own: Vec<Amount> = Vec::new();
    let (mut has_sulfite, mut has_sorbate) = (false, false);
    for when in [When::Secondary, When::Sweeten, When::Ageing] {
        for (line, item) in book.lines(when, is_stabiliser) {
            let words = Words::of_name(&item.name);
            has_sulfite |= SULFITE.means(words);
            has_sorbate |= SORBATE.means(words);
            own.push(amount_of(line));
        }
    }
    if !sweet && own.is_empty() {
        return None;
    }
    let wait = match stopped {
        true => [0, 0, 1],
        false => days::TO_STABILISE,
    };
    let due = Due::at(after.plus(wait));
    let end = book.facts.end_seen_h;
    let ph = book.facts.ph.map(|ph| ph.hours);
    let measured = ph.filter(|hours| end.is_some_and(|end| *hours >= end));
    let measure = Step {
        due,
        ..numbered("ph", 2, Kind::Ph, Why::SulfiteGoesByPh)
    };
    let measure = book.add(measure, measured, Some(after));
    let (dose, mut cautions) = sulfite(book, sweet);
    cautions.extend(book.about(&own));
    cautions.push(Caution::new(
        Code::SulfiteFumes,
        Severity::Danger,
        Arguments::none(),
    ));
    let mut amounts = own;
    if !has_sulfite {
        amounts.push(dose);
    }
    if sweet && !has_sorbate {
        amounts.push(sorbate(book));
    }
    if sweet || has_sorbate {
        cautions.push(Caution::new(
            Code::SorbateNeedsSulfite,
            Severity::Watch,
            Arguments::none(),
        ));
        cautions.extend(book.coded(&[Code::SorbateWithMalolactic]));
    }
    let why = match sweet {
        true => Why::SugarMustStay,
        false => Why::KeepsAirAway,
    };
    let stabilise = Step {
        amounts,
        due,
        cautions,
        beware: vec![Beware::LocalLimits],
        ..step("stabilise", Kind::Stabilise, why)
    };
    Some(book.add(stabilise, book.facts.stabilised_h, Some(&measure)))
}
