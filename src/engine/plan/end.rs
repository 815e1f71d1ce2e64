//! From the end of the fermentation until it is ready to be filled.

use super::book::{Book, Stand, amount_of, numbered, step};
use super::codes::{Beware, StepKind as Kind, Why};
use super::days;
use super::stabilise::{is_stabiliser, stabilise};
use super::step::{Amount, At, Due, Needs, State, Step};
use super::work::take_out;
use crate::engine::problem::CautionCode as Code;
use crate::engine::recipe::{Finish, Ingredient, Kind as What, When};

const DAILY_H: f64 = 24.0;

/// Where the end leaves the plan.
pub(super) struct Ended {
    /// The first reading at the end, or the stopping.
    pub end: Stand,
    pub racked: Stand,
    /// The last that the bottles wait for.
    pub ready: Stand,
    /// When all that sulfite that stays in it was given.
    pub stabilised: Option<Stand>,
}

/// Numbers the readings at the end.
struct Readings(u32);

impl Readings {
    fn read(
        &mut self,
        book: &mut Book<'_>,
        why: Why,
        at: Option<At>,
        happened: Option<f64>,
        state: State,
        after: &Stand,
    ) -> Stand {
        self.0 += 1;
        let finished = book.numbers.finished.as_ref();
        let sg = finished.map(|finished| match why {
            Why::StaysSweet => finished.fg,
            _ => finished.natural_fg,
        });
        let read = Step {
            amounts: sg.map(|sg| Amount::Reads { sg }).into_iter().collect(),
            due: Due::at(at),
            state,
            ..numbered("end", self.0, Kind::End, why)
        };
        book.add(read, happened, Some(after))
    }
}

/// Whether it goes in to be a part of the mead: not to stabilise or to clear it.
fn is_for_taste(item: &Ingredient) -> bool {
    !is_stabiliser(item) && item.kind != What::Fining
}

pub(super) fn end(book: &mut Book<'_>, pitch: &Stand, expected: Option<At>, outs: u32) -> Ended {
    let sweet = book.has(Code::StabiliseBeforeBottling);
    let mut outs = outs;
    let mut readings = Readings(0);
    let (end, stopped) = match book.recipe.finish {
        Finish::ArrestTo(sg) => (stop(book, pitch, expected, sg), true),
        Finish::Dry | Finish::SweetenTo(_) => {
            let seen = book.facts.end_seen_h;
            // Nobody racks before it stands still.
            let racked = book.facts.racked_h.first().copied();
            let state = match book.facts.is_done("rack-1", racked) {
                true => State::Past,
                false => State::Open,
            };
            let end = readings.read(book, Why::MayStandStill, expected, seen, state, pitch);
            (end, false)
        }
    };
    let to_rack = match stopped {
        true => [0, 0, 1],
        false => days::TO_RACK,
    };
    let rack = Step {
        due: Due::at(end.plus(to_rack)),
        cautions: book.coded(&[Code::LongInBucket]),
        beware: vec![Beware::NoMoreAir, Beware::HeavyGlass],
        ..numbered("rack", 1, Kind::Rack, Why::OffTheLees)
    };
    let racked = book.add(rack, book.facts.racked_h.first().copied(), Some(&end));
    let mut ready = racked.clone();
    let fermenting = !sweet && book.has(Code::SecondaryCanFerment);
    if !sweet && let Some(last) = secondary(book, &racked, &mut outs) {
        ready = last;
    }
    if !stopped {
        let agree = book.facts.readings_agree_h;
        let second = match fermenting {
            true => {
                let again = ready.plus(days::STILL_AGAIN);
                readings.read(
                    book,
                    Why::StandsStillAgain,
                    again,
                    None,
                    State::Open,
                    &ready,
                )
            }
            false => end.clone(),
        };
        let two_weeks = second.plus(days::BETWEEN_READINGS);
        let same = readings.read(
            book,
            Why::SameTwoWeeksOn,
            two_weeks,
            agree,
            State::Open,
            &second,
        );
        ready = ready.or_later(&same);
    }
    let stabilised = stabilise(book, &ready, sweet, stopped);
    if let Some(stabilised) = &stabilised {
        ready = stabilised.clone();
    }
    if sweet && let Some(last) = secondary(book, &ready, &mut outs) {
        ready = ready.or_later(&last);
    }
    let sweetened = sweeten(book, &ready);
    if let Some(sweetened) = &sweetened {
        ready = sweetened.clone();
    }
    if sweet {
        let holds = ready.plus(days::UNDER_AIRLOCK);
        let since = sweetened.as_ref().or(stabilised.as_ref());
        let since = since
            .and_then(Stand::hours)
            .filter(|_| book.facts.sweetened_h.is_some() || book.facts.stabilised_h.is_some());
        let agree = book.facts.readings_agree_h.zip(since);
        let happened = agree.filter(|(agree, since)| agree > since);
        let after = ready.clone();
        let held = readings.read(
            book,
            Why::StaysSweet,
            holds,
            happened.map(|(agree, _)| agree),
            State::Open,
            &after,
        );
        // Fining goes on at the same time, behind the sweetening.
        ready = fine(book, &ready).map_or(held.clone(), |fined| held.or_later(&fined));
    } else if let Some(fined) = fine(book, &ready) {
        ready = fined;
    }
    if let Some(last) = ageing(book, &racked, &mut outs) {
        ready = ready.or_later(&last);
    }
    Ended {
        end,
        racked,
        ready,
        stabilised,
    }
}

