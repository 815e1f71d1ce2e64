//! A difference in words: what was typed or chosen before and after, under the labels of the page.

use super::{Difference, filler, is_one_thing};
use crate::catalogue::club::ClubCatalogue;
use crate::recipes::compare::Change;
use crate::recipes::forms::{Group, Row, Workbench, filler_value};
use crate::recipes::workbench::choices::Choices;
use crate::recipes::workbench::labels::changes;

/// The lines that tell a difference.
pub(super) fn said(
    difference: &Difference,
    before: &Workbench,
    after: &Workbench,
    choices: &Choices,
    catalogue: &ClubCatalogue,
) -> Vec<Change> {
    let told = |before: &Workbench, after: &Workbench| changes(before, after, choices, catalogue);
    match difference {
        Difference::Fields(fields) => {
            let only = |form: &Workbench| only_fields(form, fields, catalogue);
            told(&only(before), &only(after))
        }
        Difference::Row(group, was, is) => {
            let row = |form: &Workbench, at: &Option<usize>| {
                at.and_then(|at| form.rows(*group).get(at).cloned())
            };
            let (was, is) = (row(before, was), row(after, is));
            let cells = told(
                &only_row(*group, was.as_ref()),
                &only_row(*group, is.as_ref()),
            );
            in_short(cells, *group, was.as_ref(), is.as_ref(), catalogue)
        }
    }
}

fn only_fields(form: &Workbench, fields: &[&str], catalogue: &ClubCatalogue) -> Workbench {
    let mut only = Workbench::default();
    for field in fields {
        only.set(field, form.text(field));
    }
    // Which row it is says nothing; what it is called does.
    if let (true, Some((group, name))) = (fields.contains(&"filler"), filler(form, catalogue)) {
        only.set("filler", filler_value(group, "1", &name));
    }
    only
}

fn only_row(group: Group, row: Option<&Row>) -> Workbench {
    let mut only = Workbench::default();
    if let Some(row) = row {
        only.put_row(group, row.clone());
    }
    only
}

/// What a new row says, or one that is gone, on one line: "Fruit and others: none, then cinnamon, 0.5 g/L". What changes in
/// a row bears its name: "Blackberry, amount".
fn in_short(
    cells: Vec<Change>,
    group: Group,
    was: Option<&Row>,
    is: Option<&Row>,
    catalogue: &ClubCatalogue,
) -> Vec<Change> {
    let parts = |change: &Change| {
        let (group, column) = change
            .label
            .split_once(" 1, ")
            .unwrap_or((&change.label, ""));
        (group.to_owned(), column.to_owned())
    };
    let Some((words, _)) = cells.first().map(parts) else {
        return cells;
    };
    let joined = |text: fn(&Change) -> &String| {
        let tells =
            |change: &&Change| !matches!(parts(change).1.as_str(), "kind" | "form" | "entry");
        let mut texts: Vec<String> = cells.iter().filter(tells).map(text).cloned().collect();
        texts.dedup();
        texts.join(", ")
    };
    match (was, is) {
        (Some(was), Some(is)) => {
            let one_thing = is_one_thing(group, was, is, catalogue) && group != Group::Step;
            let name = is.called(catalogue).filter(|_| one_thing);
            let line = |change: &Change| Change {
                label: match (parts(change).1, &name) {
                    (column, Some(name)) => format!("{name}, {column}"),
                    (column, None) if column == "choice" => words.clone(),
                    (column, None) => format!("{words}, {column}"),
                },
                ..change.clone()
            };
            // Something of one's own is called what was chosen.
            let told = |change: &&Change| {
                let same =
                    |other: &&Change| other.before == change.before && other.after == change.after;
                parts(change).1 != "called" || cells.iter().filter(same).count() == 1
            };
            cells.iter().filter(told).map(line).collect()
        }
        (None, _) => vec![Change {
            before: "none".to_owned(),
            after: joined(|change| &change.after),
            label: words,
        }],
        (_, None) => vec![Change {
            before: joined(|change| &change.before),
            after: "none".to_owned(),
            label: words,
        }],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipes::changes::differences;
    use crate::web::viewer::Viewer;

    fn lines(before: &Workbench, after: &Workbench) -> Vec<String> {
        let club = ClubCatalogue::default();
        let now = chrono::DateTime::UNIX_EPOCH;
        let reader = crate::recipes::workbench::reader(&Viewer::stranger(), now, club.clone());
        let choices = Choices::of(after, &[], &reader);
        let line =
            |change: Change| format!("{}: {} → {}", change.label, change.before, change.after);
        differences(before, after, &club)
            .iter()
            .flat_map(|one| said(one, before, after, &choices, &club))
            .map(line)
            .collect()
    }

    #[test]
    fn rows_are_told_by_what_they_are() {
        let mut before = Workbench::default();
        before.add_row(
            Group::Honey,
            &[("pick", "honey-clover"), ("amount", "5 kg")],
        );
        before.add_row(Group::Other, &[("pick", "cinnamon"), ("amount", "2 g")]);
        before.add_row(Group::Other, &[("pick", "blackberry"), ("amount", "2 kg")]);
        let mut after = Workbench::default();
        after.add_row(
            Group::Honey,
            &[("pick", "honey-heather"), ("amount", "5 kg")],
        );
        after.add_row(Group::Other, &[("pick", "blackberry"), ("amount", "3 kg")]);
        after.add_row(Group::Step, &[("text", "stir")]);
        let named = |key: &str| {
            let entry = ClubCatalogue::default()
                .find(key)
                .map(|entry| entry.name.clone());
            entry.expect("an entry")
        };
        assert_eq!(
            lines(&before, &after),
            [
                format!(
                    "Honey: {} → {}",
                    named("honey-clover"),
                    named("honey-heather")
                ),
                format!("Fruit and others: {}, 2 g → none", named("cinnamon")),
                format!("{}, amount: 2 kg → 3 kg", named("blackberry")),
                "Step: none → stir".to_owned(),
            ]
        );
    }

    #[test]
    fn what_fills_up_is_told_by_its_name() {
        let mut before = Workbench::default();
        before.set("filler", "water");
        let mut after = before.clone();
        for form in [&mut before, &mut after] {
            form.add_row(Group::Other, &[("name", "press juice")]);
        }
        after.set("filler", "other-1");
        assert_eq!(
            lines(&before, &after),
            ["What fills up: water → press juice"]
        );
    }
}
