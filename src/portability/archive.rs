//! The file of an export: packed, and unpacked with a limit on everything that a hostile one could make large.

use std::collections::BTreeSet;
use std::io::{Cursor, Read, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// The most bytes of a file that is sent.
pub const MAX_PACKED: usize = 16 * 1024 * 1024;
/// The most bytes that come out of it.
pub const MAX_UNPACKED: usize = 64 * 1024 * 1024;
/// The most files in it.
pub const MAX_FILES: usize = 100;
/// The most that one byte may become; text of ours becomes a tenth of that.
pub const MAX_RATIO: u64 = 500;

/// A file of an export: its name and its bytes.
pub type Packed = (String, Vec<u8>);

/// Why a file is not taken in. Each message says what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadArchive {
    #[error("This is no ZIP file. Choose the file that an export gave you, as it is.")]
    NotAZip,
    #[error("The file is larger than {} MB. Such a one no export makes.", MAX_PACKED / 1_048_576)]
    TooLarge,
    #[error(
        "The file holds more than {} files. Choose the file that an export gave you, as it is.",
        MAX_FILES
    )]
    TooManyFiles,
    #[error("What is in the file is larger than {} MB altogether.", MAX_UNPACKED / 1_048_576)]
    TooMuch,
    #[error(
        "The file holds something called “{0}”, which no export has. Choose the file that an export gave you, as it is."
    )]
    Name(String),
    #[error("“{0}” is in the file twice.")]
    Twice(String),
    #[error("“{0}” is packed in a way that no export uses.")]
    Packing(String),
    #[error("“{0}” is damaged. Make the export again, or copy its file again.")]
    Damaged(String),
}

/// More than an export can hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("more than an export can hold")]
pub struct TooMuch;

/// Packs files.
///
/// # Errors
/// [`TooMuch`] when they would not be taken in again.
pub fn pack(files: &[Packed]) -> Result<Vec<u8>, TooMuch> {
    let whole: usize = files.iter().map(|(_, bytes)| bytes.len()).sum();
    if whole > MAX_UNPACKED {
        return Err(TooMuch);
    }
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .unix_permissions(0o600);
    for (name, bytes) in files {
        let written = writer.start_file(name.as_str(), options);
        written.map_err(|_| TooMuch)?;
        writer.write_all(bytes).map_err(|_| TooMuch)?;
    }
    let packed = writer.finish().map_err(|_| TooMuch)?.into_inner();
    match packed.len() <= MAX_PACKED {
        true => Ok(packed),
        false => Err(TooMuch),
    }
}

/// Whether an export has files of this name: small letters with one ending, in no folder.
fn is_ours(name: &str) -> bool {
    let Some((stem, end)) = name.split_once('.') else {
        return false;
    };
    let plain = |c: u8| c.is_ascii_lowercase() || c == b'_';
    (1..=40).contains(&stem.len())
        && stem.bytes().all(plain)
        && ["json", "csv", "txt"].contains(&end)
}

/// A name short enough to be said.
fn said(name: &str) -> String {
    name.chars().filter(|c| !c.is_control()).take(60).collect()
}

/// Unpacks an export. What its head promises is checked before anything is read, and what is read is counted.
///
/// # Errors
/// [`BadArchive`] for whatever no export of ours has.
pub fn unpack(bytes: &[u8]) -> Result<Vec<Packed>, BadArchive> {
    if bytes.len() > MAX_PACKED {
        return Err(BadArchive::TooLarge);
    }
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| BadArchive::NotAZip)?;
    if archive.len() > MAX_FILES {
        return Err(BadArchive::TooManyFiles);
    }
    check_heads(&mut archive)?;
    let mut files = Vec::new();
    let mut left = MAX_UNPACKED as u64;
    for index in 0..archive.len() {
        let damaged = || BadArchive::Damaged(format!("file {}", index + 1));
        let mut file = archive.by_index(index).map_err(|_| damaged())?;
        let name = file.name().map_err(|_| damaged())?.into_owned();
        let mut bytes = Vec::new();
        let read = file.by_ref().take(left + 1).read_to_end(&mut bytes);
        read.map_err(|_| BadArchive::Damaged(said(&name)))?;
        left = left
            .checked_sub(bytes.len() as u64)
            .ok_or(BadArchive::TooMuch)?;
        files.push((name, bytes));
    }
    Ok(files)
}

