//! Categories as they are judged: the published rule, what it makes of the entries that stand, and doing it.

pub mod store;

use std::collections::{BTreeMap, HashMap};

use askama::Template;
use axum::extract::{Path, State as Shared};
use serde_json::{Value, json};
use sqlx::PgConnection;

use super::paths;
use super::view::{self, Around};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::entries::{self, Arrival, Entry};
use crate::competitions::model::{Category, CategoryId, Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::engine::contest::merge::{self, Change, Counted};
use crate::engine::contest::order::{Poured, compare};
use crate::engine::contest::rules::Rules;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, page, see_other};
use crate::web::shell::Shell;
use crate::web::viewer::{Member, Viewer};

/// The longest name of a category, in letters.
const NAME_MAX: usize = 80;

/// What became of categories, one sentence each, for whoever entered into them.
pub fn became(categories: &[Category]) -> Vec<(CategoryId, String)> {
    let named = |id: CategoryId| {
        let found = categories.iter().find(|one| one.id == id);
        found.map_or("", |one| one.name.as_str())
    };
    let of = |category: &Category| {
        let parts: Vec<&str> = categories
            .iter()
            .filter(|one| one.part_of == Some(category.id))
            .map(|one| one.name.as_str())
            .collect();
        let name = &category.name;
        match (category.merged_into, parts.as_slice()) {
            (Some(into), _) => Some(format!("{name} is judged with {}.", named(into))),
            (None, []) => None,
            (None, parts) => Some(format!("{name} is judged in parts: {}.", parts.join(", "))),
        }
    };
    categories
        .iter()
        .filter_map(|category| Some((category.id, of(category)?)))
        .collect()
}

/// What the rule did to the category in which an entry is judged: for the page of whoever entered it.
pub fn told_of(categories: &[Category], category: CategoryId) -> Vec<String> {
    let own = categories.iter().find(|one| one.id == category);
    let origin = own.and_then(|own| own.part_of);
    let into = |of: Option<CategoryId>| of.is_some() && (of == Some(category) || of == origin);
    let concerns = |id: CategoryId| {
        let one = categories.iter().find(|one| one.id == id);
        Some(id) == origin || one.is_some_and(|one| into(one.merged_into))
    };
    let said = became(categories).into_iter();
    said.filter(|(id, _)| concerns(*id))
        .map(|(_, said)| said)
        .collect()
}

/// Whether an entry counts: not withdrawn, and nobody said that there is nothing to pour.
fn stands(entry: &Entry) -> bool {
    entry.withdrawn_at.is_none() && entry.arrival.is_none_or(Arrival::can_be_poured)
}

/// What the rule does to the categories as they stand.
struct Due {
    changes: Vec<Change>,
    /// Entries of each category that stand, in the order of pouring.
    entries: BTreeMap<CategoryId, Vec<Entry>>,
}

impl Due {
    async fn read(conn: &mut PgConnection, opened: &Opened, of: &[Category]) -> Result<Due, Error> {
        let mut entries: BTreeMap<CategoryId, Vec<Entry>> = BTreeMap::new();
        let all = entries::store::all(conn, opened.competition.id).await?;
        for entry in all.into_iter().filter(stands) {
            entries.entry(entry.category).or_default().push(entry);
        }
        for own in entries.values_mut() {
            own.sort_by(|one, other| {
                compare(&Poured::from(&one.declared), &Poured::from(&other.declared))
                    .then_with(|| one.code.cmp(&other.code))
            });
        }
        let is_split = |category: &Category| of.iter().any(|one| one.part_of == Some(category.id));
        let judged = of
            .iter()
            .filter(|category| category.merged_into.is_none() && !is_split(category));
        let counted: Vec<Counted> = judged
            .map(|category| Counted {
                key: category.id.0,
                family: category.family.clone(),
                entries: entries.get(&category.id).map_or(0, Vec::len),
            })
            .collect();
        Ok(Due {
            changes: merge::changes(&counted, &opened.competition.rules),
            entries,
        })
    }

