//! The program itself, started as a keeper starts it.

use std::process::Stdio;
use std::sync::atomic::{AtomicU16, Ordering};

use tokio::io::{AsyncBufReadExt, AsyncReadExt, BufReader, Lines};
use tokio::process::{Child, ChildStdout};

/// A port for a server that comes back: below those that a system usually gives to whoever connects, so that no connection of
/// another test has it while the server is down; no two tests of a run get the same.
pub fn quiet_port() -> u16 {
    static GIVEN: AtomicU16 = AtomicU16::new(0);
    let first = 20_000 + u16::try_from(std::process::id() % 10_000).expect("small");
    let mut ports =
        std::iter::repeat_with(|| first + GIVEN.fetch_add(1, Ordering::Relaxed) % 2_000);
    let is_free = |port: &u16| std::net::TcpListener::bind(("127.0.0.1", *port)).is_ok();
    ports.find(is_free).expect("a free port")
}

/// A running program and what it says.
pub struct Command {
    child: Child,
    lines: Lines<BufReader<ChildStdout>>,
    said: Vec<String>,
}

/// How a program ended.
pub struct Ended {
    pub code: Option<i32>,
    pub said: String,
    pub complained: String,
}

impl Command {
    /// Starts the program with these arguments and nothing but these settings.
    pub fn start(arguments: &[&str], settings: &[(&str, &str)]) -> Command {
        let mut command = tokio::process::Command::new(env!("CARGO_BIN_EXE_mustwright"));
        command
            .args(arguments)
            .env_clear()
            .env("PATH", std::env::var_os("PATH").unwrap_or_default());
        command
            .envs(settings.iter().copied())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .kill_on_drop(true);
        let mut child = command.spawn().expect("the program starts");
        let lines = BufReader::new(child.stdout.take().expect("its output")).lines();
        Command {
            child,
            lines,
            said: Vec::new(),
        }
    }

    /// Waits for a line with these words; `None` when the program ends without saying it.
    pub async fn says(&mut self, words: &str) -> Option<String> {
        while let Some(line) = self.lines.next_line().await.expect("text") {
            self.said.push(line.clone());
            if line.contains(words) {
                return Some(line);
            }
        }
        None
    }

    /// The number of its process.
    pub fn id(&self) -> u32 {
        self.child.id().expect("a running program")
    }

    /// Sends a signal by its name.
    pub fn signal(&self, name: &str) {
        signal(self.id(), name);
    }

    /// Goes on while everything that it says is read: one who says much and is not listened to stands still.
    pub fn goes_on(self) -> Going {
        Going {
            pid: self.id(),
            ended: tokio::spawn(self.ends()),
        }
    }

    /// Waits for the end.
    pub async fn ends(mut self) -> Ended {
        while self.says("\0").await.is_some() {}
        let status = self.child.wait().await.expect("an end");
        let mut complained = String::new();
        let mut errors = self.child.stderr.take().expect("its errors");
        errors.read_to_string(&mut complained).await.expect("text");
        Ended {
            code: status.code(),
            said: self.said.join("\n"),
            complained,
        }
    }
}

fn signal(pid: u32, name: &str) {
    let sent = std::process::Command::new("kill")
        .args([&format!("-{name}"), &pid.to_string()])
        .status();
    assert!(sent.expect("kill").success());
}

/// A program that is listened to until it is told to stop.
pub struct Going {
    pid: u32,
    ended: tokio::task::JoinHandle<Ended>,
}

impl Going {
    /// Tells it to stop, and waits for the end.
    pub async fn stop(self) -> Ended {
        signal(self.pid, "TERM");
        self.ended.await.expect("an end")
    }
}
