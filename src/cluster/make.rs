//! Making a new cluster: in a directory of its own that is renamed when all is done, so that a kill in the middle
//! leaves nothing half-made.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;
use std::{fs, thread};

use super::account::{self, Account};
use super::address::{APP_ROLE, DATABASE, OWNER_ROLE, SUPERUSER};
use super::child;
use super::error::ClusterError;
use super::find::Programs;
use super::place::{self, Place};
use super::stale;

/// Plain C breaks letters beyond ASCII in upper(), ILIKE and text search; C.UTF-8 has them right. Some systems
/// lack it.
const LOCALES: [&str; 3] = ["C.UTF-8", "C.utf8", "en_US.UTF-8"];
/// From this major on PostgreSQL brings C.UTF-8 itself, the same on every system.
const FIRST_WITH_OWN_LOCALE: u32 = 17;

/// Makes the cluster, its two roles and the database.
pub(super) fn cluster(
    place: &Place,
    programs: &Programs,
    account: Option<&Account>,
) -> Result<(), ClusterError> {
    account::check_passwd_line(account)?;
    let unfinished = place.unfinished();
    remove(&unfinished)?;
    init(&unfinished, programs, account)?;
    make_database(&unfinished, programs, account)?;
    let data = place.data();
    fs::rename(&unfinished, &data).map_err(ClusterError::files("put the new cluster at", &data))?;
    let synced = fs::File::open(&place.dir).and_then(|dir| dir.sync_all());
    synced.map_err(ClusterError::files("write", &place.dir))
}

/// Removes what a killed start left; its last processes may still be writing.
fn remove(unfinished: &Path) -> Result<(), ClusterError> {
    for _ in 0..100 {
        let gone = stale::users(unfinished).is_empty() && fs::remove_dir_all(unfinished).is_ok();
        if gone || !unfinished.exists() {
            return Ok(());
        }
        thread::sleep(Duration::from_millis(50));
    }
    fs::remove_dir_all(unfinished).map_err(ClusterError::files("remove", unfinished))
}

fn init(
    unfinished: &Path,
    programs: &Programs,
    account: Option<&Account>,
) -> Result<(), ClusterError> {
    let mut result = Ok(());
    for locale in LOCALES {
        place::make_private(unfinished, account)?;
        let mut initdb = child::command(&programs.initdb(), account);
        initdb
            .arg("--pgdata")
            .arg(unfinished)
            .arg(format!("--username={SUPERUSER}"))
            .args([
                // Safe because nobody else may enter the directory of the socket.
                "--auth-local=trust",
                "--auth-host=reject",
                "--encoding=UTF8",
                "--wal-segsize=1",
                "--no-instructions",
                "--lc-messages=C",
            ]);
        if programs.major >= FIRST_WITH_OWN_LOCALE {
            initdb.args(["--locale-provider=builtin", "--builtin-locale=C.UTF-8"]);
        }
        initdb.arg(format!("--locale={locale}"));
        result = run(initdb, "initdb", unfinished, account, None);
        match &result {
            Err(ClusterError::Program { said, .. }) if said.contains("locale") => {
                remove(unfinished)?
            }
            _ => break,
        }
    }
    result
}

/// Single-user mode needs no client program and no server: each line of its input is one statement.
fn make_database(
    unfinished: &Path,
    programs: &Programs,
    account: Option<&Account>,
) -> Result<(), ClusterError> {
    let cluster_wide = format!(
        "create role {OWNER_ROLE} login\n\
         create role {APP_ROLE} login\n\
         create database {DATABASE} owner {OWNER_ROLE}\n\
         revoke all on database {DATABASE} from public\n\
         grant connect on database {DATABASE} to {APP_ROLE}\n\
         revoke connect on database {SUPERUSER} from public\n\
         revoke connect on database template1 from public\n"
    );
    let in_database = format!(
        "alter schema public owner to {OWNER_ROLE}\n\
         revoke all on schema public from public\n\
         grant usage on schema public to {APP_ROLE}\n"
    );
    for (database, statements) in [(SUPERUSER, cluster_wide), (DATABASE, in_database)] {
        let mut postgres = child::command(&programs.postgres(), account);
        postgres
            .args(["--single", "-D"])
            .arg(unfinished)
            .args(["-c", "exit_on_error=on"]);
        postgres.arg(database);
        run(
            postgres,
            "making the database",
            unfinished,
            account,
            Some(&statements),
        )?;
    }
    Ok(())
}

/// Runs one program to its end, in `dir`.
fn run(
    mut command: Command,
    name: &str,
    dir: &Path,
    account: Option<&Account>,
    input: Option<&str>,
) -> Result<(), ClusterError> {
    if input.is_some() {
        command.stdin(Stdio::piped());
    }
    let program = Path::new(command.get_program()).to_owned();
    let spawned = command.current_dir(dir).spawn();
    let mut child =
        spawned.map_err(|denied| account::explain_denial(&program, account, dir, denied))?;
    if let (Some(mut stdin), Some(input)) = (child.stdin.take(), input) {
        // A program that ends early says why on its stderr.
        let _ = stdin.write_all(input.as_bytes());
    }
    let output = child
        .wait_with_output()
        .map_err(ClusterError::files("run", program))?;
    if output.status.success() {
        return Ok(());
    }
    let words = String::from_utf8_lossy(&output.stderr);
    Err(ClusterError::Program {
        program: name.to_owned(),
        said: on_one_line(words.lines()),
    })
}

/// The last words of a program, short enough for one line.
pub(super) fn on_one_line<'a>(lines: impl DoubleEndedIterator<Item = &'a str>) -> String {
    let mut last: Vec<&str> = lines
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .rev()
        .take(4)
        .collect();
    last.reverse();
    if last.is_empty() {
        "it said nothing".to_owned()
    } else {
        last.join("; ")
    }
}
