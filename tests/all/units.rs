//! Quantities as people type and read them: what is taken, what is refused and in which words, and the way back.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use mustwright::web::units::{
    Bare, Fault, IMPERIAL_GALLON_L, KG_PER_POUND, TypedAmount, US_GALLON_L, Units, What, abv,
    amount_text, beside_amount, beside_dose, beside_gravity, beside_mass, beside_temperature,
    beside_volume, dose, fixed, grams_per_litre, gravity, mass, mass_both, mass_text, parse_amount,
    parse_dose, parse_gravity, parse_mass, parse_number, parse_number_within, parse_percent,
    parse_price, parse_temperature, parse_volume, parse_whole, plain, price, temperature,
    temperature_text, volume, volume_both, volume_text,
};
use proptest::prelude::*;

/// Degrees Plato to SG as in the composition notes; near enough to tell which way a text was read.
fn sg_of_fraction(fraction: f64) -> f64 {
    let plato = fraction * 100.0;
    1.0 + plato / (258.6 - 227.1 * plato / 258.2)
}

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
        parse_volume("20000", Units::Metric)
            .unwrap_err()
            .to_string(),
        "Write a volume from 0 L to 10000 L."
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

#[test]
fn masses_are_read_in_any_unit() {
    let table = [
        ("2.5", Units::Metric, 2.5),
        ("2,5 kg", Units::Us, 2.5),
        ("2", Units::Us, 2.0 * KG_PER_POUND),
        ("2", Units::Imperial, 2.0 * KG_PER_POUND),
        ("500 g", Units::Metric, 0.5),
        ("500g", Units::Metric, 0.5),
        ("1 500 g", Units::Metric, 1.5),
        ("250 mg", Units::Metric, 0.00025),
        ("3 lb 4 oz", Units::Metric, 3.25 * KG_PER_POUND),
        ("3lb4oz", Units::Metric, 3.25 * KG_PER_POUND),
        ("3 lbs., 4 oz.", Units::Metric, 3.25 * KG_PER_POUND),
        (
            "3 lb .5 oz",
            Units::Metric,
            (3.0 + 0.5 / 16.0) * KG_PER_POUND,
        ),
        ("3 1/2 LB", Units::Us, 3.5 * KG_PER_POUND),
        ("½ lb", Units::Us, 0.5 * KG_PER_POUND),
        ("12 ounces", Units::Us, 0.75 * KG_PER_POUND),
        ("1 kg 200 g", Units::Metric, 1.2),
        ("0", Units::Metric, 0.0),
    ];
    for (text, units, kg) in table {
        assert_relative_eq!(
            parse_mass(text, units).expect(text),
            kg,
            max_relative = 1e-12
        );
    }
    for text in [
        "",
        "kg",
        "5 L",
        "3 lb 4",
        "3 4 oz",
        "4 oz 3 lb",
        "3 lb 4 lb",
        "3 lb -4 oz",
        "-3 kg",
        "lb 3",
        "3 lb.5 oz",
        "9999 kg",
    ] {
        assert!(parse_mass(text, Units::Metric).is_err(), "{text}");
    }
}

#[test]
fn volumes_are_read_in_any_unit_and_gallons_are_the_members_own() {
    let table = [
        ("20", Units::Metric, 20.0),
        ("20 L", Units::Us, 20.0),
        ("20l", Units::Metric, 20.0),
        ("750 ml", Units::Metric, 0.75),
        ("5 dl", Units::Metric, 0.5),
        ("75 cl", Units::Metric, 0.75),
        ("2 hL", Units::Metric, 200.0),
        ("5", Units::Us, 5.0 * US_GALLON_L),
        ("5", Units::Imperial, 5.0 * IMPERIAL_GALLON_L),
        ("5 gal", Units::Us, 18.92705892),
        ("5 gal", Units::Imperial, 22.73045),
        ("5 gal", Units::Metric, 18.92705892),
        ("5 US gal", Units::Imperial, 18.92705892),
        ("5 U.S. gallons", Units::Imperial, 18.92705892),
        ("5 gal (US)", Units::Imperial, 18.92705892),
        ("5 imp gal", Units::Us, 22.73045),
        ("5 UK gal", Units::Metric, 22.73045),
        ("1 gal 2 qt", Units::Us, 1.5 * US_GALLON_L),
        ("1 qt", Units::Us, 0.946352946),
        ("1 pt", Units::Us, 0.473176473),
        ("1 pt", Units::Imperial, 0.56826125),
        ("1 fl oz", Units::Us, 0.0295735295625),
        ("1 fl. oz.", Units::Imperial, 0.0284130625),
        ("1 cup", Units::Us, 0.2365882365),
        ("1 cup", Units::Metric, 0.25),
        ("2 tsp", Units::Us, 2.0 * US_GALLON_L / 768.0),
        ("2 tsp", Units::Metric, 0.01),
        ("1 US tsp", Units::Metric, US_GALLON_L / 768.0),
        ("1 tbsp", Units::Us, US_GALLON_L / 256.0),
    ];
    for (text, units, litres) in table {
        assert_relative_eq!(
            parse_volume(text, units).expect(text),
            litres,
            max_relative = 1e-9
        );
    }
    for text in [
        "",
        "5 oz",
        "5 kg",
        "5 US L",
        "5 us uk gal",
        "-5 L",
        "5 metric gal",
        "gal",
    ] {
        assert!(parse_volume(text, Units::Us).is_err(), "{text}");
    }
}

