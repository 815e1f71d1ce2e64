//! Rows of the workbench's form: parallel arrays with a row key, one array a column.

use std::collections::BTreeMap;

use crate::catalogue::club::ClubCatalogue;
use crate::web::error::Error;
use crate::web::form::Posted;

/// What a row is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// Honeys.
    Honey,
    /// Fruit and everything else that goes in.
    Other,
    /// Yeasts.
    Yeast,
    /// Feeds to hand.
    Feed,
    /// Salts for the water.
    Salt,
    /// Steps in the maker's words.
    Step,
}

/// Columns of honeys and other ingredients. The last is not typed: the key of the catalogue's entry that the row came
/// with, where the catalogue has none of that key.
const ITEM: &[&str] = &[
    "pick",
    "name",
    "kind",
    "form",
    "when",
    "days",
    "amount",
    "price",
    "water",
    "fermentable",
    "unfermentable",
    "insoluble",
    "yan",
    "acid",
    "density",
    "spread",
    "remark",
    "entry",
];

impl Group {
    /// All of them, in the form's order.
    pub const ALL: [Group; 6] = [
        Group::Honey,
        Group::Other,
        Group::Yeast,
        Group::Feed,
        Group::Salt,
        Group::Step,
    ];

    /// Those that hold the document's ingredients.
    pub const ITEMS: [Group; 2] = [Group::Honey, Group::Other];

    /// The word in names of fields, ids and buttons.
    pub fn word(self) -> &'static str {
        match self {
            Group::Honey => "honey",
            Group::Other => "other",
            Group::Yeast => "yeast",
            Group::Feed => "feed",
            Group::Salt => "salt",
            Group::Step => "step",
        }
    }

    /// The group of a word.
    pub fn from_word(word: &str) -> Option<Group> {
        Group::ALL.into_iter().find(|group| group.word() == word)
    }

    /// The columns beside the row key.
    pub fn columns(self) -> &'static [&'static str] {
        match self {
            Group::Honey | Group::Other => ITEM,
            Group::Yeast => &[
                "pick",
                "name",
                "tolerance",
                "need",
                "coldest",
                "warmest",
                "when",
                "attenuation",
                "entry",
            ],
            Group::Feed => &[
                "pick", "name", "ammonium", "organic", "most", "price", "share", "entry",
            ],
            Group::Salt => &["pick", "grams"],
            Group::Step => &["when", "text"],
        }
    }

    /// Name of a column's field.
    pub fn field(self, column: &str) -> String {
        format!("{}_{column}", self.word())
    }
}

/// One row as typed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// Tells the row from the others of its group; short and ours.
    pub key: String,
    cells: BTreeMap<&'static str, String>,
}

impl Row {
    /// An empty row.
    pub fn new(key: String) -> Self {
        Row {
            key,
            cells: BTreeMap::new(),
        }
    }

    /// The text of a cell.
    pub fn cell(&self, column: &str) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }

    /// Puts a text into a cell.
    pub fn set(&mut self, column: &'static str, text: impl Into<String>) {
        self.cells.insert(column, text.into());
    }

    /// The same, for filling in one go.
    pub fn with(mut self, column: &'static str, text: impl Into<String>) -> Self {
        self.set(column, text);
        self
    }

    /// What it is called: by a name of its own, else by the catalogue's; `None` while neither is known.
    pub fn called(&self, catalogue: &ClubCatalogue) -> Option<String> {
        let pick = self.cell("pick");
        let named = || {
            let entry = catalogue.find(pick).map(|entry| &entry.name);
            let yeast = || catalogue.find_yeast(pick).map(|yeast| &yeast.name);
            let feed = || catalogue.find_feed(pick).map(|feed| &feed.name);
            entry.or_else(yeast).or_else(feed).cloned()
        };
        match self.cell("name").trim() {
            "" => named(),
            typed => Some(typed.to_owned()),
        }
    }

    /// Whether nothing but white space was typed into these columns.
    pub fn is_blank(&self, columns: &[&str]) -> bool {
        columns
            .iter()
            .all(|column| self.cell(column).trim().is_empty())
    }
}

/// Reads the rows of one group.
pub(super) fn read(posted: &Posted, group: Group) -> Result<Vec<Row>, Error> {
    let field = group.field("row");
    let keys: Vec<&str> = posted.all(&field).collect();
    let sound = keys
        .iter()
        .all(|key| (1..=10).contains(&key.len()) && key.chars().all(|c| c.is_ascii_alphanumeric()));
    let twice = keys
        .iter()
        .enumerate()
        .any(|(at, key)| keys.iter().take(at).any(|before| before == key));
    if !sound || twice {
        return Err(not_ours());
    }
    let mut rows: Vec<Row> = keys.iter().map(|key| Row::new((*key).to_owned())).collect();
    for column in group.columns() {
        let field = group.field(column);
        let cells: Vec<&str> = posted.all(&field).collect();
        if cells.is_empty() {
            continue;
        }
        if cells.len() != rows.len() {
            return Err(not_ours());
        }
        for (row, text) in rows.iter_mut().zip(cells) {
            row.set(column, super::lines(text));
        }
    }
    Ok(rows)
}

fn not_ours() -> Error {
    Error::bad_request("The rows of the form came in pieces. Go back, and send the page again.")
}
