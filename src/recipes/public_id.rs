//! Random public ids: what stands in addresses instead of a countable key.

use std::fmt;
use std::str::FromStr;

/// Twenty characters of a–z and 2–7, 100 random bits: tells neither order nor time.
#[derive(
    Debug,
    Clone,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    sqlx::Type,
    serde::Serialize,
    serde::Deserialize,
)]
#[sqlx(transparent)]
#[serde(try_from = "String", into = "String")]
pub struct PublicId(String);

const LENGTH: usize = 20;
const LETTERS: &[u8; 32] = b"abcdefghijklmnopqrstuvwxyz234567";

impl PublicId {
    /// A new one from the operating system's randomness.
    pub fn random() -> Result<Self, getrandom::Error> {
        let mut bytes = [0u8; LENGTH];
        getrandom::fill(&mut bytes)?;
        Ok(Self(
            bytes
                .iter()
                .map(|byte| char::from(LETTERS[usize::from(byte & 31)]))
                .collect(),
        ))
    }

    /// The id as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// The text is not shaped like a public id.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("not a public id")]
pub struct NotAPublicId;

impl TryFrom<String> for PublicId {
    type Error = NotAPublicId;

    fn try_from(text: String) -> Result<Self, NotAPublicId> {
        let shaped = text.len() == LENGTH && text.bytes().all(|byte| LETTERS.contains(&byte));
        if shaped {
            Ok(Self(text))
        } else {
            Err(NotAPublicId)
        }
    }
}

impl FromStr for PublicId {
    type Err = NotAPublicId;

    fn from_str(text: &str) -> Result<Self, NotAPublicId> {
        Self::try_from(text.to_owned())
    }
}

impl From<PublicId> for String {
    fn from(id: PublicId) -> Self {
        id.0
    }
}

impl fmt::Display for PublicId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
