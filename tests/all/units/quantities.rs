//! Masses, volumes, temperatures and gravities in every unit they are typed in.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use mustwright::web::units::{
    Fault, IMPERIAL_GALLON_L, KG_PER_POUND, US_GALLON_L, Units, parse_gravity, parse_mass,
    parse_temperature, parse_volume,
};

use super::sg_of_fraction;

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
        "200001 kg",
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
    for text in ["5 gal", "1 gal 2 qt", "2 pints", "4 fl oz"] {
        let asked = parse_volume(text, Units::Metric).unwrap_err();
        assert!(
            matches!(asked, Fault::WhichMeasure { .. }),
            "{text}: {asked}"
        );
    }
    assert_eq!(
        parse_volume("5 gal", Units::Metric)
            .unwrap_err()
            .to_string(),
        "Write US gal for 18.9 L, or imp gal for 22.7 L: two measures bear that name."
    );
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
