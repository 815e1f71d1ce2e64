//! From what was walked to the state: gravity, strength, where it will end, how far it has come.

use super::compare::compare;
use super::marks::{Counted, Marks, of_readings};
use super::replay::{CO2_PER_SUGAR, Walk, YEAST_PER_SUGAR};
use super::state::{Attenuation, Cost, Expected, Flows, Nitrogen, Simple, State};
use super::vat::Vat;
use crate::engine::alcohol::abv_from_gravities;
use crate::engine::balance::{self, Liquid, ferment};
use crate::engine::course::left_to_itself;
use crate::engine::finish::still::{Known, Verdict, verdict};
use crate::engine::units::SpecificGravity;

/// How far above its forecast a finished mead may stand, SG (common practice, no published source).
const ABOVE_FORECAST_SG: f64 = 0.005;

/// Below this there was nothing to speak of.
const LEAST_OG: f64 = 1.001;

/// What can be said of the vessel at one moment.
pub(super) struct Now<'a> {
    pub vat: &'a Vat,
    pub measured: balance::State,
    pub expected: Expected,
    /// The part of the sugar that ferments which is gone, 0 to 1.
    pub part: f64,
    /// All that was there to ferment.
    pub unfermented: Liquid,
}

impl Now<'_> {
    pub fn per_litre(&self, kg: f64) -> f64 {
        if self.measured.volume_l > 0.0 {
            1000.0 * kg / self.measured.volume_l
        } else {
            0.0
        }
    }
}

