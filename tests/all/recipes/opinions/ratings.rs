//! Ratings: given, changed, taken back; their sums exact however many rate at once.

use std::sync::Arc;

use mustwright::recipes::model::Visibility;
use mustwright::recipes::opinions::model::{Basis, Rating};
use mustwright::recipes::opinions::store;
use mustwright::recipes::public_id::PublicId;
use mustwright::web::units::Units;
use sqlx::PgPool;
use tokio::sync::Barrier;

use super::super::{another, edited, saved};
use super::{FIVE, FOUR, MADE, READ, a_shared_recipe, rate};
use crate::recipe_database::{a_member, a_recipe, at, with_database};
use crate::support::Page;

fn standing(page: &Page) -> String {
    page.words_of(".standing").unwrap_or_default()
}

#[tokio::test]
async fn a_rating_is_given_changed_and_taken_back() {
    let (_club, ada, bo, sheet) = a_shared_recipe().await;
    assert!(standing(&ada.get(&sheet).await).starts_with("Nobody has rated it yet."));
    let done = rate(&bo, &sheet, &[FIVE, MADE]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let told = bo.follow(done).await;
    // (4 × 3 + 5) / (4 + 1), and the page says so.
    assert!(
        told.text.contains("(4 × 3 + 5) ÷ (4 + 1) = 3.4"),
        "{}",
        told.text
    );
    assert!(
        told.text
            .contains("the plain mean of the same ratings is 5.")
    );
    let seen = ada.get(&sheet).await;
    assert!(standing(&seen).starts_with("3.4 of 5 by 1 member, who made it."));
    let mine = bo.get(&sheet).await;
    assert!(mine.text.contains("You gave revision 1 a 5, and made it."));
    rate(&bo, &sheet, &[FOUR, READ]).await;
    // (12 + ½ × 4) / 4.5, still of one member.
    let seen = standing(&ada.get(&sheet).await);
    assert!(
        seen.starts_with("3.1 of 5 by 1 member, who only read it."),
        "{seen}"
    );
    let page = bo.get(&sheet).await;
    let back = bo.submit(&page, "Take your rating back", &[]).await;
    assert_eq!(back.status, 303);
    assert!(standing(&ada.get(&sheet).await).starts_with("Nobody has rated it yet."));
    // Twice is once.
    let again = bo.submit(&page, "Take your rating back", &[]).await;
    assert_eq!(again.status, 303);
}

#[tokio::test]
async fn nobody_rates_their_own() {
    let (club, ada, _, sheet) = a_shared_recipe().await;
    let page = ada.get(&sheet).await;
    assert!(!page.has_button("Rate revision 1"));
    let fields = [("revision", "1"), ("stars", "5"), ("basis", "made")];
    let forged = ada.post(&format!("{sheet}/opinions/rating"), &fields).await;
    assert_eq!(forged.status, 404);
    let rows = super::super::count(&club, "select count(*) from recipe_ratings").await;
    assert_eq!(rows, 0);
}

#[tokio::test]
async fn what_is_missing_is_asked_for_and_what_was_chosen_stays() {
    let (_club, _, bo, sheet) = a_shared_recipe().await;
    let none = rate(&bo, &sheet, &[]).await;
    assert_eq!(none.status, 422);
    for words in ["Choose one of the five.", "Say how you know it"] {
        assert!(none.text.contains(words), "{words}");
    }
    let half = rate(&bo, &sheet, &[FOUR]).await;
    assert_eq!(half.status, 422);
    assert!(!half.text.contains("Choose one of the five."));
    let (_, fields) = half.filled("Rate revision 1", &[]);
    assert!(
        fields.contains(&("stars".to_owned(), "4".to_owned())),
        "{fields:?}"
    );
    for (name, text) in [
        ("stars", "6"),
        ("stars", "0"),
        ("stars", "-1"),
        ("basis", "heard"),
    ] {
        let mut fields = vec![("revision", "1"), ("stars", "5"), ("basis", "made")];
        fields.retain(|(field, _)| *field != name);
        fields.push((name, text));
        let path = format!("{sheet}/opinions/rating");
        assert_eq!(bo.post(&path, &fields).await.status, 422, "{name} {text}");
    }
    for (revision, status) in [("2", 404), ("0", 404), ("-1", 404), ("one", 400), ("", 400)] {
        let fields = [("revision", revision), ("stars", "5"), ("basis", "made")];
        let path = format!("{sheet}/opinions/rating");
        assert_eq!(bo.post(&path, &fields).await.status, status, "{revision}");
    }
}

#[tokio::test]
async fn the_revision_shown_is_the_one_rated_and_the_best_is_told() {
    let (club, ada, bo, sheet) = a_shared_recipe().await;
    edited(&ada, &sheet, 2, &[("Name", "Shared again")]).await;
    rate(&bo, &format!("{sheet}/revisions/1"), &[FIVE, MADE]).await;
    let cy = another(&club, "Cy", Units::Metric).await;
    rate(&cy, &sheet, &["2: drinkable, with something to mend", MADE]).await;
    let page = bo.get(&format!("{sheet}/opinions")).await;
    let revisions = page.words_of("#who dl").unwrap_or_default();
    assert!(
        revisions.contains("revision 1, the best3.40 of 5"),
        "{revisions}"
    );
    assert!(revisions.contains("revision 22.80 of 5"), "{revisions}");
    let table = page.words_of("#who table").unwrap_or_default();
    assert!(table.contains("You5made itrevision 1"), "{table}");
    assert!(table.contains("Cy2made itrevision 2"), "{table}");
}

#[tokio::test]
async fn a_clone_begins_without_opinions() {
    let (_club, _, bo, sheet) = a_shared_recipe().await;
    rate(&bo, &sheet, &[FIVE, MADE]).await;
    super::comment(&bo, &sheet, "well done").await;
    let page = bo.get(&sheet).await;
    let start = page.link("Start my own from this").expect("a way");
    let form = bo.get(&start).await;
    let done = bo.submit(&form, super::super::SAVE, &[]).await;
    let own = super::super::sheet_of(&done);
    let shown = bo.get(&own).await;
    assert!(standing(&shown).starts_with("Nobody has rated it yet."));
    assert!(!shown.text.contains("well done"));
    let _ = saved;
}

async fn sums(pool: &PgPool, recipe: &PublicId) -> (i32, Option<f64>, i32) {
    sqlx::query_as("select rating_count, rating_mean, made_count from recipes where public_id = $1")
        .bind(recipe.as_str())
        .fetch_one(pool)
        .await
        .unwrap()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_fifty_at_once_every_rating_counts() {
    with_database(async |pool| {
        const RATERS: usize = 50;
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let shared = a_recipe("Shared").shown_to(Visibility::Club);
        let recipe = Arc::new(shared.by(&mut conn, anna).await.unwrap().recipe);
        let mut raters = Vec::new();
        for number in 0..RATERS {
            raters.push(a_member(&mut conn, &format!("Rater {number}"), "member").await);
        }
        drop(conn);
        let given = |number: usize| Rating {
            stars: (number % 5) as u8 + 1,
            basis: Basis::ALL[number % 3],
        };
        // By hand: halves for those who have only read it.
        let weigh = |numbers: &mut dyn Iterator<Item = usize>| {
            let (mut sum, mut weight, mut made) = (12.0, 4.0, 0);
            for number in numbers {
                let rating = given(number);
                let counts = if rating.basis == Basis::Read {
                    0.5
                } else {
                    1.0
                };
                sum += counts * f64::from(rating.stars);
                weight += counts;
                made += i32::from(rating.basis == Basis::Made);
            }
            (Some(sum / weight), made)
        };
        let at_once = |taken_back: bool| {
            let start = Arc::new(Barrier::new(RATERS));
            let tasks = raters.iter().copied().enumerate().map(|(number, rater)| {
                let (pool, recipe, start) = (pool.clone(), recipe.clone(), start.clone());
                tokio::spawn(async move {
                    start.wait().await;
                    let mut tx = pool.begin().await.unwrap();
                    if taken_back && number % 2 == 0 {
                        store::take_back(&mut tx, rater, &recipe).await.unwrap();
                    } else {
                        store::rate(&mut tx, rater, &recipe, 1, given(number), at(1))
                            .await
                            .unwrap();
                    }
                    tx.commit().await.unwrap();
                })
            });
            tasks.collect::<Vec<_>>()
        };
        for task in at_once(false) {
            task.await.unwrap();
        }
        let (mean, made) = weigh(&mut (0..RATERS));
        assert_eq!(sums(&pool, &recipe).await, (50, mean, made));
        for task in at_once(true) {
            task.await.unwrap();
        }
        let (mean, made) = weigh(&mut (0..RATERS).filter(|number| number % 2 == 1));
        assert_eq!(sums(&pool, &recipe).await, (25, mean, made));
        for rater in &raters {
            let mut conn = pool.acquire().await.unwrap();
            store::take_back(&mut conn, *rater, &recipe).await.unwrap();
        }
        assert_eq!(sums(&pool, &recipe).await, (0, None, 0));
    })
    .await;
}