#[test]
fn temperatures_are_read_in_either_degree() {
    let table = [
        ("20", Units::Metric, 20.0),
        ("20", Units::Imperial, 20.0),
        ("68", Units::Us, 20.0),
        ("20 C", Units::Us, 20.0),
        ("20°C", Units::Us, 20.0),
        ("20 ℃", Units::Us, 20.0),
        ("20 degrees C", Units::Us, 20.0),
        ("68F", Units::Metric, 20.0),
        ("68 °F", Units::Metric, 20.0),
        ("68 deg F", Units::Metric, 20.0),
        ("−5", Units::Metric, -5.0),
        ("20,5", Units::Metric, 20.5),
        ("20°", Units::Metric, 20.0),
    ];
    for (text, units, celsius) in table {
        assert_abs_diff_eq!(
            parse_temperature(text, units).expect(text),
            celsius,
            epsilon = 1e-9
        );
    }
    for text in ["", "20 K", "293 K", "warm", "20 C 5", "150", "-40 C"] {
        assert!(parse_temperature(text, Units::Metric).is_err(), "{text}");
    }
}

#[test]
fn one_gravity_has_many_spellings() {
    for text in [
        "1.058",
        "1,058",
        "1058",
        "1 058",
        "58",
        "58 points",
        "58 pts",
        "1.058 SG",
        "1058 sg",
    ] {
        assert_abs_diff_eq!(
            parse_gravity(text, sg_of_fraction).expect(text),
            1.058,
            epsilon = 1e-12
        );
    }
    let table = [
        ("0.996", 0.996),
        ("0,996", 0.996),
        ("996", 0.996),
        ("1000", 1.0),
        ("1", 1.0),
        ("900", 0.9),
        ("1500", 1.5),
        ("2", 1.002),
        ("180", 1.18),
        ("1.4", 1.4),
        ("-4 points", 0.996),
        ("0 °Bx", 1.0),
    ];
    for (text, sg) in table {
        assert_abs_diff_eq!(
            parse_gravity(text, sg_of_fraction).expect(text),
            sg,
            epsilon = 1e-12
        );
    }
    for text in [
        "21 °Bx",
        "21 Bx",
        "21 brix",
        "21 °Brix",
        "21 P",
        "21 °P",
        "21 Plato",
        "21,0°Bx",
    ] {
        assert_abs_diff_eq!(
            parse_gravity(text, sg_of_fraction).expect(text),
            sg_of_fraction(0.21),
            epsilon = 1e-12
        );
    }
    for text in [
        "", "1.6", "1.9", "0.5", "0", "181", "899", "1501", "-4", "85 Bx", "-1 Bx", "2 SG", "58 %",
        "NaN",
    ] {
        assert!(parse_gravity(text, sg_of_fraction).is_err(), "{text}");
    }
}

