//! The walk through a log: entry by entry, the vessel is brought to what was done and read.

use super::compare::MustRead;
use super::entry::{Deed, Entry, How, Package, Pitch, Rack};
use super::judge::{Verdict, changes_gravity, judge};
use super::marks::{Counted, Marks};
use super::question::{Question, QuestionCode};
use super::ranges::faults;
use super::samples::Samples;
use super::start::Start;
use super::state::{Flows, GivenFeed, Losses, Measured, Point, State};
use super::summary::state;
use super::vat::Vat;
use crate::engine::balance::{BIOMASS_PER_ETHANOL, CO2_PER_ETHANOL, ETHANOL_PER_SUGAR};
use crate::engine::problem::Arguments;
use crate::engine::vessel::losses;

/// kg of carbon dioxide, and of yeast, for 1 kg of sugar.
pub(super) const CO2_PER_SUGAR: f64 = ETHANOL_PER_SUGAR * CO2_PER_ETHANOL;
pub(super) const YEAST_PER_SUGAR: f64 = ETHANOL_PER_SUGAR * BIOMASS_PER_ETHANOL;

/// The state of a batch from what it began with and its log; the order of `entries` does not matter.
///
/// Always answers: what cannot be becomes a question, and an entry with a number outside its range counts for nothing.
pub fn replay(start: &Start, entries: &[Entry]) -> State {
    let mut sorted: Vec<&Entry> = entries.iter().collect();
    sorted.sort_by(|a, b| a.hours.total_cmp(&b.hours).then(a.entry.cmp(&b.entry)));
    let mut walk = Walk::new(start);
    sorted.retain(|entry| walk.is_sensible(entry));
    walk.samples = Samples::of(sorted.iter().copied());
    let verdicts = judge(start, &sorted);
    for (entry, verdict) in sorted.iter().zip(verdicts) {
        walk.step(entry, verdict);
    }
    walk.settle_packaging();
    state(walk)
}

/// Litres that may be more than reckoned without a question: a part, and a little for every vessel.
pub(super) fn most_l(expected_l: f64) -> f64 {
    1.05 * expected_l + 0.3
}

/// What was walked so far.
pub(super) struct Walk<'a> {
    pub start: &'a Start,
    pub vat: Vat,
    pub questions: Vec<Question>,
    pub flows: Flows,
    /// Sugar that has fermented in all, also of what is gone, kg.
    pub fermented_kg: f64,
    pub tolerance_abv_percent: Option<f64>,
    pub fermenting: bool,
    pub stabilised: bool,
    pub marks: Marks,
    pub losses: Losses,
    pub rackings: u32,
    pub packaged_l: f64,
    /// Whether packaging was the last that changed the volume.
    pub packaged_last: bool,
    pub cost: f64,
    pub feeds: Vec<GivenFeed>,
    pub points: Vec<Point>,
    pub counted: Vec<Counted>,
    pub samples: Samples,
    pub additions: u32,
    pub ph: Option<Measured>,
    pub free_so2: Option<Measured>,
    pub must_temperature: Option<Measured>,
    /// What was read of the must.
    pub must: MustRead,
    /// A gravity that was not believed, until another agrees.
    pub doubted_sg: Option<f64>,
    /// When the gravity was last known, hours.
    pub known_at: Option<f64>,
    /// What was to ferment, as it stood when it was stabilised: before that, `None`.
    pub before_stabilising: Option<Vat>,
}

impl<'a> Walk<'a> {
    fn new(start: &'a Start) -> Self {
        let vat = Vat::new(start);
        Walk {
            start,
            // What it began with has fermented elsewhere; only what ferments here gives off gas here.
            fermented_kg: 0.0,
            flows: Flows {
                begun: start.whole(),
                ..Flows::default()
            },
            before_stabilising: start.stabilised.then(|| vat.clone()),
            vat,
            questions: Vec::new(),
            tolerance_abv_percent: start.tolerance_abv_percent,
            fermenting: start.fermenting,
            stabilised: start.stabilised,
            marks: Marks {
                pitch: start.fermenting.then_some(0.0),
                ..Marks::default()
            },
            losses: Losses::default(),
            rackings: 0,
            packaged_l: 0.0,
            packaged_last: false,
            cost: 0.0,
            feeds: Vec::new(),
            points: Vec::new(),
            counted: Vec::new(),
            samples: Samples::default(),
            additions: 0,
            ph: None,
            free_so2: None,
            must_temperature: None,
            must: MustRead::default(),
            doubted_sg: None,
            known_at: None,
        }
    }

