//! What a reading says of the vessel: the must is put right by it, fermentation is brought to it, or it is asked about.

use super::entry::{Entry, Reading};
use super::judge::{SAME_SG, Verdict};
use super::marks::Counted;
use super::question::QuestionCode;
use super::replay::{Walk, most_l};
use super::start::FERMENTABLE_PART;
use super::state::{Measured, Point};
use super::summary::now;
use super::vat::Unreachable;
use crate::engine::balance::{Liquid, add_water_for_volume};
use crate::engine::density::{fraction_of_sg, sg_of_fraction, sucrose_density_20};
use crate::engine::problem::Arguments;

/// Hours after the pitch in which a gravity still tells the must (our judgement, no published source).
const STILL_MUST_H: f64 = 6.0;
/// A first gravity further below, or above, what the amounts make is not believed until another agrees (our judgement).
const DOUBTED_BELOW_SG: f64 = 0.020;
const DOUBTED_ABOVE_SG: f64 = 0.030;
/// Two doubted gravities this near are one, and believed.
const CONFIRMED_SG: f64 = 0.004;
/// The fastest fall that yeast brings about, SG a day, and what is allowed besides (our judgement; 0.015 to 0.030 is brisk).
const FASTEST_SG_A_DAY: f64 = 0.040;
const FASTEST_BESIDES_SG: f64 = 0.006;
/// How far a stabilised mead may seem to move.
const STABLE_SG: f64 = 0.003;

