//! Taking in what was exported: read strictly, shown first, then everything or nothing.

pub mod pages;
pub mod store;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Utc};
use serde_json::Value;
use sqlx::PgConnection;

use super::archive::{BadArchive, Packed, unpack};
use super::export::{FORMAT, MANIFEST, hash};
use super::kinds::{ALL, Kind, Taken, Taking, store as things, text};
use crate::web::Error;
use crate::web::viewer::Member;

/// The most things of one kind.
const MAX_THINGS: usize = 20_000;
/// The most faults that are told.
const MAX_FAULTS: usize = 50;
/// The longest public id of a thing.
const MAX_ID: usize = 200;

/// Why a file is no export. Each message says what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadExport {
    #[error(transparent)]
    Archive(#[from] BadArchive),
    #[error(
        "This ZIP file is no export: it has no list of what is in it. Choose the file that an export gave you."
    )]
    NoManifest,
    #[error(
        "This export is of a newer form (number {0}). Ask the keeper to bring this server up to date."
    )]
    Newer(u64),
    #[error(
        "“{0}” is missing, or is not what it was when the export was made. Make the export again."
    )]
    Changed(String),
    #[error(
        "The export has “{0}”, which this club does not know. Ask the keeper to bring this server up to date."
    )]
    Unknown(String),
    #[error("“{0}” cannot be read. Make the export again.")]
    Unreadable(String),
}

/// An export that was read.
#[derive(Clone, Debug)]
pub struct Opened {
    /// The club that it came from, in its words.
    pub club: String,
    /// Whose it was there.
    pub by: String,
    pub made_at: Option<DateTime<Utc>>,
    things: BTreeMap<&'static str, Vec<Value>>,
}

/// What a kind amounts to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    pub words: (&'static str, &'static str),
    /// The member's own from now on.
    pub new: usize,
    /// Here already.
    pub same: usize,
    /// Kept as they came, for they speak of what is not here.
    pub kept: usize,
}

/// What an import amounts to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    pub lines: Vec<Line>,
    /// Why nothing of it can be taken in; empty when all is well.
    pub faults: Vec<String>,
}

/// Reads the file of an export.
///
/// # Errors
/// [`BadExport`] for everything that an export of ours does not have.
pub fn open(bytes: &[u8]) -> Result<Opened, BadExport> {
    let files = unpack(bytes)?;
    let manifest = find(&files, MANIFEST).ok_or(BadExport::NoManifest)?;
    let manifest: Value =
        serde_json::from_slice(manifest).map_err(|_| BadExport::Unreadable(MANIFEST.to_owned()))?;
    match manifest.get("format").and_then(Value::as_u64) {
        Some(FORMAT) => {}
        Some(other) => return Err(BadExport::Newer(other)),
        None => return Err(BadExport::NoManifest),
    }
    let listed = manifest.get("files").and_then(Value::as_object);
    let listed = listed.ok_or(BadExport::NoManifest)?;
    for (name, known) in listed {
        let whole = find(&files, name).is_some_and(|bytes| known.as_str() == Some(&hash(bytes)));
        if !whole {
            return Err(BadExport::Changed(short(name)));
        }
    }
    let mut read = BTreeMap::new();
    for (name, bytes) in &files {
        let Some(stem) = name.strip_suffix(".json").filter(|_| name != MANIFEST) else {
            continue;
        };
        let kind = ALL.iter().find(|kind| kind.name() == stem);
        let kind = kind.ok_or_else(|| BadExport::Unknown(short(name)))?;
        if !listed.contains_key(name) {
            return Err(BadExport::Changed(short(name)));
        }
        let found = list(bytes).ok_or_else(|| BadExport::Unreadable(short(name)))?;
        read.insert(kind.name(), found);
    }
    Ok(Opened {
        club: short(text(&manifest, "/club")),
        by: short(text(&manifest, "/member/name")),
        made_at: super::kinds::moment(&manifest, "/made_at"),
        things: read,
    })
}

fn find<'a>(files: &'a [Packed], name: &str) -> Option<&'a [u8]> {
    let found = files.iter().find(|(known, _)| known == name);
    found.map(|(_, bytes)| bytes.as_slice())
}

fn short(name: &str) -> String {
    let plain = name.chars().filter(|c| !c.is_control());
    plain.take(80).collect()
}

/// The things of a file: objects with ids, each once.
fn list(bytes: &[u8]) -> Option<Vec<Value>> {
    let found: Vec<Value> = serde_json::from_slice(bytes).ok()?;
    let mut ids = BTreeSet::new();
    let fits = |thing: &Value| {
        let id = text(thing, "/id");
        (1..=MAX_ID).contains(&id.len()) && !id.contains('\0') && ids.insert(id.to_owned())
    };
    (found.len() <= MAX_THINGS && found.iter().all(fits)).then_some(found)
}

/// Takes everything in, within the caller's transaction, which is to be undone when the report has faults or when
/// somebody only wants to see what would happen.
///
/// # Errors
/// The database.
pub async fn take(
    conn: &mut PgConnection,
    opened: &Opened,
    member: &Member,
    with_settings: bool,
    now: DateTime<Utc>,
) -> Result<Report, Error> {
    let mut report = Report::default();
    let mut taking = Taking {
        member: member.id,
        units: member.settings.units,
        sachet_g: member.settings.sachet_g,
        now,
        club: opened.club.clone(),
        places: Default::default(),
    };
    for kind in ALL {
        let Some(found) = opened.things.get(kind.name()) else {
            continue;
        };
        if !kind.is_taken_once() && !with_settings {
            continue;
        }
        let mut line = Line {
            words: kind.words(),
            ..Line::default()
        };
        let whole = take_kind(conn, *kind, found, &mut taking, &mut line, &mut report).await?;
        report.lines.push(line);
        if !whole {
            return Ok(report);
        }
    }
    Ok(report)
}

