//! The feeding plan: how much nitrogen, from which feeds, when.
//!
//! Sources: the reference on nutrition (demand, yields, limits, timing) and the trade's defaults, which are common
//! practice, no published source.

use super::cost;
use super::formulate::Balance;
use super::formulation::{Addition, Demand, FeedAt, FeedingPlan};
use super::kinetics::{Dose, Ferment, HONEY_UPTAKE_FACTOR, hours_to_use};
use super::pitching::grams_per_litre;
use super::recipe::{FeedingLevel, NitrogenNeed, Nutrient, Recipe, YeastWhen};

/// Ammonium nitrogen past which DAP is not given, mg/L: 0.6 g/L of DAP.
pub const USUAL_AMMONIUM_MG_PER_L: f64 = 127.0;
/// Ammonium nitrogen that is never passed, mg/L: 0.96 g/L of DAP (27 CFR 24.246, from memory).
pub const MOST_AMMONIUM_MG_PER_L: f64 = 203.6;
/// Feeds of both kinds of nitrogen, g/L.
const MIXED_G_PER_L: f64 = 0.9;
/// Organic feed given first, and at most, g/L.
const ORGANIC_G_PER_L: (f64, f64) = (0.6, 1.0);
/// Below this OG everything is fed at the pitch.
const WEAK_OG: f64 = 1.060;
/// Below this must temperature the demand is a fifth higher, °C.
const COLD_C: f64 = 12.0;
/// Hours of the first three of four parts.
const CLOCK_H: [f64; 3] = [24.0, 48.0, 72.0];
/// The last part is given at the latest now, hours.
const LAST_H: f64 = 168.0;
/// A powder with less nitrogen than this is no feed, mg/g.
const LEAST_YIELD_MG_PER_G: f64 = 0.1;
/// Less than this is nothing, mg/L or g/L.
const NOTHING: f64 = 1e-9;

/// Sugar by the ASBC Plato polynomial of an OG, g/L (reference on nutrition, section 4; OG 1.000–1.180).
pub fn sugar_of_gravity(og: f64) -> f64 {
    10.0 * super::density::plato_asbc(og) * og * 0.998203
}

/// The part of a class's demand that a level of feeding gives (common practice, no published source).
pub fn part_of_demand(level: FeedingLevel) -> f64 {
    match level {
        FeedingLevel::Lean => 0.6,
        FeedingLevel::Usual => 0.8,
        FeedingLevel::Full => 1.0,
    }
}

/// Need of a yeast class, mg N per g sugar (reference on nutrition, section 2b; common practice).
pub fn need_per_gram(need: NitrogenNeed) -> f64 {
    match need {
        NitrogenNeed::Low => 0.75,
        NitrogenNeed::Medium => 0.90,
        NitrogenNeed::High => 1.25,
    }
}

/// Nitrogen by must strength, mg/L; defined for 21–27 °Bx only (Bisson and Butzke 2000, from memory).
pub fn strength_line(brix: f64) -> Option<f64> {
    (21.0..=27.0).contains(&brix).then_some(25.0 * brix - 325.0)
}

/// The neediest of the yeasts pitched at the start.
fn need(recipe: &Recipe) -> NitrogenNeed {
    let pitched = recipe
        .yeasts
        .iter()
        .filter(|yeast| yeast.when == YeastWhen::Pitch);
    let rank = |need: NitrogenNeed| need_per_gram(need);
    pitched
        .map(|yeast| yeast.nitrogen_need)
        .fold(NitrogenNeed::Low, |most, need| {
            if rank(need) > rank(most) { need } else { most }
        })
}

/// What kinds of nitrogen a feed carries.
#[derive(Clone, Copy, PartialEq)]
enum Carries {
    Both,
    Organic,
    Ammonium,
    Nothing,
}

fn carries(feed: &Nutrient) -> Carries {
    match (
        feed.ammonium_yan_mg_per_g > 0.0,
        feed.organic_yan_mg_per_g > 0.0,
    ) {
        (true, true) => Carries::Both,
        (false, true) => Carries::Organic,
        (true, false) => Carries::Ammonium,
        (false, false) => Carries::Nothing,
    }
}

/// Grams per litre of each feed while they are being allotted.
struct Allotment<'a> {
    feeds: &'a [Nutrient],
    grams_per_l: Vec<f64>,
    missing: f64,
}