    /// In words, as it would be.
    fn told(&self, categories: &[Category]) -> Vec<String> {
        let name = |key: i64| {
            let found = categories.iter().find(|one| one.id.0 == key);
            found.map_or("", |one| one.name.as_str())
        };
        let told = self.changes.iter().map(|change| match change {
            Change::Merge { from, into } => {
                format!("{} goes into {}.", name(*from), name(*into))
            }
            Change::Split { of, parts } => {
                let sizes: Vec<String> = parts.iter().map(usize::to_string).collect();
                format!(
                    "{} is judged in parts of {}.",
                    name(*of),
                    sizes.join(" and ")
                )
            }
        });
        told.collect()
    }
}

/// A category as it is judged.
struct Row {
    name: String,
    about: String,
    entries: String,
}

#[derive(Template)]
#[template(path = "competitions/flights/categories.html")]
struct CategoriesPage {
    shell: Shell,
    competition_url: String,
    title: String,
    rule: Vec<String>,
    judged: Vec<Row>,
    became: Vec<String>,
    /// Before the close nobody knows how many there are.
    counted: bool,
    due: Vec<String>,
    regroup_at: Option<String>,
    once: String,
}

fn counted(count: i64) -> String {
    match count {
        1 => "1 entry".to_owned(),
        many => format!("{many} entries"),
    }
}

pub(super) async fn show(
    Shared(app): Shared<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    let competition = &opened.competition;
    let categories = crate::competitions::store::categories(&mut conn, competition.id).await?;
    let counts = store::counts(&mut conn, competition.id).await?;
    let can = opened.has(Duty::Organiser) && opened.allows(Act::Regroup);
    let due = match can {
        true => Due::read(&mut conn, &opened, &categories)
            .await?
            .told(&categories),
        false => Vec::new(),
    };
    drop(conn);
    let closed = competition.phase > Phase::Open;
    let is_split = |category: &Category| {
        categories
            .iter()
            .any(|one| one.part_of == Some(category.id))
    };
    let judged = categories
        .iter()
        .filter(|one| one.merged_into.is_none() && !is_split(one))
        .map(|one| Row {
            name: one.name.clone(),
            about: one.about.clone(),
            entries: counted(counts.get(&one.id).copied().unwrap_or(0)),
        });
    let around = Around::of(&app, &member, &opened);
    page(&CategoriesPage {
        competition_url: around.competition_url,
        title: around.title,
        rule: merge::in_words(&competition.rules),
        judged: judged.collect(),
        became: became(&categories)
            .into_iter()
            .map(|(_, said)| said)
            .collect(),
        counted: closed,
        regroup_at: (can && !due.is_empty()).then(|| view::at(&app, &opened, paths::REGROUP)),
        due,
        once: Once::fresh(&Viewer::known(member.clone()))?,
        shell: around.shell,
    })
}

/// The name of a part of a category.
fn part_name(name: &str, part: usize) -> String {
    let behind = format!(", part {part}");
    let room = NAME_MAX.saturating_sub(behind.chars().count());
    let kept: String = name.chars().take(room).collect();
    format!("{kept}{behind}")
}

/// What a part holds: "dry, 8.0 % to semi-sweet, 12.0 %".
fn part_about(entries: &[Entry]) -> String {
    let told = |entry: &Entry| crate::web::words::contest::sweetness(entry.declared.sweetness);
    match (entries.first(), entries.last()) {
        (Some(first), Some(last)) if told(first) != told(last) => {
            format!("From {} to {}.", told(first), told(last))
        }
        (Some(first), _) => format!("The {} ones.", told(first)),
        _ => String::new(),
    }
}

