//! The kinds of things that a member owns, each with how it is read, taken in and laid out as a table.
//!
//! A kind is one file with a constant that implements [`Kind`], named in [`ALL`]; its tables stand in [`TABLES`], which a
//! test compares with the database: whatever belongs to a member is exported, or named with the reason why not.

mod batches;
mod bottles;
mod catalogue;
mod cellar;
mod competitions;
mod drafts;
mod kin;
mod minutes;
mod picture;
mod ratings;
mod recipes;
mod said;
mod series;
mod settings;
mod shared;
pub mod store;
mod tastings;

use std::collections::HashMap;
use std::pin::Pin;

use chrono::{DateTime, Utc};
use serde_json::Value;
use sqlx::PgConnection;

use super::sheet::Column;
use crate::web::units::Units;
use crate::web::viewer::MemberId;
use crate::web::{Error, random};

/// Work on the database that a kind does.
pub type Work<'a, T> = Pin<Box<dyn Future<Output = Result<T, Error>> + Send + 'a>>;

/// A kind of things.
pub trait Kind: Send + Sync {
    /// What its files are called.
    fn name(&self) -> &'static str;
    /// What one of them is called, and several.
    fn words(&self) -> (&'static str, &'static str);
    /// The columns of its table.
    fn columns(&self) -> &'static [Column];
    /// The list in each thing of which every entry is a line of the table; empty where the thing itself is one.
    fn lines(&self) -> &'static str {
        ""
    }
    /// Whether its file is so long that it is written without spaces.
    fn is_long(&self) -> bool {
        false
    }
    /// What was left out of these, because all of it is too much for one file: a paragraph for each.
    fn left_out(&self, _: &[Value]) -> Vec<&'static str> {
        Vec::new()
    }
    /// The ids of everything of it that the member owns.
    fn ids<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<String>> {
        Box::pin(async move {
            let own = self.read(conn, owner).await?;
            Ok(own
                .iter()
                .map(|thing| text(thing, "/id").to_owned())
                .collect())
        })
    }
    /// Whether a thing that was taken in once is not taken in again.
    fn is_taken_once(&self) -> bool {
        true
    }
    /// Everything of it that the member owns, the oldest first. Each thing has an `id` that stays the same.
    fn read<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<Value>>;
    /// Takes one in that is not here yet, within the transaction of the whole import.
    fn take<'a>(
        &'a self,
        conn: &'a mut PgConnection,
        thing: &'a Value,
        taking: &'a Taking,
    ) -> Work<'a, Taken>;
}

/// What became of one thing.
#[derive(Clone, Debug, PartialEq)]
pub enum Taken {
    /// It is the member's now, under this public id; what this club has no column for is kept beside it.
    Placed { place: String, said: Value },
    /// It speaks of what is not here: kept as it came, and exported again.
    Kept,
    /// Nothing to do.
    Same,
    /// It cannot be taken in; each fault in words, with its place.
    Refused(Vec<String>),
}

/// What an import knows while it goes on.
#[derive(Clone, Debug)]
pub struct Taking {
    pub member: MemberId,
    pub units: Units,
    pub sachet_g: f64,
    pub now: DateTime<Utc>,
    /// The club that the export came from.
    pub club: String,
    /// Where things went: kind and public id there → public id here.
    pub places: HashMap<(String, String), String>,
}

impl Taking {
    /// Where a thing went.
    pub fn place(&self, kind: &str, id: &str) -> Option<&str> {
        self.places
            .get(&(kind.to_owned(), id.to_owned()))
            .map(String::as_str)
    }
}