impl Allotment<'_> {
    fn ammonium(&self) -> f64 {
        self.feeds
            .iter()
            .zip(&self.grams_per_l)
            .map(|(feed, grams)| feed.ammonium_yan_mg_per_g * grams)
            .sum()
    }

    fn of(&self, kind: Carries) -> f64 {
        let chosen = self
            .feeds
            .iter()
            .zip(&self.grams_per_l)
            .filter(|(feed, _)| carries(feed) == kind);
        chosen.map(|(_, grams)| grams).sum()
    }

    /// Gives one feed, at most `grams`, and never more than its own limit, the ammonium ceiling or what is missing.
    fn give(&mut self, index: usize, grams: f64, ceiling: f64) {
        let ammonium = self.ammonium();
        let (Some(feed), Some(given)) = (self.feeds.get(index), self.grams_per_l.get_mut(index))
        else {
            return;
        };
        let per_gram = feed.ammonium_yan_mg_per_g + feed.organic_yan_mg_per_g;
        if per_gram < LEAST_YIELD_MG_PER_G {
            return;
        }
        let mut grams = grams.min(self.missing.max(0.0) / per_gram);
        if let Some(most) = feed.max_g_per_l {
            grams = grams.min(most - *given);
        }
        if feed.ammonium_yan_mg_per_g > 0.0 {
            grams = grams.min((ceiling - ammonium) / feed.ammonium_yan_mg_per_g);
        }
        if grams > 0.0 {
            *given += grams;
            self.missing -= grams * per_gram;
        }
    }

    /// Gives the feeds of one kind until they reach `most` together.
    fn give_kind(&mut self, kind: Carries, most: f64, ceiling: f64) {
        for index in 0..self.feeds.len() {
            if self
                .feeds
                .get(index)
                .is_some_and(|feed| carries(feed) == kind)
            {
                let room = most - self.of(kind);
                self.give(index, room, ceiling);
            }
        }
    }
}

fn allot(feeds: &[Nutrient], deficit: f64) -> Allotment<'_> {
    let mut allotment = Allotment {
        feeds,
        grams_per_l: vec![0.0; feeds.len()],
        missing: deficit,
    };
    if feeds.iter().any(|feed| feed.share.is_some()) {
        for (index, feed) in feeds.iter().enumerate() {
            let per_gram = feed.ammonium_yan_mg_per_g + feed.organic_yan_mg_per_g;
            let share = feed.share.unwrap_or(0.0);
            if share > 0.0 && per_gram >= LEAST_YIELD_MG_PER_G {
                allotment.give(index, share * deficit / per_gram, MOST_AMMONIUM_MG_PER_L);
            }
        }
    } else {
        allotment.give_kind(Carries::Both, MIXED_G_PER_L, MOST_AMMONIUM_MG_PER_L);
        allotment.give_kind(Carries::Organic, ORGANIC_G_PER_L.0, MOST_AMMONIUM_MG_PER_L);
        allotment.give_kind(Carries::Ammonium, f64::MAX, USUAL_AMMONIUM_MG_PER_L);
        allotment.give_kind(Carries::Organic, ORGANIC_G_PER_L.1, MOST_AMMONIUM_MG_PER_L);
    }
    allotment
}

pub(super) fn plan(balance: &Balance<'_>) -> FeedingPlan {
    let (recipe, whole) = (balance.recipe, balance.whole);
    let sugar = sugar_of_gravity(whole.og).max(0.0);
    let class = need(recipe);
    let cold = if recipe.temperature_c.is_some_and(|t| t < COLD_C) {
        1.2
    } else {
        1.0
    };
    let demand = need_per_gram(class) * sugar * cold;
    let factor = part_of_demand(recipe.feeding);
    let most = if class == NitrogenNeed::High {
        300.0
    } else {
        250.0
    };
    let target = (factor * demand).min(most);
    let measured = whole.yan_mg_per_l.unwrap_or(0.0);
    let deficit = (target - measured).max(0.0);
    let allotment = allot(&recipe.nutrients, deficit);
    let fed = deficit - allotment.missing;
    let (additions, why) = if deficit <= NOTHING {
        (Vec::new(), "nothing_needed")
    } else if fed <= NOTHING {
        (Vec::new(), "no_feed")
    } else if whole.og < WEAK_OG - 1e-9 {
        let parts = allotment
            .grams_per_l
            .iter()
            .enumerate()
            .map(|(index, grams)| (index, *grams, FeedAt::Hours(0.0)));
        (additions(recipe, whole.volume_l, parts), "all_at_pitch")
    } else {
        let parts = four_parts(balance, &allotment, measured, fed);
        (
            additions(recipe, whole.volume_l, parts.into_iter()),
            "four_parts",
        )
    };
    FeedingPlan {
        sugar_g_per_l: sugar,
        demand: Demand {
            class: demand,
            strength_line: strength_line(whole.brix),
        },
        target_mg_per_l: target,
        must_mg_per_l: measured,
        deficit_mg_per_l: deficit,
        additions,
        beyond_mg_per_l: allotment.missing.max(0.0),
        why,
    }
}

