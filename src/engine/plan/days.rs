//! The days of the book: what is told before any reading. Common practice, no published source, where nothing else is said.

use crate::engine::ageing;
use crate::engine::formulation::Formulation;

/// Days after something: the usual, the earliest, the latest.
pub(super) type Days = [i32; 3];

/// Starting gravities from which a fermentation takes longer.
const USUAL_OG: f64 = 1.060;
const STRONG_OG: f64 = 1.110;

/// From the pitch to the one-third break, hours: usual, earliest, latest; a light must and any other. At the latest day 7, where
/// the last feed goes in (our judgement, no published source).
const BREAK_H: [[f64; 3]; 2] = [[48.0, 24.0, 96.0], [120.0, 48.0, 168.0]];
/// From the pitch until it stands still: light, usual ("two to four weeks"), strong.
const END: [Days; 3] = [[10, 7, 21], [21, 14, 28], [35, 21, 56]];
/// From the end to the first racking: a usual mead is racked three to six weeks on, mostly after four.
pub(super) const TO_RACK: Days = [7, 7, 14];
/// Between two readings that are to be equal.
pub(super) const BETWEEN_READINGS: Days = [14, 14, 28];
/// From the equal readings to stabilising, from there to sweetening (24 to 48 h), from there to the last reading.
pub(super) const TO_STABILISE: Days = [2, 0, 7];
pub(super) const TO_SWEETEN: Days = [2, 1, 4];
pub(super) const UNDER_AIRLOCK: Days = [14, 14, 28];
/// From there to fining, and what settles after it.
pub(super) const TO_FINE: Days = [3, 0, 14];
pub(super) const SETTLES: Days = [14, 7, 28];
/// From the first racking to the next.
pub(super) const TO_NEXT_RACKING: Days = [56, 42, 90];
/// A second racking so shortly before bottling is not worth its air.
pub(super) const NOT_BEFORE_BOTTLING: i32 = 14;
/// How long fruit stays in when nobody says: its sugar is out in 7 to 10 days.
pub(super) const FRUIT: Days = [10, 7, 10];
/// Until sugar that joined later stands still.
pub(super) const STILL_AGAIN: Days = [14, 7, 28];
/// From the pitch to a later yeast where the first one stops half-way; else from its end.
pub(super) const SECOND_YEAST: Days = [3, 2, 3];
pub(super) const AFTER_THE_FIRST: Days = [1, 0, 3];
/// From the pitch to the first honey in steps, and between two (our judgement, no published source: the gravity decides).
pub(super) const FIRST_HONEY: Days = [14, 7, 28];
pub(super) const NEXT_HONEY: Days = [7, 3, 14];
/// From the last honey to the end (our judgement, no published source).
pub(super) const AFTER_HONEY: Days = [14, 7, 28];
/// What a bottle rests before it is good: one in which sugar makes gas, a light one, any other.
const REST_WITH_GAS: i64 = 28;
const REST_LIGHT: i64 = 2;
const REST: i64 = 14;
/// Nothing recurs for longer, months.
pub(super) const MOST_MONTHS: u32 = 24;
/// Months between two looks at airlock and headspace, and between two measurements of free sulfite.
pub(super) const LOOK_MONTHS: u32 = 1;
pub(super) const SO2_MONTHS: u32 = 3;
/// Stronger than this, a mead is a strong one, whatever its style is called, % ABV.
const STRONG_ABV: f64 = 14.0;

fn og(numbers: &Formulation) -> f64 {
    numbers.whole.as_ref().map_or(1.0, |whole| whole.og)
}

/// From the pitch to the break, hours: usual, earliest, latest.
pub(super) fn to_break(numbers: &Formulation) -> [f64; 3] {
    BREAK_H[usize::from(og(numbers) >= USUAL_OG)]
}

/// From the pitch to the end.
pub(super) fn to_end(numbers: &Formulation) -> Days {
    match og(numbers) {
        og if og < USUAL_OG => END[0],
        og if og < STRONG_OG => END[1],
        _ => END[2],
    }
}

/// So many months in days.
pub(super) fn of_months(months: u32) -> i32 {
    i32::try_from(ageing::days_of(months)).unwrap_or(i32::MAX)
}

fn words(numbers: &Formulation) -> (&str, &str) {
    let style = numbers.style.as_ref();
    let family = style.and_then(|style| style.family.value.as_deref());
    let strength = style.and_then(|style| style.strength.value.as_deref());
    (family.unwrap_or_default(), strength.unwrap_or_default())
}

/// Months from the mixing until it is usually good, and better.
pub(super) fn months_to_drink(numbers: &Formulation) -> [u32; 2] {
    let (family, strength) = words(numbers);
    let finished = numbers.finished.as_ref();
    let stronger = finished.is_some_and(|finished| finished.abv_percent > STRONG_ABV);
    ageing::months(family, if stronger { "sack" } else { strength })
}

/// Days from the mixing to the bottles, so that it is good when it should be: before that it ages better in one vessel.
pub(super) fn to_package(numbers: &Formulation, with_gas: bool) -> i32 {
    let [good, _] = months_to_drink(numbers);
    let rest = match words(numbers) {
        _ if with_gas => REST_WITH_GAS,
        (_, "hydromel") => REST_LIGHT,
        _ => REST,
    };
    i32::try_from(ageing::days_of(good) - rest).unwrap_or(0)
}

/// Months from the mixing at which it is tasted: half-way to good, good, between, better; within two years.
pub(super) fn months_to_taste(numbers: &Formulation) -> Vec<u32> {
    let [good, better] = months_to_drink(numbers);
    let mut months: Vec<u32> = [good / 2, good, good.midpoint(better), better]
        .into_iter()
        .filter(|months| (1..=MOST_MONTHS).contains(months))
        .collect();
    months.dedup();
    months
}
