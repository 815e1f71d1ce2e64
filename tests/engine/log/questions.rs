//! Every question, from a log that earns it, and the same log mended, which asks nothing.

use std::collections::HashSet;

use super::*;
use mustwright::engine::log::start::FERMENTABLE_PART;

const DAY: f64 = 24.0;

/// The code, a log that earns it, the entry it is about, and the harmless twin. All begin with 20 L of about 1.086.
fn cases() -> Vec<(QuestionCode, Vec<Entry>, u32, Vec<Entry>)> {
    let begun = |more: Vec<Entry>| {
        let mut entries = vec![at(0.0, mixed(20.0, 1.086)), at(1.0, pitch())];
        entries.extend(more);
        entries
    };
    let sweet = |what, composition| {
        Deed::Addition(Addition {
            why: Some(Why::Sweeten),
            kg: Some(0.4),
            composition,
            ..Addition::of("it", what)
        })
    };
    let mead = |sg| {
        Deed::Addition(Addition {
            litres: Some(1.0),
            sg,
            abv_percent: Some(12.0),
            ..Addition::of("last year's", What::Mead)
        })
    };
    let brix = |brix| {
        Deed::Reading(Reading {
            brix: Some(brix),
            ..Reading::default()
        })
    };
    let volume = |litres| {
        Deed::Reading(Reading {
            volume_l: Some(litres),
            ..Reading::default()
        })
    };
    vec![
        (
            QuestionCode::NotSensible,
            begun(vec![at(DAY, sample(f64::NAN))]),
            3,
            begun(vec![at(DAY, sample(0.1))]),
        ),
        (
            QuestionCode::BeforeTheMixing,
            vec![at(-5.0, pitch())],
            1,
            vec![at(5.0, pitch())],
        ),
        (
            QuestionCode::BeforeTheMixing,
            vec![at(-5.0, Deed::Aerate)],
            1,
            vec![at(-5.0, Deed::Note(Note::default()))],
        ),
        // Honey at the bottom: higher afterwards.
        (
            QuestionCode::LayeredMust,
            vec![
                at(0.0, mixed(20.0, 1.070)),
                at(3.0, reads(1.086)),
                at(4.0, pitch()),
            ],
            1,
            vec![
                at(0.0, mixed(20.0, 1.086)),
                at(3.0, reads(1.086)),
                at(4.0, pitch()),
            ],
        ),
        // Honey at the bottom: nobody has looked again.
        (
            QuestionCode::LayeredMust,
            vec![at(0.0, reads(1.055))],
            1,
            vec![at(0.0, reads(1.080))],
        ),
        // A very low gravity with the water to go with it is no riddle.
        (
            QuestionCode::LayeredMust,
            vec![at(0.0, mixed(20.0, 1.050))],
            1,
            vec![at(0.0, mixed(33.5, 1.050))],
        ),
        (
            QuestionCode::FarAboveThePlan,
            vec![at(0.0, reads(1.130))],
            1,
            vec![at(0.0, reads(1.095))],
        ),
        (
            QuestionCode::LowerThanLater,
            begun(vec![
                at(6.0 * DAY, reads(1.006)),
                at(7.0 * DAY, reads(1.057)),
                at(8.0 * DAY, reads(1.052)),
            ]),
            3,
            begun(vec![
                at(6.0 * DAY, reads(1.060)),
                at(7.0 * DAY, reads(1.057)),
                at(8.0 * DAY, reads(1.052)),
            ]),
        ),
        (
            QuestionCode::GravityRose,
            begun(vec![
                at(4.0 * DAY, reads(1.060)),
                at(6.0 * DAY, reads(1.050)),
                at(8.0 * DAY, reads(1.065)),
            ]),
            5,
            begun(vec![
                at(4.0 * DAY, reads(1.060)),
                at(6.0 * DAY, reads(1.050)),
                at(7.0 * DAY, honey_of(1.2, Why::StepFeed)),
                at(8.0 * DAY, reads(1.065)),
            ]),
        ),
        // Above all that was ever there.
        (
            QuestionCode::GravityRose,
            begun(vec![at(9.0 * DAY, reads(1.099))]),
            3,
            begun(vec![at(9.0 * DAY, reads(1.087))]),
        ),
        // A week later no honey lies at the bottom any more.
        (
            QuestionCode::GravityRose,
            vec![
                at(0.0, mixed(20.0, 1.080)),
                at(1.0, pitch()),
                at(8.0 * DAY, reads(1.090)),
            ],
            3,
            vec![
                at(0.0, mixed(20.0, 1.080)),
                at(1.0, pitch()),
                at(8.0 * DAY, reads(1.079)),
            ],
        ),
        (
            QuestionCode::FellTooFast,
            begun(vec![at(DAY, reads(1.020))]),
            3,
            begun(vec![at(3.0 * DAY, reads(1.020))]),
        ),
        (
            QuestionCode::FellBeforeThePitch,
            vec![at(0.0, mixed(20.0, 1.086)), at(5.0 * DAY, reads(1.060))],
            2,
            vec![at(0.0, mixed(20.0, 1.086)), at(5.0 * DAY, reads(1.084))],
        ),
        (
            QuestionCode::FellAfterStabilising,
            begun(vec![
                at(20.0 * DAY, reads(1.010)),
                at(21.0 * DAY, stabilise()),
                at(40.0 * DAY, reads(1.004)),
            ]),
            5,
            begun(vec![
                at(20.0 * DAY, reads(1.010)),
                at(21.0 * DAY, stabilise()),
                at(40.0 * DAY, reads(1.009)),
            ]),
        ),
        (
            QuestionCode::BelowAnyMead,
            begun(vec![at(30.0 * DAY, reads(0.970))]),
            3,
            begun(vec![at(30.0 * DAY, reads(0.993))]),
        ),
        (
            QuestionCode::BelowAnyMead,
            vec![at(0.0, mixed(20.0, 1.086)), at(1.0, mixed(20.0, 0.995))],
            2,
            vec![at(0.0, mixed(20.0, 1.086)), at(1.0, mixed(20.0, 1.086))],
        ),
        (
            QuestionCode::ImpossibleVolume,
            begun(vec![at(DAY, sample(25.0))]),
            3,
            begun(vec![at(DAY, sample(2.5))]),
        ),
        (
            QuestionCode::ImpossibleVolume,
            begun(vec![at(20.0 * DAY, volume(28.0))]),
            3,
            begun(vec![at(20.0 * DAY, volume(19.0))]),
        ),
        (
            QuestionCode::ImpossibleVolume,
            begun(vec![at(20.0 * DAY, rack_loss(40.0))]),
            3,
            begun(vec![at(20.0 * DAY, rack_loss(0.4))]),
        ),
        (
            QuestionCode::ImpossibleVolume,
            begun(vec![at(20.0 * DAY, package(Some(200.0)))]),
            3,
            begun(vec![at(20.0 * DAY, package(Some(20.2)))]),
        ),
        (
            QuestionCode::ImpossibleVolume,
            vec![at(0.0, mixed(200.0, 1.086))],
            1,
            vec![at(0.0, mixed(22.0, 1.080))],
        ),
        (
            QuestionCode::BrixAfterFermentationBegan,
            begun(vec![at(4.0 * DAY, brix(15.0))]),
            3,
            vec![at(0.0, brix(20.5)), at(1.0, pitch())],
        ),
        (
            QuestionCode::CompositionUnknown,
            begun(vec![at(DAY, sweet(What::Honey, None))]),
            3,
            begun(vec![
                at(DAY, stabilise()),
                at(DAY, sweet(What::Honey, Some(honey_parts()))),
            ]),
        ),
        (
            QuestionCode::CompositionUnknown,
            begun(vec![at(DAY, mead(None))]),
            3,
            begun(vec![at(DAY, mead(Some(1.002)))]),
        ),
        (
            QuestionCode::NothingToSweetenWith,
            begun(vec![
                at(DAY, stabilise()),
                at(DAY, sweet(What::Other, None)),
            ]),
            4,
            begun(vec![
                at(DAY, stabilise()),
                at(DAY, sweet(What::Other, Some(parts(0.0, 0.0, 1.0, 0.0)))),
            ]),
        ),
        (
            QuestionCode::SweetenedBeforeStabilising,
            begun(vec![
                at(40.0 * DAY, reads(0.998)),
                at(41.0 * DAY, sweet(What::Honey, Some(honey_parts()))),
            ]),
            4,
            begun(vec![
                at(40.0 * DAY, reads(0.998)),
                at(41.0 * DAY, stabilise()),
                at(41.0 * DAY, sweet(What::Honey, Some(honey_parts()))),
            ]),
        ),
        (
            QuestionCode::PrimedThoughStabilised,
            begun(vec![at(40.0 * DAY, stabilise()), at(60.0 * DAY, for_gas())]),
            4,
            begun(vec![at(60.0 * DAY, for_gas())]),
        ),
        // Fresh yeast takes no sorbate out.
        (
            QuestionCode::PrimedThoughStabilised,
            begun(vec![
                at(40.0 * DAY, stabilise()),
                at(50.0 * DAY, pitch()),
                at(60.0 * DAY, for_gas()),
            ]),
            5,
            begun(vec![at(40.0 * DAY, stabilise()), at(50.0 * DAY, pitch())]),
        ),
        (
            QuestionCode::NoGasOfItsOwn,
            begun(vec![
                at(40.0 * DAY, stabilise()),
                at(60.0 * DAY, closed(How::Gas)),
            ]),
            4,
            begun(vec![
                at(40.0 * DAY, stabilise()),
                at(60.0 * DAY, closed(How::Still)),
            ]),
        ),
        // Into a keg it may go: its gas comes from a cylinder.
        (
            QuestionCode::NoGasOfItsOwn,
            begun(vec![
                at(40.0 * DAY, stabilise()),
                at(60.0 * DAY, closed(How::Gas)),
            ]),
            4,
            begun(vec![at(40.0 * DAY, stabilise()), at(60.0 * DAY, in_keg())]),
        ),
    ]
}

