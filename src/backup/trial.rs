//! A trial: a backup is brought back into a throw-away database, which shows that it can be.

use std::path::{Path, PathBuf};

use super::file::check;
use super::restoring::{Restored, restore};
use super::{BackupError, Source, nightly};
use crate::admin::store::{Outcome, Trial};
use crate::cluster::{self, APP_ROLE, ClusterError};
use crate::config::Config;

/// Brings a backup back into a throw-away database and compares it, row by row, with what it says of itself.
///
/// # Errors
/// As for a restore, and where no PostgreSQL can be started here.
pub async fn try_out(config: &Config, file: &Path) -> Result<Restored, BackupError> {
    let backup = check(file).await?;
    let folder = folder(config);
    let needed = u64::try_from(backup.header.database_bytes).unwrap_or_default() * 3 / 2;
    nightly::demand_room(&folder, needed)?;
    let started = tokio::task::spawn_blocking(move || cluster::start_throw_away_in(&folder)).await;
    let cluster = started.map_err(|_| BackupError::Cluster(ClusterError::Stopped))??;
    let source = Source {
        config: Config {
            database_url: None,
            migrate_database_url: None,
            data_dir: cluster.data_dir().to_owned(),
            ..config.clone()
        },
        owner: cluster.owner_options(),
        app_role: Some(APP_ROLE.to_owned()),
    };
    let restored = restore(&source, &backup).await;
    let _ = tokio::task::spawn_blocking(move || cluster.stop()).await;
    restored
}

/// Beside the club's data, where there are any: the temporary directory is often small, or in memory.
fn folder(config: &Config) -> PathBuf {
    match config.data_dir.is_dir() {
        true => config.data_dir.clone(),
        false => std::env::temp_dir(),
    }
}

/// Tries the newest backup of a folder, and tells how that went.
pub async fn try_newest(config: &Config, dir: &Path) -> Trial {
    let Some((made_at, file)) = nightly::newest(dir) else {
        return Trial {
            outcome: Outcome::NotPossible,
            made_at: None,
            said: BackupError::NoneThere(dir.to_owned()).to_string(),
        };
    };
    match try_out(config, &file).await {
        Ok(restored) => Trial {
            outcome: Outcome::Whole,
            made_at: Some(restored.header.made_at),
            said: format!("{} Every row was the same.", restored.header),
        },
        Err(error) => Trial {
            outcome: match error {
                BackupError::Cluster(_)
                | BackupError::Program(..)
                | BackupError::NoRoom { .. }
                | BackupError::Unread(..) => Outcome::NotPossible,
                _ => Outcome::NotWhole,
            },
            made_at: Some(made_at),
            said: error.to_string(),
        },
    }
}
