//! From the day before to the pitch.

use super::book::{Book, Stand, amount_of, numbered, step};
use super::codes::{Beware, StepKind as Kind, Why};
use super::days;
use super::honey::Held;
use super::step::{Amount, At, Due, State, Step};
use crate::engine::problem::CautionCode as Code;
use crate::engine::recipe::{self, Form, When, YeastWhen};

/// Hours that an enzyme, and sulfite in the must, want before the yeast (common practice, no published source).
const ENZYME_H: f64 = 12.0;
const SULFITE_H: f64 = 24.0;
/// A must may wait so long for its yeast, hours (our judgement, no published source).
const MUST_WAITS_H: f64 = 12.0;
/// Minutes that dry yeast lies in its water (reference on nutrition, section 6: common practice).
const WAKING_MINUTES: [u32; 2] = [15, 20];

/// Where the first steps leave the plan.
pub(super) struct Begun {
    pub pitch: Stand,
    pub fruit: Option<Stand>,
}

/// Fruit that floats and comes out again.
pub(super) fn is_solid_fruit(item: &recipe::Ingredient) -> bool {
    let liquid = matches!(item.form, Some(Form::Juice | Form::Puree | Form::Tincture));
    item.kind == recipe::Kind::Fruit && !liquid
}

/// How what comes before the yeast stands by itself: once it is pitched, all of it went by.
fn before_yeast(book: &Book<'_>) -> State {
    match book.facts.is_done("pitch", book.facts.pitch_h) {
        true => State::Past,
        false => State::Open,
    }
}

pub(super) fn begin(book: &mut Book<'_>, held: Option<&Held>) -> Begun {
    let state = before_yeast(book);
    let beforehand = Step {
        due: Due::at(Some(At::Day {
            since_h: 0.0,
            days: -1,
            from_days: -7,
            to_days: 0,
        })),
        state,
        ..step("prepare", Kind::Prepare, Why::NothingMissing)
    };
    let prepared = book.add(beforehand, None, None);
    let today = Due::at(Some(At::exactly(0.0)));
    let clean = Step {
        due: today,
        beware: vec![Beware::OneChemical],
        state,
        ..step("sanitise", Kind::Sanitise, Why::GermsSpoil)
    };
    let mut stand = book.add(clean, None, Some(&prepared));
    if book.has(Code::HotHoney) {
        stand = cook(book, &stand);
    }
    stand = mix(book, &stand, held);
    let mut fruit = None;
    for (key, kind, why, solid) in [
        ("fruit-in", Kind::FruitIn, Why::FruitFermentsAlong, true),
        ("primary", Kind::AddPrimary, Why::FermentsAlong, false),
    ] {
        let lines = book.lines(When::Primary, |item| is_solid_fruit(item) == solid);
        if lines.is_empty() {
            continue;
        }
        let amounts: Vec<Amount> = lines.iter().map(|(line, _)| amount_of(line)).collect();
        let mut cautions = book.about(&amounts);
        if solid {
            cautions.extend(book.coded(&[Code::FruitCap, Code::NarrowMouth, Code::FreshFruit]));
        }
        let put_in = Step {
            due: Due::at(stand.at),
            cautions,
            amounts,
            state,
            ..step(key, kind, why)
        };
        stand = book.add(put_in, None, Some(&stand));
        if solid {
            fruit = Some(stand.clone());
        }
    }
    let pitch = pitch(book, &stand);
    Begun { pitch, fruit }
}

fn cook(book: &mut Book<'_>, after: &Stand) -> Stand {
    let state = before_yeast(book);
    let cautions = book.coded(&[Code::HotHoney]);
    let browned = |name: &str| {
        let mut names = cautions.iter();
        names.any(|caution| caution.arguments.text("name") == Some(name))
    };
    let lines = book.lines(When::Must, |item| browned(&item.name));
    let cook = Step {
        amounts: lines.iter().map(|(line, _)| amount_of(line)).collect(),
        due: Due::at(Some(At::exactly(0.0))),
        cautions,
        state,
        ..step("cook", Kind::Cook, Why::BrownsTheHoney)
    };
    book.add(cook, None, Some(after))
}

