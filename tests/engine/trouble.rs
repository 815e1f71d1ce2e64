//! The trouble guide: each check answers yes, no and not known; each remedy follows from facts that earn it; amounts by hand.

use std::collections::HashSet;

use mustwright::engine::problem::Severity;
use mustwright::engine::trouble::{
    Answer, Check, Facts, Guide, Remedy, RemedyCode, Symptom, guide,
};
use proptest::prelude::*;

use crate::support::{any_number, close};

fn found(symptom: Symptom, check: Check, facts: &Facts) -> Answer {
    let guide = guide(symptom, facts);
    let finding = guide.findings.iter().find(|finding| finding.check == check);
    finding
        .unwrap_or_else(|| panic!("{symptom:?} does not look at {check:?}"))
        .answer
}

fn remedy(guide: &Guide, code: RemedyCode) -> &Remedy {
    let found = guide.remedies.iter().find(|remedy| remedy.code == code);
    found.unwrap_or_else(|| panic!("no {code:?} in {:?}", guide.remedies))
}

fn has(guide: &Guide, code: RemedyCode) -> bool {
    guide.remedies.iter().any(|remedy| remedy.code == code)
}

fn amount(guide: &Guide, code: RemedyCode, name: &str) -> f64 {
    remedy(guide, code).arguments.number(name).expect(name)
}

/// A usual mead of 20 L in the middle of its work: nothing is wrong with it.
fn sound() -> Facts {
    Facts {
        litres: Some(20.0),
        hours_since_pitch: Some(200.0),
        age_days: Some(150.0),
        og: Some(1.090),
        sg: Some(1.030),
        fall_sg_per_day: Some(0.0),
        abv_percent: Some(8.0),
        tolerance_abv_percent: Some(14.0),
        sugar_left_g_per_l: Some(70.0),
        is_finished: Some(false),
        fall_done: Some(0.3),
        ph: Some(3.5),
        ta_g_per_l: Some(6.0),
        temperature_c: Some(20.0),
        warmest_c: Some(21.0),
        yeast_temperature_c: Some([16.0, 24.0]),
        pitch_g_per_l: Some(0.475),
        nitrogen_given_mg_per_l: Some(160.0),
        nitrogen_target_mg_per_l: Some(160.0),
        hours_since_sulfite: Some(300.0),
        free_so2_mg_per_l: Some(60.0),
        is_stabilised: Some(false),
        headspace_fraction: Some(0.15),
        hours_since_degassed: Some(5.0),
        days_on_lees: Some(5.0),
        aired_after_break: Some(false),
        has_fruit: Some(false),
        has_pectinase: Some(false),
        meant_to_sparkle: Some(true),
        is_primed: Some(true),
        days_in_bottle: Some(40.0),
        bottle_temperature_c: Some(20.0),
        lid_is_tight: Some(true),
        fur_is_seen: Some(false),
        smells_of_nail_varnish: Some(false),
        smells_rotten: Some(false),
    }
}

