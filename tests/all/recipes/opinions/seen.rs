//! Who sees opinions: whoever sees the recipe, and nobody else, in every read; news are the owner's.

use mustwright::recipes::model::Visibility;
use mustwright::recipes::opinions::comments::{Draft, store as comments};
use mustwright::recipes::opinions::model::{Basis, Rating};
use mustwright::recipes::opinions::store;
use mustwright::recipes::pairings::store::best_rated_with;
use mustwright::web::policy::{Action, may};
use mustwright::web::units::Units;
use mustwright::web::viewer::{Member, Role, Settings, Viewer};

use super::super::{another, count};
use super::{FIVE, MADE, a_shared_recipe, comment, comments_of, id_of, rate};
use crate::recipe_database::{a_member, a_recipe, at, with_database};
use crate::support::a_keeper;

const GOOD: Rating = Rating {
    stars: 5,
    basis: Basis::Made,
};

#[tokio::test]
async fn every_read_shows_opinions_to_those_who_see_the_recipe_and_to_nobody_else() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let bo = a_member(&mut conn, "Bo", "member").await;
        let wren = a_member(&mut conn, "Wren", "keeper").await;
        for visibility in Visibility::ALL {
            for binned in [false, true] {
                // Seen by all while the opinions are given, narrowed afterwards.
                let shared = a_recipe("Shared").shown_to(Visibility::Club);
                let saved = shared.by(&mut conn, anna).await.unwrap();
                let id = saved.recipe;
                let mut tx = sqlx::Connection::begin(&mut *conn).await.unwrap();
                store::rate(&mut tx, bo, &id, 1, GOOD, at(5)).await.unwrap();
                let draft = Draft {
                    words: "well done".to_owned(),
                    revision: None,
                };
                let written = comments::write(&mut tx, bo, &id, &draft, at(5)).await.unwrap();
                tx.commit().await.unwrap();
                sqlx::query("update recipes set visibility = $2, binned_at = case when $3 then now() end where public_id = $1")
                    .bind(id.as_str())
                    .bind(visibility.as_str())
                    .bind(binned)
                    .execute(&mut *conn)
                    .await
                    .unwrap();
                let recipe = mustwright::recipes::store::find_recipe(&mut conn, Some(anna), &id)
                    .await
                    .unwrap()
                    .unwrap();
                for (viewer, role) in [
                    (None, Role::Member),
                    (Some(anna), Role::Member),
                    (Some(bo), Role::Member),
                    (Some(wren), Role::Keeper),
                ] {
                    let who = viewer.map_or_else(Viewer::stranger, |id| {
                        Viewer::known(Member {
                            id,
                            public_id: "a".repeat(20),
                            name: "Somebody".to_owned(),
                            role,
                            settings: Settings::default(),
                            session: 1,
                            book_closed: false,
                            catalogue: None,
                        })
                    });
                    let sees = may(&who, Action::See, &recipe.facts());
                    let told = format!("{visibility:?} {binned} {viewer:?}");
                    let given = store::ratings_of(&mut conn, viewer, &id).await.unwrap();
                    assert_eq!(!given.is_empty(), sees, "{told}");
                    let list = comments::list(&mut conn, viewer, &id, None, 10).await.unwrap();
                    assert_eq!(!list.is_empty(), sees, "{told}");
                    let one = comments::find(&mut conn, viewer, &id, &written).await.unwrap();
                    assert_eq!(one.is_some(), sees, "{told}");
                    let all = comments::earlier(&mut conn, viewer, &id, &written).await.unwrap();
                    assert_eq!(!all.is_empty(), sees, "{told}");
                    let many = comments::count(&mut conn, viewer, &id).await.unwrap();
                    assert_eq!(many > 0, sees, "{told}");
                    let Some(member) = viewer else { continue };
                    // Writing asks the same.
                    let mut tx = sqlx::Connection::begin(&mut *conn).await.unwrap();
                    let rated = store::rate(&mut tx, member, &id, 1, GOOD, at(6)).await;
                    assert_eq!(rated.is_ok(), sees && member != anna, "{told}");
                    tx.rollback().await.unwrap();
                    let mut tx = sqlx::Connection::begin(&mut *conn).await.unwrap();
                    let said = comments::write(&mut tx, member, &id, &draft, at(6)).await;
                    assert_eq!(said.is_ok(), sees, "{told}");
                    tx.rollback().await.unwrap();
                    let mut tx = sqlx::Connection::begin(&mut *conn).await.unwrap();
                    let changed = comments::change(&mut tx, member, &id, &written, 1, &draft, at(6)).await;
                    assert_eq!(changed.is_ok(), sees && member == bo, "{told}");
                    tx.rollback().await.unwrap();
                    let mut tx = sqlx::Connection::begin(&mut *conn).await.unwrap();
                    let keeps = role == Role::Keeper;
                    let gone = comments::remove(&mut tx, member, keeps, &id, &written, at(6)).await.unwrap();
                    // Its writer, the owner and the keeper are all there are.
                    assert_eq!(gone, sees, "{told}");
                    tx.rollback().await.unwrap();
                }
            }
        }
    })
    .await;
}

