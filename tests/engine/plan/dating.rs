//! A plan dates itself anew: what follows a step counts from when it was done, else from the forecast, else from the book.

use mustwright::engine::plan::*;

use super::{at, day, fed, hour, keys, melomel, pitched, steps_of};

fn with(mut facts: Facts, marks: &[(&str, f64, Said)]) -> Facts {
    facts.marks = marks
        .iter()
        .map(|(key, hours, is)| Mark {
            key: (*key).to_owned(),
            hours: *hours,
            is: *is,
        })
        .collect();
    facts
}

const DAY: f64 = 24.0;

#[test]
fn everything_counts_from_the_pitch() {
    let facts = Facts {
        pitch_h: Some(36.0),
        ..Facts::default()
    };
    let steps = steps_of(&fed(), &facts);
    assert_eq!(hour(&steps, "feed-1"), 60.0);
    assert_eq!(
        at(&steps, "end-1").due.at,
        Some(At::Day {
            since_h: 36.0,
            days: 21,
            from_days: 14,
            to_days: 28
        })
    );
    // What lies before the pitch went by, whether anybody wrote it down or not.
    for key in ["prepare", "sanitise", "mix", "aerate", "rehydrate"] {
        assert_eq!(at(&steps, key).state, State::Past, "{key}");
    }
    assert_eq!(at(&steps, "pitch").state, State::Done { hours: 36.0 });
}

#[test]
fn the_forecast_dates_the_end_with_its_window() {
    let facts = Facts {
        end_forecast: Some(Forecast {
            low_h: 10.0 * DAY,
            best_h: 16.0 * DAY,
            high_h: 25.0 * DAY,
        }),
        ..pitched()
    };
    let steps = steps_of(&fed(), &facts);
    assert_eq!(
        at(&steps, "end-1").due.at,
        Some(At::Day {
            since_h: 0.0,
            days: 16,
            from_days: 10,
            to_days: 25
        })
    );
    assert_eq!(day(&steps, "rack-1"), 23);
    assert_eq!(
        at(&steps, "end-2").due.at,
        Some(At::Day {
            since_h: 0.0,
            days: 30,
            from_days: 24,
            to_days: 53
        }),
        "windows add up"
    );
}

#[test]
fn what_was_seen_counts_more_than_the_forecast() {
    let facts = Facts {
        end_seen_h: Some(30.0 * DAY),
        end_forecast: Some(Forecast {
            low_h: 240.0,
            best_h: 384.0,
            high_h: 600.0,
        }),
        ..pitched()
    };
    let steps = steps_of(&fed(), &facts);
    assert_eq!(at(&steps, "end-1").state, State::Done { hours: 720.0 });
    assert_eq!(day(&steps, "end-2"), 44);
    assert_eq!(day(&steps, "rack-1"), 37);
}

#[test]
fn what_follows_a_done_step_counts_from_then() {
    let plain = steps_of(&melomel(), &pitched());
    let done = with(pitched(), &[("end-2", 40.0 * DAY, Said::Done)]);
    let steps = steps_of(&melomel(), &done);
    assert_eq!(at(&steps, "end-2").state, State::Done { hours: 960.0 });
    assert_eq!(day(&plain, "stabilise"), 37);
    assert_eq!(day(&steps, "stabilise"), 42);
    let stabilised = Facts {
        stabilised_h: Some(50.0 * DAY),
        ..done
    };
    let steps = steps_of(&melomel(), &stabilised);
    assert_eq!(day(&steps, "sweeten"), 52);
    let sweetened = Facts {
        sweetened_h: Some(60.0 * DAY),
        ..stabilised
    };
    let steps = steps_of(&melomel(), &sweetened);
    assert_eq!(
        at(&steps, "end-3").due.at,
        Some(At::Day {
            since_h: 1440.0,
            days: 14,
            from_days: 14,
            to_days: 28
        })
    );
    // Equal readings from before the sweetening say nothing of after it.
    let agree = |hours: f64| Facts {
        readings_agree_h: Some(hours),
        ..sweetened.clone()
    };
    let steps = steps_of(&melomel(), &agree(40.0 * DAY));
    assert_eq!(at(&steps, "end-3").state, State::Open);
    let steps = steps_of(&melomel(), &agree(75.0 * DAY));
    assert_eq!(at(&steps, "end-3").state, State::Done { hours: 1800.0 });
}

#[test]
fn moved_it_takes_along_what_follows() {
    let to_hours = 45.0 * DAY;
    let moved = with(pitched(), &[("end-1", 20.0, Said::Moved { to_hours })]);
    let steps = steps_of(&fed(), &moved);
    assert_eq!(at(&steps, "end-1").state, State::Moved { to_hours });
    assert_eq!(day(&steps, "end-1"), 45);
    assert_eq!(day(&steps, "rack-1"), 52);
    assert_eq!(day(&steps, "end-2"), 59);
    // Done in the end it counts as done, whatever was said before.
    let both = with(
        pitched(),
        &[
            ("end-1", 20.0, Said::Moved { to_hours }),
            ("end-1", 46.0 * DAY, Said::Done),
        ],
    );
    let steps = steps_of(&fed(), &both);
    assert_eq!(at(&steps, "end-1").state, State::Done { hours: 1104.0 });
    assert_eq!(day(&steps, "end-2"), 60);
}