/// Feed, grams per litre and time of each of up to four parts.
///
/// Ammonium goes into the parts on the clock only, for none is given from the break on; the break always comes before
/// 9 % ABV, as a third of the strongest fermentation makes less. The last part is organic: a quarter of all and what is
/// folded into it, or as much of that as there is of organic feed.
fn four_parts(
    balance: &Balance<'_>,
    allotment: &Allotment<'_>,
    measured: f64,
    fed: f64,
) -> Vec<(usize, f64, FeedAt)> {
    let break_h = break_hours(balance, measured, fed);
    let last = match break_h {
        Some(_) => FeedAt::Gravity(balance.ladder.one_third_break_sg),
        None => FeedAt::Hours(LAST_H),
    };
    let mut clock: Vec<f64> = CLOCK_H
        .into_iter()
        .filter(|hour| break_h.is_none_or(|at| *hour < at))
        .collect();
    let given_on_clock = clock.len();
    if clock.is_empty() {
        // So fast that the break comes within a day: ammonium goes in with the yeast.
        clock.push(0.0);
    }
    let organic = |feed: &Nutrient| carries(feed) == Carries::Organic;
    let pairs = || {
        allotment
            .feeds
            .iter()
            .zip(&allotment.grams_per_l)
            .enumerate()
    };
    let organic_yan: f64 = pairs()
        .filter(|(_, (feed, _))| organic(feed))
        .map(|(_, (feed, grams))| feed.organic_yan_mg_per_g * grams)
        .sum();
    // A quarter, and a quarter more for each dose on the clock that would come after the break.
    let last_part = fed / 4.0 * (4 - given_on_clock) as f64;
    // Part of all organic feed that is kept for the end.
    let kept = if organic_yan > 0.0 {
        (last_part / organic_yan).min(1.0)
    } else {
        0.0
    };
    let mut parts = Vec::new();
    for hour in &clock {
        for (index, (feed, grams)) in pairs() {
            let left = if organic(feed) { 1.0 - kept } else { 1.0 };
            parts.push((
                index,
                grams * left / clock.len() as f64,
                FeedAt::Hours(*hour),
            ));
        }
    }
    for (index, (feed, grams)) in pairs() {
        if organic(feed) {
            parts.push((index, grams * kept, last));
        }
    }
    parts
}

/// Hours to the one-third break as far as they matter: `None` when it comes after day 7.
fn break_hours(balance: &Balance<'_>, measured: f64, fed: f64) -> Option<f64> {
    let whole = balance.whole;
    let quarter = fed / 4.0;
    let doses = CLOCK_H.map(|hours| Dose {
        hours,
        yan_mg_per_l: quarter,
    });
    let ferment = Ferment {
        sugar_g_per_l: whole.sugar_g_per_l,
        yan_mg_per_l: measured,
        temperature_c: balance.recipe.temperature_c.unwrap_or(20.0),
        pitch_g_per_l: grams_per_litre(whole.og, balance.recipe.temperature_c),
        doses: &doses,
        uptake_factor: HONEY_UPTAKE_FACTOR,
    };
    let expected = balance.course.natural.consumed_kg * 1000.0 / whole.volume_l;
    hours_to_use(&ferment, expected / 3.0, LAST_H, 0.5)
}

fn additions(
    recipe: &Recipe,
    volume_l: f64,
    parts: impl Iterator<Item = (usize, f64, FeedAt)>,
) -> Vec<Addition> {
    parts
        .filter(|(_, grams_per_l, _)| *grams_per_l > NOTHING)
        .filter_map(|(index, grams_per_l, at)| {
            let feed = recipe.nutrients.get(index)?;
            Some(Addition {
                index,
                nutrient: feed.name.clone(),
                grams: grams_per_l * volume_l,
                at,
                ammonium_mg_per_l: grams_per_l * feed.ammonium_yan_mg_per_g,
                organic_mg_per_l: grams_per_l * feed.organic_yan_mg_per_g,
                cost: cost::of_feed(feed.price_per_kg, grams_per_l * volume_l),
            })
        })
        .collect()
}