/// Every check, the fact that makes it so in a mead that is sound otherwise.
fn causes() -> Vec<(Check, Facts)> {
    let is = |change: fn(&mut Facts)| {
        let mut facts = sound();
        change(&mut facts);
        facts
    };
    vec![
        (Check::LidLeaks, is(|f| f.lid_is_tight = Some(false))),
        (Check::WorkingAfterAll, is(|f| f.sg = Some(1.088))),
        (Check::FirstDays, is(|f| f.hours_since_pitch = Some(71.0))),
        (Check::TooCold, is(|f| f.temperature_c = Some(15.0))),
        (Check::TooWarm, is(|f| f.temperature_c = Some(25.0))),
        (Check::LowPh, is(|f| f.ph = Some(3.05))),
        (
            Check::SulfitedLately,
            is(|f| f.hours_since_sulfite = Some(20.0)),
        ),
        (Check::VeryStrong, is(|f| f.og = Some(1.145))),
        (Check::LittleYeast, is(|f| f.pitch_g_per_l = Some(0.2))),
        (
            Check::Hungry,
            is(|f| f.nitrogen_given_mg_per_l = Some(100.0)),
        ),
        (Check::FeedTooLate, is(|f| f.fall_done = Some(0.34))),
        (Check::FeedTooLate, is(|f| f.abv_percent = Some(9.0))),
        (Check::OnLees, is(|f| f.days_on_lees = Some(40.0))),
        (Check::AirAbove, is(|f| f.headspace_fraction = Some(0.1))),
        (Check::AiredLate, is(|f| f.aired_after_break = Some(true))),
        (Check::FurSeen, is(|f| f.fur_is_seen = Some(true))),
        (
            Check::NailVarnish,
            is(|f| f.smells_of_nail_varnish = Some(true)),
        ),
        (Check::RottenSmell, is(|f| f.smells_rotten = Some(true))),
        (Check::TooFull, is(|f| f.headspace_fraction = Some(0.05))),
        (
            Check::GasNotStirredOut,
            is(|f| f.hours_since_degassed = Some(40.0)),
        ),
        (
            Check::LittleFreeSulfite,
            is(|f| f.free_so2_mg_per_l = Some(10.0)),
        ),
        (Check::StillFalling, is(|f| f.fall_sg_per_day = Some(0.002))),
        (Check::JustMade, is(|f| f.age_days = Some(30.0))),
        (Check::Young, is(|f| f.age_days = Some(90.0))),
        (Check::Pectin, is(|f| f.has_fruit = Some(true))),
        (Check::AtLimit, is(|f| f.abv_percent = Some(12.6))),
        (Check::NearDry, is(|f| f.sugar_left_g_per_l = Some(2.0))),
        (Check::IsStabilised, is(|f| f.is_stabilised = Some(true))),
        (Check::HotFerment, is(|f| f.warmest_c = Some(28.0))),
        (Check::Sour, is(|f| f.ta_g_per_l = Some(9.0))),
        (Check::Sour, is(|f| f.ph = Some(3.0))),
        (Check::LittleAcid, is(|f| f.ta_g_per_l = Some(3.0))),
        (Check::MeantToSparkle, sound()),
        (Check::NotPrimed, is(|f| f.is_primed = Some(false))),
        (Check::ShortInBottle, is(|f| f.days_in_bottle = Some(10.0))),
        (
            Check::ColdBottles,
            is(|f| f.bottle_temperature_c = Some(8.0)),
        ),
        (
            Check::TooStrongForBottles,
            is(|f| f.abv_percent = Some(15.0)),
        ),
    ]
}

/// What makes a check not so, where the sound mead itself is no such case.
fn harmless(check: Check) -> Facts {
    let mut facts = sound();
    match check {
        Check::WorkingAfterAll => facts.sg = Some(1.089),
        Check::AirAbove => facts.headspace_fraction = Some(0.02),
        Check::MeantToSparkle => facts.meant_to_sparkle = Some(false),
        _ => {}
    }
    facts
}

#[test]
fn each_symptom_has_checks_remedies_and_a_word_on_pouring_away() {
    let mut seen: HashSet<Check> = HashSet::new();
    for symptom in Symptom::ALL {
        assert!(symptom.checks().len() >= 3, "{symptom:?}");
        assert!(!symptom.pour_away().is_empty(), "{symptom:?}");
        seen.extend(symptom.checks().iter().copied());
        for facts in [Facts::default(), sound()] {
            let guide = guide(*symptom, &facts);
            assert_eq!(guide.findings.len(), symptom.checks().len());
            assert!(!guide.remedies.is_empty(), "{symptom:?}");
            let codes: HashSet<_> = guide.remedies.iter().map(|remedy| remedy.code).collect();
            assert_eq!(codes.len(), guide.remedies.len(), "{symptom:?}: twice");
        }
    }
    assert_eq!(seen.len(), Check::ALL.len(), "a check that nobody asks");
}

