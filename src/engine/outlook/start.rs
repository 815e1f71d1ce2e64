//! Where an outlook begins: the must after its last change, with the cells, nitrogen and alcohol that were in it then.

use super::{Change, Feed, Known, NINETY, Unknown, When};
use crate::engine::balance::{
    ETHANOL_PER_SUGAR, Liquid, StoppedBy, ferment, ferment_to_gravity, ferment_to_tolerance,
};
use crate::engine::forecast::{
    Addition, At, Band, HORIZON_H, Plan, Prior, Reading, Stretch, Timeline, run,
};
use crate::engine::kinetics::MODEL_ETHANOL_PER_SUGAR;
use crate::engine::spread::TOLERANCE_SD_ABV;

/// Points of the table between which gravity is taken as a straight line of the sugar used: exact to 1e-7.
const LINE: usize = 256;

/// A must as far as its yeast can take it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Must {
    liquid: Liquid,
    litres: f64,
    tolerance_abv: f64,
    /// Sugar that can be used, kg.
    usable_kg: f64,
    pub og: f64,
    pub stopped_by: StoppedBy,
}

impl Must {
    fn of(liquid: Liquid, tolerance_abv: f64) -> Self {
        let end = ferment_to_tolerance(&liquid, tolerance_abv);
        let state = liquid.state();
        Must {
            liquid,
            litres: state.volume_l,
            tolerance_abv,
            usable_kg: end.consumed_kg,
            og: state.sg,
            stopped_by: end.stopped_by,
        }
    }

    /// The liquid after this part of the usable sugar is used.
    pub fn after(&self, part: f64) -> Liquid {
        ferment(&self.liquid, part * self.usable_kg)
    }

    pub fn gravity(&self, part: f64) -> f64 {
        self.after(part).state().sg
    }

    /// [`Must::gravity`] as a table with straight lines between: it is asked for thousands of times.
    pub fn gravity_line(&self) -> impl Fn(f64) -> f64 + use<> {
        let must = *self;
        let table: Vec<f64> = (0..=LINE)
            .map(|n| must.gravity(n as f64 / LINE as f64))
            .collect();
        move |part: f64| {
            let at = part.clamp(0.0, 1.0) * LINE as f64;
            let below = (at.floor() as usize).min(LINE - 1);
            let along = at - below as f64;
            table[below] + along * (table[below + 1] - table[below])
        }
    }

    /// The part of the usable sugar that is used at a gravity: 0 above the must's own, `None` below where it can come.
    pub fn part_at(&self, sg: f64) -> Option<f64> {
        if sg >= self.og {
            return Some(0.0);
        }
        let part = ferment_to_gravity(&self.liquid, sg)?.consumed_kg / self.usable_kg;
        (part <= 1.0 + 1e-9).then(|| part.min(1.0))
    }

    /// Strength at a gravity, % by volume, whatever the yeast is said to bear.
    pub fn abv_at(&self, sg: f64) -> f64 {
        let at = match ferment_to_gravity(&self.liquid, sg) {
            Some(at) => at.liquid,
            None if sg >= self.og => self.liquid,
            None => ferment(&self.liquid, self.liquid.sugar_kg),
        };
        at.state().abv_percent
    }

    /// Gravity with all sugar gone, tolerated or not.
    pub fn dry_sg(&self) -> f64 {
        ferment(&self.liquid, self.liquid.sugar_kg).state().sg
    }

    pub fn tolerance_abv(&self) -> f64 {
        self.tolerance_abv
    }

    /// Where it ends when this part is used, and between a yeast that bears more and one that bears less than it is said to.
    pub fn end_gravity(&self, part: f64) -> Band {
        let give = NINETY * TOLERANCE_SD_ABV;
        let at = |abv: f64| ferment_to_tolerance(&self.liquid, abv).liquid.state().sg;
        let best = self.gravity(part);
        Band {
            low: at(self.tolerance_abv + give).min(best),
            best,
            high: at(self.tolerance_abv - give).max(best),
        }
    }
}

