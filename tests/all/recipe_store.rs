//! Recipes and revisions in the database: numbering, races, who sees what, the bin.

use std::collections::BTreeSet;
use std::sync::Arc;

use mustwright::recipes::browse::View;
use mustwright::recipes::links::store::{self as links, NewLink};
use mustwright::recipes::model::{Recipe, Shelf, Visibility};
use mustwright::recipes::public_id::PublicId;
use mustwright::recipes::saving::{SaveError, SaveRevision, Source, Target};
use mustwright::recipes::{browse, store};
use mustwright::web::policy::{Action, Facts, may};
use mustwright::web::viewer::{Member, MemberId, Role, Settings, Viewer};
use serde_json::json;
use sqlx::{AssertSqlSafe, Connection, PgConnection};
use tokio::sync::Barrier;

use crate::recipe_database::{
    a_document, a_member, a_recipe, at, code_of, edit, restore_whole, save_whole, some_numbers,
    with_database,
};

#[tokio::test]
async fn revisions_are_numbered_from_one_and_keep_their_text() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let first = a_recipe("Plain").by(&mut conn, anna).await.unwrap();
        assert_eq!(first.number, 1);
        let second = edit(&mut conn, anna, &first.recipe, 1, "Less plain")
            .await
            .unwrap();
        assert_eq!((second.number, &second.recipe), (2, &first.recipe));

        let old = store::find_revision(&mut conn, Some(anna), &first.recipe, 1)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(
            (old.document, old.title.as_str(), old.created_at),
            (a_document("Plain"), "Plain", at(0))
        );
        let new = store::find_revision(&mut conn, Some(anna), &first.recipe, 2)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(
            (new.document, new.note.as_str(), new.author),
            (a_document("Less plain"), "Less plain", anna)
        );

        let recipe = store::find_recipe(&mut conn, Some(anna), &first.recipe)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(
            (recipe.version, recipe.title.as_str(), recipe.updated_at),
            (2, "Less plain", at(60))
        );
        let lines = store::list_revisions(&mut conn, Some(anna), &first.recipe, None, 50)
            .await
            .unwrap();
        assert_eq!(
            lines.iter().map(|line| line.number).collect::<Vec<_>>(),
            [2, 1]
        );
        assert_eq!(lines[0].og, Some(1.0953));
        let older = store::list_revisions(&mut conn, Some(anna), &first.recipe, Some(2), 50)
            .await
            .unwrap();
        assert_eq!(
            older.iter().map(|line| line.number).collect::<Vec<_>>(),
            [1]
        );
    })
    .await;
}

#[tokio::test]
async fn what_no_database_can_store_is_stored_as_a_mark() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let mut numbers = some_numbers();
        numbers.og = Some(f64::NAN);
        numbers.abv_percent = Some(f64::INFINITY);
        numbers.honeys = vec!["hea\0ther".to_owned()];
        let save = SaveRevision {
            author: anna,
            target: Target::New { visibility: Visibility::Private, started_from: None },
            title: "a\0b",
            document: &json!({"notes\0": ["x\0y", {"deep": "\0"}], "figures": [1e300, 1e-300, 0.1, 19.0, -7]}),
            numbers: &numbers,
            note: "\0",
            draft: None,
        };
        let saved = save_whole(&mut conn, &save, at(0)).await.unwrap();
        let kept = store::find_revision(&mut conn, Some(anna), &saved.recipe, 1).await.unwrap().unwrap();
        let mark = "\u{fffd}";
        assert_eq!(kept.title, format!("a{mark}b"));
        assert_eq!(kept.note, mark);
        assert_eq!(kept.document[format!("notes{mark}")][0], format!("x{mark}y"));
        let figures: Vec<f64> =
            kept.document["figures"].as_array().unwrap().iter().map(|n| n.as_f64().unwrap()).collect();
        assert_eq!(figures, [1e300, 1e-300, 0.1, 19.0, -7.0]);
        let page = store::list_recipes(&mut conn, Some(anna), Shelf::Mine, None, 10).await.unwrap();
        assert_eq!((page.lines[0].og, page.lines[0].abv_percent), (None, None));
    })
    .await;
}

#[tokio::test]
async fn revisions_never_change_not_even_for_the_owner_of_the_tables() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        a_recipe("Plain").by(&mut conn, anna).await.unwrap();
        for statement in [
            "update revisions set note = 'other'",
            "delete from revisions",
            "truncate revisions cascade",
        ] {
            let error = sqlx::query(statement)
                .execute(&mut *conn)
                .await
                .expect_err(statement);
            assert_eq!(code_of(&error), "23001", "{statement}: {error}");
        }
    })
    .await;
}

