//! Percentages, doses, the amount field of an ingredient, and prices.

use approx::assert_relative_eq;
use mustwright::web::units::{
    Bare, IMPERIAL_GALLON_L, KG_PER_POUND, TypedAmount, US_GALLON_L, Units, parse_amount,
    parse_dose, parse_percent, parse_price,
};

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
    assert_eq!(
        parse_dose("2 g/gal", Units::Metric)
            .unwrap_err()
            .to_string(),
        "Write US gal for 0.53 g/L, or imp gal for 0.44 g/L: two measures bear that name."
    );
    for text in ["", "1 tsp/gal", "2 g", "2 L", "1600 g/L", "-1 g/L", "g/L"] {
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
        "2000000 parts",
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
