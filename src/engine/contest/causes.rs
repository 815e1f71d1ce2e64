//! From what judges ticked to what the batch's own log says about it, and to one thing to do otherwise.
//!
//! What can cause a fault, and from when on a temperature or a wait is much, is common practice, no published source. A cause is
//! likely, never proven: the page says so, and the maker decides.

use std::collections::BTreeMap;

use super::faults::Fault;
use super::sheet::Sheet;
use crate::engine::decide::{TASTE_AGAIN_DAYS, Way};
use crate::engine::log::State;
use crate::engine::log::entry::{Addition, Deed, Entry, Sense, What};
use crate::engine::recipe::{Kind, Recipe};

/// Above this a must is warm for a clean ferment, °C, even where its yeast bears more; where it bears less, that counts.
const WARM_C: f64 = 24.0;
/// So long after the pitch warmth makes what burns and smells of glue, days.
const EARLY_DAYS: f64 = 14.0;
/// Strength from which on a mead burns of itself, % ABV.
const STRONG_ABV: f64 = 14.0;
/// Longer than this on its first lees is long, days.
const LEES_DAYS: f64 = 90.0;
/// Air that is stirred in later than this finds no yeast that wants it, days after the pitch.
const AIR_DAYS: f64 = 5.0;
/// Sweet, dry: final gravity, SG.
const SWEET_SG: f64 = 1.015;
const DRY_SG: f64 = 1.000;
/// Little and much acid as tartaric, g/L; and the pH that says the same where nobody titrated.
const LITTLE_ACID: (f64, f64) = (4.5, 3.9);
const MUCH_ACID: (f64, f64) = (7.5, 3.2);
/// Declared and reckoned strength may differ by so much, % ABV.
const DECLARED_ABV: f64 = 1.0;

/// What the log says that may have caused it. Days count from the pitch, the first being day 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cause {
    /// Too warm for a clean ferment: the warmest reading, and its day.
    Warm { celsius: f64, day: u32 },
    /// So strong that it warms of itself, % ABV.
    Strong { abv_percent: f64 },
    /// Young when it was judged, days since the mixing.
    Young { days: f64 },
    /// No nutrient stands in the log.
    Unfed,
    /// Days on the first lees; `still` where it was never racked.
    OnLees { days: f64, still: bool },
    /// Air was stirred in late.
    LateAir { day: u32 },
    /// No sulfite stands in the log.
    NoSulfite,
    /// Sorbate without sulfite.
    SorbateAlone,
    /// Wood or tannin went in.
    Wood,
    /// Spice went in.
    Spice,
    /// It ended sweet, SG.
    EndedSweet { sg: f64 },
    /// It ended dry, SG.
    EndedDry { sg: f64 },
    /// Little acid: as tartaric g/L, or else pH.
    LittleAcid {
        ta_g_per_l: Option<f64>,
        ph: Option<f64>,
    },
    /// Much acid.
    MuchAcid {
        ta_g_per_l: Option<f64>,
        ph: Option<f64>,
    },
    /// Fruit went in without an enzyme.
    FruitUncleared,
    /// Fruit is loud in it.
    Fruit,
    /// Never racked and never fined.
    NeverCleared,
    /// Declared otherwise than the log reckons, % ABV.
    OtherStrength { declared: f64, reckoned: f64 },
}

/// What could be done otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Proposal {
    /// A change of the recipe for this sense; only the change of that word, where one is named.
    Recipe {
        sense: Sense,
        way: Way,
        only: Option<&'static str>,
    },
    /// Something that stands in no recipe.
    Habit(Habit),
}

/// What is done otherwise at the vessel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Habit {
    FermentCooler,
    FeedInSteps,
    LetItAge,
    RackSooner,
    KeepAirOut,
    SulfiteAtRacking,
    SulfiteWithSorbate,
    LessOnWood,
    LessSpice,
    EnzymeForFruit,
    FineIt,
    MeasureBeforeDeclaring,
    /// Nothing in the log explains it: taste a bottle with somebody who knows that fault.
    TasteWithSomebody,
}

/// What is known of a batch.
pub struct Known<'a> {
    pub entries: &'a [Entry],
    pub state: &'a State,
    pub recipe: &'a Recipe,
    /// When it was judged, hours since the batch began.
    pub judged_h: Option<f64>,
    /// Strength that was declared, % ABV.
    pub declared_abv_percent: Option<f64>,
}

/// A fault with how many judges ticked it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Heard {
    pub fault: Fault,
    pub judges: usize,
}