    pub fn ask(&mut self, entry: &Entry, code: QuestionCode, arguments: Arguments) {
        self.questions.push(Question {
            entry: entry.entry,
            code,
            arguments,
        });
    }

    /// Whether every number of an entry is in its range; asks where not.
    fn is_sensible(&mut self, entry: &Entry) -> bool {
        match faults(entry).first() {
            None => true,
            Some(fault) => {
                let key = fault.path.rsplit('/').next().unwrap_or("");
                let arguments = Arguments::none().with("key", key);
                self.ask(entry, QuestionCode::NotSensible, arguments);
                false
            }
        }
    }

    fn step(&mut self, entry: &Entry, verdict: Verdict) {
        self.vat.release(entry.hours);
        let speaks = matches!(entry.deed, Deed::Note(_) | Deed::Tasting(_) | Deed::Step(_));
        if entry.hours < 0.0 && !speaks {
            let arguments = Arguments::none().with("hours", entry.hours);
            self.ask(entry, QuestionCode::BeforeTheMixing, arguments);
        }
        match &entry.deed {
            Deed::Mixed(mixed) => {
                let used = self.gravity_and_volume(entry, verdict, mixed.sg, mixed.volume_l);
                self.point(entry, mixed.sg, used);
            }
            Deed::Pitch(pitch) => self.pitch(entry, pitch),
            Deed::Reading(reading) => self.reading(entry, verdict, reading),
            Deed::Feed(feed) => {
                let volume_l = self.vat.volume_l();
                let per_l = |mg_per_g: Option<f64>| {
                    if volume_l > 1e-6 {
                        feed.grams * mg_per_g.unwrap_or(0.0) / volume_l
                    } else {
                        0.0
                    }
                };
                self.feeds.push(GivenFeed {
                    entry: entry.entry,
                    hours: entry.hours,
                    ammonium_mg_per_l: per_l(feed.ammonium_yan_mg_per_g),
                    organic_mg_per_l: per_l(feed.organic_yan_mg_per_g),
                });
                self.cost += feed.cost.unwrap_or(0.0);
            }
            Deed::Addition(addition) => {
                self.cost += addition.cost.unwrap_or(0.0);
                self.add(entry, addition);
                if changes_gravity(addition) {
                    self.additions += 1;
                    self.known_at = Some(entry.hours);
                }
            }
            Deed::Rack(rack) => self.rack(entry, rack),
            Deed::Sample(sample) if !sample.returned => self.sample(entry, sample.litres),
            Deed::Trial(trial) => self.sample(entry, trial.taken_l()),
            Deed::Package(package) => self.package(entry, package),
            Deed::Part(part) => {
                let taken = self.vat.part(part.share);
                self.flows.parted = self.flows.parted + taken;
            }
            Deed::Sample(_)
            | Deed::Degas
            | Deed::Aerate
            | Deed::Note(_)
            | Deed::Tasting(_)
            | Deed::Step(_)
            | Deed::Move(_) => {}
        }
        match &entry.deed {
            Deed::Package(_) => self.packaged_last = true,
            Deed::Mixed(_) | Deed::Addition(_) | Deed::Rack(_) | Deed::Part(_) => {
                self.packaged_last = false;
            }
            _ => {}
        }
    }

    fn pitch(&mut self, entry: &Entry, pitch: &Pitch) {
        let first = !self.fermenting || self.start.fermenting && self.marks.pitch == Some(0.0);
        self.marks.pitch = match self.marks.pitch {
            Some(hours) if !first => Some(hours),
            _ => Some(entry.hours),
        };
        // The yeast that is pitched takes the place of the planned one; of several the strongest decides.
        self.tolerance_abv_percent = match (pitch.tolerance_abv_percent, first) {
            (None, _) => self.tolerance_abv_percent,
            (Some(tolerance), true) => Some(tolerance),
            (Some(tolerance), false) => {
                Some(tolerance.max(self.tolerance_abv_percent.unwrap_or(0.0)))
            }
        };
        self.fermenting = true;
        self.stabilised = false;
        self.before_stabilising = None;
    }

    /// Some is taken out and does not come back.
    fn sample(&mut self, entry: &Entry, litres: f64) {
        if let Some(share) = self.share_of(entry, litres) {
            self.losses.samples_l += share * self.vat.volume_l();
            let taken = self.vat.take(share);
            self.flows.lost = self.flows.lost + taken;
        }
    }

