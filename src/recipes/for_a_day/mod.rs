//! A mead for a day: from the bottles wanted and the day back to the must, the honey and the last day to start.

pub mod asked;
pub mod days;
pub mod making;
pub mod pages;
pub mod vessels;
mod words;

use chrono::{Days, NaiveDate};

use self::days::{Course, Traits, course};
use self::making::{Made, make};
use crate::engine::problem::Problem;
use crate::engine::recipe::Finish;
use crate::web::units::Units;

/// The strength of the light mead that is offered where a stronger one comes too late, % ABV.
const LIGHT_ABV: f64 = 7.0;
/// From here a mead ages as a strong one does, and just below it does not, % ABV (bands: the reference on styles).
const STRONG_ABV: f64 = 14.0;
const BELOW_STRONG_ABV: f64 = 13.5;

/// What it is made of; each has a starter recipe behind it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Plain,
    Raspberry,
    Spiced,
    Apple,
    Browned,
}

impl Kind {
    /// All of them, the plainest first.
    pub const ALL: [Kind; 5] = [
        Kind::Plain,
        Kind::Raspberry,
        Kind::Spiced,
        Kind::Apple,
        Kind::Browned,
    ];
}

/// How sweet it ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sweetness {
    Dry,
    SemiSweet,
    Sweet,
}

impl Sweetness {
    /// All of them, the driest first.
    pub const ALL: [Sweetness; 3] = [Sweetness::Dry, Sweetness::SemiSweet, Sweetness::Sweet];

    /// How it ends; gravities from the middle of each band, as in the workbench's questions.
    pub fn finish(self) -> Finish {
        match self {
            Sweetness::Dry => Finish::Dry,
            Sweetness::SemiSweet => Finish::SweetenTo(1.015),
            Sweetness::Sweet => Finish::SweetenTo(1.030),
        }
    }
}

/// How much of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// Bottles of so many litres.
    Bottles(i32, f64),
    Litres(f64),
}

impl Amount {
    /// Litres to fill.
    pub fn litres(self) -> f64 {
        match self {
            Amount::Bottles(count, size_l) => f64::from(count) * size_l,
            Amount::Litres(litres) => litres,
        }
    }
}

/// What somebody wants to pour, and when.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    pub amount: Amount,
    pub day: NaiveDate,
    pub abv_percent: f64,
    pub sweetness: Sweetness,
    pub kind: Kind,
    pub sparkling: bool,
}

/// A mead that is good on the day, planned back to its mixing day.
#[derive(Clone, Debug)]
pub struct Plan {
    pub wish: Wish,
    pub made: Made,
    pub course: Course,
    /// The last day to mix it.
    pub start: NaiveDate,
}

/// What can be said.
#[derive(Clone, Debug)]
pub enum Answer {
    /// There is time for what was wished.
    InTime(Box<Plan>),
    /// There is not; here is what there is time for.
    TooLate {
        /// The last day on which the wish could have been mixed.
        since: NaiveDate,
        instead: Box<Plan>,
        /// The same strength of another kind, where there is time for that.
        others: Vec<Wish>,
    },
    /// Nothing is ready by then; from today on, this is the soonest day of all.
    Never { soonest: NaiveDate, days: i64 },
    /// It cannot be made so.
    Impossible(Vec<Problem>),
}

/// Plans one mead back from its day.
///
/// # Errors
/// What stands in the way of its numbers.
pub fn plan(wish: &Wish, units: Units) -> Result<Plan, Vec<Problem>> {
    let made = make(wish, units)?;
    let course = course(&Traits::of(&made, wish.sparkling));
    let start = back(wish.day, course.ready);
    Ok(Plan {
        wish: *wish,
        made,
        course,
        start,
    })
}

/// So many days before a day; as far back as dates go.
fn back(day: NaiveDate, days: i64) -> NaiveDate {
    let days = Days::new(days.unsigned_abs());
    day.checked_sub_days(days).unwrap_or(NaiveDate::MIN)
}

/// Plans what was wished, or what there is time for.
pub fn answer(wish: &Wish, today: NaiveDate, units: Units) -> Answer {
    let wished = match plan(wish, units) {
        Ok(plan) => plan,
        Err(problems) => return Answer::Impossible(problems),
    };
    if wished.start >= today {
        return Answer::InTime(Box::new(wished));
    }
    let in_time = |wish: &Wish| {
        let found = plan(wish, units).ok();
        found.filter(|plan| plan.start >= today)
    };
    let nearest = nearest_first(wish);
    if let Some(instead) = nearest.iter().find_map(in_time) {
        let others = Kind::ALL.into_iter().filter(|kind| *kind != wish.kind);
        let others = others.map(|kind| Wish { kind, ..*wish });
        return Answer::TooLate {
            since: wished.start,
            instead: Box::new(instead),
            others: others.filter(|other| in_time(other).is_some()).collect(),
        };
    }
    let quickest = nearest.last().and_then(|wish| plan(wish, units).ok());
    let days = quickest.map_or(0, |plan| plan.course.ready);
    Answer::Never {
        soonest: today
            .checked_add_days(Days::new(days.unsigned_abs()))
            .unwrap_or(NaiveDate::MAX),
        days,
    }
}

/// What takes less time than the wish, the most like it first, the quickest of all last.
fn nearest_first(wish: &Wish) -> Vec<Wish> {
    let mut nearest = Vec::new();
    if wish.abv_percent >= STRONG_ABV {
        nearest.push(Wish {
            abv_percent: BELOW_STRONG_ABV,
            ..*wish
        });
    }
    let light = Wish {
        abv_percent: wish.abv_percent.min(LIGHT_ABV),
        ..*wish
    };
    let dry = Wish {
        sweetness: Sweetness::Dry,
        ..light
    };
    let still = Wish {
        sparkling: false,
        ..dry
    };
    let plain = Wish {
        kind: Kind::Plain,
        ..light
    };
    let quickest = Wish {
        kind: Kind::Plain,
        ..still
    };
    nearest.extend([light, dry, still, plain, quickest]);
    nearest.retain(|other| other != wish);
    nearest
}