#[tokio::test]
async fn a_recipe_without_its_newest_revision_cannot_be_committed() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        a_recipe("Plain").by(&mut conn, anna).await.unwrap();
        let error = sqlx::query("update recipes set version = version + 1")
            .execute(&mut *conn)
            .await
            .unwrap_err();
        assert!(
            error.to_string().contains("recipes_newest_revision_fkey"),
            "{error}"
        );
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_sixteen_edits_that_saw_the_same_version_one_wins_and_none_is_lost() {
    const EDITORS: usize = 16;
    const ROUNDS: i32 = 20;
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let recipe = a_recipe("Plain").by(&mut conn, anna).await.unwrap().recipe;
        let together = Arc::new(Barrier::new(EDITORS));
        let mut editors = tokio::task::JoinSet::new();
        for editor in 0..EDITORS {
            let (pool, together, recipe) = (pool.clone(), together.clone(), recipe.clone());
            editors.spawn(async move {
                let mut outcomes = Vec::new();
                for round in 1..=ROUNDS {
                    together.wait().await;
                    let text = format!("editor {editor} round {round}");
                    let mut tx = pool.begin().await.unwrap();
                    match edit(&mut tx, anna, &recipe, round, &text).await {
                        Ok(saved) => {
                            tx.commit().await.unwrap();
                            outcomes.push((round, Some((saved.number, text))));
                        }
                        Err(SaveError::Conflict(newest)) => {
                            tx.rollback().await.unwrap();
                            assert_eq!(newest.number, round + 1, "the loser sees what won");
                            assert_eq!(newest.document, a_document(&newest.title));
                            outcomes.push((round, None));
                        }
                        Err(other) => panic!("{other}"),
                    }
                }
                outcomes
            });
        }
        let outcomes = editors.join_all().await.concat();
        assert_eq!(outcomes.len(), EDITORS * ROUNDS as usize);
        let saved: BTreeSet<_> = outcomes
            .into_iter()
            .filter_map(|(_, saved)| saved)
            .collect();
        assert_eq!(saved.len(), ROUNDS as usize, "one winner a round");
        for (number, text) in saved {
            let kept = store::find_revision(&mut conn, Some(anna), &recipe, number)
                .await
                .unwrap()
                .unwrap();
            assert_eq!(kept.note, text);
        }
        let found = store::find_recipe(&mut conn, Some(anna), &recipe)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(found.version, 1 + ROUNDS);
    })
    .await;
}

#[tokio::test]
async fn a_failed_save_leaves_nothing_behind() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        let recipe = a_recipe("Plain").by(&mut conn, anna).await.unwrap().recipe;
        let nowhere = PublicId::random().unwrap();

        assert!(matches!(
            edit(&mut conn, anna, &recipe, 9, "x").await,
            Err(SaveError::Conflict(_))
        ));
        assert!(matches!(
            edit(&mut conn, bert, &recipe, 1, "x").await,
            Err(SaveError::NotFound)
        ));
        assert!(matches!(
            edit(&mut conn, anna, &nowhere, 1, "x").await,
            Err(SaveError::NotFound)
        ));
        let source = Source {
            recipe: &recipe,
            number: 1,
            held: None,
        };
        let copy = a_recipe("x").from(source).by(&mut conn, bert).await;
        assert!(matches!(copy, Err(SaveError::SourceNotFound)), "{copy:?}");
        store::bin(&mut conn, anna, &recipe, at(1)).await.unwrap();
        assert!(matches!(
            edit(&mut conn, anna, &recipe, 1, "x").await,
            Err(SaveError::Binned)
        ));

        let counts: (i64, i64) = sqlx::query_as(
            "select (select count(*) from recipes), (select count(*) from revisions)",
        )
        .fetch_one(&mut *conn)
        .await
        .unwrap();
        assert_eq!(counts, (1, 1));
    })
    .await;
}

#[tokio::test]
async fn titles_and_notes_have_named_limits() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        a_recipe(&"é".repeat(120))
            .by(&mut conn, anna)
            .await
            .unwrap();
        for title in ["", &"é".repeat(121)] {
            let mut tx = conn.begin().await.unwrap();
            let Err(SaveError::Database(error)) = a_recipe(title).by(&mut tx, anna).await else {
                panic!("{title}")
            };
            assert_eq!(
                error.as_database_error().unwrap().constraint(),
                Some("recipes_title_length")
            );
        }
    })
    .await;
}

