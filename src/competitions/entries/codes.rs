//! Codes of entries: two letters and three digits, none of which looks like another, drawn at random, so that neither the
//! order of entering nor the maker can be read from them.

use std::collections::HashSet;

use crate::web::error::Error;

/// Letters that look like no other letter or digit, in print and by hand.
const LETTERS: &[u8] = b"ACEFHJKLMNPRTVWX";
/// Digits that look like no letter and no other digit.
const DIGITS: &[u8] = b"23456789";

/// A code that is not among those that are taken. There are 131,072, of which a competition uses a few hundred.
///
/// # Errors
/// When the operating system has no randomness.
pub fn draw(taken: &HashSet<String>) -> Result<String, Error> {
    loop {
        let mut bytes = [0u8; 5];
        getrandom::fill(&mut bytes).map_err(Error::unexpected)?;
        let code = of_bytes(bytes);
        if !taken.contains(&code) {
            return Ok(code);
        }
    }
}

/// Every byte gives one sign; both alphabets divide 256, so that each sign is as likely as another.
fn of_bytes(bytes: [u8; 5]) -> String {
    let sign = |(at, byte): (usize, u8)| {
        let of = if at < 2 { LETTERS } else { DIGITS };
        of.get(usize::from(byte) % of.len())
            .copied()
            .map(char::from)
    };
    bytes.into_iter().enumerate().filter_map(sign).collect()
}

/// Reads a code as people type it: small letters, spaces, dashes.
pub fn read(text: &str) -> Option<String> {
    let code: String = text
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '-')
        .map(|c| c.to_ascii_uppercase())
        .collect();
    let bytes = code.as_bytes();
    let shaped = bytes.len() == 5
        && bytes.iter().take(2).all(u8::is_ascii_uppercase)
        && bytes.iter().skip(2).all(u8::is_ascii_digit);
    shaped.then_some(code)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_is_as_likely_and_looks_like_no_other() {
        assert_eq!((256 % LETTERS.len(), 256 % DIGITS.len()), (0, 0));
        for alike in [b"BIOQSZDGUY".as_slice(), b"01"] {
            assert!(
                alike
                    .iter()
                    .all(|sign| !LETTERS.contains(sign) && !DIGITS.contains(sign))
            );
        }
        assert_eq!(of_bytes([0, 15, 0, 7, 8]), "AX292");
    }

    #[test]
    fn a_code_that_is_taken_is_drawn_again() {
        let mut taken = HashSet::new();
        for _ in 0..2_000 {
            let code = draw(&taken).unwrap();
            assert_eq!(read(&code).as_deref(), Some(code.as_str()));
            assert!(taken.insert(code));
        }
    }

    #[test]
    fn codes_are_read_as_people_type_them() {
        for text in ["ax292", " AX 292 ", "Ax-292"] {
            assert_eq!(read(text).as_deref(), Some("AX292"), "{text}");
        }
        for text in ["", "A2292", "AX29", "AX2922", "ÄX292", "AX29٣"] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