#[test]
fn percentages_and_doses() {
    for text in ["12", "12 %", "12%", "12,0 %", "12 % ABV", "12 per cent"] {
        assert_eq!(parse_percent(text, 0.0, 25.0), Ok(12.0), "{text}");
    }
    assert_eq!(
        parse_percent("30", 0.0, 25.0).unwrap_err().to_string(),
        "Write a percentage from 0 % to 25 %."
    );
    assert!(parse_percent("12 kg", 0.0, 25.0).is_err());

    let table = [
        ("0.5", Units::Metric, 0.5),
        ("0,5 g/L", Units::Us, 0.5),
        ("0.5 g / l", Units::Us, 0.5),
        ("0.5 g per litre", Units::Us, 0.5),
        ("50 mg/L", Units::Metric, 0.05),
        ("50 ppm", Units::Metric, 0.05),
        ("20 g/hL", Units::Metric, 0.2),
        ("2 g/gal", Units::Us, 2.0 / US_GALLON_L),
        ("2 g/gal", Units::Imperial, 2.0 / IMPERIAL_GALLON_L),
        ("2 g/imp gal", Units::Us, 2.0 / IMPERIAL_GALLON_L),
        ("1/2 oz/gal", Units::Us, 0.5 * 28.349523125 / US_GALLON_L),
    ];
    for (text, units, g_per_l) in table {
        assert_relative_eq!(
            parse_dose(text, units).expect(text),
            g_per_l,
            max_relative = 1e-12
        );
    }
    for text in ["", "1 tsp/gal", "2 g", "2 L", "600 g/L", "-1 g/L", "g/L"] {
        assert!(parse_dose(text, Units::Us).is_err(), "{text}");
    }
}

#[test]
fn an_amount_field_takes_shares_masses_volumes_and_doses() {
    let read = |text| parse_amount(text, Units::Metric, Bare::LargeMass);
    for text in ["", "  ", "rest", "The rest", "1 part", "1 share"] {
        assert_eq!(read(text), Ok(TypedAmount::Share(1.0)), "{text:?}");
    }
    assert_eq!(read("2 parts"), Ok(TypedAmount::Share(2.0)));
    assert_eq!(read("1/2 part"), Ok(TypedAmount::Share(0.5)));
    assert_eq!(read("2.5"), Ok(TypedAmount::Kg(2.5)));
    assert_eq!(read("500 g"), Ok(TypedAmount::Kg(0.5)));
    assert_eq!(read("4 L"), Ok(TypedAmount::Litres(4.0)));
    assert_eq!(read("0,5 g/L"), Ok(TypedAmount::GramsPerLitre(0.5)));
    assert_eq!(
        parse_amount("5", Units::Us, Bare::Grams),
        Ok(TypedAmount::Kg(0.005))
    );
    assert_eq!(
        parse_amount("5", Units::Us, Bare::Dose),
        Ok(TypedAmount::GramsPerLitre(5.0))
    );
    assert_eq!(
        parse_amount("5", Units::Metric, Bare::Volume),
        Ok(TypedAmount::Litres(5.0))
    );
    let Ok(TypedAmount::Kg(kg)) = parse_amount("3 lb 4 oz", Units::Metric, Bare::Volume) else {
        panic!("no mass")
    };
    assert_relative_eq!(kg, 3.25 * KG_PER_POUND, max_relative = 1e-12);
    let Ok(TypedAmount::Kg(kg)) = parse_amount("3", Units::Us, Bare::LargeMass) else {
        panic!("no mass")
    };
    assert_relative_eq!(kg, 3.0 * KG_PER_POUND, max_relative = 1e-12);
    for text in [
        "much",
        "2 bags",
        "50 %",
        "1 part 2 parts",
        "3 kg 2 L",
        "-1 part",
        "2000 parts",
        "1 kg 1 part",
    ] {
        assert!(read(text).is_err(), "{text}");
    }
}

#[test]
fn prices_are_per_kilogram_whatever_was_typed() {
    let table = [
        ("8.50", Units::Metric, 8.5),
        ("8,50 / kg", Units::Us, 8.5),
        ("8.50 per kg", Units::Us, 8.5),
        ("€8,50/kg", Units::Us, 8.5),
        ("8.50 €", Units::Metric, 8.5),
        ("0.02 per g", Units::Metric, 20.0),
        ("4 per lb", Units::Metric, 4.0 / KG_PER_POUND),
        ("$4/lb", Units::Metric, 4.0 / KG_PER_POUND),
        ("4 a pound", Units::Metric, 4.0 / KG_PER_POUND),
        ("4", Units::Us, 4.0 / KG_PER_POUND),
        ("12 for 3 lb", Units::Metric, 4.0 / KG_PER_POUND),
        ("£12 / 1,5 kg", Units::Metric, 8.0),
        ("0", Units::Metric, 0.0),
    ];
    for (text, units, per_kg) in table {
        assert_relative_eq!(
            parse_price(text, units).expect(text),
            per_kg,
            max_relative = 1e-12
        );
    }
    for text in [
        "",
        "free",
        "4 per L",
        "4 per 0 kg",
        "-1",
        "4 per 3",
        "1,500",
        "1 kg",
        "4 / / kg",
        "€",
    ] {
        assert!(parse_price(text, Units::Metric).is_err(), "{text}");
    }
}