#[tokio::test]
async fn restoring_makes_a_new_revision_of_the_old_text() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        let recipe = a_recipe("Plain")
            .shown_to(Visibility::Club)
            .by(&mut conn, anna)
            .await
            .unwrap()
            .recipe;
        edit(&mut conn, anna, &recipe, 1, "Spoilt").await.unwrap();

        let stale = restore_whole(&mut conn, anna, &recipe, 1, 1).await;
        assert!(matches!(stale, Err(SaveError::Conflict(_))), "{stale:?}");
        let other = restore_whole(&mut conn, bert, &recipe, 1, 2).await;
        assert!(matches!(other, Err(SaveError::NotFound)), "{other:?}");

        let saved = restore_whole(&mut conn, anna, &recipe, 1, 2).await.unwrap();
        assert_eq!(saved.number, 3);
        let kept = store::find_revision(&mut conn, Some(anna), &recipe, 3)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(
            (kept.document, kept.restored_from),
            (a_document("Plain"), Some(1))
        );
        let line = &store::list_recipes(&mut conn, Some(anna), Shelf::Mine, None, 5)
            .await
            .unwrap()
            .lines[0];
        assert_eq!(
            (line.title.as_str(), line.version, line.og),
            ("Plain", 3, Some(1.0953))
        );
    })
    .await;
}

#[tokio::test]
async fn a_copy_names_its_source_for_ever_and_shows_it_only_while_it_may_be_seen() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        let cleo = a_member(&mut conn, "Cleo", "member").await;
        let source = a_recipe("Plain")
            .shown_to(Visibility::Club)
            .by(&mut conn, anna)
            .await
            .unwrap()
            .recipe;
        let from = Source {
            recipe: &source,
            number: 1,
            held: None,
        };
        let copy = a_recipe("Mine")
            .shown_to(Visibility::Club)
            .from(from)
            .by(&mut conn, bert)
            .await
            .unwrap()
            .recipe;
        edit(&mut conn, anna, &source, 1, "Plainer").await.unwrap();
        edit(&mut conn, bert, &copy, 1, "Mine, changed")
            .await
            .unwrap();

        let seen = store::find_started_from(&mut conn, Some(cleo), &copy)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(
            (seen.number, seen.author_name.as_deref()),
            (1, Some("Anna"))
        );
        assert_eq!(
            (seen.recipe.as_ref(), seen.title.as_deref()),
            (Some(&source), Some("Plain"))
        );
        let copies = store::list_started_here(&mut conn, Some(cleo), &source, 10)
            .await
            .unwrap();
        assert_eq!(
            copies
                .iter()
                .map(|line| line.title.as_str())
                .collect::<Vec<_>>(),
            ["Mine, changed"]
        );

        store::share(&mut conn, anna, &source, Visibility::Private)
            .await
            .unwrap();
        for viewer in [bert, cleo] {
            let seen = store::find_started_from(&mut conn, Some(viewer), &copy)
                .await
                .unwrap()
                .unwrap();
            assert_eq!(
                (seen.number, seen.author_name.as_deref()),
                (1, Some("Anna"))
            );
            assert_eq!((seen.recipe, seen.title), (None, None));
        }
        let seen = store::find_started_from(&mut conn, Some(anna), &copy)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(seen.recipe, Some(source));
        let afresh = store::find_started_from(&mut conn, Some(anna), &seen.recipe.unwrap())
            .await
            .unwrap();
        assert_eq!(afresh, None);
    })
    .await;
}

