//! From a fault to what the log says about it: each cause with a log that earns it and its harmless twin.

use mustwright::engine::contest::causes::{
    Cause, Habit, Heard, Known, Proposal, causes, heard, proposals,
};
use mustwright::engine::contest::faults::Fault;
use mustwright::engine::contest::sheet::Sheet;
use mustwright::engine::decide::Way;
use mustwright::engine::log::entry::{Addition, Deed, Feed, Pitch, Rack, Reading, Sense, What};
use mustwright::engine::log::{Entry, Start, replay};

use crate::documents::traditional;

fn entries(deeds: Vec<(f64, Deed)>) -> Vec<Entry> {
    (1..)
        .zip(deeds)
        .map(|(entry, (hours, deed))| Entry { entry, hours, deed })
        .collect()
}

/// What a log says about a fault that was judged after so many days.
fn said(fault: Fault, days: f64, deeds: Vec<(f64, Deed)>) -> Vec<Cause> {
    let recipe = traditional();
    let start = Start::of_recipe(&recipe).expect("a must");
    let entries = entries(deeds);
    let state = replay(&start, &entries);
    causes(
        fault,
        &Known {
            entries: &entries,
            state: &state,
            recipe: &recipe,
            judged_h: Some(days * 24.0),
            declared_abv_percent: Some(state.abv_percent + 2.5),
        },
    )
}

fn warm(hours: f64, celsius: f64) -> (f64, Deed) {
    let reading = Reading {
        must_temperature_c: Some(celsius),
        ..Reading::default()
    };
    (hours, Deed::Reading(reading))
}

fn pitch() -> (f64, Deed) {
    (2.0, Deed::Pitch(Pitch::default()))
}

fn fed() -> (f64, Deed) {
    let feed = Feed {
        name: "yeast nutrient".to_owned(),
        grams: 5.0,
        ..Feed::default()
    };
    (20.0, Deed::Feed(feed))
}

fn added(hours: f64, what: What) -> (f64, Deed) {
    let addition = Addition {
        grams: Some(5.0),
        ..Addition::of("something", what)
    };
    (hours, Deed::Addition(addition))
}

#[test]
fn a_warm_day_explains_heat_and_a_cool_one_does_not() {
    let hot = said(
        Fault::Hot,
        400.0,
        vec![pitch(), fed(), warm(30.0, 27.0), warm(60.0, 19.0)],
    );
    assert_eq!(
        hot,
        [Cause::Warm {
            celsius: 27.0,
            day: 2
        }]
    );
    assert_eq!(
        said(Fault::Hot, 400.0, vec![pitch(), fed(), warm(30.0, 24.0)]),
        []
    );
    // Warmth long after the ferment makes nothing hot.
    assert_eq!(
        said(
            Fault::Hot,
            400.0,
            vec![pitch(), fed(), warm(40.0 * 24.0, 31.0)]
        ),
        []
    );
}

