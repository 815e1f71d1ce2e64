//! The file of a backup: a line that says what it is, a line that describes what is in it, PostgreSQL's own archive, and a
//! line with the checksum of all that. `tail -n +3` of it can be read by `pg_restore` alone.

use std::io::{self, SeekFrom};
use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use tokio::fs::File;
use tokio::io::{
    AsyncBufReadExt, AsyncRead, AsyncReadExt, AsyncSeekExt, AsyncWriteExt, BufReader, Take,
};

use super::BackupError;

const SIGN: &[u8] = b"mustwright backup ";
/// The shape of the file; another one gets the next number.
const FORMAT: u32 = 1;
/// What PostgreSQL's own archives begin with.
const BARE_ARCHIVE: &[u8] = b"PGDMP";
const BEFORE_SUM: &[u8] = b"\nsha256 ";
/// The last line with the line break before it.
const END_BYTES: u64 = (BEFORE_SUM.len() + 64 + 1) as u64;
/// More than any description takes.
const MAX_DESCRIPTION: u64 = 8 << 20;
const PIECE: usize = 64 * 1024;

/// What a backup says of itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Header {
    /// The club's name.
    pub club: String,
    /// When it was taken.
    pub made_at: DateTime<Utc>,
    /// The version of Mustwright that made it.
    pub program: String,
    /// The version of the PostgreSQL that it was taken from.
    pub postgres: String,
    /// The newest migration of the schema.
    pub schema: i64,
    /// How much room the database took.
    pub database_bytes: i64,
    /// Each table with its rows.
    pub tables: Vec<Table>,
    /// Where each sequence stood, at least.
    pub counters: Vec<Counter>,
}

/// A table as it was in the moment of the backup.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Table {
    pub name: String,
    pub rows: i64,
    /// A sum over the hashes of all rows, whatever their order.
    pub fingerprint: String,
}

/// A sequence and the last number that it gave; none where it gave none.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Counter {
    pub name: String,
    pub last: Option<i64>,
}

impl Header {
    /// How many rows a table has; none where there is no such table.
    pub fn rows(&self, table: &str) -> Option<i64> {
        let found = self.tables.iter().find(|known| known.name == table);
        found.map(|table| table.rows)
    }
}

/// Writes a backup piece by piece.
pub(super) struct Writer {
    file: File,
    sum: Sha256,
    bytes: u64,
}

impl Writer {
    pub async fn begin(file: File, header: &Header) -> io::Result<Writer> {
        let mut writer = Writer {
            file,
            sum: Sha256::new(),
            bytes: 0,
        };
        let mut head = SIGN.to_vec();
        head.extend_from_slice(format!("{FORMAT}\n").as_bytes());
        serde_json::to_writer(&mut head, header)?;
        head.push(b'\n');
        writer.put(&head).await?;
        Ok(writer)
    }

    async fn put(&mut self, piece: &[u8]) -> io::Result<()> {
        self.sum.update(piece);
        self.bytes += piece.len() as u64;
        self.file.write_all(piece).await
    }

    /// Everything that `source` has.
    pub async fn take(&mut self, source: &mut (impl AsyncRead + Unpin)) -> io::Result<()> {
        let mut piece = vec![0u8; PIECE];
        loop {
            let many = source.read(&mut piece).await?;
            match piece.get(..many).filter(|read| !read.is_empty()) {
                Some(read) => self.put(read).await?,
                None => return Ok(()),
            }
        }
    }

    /// The last line; all of it on the disk. Tells the length of the file and its own sum.
    pub async fn end(mut self) -> io::Result<(u64, String)> {
        let inside = hex(&self.sum.clone().finalize());
        let mut last = BEFORE_SUM.to_vec();
        last.extend_from_slice(inside.as_bytes());
        last.push(b'\n');
        self.put(&last).await?;
        self.file.flush().await?;
        self.file.sync_all().await?;
        Ok((self.bytes, hex(&self.sum.finalize())))
    }
}

/// A backup that was read from end to end: its checksum is right.
#[derive(Clone, Debug)]
pub struct Checked {
    pub path: PathBuf,
    pub bytes: u64,
    pub header: Header,
    archive_at: u64,
}

impl Checked {
    /// The archive inside, for `pg_restore`.
    pub(super) async fn archive(&self) -> io::Result<Take<File>> {
        let mut file = File::open(&self.path).await?;
        file.seek(SeekFrom::Start(self.archive_at)).await?;
        let long = self.bytes.saturating_sub(END_BYTES + self.archive_at);
        Ok(file.take(long))
    }
}