fn for_gas() -> Deed {
    Deed::Addition(Addition {
        why: Some(Why::Prime),
        grams: Some(100.0),
        composition: Some(Composition {
            fermentable: 1.0,
            ..Composition::default()
        }),
        ..Addition::of("sugar", What::Sugar)
    })
}

fn closed(how: How) -> Deed {
    Deed::Package(Package {
        bottles: vec![Bottles {
            size_l: 0.75,
            count: 12,
        }],
        how: Some(how),
        ..Package::default()
    })
}

fn in_keg() -> Deed {
    Deed::Package(Package {
        litres: Some(15.0),
        how: Some(How::Gas),
        ..Package::default()
    })
}

#[test]
fn every_question_is_asked_where_it_is_due_and_not_beside_it() {
    let mut seen = HashSet::new();
    for (place, (code, entries, entry, twin)) in cases().into_iter().enumerate() {
        let asked = after(&start(), entries).questions;
        let found = asked
            .iter()
            .find(|question| question.code == code && question.entry == entry);
        assert!(found.is_some(), "case {place}, {code:?}: {asked:?}");
        assert_eq!(asked.len(), 1, "case {place}, {code:?}: {asked:?}");
        let quiet = after(&start(), twin).questions;
        assert_eq!(quiet, [], "the twin of case {place}, {code:?}");
        seen.insert(code);
    }
    let missing: Vec<_> = QuestionCode::ALL
        .iter()
        .filter(|code| !seen.contains(code))
        .collect();
    assert!(missing.is_empty(), "no case for {missing:?}");
}