#[test]
fn an_instant_that_is_moved_stays_an_instant_and_keeps_its_gravity() {
    let moved = with(
        pitched(),
        &[("feed-2", 1.0, Said::Moved { to_hours: 55.0 })],
    );
    let steps = steps_of(&fed(), &moved);
    let due = at(&steps, "feed-2").due;
    assert_eq!(due.at, Some(At::exactly(55.0)));
    assert!(due.or_at_sg.is_some());
}

#[test]
fn skipped_it_holds_nothing_up() {
    let plain = steps_of(&fed(), &pitched());
    let skipped = with(pitched(), &[("end-1", 400.0, Said::Skipped)]);
    let steps = steps_of(&fed(), &skipped);
    assert_eq!(at(&steps, "end-1").state, State::Skipped { hours: 400.0 });
    assert_eq!(day(&steps, "end-2"), day(&plain, "end-2"));
    assert_eq!(keys(&steps), keys(&plain));
}

#[test]
fn undone_the_plan_is_as_it_was() {
    let plain = steps_of(&melomel(), &pitched());
    for is in [Said::Done, Said::Skipped, Said::Moved { to_hours: 900.0 }] {
        for key in [
            "degas-1",
            "feed-1",
            "feed-4",
            "fruit-out",
            "rack-1",
            "end-2",
            "look-2",
        ] {
            let marked = with(pitched(), &[(key, 500.0, is)]);
            assert!(steps_of(&melomel(), &marked) != plain, "{key} {is:?}");
            let undone = with(marked, &[]);
            assert_eq!(steps_of(&melomel(), &undone), plain, "{key} {is:?}");
        }
    }
}

#[test]
fn what_nobody_wrote_down_does_not_hold_up_what_follows() {
    // Pitched, and neither the mixing nor the fruit was marked: three weeks on the fruit still counts from the first day.
    let facts = Facts {
        pitch_h: Some(2.0),
        now_h: Some(21.0 * DAY),
        ..Facts::default()
    };
    let steps = steps_of(&melomel(), &facts);
    assert_eq!(at(&steps, "fruit-in").state, State::Past);
    assert_eq!(day(&steps, "fruit-out"), 10);
    // Racked, and nobody read it before.
    let racked = Facts {
        racked_h: vec![30.0 * DAY],
        now_h: Some(34.0 * DAY),
        ..pitched()
    };
    let steps = steps_of(&fed(), &racked);
    assert_eq!(at(&steps, "end-1").state, State::Past);
    assert_eq!(day(&steps, "end-2"), 35);
}

#[test]
fn readings_from_before_the_last_sugar_do_not_open_the_way_to_the_bottle() {
    let beware = |recipe, facts: &Facts| {
        let steps = steps_of(&recipe, facts);
        at(&steps, "package")
            .beware
            .contains(&Beware::ReadingsFirst)
    };
    let agree = |hours: f64| Facts {
        readings_agree_h: Some(hours),
        ..pitched()
    };
    assert!(beware(fed(), &pitched()));
    assert!(!beware(fed(), &agree(40.0 * DAY)));
    let sweetened = |hours: f64| Facts {
        sweetened_h: Some(50.0 * DAY),
        ..agree(hours)
    };
    assert!(beware(melomel(), &sweetened(40.0 * DAY)));
    assert!(!beware(melomel(), &sweetened(70.0 * DAY)));
}

#[test]
fn what_is_overdue_moves_what_follows_and_keeps_its_own_day() {
    let facts = Facts {
        now_h: Some(50.0 * DAY),
        ..pitched()
    };
    let steps = steps_of(&fed(), &facts);
    assert_eq!(day(&steps, "end-1"), 21, "it was due then");
    assert_eq!(
        day(&steps, "end-2"),
        64,
        "two weeks from today at the soonest"
    );
    // With nobody looking nothing is overdue.
    assert_eq!(day(&steps_of(&fed(), &pitched()), "end-2"), 35);
}

#[test]
fn rackings_of_the_log_are_the_plans() {
    let facts = Facts {
        racked_h: vec![30.0 * DAY, 80.0 * DAY],
        ..pitched()
    };
    let steps = steps_of(&fed(), &facts);
    assert_eq!(at(&steps, "rack-1").state, State::Done { hours: 720.0 });
    assert_eq!(at(&steps, "rack-2").state, State::Done { hours: 1920.0 });
    // Whoever racks has long stopped feeding and airing.
    for key in ["aerate", "break", "ph-1", "degas-1"] {
        assert_eq!(at(&steps, key).state, State::Past, "{key}");
    }
}