/// Takes the things of a kind in; false when the transaction is beyond use.
async fn take_kind(
    conn: &mut PgConnection,
    kind: &dyn Kind,
    found: &[Value],
    taking: &mut Taking,
    line: &mut Line,
    report: &mut Report,
) -> Result<bool, Error> {
    let mut known = known(conn, kind, taking).await?;
    for (at, thing) in found.iter().enumerate() {
        let ids = ids_of(thing);
        let here = ids.iter().find_map(|id| known.get(*id).cloned());
        if let Some(place) = here.filter(|_| kind.is_taken_once()) {
            line.same += 1;
            note(taking, kind, &ids, place.as_deref());
            continue;
        }
        let named = match text(thing, "/title") {
            "" => format!("{} number {}", kind.words().0, at + 1),
            title => format!("{} “{}”", kind.words().0, short(title)),
        };
        let place = match take_one(conn, kind, thing, &ids, taking).await {
            Err(error) if error.is_of_data() => {
                let fault = format!("{named}: it holds something that cannot be kept.");
                report.faults.push(fault);
                return Ok(false);
            }
            Err(error) => return Err(error),
            Ok(Taken::Refused(faults)) => {
                let told = faults.iter().map(|fault| format!("{named}: {fault}"));
                report.faults.extend(told);
                report.faults.truncate(MAX_FAULTS);
                continue;
            }
            Ok(Taken::Same) => {
                line.same += 1;
                continue;
            }
            Ok(Taken::Kept) => {
                line.kept += 1;
                None
            }
            Ok(Taken::Placed { place, .. }) => {
                line.new += 1;
                Some(place)
            }
        };
        note(taking, kind, &ids, place.as_deref());
        known.extend(ids.iter().map(|id| ((*id).to_owned(), place.clone())));
    }
    Ok(true)
}

/// Takes one thing in and remembers where it came from.
async fn take_one(
    conn: &mut PgConnection,
    kind: &dyn Kind,
    thing: &Value,
    ids: &[&str],
    taking: &Taking,
) -> Result<Taken, Error> {
    let taken = kind.take(conn, thing, taking).await?;
    if kind.is_taken_once() {
        match &taken {
            Taken::Kept => {
                let said = of_club(thing, &taking.club);
                remember(conn, kind, ids, None, said, taking).await?;
            }
            Taken::Placed { place, said } => {
                remember(conn, kind, ids, Some(place), said.clone(), taking).await?;
            }
            Taken::Same | Taken::Refused(_) => {}
        }
    }
    Ok(taken)
}

/// What of a kind is here: public ids here and where it came from, each with its place here.
async fn known(
    conn: &mut PgConnection,
    kind: &dyn Kind,
    taking: &Taking,
) -> Result<BTreeMap<String, Option<String>>, Error> {
    let own = kind.ids(conn, taking.member).await?.into_iter();
    let mut known: BTreeMap<String, Option<String>> =
        own.map(|id| (id.clone(), Some(id))).collect();
    let remembered = things::remembered(conn, taking.member, kind.name()).await?;
    known.extend(remembered.into_iter().map(|told| (told.origin, told.place)));
    Ok(known)
}

/// The public ids under which a thing was known, here and there.
fn ids_of(thing: &Value) -> Vec<&str> {
    let origins = thing.get("origins").and_then(Value::as_array);
    let origins = origins.into_iter().flatten().filter_map(Value::as_str);
    let fits = |id: &&str| (1..=MAX_ID).contains(&id.len()) && !id.contains('\0');
    let mut ids = vec![text(thing, "/id")];
    ids.extend(origins.filter(fits).take(20));
    ids
}

fn note(taking: &mut Taking, kind: &dyn Kind, ids: &[&str], place: Option<&str>) {
    for id in ids {
        if let Some(place) = place {
            let key = (kind.name().to_owned(), (*id).to_owned());
            taking.places.insert(key, place.to_owned());
        }
    }
}

async fn remember(
    conn: &mut PgConnection,
    kind: &dyn Kind,
    ids: &[&str],
    place: Option<&str>,
    said: Value,
    taking: &Taking,
) -> Result<(), Error> {
    let mut said = Some(said);
    for id in ids {
        // Said once, with the id that it came with. What has no place keeps its ids in itself.
        let said = said.take();
        if said.is_none() && place.is_none() {
            break;
        }
        let thing = things::Remembered {
            origin: (*id).to_owned(),
            place: place.map(str::to_owned),
            said: said.unwrap_or_else(|| Value::Object(Default::default())),
        };
        things::remember(conn, taking.member, kind.name(), &thing, taking.now).await?;
    }
    Ok(())
}

/// A thing that says which club it came from.
fn of_club(thing: &Value, club: &str) -> Value {
    let mut thing = thing.clone();
    if let Some(entries) = thing.as_object_mut() {
        entries.entry("club").or_insert_with(|| Value::from(club));
    }
    thing
}
