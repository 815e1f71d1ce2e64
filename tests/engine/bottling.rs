//! Closing a mead up: what is primed never gets more gas than was asked for, and what was stabilised gets no sugar.

use mustwright::engine::bottle::{Bottle, MOST_VOLUMES, PrimingSugar};
use mustwright::engine::bottling::*;
use mustwright::engine::carbonation::{GRAMS_PER_VOLUME, gauge_kpa, residual_volumes};
use mustwright::engine::log::entry::*;
use mustwright::engine::log::{Deed, Start, State, replay};
use mustwright::engine::stoichiometry::CO2_PER_HEXOSE;
use proptest::prelude::*;

use crate::log::{after, at, mixed, pitch, reads, stabilise, start};
use crate::support::{any_number, close};

fn dry() -> Mead {
    Mead {
        abv_percent: 12.0,
        sugar_g_per_l: 2.0,
        fermentable_g_per_l: 1.0,
        stabilised: false,
        stands_still: true,
        months: 3.0,
    }
}

fn wish(way: Way, volumes: f64) -> Asked {
    Asked {
        way,
        litres: 20.0,
        bottle: Bottle::Heavy,
        volumes: Some(volumes),
        sugar: PrimingSugar::Sucrose,
        warmest_c: Some(20.0),
        degassed: true,
        keg_c: Some(4.0),
    }
}

#[test]
fn what_is_there_and_what_will_come_is_taken_off_the_sugar() {
    let is = bottled(&dry(), &wish(Way::Primed, 2.5));
    let residual = residual_volumes(20.0, 12.0, 2.0);
    close(is.residual_volumes.unwrap(), residual, 1e-12, "residual");
    let coming = residual + CO2_PER_HEXOSE / GRAMS_PER_VOLUME;
    let wanted = (2.5 - coming) * GRAMS_PER_VOLUME / PrimingSugar::Sucrose.co2_g_per_g() * 20.0;
    let grams = is.sugar_g.unwrap();
    assert!(
        grams <= wanted && wanted - grams < 0.1,
        "{grams} of {wanted}"
    );
    assert_eq!((is.refusals, is.dangers), (vec![], vec![]));
    // Nobody stirred: half as much again is in it, and so much less sugar goes in.
    let asked = Asked {
        degassed: false,
        ..wish(Way::Primed, 2.5)
    };
    let full = bottled(&dry(), &asked);
    close(full.residual_volumes.unwrap(), 1.5 * residual, 1e-12, "gas");
    assert!(full.sugar_g.unwrap() < grams - 10.0);
}

#[test]
fn pressure_is_told_for_a_warm_day_in_bar() {
    // Rules of thumb for 12 % at 30 °C: 2.5, 3 and 4 volumes press about 3.4, 4.2 and 6.0 bar (practice).
    for (volumes, bar) in [(2.5, 3.4), (3.0, 4.2), (4.0, 6.0)] {
        let asked = Asked {
            bottle: Bottle::SparklingWine,
            ..wish(Way::Primed, volumes)
        };
        let found = bottled(&dry(), &asked).warm_day_bar.unwrap();
        close(found, bar, 0.1 * bar, "bar");
        close(
            found * 100.0,
            gauge_kpa(30.0, volumes, 12.0, 2.0).unwrap(),
            1e-9,
            "kPa",
        );
    }
}

#[test]
fn each_kind_of_bottle_has_its_limit() {
    for (bottle, most) in [
        (Bottle::Still, 0.0),
        (Bottle::Beer, 2.5),
        (Bottle::Heavy, 3.5),
        (Bottle::SparklingWine, 5.0),
    ] {
        for volumes in [1.9, 2.5, 2.6, 3.5, 3.6, 5.0] {
            let asked = Asked {
                bottle,
                ..wish(Way::Primed, volumes)
            };
            let is = bottled(&dry(), &asked);
            let holds = volumes <= most;
            assert_eq!(is.sugar_g.is_some(), holds, "{bottle:?} {volumes}");
            assert_eq!(is.dangers.contains(&Danger::WeakBottle), !holds);
            let stronger = is.refusals.iter().find_map(|one| match one {
                Refusal::BottleTooWeak { stronger, .. } => *stronger,
                _ => None,
            });
            assert_eq!(stronger.is_some(), !holds, "{bottle:?} {volumes}");
            assert!(stronger.is_none_or(|kind| kind.most_volumes() >= volumes));
        }
    }
    let is = bottled(&dry(), &wish(Way::Primed, 5.1));
    assert_eq!(
        is.refusals,
        [Refusal::NoBottleHolds {
            most_volumes: MOST_VOLUMES
        }]
    );
}