#[test]
fn each_cause_needs_its_own_sign_in_the_log() {
    let quiet = || vec![pitch(), fed(), warm(30.0, 17.0)];
    let with = |more: Vec<(f64, Deed)>| {
        let mut deeds = quiet();
        deeds.extend(more);
        deeds
    };
    assert_eq!(said(Fault::Solvent, 400.0, vec![pitch()]), [Cause::Unfed]);
    assert_eq!(said(Fault::Solvent, 400.0, quiet()), []);
    assert_eq!(
        said(Fault::Green, 60.0, quiet()),
        [Cause::Young { days: 60.0 }]
    );
    assert_eq!(said(Fault::Green, 400.0, quiet()), []);
    let aired = with(vec![
        (20.0 * 24.0, Deed::Aerate),
        added(30.0 * 24.0, What::Sulfite),
    ]);
    assert_eq!(
        said(Fault::Oxidised, 400.0, aired),
        [Cause::LateAir { day: 20 }]
    );
    let early = with(vec![
        (40.0, Deed::Aerate),
        added(30.0 * 24.0, What::Sulfite),
    ]);
    assert_eq!(said(Fault::Oxidised, 400.0, early), []);
    assert_eq!(said(Fault::Mousy, 400.0, quiet()), [Cause::NoSulfite]);
    let sorbate = || with(vec![added(900.0, What::Sorbate)]);
    assert_eq!(
        said(Fault::Geranium, 400.0, sorbate()),
        [Cause::SorbateAlone]
    );
    let mut both = sorbate();
    both.push(added(900.0, What::Sulfite));
    assert_eq!(said(Fault::Geranium, 400.0, both), []);
    let racked = |days: f64| with(vec![(days * 24.0, Deed::Rack(Rack::default()))]);
    let long = said(Fault::Vegetal, 400.0, racked(120.0));
    assert!(
        matches!(long[..], [Cause::OnLees { still: false, .. }]),
        "{long:?}"
    );
    assert_eq!(said(Fault::Vegetal, 400.0, racked(40.0)), []);
    let never = said(Fault::Vegetal, 400.0, quiet());
    assert!(
        matches!(never[..], [Cause::OnLees { still: true, .. }]),
        "{never:?}"
    );
    assert_eq!(said(Fault::Hazy, 400.0, quiet()), [Cause::NeverCleared]);
    assert_eq!(said(Fault::Hazy, 400.0, racked(40.0)), []);
    let fruit = with(vec![
        added(100.0, What::Fruit),
        (960.0, Deed::Rack(Rack::default())),
    ]);
    assert_eq!(said(Fault::Hazy, 400.0, fruit), [Cause::FruitUncleared]);
    assert_eq!(
        said(
            Fault::Astringent,
            400.0,
            with(vec![added(900.0, What::Wood)])
        ),
        [Cause::Wood]
    );
    assert_eq!(said(Fault::Astringent, 400.0, quiet()), []);
    assert_eq!(
        said(Fault::Bitter, 400.0, with(vec![added(900.0, What::Spice)])),
        [Cause::Spice]
    );
    let other = said(Fault::NotAsDeclared, 400.0, quiet());
    assert!(
        matches!(other[..], [Cause::OtherStrength { .. }]),
        "{other:?}"
    );
    for unknown in [Fault::Buttery, Fault::Musty, Fault::Metallic] {
        assert_eq!(said(unknown, 400.0, vec![pitch()]), [], "{unknown:?}");
    }
}

#[test]
fn the_last_acid_that_is_known_decides() {
    let read = |ta: f64| {
        let reading = Reading {
            ta_g_per_l: Some(ta),
            ..Reading::default()
        };
        vec![pitch(), (800.0, Deed::Reading(reading))]
    };
    let sour = said(Fault::Sour, 400.0, read(9.0));
    assert!(
        matches!(
            sour[0],
            Cause::MuchAcid {
                ta_g_per_l: Some(_),
                ..
            }
        ),
        "{sour:?}"
    );
    let flat = said(Fault::Flabby, 400.0, read(3.0));
    assert!(matches!(flat[0], Cause::LittleAcid { .. }), "{flat:?}");
    let right = |fault| {
        let found = said(fault, 400.0, read(6.0));
        let acid =
            |cause: &Cause| matches!(cause, Cause::MuchAcid { .. } | Cause::LittleAcid { .. });
        found.iter().any(acid)
    };
    assert!(!right(Fault::Sour) && !right(Fault::Flabby));
}

#[test]
fn what_most_judges_ticked_comes_first_and_each_sheet_counts_once() {
    let sheet = |faults: &[&str]| Sheet {
        faults: faults.iter().map(|fault| (*fault).to_owned()).collect(),
        ..Sheet::default()
    };
    let sheets = [
        sheet(&["thin", "hot", "hot"]),
        sheet(&["thin", "no such fault"]),
        sheet(&["sulfur"]),
    ];
    let found = heard(sheets.iter());
    let wanted = [(Fault::Thin, 2), (Fault::Sulfur, 1), (Fault::Hot, 1)];
    let wanted = wanted.map(|(fault, judges)| Heard { fault, judges });
    assert_eq!(found, wanted);
}

#[test]
fn every_fault_leads_to_something_to_do() {
    for fault in Fault::ALL {
        let without = proposals(*fault, &[]);
        assert!(
            matches!(without.last(), Some(Proposal::Habit(_))),
            "{fault:?}"
        );
    }
    let warm = proposals(
        Fault::Hot,
        &[Cause::Warm {
            celsius: 27.0,
            day: 2,
        }],
    );
    assert_eq!(
        warm[..2],
        [
            Proposal::Recipe {
                sense: Sense::Warmth,
                way: Way::Less,
                only: Some("cooler")
            },
            Proposal::Habit(Habit::FermentCooler)
        ]
    );
    assert_eq!(
        proposals(Fault::Geranium, &[Cause::SorbateAlone])[0],
        Proposal::Habit(Habit::SulfiteWithSorbate)
    );
}
