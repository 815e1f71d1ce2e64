//! Drafts: nothing typed is lost, and nothing old comes back.

use std::time::Duration;

use mustwright::recipes::drafts::store::{
    discard, find, list, list_with_thrown, prune, put, put_back,
};
use mustwright::recipes::drafts::{Kept, PutDraft};
use mustwright::recipes::model::Visibility;
use mustwright::recipes::public_id::PublicId;
use mustwright::recipes::saving::{DraftEnd, SaveError, SaveRevision, Source, Target};
use mustwright::web::viewer::MemberId;
use sqlx::PgConnection;

use crate::recipe_database::{
    a_document, a_member, a_recipe, at, save_whole, some_numbers, with_database,
};

const DAY: i64 = 86_400;

/// Puts one field's text at so many seconds.
async fn type_in(
    conn: &mut PgConnection,
    member: MemberId,
    draft: &PublicId,
    text: &str,
    sequence: impl Into<Option<i64>>,
    seconds: i64,
) -> Kept {
    let fields = [("title".to_owned(), text.to_owned())];
    let draft = PutDraft {
        member,
        draft,
        editing: None,
        started_from: None,
        title: text,
        fields: &fields,
        sequence: sequence.into(),
        at_once: false,
    };
    put(conn, &draft, at(seconds)).await.unwrap()
}

async fn text_of(conn: &mut PgConnection, member: MemberId, draft: &PublicId) -> Option<String> {
    find(conn, member, draft)
        .await
        .unwrap()
        .map(|draft| draft.fields[0].1.clone())
}

/// Saves a new recipe that completes the draft.
async fn save(
    conn: &mut PgConnection,
    member: MemberId,
    draft: &PublicId,
    sequence: Option<i64>,
    seconds: i64,
) {
    let save = SaveRevision {
        author: member,
        target: Target::New {
            visibility: Visibility::Private,
            started_from: None,
        },
        title: "Done",
        document: &a_document("Done"),
        numbers: &some_numbers(),
        note: "",
        draft: Some(DraftEnd { draft, sequence }),
    };
    save_whole(conn, &save, at(seconds)).await.unwrap();
}

#[tokio::test]
async fn newer_text_wins_and_late_arrivals_lose() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let draft = PublicId::random().unwrap();
        assert_eq!(
            type_in(&mut conn, anna, &draft, "first", 5, 0).await,
            Kept::Written { sequence: 5 }
        );
        assert_eq!(
            type_in(&mut conn, anna, &draft, "older", 4, 10).await,
            Kept::Late
        );
        assert_eq!(
            type_in(&mut conn, anna, &draft, "again", 5, 10).await,
            Kept::Late
        );
        assert_eq!(
            text_of(&mut conn, anna, &draft).await.as_deref(),
            Some("first")
        );
        assert_eq!(
            type_in(&mut conn, anna, &draft, "newer", 9, 10).await,
            Kept::Written { sequence: 9 }
        );
        // Without script there is no counter: what arrives is the newest, and somebody waits for it.
        assert_eq!(
            type_in(&mut conn, anna, &draft, "pressed", None, 10).await,
            Kept::Written { sequence: 10 }
        );
        assert_eq!(
            text_of(&mut conn, anna, &draft).await.as_deref(),
            Some("pressed")
        );
    })
    .await;
}

#[tokio::test]
async fn a_draft_is_written_every_two_seconds_and_a_deferred_text_is_asked_for_again() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let draft = PublicId::random().unwrap();
        type_in(&mut conn, anna, &draft, "a", 1, 0).await;
        let again_in = Duration::from_secs(1);
        assert_eq!(
            type_in(&mut conn, anna, &draft, "ab", 2, 1).await,
            Kept::Deferred { again_in }
        );
        assert_eq!(text_of(&mut conn, anna, &draft).await.as_deref(), Some("a"));
        assert_eq!(
            type_in(&mut conn, anna, &draft, "ab", 2, 2).await,
            Kept::Written { sequence: 2 }
        );

        let fields = [("title".to_owned(), "leaving".to_owned())];
        let leaving = PutDraft {
            member: anna,
            draft: &draft,
            editing: None,
            started_from: None,
            title: "",
            fields: &fields,
            sequence: Some(3),
            at_once: true,
        };
        assert_eq!(
            put(&mut conn, &leaving, at(2)).await.unwrap(),
            Kept::Written { sequence: 3 }
        );
        // A clock set back by a day does not stop the writing.
        assert_eq!(
            type_in(&mut conn, anna, &draft, "abc", 4, -86_400).await,
            Kept::Written { sequence: 4 }
        );
    })
    .await;
}

