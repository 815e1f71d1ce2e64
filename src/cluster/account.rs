//! Under whose account the private PostgreSQL runs: our own, or as root an unprivileged one.

use std::os::unix::fs::MetadataExt;
use std::path::Path;
use std::{fs, io};

use super::child;
use super::error::ClusterError;

/// `nobody` is the last resort: whatever else runs as `nobody` could enter the socket directory.
const PREFERRED: [&str; 4] = ["postgres", "mustwright", "_postgres", LAST_RESORT];
const LAST_RESORT: &str = "nobody";

/// An unprivileged account of the system.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Account {
    pub name: String,
    pub uid: u32,
    pub gid: u32,
}

/// The account to change to: none unless we are root. Data that exist already keep their owner.
pub(super) fn to_run_under(data: &Path) -> Result<Option<Account>, ClusterError> {
    if child::effective_uid() != 0 {
        return Ok(None);
    }
    let owner = fs::metadata(data)
        .ok()
        .map(|found| found.uid())
        .filter(|uid| *uid != 0);
    if let Some(uid) = owner {
        return child::account_of(uid)
            .map(Some)
            .ok_or(ClusterError::NoPasswdLine { uid });
    }
    let account = PREFERRED
        .into_iter()
        .filter_map(child::account_named)
        .find(|account| account.uid != 0)
        .ok_or(ClusterError::NoAccount)?;
    if account.name == LAST_RESORT {
        tracing::warn!(
            "the private PostgreSQL runs as {LAST_RESORT}, which other programs may share: make an account postgres"
        );
    }
    Ok(Some(account))
}

/// Refuses a directory that the account (or we) do not own: PostgreSQL would refuse it less clearly.
pub(super) fn check_owner(dir: &Path, account: Option<&Account>) -> Result<(), ClusterError> {
    let uid = account.map_or_else(child::effective_uid, |account| account.uid);
    let owner = fs::metadata(dir)
        .map_err(ClusterError::files("read", dir))?
        .uid();
    if owner == uid {
        Ok(())
    } else {
        Err(ClusterError::ForeignOwner {
            dir: dir.to_owned(),
            owner,
            uid,
        })
    }
}

/// `initdb` looks its own user id up and gives up without a line for it.
pub(super) fn check_passwd_line(account: Option<&Account>) -> Result<(), ClusterError> {
    let uid = account.map_or_else(child::effective_uid, |account| account.uid);
    child::account_of(uid)
        .map(|_| ())
        .ok_or(ClusterError::NoPasswdLine { uid })
}

/// After a spawn was denied in `dir`: which directory on the way the account may not enter, or else the program
/// that it may not run.
pub(super) fn explain_denial(
    program: &Path,
    account: Option<&Account>,
    dir: &Path,
    denied: io::Error,
) -> ClusterError {
    let denied_in = |place: &Path| {
        let tried = child::command(program, account)
            .arg("--version")
            .current_dir(place)
            .output();
        matches!(tried, Err(fault) if fault.kind() == io::ErrorKind::PermissionDenied)
    };
    let mut way: Vec<&Path> = dir.ancestors().collect();
    way.reverse();
    if denied.kind() == io::ErrorKind::PermissionDenied
        && !denied_in(Path::new("/"))
        && let Some(shut) = way.into_iter().find(|place| denied_in(place))
    {
        let account = account.map_or_else(
            || child::effective_uid().to_string(),
            |account| account.name.clone(),
        );
        return ClusterError::NotEnterable {
            account,
            dir: shut.to_owned(),
            wanted: dir.to_owned(),
        };
    }
    ClusterError::Files {
        what: "run",
        path: program.to_owned(),
        source: denied,
    }
}