/// A must, its yeast, and all that belongs to it; hours count from [`Start::from_h`].
#[derive(Debug)]
pub(super) struct Start {
    pub from_h: f64,
    pub must: Must,
    pub prior: Prior,
    pub batches: usize,
    pub changes: usize,
    cells_g_per_l: f64,
    yan_mg_per_l: f64,
    pub temperatures: Vec<Stretch>,
    pub additions: Vec<Addition>,
    /// In order of time.
    pub readings: Vec<Reading>,
}

impl Start {
    pub fn of(known: &Known) -> Result<Self, Unknown> {
        check(known)?;
        let own = Prior::of_batches(&known.earlier);
        let mut readings: Vec<Reading> = known
            .readings
            .iter()
            .copied()
            .filter(|one| one.hours >= 0.0 && one.hours <= known.now_h && one.sg.is_finite())
            .collect();
        readings.sort_by(|a, b| a.hours.total_cmp(&b.hours));
        let must = Must::of(known.must, known.tolerance_abv_percent);
        let litres = must.litres;
        let mut start = Start {
            from_h: 0.0,
            must,
            prior: own.unwrap_or(Prior::HONEY),
            batches: own.map_or(0, |_| known.earlier.len()),
            changes: 0,
            cells_g_per_l: known.pitch_g_per_l,
            yan_mg_per_l: known.yan_mg_per_l,
            temperatures: known.temperatures.clone(),
            additions: Vec::new(),
            readings,
        };
        let mut feeds: Vec<Feed> = known.feeds.clone();
        start.additions = start.additions_of(&feeds);
        let mut changes: Vec<&Change> = known
            .changes
            .iter()
            .filter(|change| (0.0..=known.now_h).contains(&change.hours))
            .collect();
        changes.sort_by(|a, b| a.hours.total_cmp(&b.hours));
        for change in changes {
            start.pass(change, &mut feeds, litres, known);
        }
        // Less than a gram in ten litres is no sugar.
        if start.must.usable_kg < 1e-4 * start.must.litres {
            return Err(Unknown::Sugar);
        }
        Ok(start)
    }

    /// The fermentation with the factors that are believed before any reading.
    pub fn plan(&self) -> Plan<'_> {
        let ethanol = 1_000.0 * self.must.liquid.ethanol_kg / self.must.litres;
        Plan {
            sugar_g_per_l: 1_000.0 * self.must.usable_kg / self.must.litres,
            yan_mg_per_l: self.yan_mg_per_l,
            pitch_g_per_l: self.cells_g_per_l,
            ethanol_g_per_l: ethanol * MODEL_ETHANOL_PER_SUGAR / ETHANOL_PER_SUGAR,
            temperatures: &self.temperatures,
            additions: &self.additions,
            growth_factor: self.prior.ln_growth.exp(),
            uptake_factor: self.prior.ln_uptake.exp(),
            holds_growth: true,
        }
    }

    /// From one must to the next: what is in it when its liquid is changed.
    fn pass(&mut self, change: &Change, feeds: &mut Vec<Feed>, first_litres: f64, known: &Known) {
        let passed_h = change.hours - self.from_h;
        let line = (passed_h > 0.0)
            .then(|| run(&self.plan(), passed_h.min(HORIZON_H)))
            .flatten();
        let behind = self.readings.partition_point(|one| one.hours <= passed_h);
        // A change is mostly made by a reading: that decides how far the must had come. Without one the model does.
        let used = match (self.readings[..behind].last(), &line) {
            (Some(reading), _) => self.must.part_at(reading.sg).unwrap_or(1.0),
            (None, Some(line)) => line.used_at(passed_h),
            (None, None) => 0.0,
        };
        let (cells, nitrogen) = match &line {
            Some(line) => (line.cells_at(passed_h), line.nitrogen_at(passed_h)),
            None => (self.cells_g_per_l, self.yan_mg_per_l),
        };
        let by_sugar = line.map_or(0.0, |line: Timeline| line.used_at(passed_h));
        feeds.retain(|feed| match feed.when {
            When::Hours(hours) | When::Either(hours, _) if hours <= change.hours => false,
            When::Gravity(sg) | When::Either(_, sg) => self
                .must
                .part_at(sg)
                .is_none_or(|part| part > by_sugar + 1e-9),
            When::Hours(_) => true,
        });
        let before = self.must;
        self.must = Must::of(
            before.after(used) + change.parts,
            known.tolerance_abv_percent,
        );
        let thinner = before.litres / self.must.litres;
        self.cells_g_per_l = cells * thinner;
        self.yan_mg_per_l = nitrogen * thinner;
        self.readings.drain(..behind);
        for reading in &mut self.readings {
            reading.hours -= passed_h;
        }
        self.from_h = change.hours;
        self.changes += 1;
        self.temperatures = from_then_on(&known.temperatures, self.from_h);
        let share = first_litres / self.must.litres;
        let thinned: Vec<Feed> = feeds
            .iter()
            .map(|feed| Feed {
                yan_mg_per_l: feed.yan_mg_per_l * share,
                ..*feed
            })
            .collect();
        self.additions.clear();
        self.additions = self.additions_of(&thinned);
    }

    /// Feeds as the model takes them; what is due by a gravity that never comes is left out.
    fn additions_of(&self, feeds: &[Feed]) -> Vec<Addition> {
        let fixed = feeds.iter().filter_map(|feed| {
            let at = match feed.when {
                When::Hours(hours) => At::Hours((hours - self.from_h).max(0.0)),
                When::Gravity(sg) => At::SugarUsed(self.must.part_at(sg)?),
                When::Either(..) => return None,
            };
            Some(Addition {
                at,
                yan_mg_per_l: feed.yan_mg_per_l,
            })
        });
        let mut additions: Vec<Addition> = fixed.collect();
        let either = feeds.iter().filter_map(|feed| match feed.when {
            When::Either(hours, sg) => Some(((hours - self.from_h).max(0.0), sg, feed)),
            _ => None,
        });
        for (hours, sg, feed) in either {
            // Which comes first is seen on the line without it.
            let without = run(
                &Plan {
                    additions: &additions,
                    ..self.plan()
                },
                HORIZON_H,
            );
            let part = self.must.part_at(sg);
            let reached = without
                .zip(part)
                .and_then(|(line, part)| line.hours_to_use(part));
            let at = match (part, reached) {
                (Some(part), Some(reached)) if reached < hours => At::SugarUsed(part),
                _ => At::Hours(hours),
            };
            additions.push(Addition {
                at,
                yan_mg_per_l: feed.yan_mg_per_l,
            });
        }
        additions
    }
}

