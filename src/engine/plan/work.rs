//! While it ferments: the cap of fruit, the one-third break, the pH, fruit and spice that come out, the end.

use super::book::{Book, Stand, amount_of, numbered, step};
use super::codes::{Beware, StepKind as Kind, Why};
use super::days::{self, Days};
use super::facts::Forecast;
use super::feeds::Break;
use super::honey::Held;
use super::start::is_solid_fruit;
use super::step::{Amount, At, Due, Step};
use super::time::{in_days, later};
use crate::engine::formulation::Line;
use crate::engine::problem::CautionCode as Code;
use crate::engine::recipe::{Ingredient, Kind as What, When};

const TWICE_A_DAY_H: f64 = 12.0;
/// Below this pH yeast may stall; potassium bicarbonate against it in steps, g/L (common practice, no published source).
const LOW_PH: f64 = 3.1;
const BICARBONATE_G_PER_L: f64 = 0.25;
/// A pH that was read so long after the pitch tells of the fermentation, hours (our judgement, no published source).
const PH_TELLS_H: f64 = 24.0;
/// A fermentation that nobody has read is looked at for longer than any plan counts on, days.
const MOST_CONTACT_DAYS: f64 = 3_650.0;

/// The break: where it lies, when it is to be expected, whether it is passed.
pub(super) fn the_break(book: &Book<'_>, pitch: &Stand, held: Option<&Held>) -> Break {
    let ladder = book.numbers.ladder.as_ref();
    let sg = held
        .map(|held| held.break_sg)
        .or(ladder.map(|ladder| ladder.one_third_break_sg));
    let passed_h = sg.and_then(|sg| book.facts.broken_h(sg));
    let [usual, earliest, latest] = days::to_break(book.numbers);
    let by_the_book = pitch.hours().map(|pitched| At::Instant {
        hours: pitched + usual,
        from_h: pitched + earliest,
        to_h: pitched + latest,
    });
    let at = match (passed_h, book.facts.break_forecast) {
        (Some(hours), _) => Some(At::exactly(hours)),
        (None, Some(forecast)) => Some(instant(forecast)),
        (None, None) => by_the_book,
    };
    Break { sg, at, passed_h }
}

fn instant(forecast: Forecast) -> At {
    At::Instant {
        hours: forecast.best_h,
        from_h: forecast.low_h,
        to_h: forecast.high_h,
    }
}

/// Reading the break, and the pH with it.
pub(super) fn at_the_break(book: &mut Book<'_>, pitch: &Stand, broken: &Break) {
    let due = Due {
        at: broken.at,
        or_at_sg: broken.sg,
    };
    let read = Step {
        amounts: broken
            .sg
            .map(|sg| Amount::Reads { sg })
            .into_iter()
            .collect(),
        due,
        beware: vec![Beware::NoMoreAir],
        ..step("break", Kind::Break, Why::ThirdIsGone)
    };
    let stand = book.add(read, broken.passed_h, Some(pitch));
    let ph = book.facts.ph;
    let after_pitch = |hours: f64| {
        book.facts
            .pitch_h
            .is_some_and(|pitched| hours >= pitched + PH_TELLS_H)
    };
    let litres = book
        .numbers
        .whole
        .as_ref()
        .map_or(0.0, |whole| whole.volume_l);
    let needed = ph.is_none_or(|ph| ph.value < LOW_PH);
    let measure = Step {
        amounts: needed
            .then_some(Amount::Bicarbonate {
                grams: BICARBONATE_G_PER_L * litres,
                below_ph: LOW_PH,
            })
            .into_iter()
            .collect(),
        due,
        cautions: book.coded(&[Code::HoneyHoldsPhPoorly]),
        ..numbered("ph", 1, Kind::Ph, Why::PhMayFall)
    };
    let measured = ph.map(|ph| ph.hours).filter(|hours| after_pitch(*hours));
    book.add(measure, measured, Some(&stand));
}

/// The longest that these lie in it, as the recipe says.
fn contact(items: &[(&Line, &Ingredient)]) -> Option<i32> {
    let days = items.iter().filter_map(|(_, item)| item.days);
    let days = days.filter(|days| days.is_finite()).reduce(f64::max)?;
    Some(in_days(24.0 * days.clamp(0.0, MOST_CONTACT_DAYS)))
}

