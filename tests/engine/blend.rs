//! Blending: nothing is made or lost, the amounts are the best there are, and what can go wrong is told.

use mustwright::engine::balance::{Liquid, ferment};
use mustwright::engine::blend::risk::{Risk, Stands, risks};
use mustwright::engine::blend::{Quality, Source, Unable, Wish, amounts, poured};
use proptest::prelude::*;

/// A mead of that OG, of which that part has fermented.
fn mead(litres: f64, og: f64, part: f64, ta: f64) -> Source {
    let must = Liquid::must_of_gravity(litres, og).expect("a must");
    let fermentable = Liquid {
        sugar_kg: must.sugar_kg * 0.9,
        extract_kg: must.sugar_kg * 0.1,
        ..must
    };
    let left = ferment(&fermentable, fermentable.sugar_kg * part);
    let source = Source::of(left, Some(ta)).expect("a mead");
    Source { litres, ..source }
}

fn wish(litres: f64) -> Wish {
    Wish {
        litres,
        ..Wish::default()
    }
}

fn any_mead() -> impl Strategy<Value = Source> {
    (0.5..30.0, 1.04..1.14, 0.0..1.0, 3.0..9.0)
        .prop_map(|(litres, og, part, ta)| mead(litres, og, part, ta))
}

/// What is missed, squared, each in what a reading tells apart.
fn missed(sources: &[Source], litres: &[f64], wish: &Wish) -> f64 {
    let parts: Vec<(Source, f64)> = sources
        .iter()
        .copied()
        .zip(litres.iter().copied())
        .collect();
    let made = poured(&parts);
    let far = |quality: Quality, value: f64| {
        let wanted = wish.of(quality);
        wanted.map_or(0.0, |wanted| {
            ((value - wanted) / quality.told_apart()).powi(2)
        })
    };
    far(Quality::Gravity, made.sg)
        + far(Quality::Strength, made.abv_percent)
        + far(Quality::Acidity, made.ta_g_per_l.unwrap_or(0.0))
}

#[test]
fn a_dry_and_a_sweet_one_make_what_lies_between() {
    let (dry, sweet) = (mead(20.0, 1.09, 1.0, 6.0), mead(10.0, 1.12, 0.75, 4.0));
    let (low, high) = (poured(&[(dry, 1.0)]).sg, poured(&[(sweet, 1.0)]).sg);
    let middle = (low + high) / 2.0;
    let found = amounts(
        &[dry, sweet],
        &Wish {
            sg: Some(middle),
            ..wish(10.0)
        },
    )
    .expect("amounts");
    assert_eq!(found.missed, []);
    assert!(
        (found.blended.sg - middle).abs() < 2e-5,
        "{}",
        found.blended.sg
    );
    assert!((found.litres[0] - 5.0).abs() < 0.1, "{:?}", found.litres);
    assert!((found.litres.iter().sum::<f64>() - 10.0).abs() < 1e-9);
}

#[test]
fn what_cannot_be_reached_is_told_with_how_far_it_goes() {
    let meads = [mead(5.0, 1.08, 1.0, 6.0), mead(5.0, 1.09, 1.0, 5.0)];
    let found = amounts(
        &meads,
        &Wish {
            sg: Some(1.03),
            ..wish(5.0)
        },
    )
    .expect("amounts");
    let [missed] = found.missed.as_slice() else {
        panic!("{:?}", found.missed)
    };
    assert_eq!(missed.quality, Quality::Gravity);
    assert!(!missed.alone_it_could_be());
    assert!(missed.reach[0] < missed.reach[1] && missed.reach[1] < 1.0);
    assert!((missed.comes_to - missed.reach[1]).abs() < 1e-5);
}

#[test]
fn two_wishes_that_pull_apart_are_both_told_as_possible_alone() {
    // The dry one is the strong one: dry and weak at once is nowhere.
    let meads = [mead(10.0, 1.11, 1.0, 6.0), mead(10.0, 1.08, 0.6, 5.0)];
    let of = |part: f64| poured(&[(meads[0], part), (meads[1], 1.0 - part)]);
    let found = amounts(
        &meads,
        &Wish {
            sg: Some(of(0.9).sg),
            abv_percent: Some(of(0.1).abv_percent),
            ..wish(8.0)
        },
    )
    .expect("amounts");
    assert!(!found.missed.is_empty());
    assert!(
        found.missed.iter().all(|one| one.alone_it_could_be()),
        "{found:?}"
    );
}

#[test]
fn what_is_not_there_or_not_known_is_no_answer() {
    let meads = [mead(5.0, 1.08, 1.0, 6.0), mead(5.0, 1.09, 0.8, 5.0)];
    let asked = |wish: Wish| amounts(&meads, &wish).err();
    assert!(matches!(
        asked(Wish { sg: Some(1.0), ..wish(10.5) }),
        Some(Unable::NotSoMuch { there_l }) if (there_l - 10.0).abs() < 1e-6
    ));
    assert_eq!(asked(wish(f64::NAN)), Some(Unable::NotAsked));
    assert_eq!(
        amounts(&meads[..1], &wish(1.0)).err(),
        Some(Unable::NotAsked)
    );
    let mut unknown = meads;
    unknown[1].ta_g_per_l = None;
    let sour = Wish {
        ta_g_per_l: Some(5.5),
        ..wish(5.0)
    };
    assert_eq!(
        amounts(&unknown, &sour).err(),
        Some(Unable::AcidityNotKnown(1))
    );
    assert!(amounts(&meads, &sour).is_ok());
}

