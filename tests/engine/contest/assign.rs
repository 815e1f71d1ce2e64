//! Tables: whatever the roster and the conflicts, no rule is broken, and what could be placed is.

use std::collections::BTreeSet;

use mustwright::engine::contest::assign::{Judge, Plan, Why, Wish, assign};
use mustwright::engine::contest::seating::{Refusal, Sitting, may_sit};
use proptest::prelude::*;

fn judge(experienced: bool, ceiling: usize) -> Judge {
    Judge {
        experienced,
        ceiling,
        down_for: Vec::new(),
    }
}

fn wish(seats: usize, days: usize) -> Wish {
    Wish {
        seats,
        least: seats.min(2),
        days,
        from: (1, 1),
        seed: 7,
    }
}

fn free(_: usize, _: usize) -> bool {
    false
}

/// Glasses of each judge over all days.
fn loads(plan: &Plan, judges: usize, flights: &[usize]) -> Vec<usize> {
    let of = |judge: usize| {
        let own = plan
            .placed
            .iter()
            .filter(|placed| placed.judges.contains(&judge));
        own.map(|placed| flights[placed.flight]).sum()
    };
    (0..judges).map(of).collect()
}

#[test]
fn twelve_judges_taste_a_hundred_and_twenty_entries_in_a_day() {
    let judges: Vec<Judge> = (0..12).map(|at| judge(at < 6, 24)).collect();
    let flights = vec![8; 15];
    let plan = assign(&judges, &flights, &free, &wish(2, 1));
    assert_eq!(plan.left, []);
    let rounds: BTreeSet<usize> = plan.placed.iter().map(|placed| placed.round).collect();
    assert_eq!(rounds, BTreeSet::from([1, 2, 3]), "six tables side by side");
    let loads = loads(&plan, 12, &flights);
    assert_eq!(loads.iter().sum::<usize>(), 240);
    let (least, most) = (loads.iter().min().unwrap(), loads.iter().max().unwrap());
    assert!(most - least <= 8, "{loads:?}");
}

#[test]
fn what_cannot_be_placed_says_why() {
    let two = vec![judge(true, 24), judge(false, 24)];
    let nobody_led = vec![judge(false, 24), judge(false, 24)];
    let plan = assign(&two, &[6], &|judge, _| judge == 1, &wish(2, 1));
    assert_eq!(plan.left, [(0, Why::TooFew)]);
    let plan = assign(&nobody_led, &[6], &free, &wish(2, 1));
    assert_eq!(plan.left, [(0, Why::NobodyExperienced)]);
    // The only experienced judge must not taste it.
    let three = vec![judge(true, 24), judge(false, 24), judge(false, 24)];
    let plan = assign(&three, &[6], &|judge, _| judge == 0, &wish(2, 1));
    assert_eq!(plan.left, [(0, Why::NobodyExperienced)]);
    let plan = assign(&two, &[8, 8, 8, 8], &free, &wish(2, 1));
    assert_eq!(plan.placed.len(), 3);
    assert_eq!(plan.left.len(), 1);
    assert_eq!(plan.left[0].1, Why::Ceilings);
    // Another day has another ceiling.
    let plan = assign(&two, &[8, 8, 8, 8], &free, &wish(2, 2));
    assert_eq!(plan.left, []);
    assert_eq!(
        plan.placed.last().map(|last| (last.day, last.round)),
        Some((2, 1))
    );
}

#[test]
fn a_table_of_three_is_one_of_two_before_it_is_none() {
    let judges: Vec<Judge> = (0..3).map(|at| judge(at == 0, 24)).collect();
    let plan = assign(
        &judges,
        &[8, 8],
        &|judge, flight| (judge, flight) == (2, 1),
        &wish(3, 1),
    );
    assert_eq!(plan.left, []);
    let seats: Vec<usize> = plan
        .placed
        .iter()
        .map(|placed| placed.judges.len())
        .collect();
    assert_eq!(seats.iter().sum::<usize>(), 5);
}

#[test]
fn what_they_are_down_for_counts() {
    let mut judges = vec![judge(true, 24), judge(true, 24), judge(true, 24)];
    judges[0].down_for = vec![20];
    let plan = assign(&judges, &[6, 6], &free, &wish(2, 1));
    assert_eq!(plan.left, []);
    for placed in &plan.placed {
        assert!(!placed.judges.contains(&0), "{placed:?}");
    }
    let later = Wish {
        from: (2, 3),
        days: 2,
        ..wish(2, 2)
    };
    let plan = assign(&judges, &[6], &free, &later);
    assert_eq!((plan.placed[0].day, plan.placed[0].round), (2, 3));
}

