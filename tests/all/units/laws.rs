//! For any text: no stumbling. For any quantity: what is shown reads back as what it was.

use mustwright::web::units::{
    Bare, Fault, TypedAmount, Units, amount_text, beside_amount, beside_gravity,
    beside_temperature, gravity, mass, mass_text, parse_amount, parse_dose, parse_gravity,
    parse_mass, parse_number, parse_percent, parse_price, parse_temperature, parse_volume,
    temperature_text, volume, volume_text,
};
use proptest::prelude::*;

use super::sg_of_fraction;

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
        prop_assert!((back - kg).abs() <= (kg * 0.0125).clamp(0.000_006, 0.051), "{kg} shown as {}", mass(kg, units));
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
