//! Drawing lots from a public number that was announced before anybody knew it: whoever has the number draws the same again,
//! with any program that makes SHA-256.
//!
//! Method: after RFC 3797 (Publicly Verifiable Nominations Committee Random Selection, 2004): the pool is fixed and in a known
//! order before the number is out, and each round takes the one at (hash modulo what is left). With SHA-256 in place of MD5 and a
//! text of our own to hash.

use sha2::{Digest, Sha256};

/// One round of a draw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Round {
    /// What is hashed.
    pub text: String,
    /// SHA-256 of it, in hexadecimal digits.
    pub hash: String,
    /// How many were left to draw from.
    pub left: usize,
    /// Whose turn it was: the remainder of the hash divided by `left`, counted from 0 in alphabetical order.
    pub at: usize,
    /// Who stood there.
    pub code: String,
}

/// A public number as it is hashed: its runs of digits without zeros in front, each followed by a point. Spaces, commas and words
/// around them do not matter; their order does. `None` where there is no digit.
pub fn written(number: &str) -> Option<String> {
    let runs = number.split(|letter: char| !letter.is_ascii_digit());
    let written: String = runs
        .filter(|run| !run.is_empty())
        .map(|run| match run.trim_start_matches('0') {
            "" => "0.".to_owned(),
            digits => format!("{digits}."),
        })
        .collect();
    (!written.is_empty()).then_some(written)
}

/// SHA-256 of a text.
pub fn sha256_bytes(text: &str) -> [u8; 32] {
    Sha256::digest(text.as_bytes()).into()
}

/// SHA-256 of a text, in 64 hexadecimal digits.
pub fn sha256(text: &str) -> String {
    let bytes = sha256_bytes(text);
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The remainder of a hash, as the whole number that its digits write, divided by `left`.
fn remainder(hash: &str, left: usize) -> usize {
    let digits = hash.chars().filter_map(|digit| digit.to_digit(16));
    let left = left.max(1) as u64;
    let rest = digits.fold(0u64, |rest, digit| (rest * 16 + u64::from(digit)) % left);
    usize::try_from(rest).unwrap_or(0)
}

/// Draws `codes` into an order. `about` says which draw it is, so that two draws from one number have nothing in common; codes that
/// stand there twice count once. Empty where the number has no digit.
pub fn rounds(number: &str, about: &str, codes: &[String]) -> Vec<Round> {
    let Some(number) = written(number) else {
        return Vec::new();
    };
    let mut pool: Vec<String> = codes.to_vec();
    pool.sort();
    pool.dedup();
    let all = pool.join(" ");
    let mut rounds = Vec::new();
    for round in 1.. {
        if pool.is_empty() {
            break;
        }
        let text = format!("{number}|{about}|{all}|{round}");
        let hash = sha256(&text);
        let left = pool.len();
        let at = remainder(&hash, left);
        rounds.push(Round {
            code: pool.remove(at),
            text,
            hash,
            left,
            at,
        });
    }
    rounds
}
