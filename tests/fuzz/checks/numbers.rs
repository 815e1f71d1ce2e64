//! What holds of any text in a field for a number, a quantity, a day, an hour or a sum of money.

use chrono::NaiveDate;
use mustwright::engine::density::sg_of_fraction;
use mustwright::web::day;
use mustwright::web::money::Currency;
use mustwright::web::typed::time_of_day;
use mustwright::web::units::{
    Bare, Fault, TypedAmount, Units, amount_text, beside_amount, beside_dose, beside_gravity,
    beside_mass, beside_temperature, beside_volume, mass_text, parse_alkalinity, parse_amount,
    parse_dose, parse_gravity, parse_ion, parse_mass, parse_number, parse_number_within,
    parse_percent, parse_price, parse_temperature, parse_volume, parse_whole, temperature_text,
    volume_text,
};

const BARE: [Bare; 4] = [Bare::LargeMass, Bare::Grams, Bare::Volume, Bare::Dose];

/// The first byte says whose units, the rest is the text.
pub fn check(bytes: &[u8]) {
    let Some((first, rest)) = bytes.split_first() else {
        return;
    };
    let units = [Units::Metric, Units::Us, Units::Imperial][usize::from(first % 3)];
    let bare = BARE[usize::from(first / 3 % 4)];
    let text = String::from_utf8_lossy(rest);
    numbers(&text);
    quantities(&text, units);
    amounts(&text, units, bare);
    days_and_sums(&text, units);
}

/// A number in its range, or a sentence that says what to write.
fn sound(read: Result<f64, Fault>, low: f64, high: f64) -> Option<f64> {
    match read {
        Ok(value) => {
            assert!((low..=high).contains(&value), "{value}");
            Some(value)
        }
        Err(fault) => {
            assert!(!fault.to_string().is_empty());
            None
        }
    }
}

fn numbers(text: &str) {
    let plain = sound(parse_number(text), f64::MIN, f64::MAX);
    let within = sound(parse_number_within(text, 2.0, 8.0), 2.0, 8.0);
    if let (Some(plain), Some(within)) = (plain, within) {
        assert_eq!(plain, within);
    }
    sound(parse_percent(text, 0.0, 100.0), 0.0, 100.0);
    // Which of these a water can have is the engine's to say.
    sound(parse_ion(text), f64::MIN, f64::MAX);
    sound(parse_alkalinity(text), f64::MIN, f64::MAX);
    if let Ok(whole) = parse_whole(text, -5, 500) {
        assert!((-5..=500).contains(&whole));
        assert_eq!(plain, Some(f64::from(whole)));
    }
}

/// What is written into the field again reads as the same.
fn quantities(text: &str, units: Units) {
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-5 + 1e-6 * a.abs();
    if let Some(kg) = sound(parse_mass(text, units), 0.0, 200_000.0) {
        let again = parse_mass(&mass_text(kg, units), units);
        assert!(
            again.as_ref().is_ok_and(|again| near(kg, *again)),
            "{kg}: {again:?}"
        );
    }
    if let Some(litres) = sound(parse_volume(text, units), 0.0, 200_000.0) {
        let again = parse_volume(&volume_text(litres, units), units);
        assert!(
            again.as_ref().is_ok_and(|again| near(litres, *again)),
            "{litres}: {again:?}"
        );
    }
    if let Some(celsius) = sound(parse_temperature(text, units), -20.0, 120.0) {
        let again = parse_temperature(&temperature_text(celsius, units), units);
        assert!(
            again
                .as_ref()
                .is_ok_and(|again| (celsius - again).abs() < 1e-3),
            "{celsius}: {again:?}"
        );
    }
    sound(parse_gravity(text, sg_of_fraction), 0.5, 2.0);
    sound(parse_dose(text, units), 0.0, f64::MAX);
    sound(parse_price(text, units), 0.0, f64::MAX);
    for beside in [
        beside_mass(text, units),
        beside_volume(text, units),
        beside_temperature(text, units),
        beside_gravity(text, sg_of_fraction),
        beside_dose(text, units),
    ] {
        assert_ne!(beside.as_deref(), Some(""));
    }
}

fn amounts(text: &str, units: Units, bare: Bare) {
    let beside = beside_amount(text, units, bare);
    assert_ne!(beside.as_deref(), Some(""));
    let Ok(amount) = parse_amount(text, units, bare) else {
        return;
    };
    let number = |amount: TypedAmount| match amount {
        TypedAmount::Share(x)
        | TypedAmount::Kg(x)
        | TypedAmount::Litres(x)
        | TypedAmount::GramsPerLitre(x) => x,
    };
    let value = number(amount);
    assert!(value.is_finite() && value >= 0.0, "{amount:?}");
    let again = parse_amount(&amount_text(amount, units), units, bare);
    let again = again.unwrap_or_else(|fault| panic!("{amount:?}: {fault}"));
    assert_eq!(
        std::mem::discriminant(&amount),
        std::mem::discriminant(&again)
    );
    assert!(
        (value - number(again)).abs() <= 1e-5 + 1e-6 * value,
        "{amount:?}: {again:?}"
    );
}

fn days_and_sums(text: &str, units: Units) {
    let today = NaiveDate::from_ymd_opt(2028, 2, 29).expect("a day");
    let year = |day: NaiveDate| day.format("%Y").to_string().len();
    if let Some(day) = day::read(text, today, units) {
        assert_eq!(year(day), 4, "{day}");
    }
    if let Some(day) = day::read_past(text, today, units) {
        assert_eq!(year(day), 4, "{day}");
    }
    if let Some(time) = time_of_day(text) {
        let again = time_of_day(&time.format("%H:%M").to_string());
        assert_eq!(
            again.map(|time| time.format("%H:%M").to_string()),
            Some(time.format("%H:%M").to_string())
        );
    }
    for currency in ["EUR", "JPY"].map(|code| Currency::of(code).expect("a currency")) {
        match currency.read(text) {
            Ok(coins) => assert_eq!(currency.read(&currency.plain(coins)), Ok(coins)),
            Err(why) => assert!(!why.is_empty()),
        }
    }
}
