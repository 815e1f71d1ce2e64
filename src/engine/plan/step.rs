//! A step of the plan: what, how much, when, why, and how it stands.

use super::codes::{Beware, Missed, StepKind, Why};
use crate::engine::problem::Caution;

/// One step. Times are hours since the batch's beginning, which is its mixing.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Step {
    /// Stable text: `mix`, `feed-2`, `rack-1`. What the log says of a step names it so.
    pub key: String,
    /// What is done.
    pub kind: StepKind,
    /// Which of several of its kind, from 1; `None` where there is but one.
    pub number: Option<u32>,
    /// How much of what.
    pub amounts: Vec<Amount>,
    /// When.
    pub due: Due,
    /// Hours from one time to the next where it is done again and again within its window.
    pub every_h: Option<f64>,
    /// The step that comes before it.
    pub after: Option<String>,
    /// Why.
    pub why: Why,
    /// What the recipe's numbers warn of here, with arguments.
    pub cautions: Vec<Caution>,
    /// What else to take care of.
    pub beware: Vec<Beware>,
    /// What to do when it was missed; feeds only.
    pub missed: Option<Missed>,
    /// How it stands.
    pub state: State,
}

/// When a step is due: at a moment or a gravity, whichever comes first.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Due {
    /// `None` where nothing is known yet that it could be counted from.
    pub at: Option<At>,
    /// Or as soon as the gravity has fallen so far, SG 20/20.
    pub or_at_sg: Option<f64>,
}

/// A moment by the clock, or a day by the calendar, each with the window in which it still does its work.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum At {
    /// An instant.
    Instant {
        /// Hours since the beginning.
        hours: f64,
        /// The earliest.
        from_h: f64,
        /// The latest.
        to_h: f64,
    },
    /// A local date: so many days after the local date of an instant.
    Day {
        /// That instant, hours since the beginning.
        since_h: f64,
        /// Days after its date.
        days: i32,
        /// The earliest of them.
        from_days: i32,
        /// The latest.
        to_days: i32,
    },
}

/// How a step stands.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Still to be done.
    Open,
    /// Done then, as the log says itself or by what happened.
    Done {
        /// Hours since the beginning.
        hours: f64,
    },
    /// Left out on purpose.
    Skipped {
        /// When that was said, hours since the beginning.
        hours: f64,
    },
    /// Still to be done, at another time that the maker chose.
    Moved {
        /// Hours since the beginning.
        to_hours: f64,
    },
    /// Its moment went by and nobody wrote anything about it.
    Past,
}

impl State {
    /// Whether it is still to be done.
    pub fn is_open(self) -> bool {
        matches!(self, State::Open | State::Moved { .. })
    }
}

/// How much of what a step takes, or what it should show. Volumes at 20 °C.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Amount {
    /// An ingredient of the recipe.
    Ingredient {
        /// Its place in the document.
        index: usize,
        /// Its name.
        name: String,
        /// Kilograms.
        kg: Option<f64>,
        /// Litres; `None` where the density is not known.
        litres: Option<f64>,
    },
    /// What was put in besides the recipe.
    Steeps {
        /// Its name.
        name: String,
    },
    /// Water, litres.
    Water {
        /// Litres.
        litres: f64,
    },
    /// The mark to fill up to, litres.
    Mark {
        /// Litres.
        litres: f64,
    },
    /// What the hydrometer should read, SG 20/20.
    Reads {
        /// SG.
        sg: f64,
    },
    /// A feed.
    Feed {
        /// Its place among the recipe's feeds.
        index: usize,
        /// Its name.
        nutrient: String,
        /// Grams in all.
        grams: f64,
        /// Grams of these that come from feeds that were left out before.
        from_missed_g: f64,
    },
    /// Dry yeast; of several yeasts all together.
    Yeast {
        /// Their names.
        names: Vec<String>,
        /// Grams.
        grams: f64,
        /// Whole sachets that hold as much.
        sachets: u32,
    },
    /// Yeast whose amount its packet says.
    YeastByPacket {
        /// Its name.
        name: String,
    },
    /// A little fresh yeast for the bottles, g.
    BottleYeast {
        /// Its name; empty where the recipe names none.
        name: String,
        /// The least.
        low_g: f64,
        /// The most.
        high_g: f64,
    },
    /// Water to wake dry yeast in.
    WakingWater {
        /// Grams.
        grams: f64,
        /// Lowest temperature, °C.
        low_c: f64,
        /// Highest temperature, °C.
        high_c: f64,
        /// Least and most minutes.
        minutes: [u32; 2],
    },
    /// Of the recipe's honey so much waits and does not go in yet.
    HeldBack {
        /// Kilograms.
        kg: f64,
    },
    /// Honey that waited, and goes in now.
    Honey {
        /// Kilograms.
        kg: f64,
    },
    /// Potassium bicarbonate, only where the pH is below.
    Bicarbonate {
        /// Grams.
        grams: f64,
        /// pH.
        below_ph: f64,
    },
    /// Potassium metabisulfite for the pH that was measured.
    Metabisulfite {
        /// Grams.
        grams: f64,
        /// Free sulfur dioxide that is wanted, mg/L.
        free_mg_per_l: f64,
        /// That pH.
        ph: f64,
    },
    /// Potassium sorbate.
    Sorbate {
        /// Grams.
        grams: f64,
    },
    /// A dose that needs a measurement: the calculation of that name reckons it.
    Reckon {
        /// The engine's calculation.
        calculation: &'static str,
        /// What has to be measured or chosen first.
        needs: Needs,
        /// Grams where it cannot be measured, least and most.
        without_g: Option<[f64; 2]>,
    },
    /// What there is to fill, litres.
    ToFill {
        /// Litres.
        litres: f64,
    },
    /// Bottles of one size.
    Bottles {
        /// Litres of one.
        size_l: f64,
        /// How many.
        count: u32,
    },
    /// The part of the vessel that may stay empty.
    Headspace {
        /// 0 to 1.
        fraction: f64,
    },
}

/// What a dose has to wait for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Needs {
    /// The pH of the finished mead.
    Ph,
    /// Its pH and its free sulfite.
    PhAndFreeSo2,
    /// Its strength.
    Strength,
    /// How much gas is wanted, and how warm it was.
    Gas,
    /// What the maker tastes.
    Taste,
}
