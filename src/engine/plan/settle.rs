//! What went by: steps that nobody marked, and that a later one has made pointless.

use super::codes::StepKind as Kind;
use super::step::{State, Step};

/// What a step that is done leaves behind it.
fn leaves_behind(done: Kind) -> &'static [Kind] {
    const WHILE_IT_WORKS: &[Kind] = &[
        Kind::Prepare,
        Kind::Cook,
        Kind::Sanitise,
        Kind::Mix,
        Kind::FruitIn,
        Kind::AddPrimary,
        Kind::Aerate,
        Kind::Rehydrate,
        Kind::Pitch,
        Kind::Degas,
        Kind::Feed,
        Kind::Break,
        Kind::HoneyFeed,
        Kind::WetCap,
        Kind::FruitOut,
    ];
    match done {
        Kind::Break => &[Kind::Aerate],
        Kind::FruitOut => &[Kind::FruitIn, Kind::WetCap],
        Kind::Rack | Kind::Stabilise | Kind::Sweeten => WHILE_IT_WORKS,
        _ => &[],
    }
}

/// Marks what is past. A bottle leaves everything behind but tasting.
pub(super) fn settle(steps: &mut [Step]) {
    let is_done = |step: &&Step| matches!(step.state, State::Done { .. });
    let done: Vec<(Kind, Option<u32>)> = steps
        .iter()
        .filter(is_done)
        .map(|step| (step.kind, step.number))
        .collect();
    let filled = done
        .iter()
        .any(|(kind, _)| matches!(kind, Kind::Package | Kind::Keg));
    let closed: Vec<u32> = steps
        .iter()
        .filter(|step| step.kind == Kind::Feed && !step.state.is_open())
        .filter_map(|step| step.number)
        .collect();
    for step in steps.iter_mut().filter(|step| step.state.is_open()) {
        let kind = step.kind;
        let by_another = done
            .iter()
            .any(|(other, _)| leaves_behind(*other).contains(&kind));
        let by_its_feed =
            kind == Kind::Degas && step.number.is_some_and(|number| closed.contains(&number));
        let read_later = matches!(kind, Kind::End | Kind::Rack)
            && done
                .iter()
                .any(|(other, number)| *other == kind && *number > step.number);
        // The first look at the pH is for the yeast.
        let too_late = kind == Kind::Ph
            && step.number == Some(1)
            && done.iter().any(|(other, _)| *other == Kind::Rack);
        let by_the_bottle = filled && kind != Kind::Taste;
        if by_another || by_its_feed || read_later || too_late || by_the_bottle {
            step.state = State::Past;
        }
    }
}
