//! What an answer says and what it asked of the database, without what is drawn at random for every answer.

use std::fmt;
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use tracing::field::{Field, Visit};
use tracing::span::{Attributes, Id, Record};
use tracing::subscriber::{DefaultGuard, NoSubscriber};
use tracing::{Dispatch, Event, Metadata, Subscriber};

use super::world::Worlds;
use crate::support::Page;

/// What is asked before anything else, whoever comes.
const CLUB: &str = "select name, about, version from club";

/// Somebody else who listens. While there is only one, whether statements are told at all is decided once for all threads,
/// by asking whoever listens on the thread that sends the first; on those of other tests nobody does.
static ANOTHER: LazyLock<Dispatch> = LazyLock::new(|| Dispatch::new(NoSubscriber::new()));

/// Statements as they are sent, of everything that runs on this thread.
#[derive(Clone, Default)]
pub struct Statements(Arc<Mutex<Vec<String>>>);

impl Statements {
    /// Begins to listen, until the guard is dropped.
    pub fn listen() -> (Statements, DefaultGuard) {
        let statements = Statements::default();
        LazyLock::force(&ANOTHER);
        let guard = tracing::subscriber::set_default(Listener(statements.clone()));
        (statements, guard)
    }

    /// Those since the last time.
    pub fn take(&self) -> Vec<String> {
        std::mem::take(&mut *self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

struct Listener(Statements);

/// The text of a statement: whole in one field, or begun in another where it is long.
#[derive(Default)]
struct Text {
    whole: String,
    begun: String,
}

impl Visit for Text {
    fn record_str(&mut self, field: &Field, value: &str) {
        match field.name() {
            "db.statement" => self.whole = value.trim().to_owned(),
            "summary" => self.begun = value.to_owned(),
            _ => {}
        }
    }

    fn record_debug(&mut self, _: &Field, _: &dyn fmt::Debug) {}
}

impl Subscriber for Listener {
    fn enabled(&self, metadata: &Metadata<'_>) -> bool {
        metadata.target() == "sqlx::query"
    }

    fn event(&self, event: &Event<'_>) {
        let mut text = Text::default();
        event.record(&mut text);
        let told = match text.whole.is_empty() {
            true => text.begun,
            false => text.whole,
        };
        // What a fresh connection asks about types is the library's own. How the club is called by now is asked for
        // every page, and for a stranger's only as far as there is time.
        if !told.contains("pg_catalog") && !told.starts_with(CLUB) {
            let Statements(all) = &self.0;
            all.lock()
                .unwrap_or_else(PoisonError::into_inner)
                .push(told);
        }
    }

    fn new_span(&self, _: &Attributes<'_>) -> Id {
        Id::from_u64(1)
    }

    fn record(&self, _: &Id, _: &Record<'_>) {}
    fn record_follows_from(&self, _: &Id, _: &Id) {}
    fn enter(&self, _: &Id) {}
    fn exit(&self, _: &Id) {}
}

/// An answer, ready to be compared.
pub struct Watched {
    pub status: u16,
    pub headers: Vec<String>,
    /// Where the answer leads, as it stands there.
    pub location: Option<String>,
    pub text: String,
    pub statements: Vec<String>,
    pub page: Page,
}

/// Asks, and notes what came and what the database was asked.
pub async fn watch(worlds: &Worlds, ask: impl AsyncFnOnce() -> Page) -> Watched {
    worlds.statements.take();
    let page = ask().await;
    let statements = worlds.statements.take();
    let reference = page.header("x-request-id").to_owned();
    let headers = page.headers.iter();
    let mut headers: Vec<String> = headers
        .filter(|(name, _)| !["date", "x-request-id", "content-length"].contains(&name.as_str()))
        .map(|(name, value)| {
            let value = String::from_utf8_lossy(value.as_bytes());
            format!("{name}: {}", without_chance(worlds, &reference, &value))
        })
        .collect();
    headers.sort();
    Watched {
        status: page.status,
        headers,
        location: page.location().map(str::to_owned),
        text: without_chance(worlds, &reference, &page.text),
        statements,
        page,
    }
}

/// The text without the number of the request, the keys of forms, and ids that were drawn since the worlds parted.
fn without_chance(worlds: &Worlds, reference: &str, text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let text = match reference.is_empty() {
        true => text.to_owned(),
        false => text.replace(reference, "(number)"),
    };
    let mut run = String::new();
    for sign in text.chars().chain(['\n']) {
        if sign.is_ascii_lowercase() || ('2'..='7').contains(&sign) {
            run.push(sign);
            continue;
        }
        let drawn = match run.len() {
            20 => !worlds.ids.contains(&run),
            26 | 52 => true,
            _ => false,
        };
        out.push_str(if drawn { "(drawn)" } else { &run });
        run.clear();
        out.push(sign);
    }
    out
}

impl Watched {
    /// In what two answers differ, if they do.
    pub fn difference(one: &Watched, other: &Watched) -> Option<String> {
        if one.status != other.status {
            return Some(format!("status {} and {}", one.status, other.status));
        }
        let first = |here: &[&str], there: &[&str]| {
            let longest = here.len().max(there.len());
            (0..longest).find_map(|at| {
                let (here, there) = (here.get(at), there.get(at));
                (here != there).then(|| format!("line {at}:\n  {here:?}\n  {there:?}"))
            })
        };
        let lines = |text: &[String]| -> Vec<String> { text.to_vec() };
        for (what, here, there) in [
            ("headers", lines(&one.headers), lines(&other.headers)),
            ("body", split(&one.text), split(&other.text)),
            (
                "statements",
                one.statements.clone(),
                other.statements.clone(),
            ),
        ] {
            let here: Vec<&str> = here.iter().map(String::as_str).collect();
            let there: Vec<&str> = there.iter().map(String::as_str).collect();
            if let Some(told) = first(&here, &there) {
                return Some(format!("{what}, {told}"));
            }
        }
        None
    }
}

fn split(text: &str) -> Vec<String> {
    text.lines().map(str::to_owned).collect()
}
