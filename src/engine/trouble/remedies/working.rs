//! While it works, or should: no start, eggs, foam, stuck.

use super::super::checks::{Check, FIRST_DAYS_H, LEAST_PH, usual_pitch};
use super::super::doses;
use super::{Case, RemedyCode};
use crate::engine::problem::Severity;

/// To the temperature that the yeast likes.
fn temperature(case: &mut Case<'_>) {
    let [low, high] = [0, 1].map(|end| case.facts.yeast_temperature_c.map(|range| range[end]));
    let range = [("low_c", low), ("high_c", high)];
    if case.is(Check::TooCold) {
        case.add(RemedyCode::WarmIt, Severity::Note, &range);
    }
    if case.is(Check::TooWarm) {
        case.add(RemedyCode::CoolIt, Severity::Watch, &range);
    }
}

/// One step up where the pH is known to be low; nothing on a guess.
fn acidity(case: &mut Case<'_>) {
    if case.is(Check::LowPh) {
        let told = [
            ("grams", case.for_litres(doses::bicarbonate_g)),
            ("ph", case.facts.ph),
            ("least_ph", Some(LEAST_PH)),
        ];
        case.add(RemedyCode::RaisePh, Severity::Watch, &told);
    } else if case.unknown(Check::LowPh) {
        case.note(RemedyCode::MeasurePh);
    }
}

/// Feed as long as yeast takes it: ammonium until the one-third break and 9 %, organic feed a little longer.
fn feed(case: &mut Case<'_>) {
    if !case.is(Check::Hungry) {
        return;
    }
    let facts = case.facts;
    let lacking = facts
        .nitrogen_given_mg_per_l
        .zip(facts.nitrogen_target_mg_per_l);
    let Some((given, target)) = lacking else {
        return;
    };
    let amount = facts
        .litres
        .map(|litres| doses::feed_now(given, target, litres));
    let organic = ("organic_g", amount.as_ref().map(|feed| feed.organic_g));
    if case.is_not(Check::FeedTooLate) {
        let told = [
            (
                "mg_per_l",
                Some(doses::feed_now(given, target, 1.0).mg_per_l),
            ),
            ("dap_g", amount.as_ref().map(|feed| feed.dap_g)),
            organic,
        ];
        case.add(RemedyCode::FeedNow, Severity::Watch, &told);
    } else if case.is(Check::AtLimit) || case.is(Check::NearDry) || case.is(Check::IsStabilised) {
        case.note(RemedyCode::NoMoreFeed);
    } else {
        case.add(RemedyCode::FeedOrganicOnly, Severity::Watch, &[organic]);
    }
}

pub(super) fn no_start(case: &mut Case<'_>) {
    if case.is(Check::WorkingAfterAll) {
        case.note(RemedyCode::LeaveIt);
        return;
    }
    if case.unknown(Check::WorkingAfterAll) || case.is(Check::LidLeaks) {
        case.note(RemedyCode::ReadGravity);
    }
    if !case.is_not(Check::FirstDays) {
        let left = case
            .facts
            .hours_since_pitch
            .map(|hours| FIRST_DAYS_H - hours);
        case.add(
            RemedyCode::WaitForTheStart,
            Severity::Note,
            &[("hours", left)],
        );
    }
    temperature(case);
    acidity(case);
    if case.is(Check::SulfitedLately) {
        case.watch(RemedyCode::AirOutSulfite);
    }
    if case.is_not(Check::FirstDays) && case.is_not(Check::WorkingAfterAll) {
        let again = usual_pitch(case.facts)
            .zip(case.facts.litres)
            .map(|(usual, litres)| doses::pitch_again(usual, litres));
        let told = [
            ("yeast_g", again.map(|(yeast, _)| yeast)),
            ("water_g", again.map(|(_, water)| water)),
        ];
        case.add(RemedyCode::PitchAgain, Severity::Note, &told);
    }
}

pub(super) fn rotten_egg(case: &mut Case<'_>) {
    if case.is(Check::RottenSmell) {
        case.danger(RemedyCode::PourItAway);
        return;
    }
    case.danger(RemedyCode::AirTheRoom);
    feed(case);
    temperature(case);
    if !case.is_not(Check::StillFalling) {
        case.watch(RemedyCode::StirUp);
    }
    if case.is(Check::OnLees) {
        case.watch(RemedyCode::RackOff);
    }
    case.watch(RemedyCode::NoCopper);
}

pub(super) fn foam_over(case: &mut Case<'_>) {
    case.danger(RemedyCode::ClearTheAirlock);
    case.note(RemedyCode::WideHose);
    if case.is(Check::TooFull) {
        let litres = case
            .facts
            .headspace_fraction
            .zip(case.facts.litres)
            .map(|(part, litres)| doses::take_out_l(part, litres));
        case.add(
            RemedyCode::TakeSomeOut,
            Severity::Note,
            &[("litres", litres)],
        );
    }
    case.watch(RemedyCode::StirBeforePowder);
    temperature(case);
}

pub(super) fn stuck(case: &mut Case<'_>) {
    if case.is(Check::StillFalling) {
        case.note(RemedyCode::LeaveIt);
        temperature(case);
        feed(case);
        case.danger(RemedyCode::DoNotBottle);
        return;
    }
    if case.is(Check::NearDry) {
        match case.facts.is_finished {
            Some(true) => case.note(RemedyCode::ItStandsStill),
            _ => case.watch(RemedyCode::ItHasEnded),
        }
        return;
    }
    case.danger(RemedyCode::DoNotBottle);
    if case.is(Check::IsStabilised) {
        case.watch(RemedyCode::NoRestart);
        return;
    }
    if case.is(Check::AtLimit) {
        let sorbate = case
            .facts
            .abv_percent
            .zip(case.facts.litres)
            .map(|(abv, litres)| doses::sorbate_g(abv, litres));
        case.add(
            RemedyCode::KeepItSweet,
            Severity::Danger,
            &[("sorbate_g", sorbate)],
        );
        feed(case);
        return;
    }
    if case.unknown(Check::StillFalling) {
        case.note(RemedyCode::ReadGravity);
    }
    temperature(case);
    acidity(case);
    case.watch(RemedyCode::StirUp);
    feed(case);
    let restart = case.facts.litres.map(doses::restart);
    let of = |value: fn(&doses::Restart) -> f64| restart.as_ref().map(value);
    let told = [
        ("yeast_g", of(|restart| restart.yeast_g)),
        ("water_g", of(|restart| restart.water_g)),
        ("first_l", of(|restart| restart.first_l)),
        ("times", of(|restart| restart.times)),
        ("starter_l", of(|restart| restart.starter_l)),
    ];
    case.add(RemedyCode::Restart, Severity::Watch, &told);
}
