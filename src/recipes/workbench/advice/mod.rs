//! Advice beside the questions: what follows from the recipe, in words, reckoned by the engine.

pub mod feeding;
pub mod fruit;
pub mod kitchen;
pub mod vessel;
pub mod water;
pub mod yeasts;

use chrono::NaiveDate;

use crate::engine::{self, Formulation, Recipe};
use crate::recipes::numbers::Reader;

pub use feeding::FeedDay;
pub use water::WaterAdvice;
pub use yeasts::Ranked;

/// What advice is made from.
pub struct Case<'a> {
    pub recipe: &'a Recipe,
    pub numbers: &'a Formulation,
    pub settings: &'a engine::Settings,
    pub reader: &'a Reader,
    /// The day on which the must is made.
    pub mixing_day: NaiveDate,
}

/// All of it.
#[derive(Clone, Debug, Default)]
pub struct Advice {
    /// Yeasts for this must, the fittest first.
    pub yeasts: Vec<Ranked>,
    /// What bread yeast and raisins would make of it.
    pub kitchen: Vec<String>,
    /// What to make of the vessel.
    pub vessel: Vec<String>,
    /// What to know of the water, and to do about it.
    pub water: WaterAdvice,
    /// Gravities and the mark to fill to where fruit goes in: figure and words.
    pub fruit: Vec<(String, String)>,
    /// The feeding plan by day.
    pub feeding: Vec<FeedDay>,
}

/// Yeasts that are shown at once.
const FIRST: usize = 5;

impl Advice {
    /// The fittest yeasts.
    pub fn first_yeasts(&self) -> &[Ranked] {
        self.yeasts.get(..FIRST).unwrap_or(&self.yeasts)
    }

    /// The other yeasts.
    pub fn other_yeasts(&self) -> &[Ranked] {
        self.yeasts.get(FIRST..).unwrap_or_default()
    }

    /// What to do before every feed.
    pub fn before_feeding(&self) -> &'static str {
        feeding::BEFORE
    }
}

/// What there is to say.
pub fn advise(case: &Case<'_>) -> Advice {
    let yeasts = yeasts::rank(case);
    Advice {
        kitchen: kitchen::bread_yeast_and_raisins(case, &yeasts),
        vessel: vessel::advice(case),
        water: water::advice(case),
        fruit: fruit::gravities(case),
        feeding: feeding::by_day(case),
        yeasts,
    }
}
