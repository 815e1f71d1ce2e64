//! Feeds: dated by the clock or the gravity, placed in the morning or the evening, folded into the next when one is missed.
//!
//! Four parts at 24, 48 and 72 h and at the one-third break, ± 6 h; no ammonium from the break on, nothing from 9 % ABV on:
//! common practice, no published source.

use super::book::{Book, Stand, numbered, step};
use super::codes::{Missed, StepKind as Kind, Why};
use super::facts::Said;
use super::honey::Held;
use super::step::{Amount, At, Due, State, Step};
use super::time::morning_or_evening;
use crate::engine::formulation::{Addition, FeedAt};
use crate::engine::problem::{Arguments, Caution, CautionCode as Code, Severity};

/// Give or take, hours.
const GIVE_OR_TAKE_H: f64 = 6.0;
/// Two feeds are a day apart, less what both may be off (our judgement, no published source).
const APART_H: f64 = 24.0 - GIVE_OR_TAKE_H;
/// From one morning or evening to the next, hours.
const NEXT_H: f64 = 12.0;
/// What is fed at the pitch may go in within a day.
const AT_PITCH_H: f64 = 24.0;
/// The last part goes in at the latest now, hours.
const LAST_H: f64 = 168.0;
/// The gas is stirred out once where nothing is fed, hours after the pitch.
const STIR_H: f64 = 24.0;

/// What goes in at one time.
struct Parcel<'a> {
    at: FeedAt,
    additions: Vec<&'a Addition>,
}

/// Grams of one nutrient.
#[derive(Clone)]
struct Dose {
    index: usize,
    nutrient: String,
    grams: f64,
    from_missed_g: f64,
    has_ammonium: bool,
}

/// When the yeast has used a third, and what that means for feeding.
pub(super) struct Break {
    pub sg: Option<f64>,
    pub at: Option<At>,
    /// When it was passed.
    pub passed_h: Option<f64>,
}

fn parcels<'a>(book: &Book<'a>) -> Vec<Parcel<'a>> {
    let mut parcels: Vec<Parcel<'a>> = Vec::new();
    let plan = book.numbers.feeding.as_ref();
    for addition in plan.map_or(&[][..], |plan| &plan.additions) {
        match parcels.iter_mut().find(|parcel| parcel.at == addition.at) {
            Some(parcel) => parcel.additions.push(addition),
            None => parcels.push(Parcel {
                at: addition.at,
                additions: vec![addition],
            }),
        }
    }
    parcels
}

fn doses(parcel: &Parcel<'_>, part: f64) -> Vec<Dose> {
    let additions = parcel.additions.iter();
    additions
        .map(|addition| Dose {
            index: addition.index,
            nutrient: addition.nutrient.clone(),
            grams: addition.grams * part,
            from_missed_g: 0.0,
            has_ammonium: addition.ammonium_mg_per_l > 0.0,
        })
        .collect()
}

/// Puts what was missed with what is given now.
fn fold(into: &mut Vec<Dose>, missed: Vec<Dose>) {
    for dose in missed {
        match into.iter_mut().find(|own| own.index == dose.index) {
            Some(own) => {
                own.grams += dose.grams;
                own.from_missed_g += dose.grams;
            }
            None => into.push(Dose {
                from_missed_g: dose.grams,
                ..dose
            }),
        }
    }
}

/// How far the yeast is, for all feeds alike.
struct Going {
    /// Nothing is fed any more.
    over: bool,
    /// The break is passed: no ammonium any more.
    passed: bool,
    /// How many parts there are.
    parts: u32,
    /// The last of them that is left to be done.
    last_left: Option<u32>,
}

impl Going {
    fn of(book: &Book<'_>, broken: &Break, parts: u32) -> Going {
        let ladder = book.numbers.ladder.as_ref();
        let limit_sg = ladder.and_then(|ladder| ladder.ammonium_limit_sg);
        Going {
            over: book.facts.feeding_is_over(limit_sg),
            passed: broken.passed_h.is_some(),
            parts,
            last_left: (1..=parts).rev().find(|number| is_left(book, *number)),
        }
    }

