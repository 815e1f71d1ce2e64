//! Keeping and filling: the second racking, gas, bottles or keg, and what comes again and again.

use super::book::{Book, Stand, numbered, step};
use super::codes::{Beware, StepKind as Kind, Why};
use super::days;
use super::end::Ended;
use super::step::{Amount, At, Due, Needs, Step};
use super::time::in_days;
use crate::engine::problem::CautionCode as Code;
use crate::engine::recipe::YeastWhen;
use crate::engine::vessel::{ageing_headspace, full};

/// Fresh yeast for bottles, g/L (common practice, no published source).
const BOTTLE_YEAST_G_PER_L: [f64; 2] = [0.1, 0.2];
/// What stays behind when it is filled, L (common practice, no published source).
const FILLING_LEAVES_L: f64 = 0.15;
const DAY_H: f64 = 24.0;

/// Where the mead goes.
#[derive(Clone, Copy, PartialEq)]
enum Into {
    Bottles,
    Keg,
}

fn goes_into(book: &Book<'_>) -> Into {
    let vessel = book.recipe.vessel.as_ref();
    let kind = vessel.and_then(|vessel| vessel.kind.as_deref());
    let declared = book.recipe.declared.as_ref();
    let declared = declared.and_then(|own| own.carbonation.as_deref());
    let says = declared.is_some_and(|own| own.to_lowercase().contains("keg"));
    match says || kind == Some("keg") {
        true => Into::Keg,
        false => Into::Bottles,
    }
}

/// The day of filling: as soon as it is ready, and not before it has aged in one vessel.
fn filling_day(book: &Book<'_>, ready: &Stand, with_gas: bool) -> Option<At> {
    let soonest = ready.at?;
    let aged = days::to_package(book.numbers, with_gas);
    let [_, better] = days::months_to_drink(book.numbers);
    let soonest_days = in_days(soonest.about_hours());
    if aged > soonest_days {
        return Some(At::Day {
            since_h: 0.0,
            days: aged,
            from_days: soonest_days,
            to_days: days::of_months(better).max(aged),
        });
    }
    Some(soonest.plus_days(0, 0, (days::of_months(better) - soonest_days).max(0)))
}

pub(super) fn keep(book: &mut Book<'_>, pitch: &Stand, ended: &Ended) {
    let with_gas = book.has(Code::BottlesForPressure);
    let into = goes_into(book);
    let planned = filling_day(book, &ended.ready, with_gas);
    let second = rack_again(book, ended, planned);
    let filled = fill(book, ended, planned, with_gas, into);
    let until = filled
        .hours()
        .unwrap_or(f64::INFINITY)
        .min(DAY_H * f64::from(days::of_months(days::MOST_MONTHS)));
    looks(book, pitch, until);
    free_so2(book, ended, second.as_ref(), until);
    tastings(book, pitch);
}

/// A second racking where there is time for it.
fn rack_again(book: &mut Book<'_>, ended: &Ended, planned: Option<At>) -> Option<Stand> {
    let at = ended.racked.plus(days::TO_NEXT_RACKING)?;
    let before_filling = planned?.about_hours() - at.about_hours();
    let racked = book.facts.racked_h.get(1).copied();
    let marked = book.facts.mark("rack-2").is_some();
    if before_filling < DAY_H * f64::from(days::NOT_BEFORE_BOTTLING) && racked.is_none() && !marked
    {
        return None;
    }
    let rack = Step {
        due: Due::at(Some(at)),
        cautions: book.coded(&[Code::LongInBucket]),
        beware: vec![Beware::NoMoreAir, Beware::HeavyGlass],
        ..numbered("rack", 2, Kind::Rack, Why::SettledSince)
    };
    Some(book.add(rack, racked, Some(&ended.racked)))
}

/// Litres to fill, for a recipe that makes `planned` litres: what its log has of it, once it was racked after its end; before then
/// what is planned, and never more than there is.
fn to_fill(book: &Book<'_>, planned: f64) -> f64 {
    let facts = book.facts;
    let Some(there) = facts.volume_l else {
        return planned;
    };
    let there = (there - FILLING_LEAVES_L).max(0.0);
    let is_racked = facts
        .end_seen_h
        .is_some_and(|end| facts.racked_h.iter().any(|racked| *racked >= end));
    match is_racked {
        true => there,
        false => planned.min(there),
    }
}

fn fill(
    book: &mut Book<'_>,
    ended: &Ended,
    planned: Option<At>,
    with_gas: bool,
    into: Into,
) -> Stand {
    let sweet = book.has(Code::StabiliseBeforeBottling);
    let mut after = ended.ready.clone();
    // What is stabilised makes no gas; what is sweet and not stabilised makes too much.
    if with_gas && into == Into::Bottles && !sweet && !book.facts.never_primed {
        after = prime(book, planned, &after);
    }
    let mut amounts = Vec::new();
    if let Some(package) = &book.numbers.package {
        let litres = to_fill(book, package.litres);
        amounts.push(Amount::ToFill { litres });
        if into == Into::Bottles
            && let Some(bottles) = package.bottles.first()
        {
            amounts.push(Amount::Bottles {
                size_l: bottles.size_l,
                count: full(litres, bottles.size_l),
            });
        }
    }
    let mut beware = Vec::new();
    beware.extend(unread(book));
    let mut cautions = book.coded(&[
        Code::StabiliseBeforeBottling,
        Code::YeastStartsAgain,
        Code::SulfiteAsthma,
        Code::Allergen,
    ]);
    let (key, kind, why) = match into {
        Into::Bottles => ("package", Kind::Package, Why::OnlyWhatStandsStill),
        Into::Keg => ("package", Kind::Keg, Why::GasFromCylinder),
    };
    match into {
        Into::Bottles => {
            cautions.extend(book.coded(&[Code::BottlesForPressure, Code::SparklingWithSugar]))
        }
        Into::Keg => {
            beware.push(Beware::KegPressure);
            if with_gas {
                amounts.push(Amount::Reckon {
                    calculation: "keg",
                    needs: Needs::Gas,
                    without_g: None,
                });
            }
        }
    }
    let fill = Step {
        amounts,
        due: Due::at(planned),
        cautions,
        beware,
        ..step(key, kind, why)
    };
    book.add(fill, book.facts.packaged_h, Some(&after))
}