#[tokio::test]
async fn opinions_of_a_private_recipe_are_unknown_to_others() {
    let (club, ada, bo, sheet) = a_shared_recipe().await;
    rate(&bo, &sheet, &[FIVE, MADE]).await;
    let id = comments_of(&comment(&bo, &sheet, "a secret").await)[0].clone();
    let before = bo.get(&sheet).await;
    let page = ada.get(&sheet).await;
    ada.submit(&page, "Change", &[("Who may see it", "private")])
        .await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    for other in [&bo, &wren] {
        for path in [
            "opinions",
            &format!("comments/{id}/edit"),
            &format!("comments/{id}/earlier"),
        ] {
            let answer = other.get(&format!("{sheet}/{path}")).await;
            assert_eq!(answer.status, 404, "{path}");
            assert!(!answer.text.contains("a secret"));
        }
        assert_eq!(
            other
                .post(&format!("{sheet}/comments/{id}/remove"), &[])
                .await
                .status,
            404
        );
        assert_eq!(
            other
                .post(&format!("{sheet}/opinions/rating/take-back"), &[])
                .await
                .status,
            404
        );
    }
    let (_, fields) = before.filled(super::POST, &[(super::WORDS, "one more")]);
    let late = bo
        .post(
            &format!("{sheet}/comments"),
            &super::super::as_pairs(&fields),
        )
        .await;
    assert_eq!(late.status, 404);
    assert_eq!(
        count(&club, "select count(*) from recipe_comments").await,
        1
    );
    // The owner still has all of it, and so has everybody once it is shared again.
    assert!(ada.get(&sheet).await.text.contains("a secret"));
    let page = ada.get(&sheet).await;
    ada.submit(&page, "Change", &[("Who may see it", "club")])
        .await;
    assert!(bo.get(&sheet).await.text.contains("a secret"));
}

#[tokio::test]
async fn the_owner_learns_what_is_new_and_nobody_else() {
    let (club, ada, bo, sheet) = a_shared_recipe().await;
    let start = chrono::Utc::now() - chrono::TimeDelta::seconds(1);
    rate(&bo, &sheet, &[FIVE, MADE]).await;
    comment(&bo, &sheet, "one").await;
    let page = comment(&bo, &sheet, "two").await;
    // One's own words are no news, and neither is what was removed.
    comment(&ada, &sheet, "thanks").await;
    let removed = comments_of(&page)[0].clone();
    bo.post(&format!("{sheet}/comments/{removed}/remove"), &[])
        .await;
    let mut conn = club.pool().acquire().await.unwrap();
    let owner: i64 = sqlx::query_scalar("select owner_id from recipes")
        .fetch_one(&mut *conn)
        .await
        .unwrap();
    let owner = mustwright::web::viewer::MemberId(owner);
    let news = store::since(&mut conn, owner, start).await.unwrap();
    assert_eq!(news.len(), 1);
    assert_eq!(
        (news[0].recipe.clone(), news[0].words().as_str()),
        (id_of(&sheet), "a rating and a comment")
    );
    // And on the first page, where nobody else does.
    let home = ada.get("/").await;
    assert_eq!(
        home.link("Shared").as_deref(),
        Some(&*format!("{sheet}/opinions"))
    );
    assert!(home.text.contains("a rating and a comment, "));
    assert!(!bo.get("/").await.text.contains("a rating and a comment"));
    let later = chrono::Utc::now() + chrono::TimeDelta::seconds(60);
    assert!(
        store::since(&mut conn, owner, later)
            .await
            .unwrap()
            .is_empty()
    );
    let bo_id: i64 = sqlx::query_scalar("select id from members where name = 'Bo'")
        .fetch_one(&mut *conn)
        .await
        .unwrap();
    let bo_id = mustwright::web::viewer::MemberId(bo_id);
    assert!(
        store::since(&mut conn, bo_id, start)
            .await
            .unwrap()
            .is_empty()
    );
    let _ = another(&club, "Cy", Units::Metric).await;
}

#[tokio::test]
async fn a_recipe_narrowed_afterwards_is_no_example_any_more() {
    let (club, ada, bo, sheet) = a_shared_recipe().await;
    rate(&bo, &sheet, &[FIVE, MADE]).await;
    let path = "/pairings?honey=honey-wildflower";
    let keys = ["honey-wildflower".to_owned()];
    let mut conn = club.pool().acquire().await.unwrap();
    let bo_id: i64 = sqlx::query_scalar("select id from members where name = 'Bo'")
        .fetch_one(&mut *conn)
        .await
        .unwrap();
    let bo_id = mustwright::web::viewer::MemberId(bo_id);
    assert_eq!(
        best_rated_with(&mut conn, Some(bo_id), &keys)
            .await
            .unwrap()
            .len(),
        1
    );
    assert!(
        best_rated_with(&mut conn, None, &keys)
            .await
            .unwrap()
            .is_empty()
    );
    let page = ada.get(&sheet).await;
    ada.submit(&page, "Change", &[("Who may see it", "private")])
        .await;
    assert!(
        best_rated_with(&mut conn, Some(bo_id), &keys)
            .await
            .unwrap()
            .is_empty()
    );
    assert!(!bo.get(path).await.text.contains("Shared"));
}