/// Faults by how many sheets have them, the most first; among equals in the order of [`Fault::ALL`].
pub fn heard<'a>(sheets: impl Iterator<Item = &'a Sheet>) -> Vec<Heard> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for sheet in sheets {
        let mut faults: Vec<&str> = sheet.faults.iter().map(String::as_str).collect();
        faults.sort_unstable();
        faults.dedup();
        for fault in faults {
            *counts.entry(fault).or_default() += 1;
        }
    }
    let counted = Fault::ALL.iter().filter_map(|fault| {
        let judges = *counts.get(fault.as_str())?;
        Some(Heard {
            fault: *fault,
            judges,
        })
    });
    let mut heard: Vec<Heard> = counted.collect();
    heard.sort_by_key(|one| std::cmp::Reverse(one.judges));
    heard
}

/// What the log says about a fault, the likeliest first; empty where it explains nothing.
pub fn causes(fault: Fault, known: &Known<'_>) -> Vec<Cause> {
    let found = match fault {
        Fault::Hot => vec![known.warm(), known.strong(), known.young(), known.unfed()],
        Fault::Solvent => vec![known.warm(), known.unfed()],
        Fault::Sulfur => vec![known.unfed(), known.on_lees(), known.young()],
        Fault::Vinegar => vec![known.late_air(), known.no_sulfite()],
        Fault::Oxidised => vec![known.late_air(), known.no_sulfite()],
        Fault::Green => vec![known.young(), known.late_air()],
        Fault::Yeasty => vec![known.on_lees(), known.young()],
        Fault::Vegetal => vec![known.on_lees()],
        Fault::Phenolic => vec![known.warm(), known.wood()],
        Fault::Mousy => vec![known.no_sulfite()],
        Fault::Geranium => vec![known.sorbate_alone()],
        Fault::Astringent => vec![known.wood(), known.spice()],
        Fault::Bitter => vec![known.spice(), known.wood()],
        Fault::Sour => vec![known.much_acid(), known.ended_dry()],
        Fault::Cloying => vec![known.ended_sweet(), known.little_acid()],
        Fault::Flabby => vec![known.little_acid(), known.ended_sweet()],
        Fault::Thin => vec![known.ended_dry()],
        Fault::NoHoney => vec![known.warm(), known.fruit()],
        Fault::Hazy => vec![known.fruit_uncleared(), known.never_cleared()],
        Fault::NotAsDeclared => vec![known.other_strength()],
        Fault::Buttery | Fault::Musty | Fault::Metallic => Vec::new(),
    };
    found.into_iter().flatten().collect()
}

/// What could be done about a fault with these causes, the plainest first: the first that can be done is the one to propose. Never
/// empty.
pub fn proposals(fault: Fault, causes: &[Cause]) -> Vec<Proposal> {
    let mut all: Vec<Proposal> = causes.iter().flat_map(|cause| of_cause(*cause)).collect();
    let of_sense = match fault {
        Fault::Hot => Some((Sense::Warmth, Way::Less)),
        Fault::Astringent | Fault::Bitter => Some((Sense::Tannin, Way::Less)),
        Fault::Sour => Some((Sense::Acidity, Way::Less)),
        Fault::Cloying => Some((Sense::Sweetness, Way::Less)),
        Fault::Flabby => Some((Sense::Acidity, Way::More)),
        Fault::Thin => Some((Sense::Body, Way::More)),
        Fault::NoHoney => Some((Sense::Honey, Way::More)),
        _ => None,
    };
    all.extend(of_sense.map(|(sense, way)| Proposal::Recipe {
        sense,
        way,
        only: None,
    }));
    all.push(Proposal::Habit(match fault {
        Fault::Solvent => Habit::FermentCooler,
        Fault::Sulfur => Habit::FeedInSteps,
        Fault::Oxidised | Fault::Vinegar => Habit::KeepAirOut,
        Fault::Yeasty | Fault::Vegetal => Habit::RackSooner,
        Fault::Geranium => Habit::SulfiteWithSorbate,
        Fault::Hazy => Habit::FineIt,
        Fault::Green => Habit::LetItAge,
        Fault::NotAsDeclared => Habit::MeasureBeforeDeclaring,
        _ => Habit::TasteWithSomebody,
    }));
    all
}