#[test]
fn masses_are_shown_as_a_kitchen_scale_reads_them() {
    let table = [
        (5.12, Units::Metric, "5.12 kg"),
        (5.0, Units::Metric, "5 kg"),
        (0.455, Units::Metric, "455 g"),
        (0.9996, Units::Metric, "1 kg"),
        (0.0123, Units::Metric, "12 g"),
        (0.00456, Units::Metric, "4.6 g"),
        (0.00045, Units::Metric, "0.45 g"),
        (123.456, Units::Metric, "123.5 kg"),
        (0.0, Units::Metric, "0 g"),
        (5.1256, Units::Us, "11 lb 5 oz"),
        (5.44310844, Units::Us, "12 lb"),
        (11.99999 * KG_PER_POUND, Units::Us, "12 lb"),
        (3.25 * KG_PER_POUND, Units::Imperial, "3 lb 4 oz"),
        (9.999 * KG_PER_POUND, Units::Us, "10 lb"),
        (0.5 * KG_PER_POUND, Units::Us, "8 oz"),
        (0.0045, Units::Us, "4.5 g"),
    ];
    for (kg, units, text) in table {
        assert_eq!(mass(kg, units), text);
    }
    assert_eq!(mass_both(5.1256, Units::Us), "11 lb 5 oz (5.13 kg)");
    assert_eq!(mass_both(5.1256, Units::Metric), "5.13 kg (11 lb 5 oz)");
    assert_eq!(mass_both(0.0045, Units::Us), "4.5 g");
}

#[test]
fn other_quantities_are_shown_with_the_figures_they_have() {
    assert_eq!(volume(18.92705892, Units::Metric), "18.9 L");
    assert_eq!(volume(4.5, Units::Metric), "4.5 L");
    assert_eq!(volume(0.455, Units::Metric), "455 ml");
    assert_eq!(volume(189.3, Units::Metric), "189 L");
    assert_eq!(volume(18.92705892, Units::Us), "5 gal");
    assert_eq!(volume(22.73045, Units::Imperial), "5 gal");
    assert_eq!(volume(0.946352946, Units::Us), "1 qt");
    assert_eq!(volume(0.0295735295625, Units::Us), "1 fl oz");
    assert_eq!(volume(0.00492892, Units::Us), "1 tsp");
    assert_eq!(volume(0.56826125, Units::Imperial), "1 pt");
    assert_eq!(volume_both(18.92705892, Units::Us), "5 gal (18.9 L)");
    assert_eq!(volume_both(18.92705892, Units::Metric), "18.9 L (5 US gal)");
    assert_eq!(temperature(20.0, Units::Metric), "20 °C");
    assert_eq!(temperature(20.0, Units::Us), "68 °F");
    assert_eq!(temperature(-5.0, Units::Imperial), "−5 °C");
    assert_eq!(gravity(1.05749), "1.057");
    assert_eq!(gravity(1.1), "1.100");
    assert_eq!(abv(12.04), "12.0 %");
    assert_eq!(grams_per_litre(0.4711), "0.47 g/L");
    assert_eq!(grams_per_litre(234.7), "235 g/L");
    assert_eq!(dose(0.5, Units::Metric), "0.5 g/L");
    assert_eq!(dose(0.5, Units::Us), "0.5 g/L (1.89 g per gal)");
    assert_eq!(price(8.5, "EUR", Units::Metric), "8.50 EUR per kg");
    assert_eq!(price(8.5, "USD", Units::Us), "3.86 USD per lb");
    assert_eq!(plain(1.50, 3), "1.5");
    assert_eq!(plain(100.0, 0), "100");
    assert_eq!(fixed(-0.0001, 2), "0.00");
    assert_eq!(fixed(-1.25, 1), "−1.2");
    assert_eq!(fixed(f64::NAN, 1), "–");
    assert_eq!(mass(f64::INFINITY, Units::Metric), "– kg");
}

