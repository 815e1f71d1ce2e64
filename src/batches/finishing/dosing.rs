//! How much sulfite and sorbate a mead gets by what its log knows, in words, and what of it passes a limit.

use super::known;
use super::passing::Danger;
use crate::batches::opened::Opened;
use crate::engine::finish::limits::{self, Limit};
use crate::engine::finish::stabilising::{
    Asked, FIRST_DOSE, Sulfite, sorbate_g, sorbic_acid_mg_per_l, sulfite,
};
use crate::engine::log::Deed;
use crate::engine::log::entry::What;
use crate::web::dates::day;
use crate::web::units;
use crate::web::viewer::Member;

/// So little sorbic acid is lacking by the rounding of a scale, mg/L (our judgement).
const NOTHING_MG_PER_L: f64 = 5.0;

/// A limit beside what is in the mead.
pub struct Row {
    pub what: &'static str,
    pub limit: Limit,
    pub most: String,
    pub now: String,
    pub then: String,
}

/// What is proposed: kilograms of each salt, the middle where nothing exact is known.
pub struct Proposed {
    pub sulfite: Sulfite,
    /// Whether none has gone in since the yeast.
    pub is_first: bool,
    pub sulfite_g: f64,
    pub sorbic_mg_per_l: f64,
    pub sorbate_g: f64,
}

pub fn proposed(opened: &Opened, is_sweet: bool, now_h: f64) -> Proposed {
    let state = &opened.state;
    let litres = state.volume_l;
    // What the must got before its yeast is bound or gone.
    let since = state.marks.pitch.unwrap_or(0.0);
    let dosed =
        opened.entries.iter().rev().find(
            |entry| matches!(&entry.deed, Deed::Addition(added) if added.what == What::Sulfite),
        );
    let dosed_h = dosed
        .map(|entry| entry.hours)
        .filter(|hours| *hours >= since);
    let is_first = dosed_h.is_none();
    let free = state
        .free_so2_mg_per_l
        .filter(|free| free.hours >= dosed_h.unwrap_or(since));
    let dose = sulfite(&Asked {
        ph: known::ph(opened, now_h).map(|ph| ph.value),
        is_sweet,
        free_mg_per_l: free.map(|free| free.value),
        is_first,
        litres,
    });
    let wanted = match is_sweet {
        true => sorbic_acid_mg_per_l(state.abv_percent),
        false => 0.0,
    };
    let lacking = wanted - state.sorbic_mg_per_l;
    let sorbic_mg_per_l = if lacking > NOTHING_MG_PER_L {
        lacking
    } else {
        0.0
    };
    Proposed {
        sulfite: dose,
        is_first,
        sulfite_g: match dose {
            Sulfite::ByPh(dose) => dose.grams,
            Sulfite::WithoutPh { grams, .. } => grams[0],
            Sulfite::MeasureFirst => 0.0,
        },
        sorbic_mg_per_l,
        sorbate_g: sorbate_g(sorbic_mg_per_l, litres),
    }
}

pub fn grams(grams: f64) -> String {
    let decimals = if grams < 10.0 { 1 } else { 0 };
    format!("{} g", units::plain(grams, decimals))
}

pub fn mg(mg_per_l: f64) -> String {
    format!("{} mg/L", units::plain(mg_per_l, 0))
}

