//! Rows of the club's own entries and of everything they ever said.

use chrono::{DateTime, Utc};
use serde_json::Value;
use sqlx::PgConnection;

use super::{Document, Sort};
use crate::catalogue::club::{ClubCatalogue, OwnEntry};
use crate::catalogue::jars;
use crate::web::error::violated;
use crate::web::viewer::{CatalogueState, MemberId};

/// What was done to an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    Made,
    Changed,
    Withdrawn,
    PutBack,
    /// The words of an older revision became the newest.
    BroughtBack(i32),
}

impl Deed {
    fn word(self) -> &'static str {
        match self {
            Deed::Made => "made",
            Deed::Changed => "changed",
            Deed::Withdrawn => "withdrawn",
            Deed::PutBack => "put back",
            Deed::BroughtBack(_) => "brought back",
        }
    }

    fn of(word: &str, restored_from: Option<i32>) -> Deed {
        match (word, restored_from) {
            (_, Some(number)) => Deed::BroughtBack(number),
            ("made", _) => Deed::Made,
            ("withdrawn", _) => Deed::Withdrawn,
            ("put back", _) => Deed::PutBack,
            _ => Deed::Changed,
        }
    }
}

/// An entry as it stands now.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    pub key: String,
    pub sort: Sort,
    pub version: i32,
    pub withdrawn: bool,
    pub document: Document,
    /// Who wrote the newest revision.
    pub author_name: String,
}

/// One revision.
#[derive(Clone, Debug, PartialEq)]
pub struct Revision {
    pub number: i32,
    pub deed: Deed,
    pub document: Document,
    pub author_name: String,
    pub created_at: DateTime<Utc>,
}

/// Why something was not kept.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    #[error("there is no such entry")]
    NotFound,
    #[error("somebody else was faster")]
    Conflict(Box<Kept>),
    #[error("another of the club's entries has this name")]
    NameTaken,
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}

/// The state of what `club_catalogue` reads; the look-up of a session reads the same, as pages need both.
pub async fn state(conn: &mut PgConnection) -> Result<CatalogueState, sqlx::Error> {
    // No row is ever taken away. Of two writers the one that began first may be the last to end: the newest id alone would
    // not tell.
    sqlx::query_scalar!(
        r#"select concat_ws(' ', (select count(*) from catalogue_entry_revisions),
                      (select coalesce(max(id), 0) from catalogue_entry_revisions), (select count(*) from honey_jar_entries),
                      (select coalesce(max(id), 0) from honey_jar_entries)) as "state!: CatalogueState""#
    )
    .fetch_one(conn)
    .await
}

/// The catalogue as the club sees it now.
pub async fn club_catalogue(conn: &mut PgConnection) -> Result<ClubCatalogue, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select e.key, e.sort, e.withdrawn, r.document as "document: Value"
           from catalogue_entries e
           join catalogue_entry_revisions r on r.entry_id = e.id and r.number = e.version
           order by lower(e.name), e.key"#
    )
    .fetch_all(&mut *conn)
    .await?;
    let entries = rows.into_iter().filter_map(|row| {
        let sort = Sort::from_word(&row.sort)?;
        let document = read(row.document);
        Some(OwnEntry {
            thing: document.thing(&row.key, sort),
            key: row.key,
            sort,
            withdrawn: row.withdrawn,
        })
    });
    let own: Vec<OwnEntry> = entries.collect();
    let jars = jars::store::jars(conn, &own).await?;
    Ok(ClubCatalogue::of(own).with_jars(jars))
}

/// One entry as it stands now, withdrawn or not.
pub async fn find(conn: &mut PgConnection, key: &str) -> Result<Option<Kept>, sqlx::Error> {
    let row = sqlx::query!(
        r#"select e.key, e.sort, e.version, e.withdrawn, r.document as "document: Value", m.name as author_name
           from catalogue_entries e
           join catalogue_entry_revisions r on r.entry_id = e.id and r.number = e.version
           join members m on m.id = r.author_id
           where e.key = $1"#,
        key
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.and_then(|row| {
        Some(Kept {
            sort: Sort::from_word(&row.sort)?,
            key: row.key,
            version: row.version,
            withdrawn: row.withdrawn,
            document: read(row.document),
            author_name: row.author_name,
        })
    }))
}

