//! The program itself, started as a keeper starts it.

use std::process::Stdio;

use tokio::io::{AsyncBufReadExt, AsyncReadExt, BufReader, Lines};
use tokio::process::{Child, ChildStdout};

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

    /// Sends a signal by its name.
    pub fn signal(&self, name: &str) {
        let pid = self.child.id().expect("a running program").to_string();
        let sent = std::process::Command::new("kill")
            .args([&format!("-{name}"), &pid])
            .status();
        assert!(sent.expect("kill").success());
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
