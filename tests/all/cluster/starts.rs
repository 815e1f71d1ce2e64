//! Clusters made, found again, attached to, thrown away; roles, socket and account as they must be.

use super::*;

#[test]
fn the_first_start_makes_what_the_second_finds() {
    let room = a_room();
    let dir = room.path().join("new/data home");
    let first = started(&dir);
    assert_eq!(first.data_dir(), fs::canonicalize(&dir).unwrap());
    make_table(&first);
    insert(&first, "ärger");
    first.stop();
    let second = started(&dir);
    assert_eq!(musts(&second).unwrap(), "ärger");
    // A rename was the last step of making it.
    assert!(!dir.join("data.new").exists());
}

#[test]
fn a_half_made_cluster_is_made_anew() {
    let room = a_room();
    let unfinished = room.path().join("data.new");
    fs::create_dir_all(unfinished.join("base/1")).unwrap();
    fs::write(unfinished.join("PG_VERSION"), "15\n").unwrap();
    fs::write(unfinished.join("base/1/112"), "half").unwrap();
    let cluster = started(room.path());
    assert_eq!(
        text(&cluster.app_options(), "select 'whole'").unwrap(),
        "whole"
    );
    assert!(!unfinished.exists());
    assert_ne!(
        fs::read(room.path().join("data/base/1/112")).unwrap(),
        b"half"
    );
}

#[test]
fn neither_role_is_more_than_it_must_be() {
    let room = a_room();
    let cluster = started_from_copy(room.path());
    let roles = "select string_agg(rolname || ' ' || rolsuper || rolcreatedb || rolcreaterole || rolbypassrls, ', ' \
                 order by rolname) from pg_roles where rolname like 'mustwright%'";
    let none = "falsefalsefalsefalse";
    assert_eq!(
        text(&cluster.owner_options(), roles).unwrap(),
        format!("mustwright_app {none}, mustwright_owner {none}")
    );
    let whose =
        "select pg_get_userbyid(datdba)::text from pg_database where datname = 'mustwright'";
    assert_eq!(
        text(&cluster.app_options(), whose).unwrap(),
        "mustwright_owner"
    );
    make_table(&cluster);
    insert(&cluster, "may insert");
    for forbidden in [
        "create table t (n int)",
        "create temporary table t (n int)",
        "create schema s",
        "create extension pg_trgm",
        "alter table musts add column n int",
        "drop table musts",
        "truncate musts",
        "delete from musts",
        "create role r",
        "set role mustwright_owner",
        "set role postgres",
        "copy musts to program 'cat'",
    ] {
        let fault = execute(&cluster.app_options(), forbidden).expect_err(forbidden);
        let code = fault
            .as_database_error()
            .and_then(|fault| fault.code())
            .map(|code| code.into_owned());
        assert_eq!(code.as_deref(), Some("42501"), "{forbidden}: {fault}");
    }
    // The owner may do what migrations do, trusted extensions included.
    execute(
        &cluster.owner_options(),
        "create extension pg_trgm; create schema s; drop schema s",
    )
    .unwrap();
    let told = text(
        &cluster.owner_options(),
        "select current_setting('mustwright.app_role')",
    )
    .unwrap();
    assert_eq!(told, "mustwright_app");
}

#[test]
fn the_server_is_ours_alone() {
    let room = a_room();
    let cluster = started_from_copy(room.path());
    let pid = cluster.server_pid().unwrap();
    let socket_dir = fs::metadata(cluster.addresses().socket_dir()).unwrap();
    assert_eq!(socket_dir.mode() & 0o777, 0o700);
    // Its own process group: ctrl-c in a terminal reaches us, who drain first.
    let stat = fs::read_to_string(format!("/proc/{pid}/stat")).unwrap();
    let group = stat
        .rsplit_once(')')
        .unwrap()
        .1
        .split_whitespace()
        .nth(2)
        .unwrap();
    assert_eq!(group, pid.to_string());
    // Never root, nor in a group of root's.
    let uids = status_line(pid, "Uid");
    assert!(
        uids.iter()
            .all(|uid| uid == &socket_dir.uid().to_string() && uid != "0"),
        "{uids:?}"
    );
    if cluster::is_root() {
        assert!(!status_line(pid, "Gid").contains(&"0".to_owned()));
        assert!(!status_line(pid, "Groups").contains(&"0".to_owned()));
    }
    // It holds one listening unix socket and none of TCP.
    let held: Vec<String> = fs::read_dir(format!("/proc/{pid}/fd"))
        .unwrap()
        .filter_map(|entry| {
            fs::read_link(entry.unwrap().path())
                .ok()?
                .into_os_string()
                .into_string()
                .ok()
        })
        .filter_map(|link| Some(link.strip_prefix("socket:[")?.strip_suffix(']')?.to_owned()))
        .collect();
    let held_in = |table: &str| {
        let table = fs::read_to_string(format!("/proc/{pid}/net/{table}")).unwrap_or_default();
        table
            .lines()
            .filter(|line| {
                line.split_whitespace()
                    .any(|word| held.contains(&word.to_owned()))
            })
            .count()
    };
    assert_eq!((held_in("unix"), held_in("tcp") + held_in("tcp6")), (1, 0));
}

#[test]
fn a_long_path_gets_a_short_socket() {
    let room = a_room();
    let dir = room.path().join("a".repeat(60)).join("b, \"c\"".repeat(10));
    let cluster = started_from_copy(&dir);
    let socket_dir = cluster.addresses().socket_dir().to_owned();
    assert!(!socket_dir.starts_with(&dir));
    let facts = fs::metadata(&socket_dir).unwrap();
    assert_eq!(
        (facts.mode() & 0o777, facts.uid()),
        (0o700, fs::metadata(dir.join("data")).unwrap().uid())
    );
    assert_eq!(
        text(&cluster.app_options(), "select 'reached'").unwrap(),
        "reached"
    );
    assert_eq!(cluster::attach(&dir).unwrap().socket_dir(), socket_dir);
    cluster.stop();
    assert!(!socket_dir.exists());
}