    /// What to do about a part that is missed while the yeast still takes everything.
    fn advice(&self, at: FeedAt, number: u32) -> Missed {
        match at {
            at if is_at_pitch(at) => Missed::WithinADay,
            at if is_last_part(at) || number == self.parts => Missed::StillToday,
            _ => Missed::WithTheNext,
        }
    }
}

fn key(number: u32) -> String {
    format!("feed-{number}")
}

/// Whether a part is left to be done, as far as the log says.
fn is_left(book: &Book<'_>, number: u32) -> bool {
    let mark = book.facts.mark(&key(number));
    mark.is_none_or(|mark| matches!(mark.is, Said::Moved { .. }))
}

/// What of a part is given, whether it is still to be done, and what to do when it is missed.
struct Given {
    doses: Vec<Dose>,
    state: State,
    advice: Missed,
}

/// Decides about one part; `missed` is what was left out before it, and takes up what it leaves out.
fn decide(
    book: &Book<'_>,
    going: &Going,
    (at, number): (FeedAt, u32),
    own: Vec<Dose>,
    missed: &mut Vec<Dose>,
) -> Given {
    let past = |advice: Missed, doses: Vec<Dose>| Given {
        doses,
        state: State::Past,
        advice,
    };
    let advice = going.advice(at, number);
    let mut given = Given {
        doses: own.clone(),
        state: State::Open,
        advice,
    };
    let said = book.facts.mark(&key(number)).map(|mark| mark.is);
    match said {
        Some(Said::Skipped) => {
            missed.extend(own);
            return given;
        }
        Some(Said::Done) => {
            fold(&mut given.doses, std::mem::take(missed));
            return given;
        }
        Some(Said::Moved { .. }) | None => {}
    }
    if going.over {
        return past(Missed::LeaveItOut, own);
    }
    if going.passed && going.last_left != Some(number) {
        missed.extend(own.iter().cloned());
        return past(Missed::OrganicOnly, own);
    }
    fold(&mut given.doses, std::mem::take(missed));
    if going.passed {
        given.advice = Missed::OrganicOnly;
    }
    if going.passed || is_last_part(at) {
        given.doses.retain(|dose| !dose.has_ammonium);
    }
    if given.doses.is_empty() {
        return past(given.advice, own);
    }
    given
}

/// Every feed with its stirring.
pub(super) fn feed(book: &mut Book<'_>, pitch: &Stand, broken: &Break, held: Option<&Held>) {
    let parcels = parcels(book);
    let part = held.map_or(1.0, |held| held.of_feeds);
    let going = Going::of(book, broken, parcels.len() as u32);
    let mut missed: Vec<Dose> = Vec::new();
    let mut stand = pitch.clone();
    let mut given_h: Option<f64> = None;
    for (parcel, number) in parcels.iter().zip(1..) {
        let at = parcel.at;
        let given = decide(book, &going, (at, number), doses(parcel, part), &mut missed);
        let due = due(book, pitch, broken, at, given_h);
        let mut cautions = Vec::new();
        if !is_at_pitch(at) {
            stand = stir(book, Some(number), due, given.state, &stand);
            let foams = Caution::new(Code::StirBeforeFeeding, Severity::Watch, Arguments::none());
            cautions.push(foams);
        }
        let amounts: Vec<Amount> = given.doses.into_iter().map(amount).collect();
        cautions.extend(book.about(&amounts));
        let why = match at {
            at if is_at_pitch(at) && going.parts == 1 => Why::FedAtOnce,
            at if is_last_part(at) => Why::FedLast,
            _ => Why::FedInParts,
        };
        let give = Step {
            amounts,
            due,
            cautions,
            missed: Some(given.advice),
            state: given.state,
            ..numbered("feed", number, Kind::Feed, why)
        };
        stand = book.add(give, None, Some(&stand));
        if let State::Done { hours } = stand.state {
            given_h = Some(hours);
        }
    }
    if parcels.iter().all(|parcel| is_at_pitch(parcel.at)) {
        let due = due(book, pitch, broken, FeedAt::Hours(STIR_H), None);
        let state = match going.passed || going.over {
            true => State::Past,
            false => State::Open,
        };
        stir(book, None, due, state, &stand);
    }
}