/// What is asked about is kept and shown; what cannot be is not reckoned with.
#[test]
fn what_is_asked_about_is_shown_and_not_used() {
    let state = after(
        &start(),
        vec![
            at(0.0, mixed(20.0, 1.086)),
            at(1.0, pitch()),
            at(20.0 * DAY, reads(1.020)),
            at(30.0 * DAY, reads(0.970)),
        ],
    );
    let [.., last] = state.points.as_slice() else {
        panic!("no point")
    };
    assert_eq!((last.read_sg, last.used), (Some(0.970), false));
    assert!((state.sg - 1.020).abs() < 1e-9, "{}", state.sg);
}

/// A refractometer counts before the yeast goes in (20 % of sucrose: SG 1.08292, ICUMSA SPS-4); afterwards it is shown alone.
#[test]
fn a_refractometer_counts_only_before_fermentation() {
    let brix = |brix| {
        Deed::Reading(Reading {
            brix: Some(brix),
            ..Reading::default()
        })
    };
    let state = after(
        &start(),
        vec![
            at(0.0, brix(20.0)),
            at(1.0, pitch()),
            at(9.0 * DAY, brix(15.0)),
        ],
    );
    let [first, second] = state.points.as_slice() else {
        panic!("two points")
    };
    assert!(first.used && (first.sg - 1.08292).abs() < 1e-5, "{first:?}");
    assert_eq!((second.used, second.read_sg), (false, None));
    assert_eq!(state.abv_percent, 0.0);
}