pub(super) fn now<'a>(walk: &'a Walk<'_>) -> Now<'a> {
    let vat = walk.vat.before_it_was_empty();
    let measured = vat.liquid.state();
    // What sweetens after stabilising has nothing to do with fermentation.
    let fermented = walk.before_stabilising.as_ref().unwrap_or(vat);
    let tolerance = walk.tolerance_abv_percent.unwrap_or(100.0);
    let end = left_to_itself(&(fermented.liquid + fermented.in_fruit()), tolerance);
    let all_kg = fermented.consumed_kg + end.consumed_kg;
    let part = if all_kg > 0.0 {
        (fermented.consumed_kg / all_kg).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let unfermented = fermented.unfermented() + fermented.in_fruit();
    let ended = end.liquid.state();
    let litres = fermented.volume_l();
    let expected = if walk.stabilised {
        Expected {
            fg: measured.sg,
            abv_percent: measured.abv_percent,
            fermentable_g_per_l: 0.0,
            one_third_sg: ferment(&unfermented, all_kg / 3.0).state().sg,
        }
    } else {
        Expected {
            fg: ended.sg,
            abv_percent: ended.abv_percent,
            fermentable_g_per_l: if litres > 0.0 {
                1000.0 * end.consumed_kg / litres
            } else {
                0.0
            },
            one_third_sg: ferment(&unfermented, all_kg / 3.0).state().sg,
        }
    };
    Now {
        vat,
        measured,
        expected,
        part,
        unfermented,
    }
}

/// The state after everything was walked.
pub(super) fn state(walk: Walk<'_>) -> State {
    let here = now(&walk);
    let (vat, measured) = (here.vat, here.measured);
    let og = here.unfermented.state().sg;
    let marks = Marks {
        stabilised: walk.marks.stabilised,
        packaged: walk.marks.packaged,
        ..of_readings(walk.marks.pitch, &walk.counted)
    };
    let mut expected = here.expected;
    let fell = marks.first_fall.is_some();
    if fell && measured.sg <= expected.fg + ABOVE_FORECAST_SG {
        expected.fermentable_g_per_l =
            finished(&walk, &measured).fermentable_g_per_l(expected.fermentable_g_per_l);
    }
    let fermented = walk.before_stabilising.as_ref().unwrap_or(vat);
    let sum = |of: fn(&super::GivenFeed) -> f64| walk.feeds.iter().map(of).sum();
    let plan = walk.start.plan.as_ref();
    let volume_l = measured.volume_l;
    let each_litre = |amount: f64| {
        if volume_l > 0.0 {
            amount / volume_l
        } else {
            0.0
        }
    };
    State {
        volume_l: walk.vat.volume_l(),
        sg: measured.sg,
        abv_percent: measured.abv_percent,
        abw_percent: measured.abw_percent,
        sugar_g_per_l: here.per_litre(vat.liquid.sugar_kg),
        extract_g_per_l: here.per_litre(vat.liquid.solids_kg()),
        og,
        attenuation: attenuation(&here.unfermented, &fermented.liquid),
        simple: simple(&walk),
        expected,
        tolerance_abv_percent: walk.tolerance_abv_percent,
        fermenting: walk.fermenting,
        stabilised: walk.stabilised,
        nitrogen: Nitrogen {
            ammonium_mg_per_l: sum(|feed| feed.ammonium_mg_per_l),
            organic_mg_per_l: sum(|feed| feed.organic_mg_per_l),
            planned_mg_per_l: plan.map(|plan| plan.yan_fed_mg_per_l),
            of_must_mg_per_l: plan.map(|plan| plan.yan_of_must_mg_per_l),
            feeds: walk.feeds.clone(),
        },
        ta_g_per_l: vat.ta_g_per_l(),
        total_so2_mg_per_l: each_litre(vat.so2_mg),
        sorbic_mg_per_l: each_litre(vat.sorbic_mg),
        ph: walk.ph,
        free_so2_mg_per_l: walk.free_so2,
        must_temperature_c: walk.must_temperature,
        losses: walk.losses,
        packaged_l: walk.packaged_l,
        flows: Flows {
            vessel: walk.vat.liquid,
            in_fruit: walk.vat.in_fruit(),
            co2_kg: walk.fermented_kg * CO2_PER_SUGAR,
            yeast_kg: walk.fermented_kg * YEAST_PER_SUGAR,
            ..walk.flows
        },
        cost: Cost {
            begun: walk.start.cost,
            added: walk.cost,
            total: walk.start.cost.map(|begun| begun + walk.cost),
        },
        marks,
        compared: compare(walk.start, &walk.must),
        points: walk.points.clone(),
        questions: walk.questions.clone(),
    }
}

/// Whether it is finished, by what was read since something last changed its gravity.
fn finished(walk: &Walk<'_>, measured: &balance::State) -> Verdict {
    let counted = walk.counted.iter();
    let since = counted.filter(|read| read.additions == walk.additions);
    verdict(&Known {
        reads: since.map(Counted::as_read).collect(),
        changed_h: None,
        abv_percent: measured.abv_percent,
        tolerance_abv_percent: walk.tolerance_abv_percent,
        now_h: 0.0,
    })
}

fn attenuation(unfermented: &Liquid, now: &Liquid) -> Attenuation {
    let (begin, here) = (unfermented.state().sg, now.state().sg);
    let part = |liquid: &Liquid| liquid.solids_kg() / liquid.mass_kg();
    let (had, has) = (part(unfermented), part(now));
    Attenuation {
        apparent_percent: if begin > LEAST_OG {
            100.0 * (begin - here) / (begin - 1.0)
        } else {
            0.0
        },
        real_percent: if had > 0.0 && has.is_finite() {
            100.0 * (had - has) / had
        } else {
            0.0
        },
    }
}

/// The rule of first and last gravity.
fn simple(walk: &Walk<'_>) -> Option<Simple> {
    let [first, .., last] = walk.counted.as_slice() else {
        return None;
    };
    let pair = SpecificGravity::new(first.sg).zip(SpecificGravity::new(last.sg));
    let found = pair.and_then(|(og, fg)| abv_from_gravities(og, fg).ok());
    Some(Simple {
        first_sg: first.sg,
        last_sg: last.sg,
        abv_percent: found.map(|found| found.abv_percent),
    })
}