#[tokio::test]
async fn fields_come_back_in_order_with_their_doubles_and_odd_characters() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let draft = PublicId::random().unwrap();
        let fields: Vec<(String, String)> = [
            ("z", "1"),
            ("a", "2"),
            ("z", ""),
            ("a", "O'N \\ \" % é 🍯\r\n"),
            ("", "\0"),
        ]
        .map(|(name, text)| (name.to_owned(), text.to_owned()))
        .to_vec();
        let typed = PutDraft {
            member: anna,
            draft: &draft,
            editing: None,
            started_from: None,
            title: "\0",
            fields: &fields,
            sequence: Some(1),
            at_once: false,
        };
        put(&mut conn, &typed, at(0)).await.unwrap();
        let kept = find(&mut conn, anna, &draft).await.unwrap().unwrap();
        let mut wanted = fields.clone();
        wanted[4].1 = "\u{fffd}".to_owned();
        assert_eq!(kept.fields, wanted);
    })
    .await;
}

#[tokio::test]
async fn two_tabs_are_two_drafts_and_two_members_never_meet() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        let (one, two) = (PublicId::random().unwrap(), PublicId::random().unwrap());
        type_in(&mut conn, anna, &one, "left", 1, 0).await;
        type_in(&mut conn, anna, &two, "right", 1, 1).await;
        type_in(&mut conn, bert, &one, "another's", 7, 2).await;
        assert_eq!(
            text_of(&mut conn, anna, &one).await.as_deref(),
            Some("left")
        );
        assert_eq!(
            text_of(&mut conn, anna, &two).await.as_deref(),
            Some("right")
        );
        assert_eq!(
            text_of(&mut conn, bert, &one).await.as_deref(),
            Some("another's")
        );
        assert_eq!(text_of(&mut conn, bert, &two).await, None);
        let lines = list(&mut conn, anna, 10).await.unwrap();
        assert_eq!(
            lines
                .iter()
                .map(|line| line.title.as_str())
                .collect::<Vec<_>>(),
            ["right", "left"]
        );

        save(&mut conn, anna, &one, Some(2), 3).await;
        assert_eq!(list(&mut conn, anna, 10).await.unwrap().len(), 1);
        assert!(!discard(&mut conn, bert, &two, at(0)).await.unwrap());
        assert!(discard(&mut conn, anna, &two, at(0)).await.unwrap());
        assert_eq!(list(&mut conn, anna, 10).await.unwrap(), []);
        assert_eq!(
            text_of(&mut conn, bert, &one).await.as_deref(),
            Some("another's")
        );
    })
    .await;
}

#[tokio::test]
async fn a_save_ends_the_draft_and_a_request_sent_before_it_does_not_bring_it_back() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let draft = PublicId::random().unwrap();
        type_in(&mut conn, anna, &draft, "typed", 3, 0).await;
        save(&mut conn, anna, &draft, Some(6), 1).await;
        assert_eq!(find(&mut conn, anna, &draft).await.unwrap(), None);
        let text: String = sqlx::query_scalar("select title || fields::text from recipe_drafts")
            .fetch_one(&mut *conn)
            .await
            .unwrap();
        assert_eq!(text, "[]", "the text is gone, not hidden");
        assert_eq!(
            type_in(&mut conn, anna, &draft, "under way", 5, 2).await,
            Kept::Late
        );
        assert_eq!(find(&mut conn, anna, &draft).await.unwrap(), None);
        // Going back to the form and typing on is new text, and kept at once.
        assert_eq!(
            type_in(&mut conn, anna, &draft, "typed on", 7, 2).await,
            Kept::Written { sequence: 7 }
        );
        assert_eq!(
            text_of(&mut conn, anna, &draft).await.as_deref(),
            Some("typed on")
        );

        // The same when nothing had been kept before the save.
        let quick = PublicId::random().unwrap();
        save(&mut conn, anna, &quick, Some(2), 5).await;
        assert_eq!(
            type_in(&mut conn, anna, &quick, "under way", 1, 6).await,
            Kept::Late
        );
    })
    .await;
}

#[tokio::test]
async fn a_save_that_is_undone_or_loses_leaves_the_draft() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let recipe = a_recipe("Plain").by(&mut conn, anna).await.unwrap().recipe;
        let draft = PublicId::random().unwrap();
        type_in(&mut conn, anna, &draft, "typed", 1, 0).await;

        let mut tx = pool.begin().await.unwrap();
        save(&mut tx, anna, &draft, Some(2), 1).await;
        tx.rollback().await.unwrap();
        assert_eq!(
            text_of(&mut conn, anna, &draft).await.as_deref(),
            Some("typed")
        );

        let loser = SaveRevision {
            author: anna,
            target: Target::Existing {
                recipe: &recipe,
                expected_version: 7,
                visibility: None,
            },
            title: "Lost",
            document: &a_document("Lost"),
            numbers: &some_numbers(),
            note: "",
            draft: Some(DraftEnd {
                draft: &draft,
                sequence: Some(2),
            }),
        };
        let lost = save_whole(&mut conn, &loser, at(2)).await;
        assert!(matches!(lost, Err(SaveError::Conflict(_))), "{lost:?}");
        assert_eq!(
            text_of(&mut conn, anna, &draft).await.as_deref(),
            Some("typed")
        );
    })
    .await;
}

