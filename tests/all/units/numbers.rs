//! Numbers as typed: point and comma, spaces, fractions, and what is refused.

use mustwright::web::units::{
    Bare, Fault, Units, What, parse_amount, parse_gravity, parse_mass, parse_number,
    parse_number_within, parse_price, parse_temperature, parse_volume, parse_whole,
};

use super::sg_of_fraction;

#[test]
fn numbers_are_read_with_point_comma_spaces_fractions_and_the_real_minus() {
    let table = [
        ("12", 12.0),
        ("1.5", 1.5),
        ("1,5", 1.5),
        (" 1.5 ", 1.5),
        (".5", 0.5),
        (",5", 0.5),
        ("5.", 5.0),
        ("0,125", 0.125),
        ("1234,567", 1234.567),
        ("1 000", 1000.0),
        ("1\u{a0}000", 1000.0),
        ("1\u{202f}000\u{202f}000", 1_000_000.0),
        ("12 500,5", 12_500.5),
        ("1/2", 0.5),
        ("1⁄2", 0.5),
        ("1 1/2", 1.5),
        ("½", 0.5),
        ("1½", 1.5),
        ("2 ¾", 2.75),
        ("3/4", 0.75),
        ("-4", -4.0),
        ("\u{2212}4,5", -4.5),
        ("- 4", -4.0),
        ("+4", 4.0),
        ("007", 7.0),
    ];
    for (text, value) in table {
        assert_eq!(parse_number(text), Ok(value), "{text}");
    }
    let zero = parse_number("-0").unwrap();
    assert!(zero == 0.0 && zero.is_sign_positive());
}

#[test]
fn what_is_no_number_is_refused_and_says_what_to_write() {
    let table = [
        ("", Fault::Empty(What::Number)),
        ("  \u{a0}", Fault::Empty(What::Number)),
        ("NaN", Fault::NoNumber(What::Number)),
        ("inf", Fault::NoNumber(What::Number)),
        ("-infinity", Fault::NoNumber(What::Number)),
        ("\u{661}\u{662}", Fault::NoNumber(What::Number)),
        ("\u{ff11}", Fault::NoNumber(What::Number)),
        ("twelve", Fault::NoNumber(What::Number)),
        (".", Fault::NoNumber(What::Number)),
        ("-", Fault::NoNumber(What::Number)),
        ("--4", Fault::NoNumber(What::Number)),
        ("1.234,5", Fault::TwoMarks),
        ("1,234.5", Fault::TwoMarks),
        ("1,234,567", Fault::TwoMarks),
        ("1..5", Fault::TwoMarks),
        ("1 5", Fault::LooseDigits),
        ("1 0000", Fault::LooseDigits),
        ("1.5 5", Fault::LooseDigits),
        ("1/0", Fault::OverZero),
        ("1 1/0", Fault::OverZero),
        (
            "1,500",
            Fault::OneOrThousand {
                decimal: "1.5".into(),
                whole: "1500".into(),
            },
        ),
        (
            "12,000",
            Fault::OneOrThousand {
                decimal: "12".into(),
                whole: "12000".into(),
            },
        ),
    ];
    for (text, fault) in table {
        assert_eq!(parse_number(text), Err(fault), "{text:?}");
    }
    for text in ["1e308", "0x10", "1e400", "12 kg", "5-3", "1+1"] {
        assert!(parse_number(text).is_err(), "{text}");
    }
    assert_eq!(
        parse_number(&"9".repeat(400)),
        Err(Fault::TooLong(What::Number))
    );
    assert!(parse_number_within(&"9".repeat(80), 0.0, 100.0).is_err());
}

#[test]
fn ranges_and_whole_numbers_are_checked_with_the_range_in_the_words() {
    assert_eq!(parse_whole("5", 1, 12), Ok(5));
    assert_eq!(parse_whole("5.0", 1, 12), Ok(5));
    assert_eq!(parse_whole("5.5", 1, 12), Err(Fault::NotWhole));
    assert_eq!(
        parse_whole("13", 1, 12).unwrap_err().to_string(),
        "Write a number from 1 to 12."
    );
    assert_eq!(
        parse_number_within("2", 2.8, 4.5).unwrap_err().to_string(),
        "Write a number from 2.8 to 4.5."
    );
    assert_eq!(
        parse_volume("300000", Units::Metric)
            .unwrap_err()
            .to_string(),
        "Write a volume from 0 ml to 200000 L."
    );
    assert_eq!(
        parse_mass("-1", Units::Us).unwrap_err().to_string(),
        "Write a mass from 0 g to 440924 lb 8 oz."
    );
    assert_eq!(
        parse_temperature("300", Units::Us).unwrap_err().to_string(),
        "Write a temperature from −4 °F to 248 °F."
    );
}

#[test]
fn messages_say_what_to_enter_without_scolding() {
    let refused: Vec<String> = [
        parse_mass("", Units::Metric).unwrap_err(),
        parse_mass("5 apples", Units::Metric).unwrap_err(),
        parse_mass("3 lb 4", Units::Us).unwrap_err(),
        parse_mass("4 oz 3 lb", Units::Us).unwrap_err(),
        parse_mass("-1", Units::Us).unwrap_err(),
        parse_volume("12 oz", Units::Us).unwrap_err(),
        parse_number("1.234,5").unwrap_err(),
        parse_number("1,500").unwrap_err(),
        parse_number("1 5").unwrap_err(),
        parse_number("1/0").unwrap_err(),
        parse_whole("1.5", 0, 9).unwrap_err(),
        parse_gravity("200", sg_of_fraction).unwrap_err(),
        parse_price("free", Units::Metric).unwrap_err(),
        parse_amount("much", Units::Metric, Bare::Grams).unwrap_err(),
        parse_number(&"1".repeat(99)).unwrap_err(),
    ]
    .iter()
    .map(ToString::to_string)
    .collect();
    for message in &refused {
        let lower = message.to_lowercase();
        assert!(
            message.starts_with("Write ") || message.contains("Write "),
            "{message}"
        );
        assert!(message.ends_with('.'), "{message}");
        for word in ["invalid", "please", "oops", "error", "sorry", "illegal"] {
            assert!(!lower.contains(word), "{message}");
        }
    }
    assert_eq!(
        refused[1],
        "“apples” is not known here. Write kg, g, lb or oz, such as 2.5 kg or 3 lb 4 oz."
    );
}

#[test]
fn an_unknown_unit_is_echoed_only_in_part() {
    let long = format!("5 {}", "x".repeat(70));
    let Err(Fault::UnknownUnit { unit, .. }) = parse_mass(&long, Units::Metric) else {
        panic!("taken")
    };
    assert_eq!(unit.chars().count(), 16);
}
