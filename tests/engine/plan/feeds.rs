//! Feeds: at the hour or the gravity, whichever is first; what is missed goes with the next; none after the break.

use mustwright::engine::plan::*;
use mustwright::engine::recipe::{Nutrient, Recipe};

use super::{at, fed, hour, keys, pitched, steps_of};
use crate::documents::*;
use crate::support::close;

fn mark(key: &str, hours: f64, is: Said) -> Mark {
    Mark {
        key: key.to_owned(),
        hours,
        is,
    }
}

/// Grams of a nutrient in a step, and those of them from what was missed.
fn grams(steps: &[Step], key: &str, nutrient: &str) -> [f64; 2] {
    let amounts = at(steps, key).amounts.iter();
    let those = amounts.filter_map(|amount| match amount {
        Amount::Feed {
            nutrient: name,
            grams,
            from_missed_g,
            ..
        } if name == nutrient => Some([*grams, *from_missed_g]),
        _ => None,
    });
    those.fold([0.0, 0.0], |sum, one| [sum[0] + one[0], sum[1] + one[1]])
}

fn break_sg(recipe: &Recipe) -> f64 {
    let numbers = sound(recipe);
    numbers.ladder.expect("a ladder").one_third_break_sg
}

#[test]
fn at_the_hour_or_the_break_whichever_is_first() {
    let recipe = fed();
    let steps = steps_of(&recipe, &pitched());
    let wanted = break_sg(&recipe);
    for (key, hours) in [("feed-1", 24.0), ("feed-2", 48.0), ("feed-3", 72.0)] {
        let due = at(&steps, key).due;
        assert_eq!(due.or_at_sg, Some(wanted));
        assert_eq!(
            due.at,
            Some(At::Instant {
                hours,
                from_h: hours - 6.0,
                to_h: hours + 6.0
            })
        );
    }
    // The last one with the break, as the book has it; with the forecast, once there is one; never past day 7.
    assert_eq!(hour(&steps, "feed-4"), 120.0);
    let forecast = |best_h: f64| Facts {
        break_forecast: Some(Forecast {
            low_h: best_h - 20.0,
            best_h,
            high_h: best_h + 30.0,
        }),
        ..pitched()
    };
    let steps = steps_of(&recipe, &forecast(100.0));
    assert_eq!(
        at(&steps, "feed-4").due.at,
        Some(At::Instant {
            hours: 100.0,
            from_h: 80.0,
            to_h: 130.0
        })
    );
    assert_eq!(at(&steps, "feed-4").due.or_at_sg, Some(wanted));
    assert_eq!(hour(&steps_of(&recipe, &forecast(300.0)), "feed-4"), 168.0);
}

#[test]
fn all_grams_of_the_formulation_are_given() {
    let recipe = fed();
    let numbers = sound(&recipe);
    let steps = steps_of(&recipe, &Facts::default());
    for nutrient in ["mixed", "DAP", "organic"] {
        let planned: f64 = numbers
            .feeding
            .iter()
            .flat_map(|plan| &plan.additions)
            .filter(|addition| addition.nutrient == nutrient)
            .map(|addition| addition.grams)
            .sum();
        let given: f64 = (1..=4)
            .map(|number| grams(&steps, &format!("feed-{number}"), nutrient)[0])
            .sum();
        close(given, planned, 1e-9, nutrient);
    }
}

#[test]
fn in_the_morning_or_the_evening_where_the_hour_of_the_pitch_is_known() {
    let facts = Facts {
        pitch_hour_of_day: Some(22.0),
        ..pitched()
    };
    let steps = steps_of(&fed(), &facts);
    let found = ["feed-1", "feed-2", "feed-3"].map(|key| hour(&steps, key));
    assert_eq!(found, [22.0, 46.0, 70.0], "at eight in the evening");
    assert_eq!(hour(&steps, "degas-2"), 46.0, "the gas first");
    assert_eq!(at(&steps, "feed-2").after.as_deref(), Some("degas-2"));
}

#[test]
fn what_is_left_out_goes_with_the_next() {
    let recipe = fed();
    let before = steps_of(&recipe, &pitched());
    let facts = Facts {
        marks: vec![mark("feed-1", 60.0, Said::Skipped)],
        ..pitched()
    };
    let steps = steps_of(&recipe, &facts);
    let own = grams(&before, "feed-1", "mixed")[0];
    let next = grams(&before, "feed-2", "mixed")[0];
    assert!(own > 1.0);
    assert_eq!(at(&steps, "feed-1").state, State::Skipped { hours: 60.0 });
    let [together, from_missed] = grams(&steps, "feed-2", "mixed");
    close(together, own + next, 1e-9, "together");
    close(from_missed, own, 1e-9, "of it missed");
    assert_eq!(
        grams(&steps, "feed-3", "mixed"),
        grams(&before, "feed-3", "mixed")
    );
    // Into the last no ammonium goes, whatever was left out before.
    let facts = Facts {
        marks: ["feed-1", "feed-2", "feed-3"]
            .map(|key| mark(key, 90.0, Said::Skipped))
            .to_vec(),
        ..pitched()
    };
    let steps = steps_of(&recipe, &facts);
    assert_eq!(grams(&steps, "feed-4", "mixed"), [0.0, 0.0]);
    assert_eq!(grams(&steps, "feed-4", "DAP"), [0.0, 0.0]);
    assert!(grams(&steps, "feed-4", "organic")[0] > 0.0);
}

/// A recipe with organic feed in every part.
fn mostly_organic() -> Recipe {
    let share = |share: f64, feed: Nutrient| Nutrient {
        share: Some(share),
        ..feed
    };
    Recipe {
        nutrients: vec![share(0.6, organic()), share(0.4, dap())],
        ..traditional()
    }
}