#[test]
fn a_seat_is_refused_with_its_reason() {
    let sitting = Sitting {
        forbidden: false,
        busy: false,
        tasted: 16,
        glasses: 8,
        ceiling: 24,
    };
    assert_eq!(may_sit(&sitting), Ok(()));
    let more = Sitting {
        glasses: 9,
        ..sitting
    };
    assert_eq!(
        may_sit(&more),
        Err(Refusal::Ceiling {
            glasses: 25,
            ceiling: 24
        })
    );
    let busy = Sitting { busy: true, ..more };
    assert_eq!(may_sit(&busy), Err(Refusal::Busy));
    let forbidden = Sitting {
        forbidden: true,
        ..busy
    };
    assert_eq!(may_sit(&forbidden), Err(Refusal::Forbidden));
}

/// Judges, sizes of flights, who must not taste where, what is wished.
type Case = (Vec<Judge>, Vec<usize>, BTreeSet<(usize, usize)>, Wish);

fn a_case() -> impl Strategy<Value = Case> {
    let judges = proptest::collection::vec(
        (
            any::<bool>(),
            0usize..30,
            proptest::collection::vec(0usize..20, 0..3),
        ),
        0..10,
    );
    let flights = proptest::collection::vec(1usize..9, 0..9);
    let forbidden = proptest::collection::btree_set((0usize..10, 0usize..9), 0..25);
    (
        judges,
        flights,
        forbidden,
        1usize..4,
        1usize..3,
        any::<u64>(),
    )
        .prop_map(|(judges, flights, forbidden, seats, days, seed)| {
            let judges = judges
                .into_iter()
                .map(|(experienced, ceiling, down_for)| Judge {
                    experienced,
                    ceiling,
                    down_for,
                })
                .collect();
            (
                judges,
                flights,
                forbidden,
                Wish {
                    seed,
                    ..wish(seats, days)
                },
            )
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn no_rule_is_ever_broken((judges, flights, forbidden, wish) in a_case()) {
        let plan = assign(&judges, &flights, &|j, f| forbidden.contains(&(j, f)), &wish);
        let mut seen: Vec<usize> = plan.placed.iter().map(|placed| placed.flight).collect();
        seen.extend(plan.left.iter().map(|(flight, _)| flight));
        seen.sort_unstable();
        prop_assert_eq!(seen, (0..flights.len()).collect::<Vec<_>>());
        let mut busy = BTreeSet::new();
        for placed in &plan.placed {
            prop_assert!((1..=wish.days).contains(&placed.day));
            prop_assert!((wish.least..=wish.seats).contains(&placed.judges.len()));
            prop_assert!(judges[placed.judges[0]].experienced, "an experienced one leads");
            for judge in &placed.judges {
                prop_assert!(!forbidden.contains(&(*judge, placed.flight)));
                prop_assert!(busy.insert((placed.day, placed.round, *judge)), "at two tables at once");
            }
        }
        for (at, judge) in judges.iter().enumerate() {
            for day in 1..=wish.days {
                let own = plan.placed.iter().filter(|one| one.day == day && one.judges.contains(&at));
                let here: usize = own.map(|one| flights[one.flight]).sum();
                let before = judge.down_for.get(day - 1).copied().unwrap_or(0);
                prop_assert!(here == 0 || before + here <= judge.ceiling);
            }
        }
        // The same again.
        let again = assign(&judges, &flights, &|j, f| forbidden.contains(&(j, f)), &wish);
        prop_assert_eq!(plan, again);
    }

    /// A flight is left only where no table could be opened for it in any round of its own.
    #[test]
    fn nothing_is_left_that_could_be_placed((judges, flights, forbidden, wish) in a_case()) {
        let plan = assign(&judges, &flights, &|j, f| forbidden.contains(&(j, f)), &wish);
        for (flight, _) in &plan.left {
            for day in 1..=wish.days {
                let can: Vec<usize> = (0..judges.len()).filter(|judge| {
                    let own = plan.placed.iter().filter(|one| one.day == day && one.judges.contains(judge));
                    let here: usize = own.map(|one| flights[one.flight]).sum();
                    let before = judges[*judge].down_for.get(day - 1).copied().unwrap_or(0);
                    !forbidden.contains(&(*judge, *flight))
                        && before + here + flights[*flight] <= judges[*judge].ceiling
                }).collect();
                let led = can.iter().any(|judge| judges[*judge].experienced);
                prop_assert!(!led || can.len() < wish.least, "flight {} on day {}: {:?}", flight, day, can);
            }
        }
    }

    /// Without conflicts nobody tastes more than a flight more than another who could have taken it.
    #[test]
    fn glasses_are_shared_out(judges in 4usize..13, flights in 1usize..16, glasses in 4usize..9) {
        let roster: Vec<Judge> = (0..judges).map(|_| judge(true, 60)).collect();
        let list = vec![glasses; flights];
        let plan = assign(&roster, &list, &free, &wish(2, 2));
        prop_assert_eq!(&plan.left, &[]);
        let loads = loads(&plan, judges, &list);
        let (least, most) = (loads.iter().min().unwrap(), loads.iter().max().unwrap());
        prop_assert!(most - least <= glasses, "{:?}", loads);
    }
}