/// All kinds, in the order in which they are taken in: what others point to comes first.
pub const ALL: &[&dyn Kind] = &[
    &settings::Settings,
    &recipes::Recipes,
    &drafts::Drafts,
    &ratings::RATINGS,
    &said::COMMENTS,
    &catalogue::ENTRIES,
    &shared::CUPBOARD,
    &shared::JARS,
    &shared::JAR_ENTRIES,
    &shared::ORDERS,
    &shared::ORDER_LINES,
    &shared::MEETINGS,
    &shared::ANSWERS,
    &shared::POURS,
    &cellar::VESSELS,
    &cellar::INSTRUMENTS,
    &cellar::LENT,
    &cellar::LOANS,
    &batches::Batches,
    &kin::BLENDS,
    &kin::TRIALS,
    &tastings::TASTINGS,
    &tastings::ANSWERS,
    &competitions::ENTRIES,
    &competitions::DUTIES,
    &competitions::SHEETS,
    &bottles::Bottles,
    &series::SERIES,
];

/// What becomes of a table that names a member.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Covered {
    /// Exported, with this kind.
    By(&'static str),
    /// Not exported, for this reason.
    Not(&'static str),
}

use Covered::{By, Not};

/// Every table that names a member.
pub const TABLES: &[(&str, Covered)] = &[
    ("members", By("settings")),
    ("recipes", By("recipes")),
    ("revisions", By("recipes")),
    ("recipe_drafts", By("drafts")),
    ("recipe_ratings", By("ratings")),
    ("recipe_comments", By("comments")),
    ("catalogue_entry_revisions", By("catalogue_entries")),
    ("cupboard_items", By("cupboard")),
    ("honey_jars", By("honey_jars")),
    ("honey_jar_entries", By("honey_taken")),
    ("honey_orders", By("honey_orders")),
    ("honey_order_lines", By("honey_wanted")),
    ("meetings", By("meetings")),
    ("meeting_answers", By("meeting_answers")),
    ("meeting_pours", By("meeting_pours")),
    (
        "honey_order_ticks",
        Not("what the opener of an order noted, not the buyer’s"),
    ),
    ("code_apps", Not("secrets of the second step")),
    ("code_apps_begun", Not("secrets of the second step")),
    ("recovery_codes", Not("secrets of the second step")),
    ("passkeys", Not("keys that work at this address alone")),
    ("passkey_ceremonies", Not("questions good for minutes")),
    ("half_sign_ins", Not("sign-ins good for minutes")),
    (
        "member_mail",
        Not("an address is given and confirmed at each club anew"),
    ),
    ("second_steps_taken", Not("news of this club’s keepers")),
    ("batches", By("batches")),
    ("batch_entries", By("batches")),
    ("batch_pictures", By("batches")),
    ("cellar_taken", By("bottles")),
    ("refining_series", By("refining_series")),
    ("tastings", By("tastings")),
    ("tasting_seats", By("tasting_answers")),
    ("competition_makers", By("competition_entries")),
    ("competition_roster", By("competition_duties")),
    ("competition_conflicts", By("competition_duties")),
    ("competition_sheets", By("competition_sheets")),
    (
        "competition_tables",
        Not("who sat where is the competition’s, not the judge’s"),
    ),
    (
        "competition_agreed",
        Not("what a table agreed on is the competition’s"),
    ),
    (
        "competition_orders",
        Not("what a table put in order is the competition’s"),
    ),
    (
        "competition_calibration_points",
        Not("what a table tried its sheet on is the competition’s"),
    ),
    (
        "competition_deeds",
        Not("the chain of what was done is the competition’s"),
    ),
    ("batch_sensors", Not("keys that work at this address alone")),
    ("vessels", By("vessels")),
    ("instruments", By("instruments")),
    ("club_equipment", By("things_to_lend")),
    ("loans", By("loans")),
    ("sessions", Not("secrets of browsers")),
    ("member_tokens", Not("secrets of programs")),
    ("one_time_links", Not("secrets that run out")),
    (
        "once_keys",
        Not("forms that were sent, forgotten after a week"),
    ),
    ("invites", Not("the club’s, not the keeper’s who made them")),
    ("club", Not("the club’s, not the keeper’s who wrote it")),
    ("waiting_imports", Not("a file that waits for an hour")),
    (
        "imported_things",
        Not("exported with the things themselves"),
    ),
];

/// The text at a place, empty if none.
pub(super) fn text<'a>(thing: &'a Value, place: &str) -> &'a str {
    thing
        .pointer(place)
        .and_then(Value::as_str)
        .unwrap_or_default()
}