fn mix(book: &mut Book<'_>, after: &Stand, held: Option<&Held>) -> Stand {
    let state = before_yeast(book);
    let lines = book.lines(When::Must, |_| true);
    let mut amounts: Vec<Amount> = lines.iter().map(|(line, _)| amount_of(line)).collect();
    let mut cautions = book.about(&amounts);
    // What is hot is told where it is cooked.
    cautions.retain(|caution| caution.code != Code::HotHoney);
    cautions.extend(book.coded(&[
        Code::VesselTooSmall,
        Code::FoamMayOverflow,
        Code::VesselMaterial,
        Code::HoneyAndInfants,
    ]));
    let mut why = Why::MakesTheMust;
    if let Some(must) = &book.numbers.must {
        amounts.push(Amount::Water {
            litres: must.water_l,
        });
        match held {
            Some(held) => {
                why = Why::HoldsHoneyBack;
                amounts.push(Amount::HeldBack { kg: held.kg });
                amounts.push(Amount::Mark {
                    litres: held.first_l,
                });
                amounts.push(Amount::Reads { sg: held.first_sg });
            }
            None => {
                amounts.push(Amount::Mark {
                    litres: must.volume_l,
                });
                amounts.push(Amount::Reads { sg: must.og });
            }
        }
    }
    let mix = Step {
        amounts,
        due: Due::at(Some(At::exactly(0.0))),
        cautions,
        state,
        ..step("mix", Kind::Mix, why)
    };
    book.add(mix, book.facts.mixed_h, Some(after))
}

fn pitch(book: &mut Book<'_>, after: &Stand) -> Stand {
    let state = before_yeast(book);
    let (wait, why) = match (
        book.has(Code::SulfiteBeforeYeast),
        book.has(Code::EnzymeBeforeYeast),
    ) {
        (true, _) => (SULFITE_H, Why::BeginsAfterSulfite),
        (false, true) => (ENZYME_H, Why::BeginsAfterEnzyme),
        (false, false) => (0.0, Why::Begins),
    };
    let due = Due::at(after.hours().map(|mixed| At::Instant {
        hours: mixed + wait,
        from_h: mixed + wait,
        to_h: mixed + wait + MUST_WAITS_H,
    }));
    let air = Step {
        due,
        state,
        ..step("aerate", Kind::Aerate, Why::YeastWantsAir)
    };
    let mut stand = book.add(air, None, Some(after));
    let yeasts = book.recipe.yeasts.iter();
    let names: Vec<String> = yeasts
        .filter(|yeast| yeast.when == YeastWhen::Pitch)
        .map(|yeast| yeast.name.clone())
        .collect();
    let mut amounts = Vec::new();
    if let Some(pitching) = &book.numbers.pitching {
        let yeast = Amount::Yeast {
            names,
            grams: pitching.yeast_g,
            sachets: pitching.sachets,
        };
        if pitching.rehydration.wanted {
            let [low_c, high_c] = pitching.rehydration.temperature_c;
            let wake = Step {
                amounts: vec![
                    yeast.clone(),
                    Amount::WakingWater {
                        grams: pitching.rehydration.water_g,
                        low_c,
                        high_c,
                        minutes: WAKING_MINUTES,
                    },
                ],
                due,
                state,
                ..step("rehydrate", Kind::Rehydrate, Why::WakesGently)
            };
            stand = book.add(wake, None, Some(&stand));
        }
        amounts.push(yeast);
    }
    let mut cautions = book.about(&amounts);
    cautions.extend(book.coded(&[
        Code::CarbonDioxide,
        Code::OutsideYeastTemperature,
        Code::VeryStrongMust,
        Code::NoFeed,
    ]));
    let pitch = Step {
        amounts,
        due,
        cautions,
        ..step("pitch", Kind::Pitch, why)
    };
    book.add(pitch, book.facts.pitch_h, Some(&stand))
}

/// A second yeast: after two or three days where the first one stops half-way, else from its end.
pub(super) fn later_yeasts(book: &mut Book<'_>, pitch: &Stand, end: &Stand) {
    let yeasts = book.recipe.yeasts.iter();
    let later: Vec<_> = yeasts
        .filter(|yeast| yeast.when == YeastWhen::Later)
        .collect();
    let (base, wait) = match book.has(Code::StopsHalfWay) {
        true => (pitch, days::SECOND_YEAST),
        false => (end, days::AFTER_THE_FIRST),
    };
    for (yeast, number) in later.into_iter().zip(1..) {
        let amounts = vec![Amount::YeastByPacket {
            name: yeast.name.clone(),
        }];
        let pitch_later = Step {
            cautions: book.about(&amounts),
            amounts,
            due: Due::at(base.plus(wait)),
            ..numbered(
                "later-yeast",
                number,
                Kind::LaterYeast,
                Why::SecondYeastTakesOver,
            )
        };
        book.add(pitch_later, None, Some(base));
    }
}