fn stop(book: &mut Book<'_>, pitch: &Stand, expected: Option<At>, sg: f64) -> Stand {
    let stop = Step {
        amounts: vec![Amount::Reads { sg }],
        due: Due {
            at: expected,
            or_at_sg: Some(sg),
        },
        every_h: Some(DAILY_H),
        cautions: book.coded(&[Code::MustBeStoppedByHand]),
        ..step("stop", Kind::Stop, Why::DoesNotStop)
    };
    book.add(stop, book.facts.end_seen_h, Some(pitch))
}

/// What joins after the first fermentation; the last of its steps.
fn secondary(book: &mut Book<'_>, after: &Stand, outs: &mut u32) -> Option<Stand> {
    let stage = (
        "secondary",
        Kind::AddSecondary,
        Why::LateKeepsSmell,
        When::Secondary,
    );
    join(book, stage, after, outs)
}

fn ageing(book: &mut Book<'_>, after: &Stand, outs: &mut u32) -> Option<Stand> {
    let stage = ("ageing", Kind::AddAgeing, Why::AgesOnIt, When::Ageing);
    join(book, stage, after, outs)
}

fn join(
    book: &mut Book<'_>,
    (key, kind, why, when): (&str, Kind, Why, When),
    after: &Stand,
    outs: &mut u32,
) -> Option<Stand> {
    let lines = book.lines(when, is_for_taste);
    if lines.is_empty() {
        return None;
    }
    let amounts: Vec<Amount> = lines.iter().map(|(line, _)| amount_of(line)).collect();
    let put_in = Step {
        cautions: book.about(&amounts),
        amounts,
        due: Due::at(after.plus([0, 0, 7])),
        ..step(key, kind, why)
    };
    let put_in = book.add(put_in, None, Some(after));
    let out = take_out(book, when, &put_in, outs);
    Some(out.unwrap_or(put_in))
}

fn sweeten(book: &mut Book<'_>, after: &Stand) -> Option<Stand> {
    let lines = book.lines(When::Sweeten, |item| !is_stabiliser(item));
    let sweetens = matches!(book.recipe.finish, Finish::SweetenTo(_));
    if lines.is_empty() && !sweetens {
        return None;
    }
    let mut amounts: Vec<Amount> = lines.iter().map(|(line, _)| amount_of(line)).collect();
    let mut cautions = book.about(&amounts);
    cautions.retain(|caution| caution.code != Code::HotHoney);
    if let Some(finished) = &book.numbers.finished {
        amounts.push(Amount::Reads { sg: finished.fg });
    }
    // The taste decides, a little short of the gravity.
    amounts.push(Amount::Reckon {
        calculation: "sweeten",
        needs: Needs::Taste,
        without_g: None,
    });
    let sweeten = Step {
        cautions,
        amounts,
        due: Due::at(after.plus(days::TO_SWEETEN)),
        ..step("sweeten", Kind::Sweeten, Why::SweetAfterwards)
    };
    Some(book.add(sweeten, book.facts.sweetened_h, Some(after)))
}

/// Finings, whatever stage they stand at in the recipe; when they have settled.
fn fine(book: &mut Book<'_>, after: &Stand) -> Option<Stand> {
    let mut amounts = Vec::new();
    for when in [When::Secondary, When::Sweeten, When::Ageing] {
        let lines = book.lines(when, |item| item.kind == What::Fining);
        amounts.extend(lines.iter().map(|(line, _)| amount_of(line)));
    }
    if amounts.is_empty() {
        return None;
    }
    let fine = Step {
        cautions: book.about(&amounts),
        amounts,
        due: Due::at(after.plus(days::TO_FINE)),
        beware: vec![Beware::FiningAllergens],
        ..step("fine", Kind::Fine, Why::ClearsIt)
    };
    let fined = book.add(fine, None, Some(after));
    Some(Stand {
        at: fined.plus(days::SETTLES),
        ..fined
    })
}
