//! Sheets as they are written row by row: how far one is, and which writing may follow which.

use chrono::{DateTime, Utc};
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::competitions::model::EntryId;
use crate::engine::contest::sheet::Sheet;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// What a row of a sheet did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum Deed {
    /// Kept what the judge has so far.
    Saved,
    /// Froze it.
    Signed,
    /// The judge recognised the entry and stepped back.
    Recused,
    /// An organiser gave it back, with a reason.
    Reopened,
    /// Somebody typed it in from paper.
    Typed,
    /// Somebody else compared that with the paper: it counts as signed.
    Checked,
}

impl Deed {
    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            Deed::Saved => "saved",
            Deed::Signed => "signed",
            Deed::Recused => "recused",
            Deed::Reopened => "reopened",
            Deed::Typed => "typed",
            Deed::Checked => "checked",
        }
    }

    /// The word in the chain, where other things are checked too.
    pub fn told(self) -> &'static str {
        match self {
            Deed::Checked => "compared",
            other => other.word(),
        }
    }

    /// How far a sheet is of which this is the last row.
    pub fn stage(self) -> Stage {
        match self {
            Deed::Saved | Deed::Reopened => Stage::Begun,
            Deed::Typed => Stage::Typed,
            Deed::Signed | Deed::Checked => Stage::Signed,
            Deed::Recused => Stage::SteppedBack,
        }
    }
}

/// How far a judge's sheet of an entry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stage {
    Blank,
    Begun,
    /// From paper, and nobody has compared it yet.
    Typed,
    /// Frozen.
    Signed,
    SteppedBack,
}

/// The last row of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    pub entry: EntryId,
    pub judge: MemberId,
    /// Counts the rows: the version that a page saw.
    pub number: i32,
    pub deed: Deed,
    pub sheet: Sheet,
    pub by: MemberId,
    pub at: DateTime<Utc>,
    /// The open page that wrote it, and its how manieth sending; empty and 0 without script.
    pub hand: String,
    pub sequence: i64,
    /// Whether an organiser ever gave it back.
    pub reopened: bool,
}

/// How far a sheet is of which this is the last row.
pub fn stage(last: Option<&Written>) -> Stage {
    last.map_or(Stage::Blank, |last| last.deed.stage())
}

/// A sheet as a page sends it.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The number of the row that the page was made from; 0 of none.
    pub version: i32,
    pub hand: String,
    pub sequence: i64,
    pub sheet: Sheet,
}

/// What becomes of a sheet that a page sends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Follows {
    /// It is the next row.
    Next,
    /// It stands there already, or newer text of the same page does.
    Already,
    /// Another page wrote meanwhile: both texts are shown.
    Clash,
}

/// Whether what is asked may follow the last row.
pub fn follows(last: Option<&Written>, asked: &Asked) -> Follows {
    let Some(last) = last else {
        return Follows::Next;
    };
    let same_hand = !asked.hand.is_empty() && asked.hand == last.hand;
    if last.sheet == asked.sheet || (same_hand && asked.sequence <= last.sequence) {
        Follows::Already
    } else if same_hand || asked.version == last.number {
        Follows::Next
    } else {
        Follows::Clash
    }
}

/// SHA-256 of what was written down, as the chain of deeds bears it.
pub fn digest(said: &impl Serialize) -> String {
    // Keys stand in one order, so that one sheet has one text.
    let text = serde_json::to_vec(said).unwrap_or_default();
    Sha256::digest(text)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// Somebody at a table, as addresses name them.
#[derive(Debug, Clone, PartialEq)]
pub struct Sitting {
    pub judge: MemberId,
    pub public_id: PublicId,
    pub name: String,
    pub leads: bool,
}

/// The last order that a judge gave to the glasses of a final.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    pub judge: MemberId,
    pub number: i32,
    /// Codes, the best first.
    pub codes: Vec<String>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::contest::sheet::Marked;

    fn sheet(points: u32) -> Sheet {
        let marked = Marked {
            points: Some(points),
            comment: String::new(),
        };
        Sheet {
            sections: [("look".to_owned(), marked)].into(),
            ..Sheet::default()
        }
    }

    fn last(number: i32, hand: &str, sequence: i64, points: u32) -> Written {
        Written {
            entry: EntryId(1),
            judge: MemberId(1),
            number,
            deed: Deed::Saved,
            sheet: sheet(points),
            by: MemberId(1),
            at: DateTime::UNIX_EPOCH,
            hand: hand.to_owned(),
            sequence,
            reopened: false,
        }
    }

    fn asked(version: i32, hand: &str, sequence: i64, points: u32) -> Asked {
        Asked {
            version,
            hand: hand.to_owned(),
            sequence,
            sheet: sheet(points),
        }
    }

    #[test]
    fn one_page_never_fights_with_itself_and_two_never_overwrite() {
        for (last, asked, wanted) in [
            (None, asked(0, "", 0, 3), Follows::Next),
            // Without script: the version alone counts.
            (Some(last(2, "", 0, 3)), asked(2, "", 0, 4), Follows::Next),
            (Some(last(3, "", 0, 3)), asked(2, "", 0, 4), Follows::Clash),
            (
                Some(last(3, "", 0, 4)),
                asked(2, "", 0, 4),
                Follows::Already,
            ),
            // The answer was lost, and the page types on from an older version.
            (Some(last(3, "a", 5, 3)), asked(0, "a", 6, 4), Follows::Next),
            // What was sent earlier arrives later.
            (
                Some(last(3, "a", 5, 3)),
                asked(2, "a", 4, 1),
                Follows::Already,
            ),
            // Another tab.
            (
                Some(last(3, "a", 5, 3)),
                asked(2, "b", 9, 4),
                Follows::Clash,
            ),
            (Some(last(3, "a", 5, 3)), asked(3, "b", 9, 4), Follows::Next),
        ] {
            assert_eq!(follows(last.as_ref(), &asked), wanted, "{asked:?}");
        }
    }

    #[test]
    fn a_sheet_has_one_digest() {
        assert_eq!(digest(&sheet(3)), digest(&sheet(3)));
        assert_ne!(digest(&sheet(3)), digest(&sheet(4)));
        assert_eq!(digest(&sheet(3)).len(), 64);
    }
}
