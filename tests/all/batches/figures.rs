//! The club's own figures: from finished batches that the club sees, beside the book, and in its place in forecasts.

use super::{a_maker, started};
use crate::support::{Browser, Club};

/// A batch that ended with these figures.
async fn finished(club: &Club, browser: &Browser, recipe: &str, who: &str, real_fg: f64) -> String {
    let batch = started(browser, recipe, &[(who, "")]).await;
    let id = batch.rsplit('/').next().unwrap();
    sqlx::query(
        "insert into batch_numbers (batch_id, course, yeast, book_fg, real_fg, end_days, loss_fraction, growth_factor,
             uptake_factor, engine_version)
         select id, '', 'a-yeast-of-ours', 0.998, $2, 21, 0.09, 1.0, 0.9, 1 from batches where public_id = $1",
    )
    .bind(id)
    .bind(real_fg)
    .execute(club.pool())
    .await
    .unwrap();
    sqlx::query(
        "update batches set ended_at = began_at, how_it_ended = 'bottled' where public_id = $1",
    )
    .bind(id)
    .execute(club.pool())
    .await
    .unwrap();
    batch
}

#[tokio::test]
async fn three_batches_make_a_figure_beside_the_book_and_private_ones_count_for_nothing() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    for real_fg in [0.994, 0.996] {
        finished(&club, &ada, &recipe, "every member of the club", real_fg).await;
    }
    for _ in 0..3 {
        finished(&club, &ada, &recipe, "only me", 1.030).await;
    }
    let way = ada
        .get("/club")
        .await
        .link("The club’s own figures")
        .expect("the way there");
    let page = ada.get(&way).await;
    assert!(
        page.words_of("#ends")
            .unwrap()
            .contains("Not enough batches yet")
    );
    assert!(page.text.contains("Once five batches are finished"));
    finished(&club, &ada, &recipe, "every member of the club", 0.999).await;
    let page = ada.get(&way).await;
    let ends = page.words_of("#ends table").unwrap();
    assert!(ends.contains("0.998") && ends.contains("0.996"), "{ends}");
    assert!(
        ends.contains("0.994 to 0.999") && ends.contains("3 batches"),
        "{ends}"
    );
    assert!(
        !page.text.contains("1.030"),
        "a private batch tells nobody anything"
    );
    assert!(page.words_of("#days").unwrap().contains("21"));
}

#[tokio::test]
async fn five_batches_take_the_place_of_the_book_in_forecasts() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    for _ in 0..4 {
        finished(&club, &ada, &recipe, "every member of the club", 0.996).await;
    }
    let going = started(&ada, &recipe, &[]).await;
    let before = ada.get(&going).await.words_of("#outlook").unwrap();
    assert!(
        before.contains("by our judgement") && before.contains("not yet five"),
        "{before}"
    );
    finished(&club, &ada, &recipe, "every member of the club", 0.996).await;
    let after = ada.get(&going).await.words_of("#outlook").unwrap();
    assert!(
        after.contains("the club’s own 5 finished batches"),
        "{after}"
    );
    assert!(!after.contains("not yet five"), "{after}");
}