#[test]
fn a_path_with_quotes_and_commas_is_no_list() {
    let room = a_room();
    let cluster = started_from_copy(&room.path().join("a, b \"c\" 'd'"));
    assert_eq!(
        text(&cluster.app_options(), "select 'reached'").unwrap(),
        "reached"
    );
}

#[test]
fn an_ordinary_account_runs_it_as_itself() {
    if !cluster::is_root() {
        // All the other tests show it.
        return;
    }
    let room = a_room();
    let program = a_program_for_all(room.path());
    let throw_away = cluster::start_throw_away().unwrap();
    let account = fs::metadata(throw_away.data_dir().join("data")).unwrap();
    let home = room.path().join("home");
    fs::create_dir(&home).unwrap();
    chown(&home, Some(account.uid()), Some(account.gid())).unwrap();
    let mut other = Other::start("insert", &home, |command| {
        *command = Command::new(program);
        command
            .uid(account.uid())
            .gid(account.gid())
            .current_dir("/");
    });
    let server: u32 = other.hear("server").parse().unwrap();
    assert_eq!(status_line(server, "Uid")[0], account.uid().to_string());
    other.hear("row 10");
    // Its data are refused to a server of another account.
    drop(other);
    wait_for("the end of the server", || is_gone(server).then_some(()));
    assert_eq!(
        fs::metadata(home.join("data")).unwrap().uid(),
        account.uid()
    );
}

#[test]
fn others_attach_as_long_as_it_runs() {
    let room = a_room();
    assert!(cluster::attach(room.path()).is_none());
    let cluster = started_from_copy(room.path());
    let attached = cluster::attach(room.path()).unwrap();
    assert_eq!(&attached, cluster.addresses());
    execute(&attached.owner_options(), "create table musts (name text)").unwrap();
    assert_eq!(
        text(&attached.app_options(), "select current_user::text").unwrap(),
        "mustwright_app"
    );
    let address = fs::read(room.path().join("address")).unwrap();
    cluster.stop();
    assert!(cluster::attach(room.path()).is_none());
    // Nor does a record that a killed process left mislead anyone.
    fs::write(room.path().join("address"), address).unwrap();
    assert!(cluster::attach(room.path()).is_none());
}

#[test]
fn nothing_of_a_throw_away_cluster_remains() {
    let cluster = cluster::start_throw_away().unwrap();
    let dir = cluster.data_dir().to_owned();
    assert_eq!(
        text(&cluster.app_options(), "select 'quick'").unwrap(),
        "quick"
    );
    cluster.stop();
    assert!(!dir.exists());
    // Nor of one that nobody stopped, when its process exits.
    let mut other = Other::start("throw away", Path::new("/"), |_| {});
    let server: u32 = other.hear("server").parse().unwrap();
    let dir = PathBuf::from(other.hear("dir"));
    assert!(other.child.wait().unwrap().success());
    assert!(is_gone(server));
    assert!(!dir.exists());
}

#[test]
fn what_a_killed_demonstration_left_is_swept() {
    let left = |name: &str, age: u64| {
        let dir = std::env::temp_dir().join(format!(
            "mustwright-throw-away-{name}-{}",
            std::process::id()
        ));
        fs::create_dir(&dir).unwrap();
        let lock = File::create(dir.join("lock")).unwrap();
        let time = SystemTime::now() - Duration::from_secs(age);
        File::open(&dir).unwrap().set_modified(time).unwrap();
        (dir, lock)
    };
    let (old, _) = left("old", 3600);
    let (young, _) = left("young", 0);
    let (held, lock) = left("held", 3600);
    lock.try_lock().unwrap();
    let cluster = cluster::start_throw_away().unwrap();
    let remains = [old.exists(), young.exists(), held.exists()];
    for dir in [young, held] {
        fs::remove_dir_all(dir).unwrap();
    }
    drop(cluster);
    assert_eq!(remains, [false, true, true]);
}

#[test]
fn unsafe_settings_and_poor_locales_are_doubted() {
    let doubts = |options: PgConnectOptions| {
        blocking(async {
            let mut connection = PgConnection::connect_with(&options).await.unwrap();
            cluster::doubts(&mut connection).await.unwrap()
        })
    };
    let room = a_room();
    let cluster = started(room.path());
    assert_eq!(doubts(cluster.app_options()), Vec::<String>::new());
    let careless = doubts(
        cluster
            .app_options()
            .options([("synchronous_commit", "off")]),
    );
    assert!(
        careless.len() == 1 && careless[0].contains("synchronous_commit"),
        "{careless:?}"
    );
    execute(
        &cluster.superuser_options("postgres"),
        "create database plain template template0 locale 'C'",
    )
    .unwrap();
    let plain = doubts(cluster.superuser_options("plain"));
    assert!(plain.len() == 1 && plain[0].contains("locale"), "{plain:?}");
    let throw_away = cluster::start_throw_away().unwrap();
    assert!(
        doubts(throw_away.app_options())
            .iter()
            .any(|doubt| doubt.contains("fsync"))
    );
}

#[test]
fn the_default_data_directory_is_lasting() {
    assert_eq!(
        cluster::default_data_dir(true),
        Path::new("/var/lib/mustwright")
    );
    let mine = cluster::default_data_dir(false);
    assert!(mine.is_absolute() && mine.ends_with("mustwright"));
    assert!(!mine.starts_with(std::env::temp_dir()));
}