#[test]
fn what_was_typed_in_another_unit_is_shown_converted_beside_it() {
    let beside = |text, units| beside_amount(text, units, Bare::LargeMass);
    assert_eq!(
        beside_volume("5 US gal", Units::Metric).as_deref(),
        Some("= 18.9 L")
    );
    assert_eq!(
        beside_volume("5 gal", Units::Metric).as_deref(),
        Some("= 18.9 L (US; imperial would be 22.7 L)")
    );
    assert_eq!(
        beside_volume("5 gal", Units::Us).as_deref(),
        Some("= 18.9 L")
    );
    assert_eq!(
        beside_volume("5", Units::Imperial).as_deref(),
        Some("= 22.7 L")
    );
    assert_eq!(
        beside_volume("18.92705892 L", Units::Us).as_deref(),
        Some("= 5 gal")
    );
    assert_eq!(beside_volume("2 tsp", Units::Us), None);
    assert_eq!(beside_volume("20", Units::Metric), None);
    assert_eq!(beside_volume("20 L", Units::Metric), None);
    assert_eq!(
        beside_mass("3 lb 4 oz", Units::Metric).as_deref(),
        Some("= 1.47 kg")
    );
    assert_eq!(
        beside_mass("1.5 kg", Units::Us).as_deref(),
        Some("= 3 lb 4.9 oz")
    );
    assert_eq!(beside_mass("5 g", Units::Us), None);
    assert_eq!(beside_mass("1.5", Units::Metric), None);
    assert_eq!(beside_mass("nonsense", Units::Metric), None);
    assert_eq!(
        beside_temperature("68F", Units::Metric).as_deref(),
        Some("= 20 °C")
    );
    assert_eq!(
        beside_temperature("20 C", Units::Us).as_deref(),
        Some("= 68 °F")
    );
    assert_eq!(beside_temperature("20", Units::Metric), None);
    assert_eq!(
        beside_gravity("58", sg_of_fraction).as_deref(),
        Some("= 1.058")
    );
    assert_eq!(
        beside_gravity("1058", sg_of_fraction).as_deref(),
        Some("= 1.058")
    );
    assert_eq!(
        beside_gravity("21 °Bx", sg_of_fraction).as_deref(),
        Some("= 1.087")
    );
    assert_eq!(beside_gravity("1,058", sg_of_fraction), None);
    assert_eq!(
        beside_dose("2 g/gal", Units::Us).as_deref(),
        Some("= 0.53 g/L")
    );
    assert_eq!(beside_dose("0.5 g/L", Units::Us), None);
    assert_eq!(beside("3 lb", Units::Metric).as_deref(), Some("= 1.36 kg"));
    assert_eq!(beside("5 gal", Units::Us).as_deref(), Some("= 18.9 L"));
    assert_eq!(beside("1 part", Units::Us), None);
    assert_eq!(beside("", Units::Us), None);
}

#[test]
fn unit_systems_have_the_words_of_the_database() {
    for units in Units::ALL {
        assert_eq!(units.to_string().parse(), Ok(units));
        assert_eq!(
            serde_json::to_string(&units).unwrap(),
            format!("\"{units}\"")
        );
    }
    assert!("Metric".parse::<Units>().is_err());
    assert_eq!(Units::ALL.map(Units::word), ["metric", "us", "imperial"]);
}

fn any_units() -> impl Strategy<Value = Units> {
    prop_oneof![Just(Units::Metric), Just(Units::Us), Just(Units::Imperial)]
}

fn any_bare() -> impl Strategy<Value = Bare> {
    prop_oneof![
        Just(Bare::LargeMass),
        Just(Bare::Grams),
        Just(Bare::Volume),
        Just(Bare::Dose)
    ]
}

/// Everything a form may send, biased to what looks like a quantity.
fn any_text() -> impl Strategy<Value = String> {
    let quantity_like = proptest::collection::vec(
        prop_oneof![
            Just("1".to_owned()),
            Just("0".to_owned()),
            Just("500".to_owned()),
            Just(" ".to_owned()),
            Just(".".to_owned()),
            Just(",".to_owned()),
            Just("/".to_owned()),
            Just("-".to_owned()),
            Just("½".to_owned()),
            Just("kg".to_owned()),
            Just("lb".to_owned()),
            Just("oz".to_owned()),
            Just("gal".to_owned()),
            Just("°Bx".to_owned()),
            Just("parts".to_owned()),
            Just(" per ".to_owned()),
            Just("€".to_owned()),
            Just("\u{a0}".to_owned()),
            Just("e308".to_owned()),
        ],
        0..12,
    )
    .prop_map(|pieces| pieces.concat());
    prop_oneof![any::<String>(), quantity_like]
}

