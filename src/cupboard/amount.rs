//! How much of something there is, and what was paid for how much: weighed, poured or counted.

use crate::web::money::Currency;
use crate::web::units::{self, Bare, TypedAmount, Units};

/// The most of anything.
const MOST: f64 = 200_000.0;
/// What is left within this of nothing is nothing: a hundredth of a gram, a millilitre or a piece.
pub const HAIR: f64 = 1e-5;
const WHAT_TO_WRITE: &str = "Write how much, such as 2.5 kg, 3 lb 4 oz, 1 L or 3 sachets.";
const WHAT_PRICE: &str =
    "Write what was paid and for how much, such as 9.50 for 1 kg, or 3 for 2 sachets.";
/// Words for what is counted.
const COUNTED: &[&str] = &[
    "piece", "pieces", "pc", "pcs", "sachet", "sachets", "packet", "packets", "stick", "sticks",
];

/// In what something is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    Kg,
    Litres,
    Pieces,
}

impl Measure {
    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            Measure::Kg => "kg",
            Measure::Litres => "l",
            Measure::Pieces => "pieces",
        }
    }

    /// The measure of a word.
    pub fn of(word: &str) -> Measure {
        match word {
            "l" => Measure::Litres,
            "pieces" => Measure::Pieces,
            _ => Measure::Kg,
        }
    }
}

/// So much of something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amount {
    pub value: f64,
    pub measure: Measure,
}

impl Amount {
    /// Reads an amount; a number alone is in the member's kilograms or pounds.
    ///
    /// # Errors
    /// What to write instead.
    pub fn read(text: &str, units: Units) -> Result<Amount, String> {
        let text = text.trim();
        let (number, unit) = match text.rsplit_once(char::is_whitespace) {
            Some((number, unit)) => (number, unit.to_lowercase()),
            None => (text, String::new()),
        };
        let (value, measure) = if COUNTED.contains(&unit.as_str()) {
            let value = units::parse_number_within(number, 0.0, MOST);
            (value.map_err(|fault| fault.to_string())?, Measure::Pieces)
        } else {
            match units::parse_amount(text, units, Bare::LargeMass) {
                Ok(TypedAmount::Kg(kg)) => (kg, Measure::Kg),
                Ok(TypedAmount::Litres(litres)) => (litres, Measure::Litres),
                Ok(_) => return Err(WHAT_TO_WRITE.to_owned()),
                Err(units::Fault::UnknownUnit { unit, .. }) => {
                    return Err(format!("“{unit}” is not known here. {WHAT_TO_WRITE}"));
                }
                Err(fault) => return Err(fault.to_string()),
            }
        };
        Ok(Amount { value, measure })
    }

    /// As it is read.
    pub fn shown(&self, units: Units) -> String {
        match self.measure {
            Measure::Kg => units::mass(self.value, units),
            Measure::Litres => units::volume(self.value, units),
            Measure::Pieces => pieces(self.value),
        }
    }

    /// For a text field: typed back it is the same to a millionth.
    pub fn text(&self, units: Units) -> String {
        match self.measure {
            Measure::Kg => units::mass_text(self.value, units),
            Measure::Litres => units::volume_text(self.value, units),
            Measure::Pieces => pieces(self.value),
        }
    }
}

fn pieces(number: f64) -> String {
    match number {
        1.0 => "1 piece".to_owned(),
        _ => format!("{} pieces", units::plain(number, 6)),
    }
}

/// What was paid for how much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Price {
    /// In the smallest coin.
    pub paid: i64,
    pub amount: Amount,
}

impl Price {
    /// Reads "9.50 for 1 kg", "4 per lb", "3 for 2 sachets". A number alone says too little and is refused.
    ///
    /// # Errors
    /// What to write instead.
    pub fn read(text: &str, units: Units, currency: Currency) -> Result<Price, String> {
        let lower = text.trim().to_lowercase();
        let (money, much) = [" for ", " per ", "/"]
            .iter()
            .find_map(|between| lower.split_once(between))
            .ok_or(WHAT_PRICE)?;
        let paid = currency.read(&money.to_uppercase())?;
        let much = much.trim();
        let counted = much.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','));
        let amount = match counted {
            true => Amount::read(much, units)?,
            false => Amount::read(&format!("1 {much}"), units)?,
        };
        match amount.value > 0.0 {
            true => Ok(Price { paid, amount }),
            false => Err(WHAT_PRICE.to_owned()),
        }
    }

    /// As it is read: "9.50 EUR for 1 kg".
    pub fn shown(&self, units: Units, currency: Currency) -> String {
        format!(
            "{} for {}",
            currency.sum(self.paid),
            self.amount.shown(units)
        )
    }

    /// For a text field.
    pub fn text(&self, units: Units, currency: Currency) -> String {
        format!(
            "{} for {}",
            currency.plain(self.paid),
            self.amount.text(units)
        )
    }

    /// Whole coins for one kilogram, litre or piece.
    pub fn of_one(&self, currency: Currency) -> f64 {
        self.paid as f64 / currency.coins() / self.amount.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_weighed_poured_or_counted() {
        for (text, units, value, measure) in [
            ("2.5 kg", Units::Metric, 2.5, Measure::Kg),
            ("2,5", Units::Metric, 2.5, Measure::Kg),
            ("1 lb", Units::Us, 0.453_592_37, Measure::Kg),
            ("1", Units::Us, 0.453_592_37, Measure::Kg),
            ("500 ml", Units::Metric, 0.5, Measure::Litres),
            ("3 sachets", Units::Us, 3.0, Measure::Pieces),
            ("0.5 packet", Units::Metric, 0.5, Measure::Pieces),
        ] {
            let read = Amount::read(text, units).unwrap();
            assert!((read.value - value).abs() < 1e-9, "{text}: {read:?}");
            assert_eq!(read.measure, measure, "{text}");
            let again = Amount::read(&read.text(units), units).unwrap();
            assert!((again.value - value).abs() < 1e-6 && again.measure == measure);
        }
        for text in [
            "", "much", "1 part", "0.5 g/L", "-1 kg", "3 bags", "the rest",
        ] {
            assert!(Amount::read(text, Units::Metric).is_err(), "{text}");
        }
    }

    #[test]
    fn a_price_says_for_how_much() {
        let euro = Currency::default();
        for (text, paid, value, one) in [
            ("9.50 for 1 kg", 950, 1.0, 9.5),
            ("9,50 EUR for 500 g", 950, 0.5, 19.0),
            ("4 per kg", 400, 1.0, 4.0),
            ("4/l", 400, 1.0, 4.0),
            ("3 for 2 sachets", 300, 2.0, 1.5),
        ] {
            let price = Price::read(text, Units::Metric, euro).unwrap();
            assert_eq!((price.paid, price.amount.value), (paid, value), "{text}");
            assert!((price.of_one(euro) - one).abs() < 1e-9, "{text}");
        }
        for text in [
            "",
            "9.50",
            "for 1 kg",
            "9.50 for 0 kg",
            "9.505 for 1 kg",
            "9 for much",
        ] {
            assert!(Price::read(text, Units::Metric, euro).is_err(), "{text}");
        }
    }
}