/// The temperatures from an hour on, counted from it.
fn from_then_on(temperatures: &[Stretch], from_h: f64) -> Vec<Stretch> {
    let begun = temperatures.partition_point(|stretch| stretch.from_h <= from_h);
    temperatures[begun.saturating_sub(1)..]
        .iter()
        .map(|stretch| Stretch {
            from_h: (stretch.from_h - from_h).max(0.0),
            ..*stretch
        })
        .collect()
}

/// What has to be there, and nothing far outside of anything real.
fn check(known: &Known) -> Result<(), Unknown> {
    let within = |value: f64, most: f64| (0.0..=most).contains(&value);
    if !known.now_h.is_finite() || known.now_h.abs() > 1e6 {
        return Err(Unknown::Number);
    }
    if known.temperatures.is_empty() {
        return Err(Unknown::Temperature);
    }
    if !(known.pitch_g_per_l > 0.0 && within(known.pitch_g_per_l, 100.0)) {
        return Err(Unknown::Yeast);
    }
    let state = known.must.state();
    if known.must.sugar_kg <= 0.0 || state.volume_l <= 0.0 {
        return Err(Unknown::Sugar);
    }
    let feeds_sound = known.feeds.iter().all(|feed| {
        let when = match feed.when {
            When::Hours(hours) => within(hours, 1e6),
            When::Gravity(sg) => within(sg, 2.0),
            When::Either(hours, sg) => within(hours, 1e6) && within(sg, 2.0),
        };
        when && within(feed.yan_mg_per_l, 1e5)
    });
    let temperatures_sound = known.temperatures.iter().all(|stretch| {
        stretch.from_h.is_finite() && (-50.0..=150.0).contains(&stretch.temperature_c)
    });
    let sound = feeds_sound
        && temperatures_sound
        && within(known.yan_mg_per_l, 1e5)
        && within(known.tolerance_abv_percent, 100.0);
    if sound { Ok(()) } else { Err(Unknown::Number) }
}
