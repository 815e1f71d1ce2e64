//! The log on the sheet of a batch: each entry with its questions, its pictures and the way to correct it; and what is said just
//! after one was written.

use askama::Template;
use askama::filters::HtmlSafe;
use chrono_tz::Tz;

use super::pictures::store::Picture;
use super::view::{self, Line};
use crate::batches::model::Logged;
use crate::batches::opened::Opened;
use crate::batches::paths;
use crate::web::paths::{Base, Route};
use crate::web::units::Units;
use crate::web::words::{Words, question};

/// For whom a log is drawn.
pub struct Reader<'a> {
    pub base: &'a Base,
    pub zone: Tz,
    pub units: Units,
    /// Whether it is their own batch.
    pub is_own: bool,
}

/// A picture beside an entry.
struct Shown {
    url: String,
    says: String,
    width: i32,
    height: i32,
    remove_at: String,
}

/// An entry with what stands beside it.
struct Row {
    line: Line,
    asks: Vec<Words>,
    pictures: Vec<Shown>,
    entry_url: String,
    /// Whether it has versions to be read.
    is_corrected: bool,
}

/// The log.
#[derive(Template)]
#[template(path = "batches/_log.html")]
pub struct LogPart {
    rows: Vec<Row>,
    is_own: bool,
}

/// A template has escaped what it printed.
impl HtmlSafe for LogPart {}

/// What is asked about the entry that was just written.
#[derive(Template)]
#[template(path = "batches/_asked.html")]
pub struct AskedPart {
    asks: Vec<Words>,
    entry_url: String,
}

impl HtmlSafe for AskedPart {}

impl LogPart {
    /// Of a batch.
    pub fn of(opened: &Opened, pictures: &[Picture], to: &Reader<'_>) -> LogPart {
        let lines = view::lines(opened, to.zone, to.units).into_iter();
        let rows = lines.map(|line| Row {
            asks: asked(opened, line.entry, to.units),
            pictures: shown(opened, pictures, line.entry, to),
            entry_url: entry_url(opened, line.entry, to.base),
            is_corrected: line.is_corrected,
            line,
        });
        LogPart {
            rows: rows.collect(),
            is_own: to.is_own,
        }
    }
}

impl AskedPart {
    /// About an entry; `None` where nothing is asked.
    pub fn of(opened: &Opened, logged: &Logged, to: &Reader<'_>) -> Option<AskedPart> {
        let asks = asked(opened, logged.entry, to.units);
        (!asks.is_empty()).then(|| AskedPart {
            asks,
            entry_url: entry_url(opened, logged.entry, to.base),
        })
    }
}

fn entry_url(opened: &Opened, entry: i32, base: &Base) -> String {
    let id = opened.batch.public_id.as_str();
    base.link(&paths::ENTRY.with(&[id, &entry.to_string()]))
}

fn asked(opened: &Opened, entry: i32, units: Units) -> Vec<Words> {
    let number = entry.unsigned_abs();
    let asked = opened.state.questions.iter();
    asked
        .filter(|one| one.entry == number)
        .map(|one| question(one, units))
        .collect()
}

fn shown(opened: &Opened, pictures: &[Picture], entry: i32, to: &Reader<'_>) -> Vec<Shown> {
    let id = opened.batch.public_id.as_str();
    let of_entry = pictures.iter().filter(|picture| picture.entry == entry);
    of_entry
        .map(|picture| {
            let at = |route: Route| to.base.link(&route.with(&[id, picture.public_id.as_str()]));
            Shown {
                url: at(paths::PICTURE),
                says: picture.says.clone(),
                width: picture.width,
                height: picture.height,
                remove_at: at(paths::REMOVE_PICTURE),
            }
        })
        .collect()
}