#[tokio::test]
async fn a_copy_is_never_shared_more_widely_than_another_members_source() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        let source = a_recipe("Plain")
            .shown_to(Visibility::Club)
            .by(&mut conn, anna)
            .await
            .unwrap()
            .recipe;
        let from = Source {
            recipe: &source,
            number: 1,
            held: None,
        };
        let wider = a_recipe("Mine")
            .shown_to(Visibility::Link)
            .from(from)
            .by(&mut conn, bert)
            .await;
        assert!(
            matches!(wider, Err(SaveError::WiderThanSource)),
            "{wider:?}"
        );
        let copy = a_recipe("Mine")
            .from(from)
            .by(&mut conn, bert)
            .await
            .unwrap()
            .recipe;
        let wider = store::share(&mut conn, bert, &copy, Visibility::Link).await;
        assert!(
            matches!(wider, Err(SaveError::WiderThanSource)),
            "{wider:?}"
        );
        let save = SaveRevision {
            author: bert,
            target: Target::Existing {
                recipe: &copy,
                expected_version: 1,
                visibility: Some(Visibility::Link),
            },
            title: "Mine",
            document: &a_document("Mine"),
            numbers: &some_numbers(),
            note: "",
            draft: None,
        };
        let wider = save_whole(&mut conn, &save, at(5)).await;
        assert!(
            matches!(wider, Err(SaveError::WiderThanSource)),
            "{wider:?}"
        );
        store::share(&mut conn, bert, &copy, Visibility::Club)
            .await
            .unwrap();

        let own = a_recipe("Second")
            .shown_to(Visibility::Link)
            .from(from)
            .by(&mut conn, anna)
            .await
            .unwrap()
            .recipe;
        let found = store::find_recipe(&mut conn, Some(anna), &own)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(found.visibility, Visibility::Link);
    })
    .await;
}

/// What the policy says: owners see their own; members see the club's unless it lies in the bin; nobody else.
fn expected(recipe: &Recipe, viewer: Option<MemberId>) -> bool {
    let facts = recipe.facts();
    viewer.is_some() && (facts.owner == viewer || facts.visibility == Visibility::Club)
}

/// Every read that could show the recipe, with its name.
async fn reads(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
) -> Vec<(&'static str, bool)> {
    let mut seen = vec![
        (
            "recipe",
            store::find_recipe(conn, viewer, recipe)
                .await
                .unwrap()
                .is_some(),
        ),
        (
            "revision",
            store::find_revision(conn, viewer, recipe, 1)
                .await
                .unwrap()
                .is_some(),
        ),
        (
            "revisions",
            !store::list_revisions(conn, viewer, recipe, None, 9)
                .await
                .unwrap()
                .is_empty(),
        ),
    ];
    let (mut listed, mut found) = (false, false);
    for shelf in [Shelf::Everything, Shelf::Mine, Shelf::Club, Shelf::Bin] {
        let page = store::list_recipes(conn, viewer, shelf, None, 100)
            .await
            .unwrap();
        listed |= page.lines.iter().any(|line| &line.public_id == recipe);
        let view = View {
            words: "secret".to_owned(),
            ..View::of(shelf)
        };
        let searched = browse::find(conn, viewer, &view, None, 100).await.unwrap();
        found |= searched
            .page
            .lines
            .iter()
            .any(|line| &line.public_id == recipe);
    }
    seen.extend([("list", listed), ("search", found)]);
    if let Some(member) = viewer {
        let mut tx = conn.begin().await.unwrap();
        let copied = a_recipe("Copy")
            .from(Source {
                recipe,
                number: 1,
                held: None,
            })
            .by(&mut tx, member)
            .await;
        seen.push(("copy", copied.is_ok()));
        tx.rollback().await.unwrap();
    }
    seen
}

#[tokio::test]
async fn every_read_shows_a_recipe_to_those_who_may_see_it_and_to_nobody_else() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let owner = a_member(&mut conn, "Olga", "member").await;
        let viewers = [
            Some(owner),
            Some(a_member(&mut conn, "Mia", "member").await),
            Some(a_member(&mut conn, "Otto", "organiser").await),
            Some(a_member(&mut conn, "Kai", "keeper").await),
            None,
        ];
        let mut seen = 0;
        for visibility in Visibility::ALL {
            for binned in [false, true] {
                let saved = a_recipe("Secret")
                    .shown_to(visibility)
                    .by(&mut conn, owner)
                    .await
                    .unwrap();
                if binned {
                    assert!(
                        store::bin(&mut conn, owner, &saved.recipe, at(9))
                            .await
                            .unwrap()
                    );
                }
                let recipe = store::find_recipe(&mut conn, Some(owner), &saved.recipe)
                    .await
                    .unwrap()
                    .unwrap();
                for viewer in viewers {
                    for (read, shown) in reads(&mut conn, viewer, &saved.recipe).await {
                        let wanted = expected(&recipe, viewer);
                        assert_eq!(
                            shown, wanted,
                            "{read}: {visibility:?}, binned {binned}, {viewer:?}"
                        );
                        seen += usize::from(shown);
                    }
                }
            }
        }
        // Six recipes by the owner and one by three members, in six reads each.
        assert_eq!(seen, (6 + 3) * 6);
    })
    .await;
}

