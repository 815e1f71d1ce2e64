//! The engine's ranges are the form's, told in the reader's units.

use mustwright::web::units::Units;

use super::{FIELDS, GRAVITIES, check, engine_takes, fault_of, number_at, typed, usual};

#[test]
fn every_field_is_tried() {
    for field in FIELDS.iter().chain(GRAVITIES) {
        let checked = check(&typed(field, usual(field)), Units::Metric);
        assert!(
            checked.faults.is_empty(),
            "{}: {:?}",
            field.id(),
            checked.faults
        );
        assert!(number_at(&checked, field).is_some(), "{}", field.id());
    }
}

#[test]
fn the_form_takes_what_the_engine_takes_and_nothing_else() {
    const NUMBERS: &[f64] = &[
        -3001.0,
        -3000.0,
        -300.0,
        -5.01,
        -5.0,
        -1.0,
        0.0,
        0.001,
        0.049,
        0.05,
        0.49,
        0.5,
        0.9,
        0.91,
        0.99,
        1.0,
        1.01,
        2.9,
        3.01,
        20.0,
        25.0,
        25.1,
        60.0,
        60.1,
        90.0,
        100.0,
        101.0,
        999.0,
        1001.0,
        1500.0,
        1501.0,
        3650.0,
        3651.0,
        9999.0,
        99_999.0,
        100_001.0,
        200_000.0,
        200_001.0,
        220_001.0,
        999_999.0,
        1_000_001.0,
    ];
    let mut refused = 0;
    for field in FIELDS {
        for number in NUMBERS {
            let text = format!("{}{}", number / field.size, field.unit);
            for units in Units::ALL {
                let fault = fault_of(&check(&typed(field, &text), units), field);
                assert_eq!(
                    fault.is_none(),
                    engine_takes(field, *number),
                    "{} in {units}: {text}: {fault:?}",
                    field.id()
                );
                refused += usize::from(fault.is_some());
            }
        }
    }
    for field in GRAVITIES {
        for number in [0.95, 0.974, 0.975, 1.0, 1.001, 1.2, 1.201, 1.5] {
            let fault = fault_of(&check(&typed(field, &number.to_string()), Units::Us), field);
            assert_eq!(fault.is_none(), engine_takes(field, number), "{number}");
        }
    }
    assert!(refused > 500, "{refused}");
}

#[test]
fn limits_are_told_in_the_units_of_the_reader() {
    let by_pointer = |pointer: &str| {
        FIELDS
            .iter()
            .find(|field| field.pointer == pointer)
            .expect("a field")
    };
    for (pointer, text, units, wanted) in [
        (
            "/temperature_c",
            "61 C",
            Units::Metric,
            "Write a temperature from −5 °C to 60 °C.",
        ),
        (
            "/temperature_c",
            "61 C",
            Units::Us,
            "Write a temperature from 23 °F to 140 °F.",
        ),
        (
            "/temperature_c",
            "300 F",
            Units::Us,
            "Write a temperature from 23 °F to 140 °F.",
        ),
        (
            "/volume_l",
            "1 ml",
            Units::Metric,
            "Write a volume from 50 ml to 100000 L.",
        ),
        (
            "/volume_l",
            "1 ml",
            Units::Us,
            "Write a volume from 1.7 fl oz to 26417.21 gal.",
        ),
        (
            "/aim/use_honey_kg",
            "0",
            Units::Metric,
            "Write a mass from 1 g to 200000 kg.",
        ),
        (
            "/ingredients/0/amount/kg",
            "-1 kg",
            Units::Us,
            "Write an amount from 0 g to 440924 lb 8 oz.",
        ),
        (
            "/vessel/headspace_fraction",
            "91",
            Units::Us,
            "Write a percentage from 0 % to 90 %.",
        ),
    ] {
        let field = by_pointer(pointer);
        let fault = fault_of(&check(&typed(field, text), units), field);
        assert_eq!(fault.as_deref(), Some(wanted), "{text} in {units}");
    }
}
