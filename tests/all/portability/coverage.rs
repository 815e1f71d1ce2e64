//! Nothing that belongs to a member is forgotten: every table that names one is exported, or named with the reason.

use std::collections::BTreeSet;

use mustwright::portability::kinds::{ALL, Covered, TABLES};

use crate::support::Club;

/// Tables with a foreign key to that one.
async fn pointing_to(club: &Club, table: &str) -> BTreeSet<String> {
    let found: Vec<String> = sqlx::query_scalar(
        "select distinct conrelid::regclass::text from pg_constraint
         where contype = 'f' and confrelid = $1::regclass and conrelid <> confrelid",
    )
    .bind(table)
    .fetch_all(club.pool())
    .await
    .unwrap();
    found.into_iter().collect()
}

#[tokio::test]
async fn every_table_that_names_a_member_is_exported_or_told_why_not() {
    let club = Club::open().await;
    let mut there = pointing_to(&club, "members").await;
    there.insert("members".to_owned());
    let told: BTreeSet<String> = TABLES
        .iter()
        .map(|(table, _)| (*table).to_owned())
        .collect();
    assert_eq!(
        there.difference(&told).collect::<Vec<_>>(),
        [""; 0],
        "they name a member: give them a kind, or the reason why they are not exported"
    );
    assert_eq!(
        told.difference(&there).collect::<Vec<_>>(),
        [""; 0],
        "these name no member any more"
    );
    for (table, covered) in TABLES {
        match covered {
            Covered::By(kind) => {
                assert!(
                    ALL.iter().any(|known| known.name() == *kind),
                    "{table}: {kind}"
                );
            }
            Covered::Not(reason) => assert!(reason.len() > 10, "{table}"),
        }
    }
}

/// Tables that go with a recipe when it is removed for good, by the function that removes it or by their own rule.
const GO_WITH_A_RECIPE: &[&str] = &[
    // These stay, and forget which recipe it was.
    "batches",
    "honey_order_lines",
    "meeting_pours",
    "recipe_comments",
    "recipe_drafts",
    "recipe_links",
    "recipe_ratings",
    "recipe_facets",
    "recipes",
    "revision_numbers",
    "revisions",
];

#[tokio::test]
async fn every_table_that_names_a_recipe_lets_it_go() {
    let club = Club::open().await;
    let mut there = pointing_to(&club, "recipes").await;
    there.extend(pointing_to(&club, "revisions").await);
    let told: BTreeSet<String> = GO_WITH_A_RECIPE
        .iter()
        .map(|table| (*table).to_owned())
        .collect();
    assert_eq!(
        there, told,
        "see to it that removing a recipe for good takes or spares their rows"
    );
}