#[test]
fn each_check_answers_yes_no_and_not_known() {
    let mut tried = HashSet::new();
    for (check, facts) in causes() {
        tried.insert(check);
        for symptom in Symptom::ALL
            .iter()
            .filter(|symptom| symptom.checks().contains(&check))
        {
            assert_eq!(found(*symptom, check, &facts), Answer::Yes, "{check:?}");
            assert_eq!(
                found(*symptom, check, &harmless(check)),
                Answer::No,
                "{check:?}"
            );
            assert_eq!(
                found(*symptom, check, &Facts::default()),
                Answer::NotKnown,
                "{check:?}"
            );
        }
    }
    assert_eq!(tried.len(), Check::ALL.len(), "a check without a case");
}

/// What is exactly at a limit has not passed it.
#[test]
fn at_its_limit_nothing_is_beyond_it() {
    let is = |change: fn(&mut Facts)| {
        let mut facts = sound();
        change(&mut facts);
        facts
    };
    for (check, facts) in [
        (Check::VeryStrong, is(|f| f.og = Some(1.140))),
        (
            Check::Hungry,
            is(|f| f.nitrogen_given_mg_per_l = Some(0.8 * 160.0)),
        ),
        (Check::Sour, is(|f| f.ph = Some(3.1))),
        (Check::Sour, is(|f| f.ta_g_per_l = Some(8.0))),
        (Check::LittleAcid, is(|f| f.ph = Some(3.9))),
        (Check::LittleAcid, is(|f| f.ta_g_per_l = Some(4.0))),
    ] {
        let asked = Symptom::ALL
            .iter()
            .filter(|symptom| symptom.checks().contains(&check));
        let answers: Vec<Answer> = asked
            .map(|symptom| found(*symptom, check, &facts))
            .collect();
        assert!(!answers.is_empty());
        assert!(answers.iter().all(|one| *one == Answer::No), "{check:?}");
    }
}

