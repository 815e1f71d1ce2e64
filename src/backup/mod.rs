//! The whole club in one file: written while the server goes on, by hand and every night, tried once a month, brought back.

mod error;
mod file;
mod making;
pub mod nightly;
mod programs;
mod restoring;
pub mod store;
mod trial;

use sqlx::postgres::PgConnectOptions;

pub use error::BackupError;
pub use file::{Checked, Counter, Header, Table, check};
pub use making::{Made, backup};
pub use nightly::Nightly;
pub use restoring::{Restored, restore};
pub use trial::{try_newest, try_out};

use crate::config::Config;
use crate::database::Database;

/// Which database, and what is needed to reach it.
#[derive(Clone, Debug)]
pub struct Source {
    pub config: Config,
    /// How the owner of the tables connects.
    pub owner: PgConnectOptions,
    /// The role that serves, where it is another one.
    pub app_role: Option<String>,
}

impl Source {
    /// The database of the settings.
    pub fn of(config: &Config, database: &Database) -> Source {
        Source {
            config: config.clone(),
            owner: database.owner_options().clone(),
            app_role: database.app_role().map(str::to_owned),
        }
    }
}