#[tokio::test]
async fn a_link_opens_what_the_policy_says_and_nothing_else() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let owner = a_member(&mut conn, "Olga", "member").await;
        let people = [
            (Some(owner), Role::Member),
            (
                Some(a_member(&mut conn, "Mia", "member").await),
                Role::Member,
            ),
            (
                Some(a_member(&mut conn, "Otto", "organiser").await),
                Role::Organiser,
            ),
            (
                Some(a_member(&mut conn, "Kai", "keeper").await),
                Role::Keeper,
            ),
            (None, Role::Member),
        ];
        let viewers = people.map(|(id, role)| match id {
            None => Viewer::stranger(),
            Some(id) => Viewer::known(Member {
                id,
                public_id: "a".repeat(20),
                name: "Somebody".to_owned(),
                role,
                settings: Settings::default(),
                session: 1,
                book_closed: false,
                catalogue: None,
            }),
        });
        let (held, other) = ([7u8; 32], [8u8; 32]);
        let (mut seen, mut copied) = (0, 0);
        for visibility in Visibility::ALL {
            for binned in [false, true] {
                for taken_back in [false, true] {
                    let mut tx = conn.begin().await.unwrap();
                    let saved = a_recipe("Secret")
                        .shown_to(Visibility::Link)
                        .by(&mut tx, owner)
                        .await
                        .unwrap();
                    let recipe = &saved.recipe;
                    let link = NewLink {
                        public_id: &"b".repeat(20),
                        held: &held,
                        note: "",
                    };
                    assert!(
                        links::make_link(&mut tx, owner, recipe, &link, at(0))
                            .await
                            .unwrap()
                    );
                    store::share(&mut tx, owner, recipe, visibility)
                        .await
                        .unwrap();
                    if binned {
                        store::bin(&mut tx, owner, recipe, at(1)).await.unwrap();
                    }
                    if taken_back {
                        links::remove_link(&mut tx, owner, recipe, &"b".repeat(20))
                            .await
                            .unwrap();
                    }
                    let opens = visibility == Visibility::Link && !binned && !taken_back;
                    let found = links::find_linked(&mut tx, &held).await.unwrap();
                    assert_eq!(
                        found.is_some(),
                        opens,
                        "{visibility:?} {binned} {taken_back}"
                    );
                    assert!(links::find_linked(&mut tx, &other).await.unwrap().is_none());
                    let known = store::find_recipe(&mut tx, Some(owner), recipe)
                        .await
                        .unwrap()
                        .unwrap();
                    let facts = Facts {
                        holds_link: opens,
                        ..known.facts()
                    };
                    for viewer in &viewers {
                        let told = format!("{visibility:?} {binned} {taken_back} {viewer:?}");
                        let by_itself = store::find_recipe(&mut tx, viewer.id(), recipe)
                            .await
                            .unwrap();
                        let sees = found.is_some() || by_itself.is_some();
                        assert_eq!(sees, may(viewer, Action::See, &facts), "{told}");
                        if let Some(linked) = &found {
                            assert!(may(viewer, Action::See, &linked.facts()), "{told}");
                        }
                        seen += usize::from(sees);
                        let Some(member) = viewer.id() else { continue };
                        let mut inner = tx.begin().await.unwrap();
                        let from = Source {
                            recipe,
                            number: 1,
                            held: Some(&held),
                        };
                        let copy = a_recipe("Copy").from(from).by(&mut inner, member).await;
                        assert_eq!(copy.is_ok(), may(viewer, Action::Copy, &facts), "{told}");
                        copied += usize::from(copy.is_ok());
                        inner.rollback().await.unwrap();
                    }
                    tx.rollback().await.unwrap();
                }
            }
        }
        // The owner always; three members where the club sees it; all five where the link opens.
        assert_eq!((seen, copied), (12 + 2 * 3 + 4, 12 + 2 * 3 + 3));
    })
    .await;
}