/// Every revision of an entry, the newest first.
pub async fn history(conn: &mut PgConnection, key: &str) -> Result<Vec<Revision>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select r.number, r.deed, r.restored_from, r.document as "document: Value", m.name as author_name, r.created_at
           from catalogue_entry_revisions r
           join catalogue_entries e on e.id = r.entry_id
           join members m on m.id = r.author_id
           where e.key = $1
           order by r.number desc"#,
        key
    )
    .fetch_all(conn)
    .await?;
    let revisions = rows.into_iter().map(|row| Revision {
        number: row.number,
        deed: Deed::of(&row.deed, row.restored_from),
        document: read(row.document),
        author_name: row.author_name,
        created_at: row.created_at,
    });
    Ok(revisions.collect())
}

/// Makes an entry under a key of its own.
pub async fn make(
    conn: &mut PgConnection,
    key: &str,
    sort: Sort,
    document: &Document,
    author: MemberId,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let made = sqlx::query_scalar!(
        "insert into catalogue_entries (key, sort, name, created_at) values ($1, $2, $3, $4) returning id",
        key,
        sort.word(),
        document.text("name"),
        now
    )
    .fetch_one(&mut *conn)
    .await;
    let id = made.map_err(taken)?;
    append(conn, id, 1, Deed::Made, document, author, now).await
}

/// Adds a revision on top of the version that was seen; of two that saw the same, one succeeds.
pub async fn change(
    conn: &mut PgConnection,
    seen: (&str, i32),
    deed: Deed,
    document: &Document,
    author: MemberId,
    now: DateTime<Utc>,
) -> Result<i32, SaveError> {
    let (key, version) = seen;
    let withdrawn = match deed {
        Deed::Withdrawn => Some(true),
        Deed::PutBack => Some(false),
        Deed::Made | Deed::Changed | Deed::BroughtBack(_) => None,
    };
    let moved = sqlx::query!(
        "update catalogue_entries set version = version + 1, name = $3, withdrawn = coalesce($4, withdrawn)
         where key = $1 and version = $2 returning id, version",
        key,
        version,
        document.text("name"),
        withdrawn
    )
    .fetch_optional(&mut *conn)
    .await
    .map_err(taken)?;
    match moved {
        Some(row) => {
            append(conn, row.id, row.version, deed, document, author, now).await?;
            Ok(row.version)
        }
        None => match find(conn, key).await? {
            Some(theirs) => Err(SaveError::Conflict(Box::new(theirs))),
            None => Err(SaveError::NotFound),
        },
    }
}

async fn append(
    conn: &mut PgConnection,
    entry: i64,
    number: i32,
    deed: Deed,
    document: &Document,
    author: MemberId,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let restored_from = match deed {
        Deed::BroughtBack(number) => Some(number),
        _ => None,
    };
    let document = serde_json::to_value(document).unwrap_or_default();
    sqlx::query!(
        "insert into catalogue_entry_revisions (entry_id, number, deed, restored_from, document, author_id, created_at)
         values ($1, $2, $3, $4, $5, $6, $7)",
        entry,
        number,
        deed.word(),
        restored_from,
        document,
        author.0,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

fn taken(fault: sqlx::Error) -> SaveError {
    match violated(&fault) {
        Some("catalogue_entries_name_key") => SaveError::NameTaken,
        _ => SaveError::Database(fault),
    }
}

fn read(document: Value) -> Document {
    serde_json::from_value(document).unwrap_or_else(|fault| {
        tracing::error!(%fault, "an own entry of the catalogue cannot be read");
        Document::default()
    })
}