fn check_heads(archive: &mut ZipArchive<Cursor<&[u8]>>) -> Result<(), BadArchive> {
    let mut names = BTreeSet::new();
    let mut whole: u64 = 0;
    for index in 0..archive.len() {
        let file = archive
            .by_index_raw(index)
            .map_err(|_| BadArchive::Damaged(format!("file {}", index + 1)))?;
        let name = file
            .name()
            .map_err(|_| BadArchive::Name(format!("file {}", index + 1)))?
            .into_owned();
        // A link or a folder has no name of ours, or no plain kind.
        let plain = file.is_file() && !file.is_symlink();
        if !is_ours(&name) || !plain {
            return Err(BadArchive::Name(said(&name)));
        }
        let method = file.compression();
        let known = [CompressionMethod::Deflated, CompressionMethod::Stored].contains(&method);
        let swollen = file.size() > MAX_RATIO.saturating_mul(file.compressed_size().max(1_024));
        if !known || file.encrypted() || swollen {
            return Err(BadArchive::Packing(said(&name)));
        }
        whole = whole.saturating_add(file.size());
        if whole > MAX_UNPACKED as u64 {
            return Err(BadArchive::TooMuch);
        }
        if !names.insert(name.clone()) {
            return Err(BadArchive::Twice(said(&name)));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn zip_of(files: &[(&str, &[u8])]) -> Vec<u8> {
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, bytes) in files {
            let options =
                SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
            writer.start_file(*name, options).unwrap();
            writer.write_all(bytes).unwrap();
        }
        writer.finish().unwrap().into_inner()
    }

    #[test]
    fn what_was_packed_comes_out() {
        let files = vec![
            ("readme.txt".to_owned(), b"words".to_vec()),
            ("recipes.json".to_owned(), vec![b'7'; 100_000]),
        ];
        assert_eq!(unpack(&pack(&files).unwrap()).unwrap(), files);
    }

    #[test]
    fn too_much_is_not_packed() {
        let files = [("a.json".to_owned(), vec![b' '; MAX_UNPACKED + 1])];
        assert_eq!(pack(&files), Err(TooMuch));
    }

    #[test]
    fn names_that_no_export_has_are_refused() {
        for name in [
            "../x.json",
            "/etc/x.json",
            "a/b.json",
            "..",
            "x",
            "X.json",
            "x.exe",
            "a\\b.json",
            "x.json.json",
            ".json",
            "c:x.json",
            "x .json",
            "é.json",
            "folder/",
        ] {
            let refused = unpack(&zip_of(&[(name, b"{}")]));
            assert!(
                matches!(refused, Err(BadArchive::Name(_))),
                "{name}: {refused:?}"
            );
        }
    }

    #[test]
    fn links_are_refused() {
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        writer
            .add_symlink("x.json", "/etc/passwd", SimpleFileOptions::default())
            .unwrap();
        let bytes = writer.finish().unwrap().into_inner();
        assert!(matches!(unpack(&bytes), Err(BadArchive::Name(_))));
    }

    #[test]
    fn bombs_are_refused_by_their_heads() {
        let swollen = vec![0u8; 40 * 1024 * 1024];
        let one = zip_of(&[("x.json", &swollen)]);
        assert!(one.len() < 100_000, "{}", one.len());
        assert!(matches!(unpack(&one), Err(BadArchive::Packing(_))));
        let stored = vec![b'x'; 9 * 1024 * 1024];
        let mut noise = stored.clone();
        // Ten to one, so that it is their number that is too much.
        for (at, byte) in noise.iter_mut().enumerate() {
            if at % 40 == 0 {
                *byte = (at as u32).wrapping_mul(2_654_435_761).to_le_bytes()[3];
            }
        }
        let names = [
            "a.json", "b.json", "c.json", "d.json", "e.json", "f.json", "g.json", "h.json",
        ];
        let many: Vec<(&str, &[u8])> = names.iter().map(|name| (*name, &noise[..])).collect();
        assert_eq!(unpack(&zip_of(&many)), Err(BadArchive::TooMuch));
    }

    #[test]
    fn too_many_files_and_no_zip_are_refused() {
        let letters = "abcdefghijklmnopqrstuvwxyz";
        let names: Vec<String> = letters
            .chars()
            .flat_map(|one| {
                letters
                    .chars()
                    .take(4)
                    .map(move |two| format!("{one}{two}.csv"))
            })
            .collect();
        let many: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), &b""[..])).collect();
        assert_eq!(unpack(&zip_of(&many)), Err(BadArchive::TooManyFiles));
        for bytes in [&b""[..], b"PK", b"words", &[0; 1000]] {
            assert_eq!(unpack(bytes), Err(BadArchive::NotAZip));
        }
    }

    #[test]
    fn a_head_that_lies_about_its_size_is_found_out() {
        let mut bytes = zip_of(&[("x.json", &[b' '; 5_000])]);
        // The uncompressed size stands at 24 in the central head, at 22 in the local one.
        let central = bytes
            .windows(4)
            .position(|four| four == [0x50, 0x4b, 1, 2])
            .unwrap();
        bytes[central + 24..central + 28].copy_from_slice(&10u32.to_le_bytes());
        bytes[22..26].copy_from_slice(&10u32.to_le_bytes());
        match unpack(&bytes) {
            Err(BadArchive::Damaged(_)) => {}
            Ok(files) => assert!(files[0].1.len() <= 5_000),
            other => panic!("{other:?}"),
        }
    }
}
