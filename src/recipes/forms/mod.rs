//! The workbench's form: single fields and rows of text, exactly as typed.

pub mod check;
pub mod fill;
pub mod quantity;
pub mod rows;
pub mod water;

use std::collections::BTreeMap;

use crate::catalogue::club::ClubCatalogue;
use crate::web::error::Error;
use crate::web::form::Posted;

pub use rows::{Group, Row};

/// Fields that stand once in the form.
pub const SINGLE: &[&str] = &[
    "title",
    "notes",
    "note",
    "visibility",
    "volume",
    "aim",
    "strength",
    "gravity",
    "honey_to_use",
    "finish",
    "final_gravity",
    "filler",
    "style",
    "sweetness_word",
    "strength_word",
    "carbonation_word",
    "feeding",
    "temperature",
    "vessel_pick",
    "vessel_name",
    "vessel_kind",
    "vessel_brim",
    "vessel_mouth",
    "vessel_headspace",
    "vessel_loss",
    // Of a report, how it spells its ions, and what the form has no field for.
    "water_report",
    "water_calcium",
    "water_magnesium",
    "water_sodium",
    "water_potassium",
    "water_bicarbonate",
    "water_alkalinity",
    "water_sulfate",
    "water_chloride",
    "water_nitrate",
    "water_carbonate",
    "water_hydroxide",
];

/// Fields about the form itself, never part of a recipe.
pub const TICKET: &[&str] = &[
    "draft",
    "sequence",
    "base_version",
    "from_recipe",
    "from_number",
    // The hash of the link by which that is known, where a link is.
    "from_link",
    // The book's starter recipe that it was started from.
    "from_starter",
    "order",
    // How the form is laid out, and the day that its dates count from.
    "way",
    "mixing_day",
];

/// The longest text of one field, in characters.
pub const LONGEST: usize = 20_000;
/// The most rows of one group that the form's buttons make: a form of that many can still be sent.
pub const MOST_ROWS: usize = 30;
/// Typed where something usual would stand in for an empty field: not even that.
pub const NONE: &str = "none";

/// Everything typed into the workbench.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Workbench {
    single: BTreeMap<&'static str, String>,
    rows: BTreeMap<Group, Vec<Row>>,
}

impl Workbench {
    /// Reads a posted form. Text is taken as it is; only a form that is none of ours is refused.
    ///
    /// # Errors
    /// Columns of different lengths, or a field twice.
    pub fn read(posted: &Posted) -> Result<Self, Error> {
        let mut form = Workbench::default();
        for name in SINGLE.iter().chain(TICKET) {
            form.set(name, lines(posted.one(name)?));
        }
        for group in Group::ALL {
            form.rows.insert(group, rows::read(posted, group)?);
        }
        Ok(form)
    }

    /// The text of a single field, empty if nothing was typed.
    pub fn text(&self, name: &str) -> &str {
        self.single.get(name).map_or("", String::as_str)
    }

    /// Puts a text into a single field. Unknown names are ignored: a form has only our fields.
    pub fn set(&mut self, name: &str, text: impl Into<String>) {
        if let Some(name) = SINGLE.iter().chain(TICKET).find(|known| **known == name) {
            self.single.insert(name, text.into());
        }
    }

    /// The rows of a group.
    pub fn rows(&self, group: Group) -> &[Row] {
        self.rows.get(&group).map_or(&[], Vec::as_slice)
    }

    /// The rows of a group, to be changed.
    pub fn rows_mut(&mut self, group: Group) -> &mut [Row] {
        self.rows.entry(group).or_default()
    }

