//! What leads from one form to another, taken apart: each change by itself on the form before.

pub mod pages;

use crate::catalogue::club::ClubCatalogue;
use crate::recipes::compare::Change;
use crate::recipes::forms::{Group, SINGLE, Workbench};

/// Fields that mean something only together; each of the others is a change by itself.
const TOGETHER: &[&[&str]] = &[
    &["aim", "strength", "gravity", "honey_to_use"],
    &["finish", "final_gravity"],
];
/// What fields of one thing begin with.
const BEGINNINGS: &[&str] = &["vessel_", "water_"];

/// The form before, with one change of those that lead to the form after: one for each, in the order of the page.
pub fn one_at_a_time(
    before: &Workbench,
    after: &Workbench,
    catalogue: &ClubCatalogue,
) -> Vec<Workbench> {
    let singles = sets_of_fields().into_iter().filter_map(|fields| {
        let mut form = before.clone();
        let differ = |field: &&&str| before.text(field) != after.text(field);
        let different: Vec<_> = fields.iter().filter(differ).collect();
        for field in &different {
            form.set(field, after.text(field));
        }
        (!different.is_empty()).then_some(form)
    });
    let rows = Group::ALL.into_iter().flat_map(|group| {
        let most = before.rows(group).len().max(after.rows(group).len());
        (0..most).filter_map(move |at| with_row(before, after, group, at, catalogue))
    });
    singles.chain(rows).collect()
}

/// What a new row says, or one that is gone, on one line: "Fruit and others: none, then cinnamon, 0.5 g/L".
pub fn in_short(changes: Vec<Change>) -> Vec<Change> {
    let row = |change: &Change| {
        let (row, _) = change.label.split_once(", ")?;
        let (group, _) = row.rsplit_once(' ')?;
        Some(group.to_owned())
    };
    let Some(group) = changes.first().and_then(row) else {
        return changes;
    };
    let tells = |change: &&Change| {
        let column = change.label.rsplit(", ").next();
        column.is_some_and(|column| !matches!(column, "kind" | "form" | "entry"))
    };
    let joined = |text: fn(&Change) -> &String| {
        let texts = changes.iter().filter(tells).map(text);
        texts.cloned().collect::<Vec<_>>().join(", ")
    };
    let all_none = |text: fn(&Change) -> &String| changes.iter().all(|it| text(it) == "none");
    let (before, after) = match changes.len() > 1 {
        true if all_none(|it| &it.before) => ("none".to_owned(), joined(|it| &it.after)),
        true if all_none(|it| &it.after) => (joined(|it| &it.before), "none".to_owned()),
        _ => return changes,
    };
    vec![Change {
        label: group,
        before,
        after,
    }]
}

fn sets_of_fields() -> Vec<Vec<&'static str>> {
    let mut sets: Vec<Vec<&'static str>> = Vec::new();
    let set_of = |field: &str| -> Vec<&'static str> {
        let together = TOGETHER.iter().find(|fields| fields.contains(&field));
        let beginning = BEGINNINGS.iter().find(|word| field.starts_with(**word));
        let all = SINGLE.iter().copied();
        match (together, beginning) {
            (Some(fields), _) => fields.to_vec(),
            (None, Some(word)) => all.filter(|name| name.starts_with(*word)).collect(),
            (None, None) => all.filter(|name| *name == field).collect(),
        }
    };
    for field in SINGLE {
        if !sets.iter().any(|set| set.contains(field)) {
            sets.push(set_of(field));
        }
    }
    sets
}

/// The form before with the row at this place as it is after: other, new or gone; `None` where it is the same.
fn with_row(
    before: &Workbench,
    after: &Workbench,
    group: Group,
    at: usize,
    catalogue: &ClubCatalogue,
) -> Option<Workbench> {
    let (was, is) = (before.rows(group).get(at), after.rows(group).get(at));
    let mut form = before.clone();
    match (was, is) {
        (Some(was), Some(is)) => {
            let mut changed = is.clone();
            changed.key.clone_from(&was.key);
            if changed == *was {
                return None;
            }
            *form.rows_mut(group).get_mut(at)? = changed;
        }
        (Some(was), None) => form.remove_row(group, &was.key, catalogue),
        (None, Some(is)) => {
            form.put_row(group, is.clone());
        }
        (None, None) => return None,
    }
    Some(form)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(pairs: &[(&str, &str)], honeys: &[&str]) -> Workbench {
        let mut form = Workbench::default();
        for (name, text) in pairs {
            form.set(name, *text);
        }
        for honey in honeys {
            form.add_row(Group::Honey, &[("name", honey)]);
        }
        form
    }

    #[test]
    fn each_change_is_made_by_itself_on_the_form_before() {
        let before = form(
            &[("aim", "abv"), ("strength", "10 %"), ("volume", "5 L")],
            &["clover", "heather"],
        );
        let after = form(
            &[("aim", "gravity"), ("gravity", "1.090"), ("volume", "5 L")],
            &["lime"],
        );
        let steps = one_at_a_time(&before, &after, &ClubCatalogue::default());
        assert_eq!(
            steps.len(),
            3,
            "the aim with its figure, one honey, one gone"
        );
        assert_eq!(
            (
                steps[0].text("aim"),
                steps[0].text("gravity"),
                steps[0].text("strength")
            ),
            ("gravity", "1.090", "")
        );
        let names = |form: &Workbench| -> Vec<String> {
            let rows = form.rows(Group::Honey).iter();
            rows.map(|row| row.cell("name").to_owned()).collect()
        };
        assert_eq!(names(&steps[0]), ["clover", "heather"]);
        assert_eq!(names(&steps[1]), ["lime", "heather"]);
        assert_eq!(names(&steps[2]), ["clover"]);
        assert_eq!(steps[1].text("aim"), "abv");
    }

    #[test]
    fn a_new_row_is_one_line_and_a_changed_cell_stays_what_it_is() {
        let change = |label: &str, before: &str, after: &str| Change {
            label: label.to_owned(),
            before: before.to_owned(),
            after: after.to_owned(),
        };
        let new = vec![
            change("Fruit and others 2, choice", "none", "Cinnamon"),
            change("Fruit and others 2, kind", "none", "spice"),
            change("Fruit and others 2, amount", "none", "0.5 g/L"),
        ];
        let line = change("Fruit and others", "none", "Cinnamon, 0.5 g/L");
        assert_eq!(in_short(new), [line]);
        let cells = vec![
            change("Honey 1, choice", "Clover", "Lime"),
            change("Honey 1, price", "none", "12"),
        ];
        assert_eq!(in_short(cells.clone()), cells);
        let fields = vec![
            change("Vessel", "none", "Bucket, 15 L"),
            change("Vessel, kind", "none", "bucket"),
        ];
        assert_eq!(in_short(fields.clone()), fields);
    }

    #[test]
    fn nothing_changed_is_no_change() {
        let one = form(&[("volume", "5 L"), ("vessel_brim", "6 L")], &["clover"]);
        assert!(one_at_a_time(&one, &one, &ClubCatalogue::default()).is_empty());
    }

    #[test]
    fn every_field_is_in_one_set() {
        let sets = sets_of_fields();
        for field in SINGLE {
            let holding = sets.iter().filter(|set| set.contains(field));
            assert_eq!(holding.count(), 1, "{field}");
        }
    }
}
