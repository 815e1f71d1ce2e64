//! Once it is quiet, and in the glass: film, haze, harsh, flat.

use super::super::checks::{BOTTLE_C, BOTTLE_DAYS, CLEAR_DAYS, Check, MELLOW_DAYS};
use super::super::doses;
use super::{Case, RemedyCode};
use crate::engine::problem::Severity;

/// Sulfite against what lives on air; none on a guess.
fn sulfite(case: &mut Case<'_>) {
    let facts = case.facts;
    let dose = facts
        .ph
        .zip(facts.free_so2_mg_per_l)
        .zip(facts.litres)
        .map(|((ph, free), litres)| doses::sulfite(ph, free, litres));
    match dose {
        Some((free, grams)) if grams > 0.0 => {
            let told = [("grams", Some(grams)), ("free_mg_per_l", Some(free))];
            case.add(RemedyCode::AddSulfite, Severity::Danger, &told);
        }
        Some(_) => {}
        None => case.danger(RemedyCode::MeasureForSulfite),
    }
}

pub(super) fn film(case: &mut Case<'_>) {
    if case.is(Check::FurSeen) || case.is(Check::NailVarnish) {
        case.danger(RemedyCode::PourItAway);
        return;
    }
    if case.unknown(Check::FurSeen) || case.unknown(Check::NailVarnish) {
        case.danger(RemedyCode::LookClosely);
    }
    if case.is(Check::StillFalling) {
        case.note(RemedyCode::LeaveIt);
        return;
    }
    case.watch(RemedyCode::RackFromUnder);
    if case.is(Check::AirAbove) {
        let litres = case
            .facts
            .headspace_fraction
            .zip(case.facts.litres)
            .map(|(part, litres)| doses::top_up_l(part, litres));
        case.add(RemedyCode::TopUp, Severity::Watch, &[("litres", litres)]);
    }
    if !case.is_not(Check::LittleFreeSulfite) {
        sulfite(case);
    }
}

pub(super) fn haze(case: &mut Case<'_>) {
    case.note(RemedyCode::HazeIsHarmless);
    if !case.is_not(Check::StillFalling) {
        case.danger(RemedyCode::DoNotBottle);
    }
    if !case.is_not(Check::JustMade) {
        let left = case.facts.age_days.map(|days| CLEAR_DAYS - days);
        case.add(RemedyCode::WaitToClear, Severity::Note, &[("days", left)]);
    }
    if case.is(Check::Pectin) {
        case.note(RemedyCode::AddPectinase);
    }
    if case.is_not(Check::StillFalling) && case.is_not(Check::JustMade) {
        case.note(RemedyCode::FineIt);
    }
}

pub(super) fn harsh(case: &mut Case<'_>) {
    if case.is(Check::NailVarnish) {
        case.danger(RemedyCode::PourItAway);
        return;
    }
    if !case.is_not(Check::Young) {
        let left = case.facts.age_days.map(|days| MELLOW_DAYS - days);
        case.add(RemedyCode::WaitToMellow, Severity::Note, &[("days", left)]);
    }
    if case.is(Check::Sour) && case.is_not(Check::Young) {
        let told = [("grams", case.for_litres(doses::softening_g))];
        case.add(RemedyCode::SoftenAcid, Severity::Watch, &told);
    }
    if case.is(Check::AiredLate) {
        case.watch(RemedyCode::KeepAirOut);
    }
    case.note(RemedyCode::TryInAGlass);
}

pub(super) fn flat(case: &mut Case<'_>) {
    if case.is_not(Check::MeantToSparkle) {
        if case.is(Check::LittleAcid) {
            let told = [("grams", case.for_litres(doses::acid_g))];
            case.add(RemedyCode::AddAcid, Severity::Watch, &told);
        }
        case.note(RemedyCode::TryInAGlass);
        return;
    }
    case.danger(RemedyCode::NoSugarOnAGuess);
    if case.is(Check::IsStabilised) {
        case.watch(RemedyCode::UseAKeg);
        return;
    }
    let had_its_weeks = case.is_not(Check::ShortInBottle) && case.is_not(Check::ColdBottles);
    if !(had_its_weeks || case.is(Check::NotPrimed)) {
        let told = [("days", Some(BOTTLE_DAYS)), ("warm_c", Some(BOTTLE_C))];
        case.add(RemedyCode::WarmTheBottles, Severity::Danger, &told);
    }
    // Sorbate stays whatever is pitched since: who does not know puts no yeast into closed bottles.
    if case.is(Check::TooStrongForBottles) && case.is_not(Check::IsStabilised) {
        let told = [("yeast_g", case.for_litres(doses::bottle_yeast_g))];
        case.add(RemedyCode::BottleYeast, Severity::Danger, &told);
    }
    if case.is(Check::TooStrongForBottles) || case.is(Check::NotPrimed) {
        case.watch(RemedyCode::UseAKeg);
    }
}