#[test]
fn nothing_is_reckoned_without_what_it_goes_by() {
    let without = |change: fn(&mut Asked)| {
        let mut asked = wish(Way::Primed, 2.5);
        change(&mut asked);
        let is = bottled(&dry(), &asked);
        assert_eq!(is.sugar_g, None);
        is.refusals
    };
    assert_eq!(
        without(|asked| asked.warmest_c = None),
        [Refusal::WarmestUnknown]
    );
    assert_eq!(
        without(|asked| asked.volumes = None),
        [Refusal::VolumesMissing]
    );
    assert!(matches!(
        without(|asked| asked.volumes = Some(0.5))[..],
        [Refusal::AlreadyFizzier { .. }]
    ));
    let keg = Asked {
        keg_c: None,
        ..wish(Way::Kegged, 2.5)
    };
    assert_eq!(
        bottled(&dry(), &keg).refusals,
        [Refusal::KegTemperatureMissing]
    );
    // Only kept in it, as it is.
    let as_it_is = Asked {
        volumes: None,
        ..keg
    };
    assert!(bottled(&dry(), &as_it_is).refusals.is_empty());
}

#[test]
fn a_keg_stands_under_the_pressure_of_the_table() {
    let is = bottled(&dry(), &wish(Way::Kegged, 2.5));
    let wanted = gauge_kpa(4.0, 2.5, 12.0, 2.0).unwrap();
    close(is.keg_kpa.unwrap(), wanted, 1e-9, "kPa");
    assert_eq!(is.sugar_g, None, "a cylinder needs no sugar");
    // What was stabilised may go into a keg.
    let stabilised = Mead {
        stabilised: true,
        ..dry()
    };
    assert!(
        bottled(&stabilised, &wish(Way::Kegged, 2.5))
            .keg_kpa
            .is_some()
    );
}

#[test]
fn fresh_yeast_is_for_what_is_strong_or_old() {
    for (abv_percent, months, fresh) in [
        (12.0, 5.9, false),
        (13.0, 6.0, false),
        (13.1, 1.0, true),
        (12.0, 6.1, true),
    ] {
        let mead = Mead {
            abv_percent,
            months,
            ..dry()
        };
        let is = bottled(&mead, &wish(Way::Primed, 2.5));
        assert_eq!(is.yeast_g.is_some(), fresh, "{abv_percent} {months}");
        if let Some([low, high]) = is.yeast_g {
            close(low, 2.0, 1e-9, "0.1 g/L");
            close(high, 4.0, 1e-9, "0.2 g/L");
        }
    }
}

#[test]
fn what_does_not_stand_still_is_a_danger_however_it_is_closed() {
    let going = Mead {
        stands_still: false,
        sugar_g_per_l: 20.0,
        fermentable_g_per_l: 20.0,
        ..dry()
    };
    for way in Way::ALL {
        let is = bottled(&going, &wish(way, 2.5));
        assert!(is.dangers.contains(&Danger::NotStill), "{way:?}");
    }
    let still = Asked {
        bottle: Bottle::Still,
        ..wish(Way::Still, 0.0)
    };
    let is = bottled(&going, &still);
    assert!(is.dangers.contains(&Danger::WeakBottle), "{is:?}");
    assert!(is.warm_day_bar.unwrap() > 5.0, "{is:?}");
    assert!(bottled(&dry(), &still).dangers.is_empty());
    // Nobody knows how warm it was: its pressure is told all the same, and never as less.
    let unknown = Asked {
        warmest_c: None,
        ..still
    };
    let more = bottled(&going, &unknown);
    assert!(more.warm_day_bar.unwrap() > is.warm_day_bar.unwrap());
}

/// A log that was stabilised, then went on in this way.
fn stabilised_then(more: Vec<Deed>) -> (Start, State) {
    let mut entries = vec![
        at(0.0, mixed(20.0, 1.086)),
        at(1.0, pitch()),
        at(960.0, reads(0.998)),
        at(1300.0, reads(0.998)),
        at(1310.0, stabilise()),
    ];
    entries.extend(more.into_iter().zip(1..).map(|(deed, day)| {
        let hours = 1310.0 + 24.0 * f64::from(day);
        at(hours, deed)
    }));
    let start = start();
    let state = after(&start, entries);
    (start, state)
}

