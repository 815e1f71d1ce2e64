//! The seal: when entries close, each entry is sealed together with its makers, and all seals together. What is shown from then
//! on names nobody; at the release each maker can open their own seal, and anybody can add all of them up again.

pub mod store;

use chrono::{DateTime, Utc};
use serde_json::json;
use sha2::{Digest, Sha256};
use sqlx::PgConnection;

use crate::competitions::deeds::{self, Deed};
use crate::competitions::model::{CompetitionId, EntryId};
use crate::web::error::Error;

/// A hash as it is kept.
pub type Hash = [u8; 32];

/// An entry with its makers by their public ids, as they are sealed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    pub entry: EntryId,
    pub code: String,
    pub lead: String,
    /// Sorted.
    pub others: Vec<String>,
}

/// SHA-256 over parts, each with its length in front as eight bytes, the lowest first, so that no two lists of parts read alike.
fn hash<'a>(parts: impl IntoIterator<Item = &'a [u8]>) -> Hash {
    let mut hash = Sha256::new();
    for part in parts {
        hash.update((part.len() as u64).to_le_bytes());
        hash.update(part);
    }
    hash.finalize().into()
}

/// The salt of one entry: it opens that entry's seal and no other.
pub fn salt_of(salt: &[u8], code: &str) -> Hash {
    hash([salt, code.as_bytes()])
}

/// The seal of one entry: over its salt, its code, whoever entered it, and the others.
pub fn seal(salt: &[u8], made: &Made) -> Hash {
    let own = salt_of(salt, &made.code);
    let parts = [own.as_slice(), made.code.as_bytes(), made.lead.as_bytes()];
    let others = made.others.iter().map(String::as_bytes);
    hash(parts.into_iter().chain(others))
}

/// The seal of all: over codes and seals, in the order of the codes.
pub fn whole(seals: &[(String, Hash)]) -> Hash {
    let mut sorted: Vec<&(String, Hash)> = seals.iter().collect();
    sorted.sort();
    let parts = sorted.into_iter();
    hash(parts.flat_map(|(code, seal)| [code.as_bytes(), seal.as_slice()]))
}

/// Seals all entries as they are now, in place of an earlier seal; the hash of all stands in the chain of
/// deeds. Asked by whoever closes entries, in whose
/// transaction the competition is held.
///
/// # Errors
/// When the database or the system's randomness does not answer.
pub async fn seal_all(
    conn: &mut PgConnection,
    competition: CompetitionId,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let mut salt = [0u8; 32];
    getrandom::fill(&mut salt).map_err(Error::unexpected)?;
    let made = store::made(conn, competition).await?;
    let seals: Vec<(EntryId, Hash)> = made
        .iter()
        .map(|one| (one.entry, seal(&salt, one)))
        .collect();
    let named: Vec<(String, Hash)> = made
        .iter()
        .zip(&seals)
        .map(|(one, (_, seal))| (one.code.clone(), *seal))
        .collect();
    let all = whole(&named);
    store::put(conn, competition, &seals, (&salt, &all)).await?;
    let deed = Deed {
        deed: "sealed",
        about: json!({ "entries": seals.len(), "seal": shown(&all) }),
        reason: "",
    };
    Ok(deeds::write(conn, competition, None, &deed, now).await?)
}

/// A hash as it is read and compared: sixteen groups of four.
pub fn shown(hash: &[u8]) -> String {
    let pairs: Vec<String> = hash
        .chunks(2)
        .map(|two| two.iter().map(|byte| format!("{byte:02x}")).collect())
        .collect();
    pairs.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn made(code: &str, lead: &str, others: &[&str]) -> Made {
        Made {
            entry: EntryId(1),
            code: code.to_owned(),
            lead: lead.to_owned(),
            others: others.iter().map(|one| (*one).to_owned()).collect(),
        }
    }

    #[test]
    fn another_maker_another_code_or_another_salt_is_another_seal() {
        let one = seal(b"salt", &made("AX292", "ada", &["bo"]));
        for other in [
            seal(b"salt", &made("AX293", "ada", &["bo"])),
            seal(b"salt", &made("AX292", "bo", &["ada"])),
            seal(b"salt", &made("AX292", "adabo", &[])),
            seal(b"salt", &made("AX292", "ada", &[])),
            seal(b"salz", &made("AX292", "ada", &["bo"])),
        ] {
            assert_ne!(one, other);
        }
        assert_eq!(one, seal(b"salt", &made("AX292", "ada", &["bo"])));
    }

    #[test]
    fn the_whole_does_not_hang_on_the_order_and_misses_nothing() {
        let seals =
            ["AX292", "CE345", "FH678"].map(|code| (code.to_owned(), hash([code.as_bytes()])));
        let all = whole(&seals);
        let mut turned = seals.clone();
        turned.reverse();
        assert_eq!(whole(&turned), all);
        assert_ne!(whole(&seals[1..]), all);
        let mut swapped = seals.clone();
        (swapped[0].1, swapped[1].1) = (seals[1].1, seals[0].1);
        assert_ne!(whole(&swapped), all);
    }
}