fn is_at_pitch(at: FeedAt) -> bool {
    matches!(at, FeedAt::Hours(hours) if hours <= 0.0)
}

fn is_last_part(at: FeedAt) -> bool {
    match at {
        FeedAt::Gravity(_) => true,
        FeedAt::Hours(hours) => hours >= LAST_H,
    }
}

fn amount(dose: Dose) -> Amount {
    Amount::Feed {
        index: dose.index,
        nutrient: dose.nutrient,
        grams: dose.grams,
        from_missed_g: dose.from_missed_g,
    }
}

fn stir(book: &mut Book<'_>, number: Option<u32>, due: Due, state: State, after: &Stand) -> Stand {
    let key = format!("degas-{}", number.unwrap_or(1));
    let stir = Step {
        number,
        due,
        state,
        ..step(key, Kind::Degas, Why::GasHinders)
    };
    book.add(stir, None, Some(after))
}

/// The hour after the pitch, in the morning or the evening, or the break, whichever comes first.
fn due(book: &Book<'_>, pitch: &Stand, broken: &Break, at: FeedAt, given_h: Option<f64>) -> Due {
    let Some(pitched) = pitch.hours() else {
        return Due {
            at: None,
            or_at_sg: broken.sg,
        };
    };
    let after_pitch = |hours: f64| At::Instant {
        hours: pitched + hours,
        from_h: pitched + hours - GIVE_OR_TAKE_H,
        to_h: pitched + hours + GIVE_OR_TAKE_H,
    };
    let at = match at {
        at if is_at_pitch(at) => {
            return Due {
                at: Some(At::Instant {
                    hours: pitched,
                    from_h: pitched,
                    to_h: pitched + AT_PITCH_H,
                }),
                or_at_sg: broken.sg,
            };
        }
        FeedAt::Hours(hours) if hours < LAST_H => after_pitch(hours),
        FeedAt::Hours(_) | FeedAt::Gravity(_) => {
            let latest = after_pitch(LAST_H);
            broken
                .at
                .filter(|breaks| breaks.about_hours() < latest.about_hours())
                .unwrap_or(latest)
        }
    };
    Due {
        at: Some(at_home(book, pitched, apart(at, given_h), given_h)),
        or_at_sg: broken.sg,
    }
}

/// Not too soon after the feed before.
fn apart(at: At, given_h: Option<f64>) -> At {
    match (at, given_h) {
        (
            At::Instant {
                hours,
                from_h,
                to_h,
            },
            Some(given),
        ) if hours < given + APART_H => {
            let later = given + APART_H - hours;
            At::Instant {
                hours: hours + later,
                from_h: from_h + later,
                to_h: to_h + later,
            }
        }
        _ => at,
    }
}

/// When somebody is at home, where the hour of the pitch is known; the nearest such hour that is not too soon after the feed
/// before.
fn at_home(book: &Book<'_>, pitched: f64, at: At, given_h: Option<f64>) -> At {
    match (at, book.facts.pitch_hour_of_day) {
        (
            At::Instant {
                hours,
                from_h,
                to_h,
            },
            Some(of_day),
        ) => {
            let placed =
                |hours: f64| pitched + morning_or_evening(of_day, hours - pitched, GIVE_OR_TAKE_H);
            let nearest = placed(hours);
            let hours = match given_h {
                Some(given) if nearest < given + APART_H => placed(nearest + NEXT_H),
                _ => nearest,
            };
            At::Instant {
                hours,
                from_h: from_h.min(hours),
                to_h: to_h.max(hours),
            }
        }
        _ => at,
    }
}