fn of_cause(cause: Cause) -> Vec<Proposal> {
    let recipe = |sense, way, only| Proposal::Recipe { sense, way, only };
    match cause {
        Cause::Warm { .. } => vec![
            recipe(Sense::Warmth, Way::Less, Some("cooler")),
            Proposal::Habit(Habit::FermentCooler),
        ],
        Cause::Strong { .. } => vec![recipe(Sense::Warmth, Way::Less, Some("strength"))],
        Cause::Young { .. } => vec![Proposal::Habit(Habit::LetItAge)],
        Cause::Unfed => vec![Proposal::Habit(Habit::FeedInSteps)],
        Cause::OnLees { .. } => vec![Proposal::Habit(Habit::RackSooner)],
        Cause::LateAir { .. } => vec![Proposal::Habit(Habit::KeepAirOut)],
        Cause::NoSulfite => vec![Proposal::Habit(Habit::SulfiteAtRacking)],
        Cause::SorbateAlone => vec![Proposal::Habit(Habit::SulfiteWithSorbate)],
        Cause::Wood => vec![
            recipe(Sense::Tannin, Way::Less, None),
            Proposal::Habit(Habit::LessOnWood),
        ],
        Cause::Spice => vec![
            recipe(Sense::Spice, Way::Less, None),
            Proposal::Habit(Habit::LessSpice),
        ],
        Cause::EndedSweet { .. } => vec![recipe(Sense::Sweetness, Way::Less, None)],
        Cause::EndedDry { .. } => vec![recipe(Sense::Body, Way::More, None)],
        Cause::LittleAcid { .. } => vec![recipe(Sense::Acidity, Way::More, None)],
        Cause::MuchAcid { .. } => vec![recipe(Sense::Acidity, Way::Less, None)],
        Cause::FruitUncleared => vec![Proposal::Habit(Habit::EnzymeForFruit)],
        Cause::Fruit => vec![recipe(Sense::Fruit, Way::Less, None)],
        Cause::NeverCleared => vec![Proposal::Habit(Habit::FineIt)],
        Cause::OtherStrength { .. } => vec![Proposal::Habit(Habit::MeasureBeforeDeclaring)],
    }
}