#[test]
fn each_remedy_is_earned_by_some_mead() {
    let mut earned: HashSet<RemedyCode> = HashSet::new();
    let mut meads: Vec<Facts> = causes().into_iter().map(|(_, facts)| facts).collect();
    meads.push(Facts::default());
    meads.push(sound());
    // What takes two causes at once, or one and its contrary.
    let mut late = sound();
    (late.fall_done, late.nitrogen_given_mg_per_l) = (Some(0.5), Some(80.0));
    let mut ended = late;
    ended.sugar_left_g_per_l = Some(1.0);
    ended.fall_sg_per_day = Some(0.001);
    let mut standing = sound();
    standing.sg = standing.og;
    let mut thin = sound();
    (thin.meant_to_sparkle, thin.ta_g_per_l) = (Some(false), Some(3.0));
    let mut quiet = sound();
    (quiet.headspace_fraction, quiet.free_so2_mg_per_l) = (Some(0.1), Some(5.0));
    let mut leaking = standing;
    leaking.lid_is_tight = Some(false);
    let mut sulfited = standing;
    sulfited.hours_since_sulfite = Some(10.0);
    let mut finished = sound();
    (finished.sugar_left_g_per_l, finished.is_finished) = (Some(1.0), Some(true));
    meads.extend([
        late, ended, standing, thin, quiet, leaking, sulfited, finished,
    ]);
    for facts in &meads {
        for symptom in Symptom::ALL {
            earned.extend(
                guide(*symptom, facts)
                    .remedies
                    .iter()
                    .map(|remedy| remedy.code),
            );
        }
    }
    let missing: Vec<_> = RemedyCode::ALL
        .iter()
        .filter(|code| !earned.contains(code))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn amounts_by_hand() {
    // 0.25 g/L of potassium bicarbonate in 20 L.
    let mut low = sound();
    low.ph = Some(3.0);
    close(
        amount(&guide(Symptom::Stuck, &low), RemedyCode::RaisePh, "grams"),
        5.0,
        1e-9,
        "bicarbonate",
    );
    // 60 mg/L are lacking, 50 are given at once: 50/212.13 g/L of DAP; organic 0.4 g/L at the most.
    let mut hungry = sound();
    hungry.nitrogen_given_mg_per_l = Some(100.0);
    let fed = guide(Symptom::Stuck, &hungry);
    close(
        amount(&fed, RemedyCode::FeedNow, "mg_per_l"),
        50.0,
        1e-9,
        "nitrogen",
    );
    close(
        amount(&fed, RemedyCode::FeedNow, "dap_g"),
        4.714,
        0.001,
        "DAP",
    );
    close(
        amount(&fed, RemedyCode::FeedNow, "organic_g"),
        8.0,
        1e-9,
        "organic",
    );
    // 40 mg/L are lacking, and all of them are given: 40/212.13 g/L of DAP.
    hungry.nitrogen_given_mg_per_l = Some(120.0);
    let fed = guide(Symptom::Stuck, &hungry);
    close(
        amount(&fed, RemedyCode::FeedNow, "mg_per_l"),
        40.0,
        1e-9,
        "nitrogen",
    );
    close(
        amount(&fed, RemedyCode::FeedNow, "dap_g"),
        3.771,
        0.001,
        "DAP",
    );
    // 0.5 g/L of yeast, ten times its water; 0.1 L doubled five times is 3.2 L, more than a tenth.
    let again = guide(Symptom::Stuck, &sound());
    let restart = |name| amount(&again, RemedyCode::Restart, name);
    close(restart("yeast_g"), 10.0, 1e-9, "yeast");
    close(restart("water_g"), 100.0, 1e-9, "water");
    close(restart("first_l"), 0.1, 1e-9, "first");
    close(restart("times"), 5.0, 1e-9, "times");
    close(restart("starter_l"), 3.2, 1e-9, "starter");
    // At pH 3.5 0.5 mg/L molecular are 24.99 mg/L free; 15 of it lacking, 57.6 % of the salt.
    let mut film = sound();
    film.free_so2_mg_per_l = Some(10.0);
    let film = guide(Symptom::Film, &film);
    close(
        amount(&film, RemedyCode::AddSulfite, "free_mg_per_l"),
        24.99,
        0.02,
        "free",
    );
    close(
        amount(&film, RemedyCode::AddSulfite, "grams"),
        0.5202,
        0.001,
        "metabisulfite",
    );
    // At the limit, 12.6 %: 150 mg/L of sorbic acid, 74.64 % of the sorbate.
    let mut limit = sound();
    limit.abv_percent = Some(12.6);
    let limit = guide(Symptom::Stuck, &limit);
    close(
        amount(&limit, RemedyCode::KeepItSweet, "sorbate_g"),
        4.019,
        0.002,
        "sorbate",
    );
    // 20 L are 95 % of 21.05 L; 15 % empty would be 17.89 L.
    let mut full = sound();
    full.headspace_fraction = Some(0.05);
    let full = guide(Symptom::FoamOver, &full);
    close(
        amount(&full, RemedyCode::TakeSomeOut, "litres"),
        2.105,
        0.001,
        "taken out",
    );
    // 20 L are 90 % of 22.22 L; 3 % empty are 21.56 L.
    let mut empty = sound();
    empty.headspace_fraction = Some(0.1);
    let empty = guide(Symptom::Film, &empty);
    close(
        amount(&empty, RemedyCode::TopUp, "litres"),
        1.556,
        0.001,
        "topped up",
    );
    // Half a gram as tartaric for each litre: 100.114 / 75.043 of it in bicarbonate.
    let mut sour = sound();
    sour.ta_g_per_l = Some(9.0);
    let sour = guide(Symptom::Harsh, &sour);
    close(
        amount(&sour, RemedyCode::SoftenAcid, "grams"),
        13.341,
        0.005,
        "bicarbonate",
    );
}

#[test]
fn feeding_stops_at_the_break_and_at_nine_percent() {
    let mut hungry = sound();
    hungry.nitrogen_given_mg_per_l = Some(50.0);
    let told = |facts: &Facts| guide(Symptom::RottenEgg, facts);
    assert!(has(&told(&hungry), RemedyCode::FeedNow));
    for late in [
        Facts {
            fall_done: Some(1.0 / 3.0),
            ..hungry
        },
        Facts {
            abv_percent: Some(9.0),
            ..hungry
        },
        // Not known is no leave to give ammonium.
        Facts {
            fall_done: None,
            abv_percent: None,
            ..hungry
        },
    ] {
        let told = told(&late);
        assert!(!has(&told, RemedyCode::FeedNow) && has(&told, RemedyCode::FeedOrganicOnly));
    }
}

#[test]
fn nothing_is_dosed_on_a_guess() {
    for symptom in Symptom::ALL {
        let guide = guide(*symptom, &Facts::default());
        for never in [
            RemedyCode::RaisePh,
            RemedyCode::AddSulfite,
            RemedyCode::FeedNow,
            RemedyCode::FeedOrganicOnly,
            RemedyCode::SoftenAcid,
            RemedyCode::AddAcid,
            RemedyCode::PitchAgain,
        ] {
            assert!(!has(&guide, never), "{symptom:?}: {never:?}");
        }
    }
    // In the first three days nobody is told to pitch again.
    let mut early = sound();
    (early.sg, early.hours_since_pitch) = (early.og, Some(50.0));
    let early = guide(Symptom::NoStart, &early);
    assert!(!has(&early, RemedyCode::PitchAgain));
    close(
        amount(&early, RemedyCode::WaitForTheStart, "hours"),
        22.0,
        1e-9,
        "hours",
    );
    let mut late = sound();
    late.sg = late.og;
    assert!(has(&guide(Symptom::NoStart, &late), RemedyCode::PitchAgain));
}

#[test]
fn what_can_hurt_is_a_danger() {
    let weight = |symptom, facts: &Facts, code| {
        let guide = guide(symptom, facts);
        remedy(&guide, code).severity
    };
    let mut fur = sound();
    fur.fur_is_seen = Some(true);
    let mut moving = sound();
    moving.fall_sg_per_day = Some(0.001);
    let mut bare = sound();
    bare.free_so2_mg_per_l = Some(0.0);
    for (symptom, facts, code) in [
        (Symptom::Film, &fur, RemedyCode::PourItAway),
        (Symptom::Film, &bare, RemedyCode::AddSulfite),
        (Symptom::FoamOver, &sound(), RemedyCode::ClearTheAirlock),
        (Symptom::Stuck, &sound(), RemedyCode::DoNotBottle),
        (Symptom::Haze, &moving, RemedyCode::DoNotBottle),
        (Symptom::Flat, &sound(), RemedyCode::NoSugarOnAGuess),
        (Symptom::RottenEgg, &sound(), RemedyCode::AirTheRoom),
    ] {
        assert_eq!(weight(symptom, facts, code), Severity::Danger, "{code:?}");
    }
    // For the drain, nothing else is advised.
    assert_eq!(guide(Symptom::Film, &fur).remedies.len(), 1);
}

#[test]
fn a_stuck_mead_is_told_apart_from_one_that_works_has_ended_or_cannot() {
    let stuck = |change: fn(&mut Facts)| {
        let mut facts = sound();
        change(&mut facts);
        guide(Symptom::Stuck, &facts)
    };
    assert!(has(&stuck(|_| {}), RemedyCode::Restart));
    for (change, wanted) in [
        (
            (|f: &mut Facts| f.fall_sg_per_day = Some(0.003)) as fn(&mut Facts),
            RemedyCode::LeaveIt,
        ),
        (|f| f.sugar_left_g_per_l = Some(1.0), RemedyCode::ItHasEnded),
        (
            |f| {
                f.sugar_left_g_per_l = Some(1.0);
                f.is_finished = Some(true);
            },
            RemedyCode::ItStandsStill,
        ),
        (|f| f.abv_percent = Some(13.5), RemedyCode::KeepItSweet),
        (|f| f.is_stabilised = Some(true), RemedyCode::NoRestart),
    ] {
        let told = stuck(change);
        assert!(has(&told, wanted), "{wanted:?}");
        assert!(!has(&told, RemedyCode::Restart), "{wanted:?}");
    }
}

/// Sorbate stays, whatever is pitched since: yeast and sugar that wake after months burst bottles.
#[test]
fn no_yeast_goes_into_bottles_of_what_was_or_may_have_been_stabilised() {
    let strong = Facts {
        abv_percent: Some(15.0),
        ..sound()
    };
    assert!(has(&guide(Symptom::Flat, &strong), RemedyCode::BottleYeast));
    for is_stabilised in [Some(true), None] {
        for symptom in Symptom::ALL {
            let facts = Facts {
                is_stabilised,
                ..strong
            };
            let told = guide(*symptom, &facts);
            assert!(
                !has(&told, RemedyCode::BottleYeast),
                "{symptom:?} {is_stabilised:?}"
            );
        }
    }
}

proptest! {
    #[test]
    fn more_mead_takes_more_of_everything(litres in 0.5..400.0_f64, times in 1.01..5.0_f64) {
        let mut meads: Vec<Facts> = causes().into_iter().map(|(_, facts)| facts).collect();
        meads.push(sound());
        for facts in meads {
            for symptom in Symptom::ALL {
                let less = guide(*symptom, &Facts { litres: Some(litres), ..facts });
                let more = guide(*symptom, &Facts { litres: Some(litres * times), ..facts });
                prop_assert_eq!(less.remedies.len(), more.remedies.len());
                for (a, b) in less.remedies.iter().zip(&more.remedies) {
                    for name in ["grams", "yeast_g", "water_g", "dap_g", "organic_g", "sorbate_g", "litres", "first_l", "starter_l"] {
                        if let (Some(a), Some(b)) = (a.arguments.number(name), b.arguments.number(name)) {
                            prop_assert!(a >= 0.0 && (b - a * times).abs() <= 1e-9 * b.abs(), "{name}: {a} {b}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn a_hungrier_must_gets_no_less(given in 0.0..300.0_f64, less in 0.0..100.0_f64) {
        let amount = |given: f64| {
            let facts = Facts { nitrogen_given_mg_per_l: Some(given), ..sound() };
            let guide = guide(Symptom::RottenEgg, &facts);
            guide.remedies.iter().find(|remedy| remedy.code == RemedyCode::FeedNow)
                .map_or(0.0, |remedy| remedy.arguments.number("dap_g").expect("grams"))
        };
        prop_assert!(amount((given - less).max(0.0)) >= amount(given) - 1e-9);
    }

    #[test]
    fn nothing_hostile_gets_into_an_amount(numbers in prop::collection::vec(any_number(), 22)) {
        let at = |n: usize| Some(numbers[n]);
        let facts = Facts {
            litres: at(0), hours_since_pitch: at(1), age_days: at(2), og: at(3), sg: at(4), fall_sg_per_day: at(5),
            abv_percent: at(6), tolerance_abv_percent: at(7), sugar_left_g_per_l: at(8), fall_done: at(9), ph: at(10),
            ta_g_per_l: at(11), temperature_c: at(12), warmest_c: at(13), yeast_temperature_c: Some([numbers[14], numbers[15]]),
            pitch_g_per_l: at(16), nitrogen_given_mg_per_l: at(17), nitrogen_target_mg_per_l: at(18), free_so2_mg_per_l: at(19),
            headspace_fraction: at(20), days_in_bottle: at(21), ..sound()
        };
        for symptom in Symptom::ALL {
            let guide = guide(*symptom, &facts);
            let arguments = guide.remedies.iter().map(|remedy| &remedy.arguments);
            for arguments in arguments.chain(guide.findings.iter().map(|finding| &finding.arguments)) {
                for (name, value) in arguments.iter() {
                    prop_assert!(arguments.number(name).is_some_and(f64::is_finite), "{name} {value:?}");
                }
            }
        }
    }
}
