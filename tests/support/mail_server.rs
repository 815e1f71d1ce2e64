//! A small mail server on this machine: takes letters in plain SMTP (RFC 5321), reads them, and can be in a bad mood.

use std::sync::{Arc, Mutex};
use std::time::Duration;

use tokio::io::{AsyncBufReadExt, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};
use tokio::task::JoinHandle;

use super::waiting::in_time;

/// Settings under which pages offer letters that nobody carries anywhere.
pub const MAIL_NOWHERE: &[(&str, &str)] = &[
    ("MUSTWRIGHT_MAIL_SERVER", "localhost:1"),
    ("MUSTWRIGHT_MAIL_SECRECY", "none"),
    ("MUSTWRIGHT_MAIL_FROM", "club@mead.example"),
];

/// How it treats whoever comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mood {
    Takes,
    /// Hangs up at once.
    Away,
    /// Refuses every reader for now.
    Later,
    /// Refuses every reader for good, and tells the address again.
    Refuses,
    /// Takes the letter and never says so.
    FallsSilent,
}

/// A letter as it came.
#[derive(Clone, Debug, Default)]
pub struct Received {
    pub from: String,
    pub to: Vec<String>,
    pub head: Vec<(String, String)>,
    pub body: String,
}

impl Received {
    /// What a header says, or nothing; each may be there once.
    pub fn header(&self, name: &str) -> &str {
        let mut found = self
            .head
            .iter()
            .filter(|(known, _)| known.eq_ignore_ascii_case(name));
        let (found, more) = (found.next(), found.next());
        assert!(more.is_none(), "{name} is there twice: {:?}", self.head);
        found.map_or("", |(_, value)| value)
    }

    /// The path of the first link in it that leads below this one.
    pub fn path(&self, origin: &str, below: &str) -> String {
        let start = format!("{origin}{below}");
        let words = self.body.split_whitespace();
        let link = words
            .filter_map(|word| word.strip_prefix(origin))
            .find(|path| path.starts_with(below));
        link.unwrap_or_else(|| panic!("no link {start} in {}", self.body))
            .to_owned()
    }
}

/// The server; it ends with the test.
pub struct MailServer {
    pub address: String,
    mood: Arc<Mutex<Mood>>,
    letters: Arc<Mutex<Vec<Received>>>,
    task: JoinHandle<()>,
}

impl MailServer {
    pub async fn open() -> MailServer {
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let address = listener.local_addr().expect("the port").to_string();
        let mood = Arc::new(Mutex::new(Mood::Takes));
        let letters: Arc<Mutex<Vec<Received>>> = Arc::default();
        let (mind, box_) = (mood.clone(), letters.clone());
        let task = tokio::spawn(async move {
            loop {
                let (stream, _) = listener.accept().await.expect("a connection");
                let mood = *mind.lock().expect("the mood");
                if mood != Mood::Away {
                    tokio::spawn(serve(stream, mood, box_.clone()));
                }
            }
        });
        MailServer {
            address,
            mood,
            letters,
            task,
        }
    }

    /// From now on.
    pub fn is(&self, mood: Mood) {
        *self.mood.lock().expect("the mood") = mood;
    }

    /// All letters that came.
    pub fn letters(&self) -> Vec<Received> {
        self.letters.lock().expect("the letters").clone()
    }

    /// Waits until there are so many, and gives the last of them.
    pub async fn nth(&self, many: usize) -> Received {
        let come = async {
            loop {
                let letters = self.letters();
                if letters.len() >= many {
                    return letters;
                }
                tokio::time::sleep(Duration::from_millis(10)).await;
            }
        };
        let letters = in_time(&format!("letter {many}"), come).await;
        assert_eq!(letters.len(), many, "{letters:#?}");
        letters[many - 1].clone()
    }
}

impl Drop for MailServer {
    fn drop(&mut self) {
        self.task.abort();
    }
}

/// Speaks with one client; ends when it hangs up.
async fn serve(stream: TcpStream, mood: Mood, letters: Arc<Mutex<Vec<Received>>>) -> Option<()> {
    let (read, mut write) = stream.into_split();
    let mut lines = BufReader::new(read).lines();
    let mut letter = Received::default();
    write.write_all(b"220 mail.example\r\n").await.ok()?;
    loop {
        let line = lines.next_line().await.ok()??;
        let word = line.get(..4).unwrap_or_default().to_uppercase();
        let within = |text: &str| {
            let text = text.split_once('<').map_or("", |(_, rest)| rest);
            text.split('>').next().unwrap_or_default().to_owned()
        };
        let refused;
        let answer = match (word.as_str(), mood) {
            ("EHLO", _) => "250-mail.example\r\n250 8BITMIME",
            ("MAIL", _) => {
                letter = Received {
                    from: within(&line),
                    ..Received::default()
                };
                "250 go on"
            }
            ("RCPT", Mood::Later) => "451 not now",
            ("RCPT", Mood::Refuses) => {
                refused = format!("550 5.1.1 <{}>: nobody of this name", within(&line));
                refused.as_str()
            }
            ("RCPT", _) => {
                letter.to.push(within(&line));
                "250 go on"
            }
            ("DATA", _) => {
                write.write_all(b"354 go on\r\n").await.ok()?;
                let mut text = String::new();
                loop {
                    let line = lines.next_line().await.ok()??;
                    if line == "." {
                        break;
                    }
                    text.push_str(line.strip_prefix('.').unwrap_or(&line));
                    text.push('\n');
                }
                let read = read_letter(std::mem::take(&mut letter), &text);
                letters.lock().expect("the letters").push(read);
                if mood == Mood::FallsSilent {
                    std::future::pending::<()>().await;
                }
                "250 taken"
            }
            ("QUIT", _) => {
                write.write_all(b"221 good day\r\n").await.ok()?;
                return Some(());
            }
            _ => "250 well",
        };
        write
            .write_all(format!("{answer}\r\n").as_bytes())
            .await
            .ok()?;
    }
}

/// Head and body, unfolded and decoded.
fn read_letter(letter: Received, text: &str) -> Received {
    let (head, body) = text.split_once("\n\n").expect("a head and a body");
    let mut headers: Vec<(String, String)> = Vec::new();
    for line in head.lines() {
        match (line.starts_with([' ', '\t']), headers.last_mut()) {
            (true, Some((_, value))) => value.push_str(line),
            _ => {
                let (name, value) = line.split_once(": ").expect("a header");
                headers.push((name.to_owned(), value.to_owned()));
            }
        }
    }
    let mut read = Received {
        head: headers,
        ..letter
    };
    read.body = match read.header("Content-Transfer-Encoding") {
        "quoted-printable" => unquoted(body),
        "7bit" | "8bit" | "" => body.to_owned(),
        other => panic!("letters in {other} are not read here"),
    };
    read
}

/// Quoted-printable, decoded (RFC 2045, section 6.7).
fn unquoted(text: &str) -> String {
    let joined = text.replace("=\n", "");
    let mut bytes = Vec::new();
    let mut rest = joined.as_str();
    while let Some((before, after)) = rest.split_once('=') {
        bytes.extend_from_slice(before.as_bytes());
        bytes.push(u8::from_str_radix(&after[..2], 16).expect("two digits"));
        rest = &after[2..];
    }
    bytes.extend_from_slice(rest.as_bytes());
    String::from_utf8(bytes).expect("UTF-8")
}