#[test]
fn without_a_wish_it_takes_as_much_of_each_as_there_is_of_it() {
    let meads = [mead(6.0, 1.08, 1.0, 6.0), mead(3.0, 1.1, 0.8, 5.0)];
    let found = amounts(&meads, &wish(3.0)).expect("amounts");
    assert!(
        (found.litres[0] - 2.0).abs() < 1e-6 && (found.litres[1] - 1.0).abs() < 1e-6,
        "{:?}",
        found.litres
    );
}

fn stands(source: Source, stabilised: bool) -> Stands {
    Stands {
        source,
        stabilised,
        has_yeast: true,
        tolerance_abv_percent: Some(14.0),
        fermentable_g_per_l: 0.0,
        on_fruit: false,
    }
}

#[test]
fn sweet_and_stabilised_with_live_yeast_may_restart() {
    let dry = stands(mead(10.0, 1.085, 1.0, 6.0), false);
    let sweet = stands(mead(10.0, 1.12, 0.6, 6.0), true);
    let found = risks(&[(dry, 5.0), (sweet, 5.0)]);
    assert!(
        matches!(found[0], Risk::MayRestart { sugar_g_per_l, .. } if sugar_g_per_l > 20.0),
        "{found:?}"
    );
    assert!(found.contains(&Risk::NotStabilised));
    // Both stabilised: quiet. Nothing of the live one in it: quiet too.
    let kept = Stands {
        stabilised: true,
        ..dry
    };
    assert_eq!(risks(&[(kept, 5.0), (sweet, 5.0)]), []);
    assert_eq!(risks(&[(dry, 0.0), (sweet, 5.0)]), []);
}

#[test]
fn two_dry_ones_that_stand_still_stay_still() {
    let one = stands(mead(10.0, 1.085, 1.0, 6.0), false);
    let other = stands(mead(10.0, 1.08, 1.0, 6.0), false);
    assert_eq!(risks(&[(one, 5.0), (other, 5.0)]), []);
}

#[test]
fn strength_beyond_the_yeast_keeps_a_sweet_blend_quiet_and_thinning_it_does_not() {
    let strong = Stands {
        tolerance_abv_percent: Some(11.0),
        ..stands(mead(10.0, 1.14, 0.9, 6.0), false)
    };
    let alike = Stands { ..strong };
    assert_eq!(risks(&[(strong, 5.0), (alike, 5.0)]), []);
    let weak = Stands {
        tolerance_abv_percent: Some(11.0),
        ..stands(mead(10.0, 1.05, 1.0, 6.0), false)
    };
    let found = risks(&[(strong, 5.0), (weak, 5.0)]);
    assert!(
        matches!(found.as_slice(), [Risk::MayRestart { .. }]),
        "{found:?}"
    );
}

#[test]
fn fruit_and_unknown_acidity_are_told_with_their_place() {
    let one = stands(mead(10.0, 1.085, 1.0, 6.0), false);
    let mut other = Stands {
        on_fruit: true,
        ..one
    };
    other.source.ta_g_per_l = None;
    assert_eq!(
        risks(&[(one, 5.0), (other, 5.0)]),
        [Risk::OnFruit(1), Risk::AcidityNotKnown(1)]
    );
}

/// Two of nearly one gravity: their blend is denser than either, so the lighter end is the one with more of the second.
#[test]
fn the_lighter_of_two_ends_is_found() {
    let (one, other) = (
        Liquid {
            water_kg: 0.9271885052708798,
            sugar_kg: 0.10132147587002018,
            extract_kg: 0.011632056360178647,
            ethanol_kg: 0.0012352746617512536,
        },
        Liquid {
            water_kg: 0.866071057994471,
            sugar_kg: 0.10827155501216117,
            extract_kg: 0.024889282928553955,
            ethanol_kg: 0.04245900340241485,
        },
    );
    let source = |litres, per_litre| Source {
        litres,
        per_litre,
        ta_g_per_l: None,
    };
    let meads = [source(9.95, one), source(0.5, other)];
    let wish = Wish {
        sg: Some(0.995),
        ..wish(2.09)
    };
    let found = amounts(&meads, &wish).expect("amounts");
    let best = missed(&meads, &found.litres, &wish);
    for ends in [[2.09, 0.0], [1.59, 0.5]] {
        assert!(best <= missed(&meads, &ends, &wish) + 1e-6, "{found:?}");
    }
}