/// The moment at a place.
pub(super) fn moment(thing: &Value, place: &str) -> Option<DateTime<Utc>> {
    DateTime::parse_from_rfc3339(text(thing, place))
        .ok()
        .map(|moment| moment.with_timezone(&Utc))
        .filter(|moment| (1970..9000).contains(&chrono::Datelike::year(moment)))
}

/// A kind whose things speak of what belongs to others: they are exported, and elsewhere kept as they came.
pub struct Elsewhere {
    pub name: &'static str,
    pub words: (&'static str, &'static str),
    pub columns: &'static [Column],
    /// The things of member `$1`, each as one JSON object with its `id`.
    pub query: &'static str,
}

impl Kind for Elsewhere {
    fn name(&self) -> &'static str {
        self.name
    }

    fn words(&self) -> (&'static str, &'static str) {
        self.words
    }

    fn columns(&self) -> &'static [Column] {
        self.columns
    }

    fn read<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<Value>> {
        Box::pin(store::things(conn, self.query, owner))
    }

    fn take<'a>(&'a self, _: &'a mut PgConnection, _: &'a Value, _: &'a Taking) -> Work<'a, Taken> {
        Box::pin(async { Ok(Taken::Kept) })
    }
}

/// A kind of plain things, which become the member's own as they are.
pub struct Own {
    pub name: &'static str,
    pub words: (&'static str, &'static str),
    pub columns: &'static [Column],
    /// The list of which every entry is a line of the table, each of one `batch`, whose public id in this club becomes its
    /// `here`; empty where the thing itself is a line.
    pub lines: &'static str,
    /// Whether each belongs to the batch whose `id` it has, rather than to a place of its own.
    pub of_batch: bool,
    /// The things of member `$1`, each as one JSON object with its `id`.
    pub query: &'static str,
    /// What puts one in, in this order: the thing is `$1`, its owner `$2`, its public id here `$3`.
    pub puts: &'static [&'static str],
}

impl Own {
    /// The thing with the batches of its lines as they are called here; none where one is missing.
    fn with_batches_here(&self, thing: &Value, taking: &Taking) -> Option<Value> {
        let mut here = thing.clone();
        let lines = here.pointer_mut(self.lines).and_then(Value::as_array_mut);
        for line in lines.into_iter().flatten() {
            let place = taking.place("batches", text(line, "/batch"))?.to_owned();
            line["here"] = Value::String(place);
        }
        Some(here)
    }
}

impl Kind for Own {
    fn name(&self) -> &'static str {
        self.name
    }

    fn words(&self) -> (&'static str, &'static str) {
        self.words
    }

    fn columns(&self) -> &'static [Column] {
        self.columns
    }

    fn lines(&self) -> &'static str {
        self.lines
    }

    fn read<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<Value>> {
        Box::pin(store::things(conn, self.query, owner))
    }

    fn take<'a>(
        &'a self,
        conn: &'a mut PgConnection,
        thing: &'a Value,
        taking: &'a Taking,
    ) -> Work<'a, Taken> {
        Box::pin(async move {
            // Without one of its batches a thing would say something else: it is kept whole, as it came.
            let Some(here) = self.with_batches_here(thing, taking) else {
                return Ok(Taken::Kept);
            };
            let place = match self.of_batch {
                true => taking
                    .place("batches", text(thing, "/id"))
                    .map(str::to_owned),
                false => Some(random::public_id()?),
            };
            let Some(place) = place else {
                return Ok(Taken::Kept);
            };
            for statement in self.puts {
                store::put(conn, statement, &here, taking.member, &place).await?;
            }
            Ok(Taken::Placed {
                place,
                said: Value::Object(Default::default()),
            })
        })
    }
}
