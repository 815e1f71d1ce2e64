//! Whatever is killed, no acknowledged row is lost and the next start works.

use super::*;

#[test]
fn a_killed_server_comes_back_with_all_rows() {
    let room = a_room();
    let cluster = started_from_copy(room.path());
    make_table(&cluster);
    for round in ["first", "second"] {
        insert(&cluster, round);
        let before = cluster.server_pid().unwrap();
        kill(before);
        let after = wait_for("another server", || {
            cluster.server_pid().filter(|pid| *pid != before)
        });
        wait_for("an answer", || musts(&cluster).ok());
        assert!(is_gone(before));
        assert_eq!(cluster::attach(room.path()).unwrap().server_pid(), after);
    }
    assert_eq!(musts(&cluster).unwrap(), "first,second");
    let last = cluster.server_pid().unwrap();
    cluster.stop();
    assert!(is_gone(last));
}

#[test]
fn a_killed_connection_harms_no_row() {
    let room = a_room();
    let cluster = started_from_copy(room.path());
    make_table(&cluster);
    insert(&cluster, "kept");
    let server = cluster.server_pid();
    blocking(async {
        let mut connection = PgConnection::connect_with(&cluster.app_options())
            .await
            .unwrap();
        let (pid,): (i32,) = sqlx::query_as("select pg_backend_pid()")
            .fetch_one(&mut connection)
            .await
            .unwrap();
        kill(pid.try_into().unwrap());
        sqlx::query("select 1")
            .execute(&mut connection)
            .await
            .expect_err("its server process is dead");
    });
    assert_eq!(wait_for("an answer", || musts(&cluster).ok()), "kept");
    assert_eq!(cluster.server_pid(), server);
}

/// Kills the other process after some rows, and its server too if `both`; then every row it was told of is there.
fn kill_and_start_again(both: bool) {
    let room = a_room();
    let mut other = Other::start("insert", room.path(), |_| {});
    let server: u32 = other.hear("server").parse().unwrap();
    let mut told = 0;
    while told < 200 {
        told = other.hear("row").parse().unwrap();
    }
    if both {
        kill(server);
    }
    other.child.kill().unwrap();
    other.child.wait().unwrap();
    for line in other.words.by_ref().lines().map_while(Result::ok) {
        told = line
            .strip_prefix("row ")
            .and_then(|count| count.parse().ok())
            .unwrap_or(told);
    }
    if !both {
        wait_for("the end of the server", || is_gone(server).then_some(()));
        assert!(cluster::attach(room.path()).is_none());
    }
    let cluster = started(room.path());
    let query = "select count(*) || ' ' || max(name) from musts";
    let found = text(&cluster.app_options(), query).unwrap();
    let (count, last) = found.split_once(' ').unwrap();
    assert!(
        last.parse::<u32>().unwrap() >= told,
        "told of {told}, found {last}"
    );
    assert_eq!(
        count.parse::<u32>().unwrap(),
        last.parse::<u32>().unwrap(),
        "a row in the middle is missing"
    );
}

#[test]
fn when_our_process_is_killed_the_server_ends_and_no_row_is_lost() {
    kill_and_start_again(false);
}

#[test]
fn when_both_are_killed_the_next_start_finds_all_rows() {
    kill_and_start_again(true);
}

#[test]
fn a_stale_pid_file_that_names_a_living_process_is_no_obstacle() {
    let room = a_room();
    let cluster = started_from_copy(room.path());
    make_table(&cluster);
    insert(&cluster, "kept");
    let socket_dir = cluster.addresses().socket_dir().to_owned();
    cluster.stop();
    // A process of the same account: PostgreSQL itself would take it for the server.
    let data = room.path().join("data");
    let owner = fs::metadata(&data).unwrap();
    let mut foreign = Command::new("sleep")
        .arg("60")
        .uid(owner.uid())
        .gid(owner.gid())
        .spawn()
        .unwrap();
    let stale = [
        data.join("postmaster.pid"),
        socket_dir.join(".s.PGSQL.5432.lock"),
    ];
    for path in &stale {
        fs::write(
            path,
            format!("{}\n{}\n1\n5432\n\n\n", foreign.id(), data.display()),
        )
        .unwrap();
        chown(path, Some(owner.uid()), Some(owner.gid())).unwrap();
    }
    drop(std::os::unix::net::UnixListener::bind(socket_dir.join(".s.PGSQL.5432")).unwrap());
    let again = cluster::start(settings(room.path()));
    let alive = foreign.try_wait().unwrap().is_none();
    foreign.kill().unwrap();
    foreign.wait().unwrap();
    assert!(alive, "the foreign process was ended");
    assert_eq!(musts(&again.unwrap()).unwrap(), "kept");
}

#[test]
fn the_server_outlives_the_thread_that_asked_for_it() {
    let room = a_room();
    let dir = room.path().to_owned();
    let cluster = thread::spawn(move || started_from_copy(&dir))
        .join()
        .unwrap();
    let server = cluster.server_pid().unwrap();
    // The server of a thread that ended would be told within a millisecond.
    thread::sleep(Duration::from_millis(500));
    assert_eq!(
        text(&cluster.app_options(), "select 'there'").unwrap(),
        "there"
    );
    assert_eq!(cluster.server_pid(), Some(server));
}