impl Walk<'_> {
    pub(super) fn reading(&mut self, entry: &Entry, verdict: Verdict, reading: &Reading) {
        let measured = |value: Option<f64>| {
            value.map(|value| Measured {
                entry: entry.entry,
                hours: entry.hours,
                value,
            })
        };
        self.ph = measured(reading.ph).or(self.ph);
        self.free_so2 = measured(reading.free_so2_mg_per_l).or(self.free_so2);
        self.must_temperature = measured(reading.must_temperature_c).or(self.must_temperature);
        let by_refraction = reading.brix.filter(|_| reading.sg.is_none());
        let converted = by_refraction
            .filter(|_| !self.has_begun())
            .map(|brix| sg_of_fraction(brix / 100.0));
        if let (Some(brix), None) = (by_refraction, converted) {
            let arguments = Arguments::none().with("brix", brix);
            self.ask(entry, QuestionCode::BrixAfterFermentationBegan, arguments);
        }
        let sg = reading.sg.or(converted);
        // What the scale showed was taken for the gravity: nobody corrected it.
        let uncorrected = reading
            .temperature_c
            .filter(|_| reading.sg.is_some() && reading.sg == reading.read_sg);
        if self.tells_the_must(entry) && self.must.sg.is_none() && sg.is_some() {
            self.must.uncorrected_c = uncorrected;
        }
        let used = self.gravity_and_volume(entry, verdict, sg, reading.volume_l);
        if let Some(ta) = reading.ta_g_per_l {
            self.vat.acid_g = Some(ta * self.vat.with_fruit_l());
        }
        self.point(entry, sg, used);
    }

    /// Whether fermentation has begun, by the log.
    fn has_begun(&self) -> bool {
        self.fermenting || self.vat.liquid.ethanol_kg > 0.0
    }

    /// Whether a gravity is that of the must: before the yeast, or so soon after it that nothing can have happened.
    fn tells_the_must(&self, entry: &Entry) -> bool {
        let soon = || {
            let pitch = self.marks.pitch.unwrap_or(f64::NEG_INFINITY);
            !self.start.fermenting
                && self.counted.is_empty()
                && entry.hours <= pitch + STILL_MUST_H
                && self.vat.liquid.ethanol_kg <= 0.0
        };
        !self.has_begun() || soon()
    }

    /// Brings the vessel to a gravity and a volume; whether the gravity counts.
    pub(super) fn gravity_and_volume(
        &mut self,
        entry: &Entry,
        verdict: Verdict,
        sg: Option<f64>,
        volume_l: Option<f64>,
    ) -> bool {
        let of_must = self.tells_the_must(entry);
        if of_must {
            self.must.first_sg = self.must.first_sg.or(sg);
        }
        let mut believed = sg;
        if let Some(sg) = sg
            && let Some((code, expected_sg)) = against(verdict)
        {
            self.ask_about_gravity(entry, code, sg, expected_sg);
            believed = None;
        }
        if of_must {
            return self.must_reading(entry, believed, volume_l);
        }
        let used = believed.is_some_and(|sg| self.fermenting_reading(entry, sg));
        if let Some(volume_l) = volume_l {
            self.measured_volume(entry, volume_l);
        }
        used
    }

    fn ask_about_gravity(&mut self, entry: &Entry, code: QuestionCode, sg: f64, expected_sg: f64) {
        let arguments = Arguments::none()
            .with("sg", sg)
            .with("expected_sg", expected_sg);
        self.ask(entry, code, arguments);
    }

    fn must_reading(&mut self, entry: &Entry, sg: Option<f64>, volume_l: Option<f64>) -> bool {
        let reckoned_l = self.vat.volume_l();
        let known = self.vat.liquid.solids_kg() > 0.0;
        let mut volume = volume_l;
        if let Some(litres) = volume_l
            && (litres <= 1e-6
                || reckoned_l > 0.0
                    && !(0.05 * reckoned_l..=2.0 * reckoned_l + 0.3).contains(&litres))
        {
            self.ask_about_volume(entry, litres, reckoned_l);
            volume = None;
        }
        let mut believed = sg;
        let as_planned = self.vat.liquid.state().sg;
        if let Some(sg) = sg {
            let by_amounts = as_measured(&self.vat.liquid, volume, None)
                .map_or(as_planned, |liquid| liquid.state().sg);
            // Other water in the same honey, or more or less of the same must: whichever is nearer to what was read.
            let reckoned = match (sg - by_amounts).abs() <= (sg - as_planned).abs() {
                true => by_amounts,
                false => as_planned,
            };
            let last = self.counted.last();
            if volume.is_none()
                && !self.fermenting
                && last.is_some_and(|last| last.additions == self.additions)
                && sg < reckoned - CONFIRMED_SG
            {
                self.ask_about_gravity(entry, QuestionCode::FellBeforeThePitch, sg, reckoned);
                self.fermenting = true;
                self.marks.pitch = self.known_at;
                return self.fermenting_reading(entry, sg);
            }
            if known && self.counted.is_empty() {
                let code = if sg < reckoned - DOUBTED_BELOW_SG {
                    Some(QuestionCode::LayeredMust)
                } else if sg > reckoned + DOUBTED_ABOVE_SG {
                    Some(QuestionCode::FarAboveThePlan)
                } else {
                    None
                };
                let confirmed = self
                    .doubted_sg
                    .is_some_and(|doubted| (doubted - sg).abs() <= CONFIRMED_SG);
                if let Some(code) = code
                    && !confirmed
                {
                    self.ask_about_gravity(entry, code, sg, reckoned);
                    self.doubted_sg = Some(sg);
                    believed = None;
                }
            }
        }
        if believed.is_none() && volume.is_none() {
            return false;
        }
        match as_measured(&self.vat.liquid, volume, believed) {
            Some(liquid) => {
                self.put_right(liquid);
                self.must.sg = self.must.sg.or(believed);
                self.must.volume_l = volume.or(self.must.volume_l);
                believed.is_some()
            }
            None => {
                match (believed, volume) {
                    (Some(sg), _) => {
                        self.ask_about_gravity(entry, QuestionCode::BelowAnyMead, sg, 1.0);
                    }
                    (None, Some(litres)) => self.ask_about_volume(entry, litres, reckoned_l),
                    (None, None) => {}
                }
                false
            }
        }
    }

    /// It began with something else than was reckoned.
    fn put_right(&mut self, liquid: Liquid) {
        let before = self.vat.liquid;
        if before.solids_kg() > 0.0 {
            // Acid comes with honey and fruit.
            let factor = liquid.solids_kg() / before.solids_kg();
            self.vat.acid_g = self.vat.acid_g.map(|grams| grams * factor);
        }
        self.flows.begun = self.flows.begun + liquid + before * -1.0;
        self.vat.liquid = liquid;
    }

    fn fermenting_reading(&mut self, entry: &Entry, sg: f64) -> bool {
        let reckoned = self.vat.liquid.state();
        if reckoned.volume_l <= 1e-9 {
            return false;
        }
        if self.stabilised {
            if sg > reckoned.sg + STABLE_SG {
                self.ask_about_gravity(entry, QuestionCode::GravityRose, sg, reckoned.sg);
                return false;
            }
            if sg >= reckoned.sg - STABLE_SG {
                return true;
            }
        }
        let used_before = self.vat.consumed_kg;
        let possible = match self.vat.ferment_to(sg) {
            Ok(()) => true,
            Err(Unreachable::Below(lowest_sg)) => {
                self.ask_about_gravity(entry, QuestionCode::BelowAnyMead, sg, lowest_sg);
                false
            }
            Err(Unreachable::Above(begin_sg)) => self.above_all(entry, sg, begin_sg),
        };
        self.fermented_kg += self.vat.consumed_kg - used_before;
        if !possible {
            return false;
        }
        if self.stabilised {
            self.ask_about_gravity(entry, QuestionCode::FellAfterStabilising, sg, reckoned.sg);
        } else if let Some(since) = self.known_at.or(self.marks.pitch)
            && (self.known_at.is_some() || !self.start.fermenting)
        {
            let hours = (entry.hours - since).max(0.0);
            if reckoned.sg - sg > FASTEST_BESIDES_SG + FASTEST_SG_A_DAY * hours / 24.0 {
                let arguments = Arguments::none()
                    .with("sg", sg)
                    .with("expected_sg", reckoned.sg)
                    .with("hours", hours);
                self.ask(entry, QuestionCode::FellTooFast, arguments);
            }
        }
        true
    }

    /// A gravity above all that was there: fruit gave its sugar sooner, it is the same within a mark, or there was more sugar
    /// than anybody had measured.
    fn above_all(&mut self, entry: &Entry, sg: f64, begin_sg: f64) -> bool {
        if sg <= begin_sg + SAME_SG {
            self.vat.take_all_back();
            return true;
        }
        let mut sooner = self.vat.clone();
        sooner.release_all();
        let with_fruit = sooner.unfermented().state().sg;
        if sg <= with_fruit + SAME_SG {
            if sooner.ferment_to(sg).is_err() {
                sooner.take_all_back();
            }
            self.vat = sooner;
            return true;
        }
        let all = self.vat.unfermented();
        if self.counted.is_empty()
            && sg <= begin_sg + DOUBTED_ABOVE_SG
            && all.ethanol_kg <= 0.0
            && let Some(richer) = as_measured(&all, None, Some(sg))
        {
            self.vat.take_all_back();
            self.put_right(richer);
            return true;
        }
        self.ask_about_gravity(entry, QuestionCode::GravityRose, sg, begin_sg);
        false
    }

    /// The volume while it ferments and after: what is missing stayed somewhere.
    fn measured_volume(&mut self, entry: &Entry, volume_l: f64) {
        let reckoned_l = self.vat.volume_l();
        if volume_l > most_l(reckoned_l) || volume_l < 0.5 * reckoned_l {
            self.ask_about_volume(entry, volume_l, reckoned_l);
        } else if volume_l > reckoned_l {
            self.correct_volume(volume_l);
        } else if reckoned_l > 0.0 {
            let taken = self.vat.take(1.0 - volume_l / reckoned_l);
            self.losses.unexplained_l += reckoned_l - volume_l;
            self.flows.lost = self.flows.lost + taken;
        }
    }

    /// Notes the state at a reading.
    pub(super) fn point(&mut self, entry: &Entry, read_sg: Option<f64>, used: bool) {
        let now = now(self);
        let point = Point {
            entry: entry.entry,
            hours: entry.hours,
            read_sg,
            used: used && read_sg.is_some(),
            sg: now.measured.sg,
            abv_percent: now.measured.abv_percent,
            sugar_g_per_l: now.per_litre(now.vat.liquid.sugar_kg),
            volume_l: self.vat.volume_l(),
            part: now.part,
        };
        self.points.push(point);
        if let (Some(sg), true, false) = (read_sg, point.used, self.stabilised) {
            self.known_at = Some(entry.hours);
            self.counted.push(Counted {
                hours: entry.hours,
                sg,
                part: point.part,
                additions: self.additions,
                degassed: self.samples.degassed(entry),
                must_c: self.samples.must_c(entry),
            });
        }
    }
}

