//! How a fermentation goes, and what its forecast should not be trusted in, in words.

use super::{Saying, Words, say};
use crate::engine::outlook::{Course, Limit};
use crate::web::units::Units;
use serde_json::Value;

const fn saying(code: &'static str, lead: &'static str, sentence: &'static str) -> Saying {
    Saying {
        code,
        lead,
        sentence,
    }
}

const COURSES: &[Saying] = &[
    saying(
        "early",
        "Too early to tell",
        "On the first day nothing needs to be seen.",
    ),
    saying(
        "not_read",
        "Not read yet",
        "Take a reading: until then this is what is usual, and not what this mead does.",
    ),
    saying(
        "on_course",
        "On course",
        "It goes as its own readings let one expect.",
    ),
    saying(
        "ahead_of_forecast",
        "Ahead",
        "It goes faster than expected. Mind its temperature, and feed by the gravity rather than by the clock.",
    ),
    saying(
        "ask_about_the_lid",
        "Is the lid tight?",
        "It seems slow, but it is within its first three days, and a lid that leaks makes a silent airlock. Press on the lid, and take another reading tomorrow before you do anything.",
    ),
    saying(
        "slow",
        "Slower than expected",
        "It goes on, but slower than expected. Look at its temperature and its feeds before you change anything.",
    ),
    saying(
        "possible_stall",
        "It may have stopped",
        "Its gravity hardly moves, or has lain above what was expected for two days, although sugar is left that this yeast could use. Look for the cause first, and do not bottle it: it can start again.",
    ),
    saying(
        "at_its_limit",
        "At the yeast’s limit",
        "It stands still with sugar left, near what this yeast bears. Stabilise it before it is bottled: it can start again.",
    ),
    saying(
        "ended",
        "It has ended",
        "It stands still and next to no sugar is left. Before it is bottled it needs two equal readings 14 days apart.",
    ),
];

const LIMITS: &[Saying] = &[
    saying(
        "outside_temperatures",
        "Temperature",
        "It is colder or warmer than what this forecast was made for, 11 to 35 °C, so its days are a guess.",
    ),
    saying(
        "little_nitrogen",
        "Little food",
        "It has less nitrogen than what this forecast was made for, so it may take longer.",
    ),
    saying(
        "no_pause_at_the_start",
        "The first days",
        "The forecast has no pause at the beginning: a real yeast takes hours, or a day, to wake.",
    ),
    saying(
        "honey_not_calibrated",
        "Honey",
        "The forecast was made from grape must, and the club has not yet five finished batches to correct it by. It may be out by half or by double.",
    ),
    saying(
        "begun_anew",
        "Begun anew",
        "Since something was added that changed the mead, only readings after it count.",
    ),
];

/// How it goes.
pub fn course(course: Course) -> Words {
    say(COURSES, course.as_str(), "", &Value::Null, Units::Metric)
}

/// What the forecast should not be trusted in.
pub fn limit(limit: Limit) -> Words {
    say(LIMITS, limit.as_str(), "", &Value::Null, Units::Metric)
}

/// Every course's words.
pub fn course_sayings() -> &'static [Saying] {
    COURSES
}

/// Every limit's words.
pub fn limit_sayings() -> &'static [Saying] {
    LIMITS
}
