//! Rows of honeys, fruit and everything else that goes in.

use super::Checker;
use crate::catalogue::Entry;
use crate::engine::recipe::{Amount, Form, Ingredient, Kind, When};
use crate::recipes::forms::quantity::{parts_of, read_amount};
use crate::recipes::forms::{Group, NONE, Row, cell_id};

/// Columns in which something typed makes a row one that counts.
const TELLING: &[&str] = &[
    "pick",
    "name",
    "form",
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
    "remark",
];

impl Checker<'_> {
    /// All rows of both groups, in the document's order; their faults in the form's.
    pub(super) fn items(&mut self) {
        let form = self.form;
        let before = self.out.faults.len();
        for (group, row) in form.items_in_order() {
            self.item(group, row);
        }
        let found = self.out.faults.get_mut(before..).unwrap_or_default();
        found.sort_by_key(|(field, _)| !field.starts_with(Group::Honey.word()));
    }

    fn item(&mut self, group: Group, row: &Row) {
        // A honey's row begins with a time; any other is chosen.
        let timed = group == Group::Other && !row.is_blank(&["when"]);
        if row.is_blank(TELLING) && !timed {
            return;
        }
        let id = |column: &str| cell_id(group, &row.key, column);
        let at = format!("/ingredients/{}", self.out.recipe.ingredients.len());
        let pick = row.cell("pick");
        let entry = self
            .catalogue
            .find(pick)
            .filter(|entry| (kind_of(entry) == Kind::Honey) == (group == Group::Honey));
        if entry.is_none() && pick != "own" {
            self.refuse(id("pick"), "Choose one of the list, or your own.");
        }
        let kind = match (group, entry) {
            (Group::Honey, _) => Kind::Honey,
            (_, Some(entry)) => kind_of(entry),
            (_, None) => Kind::from_word(row.cell("kind")).unwrap_or_else(|| {
                if pick == "own" {
                    self.refuse(id("kind"), "Choose what kind of thing it is.");
                }
                Kind::Other
            }),
        };
        let name = match (row.cell("name").trim(), entry) {
            ("", Some(entry)) => entry.name.clone(),
            ("", None) => {
                if pick == "own" {
                    self.refuse(id("name"), "Give it a name.");
                }
                String::new()
            }
            (typed, entry) => {
                self.keep_usual(
                    &format!("{at}/name"),
                    typed,
                    entry.map(|entry| &*entry.name),
                );
                typed.to_owned()
            }
        };
        let told = row.cell("kind");
        if entry.is_some() && !told.is_empty() && told != kind.as_str() {
            self.keep(&format!("{at}/kind"), told);
        }
        let when = match (row.cell("when"), entry) {
            ("", Some(entry)) => When::from_word(entry.when.word()).unwrap_or(When::Must),
            ("", None) => When::Must,
            (word, _) => When::from_word(word).unwrap_or_else(|| {
                self.refuse(id("when"), "Choose when it goes in.");
                When::Must
            }),
        };
        let form = match row.cell("form") {
            "" => entry.and_then(usual_form),
            NONE => None,
            word => {
                let form = Form::from_word(word);
                if form.is_none() {
                    self.refuse(id("form"), "Choose the form it comes in.");
                }
                form
            }
        };
        let amount = self.amount(group, row, kind, &at);
        let mut optional = |column: &str, key: &str| {
            self.optional(&id(column), row.cell(column), &format!("{at}/{key}"))
        };
        let days = optional("days", "days");
        let price = optional("price", "price_per_kg");
        let composition = self.composition(group, row, kind, entry, &at);
        self.place(at, id("pick"));
        self.out.item_rows.push((group, row.key.clone()));
        self.out.recipe.ingredients.push(Ingredient {
            key: key_of(row, entry.map(|entry| &entry.key)),
            name,
            kind,
            form,
            days,
            when,
            amount,
            composition,
            price_per_kg: price,
            note: Some(row.cell("remark").trim().to_owned()).filter(|note| !note.is_empty()),
        });
    }

    fn amount(&mut self, group: Group, row: &Row, kind: Kind, at: &str) -> Option<Amount> {
        let field = cell_id(group, &row.key, "amount");
        let text = row.cell("amount");
        self.place(format!("{at}/amount"), field.clone());
        if text.trim().is_empty() && self.form.fills_up(group, &row.key) {
            return None;
        }
        if text.trim().is_empty() && group != Group::Honey {
            self.refuse(field, "Write how much, such as 2.5 kg, 4 L or 0.5 g/L.");
            return None;
        }
        match read_amount(text, kind, self.units) {
            Ok(amount) => {
                if !text.trim().is_empty() {
                    let (key, _) = parts_of(amount);
                    self.keep(&format!("{at}/amount/{key}"), text);
                }
                Some(amount)
            }
            Err(fault) => {
                self.refuse(field, fault);
                None
            }
        }
    }
}

/// The key that goes into the document: the entry's that was picked, else the one the row came with, though the
/// catalogue may know it no longer.
pub(super) fn key_of(row: &Row, picked: Option<&String>) -> Option<String> {
    let carried = || Some(row.cell("entry").to_owned()).filter(|key| !key.is_empty());
    picked.cloned().or_else(carried)
}

/// The kind of an entry, as the document has it.
pub(in crate::recipes::forms) fn kind_of(entry: &Entry) -> Kind {
    Kind::from_word(entry.kind.word()).unwrap_or(Kind::Other)
}

/// The form an entry comes in, as the document has it.
pub(in crate::recipes::forms) fn usual_form(entry: &Entry) -> Option<Form> {
    entry.form.and_then(|form| Form::from_word(form.word()))
}
