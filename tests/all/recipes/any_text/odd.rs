//! The odd numbers of every form, in each field.

use mustwright::web::units::Units;

use super::{FIELDS, GRAVITIES, check, engine_takes, fault_of, number_at, typed};

/// Text of a form that is odd: what it means as a bare number, if it is one.
const ODD: &[(&str, Option<f64>)] = &[
    ("NaN", None),
    ("nan", None),
    ("inf", None),
    ("-Infinity", None),
    ("1e308", None),
    ("1e400", None),
    ("1E5", None),
    ("0x10", None),
    ("\u{661}\u{662}", None),
    ("\u{ff11}\u{ff12}", None),
    ("\u{96f}", None),
    ("1.234,5", None),
    ("1,234.5", None),
    ("1'000", None),
    ("1,500", None),
    ("1 5", None),
    ("5-3", None),
    ("--5", None),
    ("1/0", None),
    ("٫5", None),
    ("²", None),
    ("twelve", None),
    ("=1+1", None),
    ("<b>5</b>", None),
    ("\u{200b}5", None),
    ("-0", Some(0.0)),
    ("+5", Some(5.0)),
    ("1,5", Some(1.5)),
    ("1.5", Some(1.5)),
    (",5", Some(0.5)),
    ("5,", Some(5.0)),
    ("1 000", Some(1000.0)),
    ("1\u{a0}000", Some(1000.0)),
    ("1\u{202f}000", Some(1000.0)),
    ("\u{2212}5", Some(-5.0)),
    ("1/2", Some(0.5)),
    ("1½", Some(1.5)),
    ("007", Some(7.0)),
    ("\u{feff}5 ", Some(5.0)),
];

#[test]
fn odd_numbers_in_each_field() {
    for field in FIELDS {
        for (text, meant) in ODD {
            let checked = check(&typed(field, text), Units::Metric);
            let fault = fault_of(&checked, field);
            // In a price the stroke is "per".
            let meant = meant.filter(|_| !(field.id().ends_with("price") && *text == "1/2"));
            let wanted = meant.map(|number| number * field.size);
            let takes = wanted.is_some_and(|number| engine_takes(field, number));
            assert_eq!(
                fault.is_none(),
                takes,
                "{}: {text:?}: {fault:?}",
                field.id()
            );
            match (takes, number_at(&checked, field), wanted) {
                (true, Some(found), Some(wanted)) => {
                    assert!((found - wanted).abs() < 1e-12, "{}: {text:?}", field.id());
                }
                (true, ..) => panic!("{}: {text:?} is gone", field.id()),
                (false, ..) => assert!(fault.is_some_and(|why| why.contains("Write "))),
            }
        }
    }
    // A gravity's size says what it is, so a comma is never doubtful there.
    for field in GRAVITIES {
        for (text, meant) in [
            ("1,058", Some(1.058)),
            ("1.058", Some(1.058)),
            ("1058", Some(1.058)),
            ("1 058", Some(1.058)),
            ("1\u{202f}058", Some(1.058)),
            ("58", Some(1.058)),
            ("14,3 °Bx", Some(1.058)),
            ("1.0.58", None),
            ("1,058,0", None),
            ("1e3", None),
            ("0x10", None),
            ("NaN", None),
            ("-5", None),
            ("\u{661}", None),
        ] {
            let checked = check(&typed(field, text), Units::Metric);
            assert_eq!(
                fault_of(&checked, field).is_none(),
                meant.is_some(),
                "{text}"
            );
            if let Some(meant) = meant {
                let found = number_at(&checked, field).expect("a gravity");
                assert!((found - meant).abs() < 2e-4, "{text}: {found}");
            }
        }
    }
}
