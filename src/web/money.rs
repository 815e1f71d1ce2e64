//! Money: the club's one currency, counted in its smallest coin, as people type and read it.

use std::fmt;

use super::units;

/// Currencies whose smallest coin is the whole one (ISO 4217, from memory: verify).
const WITHOUT_COINS: &[&str] = &[
    "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV",
    "XAF", "XOF", "XPF",
];
/// The most that is taken, in whole coins of the currency.
const MOST: f64 = 10_000_000.0;

/// The club's currency.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Currency {
    code: [u8; 3],
}

impl Default for Currency {
    fn default() -> Self {
        Currency { code: *b"EUR" }
    }
}

impl Currency {
    /// The currency of a code of three capital letters, as ISO 4217 has them.
    pub fn of(code: &str) -> Option<Currency> {
        let code: [u8; 3] = code.as_bytes().try_into().ok()?;
        let capitals = code.iter().all(u8::is_ascii_uppercase);
        capitals.then_some(Currency { code })
    }

    /// Its code.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.code).unwrap_or_default()
    }

    /// How many decimals its sums have.
    pub fn decimals(&self) -> usize {
        match WITHOUT_COINS.contains(&self.code()) {
            true => 0,
            false => 2,
        }
    }

    /// How many of its smallest coin make a whole one.
    pub fn coins(&self) -> f64 {
        match self.decimals() {
            0 => 1.0,
            _ => 100.0,
        }
    }

    /// A sum without the code, for fields and lists: "9.50".
    pub fn plain(&self, coins: i64) -> String {
        let sign = if coins < 0 { "−" } else { "" };
        let whole = coins.unsigned_abs();
        match self.decimals() {
            0 => format!("{sign}{whole}"),
            _ => format!("{sign}{}.{:02}", whole / 100, whole % 100),
        }
    }

    /// A sum: "9.50 EUR".
    pub fn sum(&self, coins: i64) -> String {
        format!("{} {}", self.plain(coins), self.code())
    }

    /// A sum in whole coins that was reckoned: "9.50 EUR".
    pub fn reckoned(&self, whole: f64) -> String {
        format!("{} {}", units::fixed(whole, self.decimals()), self.code())
    }

    /// Reads a sum: "9.50", "9,50", "€ 9.50", "9.50 EUR".
    ///
    /// # Errors
    /// What to write instead.
    pub fn read(&self, text: &str) -> Result<i64, String> {
        let bare = text
            .trim()
            .trim_start_matches(self.code())
            .trim_end_matches(self.code())
            .trim_matches(|c: char| matches!(c, '$' | '€' | '£' | '¥') || c.is_whitespace());
        if bare.is_empty() {
            return Err(format!("Write a sum in {self}, such as 9.50."));
        }
        let whole =
            units::parse_number_within(bare, 0.0, MOST).map_err(|fault| fault.to_string())?;
        let coins = whole * self.coins();
        if (coins - coins.round()).abs() > 1e-4 {
            return Err(match self.decimals() {
                0 => format!("Write a whole sum: {self} has no smaller coin."),
                _ => "Write at most two decimals, such as 9.50.".to_owned(),
            });
        }
        Ok(coins.round() as i64)
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_read_and_shown_to_the_coin() {
        let euro = Currency::of("EUR").unwrap();
        for (text, coins) in [
            ("9.50", 950),
            (" 9,5 ", 950),
            ("€ 9.50", 950),
            ("9.50 EUR", 950),
            ("0", 0),
            ("0.07", 7),
            ("1234567.89", 123_456_789),
        ] {
            assert_eq!(euro.read(text), Ok(coins), "{text}");
        }
        for text in ["", "much", "-1", "9.505", "1e3", "20000000", "9.50 kg"] {
            assert!(euro.read(text).is_err(), "{text}");
        }
        assert_eq!(euro.sum(950), "9.50 EUR");
        assert_eq!(euro.plain(7), "0.07");
        let yen = Currency::of("JPY").unwrap();
        assert_eq!((yen.read("950"), yen.sum(950)), (Ok(950), "950 JPY".into()));
        assert!(yen.read("9.5").is_err());
        for code in ["", "eur", "EURO", "E1R"] {
            assert_eq!(Currency::of(code), None, "{code}");
        }
    }
}