/// What other readings hold against this one, and the gravity they speak for.
fn against(verdict: Verdict) -> Option<(QuestionCode, f64)> {
    match verdict {
        Verdict::Sound => None,
        Verdict::Layered { later_sg } => Some((QuestionCode::LayeredMust, later_sg)),
        Verdict::TooLow { later_sg } => Some((QuestionCode::LowerThanLater, later_sg)),
        Verdict::TooHigh { before_sg } => Some((QuestionCode::GravityRose, before_sg)),
    }
}

/// A must without alcohol, put right by what was measured of it. With a gravity its solids change, in the proportion they were in; with a
/// volume alone its water does, or where that would be thicker than is believed, there is less of the same. `None` where nothing is to be
/// made of it.
fn as_measured(must: &Liquid, volume_l: Option<f64>, sg: Option<f64>) -> Option<Liquid> {
    let solids = must.solids_kg();
    let Some(sg) = sg else {
        let dissolved = Liquid {
            water_kg: 0.0,
            ..*must
        };
        let (volume_l, before) = (volume_l?, must.state());
        let water_kg = add_water_for_volume(&dissolved, volume_l);
        let other = (water_kg >= 0.0).then(|| dissolved + Liquid::water(water_kg));
        let believable = other.filter(|other| other.state().sg <= before.sg + DOUBTED_ABOVE_SG);
        let scaled = || (before.volume_l > 0.0).then(|| *must * (volume_l / before.volume_l));
        return believable.or_else(scaled).or(other);
    };
    let fraction = fraction_of_sg(sg)?;
    let volume_l = volume_l.unwrap_or_else(|| must.state().volume_l);
    let mass_kg = volume_l * sucrose_density_20(fraction) / 1000.0;
    let sugar = if solids > 0.0 {
        must.sugar_kg / solids
    } else {
        FERMENTABLE_PART
    };
    Some(Liquid {
        water_kg: mass_kg * (1.0 - fraction),
        sugar_kg: mass_kg * fraction * sugar,
        extract_kg: mass_kg * fraction * (1.0 - sugar),
        ethanol_kg: 0.0,
    })
}