proptest! {
    /// Mass, alcohol, sugar and acid of a blend are those of what was poured.
    #[test]
    fn nothing_is_made_or_lost(meads in prop::collection::vec((any_mead(), 0.0..5.0), 2..=6)) {
        let made = poured(&meads);
        let sum = |of: fn(&Liquid) -> f64| meads.iter().map(|(one, l)| of(&one.per_litre) * l).sum::<f64>();
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * (1.0 + b.abs());
        prop_assert!(near(made.liquid.mass_kg(), sum(Liquid::mass_kg)));
        prop_assert!(near(made.liquid.ethanol_kg, sum(|of| of.ethanol_kg)));
        prop_assert!(near(made.liquid.sugar_kg, sum(|of| of.sugar_kg)));
        let acid: f64 = meads.iter().map(|(one, l)| one.ta_g_per_l.unwrap_or(0.0) * l).sum();
        prop_assert!(near(made.ta_g_per_l.unwrap_or(0.0) * made.litres, acid));
        // Meads of like strength mix almost without loss of volume.
        prop_assert!(made.volume_change_l.abs() < 0.01 * made.litres.max(0.01));
    }

    /// No point of a fine grid within the bounds misses less.
    #[test]
    fn no_other_amounts_come_nearer(
        meads in prop::collection::vec(any_mead(), 2..=3),
        sg in 0.995..1.04, abv in 6.0..15.0, ta in 3.0..9.0, which in 1_u8..8, much in 0.2..0.9,
    ) {
        let there: f64 = meads.iter().map(|one| one.litres).sum();
        let wish = Wish {
            litres: there * much,
            sg: (which & 1 > 0).then_some(sg),
            abv_percent: (which & 2 > 0).then_some(abv),
            ta_g_per_l: (which & 4 > 0).then_some(ta),
        };
        let found = amounts(&meads, &wish).unwrap();
        for (litres, of) in found.litres.iter().zip(&meads) {
            prop_assert!((-1e-9..=of.litres * (1.0 + 1e-9)).contains(litres));
        }
        prop_assert!((found.litres.iter().sum::<f64>() - wish.litres).abs() < 1e-6 * wish.litres);
        let best = missed(&meads, &found.litres, &wish);
        let steps = if meads.len() == 2 { 400 } else { 40 };
        for a in 0..=steps {
            for b in 0..=(if meads.len() == 2 { 0 } else { steps }) {
                let first = meads[0].litres * f64::from(a) / f64::from(steps);
                let mut litres = vec![first];
                if meads.len() == 3 {
                    litres.push(meads[1].litres * f64::from(b) / f64::from(steps));
                }
                let last = wish.litres - litres.iter().sum::<f64>();
                if (0.0..=meads[meads.len() - 1].litres).contains(&last) {
                    litres.push(last);
                    let other = missed(&meads, &litres, &wish);
                    prop_assert!(best <= other * (1.0 + 1e-4) + 1e-3, "{best} against {other} with {litres:?}");
                }
            }
        }
    }

    /// Six meads with all three wishes: the answer is where no litre moved from one to another helps.
    #[test]
    fn with_six_meads_no_exchange_of_two_helps(
        meads in prop::collection::vec(any_mead(), 6), sg in 0.995..1.04, abv in 6.0..15.0, ta in 3.0..9.0,
    ) {
        let there: f64 = meads.iter().map(|one| one.litres).sum();
        let wish = Wish { litres: there * 0.4, sg: Some(sg), abv_percent: Some(abv), ta_g_per_l: Some(ta) };
        let found = amounts(&meads, &wish).unwrap();
        let best = missed(&meads, &found.litres, &wish);
        for from in 0..6 {
            for to in 0..6 {
                for step in [0.01, 0.1, 1.0] {
                    let mut litres = found.litres.clone();
                    litres[from] -= step;
                    litres[to] += step;
                    if from == to || litres[from] < 0.0 || litres[to] > meads[to].litres {
                        continue;
                    }
                    let other = missed(&meads, &litres, &wish);
                    prop_assert!(best <= other * (1.0 + 1e-4) + 1e-3, "{best} against {other}: {from} to {to}");
                }
            }
        }
    }
}

/// What stands still with strength to spare has what it has; what was stopped by its strength leaves its sugar to others.
#[test]
fn sugar_that_strength_alone_kept_is_usable() {
    let left = mead(10.0, 1.10, 0.85, 6.0);
    let abv = left.per_litre.state().abv_percent;
    let of = |tolerance: f64| Stands {
        tolerance_abv_percent: Some(tolerance),
        ..stands(left, false)
    };
    let with_strength_to_spare = of(abv + 1.6);
    let at_its_end = of(abv + 1.4);
    assert_eq!(risks(&[(with_strength_to_spare, 5.0)]), []);
    let found = risks(&[(at_its_end, 5.0)]);
    assert!(
        matches!(found.as_slice(), [Risk::MayRestart { sugar_g_per_l, .. }]
            if (sugar_g_per_l - 1000.0 * left.per_litre.sugar_kg).abs() < 1e-9),
        "{found:?}"
    );
}