/// The cap of fruit, and the fruit's way out.
pub(super) fn fruit(book: &mut Book<'_>, put_in: Option<&Stand>) -> Option<Stand> {
    let put_in = put_in?;
    let lines = book.lines(When::Primary, is_solid_fruit);
    let wait = contact(&lines).map_or(days::FRUIT, |days| [days, days, days]);
    let cap = Step {
        due: Due::at(put_in.plus([1, 1, wait[0].max(1)])),
        every_h: Some(TWICE_A_DAY_H),
        cautions: book.coded(&[Code::FruitCap]),
        ..step("cap", Kind::WetCap, Why::CapDries)
    };
    book.add(cap, None, Some(put_in));
    let amounts: Vec<Amount> = lines.iter().map(|(line, _)| amount_of(line)).collect();
    let mut cautions = book.about(&amounts);
    cautions.retain(|caution| is_about_time(caution.code));
    let take_out = Step {
        due: Due::at(put_in.plus(wait)),
        cautions,
        amounts,
        ..step("fruit-out", Kind::FruitOut, Why::SugarIsOut)
    };
    Some(book.add(take_out, None, Some(put_in)))
}

/// What is to be heeded when something comes out.
fn is_about_time(code: Code) -> bool {
    matches!(
        code,
        Code::KeepFromDogs | Code::ContactTooLong | Code::WholeFruitKeepsSugar | Code::FruitStones
    )
}

/// Spice, wood and later fruit come out on their days: one step for all that went in at a stage and has the same days. Gives
/// back the last of them.
pub(super) fn take_out(
    book: &mut Book<'_>,
    when: When,
    put_in: &Stand,
    number: &mut u32,
) -> Option<Stand> {
    let stays = |item: &Ingredient| {
        item.days.is_none_or(|days| !days.is_finite())
            || matches!(
                item.kind,
                What::Honey | What::Juice | What::Syrup | What::Sugar
            )
            || (when == When::Primary && is_solid_fruit(item))
    };
    let mut groups: Vec<(i32, Vec<Amount>)> = Vec::new();
    for pair in book.lines(when, |item| !stays(item)) {
        let Some(days) = contact(&[pair]) else {
            continue;
        };
        let amount = amount_of(pair.0);
        match groups.iter_mut().find(|(other, _)| *other == days) {
            Some((_, amounts)) => amounts.push(amount),
            None => groups.push((days, vec![amount])),
        }
    }
    let mut last: Option<Stand> = None;
    for (days, amounts) in groups {
        *number += 1;
        let mut cautions = book.about(&amounts);
        cautions.retain(|caution| is_about_time(caution.code) || caution.code == Code::HotPepper);
        let out = Step {
            cautions,
            amounts,
            due: Due::at(put_in.plus([days, days.min(1), days])),
            ..numbered("out", *number, Kind::TakeOut, Why::EnoughTaste)
        };
        let stand = book.add(out, None, Some(put_in));
        last = Some(match last {
            Some(before) => before.or_later(&stand),
            None => stand,
        });
    }
    last
}

/// When it is to be expected at its end: seen, forecast, or by the book; never with fruit still in it.
pub(super) fn the_end(
    book: &Book<'_>,
    pitch: &Stand,
    honey: Option<&Stand>,
    fruit_out: Option<&Stand>,
) -> Option<At> {
    let by_the_book: Option<At> = match honey {
        Some(last) => last.plus(days::AFTER_HONEY),
        None => pitch.plus(days::to_end(book.numbers)),
    };
    let expected = match (book.facts.end_forecast, pitch.hours()) {
        (Some(forecast), Some(pitched)) => {
            let after: Days = [forecast.best_h, forecast.low_h, forecast.high_h]
                .map(|hours| in_days(hours - pitched));
            Some(At::exactly(pitched).plus_days(after[0], after[1], after[2]))
        }
        _ => by_the_book,
    };
    later(expected, fruit_out.and_then(|out| out.at))
}
