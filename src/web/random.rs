//! Random names: public ids, tokens, keys.

use sha2::{Digest, Sha256};

use super::error::Error;

const LETTERS: &[u8; 32] = b"abcdefghijklmnopqrstuvwxyz234567";

/// A random text of `length` letters and digits, five bits each.
pub fn text(length: usize) -> Result<String, Error> {
    let mut bytes = vec![0u8; length];
    getrandom::fill(&mut bytes).map_err(Error::unexpected)?;
    Ok(bytes
        .iter()
        .map(|byte| char::from(LETTERS[usize::from(byte & 31)]))
        .collect())
}

/// So many different numbers of three digits, in no order; at most 900.
pub fn three_digits(count: usize) -> Result<Vec<u16>, Error> {
    let mut numbers = Vec::new();
    while numbers.len() < count.min(900) {
        let mut bytes = [0u8; 2];
        getrandom::fill(&mut bytes).map_err(Error::unexpected)?;
        // Ten bits; what is beyond 900 numbers is drawn again, so that each is as likely.
        let number = 100 + (u16::from_le_bytes(bytes) & 1023);
        if number < 1000 && !numbers.contains(&number) {
            numbers.push(number);
        }
    }
    Ok(numbers)
}

/// A public id: 100 random bits, without order in time.
pub fn public_id() -> Result<String, Error> {
    text(20)
}

/// A secret for a cookie or a one-time link: 260 random bits.
pub fn token() -> Result<String, Error> {
    text(52)
}

/// What the database keeps of a secret.
pub fn hash_of(token: &str) -> [u8; 32] {
    Sha256::digest(token.as_bytes()).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_three_digits_differ_and_all_can_come() {
        let some = three_digits(6).unwrap();
        assert_eq!(some.len(), 6);
        let mut all = three_digits(900).unwrap();
        all.sort_unstable();
        assert_eq!(all, (100..1000).collect::<Vec<u16>>());
    }
}