pub fn about_sulfite(opened: &Opened, of: &Proposed, member: &Member, now_h: f64) -> Vec<String> {
    let state = &opened.state;
    let much = units::volume(state.volume_l, member.settings.units);
    let mut said = Vec::new();
    match (&of.sulfite, known::ph(opened, now_h)) {
        (Sulfite::ByPh(dose), Some(ph)) => {
            let on = opened.batch.at_hours(ph.hours);
            let on = on.map_or_else(String::new, |at| day(at, member.settings.zone));
            said.push(format!(
                "{} of potassium metabisulfite for {much}, that is {} of sulfur dioxide.",
                grams(dose.grams),
                mg(dose.dose_mg_per_l)
            ));
            said.push(format!(
                "At pH {}, measured on {on}, {} free leave {} mg/L in the form that protects.",
                units::plain(dose.ph, 2),
                mg(dose.free_mg_per_l),
                units::plain(dose.molecular_mg_per_l, 2)
            ));
            if of.is_first {
                said.push(format!("A third to a half of a first dose is bound, so the first one is {} times what is to be free. Measure the free sulfite after a day and give what is lacking.", units::plain(FIRST_DOSE, 1)));
            }
        }
        (
            Sulfite::WithoutPh {
                mg_per_l,
                grams: [low, high],
            },
            _,
        ) => {
            said.push("No pH was measured since it stopped, so there is no exact dose: half as much or twice as much may be right.".to_owned());
            said.push(format!(
                "Without a pH {} to {} in all are given: {} to {} of potassium metabisulfite for {much}.",
                units::plain(mg_per_l[0], 0),
                mg(mg_per_l[1]),
                grams(*low),
                grams(*high)
            ));
        }
        (Sulfite::MeasureFirst, _) => said.push("Some went in already, and nobody has measured since what of it is free. Measure that a day after the dose, write it down, and give then what is lacking.".to_owned()),
        (Sulfite::ByPh(_), None) => {}
    }
    if state.total_so2_mg_per_l > 0.0 {
        said.push(format!(
            "By the log {} have gone in so far, bound and free.",
            mg(state.total_so2_mg_per_l)
        ));
    }
    said
}

pub fn about_sorbate(opened: &Opened, of: &Proposed, is_sweet: bool) -> Vec<String> {
    let state = &opened.state;
    if !is_sweet {
        return vec!["A dry mead that is finished needs none.".to_owned()];
    }
    let mut said = vec![match of.sorbate_g > 0.0 {
        true => format!(
            "{} of potassium sorbate: {} of sorbic acid, for {} of alcohol.",
            grams(of.sorbate_g),
            mg(of.sorbic_mg_per_l),
            units::abv(state.abv_percent)
        ),
        false => "What it needs is in it.".to_owned(),
    }];
    if state.sorbic_mg_per_l > 0.0 {
        said.push(format!(
            "By the log {} of sorbic acid have gone in so far.",
            mg(state.sorbic_mg_per_l)
        ));
    }
    said.push("Dissolve it in a little water, never in acid, and stir it in on the same day as the sulfite or on the next.".to_owned());
    said
}

/// Sugar that it will have, g/L: what the recipe wants where it is to be sweet.
fn sugar_to_be(opened: &Opened, is_sweet: bool) -> f64 {
    let planned = opened.planned.finished.as_ref();
    let planned = planned.map_or(0.0, |finished| finished.residual_sugar_g_per_l);
    match is_sweet {
        true => planned.max(opened.state.sugar_g_per_l).max(5.0),
        false => opened.state.sugar_g_per_l,
    }
}

pub fn rows(opened: &Opened, is_sweet: bool, (so2, sorbic): (f64, f64)) -> Vec<Row> {
    let state = &opened.state;
    let row = |what, limit: Limit, now: f64, more: f64| Row {
        what,
        most: mg(limit.most_mg_per_l),
        now: mg(now),
        then: mg(now + more),
        limit,
    };
    let sulfite = limits::of_sulfite(sugar_to_be(opened, is_sweet)).into_iter();
    let sulfite = sulfite.map(|limit| {
        row(
            "sulfur dioxide in all",
            limit,
            state.total_so2_mg_per_l,
            so2,
        )
    });
    let sorbate = limits::of_sorbate().into_iter();
    let sorbate = sorbate.map(|limit| row("sorbic acid", limit, state.sorbic_mg_per_l, sorbic));
    sulfite.chain(sorbate).collect()
}

/// What is dangerous about putting so much in.
pub fn dangers(
    opened: &Opened,
    is_sweet: bool,
    now_h: f64,
    (so2, sorbic): (f64, f64),
) -> Vec<Danger> {
    let state = &opened.state;
    let so2 = limits::passed(
        &limits::of_sulfite(sugar_to_be(opened, is_sweet)),
        state.total_so2_mg_per_l + so2,
    );
    let sorbic = limits::passed(&limits::of_sorbate(), state.sorbic_mg_per_l + sorbic);
    let all = [
        (Danger::NotFinished, !known::is_finished(opened, now_h)),
        (Danger::MuchSulfite, !so2.is_empty()),
        (Danger::MuchSorbate, !sorbic.is_empty()),
    ];
    all.into_iter()
        .filter(|(_, is)| *is)
        .map(|(danger, _)| danger)
        .collect()
}