/// Readings must agree before anything is closed.
fn unread(book: &Book<'_>) -> Option<Beware> {
    (!book.facts.stands_still()).then_some(Beware::ReadingsFirst)
}

fn prime(book: &mut Book<'_>, planned: Option<At>, after: &Stand) -> Stand {
    let mut amounts = vec![Amount::Reckon {
        calculation: "prime",
        needs: Needs::Gas,
        without_g: None,
    }];
    let mut yeasts = book.recipe.yeasts.iter();
    let named = yeasts.find(|yeast| yeast.when == YeastWhen::Bottle);
    if named.is_some() || book.has(Code::MayStayFlat) {
        let litres = book.numbers.package.as_ref();
        let litres = litres.map_or(0.0, |package| package.litres);
        let [low_g, high_g] = BOTTLE_YEAST_G_PER_L.map(|dose| dose * litres);
        amounts.push(Amount::BottleYeast {
            name: named.map_or(String::new(), |yeast| yeast.name.clone()),
            low_g,
            high_g,
        });
    }
    let prime = Step {
        amounts,
        due: Due::at(planned),
        cautions: book.coded(&[
            Code::BottlesForPressure,
            Code::MayStayFlat,
            Code::BottleYeastTooWeak,
        ]),
        beware: unread(book).into_iter().collect(),
        ..step("prime", Kind::Prime, Why::SugarMakesGas)
    };
    book.add(prime, None, Some(after))
}

/// Days from the `number`th time to the one before it, or to the start.
fn gap(months: u32, number: u32) -> i32 {
    days::of_months(months * number) - days::of_months(months * (number - 1))
}

/// A step that comes again every so many months until an hour; what is marked stays in the plan.
fn recurring(
    book: &mut Book<'_>,
    from: &Stand,
    months: u32,
    until: f64,
    of: impl Fn(u32, Due) -> Step,
) {
    let mut stand = from.clone();
    for number in 1..=days::MOST_MONTHS / months {
        let days = gap(months, number);
        let due = Due::at(stand.without_window().plus([days, days - 7, days + 7]));
        let step = of(number, due);
        let in_time = due.at.is_some_and(|at| at.about_hours() < until);
        if !in_time && book.facts.mark(&step.key).is_none() {
            continue;
        }
        stand = book.add(step, None, Some(&stand));
    }
}

/// Airlock and headspace.
fn looks(book: &mut Book<'_>, pitch: &Stand, until: f64) {
    let vessel = book.recipe.vessel.as_ref();
    let kind = vessel.and_then(|vessel| vessel.kind.clone());
    let fraction = ageing_headspace(&kind.unwrap_or_default());
    recurring(book, pitch, days::LOOK_MONTHS, until, |number, due| Step {
        amounts: vec![Amount::Headspace { fraction }],
        due,
        ..numbered("look", number, Kind::Look, Why::AirGetsIn)
    });
}

/// Free sulfite, where there is any: every three months and with the second racking.
fn free_so2(book: &mut Book<'_>, ended: &Ended, racked: Option<&Stand>, until: f64) {
    let known = book.facts.sulfited || book.facts.stabilised_h.is_some();
    let from = match &ended.stabilised {
        Some(stabilised) => stabilised,
        None if known => &ended.ready,
        None => return,
    };
    let measure = |step: Step, due: Due| Step {
        amounts: vec![Amount::Reckon {
            calculation: "sulfite",
            needs: Needs::PhAndFreeSo2,
            without_g: None,
        }],
        due,
        beware: vec![Beware::LocalLimits],
        ..step
    };
    recurring(book, from, days::SO2_MONTHS, until, |number, due| {
        measure(
            numbered("so2", number, Kind::FreeSo2, Why::SulfiteFades),
            due,
        )
    });
    let later = racked.filter(|racked| racked.hours() > from.hours());
    if let Some(racked) = later {
        let at_racking = step("so2-rack-2", Kind::FreeSo2, Why::SulfiteFades);
        book.add(measure(at_racking, Due::at(racked.at)), None, Some(racked));
    }
}

/// Tastings by the age of the family.
fn tastings(book: &mut Book<'_>, pitch: &Stand) {
    let mut stand = pitch.clone();
    for (months, number) in days::months_to_taste(book.numbers).into_iter().zip(1..) {
        let days = days::of_months(months);
        let taste = Step {
            due: Due::at(Some(At::Day {
                since_h: 0.0,
                days,
                from_days: days - 7,
                to_days: days + 14,
            })),
            beware: vec![Beware::SmallSips],
            ..numbered("taste", number, Kind::Taste, Why::TimeChangesIt)
        };
        stand = book.add(taste, None, Some(&stand));
    }
}
