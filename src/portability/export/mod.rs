//! Everything that a member owns, in one file.

pub mod pages;
pub mod store;

use chrono::{DateTime, Utc};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use sqlx::PgConnection;

use super::archive::{Packed, TooMuch, pack};
use super::kinds::{ALL, Kind, store as things, text};
use super::sheet::table;
use crate::web::Error;
use crate::web::viewer::Member;

/// The version of the form in which things are exported. A newer one is not read by an older program.
pub const FORMAT: u64 = 1;
/// The file that says what the others are.
pub const MANIFEST: &str = "manifest.json";

/// What a member owns, kind by kind.
pub struct Things(pub Vec<(&'static dyn Kind, Vec<Value>)>);

/// Reads everything that a member owns: also what came from elsewhere and has no place here.
///
/// # Errors
/// The database.
pub async fn read(conn: &mut PgConnection, member: &Member) -> Result<Things, Error> {
    let mut read = Vec::new();
    for kind in ALL {
        let mut found = kind.read(conn, member.id).await?;
        let remembered = things::remembered(conn, member.id, kind.name()).await?;
        for thing in &mut found {
            let id = text(thing, "/id").to_owned();
            let origins: Vec<&str> = remembered
                .iter()
                .filter(|told| told.place.as_deref() == Some(&id))
                .map(|told| told.origin.as_str())
                .collect();
            if !origins.is_empty() {
                thing["origins"] = json!(origins);
            }
        }
        let kept = remembered.iter().filter(|told| told.place.is_none());
        found.extend(kept.map(|told| told.said.clone()));
        read.push((*kind, found));
    }
    Ok(Things(read))
}

/// A file's hash in hexadecimal.
pub fn hash(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The file that a member takes along.
///
/// # Errors
/// [`TooMuch`] when it would be larger than what can be taken in again.
pub fn file(
    things: &Things,
    club: &str,
    member: &Member,
    now: DateTime<Utc>,
) -> Result<Vec<u8>, TooMuch> {
    let mut files: Vec<Packed> = Vec::new();
    for (kind, found) in &things.0 {
        let text = match kind.is_long() {
            true => serde_json::to_vec(found),
            false => serde_json::to_vec_pretty(found),
        };
        let text = text.map_err(|_| TooMuch)?;
        files.push((format!("{}.json", kind.name()), text));
        let sheet = table(kind.columns(), kind.lines(), found);
        files.push((format!("{}.csv", kind.name()), sheet));
    }
    let hashes = files
        .iter()
        .map(|(name, bytes)| (name.clone(), Value::from(hash(bytes))));
    let manifest = json!({
        "format": FORMAT,
        "program": format!("Mustwright {}", env!("CARGO_PKG_VERSION")),
        "club": club,
        "member": {"id": member.public_id, "name": member.name},
        "made_at": now,
        "files": hashes.collect::<serde_json::Map<_, _>>(),
    });
    let manifest = serde_json::to_vec_pretty(&manifest).map_err(|_| TooMuch)?;
    let kinds = things.0.iter();
    let told: String = kinds
        .flat_map(|(kind, found)| kind.left_out(found))
        .map(|told| format!("{told}\n\n"))
        .collect();
    let mut all = vec![
        (
            "readme.txt".to_owned(),
            readme(club, member, &told).into_bytes(),
        ),
        (MANIFEST.to_owned(), manifest),
    ];
    all.append(&mut files);
    pack(&all)
}

fn readme(club: &str, member: &Member, told: &str) -> String {
    format!(
        "What {name} owns at {club}.\n\
         \n\
         The files that end in .json hold everything, as it was saved. Another club that runs Mustwright takes this whole\n\
         file in, unchanged: there, under your name, Settings, then Import.\n\
         \n\
         The files that end in .csv hold the same in short, for a spreadsheet: text in UTF-8, commas between, a decimal\n\
         point. A text that a spreadsheet would carry out as a formula begins with an apostrophe.\n\
         \n\
         {told}manifest.json says when and where this was made, with a sha256 for each file.\n",
        name = member.name
    )
}