#[test]
fn a_bottle_ends_everything_but_tasting() {
    let facts = Facts {
        packaged_h: Some(100.0 * DAY),
        ..pitched()
    };
    let steps = steps_of(&melomel(), &facts);
    assert_eq!(at(&steps, "package").state, State::Done { hours: 2400.0 });
    for step in &steps {
        let open = step.state.is_open();
        assert_eq!(open, step.kind == StepKind::Taste, "{}", step.key);
    }
    let looks = steps.iter().filter(|step| step.kind == StepKind::Look);
    assert_eq!(looks.count(), 3, "no airlock on a bottle");
}

#[test]
fn looks_count_from_the_last_and_those_that_were_done_stay() {
    let facts = with(
        Facts {
            packaged_h: Some(100.0 * DAY),
            ..pitched()
        },
        &[
            ("look-1", 33.0 * DAY, Said::Done),
            ("look-5", 99.0 * DAY, Said::Done),
        ],
    );
    let steps = steps_of(&fed(), &facts);
    assert_eq!(day(&steps, "look-2"), 33 + 31);
    assert_eq!(at(&steps, "look-5").state, State::Done { hours: 2376.0 });
}

#[test]
fn the_order_does_not_depend_on_ties() {
    let plain = steps_of(&melomel(), &pitched());
    for _ in 0..3 {
        assert_eq!(steps_of(&melomel(), &pitched()), plain);
    }
    // Done all at the same hour they stay in the order of doing.
    let all: Vec<(&str, f64, Said)> = keys(&plain)
        .into_iter()
        .map(|key| (key, 100.0, Said::Done))
        .collect();
    let steps = steps_of(&melomel(), &with(pitched(), &all));
    for (place, step) in steps.iter().enumerate() {
        let before = step.after.as_ref().map(|after| {
            let found = steps.iter().position(|other| other.key == *after);
            found.expect("the step before")
        });
        assert!(before.is_none_or(|before| before < place), "{}", step.key);
    }
}

#[test]
fn what_steeps_is_tasted_from_its_first_day_and_left_behind_by_a_racking() {
    let steeping = vec![Steeping {
        entry: 7,
        name: "Oak chips, toasted".to_owned(),
        hours: 60.0 * DAY,
        days: [7.0, 21.0],
    }];
    let facts = Facts {
        steeping,
        ..pitched()
    };
    let steps = steps_of(&fed(), &facts);
    let step = at(&steps, "steeped-7");
    assert_eq!((step.kind, step.why), (StepKind::TakeOut, Why::EnoughTaste));
    let Some(At::Day {
        days,
        from_days,
        to_days,
        ..
    }) = step.due.at
    else {
        panic!("a day: {:?}", step.due);
    };
    assert_eq!((days, from_days, to_days), (7, 7, 21));
    let racked = Facts {
        racked_h: vec![30.0 * DAY, 80.0 * DAY],
        ..facts.clone()
    };
    let steps = steps_of(&fed(), &racked);
    assert_eq!(
        at(&steps, "steeped-7").state,
        State::Done { hours: 80.0 * DAY }
    );
    let done = with(facts, &[("steeped-7", 70.0 * DAY, Said::Done)]);
    let steps = steps_of(&fed(), &done);
    assert_eq!(
        at(&steps, "steeped-7").state,
        State::Done { hours: 70.0 * DAY }
    );
}

/// A recipe says what is planned, its log what is there: half of it may have been poured elsewhere.
#[test]
fn what_is_filled_is_what_there_is() {
    let fills = |facts: &Facts| {
        let steps = steps_of(&fed(), facts);
        let amounts = &at(&steps, "package").amounts;
        let litres = amounts.iter().find_map(|amount| match amount {
            Amount::ToFill { litres } => Some(*litres),
            _ => None,
        });
        let bottles = amounts.iter().find_map(|amount| match amount {
            Amount::Bottles { size_l, count } => Some((*size_l, *count)),
            _ => None,
        });
        (litres.expect("litres"), bottles.expect("bottles"))
    };
    let (planned, (size_l, many)) = fills(&pitched());
    let with = |litres: f64| Facts {
        volume_l: Some(litres),
        ..pitched()
    };
    assert_eq!(
        fills(&with(planned + 2.0)).0,
        planned,
        "lees are still in it"
    );
    let (half, (_, few)) = fills(&with(4.0));
    assert!((half - 3.85).abs() < 1e-9, "{half}");
    assert_eq!(f64::from(few), (3.85 / size_l).floor());
    assert!(few < many);
    let racked = Facts {
        end_seen_h: Some(20.0 * DAY),
        racked_h: vec![30.0 * DAY],
        ..with(planned + 2.0)
    };
    assert!((fills(&racked).0 - planned - 1.85).abs() < 1e-9);
}
