//! Starts that are refused, with one line that says what to do.

use super::*;

#[test]
fn a_second_server_on_the_same_directory_is_refused() {
    let room = a_room();
    let cluster = started_from_copy(room.path());
    let fault = refused(settings(room.path()));
    assert!(matches!(fault, ClusterError::Locked { .. }));
    let line = fault.to_string();
    assert!(
        line.contains(cluster.data_dir().to_str().unwrap()),
        "{line}"
    );
    assert!(
        line.contains(&format!("process {}", std::process::id())),
        "{line}"
    );
    // The refused one left the running one alone.
    assert_eq!(
        text(&cluster.app_options(), "select 'well'").unwrap(),
        "well"
    );
    assert!(cluster::attach(room.path()).is_some());
    cluster.stop();
    started(room.path()).stop();
}

#[test]
fn a_server_that_still_runs_there_is_not_robbed_of_its_files() {
    let room = a_room();
    let cluster = started_from_copy(room.path());
    let pid_file = cluster.data_dir().join("data/postmaster.pid");
    let before = fs::read_to_string(&pid_file).unwrap();
    // As after a kill of the process that held the lock, with a server that did not hear of it.
    fs::remove_file(room.path().join("lock")).unwrap();
    let fault = refused(settings(room.path()));
    assert!(matches!(fault, ClusterError::InUse { .. }), "{fault}");
    assert_eq!(fs::read_to_string(&pid_file).unwrap(), before);
    assert_eq!(
        text(&cluster.app_options(), "select 'well'").unwrap(),
        "well"
    );
}

#[test]
fn without_programs_one_line_says_what_to_do() {
    let room = a_room();
    let empty = room.path().join("empty");
    fs::create_dir(&empty).unwrap();
    let line = refused(Settings {
        data_dir: room.path().join("data home"),
        bin_dir: Some(empty.clone()),
    })
    .to_string();
    let mut other = Other::start("fault", &room.path().join("other home"), |command| {
        command
            .env("MUSTWRIGHT_POSTGRES_BIN", &empty)
            .env("PATH", "");
    });
    for line in [line, other.hear("fault")] {
        for part in [
            "apt install postgresql",
            "dnf install",
            "brew install",
            "DATABASE_URL",
            "docker/compose.yaml",
            "empty",
        ] {
            assert!(line.contains(part), "no {part}: {line}");
        }
    }
}

#[test]
fn data_of_a_major_that_is_not_installed_are_left_alone() {
    let room = a_room();
    let cluster = started_from_copy(room.path());
    make_table(&cluster);
    insert(&cluster, "kept");
    cluster.stop();
    let version = room.path().join("data/PG_VERSION");
    let right = fs::read(&version).unwrap();
    fs::write(&version, "9.6\n").unwrap();
    let line = refused(settings(room.path())).to_string();
    let right_text = String::from_utf8_lossy(&right);
    assert!(line.contains("made by PostgreSQL 9.6"), "{line}");
    assert!(
        line.contains(&format!("found PostgreSQL {}", right_text.trim())),
        "{line}"
    );
    fs::write(&version, right).unwrap();
    assert_eq!(musts(&started(room.path())).unwrap(), "kept");
}

#[test]
fn a_directory_that_the_account_may_not_enter_is_named() {
    if !cluster::is_root() {
        // The server runs under our own account: the data directory cannot even be made.
        return;
    }
    let room = a_room();
    let shut = room.path().join("shut");
    fs::create_dir(&shut).unwrap();
    fs::set_permissions(&shut, Permissions::from_mode(0o700)).unwrap();
    match refused(settings(&shut.join("open/data home"))) {
        ClusterError::NotEnterable { dir, account, .. } => {
            assert_eq!(dir, fs::canonicalize(&shut).unwrap());
            assert_ne!(account, "root");
        }
        fault => panic!("{fault}"),
    }
    // Also when the data are there already.
    let cluster = started(&room.path().join("home"));
    cluster.stop();
    fs::set_permissions(room.path(), Permissions::from_mode(0o700)).unwrap();
    let fault = refused(settings(&room.path().join("home")));
    assert!(
        matches!(fault, ClusterError::NotEnterable { ref dir, .. } if dir == room.path()),
        "{fault}"
    );
}

#[test]
fn a_user_id_without_a_name_is_told_so() {
    if !cluster::is_root() {
        return;
    }
    let room = a_room();
    let program = a_program_for_all(room.path());
    let home = room.path().join("home");
    fs::create_dir(&home).unwrap();
    chown(&home, Some(54_321), Some(54_321)).unwrap();
    let mut other = Other::start("fault", &home, |command| {
        *command = Command::new(program);
        command.uid(54_321).gid(54_321).current_dir("/");
    });
    let line = other.hear("fault");
    assert!(
        line.contains("54321") && line.contains("/etc/passwd"),
        "{line}"
    );
}

#[test]
fn data_of_another_account_are_refused() {
    if !cluster::is_root() {
        return;
    }
    let room = a_room();
    let program = a_program_for_all(room.path());
    let cluster = started(&room.path().join("home"));
    cluster.stop();
    let home = room.path().join("home");
    let owner = fs::metadata(home.join("data")).unwrap().uid();
    for name in ["", "lock", "programs"] {
        chown(home.join(name), Some(54_321), Some(54_321)).unwrap();
    }
    fs::set_permissions(home.join("data"), Permissions::from_mode(0o755)).unwrap();
    let mut other = Other::start("fault", &home, |command| {
        *command = Command::new(program);
        command.uid(54_321).gid(54_321).current_dir("/");
    });
    let line = other.hear("fault");
    assert!(
        line.contains(&format!("belongs to user id {owner}")) && line.contains("54321"),
        "{line}"
    );
}
