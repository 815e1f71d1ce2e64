//! Any text in any field, and any bytes as a form. Fuzzing with a fixed seed, so that every run tries the same.

use mustwright::engine::check::check as engine_check;
use mustwright::engine::problem::ProblemCode;
use mustwright::engine::reading;
use mustwright::recipes::forms::check::Checked;
use mustwright::recipes::forms::{Group, Workbench};
use mustwright::web::form::{MAX_FIELDS, Posted};
use mustwright::web::units::Units;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::RngSeed;

use super::super::round_trip::differences;
use super::{FIELDS, GRAVITIES, check, document, filled, typed};

/// Everything that a form may send, biased to what looks like a quantity.
fn any_text() -> impl Strategy<Value = String> {
    let pieces = vec![
        "1", "0", "5", "20", "999999", " ", ".", ",", "/", "-", "−", "½", "kg", "g", "lb", "oz",
        "L", "gal", "US gal", "imp gal", "ml", "°Bx", "°F", "C", "%", "parts", " per ", "g/L", "€",
        "\u{a0}", "e308", "none", "the rest", "days", "NaN", "\u{661}", "\n", "\"", "<",
    ];
    let like = vec(select(pieces), 0..7).prop_map(|pieces| pieces.concat());
    let numbers = (
        any::<f64>(),
        select(vec!["", " kg", " L", " %", " °F", " lb", " g/L"]),
    )
        .prop_map(|(number, unit)| format!("{number}{unit}"));
    let small = (
        -100.0..3000.0f64,
        select(vec![
            "",
            " kg",
            " oz",
            " L",
            " qt",
            " %",
            " °C",
            " g/US gal",
        ]),
    )
        .prop_map(|(number, unit)| format!("{number:.3}{unit}"));
    prop_oneof![1 => any::<String>(), 3 => like, 1 => numbers, 2 => small]
}

/// Bytes that look like a form of ours, more or less.
fn any_bytes() -> impl Strategy<Value = Vec<u8>> {
    let names = Workbench::default()
        .pairs()
        .into_iter()
        .map(|(name, _)| name);
    let rows = Group::ALL.into_iter().flat_map(|group| {
        let columns = group.columns().iter().copied();
        columns
            .chain(["row"])
            .map(move |column| group.field(column))
    });
    let names: Vec<String> = names.chain(rows).collect();
    let pair = (select(names), any_text()).prop_map(|(name, text)| {
        let bytes = text.bytes().map(|byte| format!("%{byte:02x}"));
        format!("{name}={}&", bytes.collect::<String>()).into_bytes()
    });
    let row = (select(&Group::ALL[..]), 0..40u8)
        .prop_map(|(group, key)| format!("{}_row={key}&", group.word()).into_bytes());
    let pieces = prop_oneof![5 => pair, 2 => row, 1 => vec(any::<u8>(), 0..12)];
    prop_oneof![
        3 => vec(pieces, 0..40).prop_map(|pieces| pieces.concat()),
        1 => vec(any::<u8>(), 0..600),
    ]
}

fn seeded(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(58),
        ..ProptestConfig::default()
    }
}

/// What the engine would say of a number that a form let through.
fn out_of_range(checked: &Checked) -> Vec<String> {
    let problems = engine_check(&checked.recipe).into_iter();
    problems
        .filter(|problem| problem.code == ProblemCode::OutOfRange)
        .map(|problem| problem.path)
        .collect()
}

proptest! {
    #![proptest_config(seeded(3000))]

    #[test]
    fn any_text_in_any_field_is_reckoned_with_or_asked_about(
        text in any_text(),
        at in 0..FIELDS.len() + GRAVITIES.len(),
        units in select(&Units::ALL[..]),
    ) {
        let field = FIELDS.iter().chain(GRAVITIES).nth(at).expect("a field");
        let checked = check(&typed(field, &text), units);
        for (id, why) in &checked.faults {
            prop_assert!(why.contains("rite ") && !why.contains("NaN"), "{id}: {why}");
        }
        if checked.faults.is_empty() {
            prop_assert_eq!(out_of_range(&checked), Vec::<String>::new());
            let first = document(&checked);
            let read = reading::read(&first.to_string());
            prop_assert!(read.is_ok(), "{read:?}");
            // What is shown to whomever reads back as the same number.
            for reader in Units::ALL {
                let again = check(&filled(&checked.recipe, reader), reader);
                prop_assert!(again.faults.is_empty(), "{reader}: {:?}", again.faults);
                let mut found = Vec::new();
                differences(&first, &document(&again), "", &mut found);
                prop_assert!(found.is_empty(), "{reader}: {found:#?}");
            }
        }
    }

    #[test]
    fn any_bytes_are_a_form_or_are_refused(bytes in any_bytes(), units in select(&Units::ALL[..])) {
        let Ok(posted) = Posted::read(&bytes, MAX_FIELDS) else { return Ok(()) };
        let Ok(form) = Workbench::read(&posted) else { return Ok(()) };
        let checked = check(&form, units);
        if checked.faults.is_empty() {
            prop_assert!(reading::read(&document(&checked).to_string()).is_ok());
        }
        // As a draft keeps it and brings it back.
        let again = Workbench::read(&Posted::from_pairs(form.pairs()));
        prop_assert_eq!(again.map(|again| again.pairs()).ok(), Some(form.pairs()));
    }
}
