//! What leads from one form to another, brought into a third.

use super::{Obstacle, filler, is_one_thing};
use crate::catalogue::club::ClubCatalogue;
use crate::recipes::forms::{Group, MOST_ROWS, Row, Workbench, filler_value};

/// Columns that tell what a thing is, and change together with it.
const WHAT_IT_IS: &[&str] = &[
    "pick",
    "name",
    "kind",
    "form",
    "price",
    "water",
    "fermentable",
    "unfermentable",
    "insoluble",
    "yan",
    "acid",
    "density",
    "spread",
    "entry",
    "tolerance",
    "need",
    "coldest",
    "warmest",
    "attenuation",
    "ammonium",
    "organic",
    "most",
];

/// Fields as they stand in the form `to`.
pub(super) fn fields_into(
    form: &Workbench,
    fields: &[&'static str],
    to: &Workbench,
    catalogue: &ClubCatalogue,
) -> Result<Workbench, Obstacle> {
    let mut new = form.clone();
    for field in fields {
        new.set(field, to.text(field));
    }
    if let (true, Some((group, name))) = (fields.contains(&"filler"), filler(to, catalogue)) {
        let mut rows = form.rows(group).iter();
        let own = rows.find(|row| row.called(catalogue).as_ref() == Some(&name));
        let own = own.ok_or_else(|| Obstacle::NotThere(name.clone()))?;
        new.set("filler", filler_value(group, &own.key, &name));
        // Said in other words it would be the same.
        if form.fills_up(group, &own.key) {
            new.set("filler", form.text("filler"));
        }
    }
    Ok(new)
}

/// What leads from one row to another; a new row has none before, one that is gone none after.
pub(super) fn row_into(
    form: &Workbench,
    group: Group,
    rows: (Option<Row>, Option<Row>),
    catalogue: &ClubCatalogue,
) -> Result<Workbench, Obstacle> {
    let mut new = form.clone();
    // The very row if it is there, else the one about the same thing.
    let twin = |of: &Row| {
        let same = |row: &&Row| group.columns().iter().all(|c| row.cell(c) == of.cell(c));
        let rows = form.rows(group);
        let found = rows.iter().find(same);
        let found = found.or_else(|| {
            rows.iter()
                .find(|row| is_one_thing(group, row, of, catalogue))
        });
        found.map(|row| row.key.clone())
    };
    let not_there = |row: &Row| Obstacle::NotThere(name_of(group, row, catalogue));
    match rows {
        (Some(was), Some(is)) => {
            let key = twin(&was).ok_or_else(|| not_there(&was))?;
            let other_thing = !is_one_thing(group, &was, &is, catalogue);
            let mut own = new.rows_mut(group).iter_mut();
            if let Some(own) = own.find(|row| row.key == key) {
                for column in group.columns() {
                    let goes_along = other_thing && WHAT_IT_IS.contains(column);
                    if goes_along || was.cell(column) != is.cell(column) {
                        own.set(column, is.cell(column));
                    }
                }
            }
        }
        (Some(was), None) => {
            let key = twin(&was).ok_or_else(|| not_there(&was))?;
            new.remove_row(group, &key, catalogue);
        }
        (None, Some(is)) => {
            if twin(&is).is_some() {
                return Err(Obstacle::ThereAlready(name_of(group, &is, catalogue)));
            }
            if form.rows(group).len() >= MOST_ROWS {
                return Err(Obstacle::Full);
            }
            new.put_row(group, is);
        }
        (None, None) => {}
    }
    Ok(new)
}

/// What a row is about, in words.
fn name_of(group: Group, row: &Row, catalogue: &ClubCatalogue) -> String {
    let quoted = |text: &str| format!("the step “{}”", text.trim());
    match group {
        Group::Step if !row.cell("text").trim().is_empty() => quoted(row.cell("text")),
        Group::Step => quoted(row.cell("when")),
        Group::Salt => row.cell("pick").replace('_', " "),
        _ => row
            .called(catalogue)
            .unwrap_or_else(|| "what has no name yet".to_owned()),
    }
}