impl Known<'_> {
    fn pitch_h(&self) -> f64 {
        self.state.marks.pitch.unwrap_or(0.0)
    }

    fn day(&self, hours: f64) -> u32 {
        ((hours - self.pitch_h()) / 24.0).floor().max(0.0) as u32 + 1
    }

    /// Additions of a kind, with their hour.
    fn added(&self, what: What) -> impl Iterator<Item = (f64, &Addition)> {
        let all = self.entries.iter();
        all.filter_map(move |entry| match &entry.deed {
            Deed::Addition(one) if one.what == what => Some((entry.hours, one)),
            _ => None,
        })
    }

    fn has(&self, kind: Kind) -> bool {
        self.recipe.ingredients.iter().any(|one| one.kind == kind)
    }

    fn warm(&self) -> Option<Cause> {
        let likes = self
            .recipe
            .yeasts
            .iter()
            .filter_map(|yeast| yeast.temperature_c);
        let likes = likes.map(|[_, high]| high).fold(WARM_C, f64::min);
        let pitch = self.pitch_h();
        let read = self.entries.iter().filter_map(|entry| match &entry.deed {
            Deed::Reading(read) => Some((entry.hours, read.must_temperature_c?)),
            Deed::Mixed(mixed) => Some((entry.hours, mixed.temperature_c?)),
            _ => None,
        });
        let early = read.filter(|(hours, _)| (pitch..=pitch + EARLY_DAYS * 24.0).contains(hours));
        let (hours, celsius) = early.max_by(|one, other| one.1.total_cmp(&other.1))?;
        (celsius > likes).then(|| Cause::Warm {
            celsius,
            day: self.day(hours),
        })
    }

    fn strong(&self) -> Option<Cause> {
        let abv_percent = self.state.abv_percent;
        (abv_percent >= STRONG_ABV).then_some(Cause::Strong { abv_percent })
    }

    fn young(&self) -> Option<Cause> {
        let days = (self.judged_h? / 24.0).max(0.0);
        (days < TASTE_AGAIN_DAYS).then_some(Cause::Young { days })
    }

    fn unfed(&self) -> Option<Cause> {
        let fed = self
            .entries
            .iter()
            .any(|entry| matches!(entry.deed, Deed::Feed(_)));
        (!fed).then_some(Cause::Unfed)
    }

    fn on_lees(&self) -> Option<Cause> {
        let mut racked = self.entries.iter().filter_map(|entry| match &entry.deed {
            Deed::Rack(_) => Some(entry.hours),
            _ => None,
        });
        let first = racked.next();
        let until = first.or(self.state.marks.packaged).or(self.judged_h)?;
        let days = (until - self.pitch_h()) / 24.0;
        (days > LEES_DAYS).then_some(Cause::OnLees {
            days,
            still: first.is_none(),
        })
    }

    fn late_air(&self) -> Option<Cause> {
        let late = self.pitch_h() + AIR_DAYS * 24.0;
        let mut aired = self.entries.iter();
        let aired = aired.find(|entry| matches!(entry.deed, Deed::Aerate) && entry.hours > late)?;
        Some(Cause::LateAir {
            day: self.day(aired.hours),
        })
    }

    fn sulfited(&self) -> bool {
        self.state.total_so2_mg_per_l > 0.0 || self.added(What::Sulfite).next().is_some()
    }

    fn no_sulfite(&self) -> Option<Cause> {
        (!self.sulfited()).then_some(Cause::NoSulfite)
    }

    fn sorbate_alone(&self) -> Option<Cause> {
        let sorbate =
            self.state.sorbic_mg_per_l > 0.0 || self.added(What::Sorbate).next().is_some();
        (sorbate && !self.sulfited()).then_some(Cause::SorbateAlone)
    }

    fn wood(&self) -> Option<Cause> {
        let logged =
            self.added(What::Wood).next().is_some() || self.added(What::Tannin).next().is_some();
        (logged || self.has(Kind::Wood) || self.has(Kind::Tannin)).then_some(Cause::Wood)
    }

    fn spice(&self) -> Option<Cause> {
        let logged = self.added(What::Spice).next().is_some();
        (logged || self.has(Kind::Spice)).then_some(Cause::Spice)
    }

    fn ended_sweet(&self) -> Option<Cause> {
        let sg = self.state.sg;
        (sg >= SWEET_SG).then_some(Cause::EndedSweet { sg })
    }

    fn ended_dry(&self) -> Option<Cause> {
        let sg = self.state.sg;
        (sg <= DRY_SG).then_some(Cause::EndedDry { sg })
    }

    /// Acid as titrated or reckoned, and the last pH.
    fn acid(&self) -> (Option<f64>, Option<f64>) {
        let ph = self.state.ph.map(|measured| measured.value);
        (self.state.ta_g_per_l, ph)
    }

    fn little_acid(&self) -> Option<Cause> {
        let (ta_g_per_l, ph) = self.acid();
        let little = match (ta_g_per_l, ph) {
            (Some(ta), _) => ta < LITTLE_ACID.0,
            (None, Some(ph)) => ph > LITTLE_ACID.1,
            (None, None) => false,
        };
        little.then_some(Cause::LittleAcid { ta_g_per_l, ph })
    }

    fn much_acid(&self) -> Option<Cause> {
        let (ta_g_per_l, ph) = self.acid();
        let much = match (ta_g_per_l, ph) {
            (Some(ta), _) => ta > MUCH_ACID.0,
            (None, Some(ph)) => ph < MUCH_ACID.1,
            (None, None) => false,
        };
        much.then_some(Cause::MuchAcid { ta_g_per_l, ph })
    }

    fn has_fruit(&self) -> bool {
        let logged =
            self.added(What::Fruit).next().is_some() || self.added(What::Juice).next().is_some();
        logged || self.has(Kind::Fruit) || self.has(Kind::Juice)
    }

    fn fruit(&self) -> Option<Cause> {
        self.has_fruit().then_some(Cause::Fruit)
    }

    fn fruit_uncleared(&self) -> Option<Cause> {
        let enzyme = self.added(What::Enzyme).next().is_some() || self.has(Kind::Enzyme);
        (self.has_fruit() && !enzyme).then_some(Cause::FruitUncleared)
    }

    fn never_cleared(&self) -> Option<Cause> {
        let racked = self
            .entries
            .iter()
            .any(|entry| matches!(entry.deed, Deed::Rack(_)));
        let fined = self.added(What::Fining).next().is_some();
        (!racked && !fined).then_some(Cause::NeverCleared)
    }

    fn other_strength(&self) -> Option<Cause> {
        let (declared, reckoned) = (self.declared_abv_percent?, self.state.abv_percent);
        let other = (declared - reckoned).abs() >= DECLARED_ABV;
        other.then_some(Cause::OtherStrength { declared, reckoned })
    }
}