#[test]
fn no_way_leads_from_stabilised_to_sugar_for_gas() {
    let sorbate = Deed::Addition(Addition {
        grams: Some(4.0),
        ..Addition::of("sorbate", What::Sorbate)
    });
    let ways: [Vec<Deed>; 4] = [
        vec![],
        // Fresh yeast, for the bottles or to start it again.
        vec![pitch()],
        vec![sorbate.clone(), pitch(), reads(0.997)],
        vec![Deed::Rack(Rack::default()), pitch(), reads(0.998)],
    ];
    for deeds in ways {
        let (start, state) = stabilised_then(deeds);
        for stands_still in [false, true] {
            let mead = Mead::of(&start, &state, stands_still, 2.0);
            assert!(mead.stabilised, "{state:?}");
            let is = bottled(&mead, &wish(Way::Primed, 3.0));
            assert_eq!(is.sugar_g, None);
            assert!(is.refusals.contains(&Refusal::Stabilised));
        }
    }
    // Sorbate alone, and a mead that came stabilised.
    let entries = vec![
        at(0.0, mixed(20.0, 1.086)),
        at(900.0, sorbate),
        at(910.0, pitch()),
    ];
    let own = start();
    assert!(ever_stabilised(&own, &after(&own, entries)));
    let came = Start {
        stabilised: true,
        ..start()
    };
    let again = replay(&came, &[at(1.0, pitch())]);
    assert!(ever_stabilised(&came, &again));
    let never = after(&own, vec![at(0.0, mixed(20.0, 1.086)), at(1.0, pitch())]);
    assert!(!ever_stabilised(&own, &never));
}

#[test]
fn what_does_not_stand_still_counts_with_all_its_sugar() {
    let own = start();
    let entries = vec![
        at(0.0, mixed(20.0, 1.086)),
        at(1.0, pitch()),
        at(300.0, reads(1.020)),
    ];
    let state = after(&own, entries);
    let going = Mead::of(&own, &state, false, 1.0);
    assert!(going.fermentable_g_per_l >= state.sugar_g_per_l);
    assert!(going.fermentable_g_per_l >= state.expected.fermentable_g_per_l);
    let is = bottled(&going, &wish(Way::Primed, 3.5));
    assert!(
        matches!(is.refusals[..], [Refusal::AlreadyFizzier { .. }]),
        "{is:?}"
    );
}

proptest! {
    #[test]
    fn priming_never_exceeds_the_gas_that_was_asked_for(
        (abv_percent, sugar_g_per_l, fermentable_g_per_l, months) in
            (any_number(), any_number(), any_number(), any_number()),
        (stabilised, stands_still, degassed) in any::<(bool, bool, bool)>(),
        (litres, volumes, warmest) in (any_number(), any_number(), any_number()),
        usual in any::<bool>(),
        (usual_volumes, usual_c, usual_sugar) in (0.0..6.0f64, 0.0..40.0f64, 0.0..30.0f64),
        bottle in prop::sample::select(Bottle::ALL.to_vec()),
        sugar in prop::sample::select(PrimingSugar::ALL.to_vec()),
        way in prop::sample::select(Way::ALL.to_vec()),
    ) {
        let mead = match usual {
            true => Mead { fermentable_g_per_l: usual_sugar, stabilised, stands_still, ..dry() },
            false => Mead { abv_percent, sugar_g_per_l, fermentable_g_per_l, stabilised, stands_still, months },
        };
        let asked = Asked {
            way,
            litres: if usual { 20.0 } else { litres },
            bottle,
            volumes: Some(if usual { usual_volumes } else { volumes }),
            sugar,
            warmest_c: Some(if usual { usual_c } else { warmest }),
            degassed,
            keg_c: Some(4.0),
        };
        let is = bottled(&mead, &asked);
        if let Some(grams) = is.sugar_g {
            prop_assert_eq!(way, Way::Primed);
            prop_assert!(!stabilised);
            prop_assert!(asked.volumes.unwrap() <= bottle.most_volumes());
            prop_assert!(grams >= 0.0 && grams.is_finite());
            let litres = asked.litres;
            if grams > 0.0 {
                // All that is there, all that comes by itself, all that the sugar makes.
                let at_rest = residual_volumes(
                    asked.warmest_c.unwrap(), mead.abv_percent, mead.sugar_g_per_l);
                let all = at_rest
                    + mead.fermentable_g_per_l.max(0.0) * CO2_PER_HEXOSE / GRAMS_PER_VOLUME
                    + grams / litres * sugar.co2_g_per_g() / GRAMS_PER_VOLUME;
                prop_assert!(all <= asked.volumes.unwrap() + 1e-9, "{} of {:?}", all, asked.volumes);
            }
        }
    }
}