async fn apply(
    conn: &mut PgConnection,
    opened: &Opened,
    categories: &[Category],
) -> Result<Value, Error> {
    let competition = opened.competition.id;
    let mut due = Due::read(&mut *conn, opened, categories).await?;
    let of: HashMap<i64, &Category> = categories.iter().map(|one| (one.id.0, one)).collect();
    let mut done = Vec::new();
    for change in &due.changes {
        match change {
            Change::Merge { from, into } => {
                let (from, into) = (CategoryId(*from), CategoryId(*into));
                store::merge(&mut *conn, from, into).await?;
                let moved = due.entries.remove(&from).unwrap_or_default();
                due.entries.entry(into).or_default().extend(moved);
                done.push(json!({ "category": from.0, "into": into.0 }));
            }
            Change::Split { of: key, parts } => {
                let Some(category) = of.get(key) else {
                    continue;
                };
                let mut all = due.entries.remove(&category.id).unwrap_or_default();
                all.sort_by(|one, other| {
                    compare(&Poured::from(&one.declared), &Poured::from(&other.declared))
                        .then_with(|| one.code.cmp(&other.code))
                });
                let mut rest = all.into_iter();
                let mut last = category.id;
                for (size, part) in parts.iter().zip(1..) {
                    let own: Vec<Entry> = rest.by_ref().take(*size).collect();
                    let said = (part_name(&category.name, part), part_about(&own));
                    let ids: Vec<_> = own.iter().map(|entry| entry.id).collect();
                    last = store::part(&mut *conn, competition, category, &said, &ids).await?;
                }
                // What is withdrawn, or not there, stands with the last part.
                store::move_rest(&mut *conn, category.id, last).await?;
                done.push(json!({ "category": category.id.0, "parts": parts }));
            }
        }
    }
    Ok(json!({ "changes": done, "rule": rule(&opened.competition.rules) }))
}

fn rule(rules: &Rules) -> Value {
    json!({ "merge_below": rules.merge_below, "split_above": rules.split_above })
}

pub(super) async fn regroup(
    Shared(app): Shared<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = Opened::read(&mut tx, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::REGROUP).await? {
        return see_other(app.site.base(), &location);
    }
    opened.hold(&mut tx, Act::Regroup).await?;
    let competition = opened.competition.id;
    if store::has_flights(&mut tx, competition).await? {
        return Err(Error::conflict(
            "Flights are made already of the categories as they stand.",
        ));
    }
    let categories = crate::competitions::store::categories(&mut tx, competition).await?;
    let deed = Deed {
        deed: "regrouped",
        about: apply(&mut tx, &opened, &categories).await?,
        reason: "",
    };
    deeds::write(
        &mut tx,
        competition,
        Some(member.id),
        &deed,
        app.clock.now(),
    )
    .await?;
    let location = paths::CATEGORIES.with(&[&id]);
    once::settle(&mut tx, &once, &member, paths::REGROUP, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn category(id: i64, name: &str, into: Option<i64>, part_of: Option<i64>) -> Category {
        Category {
            id: CategoryId(id),
            place: 1,
            name: name.to_owned(),
            about: String::new(),
            family: None,
            strength: None,
            merged_into: into.map(CategoryId),
            part_of: part_of.map(CategoryId),
        }
    }

    #[test]
    fn whoever_entered_reads_what_became_of_their_category_and_of_no_other() {
        let all = [
            category(1, "Fruit", None, None),
            category(2, "Spice", Some(1), None),
            category(3, "Fruit, part 1", None, Some(1)),
            category(4, "Fruit, part 2", None, Some(1)),
            category(5, "Plain", None, None),
            category(6, "Light", Some(5), None),
        ];
        let parts = "Fruit is judged in parts: Fruit, part 1, Fruit, part 2.";
        assert_eq!(
            told_of(&all, CategoryId(3)),
            [parts, "Spice is judged with Fruit."]
        );
        assert_eq!(
            told_of(&all, CategoryId(5)),
            ["Light is judged with Plain."]
        );
        assert_eq!(told_of(&all[4..5], CategoryId(5)), [""; 0]);
    }

    #[test]
    fn a_part_keeps_its_number_however_long_the_name() {
        assert_eq!(part_name("Melomel", 2), "Melomel, part 2");
        let long = part_name(&"m".repeat(80), 12);
        assert_eq!(long.chars().count(), 80);
        assert!(long.ends_with("m, part 12"));
    }
}
