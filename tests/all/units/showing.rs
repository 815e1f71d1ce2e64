//! Quantities as shown, rounded to what one can read, and the conversion beside a foreign unit.

use mustwright::web::units::{
    Bare, KG_PER_POUND, Units, abv, beside_amount, beside_dose, beside_gravity, beside_mass,
    beside_temperature, beside_volume, dose, fixed, grams, grams_per_litre, gravity, mass,
    mass_both, mass_in_steps, plain, price, temperature, volume, volume_both, water_in_steps,
};

use super::sg_of_fraction;

#[test]
fn masses_are_shown_to_the_steps_of_a_scale() {
    for (kg, step_g, units, words) in [
        (5.125, 5.0, Units::Metric, "5.125 kg"),
        (5.1, 5.0, Units::Metric, "5.1 kg"),
        (0.455, 5.0, Units::Metric, "455 g"),
        (0.00314, 0.01, Units::Metric, "3.14 g"),
        (0.0031, 0.1, Units::Metric, "3.1 g"),
        (1.0003, 0.1, Units::Metric, "1.0003 kg"),
        (5.12556, 5.0, Units::Us, "11 lb 4.8 oz"),
        (12.0 * KG_PER_POUND, 5.0, Units::Us, "12 lb"),
        (0.5 * KG_PER_POUND, 5.0, Units::Imperial, "8 oz"),
        (15.9999 / 16.0 * KG_PER_POUND, 5.0, Units::Imperial, "1 lb"),
        (0.0031, 0.1, Units::Us, "3.1 g"),
    ] {
        assert_eq!(mass_in_steps(kg, step_g, units), words);
    }
}

#[test]
fn water_is_measured_out_in_what_a_jug_shows() {
    let gallon = 3.785_411_784;
    for (litres, units, measured, words) in [
        (14.537, Units::Metric, 14.5, "14.5 L"),
        (0.6349, Units::Metric, 0.63, "630 ml"),
        (0.997, Units::Metric, 1.0, "1 L"),
        (
            3.0 * gallon + gallon / 4.0,
            Units::Us,
            3.25 * gallon,
            "3 gal 4 cups",
        ),
        (gallon / 16.0 * 1.01, Units::Us, gallon / 16.0, "1 cup"),
        (
            gallon / 16.0 * 2.3,
            Units::Us,
            gallon / 16.0 * 2.25,
            "2.25 cups",
        ),
        (2.0 * gallon, Units::Us, 2.0 * gallon, "2 gal"),
        (
            4.546_09 * 1.5,
            Units::Imperial,
            4.546_09 * 1.5,
            "1 gal 80 fl oz",
        ),
    ] {
        let (found, told) = water_in_steps(litres, units);
        assert!((found - measured).abs() < 1e-9, "{litres}: {found}");
        assert_eq!(told, words);
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
fn powders_are_told_in_grams_and_much_in_kilograms() {
    for (amount, decimals, words) in [
        (3.46, 1, "3.5 g"),
        (12.3, 0, "12 g"),
        (0.035, 3, "0.035 g"),
        (999.4, 1, "999.4 g"),
        (1550.0, 1, "1.55 kg"),
        (5000.0, 3, "5 kg"),
    ] {
        assert_eq!(grams(amount, decimals), words);
    }
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
    assert_eq!(beside_volume("5 gal", Units::Metric), None);
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