#[tokio::test]
async fn only_the_owner_shares_and_bins() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let kai = a_member(&mut conn, "Kai", "keeper").await;
        let recipe = a_recipe("Plain")
            .shown_to(Visibility::Club)
            .by(&mut conn, anna)
            .await
            .unwrap()
            .recipe;
        assert!(!store::bin(&mut conn, kai, &recipe, at(1)).await.unwrap());
        assert!(!store::unbin(&mut conn, kai, &recipe).await.unwrap());
        let shared = store::share(&mut conn, kai, &recipe, Visibility::Private).await;
        assert!(matches!(shared, Err(SaveError::NotFound)), "{shared:?}");

        assert!(store::bin(&mut conn, anna, &recipe, at(1)).await.unwrap());
        assert!(store::bin(&mut conn, anna, &recipe, at(500)).await.unwrap());
        let binned = store::find_recipe(&mut conn, Some(anna), &recipe)
            .await
            .unwrap()
            .unwrap();
        assert_eq!(binned.binned_at, Some(at(1)), "the first day counts");
        let shelf = |page: mustwright::recipes::model::RecipePage| page.lines.len();
        assert_eq!(
            shelf(
                store::list_recipes(&mut conn, Some(anna), Shelf::Mine, None, 9)
                    .await
                    .unwrap()
            ),
            0
        );
        assert_eq!(
            shelf(
                store::list_recipes(&mut conn, Some(anna), Shelf::Bin, None, 9)
                    .await
                    .unwrap()
            ),
            1
        );
        assert!(store::unbin(&mut conn, anna, &recipe).await.unwrap());
        assert_eq!(
            shelf(
                store::list_recipes(&mut conn, Some(kai), Shelf::Club, None, 9)
                    .await
                    .unwrap()
            ),
            1
        );
    })
    .await;
}

#[tokio::test]
async fn pages_neither_repeat_nor_skip_while_others_save() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let mut before = BTreeSet::new();
        for number in 0..25 {
            // Five of each instant, so that pages end among equals.
            let mut recipe = a_recipe("Old");
            recipe.at = at(number / 5);
            before.insert(recipe.by(&mut conn, anna).await.unwrap().recipe);
        }
        let (mut after, mut seen, mut places) = (None, Vec::new(), Vec::new());
        loop {
            let page =
                store::list_recipes(&mut conn, Some(anna), Shelf::Everything, after.as_ref(), 7)
                    .await
                    .unwrap();
            assert!(page.lines.len() <= 7);
            places.extend(
                page.lines
                    .iter()
                    .map(|line| (line.updated_at, line.public_id.clone())),
            );
            seen.extend(page.lines.into_iter().map(|line| line.public_id));
            let mut newer = a_recipe("Newer");
            newer.at = at(1000);
            newer.by(&mut conn, anna).await.unwrap();
            // Through its text, as an address carries it.
            after = page.next.map(|cursor| cursor.to_string().parse().unwrap());
            if after.is_none() {
                break;
            }
        }
        assert_eq!(seen.len(), 25);
        assert_eq!(seen.into_iter().collect::<BTreeSet<_>>(), before);
        assert!(places.is_sorted_by(|one, next| one > next), "newest first");
    })
    .await;
}

#[test]
fn only_a_cursor_is_read_as_one() {
    use mustwright::recipes::model::Cursor;
    let text = "1750000000123456.abcdefghij234567abcd";
    for text in [
        text,
        "3000.1750000000123456.abcdefghij234567abcd",
        "2.3000.1750000000123456.abcdefghij234567abcd",
        "abcdefghij234567abcd elder 4",
        "abcdefghij234567abcd ",
    ] {
        assert_eq!(text.parse::<Cursor>().unwrap().to_string(), text);
    }
    for text in [
        "",
        ".",
        "1.",
        "x.abcdefghij234567abcd",
        "1750000000123456.ABC",
        "99999999999999999999.abcdefghij234567abcd",
        "x.1750000000123456.abcdefghij234567abcd",
        "1.99999999999.1750000000123456.abcdefghij234567abcd",
        "1.2.3.1750000000123456.abcdefghij234567abcd",
        "ABC a name",
        "abcdefghij234567abcd a\0name",
    ] {
        assert!(text.parse::<Cursor>().is_err(), "{text}");
    }
    assert!(
        format!("{}.abcdefghij234567abcd", i64::MAX)
            .parse::<Cursor>()
            .is_err()
    );
    assert!(
        format!("{}.abcdefghij234567abcd", i64::MIN)
            .parse::<Cursor>()
            .is_err()
    );
}

#[tokio::test]
async fn who_sees_what_is_part_of_the_query_and_not_a_call_for_each_row() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let plan: Vec<String> = sqlx::query_scalar(AssertSqlSafe(
            "explain verbose select r.id from recipes r where recipe_visible(r, 1)".to_owned(),
        ))
        .fetch_all(&mut *conn)
        .await
        .unwrap();
        let plan = plan.join("\n");
        assert!(
            plan.contains("owner_id") && !plan.contains("recipe_visible"),
            "{plan}"
        );
    })
    .await;
}