#[tokio::test]
async fn a_draft_remembers_its_recipe_and_source_if_they_are_the_members_to_see() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        let hidden = a_recipe("Hidden").by(&mut conn, anna).await.unwrap().recipe;
        let shared = a_recipe("Shared")
            .shown_to(Visibility::Club)
            .by(&mut conn, anna)
            .await
            .unwrap()
            .recipe;
        let own = a_recipe("Own").by(&mut conn, bert).await.unwrap().recipe;
        for (editing, source, kept_recipe, kept_source) in [
            (&own, &shared, Some(&own), Some(&shared)),
            (&hidden, &hidden, None, None),
            (&shared, &hidden, None, None),
        ] {
            let draft = PublicId::random().unwrap();
            let fields = [("title".to_owned(), "typed".to_owned())];
            let typed = PutDraft {
                member: bert,
                draft: &draft,
                editing: Some((editing, 1)),
                started_from: Some(Source {
                    recipe: source,
                    number: 1,
                    held: None,
                }),
                title: "typed",
                fields: &fields,
                sequence: Some(1),
                at_once: false,
            };
            assert_eq!(
                put(&mut conn, &typed, at(0)).await.unwrap(),
                Kept::Written { sequence: 1 }
            );
            let kept = find(&mut conn, bert, &draft).await.unwrap().unwrap();
            assert_eq!(
                (kept.recipe.as_ref(), kept.source.as_ref()),
                (kept_recipe, kept_source)
            );
            assert_eq!(kept.source_number, kept_source.map(|_| 1));
            assert_eq!(kept.fields, fields);
        }
    })
    .await;
}

#[tokio::test]
async fn drafts_left_alone_for_ninety_days_go() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let (old, young, done) = (
            PublicId::random().unwrap(),
            PublicId::random().unwrap(),
            PublicId::random().unwrap(),
        );
        type_in(&mut conn, anna, &old, "old", 1, 0).await;
        type_in(&mut conn, anna, &young, "young", 1, 2 * DAY).await;
        save(&mut conn, anna, &done, Some(1), 89 * DAY).await;
        assert_eq!(prune(&mut conn, at(89 * DAY)).await.unwrap(), 0);
        assert_eq!(prune(&mut conn, at(91 * DAY)).await.unwrap(), 2);
        assert_eq!(
            text_of(&mut conn, anna, &young).await.as_deref(),
            Some("young")
        );
        assert_eq!(text_of(&mut conn, anna, &old).await, None);
    })
    .await;
}

#[tokio::test]
async fn what_is_thrown_away_can_be_put_back_for_a_day_and_is_then_gone() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        let draft = PublicId::random().unwrap();
        type_in(&mut conn, anna, &draft, "text", 1, 0).await;
        assert!(discard(&mut conn, anna, &draft, at(1)).await.unwrap());
        assert!(!discard(&mut conn, anna, &draft, at(2)).await.unwrap());
        assert_eq!(text_of(&mut conn, anna, &draft).await, None);
        let (kept, thrown) = list_with_thrown(&mut conn, anna, 10, at(DAY))
            .await
            .unwrap();
        assert_eq!(kept, []);
        assert_eq!(thrown.len(), 1);
        let of_bert = list_with_thrown(&mut conn, bert, 10, at(DAY)).await;
        assert_eq!(of_bert.unwrap(), (vec![], vec![]));
        let later = list_with_thrown(&mut conn, anna, 10, at(DAY + 2)).await;
        assert_eq!(later.unwrap(), (vec![], vec![]));
        assert!(!put_back(&mut conn, bert, &draft, at(3)).await.unwrap());
        assert!(
            !put_back(&mut conn, anna, &draft, at(DAY + 2))
                .await
                .unwrap()
        );
        assert!(put_back(&mut conn, anna, &draft, at(3)).await.unwrap());
        assert_eq!(
            text_of(&mut conn, anna, &draft).await.as_deref(),
            Some("text")
        );
        let again = list_with_thrown(&mut conn, anna, 10, at(DAY)).await;
        assert_eq!(again.unwrap(), (thrown, vec![]));

        assert!(discard(&mut conn, anna, &draft, at(4)).await.unwrap());
        assert_eq!(prune(&mut conn, at(DAY)).await.unwrap(), 0);
        assert_eq!(prune(&mut conn, at(DAY + 5)).await.unwrap(), 1);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_many_requests_at_once_the_highest_number_stays() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let draft = PublicId::random().unwrap();
        let mut requests = tokio::task::JoinSet::new();
        for sequence in 1..=40_i64 {
            let (pool, draft) = (pool.clone(), draft.clone());
            requests.spawn(async move {
                let mut conn = pool.acquire().await.unwrap();
                // Each at an instant of its own, so that only the numbers decide.
                type_in(
                    &mut conn,
                    anna,
                    &draft,
                    &sequence.to_string(),
                    sequence,
                    sequence * 10,
                )
                .await
            });
        }
        let outcomes = requests.join_all().await;
        assert!(
            outcomes
                .iter()
                .all(|kept| matches!(kept, Kept::Written { .. } | Kept::Late)),
            "{outcomes:?}"
        );
        assert_eq!(
            text_of(&mut conn, anna, &draft).await.as_deref(),
            Some("40")
        );
    })
    .await;
}