    /// Adds a row of these texts; gives its key.
    pub fn add_row(&mut self, group: Group, cells: &[(&'static str, &str)]) -> String {
        let mut row = Row::default();
        for (column, text) in cells {
            row.set(column, *text);
        }
        self.put_row(group, row)
    }

    /// Honeys and other ingredients in the order of the document, which the form shows in two groups.
    ///
    /// `order` names the group of each in turn; what it does not name comes last.
    pub fn items_in_order(&self) -> Vec<(Group, &Row)> {
        let mut left = Group::ITEMS.map(|group| (group, self.rows(group).iter()));
        let named = self.text("order").split(' ').filter_map(Group::from_word);
        let mut found = Vec::new();
        for group in named {
            let of_group = left.iter_mut().find(|(of, _)| *of == group);
            found.extend(of_group.and_then(|(_, rows)| Some((group, rows.next()?))));
        }
        let rest = left
            .into_iter()
            .flat_map(|(group, rows)| rows.map(move |row| (group, row)));
        found.extend(rest);
        found
    }

    /// Puts a row at the end, under a key of its own, which it gives.
    pub fn put_row(&mut self, group: Group, row: Row) -> String {
        if Group::ITEMS.contains(&group) {
            let before = self.items_in_order();
            let words = before.iter().map(|(of, _)| of.word());
            let order: Vec<&str> = words.chain([group.word()]).collect();
            self.set("order", order.join(" "));
        }
        self.append(group, row)
    }

    fn append(&mut self, group: Group, mut row: Row) -> String {
        let rows = self.rows.entry(group).or_default();
        let keys = rows.iter().filter_map(|row| row.key.parse::<u32>().ok());
        let key = keys.max().unwrap_or(0).saturating_add(1).to_string();
        row.key.clone_from(&key);
        rows.push(row);
        key
    }

    /// Takes a row away.
    pub fn remove_row(&mut self, group: Group, key: &str, catalogue: &ClubCatalogue) {
        if Group::ITEMS.contains(&group) {
            let left = self.items_in_order();
            let left = left
                .iter()
                .filter(|(of, row)| *of != group || row.key != key);
            let order: Vec<&str> = left.map(|(of, _)| of.word()).collect();
            self.set("order", order.join(" "));
        }
        // What is gone no longer fills up: its key may come again, its name is kept to be told.
        if self.fills_up(group, key) {
            let row = self.rows(group).iter().find(|row| row.key == key);
            let name = row.and_then(|row| row.called(catalogue));
            let name = name.unwrap_or_else(|| filler_parts(self.text("filler")).1.to_owned());
            self.set("filler", format!("{GONE} {name}"));
        }
        if let Some(rows) = self.rows.get_mut(&group) {
            rows.retain(|row| row.key != key);
        }
    }

    /// Whether this row is what fills up.
    pub fn fills_up(&self, group: Group, key: &str) -> bool {
        filler_parts(self.text("filler")).0 == filler_word(group, key)
    }

    /// Moves a row one place up.
    pub fn raise_row(&mut self, group: Group, key: &str) {
        if let Some(rows) = self.rows.get_mut(&group)
            && let Some(at) = rows.iter().position(|row| row.key == key)
            && at > 0
        {
            rows.swap(at, at - 1);
        }
    }

    /// All fields in the form's order, to be kept as a draft or carried on.
    pub fn pairs(&self) -> Vec<(String, String)> {
        let single = SINGLE
            .iter()
            .chain(TICKET)
            .map(|name| ((*name).to_owned(), self.text(name).to_owned()));
        let rows = Group::ALL.into_iter().flat_map(|group| {
            self.rows(group).iter().flat_map(move |row| {
                let key = (group.field("row"), row.key.clone());
                let cells = group
                    .columns()
                    .iter()
                    .map(move |name| (group.field(name), row.cell(name).to_owned()));
                std::iter::once(key).chain(cells)
            })
        });
        single.chain(rows).collect()
    }
}

/// A text with the ends of its lines as we keep them; browsers send them otherwise.
fn lines(text: &str) -> String {
    text.replace("\r\n", "\n")
}

/// In the filler's choice, in place of a row that was removed.
const GONE: &str = "gone";

/// The word of the filler's choice that means this row.
pub fn filler_word(group: Group, key: &str) -> String {
    format!("{}-{key}", group.word())
}

/// The value of the filler's choice that means this row, with the name it bears now.
pub fn filler_value(group: Group, key: &str, name: &str) -> String {
    format!("{} {name}", filler_word(group, key))
}

/// The word of a filler's choice, and the name that it bore when it was chosen, if that is known.
pub fn filler_parts(value: &str) -> (&str, &str) {
    let (word, name) = value.split_once(' ').unwrap_or((value, ""));
    (word, name.trim())
}

/// Id of a cell: unique on the page, and where its fault and its note stand.
pub fn cell_id(group: Group, key: &str, column: &str) -> String {
    format!("{}-{key}-{column}", group.word())
}
