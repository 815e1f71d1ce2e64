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