proptest! {
    #[test]
    fn no_text_makes_it_stumble(text in any_text(), units in any_units(), bare in any_bare()) {
        let finite = |value: Result<f64, Fault>| match value {
            Ok(value) => value.is_finite(),
            Err(fault) => !fault.to_string().is_empty(),
        };
        prop_assert!(finite(parse_number(&text)));
        prop_assert!(finite(parse_mass(&text, units)));
        prop_assert!(finite(parse_volume(&text, units)));
        prop_assert!(finite(parse_temperature(&text, units)));
        prop_assert!(finite(parse_gravity(&text, sg_of_fraction)));
        prop_assert!(finite(parse_percent(&text, 0.0, 100.0)));
        prop_assert!(finite(parse_dose(&text, units)));
        prop_assert!(finite(parse_price(&text, units)));
        if let Ok(TypedAmount::Share(x) | TypedAmount::Kg(x) | TypedAmount::Litres(x) | TypedAmount::GramsPerLitre(x)) =
            parse_amount(&text, units, bare)
        {
            prop_assert!(x.is_finite() && x >= 0.0);
        }
        let _ = beside_amount(&text, units, bare);
        let _ = beside_temperature(&text, units);
        let _ = beside_gravity(&text, sg_of_fraction);
    }

    #[test]
    fn a_shown_mass_reads_back_within_what_is_shown(kg in 0.0005..2000.0f64, units in any_units()) {
        let back = parse_mass(&mass(kg, units), units).unwrap();
        // Half a step: 5 g below 100 kg, half an ounce above ten pounds, 2 % of the smallest weights.
        prop_assert!((back - kg).abs() <= (kg * 0.0125).min(0.051).max(0.000_006), "{kg} shown as {}", mass(kg, units));
    }

    #[test]
    fn a_shown_volume_reads_back_within_what_is_shown(litres in 0.001..5000.0f64, units in any_units()) {
        let back = parse_volume(&volume(litres, units), units).unwrap();
        prop_assert!((back - litres).abs() <= litres * 0.051, "{litres} shown as {}", volume(litres, units));
        prop_assert!(litres < 0.1 || (back - litres).abs() <= litres * 0.006, "{litres} shown as {}", volume(litres, units));
    }

    #[test]
    fn field_texts_read_back_to_a_millionth(x in 0.0001..900.0f64, units in any_units(), bare in any_bare()) {
        let amounts = [TypedAmount::Kg(x), TypedAmount::Litres(x), TypedAmount::GramsPerLitre(x / 2.0), TypedAmount::Share(x.max(0.01))];
        for amount in amounts {
            let back = parse_amount(&amount_text(amount, units), units, bare).unwrap();
            match (amount, back) {
                (TypedAmount::Kg(a), TypedAmount::Kg(b))
                | (TypedAmount::Litres(a), TypedAmount::Litres(b))
                | (TypedAmount::GramsPerLitre(a), TypedAmount::GramsPerLitre(b)) => {
                    prop_assert!((a - b).abs() <= 1e-6 * a, "{a} {b}");
                }
                (TypedAmount::Share(a), TypedAmount::Share(b)) => prop_assert!((a - b).abs() <= 1e-6, "{a} {b}"),
                other => prop_assert!(false, "{other:?}"),
            }
        }
        prop_assert!((parse_mass(&mass_text(x, units), units).unwrap() - x).abs() <= 1e-6 * x);
        prop_assert!((parse_volume(&volume_text(x, units), units).unwrap() - x).abs() <= 1e-6 * x);
        let celsius = x / 9.0;
        prop_assert!((parse_temperature(&temperature_text(celsius, units), units).unwrap() - celsius).abs() < 1e-4);
    }

    #[test]
    fn a_shown_gravity_reads_back_to_a_thousandth(sg in 0.98..1.2f64) {
        prop_assert!((parse_gravity(&gravity(sg), sg_of_fraction).unwrap() - sg).abs() <= 0.000_5 + 1e-12);
    }
}
