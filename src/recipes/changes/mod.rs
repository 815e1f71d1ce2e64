//! What leads from one form to another, taken apart: each difference by itself, to be shown and to be brought into a form.

mod beside;
mod bring;
pub mod pages;
pub mod picker;
mod said;
pub mod take;

use crate::catalogue::club::ClubCatalogue;
use crate::recipes::forms::{Group, Row, SINGLE, Workbench, filler_parts};

use crate::recipes::pairs::pair_up;

use bring::{fields_into, row_into};

/// Fields that mean something only together; each of the others is a difference by itself.
const TOGETHER: &[&[&str]] = &[
    &["aim", "strength", "gravity", "honey_to_use"],
    &["finish", "final_gravity"],
];
/// What fields of one thing begin with.
const BEGINNINGS: &[&str] = &["vessel_", "water_"];
/// Fields about a revision, not of its text.
const BESIDES: &[&str] = &["note", "visibility"];
/// One difference between two forms.
#[derive(Clone, Debug, PartialEq)]
pub enum Difference {
    /// Fields that stand once.
    Fields(Vec<&'static str>),
    /// A row: its place in the form before and in the form after, where it is there.
    Row(Group, Option<usize>, Option<usize>),
}

/// Why a difference cannot be brought into a form: what the sentence is about, and what is so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// What would be changed or taken out is not there.
    NotThere(String),
    /// What would be added is there already.
    ThereAlready(String),
    /// No more rows of that sort.
    Full,
    /// It says the same already.
    Same,
}

impl Difference {
    /// Its word in addresses: "aim", "other-2-1", "step-0-3".
    pub fn word(&self) -> String {
        let place = |at: &Option<usize>| at.map_or(0, |at| at + 1);
        match self {
            Difference::Fields(fields) => fields.first().copied().unwrap_or_default().to_owned(),
            Difference::Row(group, was, is) => {
                format!("{}-{}-{}", group.word(), place(was), place(is))
            }
        }
    }

    /// The same, from the form after to the form before.
    pub fn turned(&self) -> Difference {
        match self {
            Difference::Fields(fields) => Difference::Fields(fields.clone()),
            Difference::Row(group, was, is) => Difference::Row(*group, *is, *was),
        }
    }

    /// Brings what leads from one form to the other into a third, which may be the first of them.
    pub fn put_into(
        &self,
        form: &Workbench,
        from: &Workbench,
        to: &Workbench,
        catalogue: &ClubCatalogue,
    ) -> Result<Workbench, Obstacle> {
        let new = match self {
            Difference::Fields(fields) => fields_into(form, fields, to, catalogue)?,
            Difference::Row(group, was, is) => {
                let row = |form: &Workbench, at: &Option<usize>| {
                    at.and_then(|at| form.rows(*group).get(at).cloned())
                };
                let rows = (row(from, was), row(to, is));
                row_into(form, *group, rows, catalogue)?
            }
        };
        match new == *form {
            true => Err(Obstacle::Same),
            false => Ok(new),
        }
    }
}

/// All differences that lead from one form to the other, in the order of the page.
pub fn differences(
    before: &Workbench,
    after: &Workbench,
    catalogue: &ClubCatalogue,
) -> Vec<Difference> {
    let differ = |field: &&'static str| {
        said_of(before, field, catalogue) != said_of(after, field, catalogue)
    };
    let fields = sets_of_fields().into_iter();
    let fields = fields
        .filter(|set| set.iter().any(&differ))
        .map(Difference::Fields);
    let rows = Group::ALL.into_iter().flat_map(|group| {
        let (was, is) = (before.rows(group), after.rows(group));
        pairs(group, was, is, catalogue)
            .into_iter()
            .filter(|(at, to)| {
                let cells = |rows: &[Row], at: &Option<usize>| {
                    let row = at.and_then(|at| rows.get(at))?;
                    Some(
                        group
                            .columns()
                            .iter()
                            .map(|name| row.cell(name).to_owned())
                            .collect::<Vec<_>>(),
                    )
                };
                let blank = |cells: &Option<Vec<String>>| {
                    cells.iter().flatten().all(|text| text.trim().is_empty())
                };
                let (was, is) = (cells(was, at), cells(is, to));
                was != is && !(blank(&was) && blank(&is))
            })
            .map(move |(at, to)| Difference::Row(group, at, to))
            .collect::<Vec<_>>()
    });
    fields.chain(rows).collect()
}