/// Reads a file from end to end.
///
/// # Errors
/// It cannot be read, is no backup, one of a newer kind, or damaged.
pub async fn check(path: &Path) -> Result<Checked, BackupError> {
    let unread = |cause| BackupError::Unread(path.to_owned(), cause);
    let mut file = File::open(path).await.map_err(unread)?;
    let facts = file.metadata().await.map_err(unread)?;
    if !facts.is_file() {
        return Err(BackupError::NoBackup(path.to_owned()));
    }
    let mut begins = Vec::new();
    let mut head = (&mut file).take(SIGN.len() as u64);
    head.read_to_end(&mut begins).await.map_err(unread)?;
    if begins.starts_with(BARE_ARCHIVE) {
        return Err(BackupError::BareArchive(path.to_owned()));
    }
    if begins != SIGN {
        return Err(BackupError::NoBackup(path.to_owned()));
    }
    let damaged = || BackupError::Damaged(path.to_owned());
    let bytes = facts.len();
    let summed = bytes.checked_sub(END_BYTES).ok_or_else(damaged)?;
    let last = last_line(&mut file, summed).await.map_err(unread)?;
    let sum = sum_of(&mut file, summed).await.map_err(unread)?;
    if last != [BEFORE_SUM, sum.as_bytes(), b"\n"].concat() {
        return Err(damaged());
    }
    let (format, described, archive_at) = two_lines(&mut file).await.map_err(unread)?;
    let format = format
        .get(SIGN.len()..)
        .and_then(|rest| rest.parse::<u32>().ok());
    if format.is_some_and(|format| format > FORMAT) {
        return Err(BackupError::NewerKind(path.to_owned()));
    }
    let header = serde_json::from_str(&described).map_err(|_| damaged())?;
    Ok(Checked {
        path: path.to_owned(),
        bytes,
        header,
        archive_at,
    })
}

async fn last_line(file: &mut File, at: u64) -> io::Result<Vec<u8>> {
    file.seek(SeekFrom::Start(at)).await?;
    let mut line = Vec::new();
    file.read_to_end(&mut line).await?;
    Ok(line)
}

async fn sum_of(file: &mut File, bytes: u64) -> io::Result<String> {
    file.seek(SeekFrom::Start(0)).await?;
    let (mut sum, mut piece) = (Sha256::new(), vec![0u8; PIECE]);
    let mut source = file.take(bytes);
    loop {
        let many = source.read(&mut piece).await?;
        match piece.get(..many).filter(|read| !read.is_empty()) {
            Some(read) => sum.update(read),
            None => return Ok(hex(&sum.finalize())),
        }
    }
}

/// The first two lines, and where the third begins.
async fn two_lines(file: &mut File) -> io::Result<(String, String, u64)> {
    file.seek(SeekFrom::Start(0)).await?;
    let mut source = BufReader::new(file.take(MAX_DESCRIPTION));
    let (mut sign, mut described) = (Vec::new(), Vec::new());
    source.read_until(b'\n', &mut sign).await?;
    source.read_until(b'\n', &mut described).await?;
    let at = (sign.len() + described.len()) as u64;
    let text = |line: Vec<u8>| String::from_utf8_lossy(&line).trim_end().to_owned();
    Ok((text(sign), text(described), at))
}

fn hex(digest: &[u8]) -> String {
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn header() -> Header {
        Header {
            club: "Tarn Valley".to_owned(),
            made_at: "2026-11-28T03:00:00Z".parse().unwrap(),
            program: "0.1.0".to_owned(),
            postgres: "15.1".to_owned(),
            schema: 20_261_125_090_000,
            database_bytes: 9_000_000,
            tables: vec![Table {
                name: "members".to_owned(),
                rows: 3,
                fingerprint: "17".to_owned(),
            }],
            counters: vec![Counter {
                name: "members_id_seq".to_owned(),
                last: None,
            }],
        }
    }

    async fn written(path: &Path) -> Vec<u8> {
        let file = File::create(path).await.unwrap();
        let mut writer = Writer::begin(file, &header()).await.unwrap();
        writer.take(&mut &b"PGDMP and more"[..]).await.unwrap();
        writer.end().await.unwrap();
        std::fs::read(path).unwrap()
    }

    #[tokio::test]
    async fn what_was_written_is_read_again() {
        let path = std::env::temp_dir().join(format!("mustwright-file-{}", std::process::id()));
        let bytes = written(&path).await;
        let checked = check(&path).await.unwrap();
        assert_eq!(checked.header, header());
        assert_eq!(checked.header.rows("members"), Some(3));
        let mut archive = Vec::new();
        let mut inside = checked.archive().await.unwrap();
        inside.read_to_end(&mut archive).await.unwrap();
        assert_eq!(archive, b"PGDMP and more");

        // No bit may be another one, and none may be missing or too many.
        for at in 0..bytes.len() {
            let mut other = bytes.clone();
            other[at] ^= 1 << (at % 8);
            std::fs::write(&path, other).unwrap();
            let refused = check(&path).await.expect_err("another bit");
            let known = matches!(refused, BackupError::Damaged(_) | BackupError::NoBackup(_));
            assert!(known, "{at}: {refused}");
        }
        for long in 0..bytes.len() {
            std::fs::write(&path, &bytes[..long]).unwrap();
            check(&path).await.expect_err("a part of it");
        }
        let longer = [bytes.as_slice(), b"\n"].concat();
        std::fs::write(&path, longer).unwrap();
        check(&path).await.expect_err("more than it");
        std::fs::remove_file(path).unwrap();
    }
}