#[test]
fn past_the_break_only_what_is_organic_is_given_with_the_last() {
    let recipe = mostly_organic();
    let before = steps_of(&recipe, &pitched());
    let numbers = sound(&recipe);
    let additions = &numbers.feeding.as_ref().expect("a plan").additions;
    let all_of = |name: &str| -> f64 {
        let those = additions
            .iter()
            .filter(|addition| addition.nutrient == name);
        those.map(|addition| addition.grams).sum()
    };
    assert!(all_of("DAP") > 0.0 && all_of("organic") > 0.0);
    let broken = Facts {
        gravity: Some(Measured {
            value: break_sg(&recipe) - 0.001,
            hours: 40.0,
        }),
        marks: vec![mark("feed-1", 24.0, Said::Done)],
        ..pitched()
    };
    let steps = steps_of(&recipe, &broken);
    for key in ["feed-2", "feed-3", "degas-2", "degas-3"] {
        assert_eq!(at(&steps, key).state, State::Past, "{key}");
    }
    assert_eq!(at(&steps, "feed-2").missed, Some(Missed::OrganicOnly));
    let last = at(&steps, "feed-4");
    assert_eq!(last.state, State::Open);
    assert_eq!(last.missed, Some(Missed::OrganicOnly));
    assert_eq!(grams(&steps, "feed-4", "DAP"), [0.0, 0.0]);
    let given = grams(&before, "feed-1", "organic")[0];
    let [folded, from_missed] = grams(&steps, "feed-4", "organic");
    close(folded + given, all_of("organic"), 1e-9, "all organic feed");
    let missed = ["feed-2", "feed-3"].map(|key| grams(&before, key, "organic")[0]);
    assert!(missed[0] > 1.0);
    close(from_missed, missed.iter().sum(), 1e-9, "of it missed");
    // Seen is as good as read.
    let seen = Facts {
        break_seen_h: Some(40.0),
        gravity: None,
        ..broken.clone()
    };
    assert_eq!(
        grams(&steps_of(&recipe, &seen), "feed-4", "organic"),
        [folded, from_missed]
    );
    // Only just above it everything still stands.
    let above = Facts {
        gravity: Some(Measured {
            value: break_sg(&recipe) + 0.001,
            hours: 40.0,
        }),
        ..broken
    };
    assert_eq!(at(&steps_of(&recipe, &above), "feed-2").state, State::Open);
}

#[test]
fn past_the_break_nothing_is_left_of_feeds_with_ammonium() {
    let recipe = Recipe {
        nutrients: vec![mixed()],
        ..traditional()
    };
    let facts = Facts {
        break_seen_h: Some(40.0),
        ..pitched()
    };
    let steps = steps_of(&recipe, &facts);
    let feeds: Vec<&Step> = steps
        .iter()
        .filter(|step| step.kind == StepKind::Feed)
        .collect();
    assert_eq!(feeds.len(), 3);
    assert!(feeds.iter().all(|step| step.state == State::Past));
}

#[test]
fn nothing_is_fed_past_nine_percent() {
    for strong in [
        Facts {
            abv_percent: Some(9.0),
            ..pitched()
        },
        Facts {
            gravity: Some(Measured {
                value: 1.010,
                hours: 200.0,
            }),
            ..pitched()
        },
        Facts {
            end_seen_h: Some(400.0),
            ..pitched()
        },
    ] {
        let steps = steps_of(&fed(), &strong);
        for step in steps.iter().filter(|step| step.kind == StepKind::Feed) {
            assert_eq!(step.state, State::Past, "{}", step.key);
            assert_eq!(step.missed, Some(Missed::LeaveItOut), "{}", step.key);
        }
    }
    let weaker = Facts {
        abv_percent: Some(8.9),
        ..pitched()
    };
    assert_eq!(at(&steps_of(&fed(), &weaker), "feed-2").state, State::Open);
}

#[test]
fn a_feed_given_late_keeps_the_next_at_a_distance() {
    let late = |hours: f64| {
        let facts = Facts {
            marks: vec![mark("feed-1", hours, Said::Done)],
            ..pitched()
        };
        hour(&steps_of(&fed(), &facts), "feed-2")
    };
    assert_eq!(late(24.0), 48.0);
    assert_eq!(late(30.0), 48.0);
    assert_eq!(late(40.0), 58.0);
}

#[test]
fn after_a_late_feed_the_next_morning_is_offered_in_place_of_the_evening_that_is_too_near() {
    let late = |hours: f64| {
        let facts = Facts {
            pitch_hour_of_day: Some(20.0),
            marks: vec![mark("feed-1", hours, Said::Done)],
            ..pitched()
        };
        hour(&steps_of(&fed(), &facts), "feed-2")
    };
    assert_eq!(late(24.0), 48.0, "on time: the next evening");
    assert_eq!(late(30.0), 48.0, "six hours late: still the next evening");
    // Given at seven in the morning: the evening is 13 hours on, the next morning a day.
    assert_eq!(late(35.0), 60.0, "at eight in the morning");
}

#[test]
fn a_must_that_needs_no_feed_is_still_stirred() {
    let steps = steps_of(&traditional(), &pitched());
    assert!(!keys(&steps).contains(&"feed-1"));
    assert_eq!(hour(&steps, "degas-1"), 24.0);
    let passed = Facts {
        break_seen_h: Some(100.0),
        ..pitched()
    };
    assert_eq!(
        at(&steps_of(&traditional(), &passed), "degas-1").state,
        State::Past
    );
}
