//! Sulfite and sorbate: by the pH and the strength where the log knows them, else what has to be measured first.

use super::book::{Book, Stand, amount_of, numbered, step};
use super::codes::{Beware, StepKind as Kind, Why};
use super::days;
use super::step::{Amount, Due, Needs, Step};
use crate::engine::names::{Rule, Words, rule};
use crate::engine::problem::{Arguments, Caution, CautionCode as Code, Severity};
use crate::engine::recipe::{Ingredient, When};
use crate::engine::stoichiometry::SO2_PER_POTASSIUM_METABISULFITE;
use crate::engine::sulfite::{LOWEST_LIMIT_MG_PER_L, MUCH_MG_PER_L, USUAL_PKA, molecular_part};

/// What a sulfite and a sorbate are called.
const SULFITE: Rule = rule!([
    ["sulfite"],
    ["sulphite"],
    ["metabisulfite"],
    ["metabisulphite"],
    ["bisulfite"],
    ["bisulphite"],
    ["campden"],
    ["e224"],
    ["e223"],
]);
const SORBATE: Rule = rule!([["sorbate"], ["sorbic"], ["e202"]]);

/// Molecular sulfur dioxide that protects a sweet mead and a dry one, mg/L (common practice, no published source).
const MOLECULAR_SWEET: f64 = 0.8;
const MOLECULAR_DRY: f64 = 0.5;
/// A third to a half of the first dose is bound (common practice, no published source).
const FIRST_DOSE: f64 = 1.5;
/// A first dose where nobody can measure the pH, mg/L in all (common practice, no published source).
const WITHOUT_PH_MG_PER_L: [f64; 2] = [50.0, 75.0];

pub(super) fn is_stabiliser(item: &Ingredient) -> bool {
    let words = Words::of_name(&item.name);
    SULFITE.means(words) || SORBATE.means(words)
}

fn litres(book: &Book<'_>) -> f64 {
    let finished = book.numbers.finished.as_ref();
    let planned = finished.map_or(0.0, |finished| finished.volume_l);
    book.facts.volume_l.unwrap_or(planned)
}

fn grams(mg_per_l: f64, litres: f64) -> f64 {
    mg_per_l * litres / 1000.0 / SO2_PER_POTASSIUM_METABISULFITE
}

/// The dose for a pH that was measured since the end, else what has to be measured; cautions with it.
fn sulfite(book: &Book<'_>, sweet: bool) -> (Amount, Vec<Caution>) {
    let end = book.facts.end_seen_h;
    let ph = book
        .facts
        .ph
        .filter(|ph| end.is_some_and(|end| ph.hours >= end));
    let litres = litres(book);
    let Some(ph) = ph else {
        let reckon = Amount::Reckon {
            calculation: "sulfite",
            needs: Needs::Ph,
            without_g: Some(WITHOUT_PH_MG_PER_L.map(|dose| grams(dose, litres))),
        };
        return (reckon, Vec::new());
    };
    let mut cautions = Vec::new();
    let part = molecular_part(ph.value, USUAL_PKA);
    let mut free = match sweet {
        true => MOLECULAR_SWEET,
        false => MOLECULAR_DRY,
    } / part;
    if free > MUCH_MG_PER_L {
        let wanted = Arguments::none().with("free_mg_per_l", free);
        cautions.push(Caution::new(Code::LowerPhFirst, Severity::Watch, wanted));
        free = (MOLECULAR_DRY / part).min(MUCH_MG_PER_L);
    }
    let dose = FIRST_DOSE * free;
    if dose > LOWEST_LIMIT_MG_PER_L {
        let much = Arguments::none()
            .with("so2_mg_per_l", dose)
            .with("most_mg_per_l", LOWEST_LIMIT_MG_PER_L);
        cautions.push(Caution::new(Code::MuchSulfite, Severity::Danger, much));
    }
    let dose = Amount::Metabisulfite {
        grams: grams(dose, litres),
        free_mg_per_l: free,
        ph: ph.value,
    };
    (dose, cautions)
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