/// The text of a field; what fills up is told by its name, for its row may stand elsewhere.
fn said_of(form: &Workbench, field: &str, catalogue: &ClubCatalogue) -> String {
    match field {
        "filler" => filler(form, catalogue).map_or_else(
            || filler_parts(form.text(field)).0.to_owned(),
            |(group, name)| format!("{} {name}", group.word()),
        ),
        _ => form.text(field).to_owned(),
    }
}

/// The row that fills up in place of water: its group and its name.
fn filler(form: &Workbench, catalogue: &ClubCatalogue) -> Option<(Group, String)> {
    Group::ITEMS.into_iter().find_map(|group| {
        let mut rows = form.rows(group).iter();
        let row = rows.find(|row| form.fills_up(group, &row.key))?;
        Some((group, row.called(catalogue)?))
    })
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
    for field in SINGLE.iter().filter(|field| !BESIDES.contains(field)) {
        if !sets.iter().any(|set| set.contains(field)) {
            sets.push(set_of(field));
        }
    }
    sets
}

/// Rows of a group that belong together: the same, then those of one thing, then what took another's place.
fn pairs(
    group: Group,
    before: &[Row],
    after: &[Row],
    catalogue: &ClubCatalogue,
) -> Vec<(Option<usize>, Option<usize>)> {
    type Two<'a> = (usize, &'a Row);
    let same = |a: Two<'_>, b: Two<'_>| group.columns().iter().all(|c| a.1.cell(c) == b.1.cell(c));
    let alike = |a: Two<'_>, b: Two<'_>| is_one_thing(group, a.1, b.1, catalogue);
    let at_once = |a: Two<'_>, b: Two<'_>| alike(a, b) && a.1.cell("when") == b.1.cell("when");
    let took_its_place = |a: Two<'_>, b: Two<'_>| match group {
        Group::Honey | Group::Yeast | Group::Feed => true,
        Group::Other | Group::Salt | Group::Step => a.0 == b.0,
    };
    pair_up(before, after, &[&same, &at_once, &alike, &took_its_place])
}

