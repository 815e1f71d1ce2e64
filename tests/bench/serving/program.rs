//! The program itself as a process: where it is, what it takes, how fast it starts.

use std::net::SocketAddr;
use std::path::Path;
use std::time::{Duration, Instant};

use super::Line;
use super::support::{Browser, Command, TestDatabase};

/// A running program.
pub struct Program {
    command: Command,
    address: SocketAddr,
}

impl Program {
    /// Starts it on a database.
    pub async fn on(database: &TestDatabase) -> Program {
        let (owner, app) = database.urls();
        Program::with(&[("DATABASE_URL", &app), ("MIGRATE_DATABASE_URL", &owner)]).await
    }

    /// Starts it with these settings and waits until it serves.
    pub async fn with(settings: &[(&str, &str)]) -> Program {
        let port = {
            let free = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
            free.local_addr().expect("the port").port()
        };
        let address = SocketAddr::from(([127, 0, 0, 1], port));
        let listen = address.to_string();
        let mut all = vec![
            ("MUSTWRIGHT_LISTEN", listen.as_str()),
            ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
            ("MUSTWRIGHT_LOG", "error"),
        ];
        all.extend_from_slice(settings);
        let mut command = Command::start(&[], &all);
        command.says("Mustwright serves").await.expect("it serves");
        Program { command, address }
    }

    /// A path of it.
    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }

    /// Where it listens.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// A browser at it.
    pub fn browser(&self) -> Browser {
        Browser::new(self.address, &format!("http://{}", self.address), "")
    }

    /// Memory that it takes now, MB.
    pub fn now_mb(&self) -> f64 {
        self.status("VmRSS:")
    }

    /// The most that it ever took, MB.
    pub fn most_mb(&self) -> f64 {
        self.status("VmHWM:")
    }

    fn status(&self, name: &str) -> f64 {
        let path = format!("/proc/{}/status", self.command.id());
        let text = std::fs::read_to_string(path).expect("its memory");
        let line = text.lines().find(|line| line.starts_with(name));
        let kb = line.and_then(|line| line.split_whitespace().nth(1));
        kb.and_then(|kb| kb.parse::<f64>().ok())
            .expect("a number of kB")
            / 1024.0
    }

    /// What it takes when nobody asks anything: after a sign-in, and a look at a list, once what passwords were hashed in
    /// is given back, which is half a minute later.
    pub async fn idle(&self, browser: &Browser) -> Vec<Line> {
        assert_eq!(browser.get("/recipes").await.status, 200);
        tokio::time::sleep(Duration::from_secs(35)).await;
        vec![Line::at_most(
            "memory while nobody asks",
            self.now_mb(),
            40.0,
            "MB",
        )]
    }
}

/// The size of the program and how long it takes to start: with a database that is there, and with none at all.
pub async fn starts(database: &TestDatabase) -> Vec<Line> {
    let program = Path::new(env!("CARGO_BIN_EXE_mustwright"));
    let bytes = std::fs::metadata(program).expect("the program").len();
    let began = Instant::now();
    drop(Program::on(database).await);
    let warm = began.elapsed();
    let folder = tempfile::tempdir().expect("a folder");
    let data = folder.path().join("data");
    let began = Instant::now();
    let first = Program::with(&[("MUSTWRIGHT_DATA_DIR", &data.to_string_lossy())]).await;
    let cold = began.elapsed();
    first.command.signal("TERM");
    first.command.ends().await;
    vec![
        Line::at_most("the program on disk", bytes as f64 / 1e6, 30.0, "MB"),
        Line::at_most(
            "start on a database that is there",
            warm.as_secs_f64(),
            0.5,
            "s",
        ),
        Line::at_most(
            "first start, with a database of its own",
            cold.as_secs_f64(),
            5.0,
            "s",
        ),
    ]
}