    /// The share of the liquid that so many litres are; asks, and `None`, where there is not so much.
    fn share_of(&mut self, entry: &Entry, litres: f64) -> Option<f64> {
        let volume_l = self.vat.volume_l();
        if litres > most_l(volume_l) {
            self.ask_about_volume(entry, litres, volume_l);
            return None;
        }
        (volume_l > 0.0).then(|| (litres / volume_l).min(1.0))
    }

    pub fn ask_about_volume(&mut self, entry: &Entry, litres: f64, expected_l: f64) {
        let arguments = Arguments::none()
            .with("litres", litres)
            .with("expected_l", expected_l);
        self.ask(entry, QuestionCode::ImpossibleVolume, arguments);
    }

    fn rack(&mut self, entry: &Entry, rack: &Rack) {
        let held = self.vat.in_fruit();
        let (volume_l, fruit_kg) = (self.vat.volume_l(), self.vat.fruit_kg);
        let loss_l = match (rack.volume_l, rack.loss_l) {
            (Some(left_l), _) if left_l > most_l(volume_l) => {
                self.ask_about_volume(entry, left_l, volume_l);
                0.0
            }
            (Some(left_l), _) if left_l > volume_l => {
                self.correct_volume(left_l);
                0.0
            }
            (Some(left_l), _) => volume_l - left_l,
            (None, Some(loss_l)) if loss_l > most_l(volume_l) => {
                self.ask_about_volume(entry, loss_l, volume_l);
                0.0
            }
            (None, Some(loss_l)) => loss_l.min(volume_l),
            (None, None) => {
                let usual = losses(volume_l, fruit_kg, [1, 1]);
                let lees = if self.rackings == 0 {
                    usual.first_racking_l
                } else {
                    usual.later_racking_l
                };
                let loss_l = (lees + usual.fruit_l).min(volume_l);
                self.losses.racking_estimated_l += loss_l;
                loss_l
            }
        };
        self.rackings += 1;
        self.losses.racking_l += loss_l;
        if volume_l > 0.0 {
            let taken = self.vat.take(loss_l / volume_l);
            self.flows.lost = self.flows.lost + taken;
        }
        // Fruit stays behind with what it has not given.
        self.vat.take_out_fruit();
        self.flows.lost = self.flows.lost + held;
    }

    /// There is more of it than was reckoned: it began with more.
    pub fn correct_volume(&mut self, volume_l: f64) {
        let reckoned_l = self.vat.volume_l();
        if reckoned_l > 0.0 {
            let more = volume_l / reckoned_l - 1.0;
            // What of it has fermented gave off gas and yeast: they too came out of what it began with.
            self.flows.begun = self.flows.begun + self.vat.unfermented() * more;
            self.fermented_kg += self.vat.consumed_kg * more;
            self.vat.scale(1.0 + more);
        }
    }

    fn package(&mut self, entry: &Entry, package: &Package) {
        let there_l = self.vat.volume_l();
        let bottled: f64 = package
            .bottles
            .iter()
            .map(|bottles| bottles.size_l * f64::from(bottles.count))
            .sum();
        let litres = match package.litres {
            Some(litres) => litres,
            None if !package.bottles.is_empty() => bottled,
            None => there_l,
        };
        if litres > most_l(there_l) {
            self.ask_about_volume(entry, litres, there_l);
        } else if litres > there_l {
            self.correct_volume(litres);
        }
        let bottles: u32 = package.bottles.iter().map(|one| one.count).sum();
        if package.how == Some(How::Gas) && bottles > 0 && self.was_stabilised() {
            let arguments = Arguments::none().with("count", f64::from(bottles));
            self.ask(entry, QuestionCode::NoGasOfItsOwn, arguments);
        }
        self.marks.packaged = self.marks.packaged.or(Some(entry.hours));
        let volume_l = self.vat.volume_l();
        if volume_l > 0.0 {
            let share = (litres / volume_l).min(1.0);
            self.packaged_l += share * volume_l;
            let taken = self.vat.take(share);
            self.flows.packaged = self.flows.packaged + taken;
        }
    }

    /// A small rest after the last packaging is what hose and vessel keep: up to a litre, or a tenth of what was packaged
    /// (our judgement, no published source). More than that still stands somewhere.
    fn settle_packaging(&mut self) {
        let rest_l = self.vat.volume_l();
        if self.packaged_last && rest_l <= (0.1 * self.packaged_l).max(1.0) {
            self.losses.packaging_l = rest_l;
            let rest = self.vat.take(1.0);
            self.flows.lost = self.flows.lost + rest;
        }
    }
}