/// Whether two rows are about one thing: by what it is called, a step by its words or its time.
fn is_one_thing(group: Group, a: &Row, b: &Row, catalogue: &ClubCatalogue) -> bool {
    let both = |column: &str| {
        let (a, b) = (a.cell(column).trim(), b.cell(column).trim());
        !a.is_empty() && a == b
    };
    match group {
        Group::Step => both("text") || both("when"),
        Group::Salt => both("pick"),
        _ => {
            let name = a.called(catalogue);
            name.is_some() && name == b.called(catalogue)
        }
    }
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

    fn alone(before: &Workbench, after: &Workbench) -> Vec<Workbench> {
        let club = ClubCatalogue::default();
        differences(before, after, &club)
            .iter()
            .map(|one| {
                one.put_into(before, before, after, &club)
                    .expect("it is there")
            })
            .collect()
    }

    fn names(form: &Workbench) -> Vec<&str> {
        let rows = form.rows(Group::Honey).iter();
        rows.map(|row| row.cell("name")).collect()
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
        let steps = alone(&before, &after);
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
        assert_eq!(names(&steps[0]), ["clover", "heather"]);
        assert_eq!(names(&steps[1]), ["lime", "heather"]);
        assert_eq!(names(&steps[2]), ["clover"]);
        assert_eq!(steps[1].text("aim"), "abv");
    }

    #[test]
    fn the_same_thing_at_another_place_is_no_difference() {
        let before = form(&[], &["clover", "heather", "lime"]);
        let after = form(&[], &["lime", "clover"]);
        let steps = alone(&before, &after);
        assert_eq!(steps.len(), 1);
        assert_eq!(names(&steps[0]), ["clover", "lime"], "heather is gone");
    }

    #[test]
    fn all_differences_together_make_one_form_of_the_other() {
        let club = ClubCatalogue::default();
        let mut before = form(
            &[("volume", "5 L"), ("finish", "dry")],
            &["clover", "heather"],
        );
        let mut after = form(
            &[
                ("volume", "9 L"),
                ("finish", "sweeten"),
                ("final_gravity", "1.01"),
            ],
            &["heather", "lime"],
        );
        before.add_row(Group::Step, &[("when", "day 3"), ("text", "stir")]);
        after.add_row(Group::Step, &[("when", "day 3"), ("text", "stir twice")]);
        after.add_row(Group::Other, &[("name", "plums"), ("amount", "1 kg")]);
        let mut own = before.clone();
        for one in differences(&before, &after, &club) {
            own = one
                .put_into(&own, &before, &after, &club)
                .expect("it goes in");
        }
        assert_eq!(differences(&own, &after, &club), []);
    }

    #[test]
    fn what_is_not_there_or_there_already_is_told() {
        let club = ClubCatalogue::default();
        let before = form(&[], &["clover"]);
        let mut after = before.clone();
        after.rows_mut(Group::Honey)[0].set("amount", "2 kg");
        let found = differences(&before, &after, &club);
        let into = |own: &Workbench| found[0].put_into(own, &before, &after, &club);
        assert_eq!(
            into(&form(&[], &["lime"])),
            Err(Obstacle::NotThere("clover".to_owned()))
        );
        assert_eq!(into(&after), Err(Obstacle::Same));
        let gone = form(&[], &[]);
        let new = differences(&gone, &before, &club);
        assert_eq!(
            new[0].put_into(&after, &gone, &before, &club),
            Err(Obstacle::ThereAlready("clover".to_owned()))
        );
        // A row of the third form keeps what the change does not touch.
        let mut own = form(&[], &["heather", "clover"]);
        own.rows_mut(Group::Honey)[1].set("price", "9");
        let taken = into(&own).expect("clover is there");
        let row = &taken.rows(Group::Honey)[1];
        assert_eq!((row.cell("amount"), row.cell("price")), ("2 kg", "9"));
    }

    #[test]
    fn what_fills_up_is_found_by_its_name() {
        let club = ClubCatalogue::default();
        let before = form(&[("filler", "water")], &["clover", "heather"]);
        let after = form(&[("filler", "honey-2")], &["clover", "heather"]);
        let own = form(&[("filler", "water")], &["heather"]);
        let found = differences(&before, &after, &club);
        assert_eq!(found.len(), 1);
        let taken = found[0].put_into(&own, &before, &after, &club);
        assert_eq!(
            taken.expect("heather is there").text("filler"),
            "honey-1 heather"
        );
        let other = form(&[("filler", "water")], &["clover"]);
        assert_eq!(
            found[0].put_into(&other, &before, &after, &club),
            Err(Obstacle::NotThere("heather".to_owned()))
        );
    }

    #[test]
    fn nothing_changed_is_no_change() {
        let one = form(&[("volume", "5 L"), ("vessel_brim", "6 L")], &["clover"]);
        assert!(differences(&one, &one, &ClubCatalogue::default()).is_empty());
    }

    #[test]
    fn words_tell_differences_apart_and_turn_with_them() {
        let row = Difference::Row(Group::Other, None, Some(2));
        assert_eq!(
            (row.word(), row.turned().word()),
            ("other-0-3".to_owned(), "other-3-0".to_owned())
        );
        assert_eq!(Difference::Fields(vec!["aim", "strength"]).word(), "aim");
    }

    #[test]
    fn every_field_is_in_one_set() {
        let sets = sets_of_fields();
        for field in SINGLE {
            let holding = sets.iter().filter(|set| set.contains(field));
            let wanted = usize::from(!BESIDES.contains(field));
            assert_eq!(holding.count(), wanted, "{field}");
        }
    }
}