/// A doubted gravity that is read again is believed.
#[test]
fn a_second_reading_settles_a_doubt() {
    let state = after(&start(), vec![at(0.0, reads(1.055)), at(0.5, reads(1.056))]);
    assert_eq!(codes(&state.questions), [QuestionCode::LayeredMust]);
    assert!((state.og - 1.056).abs() < 1e-9, "{}", state.og);
}

/// Of two that contradict each other late, the next one decides.
#[test]
fn most_readings_are_right() {
    let begun = |last: Vec<Entry>| {
        let mut entries = vec![
            at(0.0, mixed(20.0, 1.086)),
            at(1.0, pitch()),
            at(6.0 * DAY, reads(1.050)),
            at(8.0 * DAY, reads(1.065)),
        ];
        entries.extend(last);
        after(&start(), entries)
    };
    let used =
        |state: &State| -> Vec<bool> { state.points.iter().map(|point| point.used).collect() };
    assert_eq!(used(&begun(vec![])), [true, true, false]);
    let low = begun(vec![at(9.0 * DAY, reads(1.046))]);
    assert_eq!(used(&low), [true, true, false, true]);
    let high = begun(vec![at(9.0 * DAY, reads(1.061))]);
    assert_eq!(used(&high), [true, false, true, true]);
    assert_eq!(codes(&high.questions), [QuestionCode::LowerThanLater]);
}

/// What is in the vessel since May: a reading somewhat above what was thought puts the start right.
#[test]
fn a_rough_start_is_put_right_by_the_first_reading() {
    let rough = Start::of_reading(5.0, 1.090, 0.0, 1.0 - FERMENTABLE_PART).expect("a start");
    let state = after(&rough, vec![at(30.0, reads(1.097))]);
    assert_eq!(state.questions, []);
    assert!((state.og - 1.097).abs() < 1e-9, "{}", state.og);
}

/// A sample of 1.05 times what there is and 0.3 L more is the most that nobody asks about.
#[test]
fn the_most_that_can_be_taken_is_not_asked_about() {
    let there = after(&start(), vec![at(0.0, mixed(20.0, 1.086))]).volume_l;
    let most = 1.05 * there + 0.3;
    let asked = |litres: f64| {
        let entries = vec![at(0.0, mixed(20.0, 1.086)), at(5.0, sample(litres))];
        after(&start(), entries).questions
    };
    assert_eq!(asked(most), []);
    let codes: Vec<QuestionCode> = asked(most + 1e-6).iter().map(|one| one.code).collect();
    assert_eq!(codes, [QuestionCode::ImpossibleVolume]);
}

/// A mead that is poured to a must brings alcohol, which bends the light: degrees Brix tell no gravity from then on.
#[test]
fn a_refractometer_does_not_count_where_a_mead_went_in() {
    let mead = Deed::Addition(Addition {
        litres: Some(2.0),
        sg: Some(1.004),
        abv_percent: Some(12.0),
        ..Addition::of("older mead", What::Mead)
    });
    let brix = || {
        Deed::Reading(Reading {
            brix: Some(20.0),
            ..Reading::default()
        })
    };
    let asked = |entries: Vec<Entry>| -> Vec<QuestionCode> {
        let questions = after(&start(), entries).questions;
        questions.iter().map(|question| question.code).collect()
    };
    let without = vec![at(0.0, mixed(20.0, 1.086)), at(2.0, brix())];
    assert!(!asked(without).contains(&QuestionCode::BrixAfterFermentationBegan));
    let with = vec![at(0.0, mixed(20.0, 1.086)), at(1.0, mead), at(2.0, brix())];
    assert!(asked(with).contains(&QuestionCode::BrixAfterFermentationBegan));
}
