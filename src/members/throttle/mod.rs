//! How wrong passwords slow down further tries, per name with address, per address and per name.
//!
//! The policy: a name tried from one address has 5 free tries, then waits 1, 2, 4 … seconds, 15 minutes at most; an
//! address has 20 free tries over all names, then waits likewise; a name has 50 free tries over all addresses, then
//! one each 10 seconds at most, which does not concern an address from which that name has come in before. So nobody
//! locks a member out for longer than a moment from elsewhere. Codes of the second step are counted in the same way and
//! apart from passwords; there a name waits 15 minutes too, since whoever tries codes has the password already. Counts
//! live in the database and end after a day.

pub mod store;

use std::net::IpAddr;

use sha2::{Digest, Sha256};
use sqlx::PgConnection;

use crate::web::Error;

const PAIR_FREE: i32 = 5;
const SOURCE_FREE: i32 = 20;
const NAME_FREE: i32 = 50;
const MOST_SECONDS: i32 = 15 * 60;
const NAME_MOST_SECONDS: i32 = 10;

/// Who tries, from where.
#[derive(Clone, Debug)]
pub struct Try {
    pair: Option<[u8; 32]>,
    source: [u8; 32],
    name: Option<[u8; 32]>,
    name_most: i32,
}

impl Try {
    /// A try for a name from an address. Addresses of version 6 count by their network, since one machine has many.
    pub fn of(name_key: &str, address: IpAddr) -> Try {
        Try::counted_as("", Some(name_key), address, NAME_MOST_SECONDS)
    }

    /// A try of a code, once the password was right.
    pub fn of_step(name_key: &str, address: IpAddr) -> Try {
        Try::counted_as("step ", Some(name_key), address, MOST_SECONDS)
    }

    /// A try of a passkey, which comes without a name.
    pub fn of_passkey(address: IpAddr) -> Try {
        Try::counted_as("passkey ", None, address, MOST_SECONDS)
    }

    /// A letter for a forgotten password that somebody asks for; never taken back.
    pub fn of_reset(name_key: &str, address: IpAddr) -> Try {
        Try::counted_as("reset ", Some(name_key), address, MOST_SECONDS)
    }

    fn counted_as(what: &str, name_key: Option<&str>, address: IpAddr, name_most: i32) -> Try {
        let source = match address.to_canonical() {
            IpAddr::V4(v4) => v4.octets().to_vec(),
            IpAddr::V6(v6) => v6.octets()[..8].to_vec(),
        };
        let hash = |kind: &str, parts: &[&[u8]]| {
            let mut hash = Sha256::new_with_prefix(format!("{what}{kind}").as_bytes());
            for part in parts {
                hash.update((part.len() as u64).to_le_bytes());
                hash.update(part);
            }
            hash.finalize().into()
        };
        Try {
            pair: name_key.map(|name| hash("pair", &[name.as_bytes(), &source])),
            source: hash("source", &[&source]),
            name: name_key.map(|name| hash("name", &[name.as_bytes()])),
            name_most,
        }
    }

    /// Counts the try before the password is looked at; refuses it with the seconds to wait.
    pub async fn count(&self, conn: &mut PgConnection) -> Result<(), Error> {
        let is_known = match &self.pair {
            Some(pair) => store::has_succeeded(conn, pair).await?,
            None => false,
        };
        let counts = [
            (self.pair, PAIR_FREE, MOST_SECONDS),
            (Some(self.source), SOURCE_FREE, MOST_SECONDS),
            (self.name.filter(|_| !is_known), NAME_FREE, self.name_most),
        ];
        for (subject, free, most) in counts {
            let Some(subject) = subject else { continue };
            if let Err(seconds) = store::count_try(conn, &subject, free, most).await? {
                tracing::warn!(seconds, "sign-in slowed down");
                return Err(Error::too_many(u32::try_from(seconds).unwrap_or(1)));
            }
        }
        Ok(())
    }

    /// Takes the count back: the password was right.
    pub async fn forgive(&self, conn: &mut PgConnection) -> Result<(), Error> {
        for subject in [self.pair, self.name].into_iter().flatten() {
            store::forgive_tries(conn, &subject, true).await?;
        }
        store::forgive_tries(conn, &self.source, false).await
    }
}
