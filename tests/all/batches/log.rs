//! What is written into a log, and what follows from it.

use super::{a_maker, started};
use crate::recipes::all_words;
use crate::support::Club;

#[tokio::test]
async fn a_gravity_typed_with_one_thumb_stands_in_the_log() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = ada.get(&format!("{batch}/log")).await;
    let done = ada
        .submit(&form, "Write it down", &[("Gravity", "1088")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = ada.follow(done).await;
    assert!(page.words_of(".log h3").unwrap().contains("1.088"));
    let again = ada
        .submit(&form, "Write it down", &[("Gravity", "1088")])
        .await;
    assert_eq!(again.status, 303);
    let page = ada.follow(again).await;
    assert_eq!(page.text.matches("1.088</h3>").count(), 1, "written once");
}

#[tokio::test]
async fn a_warm_sample_is_corrected_and_both_are_shown() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = ada.get(&format!("{batch}/log")).await;
    let fields = [("Gravity", "1.085"), ("Temperature of the sample", "30 °C")];
    let done = ada.submit(&form, "Write it down", &fields).await;
    let page = ada.follow(done).await;
    let lead = page.words_of(".log h3").unwrap();
    // A hydrometer marked for 20 °C shows about 0.003 too little at 30 °C.
    assert!(lead.contains("1.088"), "{lead}");
    assert!(page.text.contains("showed 1.085"), "{}", page.text);
}

#[tokio::test]
async fn nothing_at_all_and_nonsense_are_told_beside_the_field() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = ada.get(&format!("{batch}/log")).await;
    for gravity in ["", "very sweet", "1.400"] {
        let again = ada
            .submit(&form, "Write it down", &[("Gravity", gravity)])
            .await;
        assert_eq!(again.status, 422, "{gravity}");
        assert!(!again.fault("Gravity").is_empty(), "{gravity}");
        assert_eq!(again.value("Gravity"), gravity);
    }
    let ahead = [("Gravity", "1088"), ("Day", "2199-01-01")];
    let again = ada.submit(&form, "Write it down", &ahead).await;
    assert_eq!(again.status, 422);
    assert!(!again.fault("Day").is_empty());
}

#[tokio::test]
async fn entries_are_never_changed_even_by_the_server() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = ada.get(&format!("{batch}/log")).await;
    ada.submit(&form, "Write it down", &[("Note", "It smells of heather.")])
        .await;
    for statement in [
        "update batch_entries set struck = true",
        "delete from batch_entries",
    ] {
        let refused = sqlx::query(statement).execute(club.pool()).await;
        assert!(refused.is_err(), "{statement}");
    }
}

#[tokio::test]
async fn what_is_in_bottles_is_listed_by_its_strength_and_not_by_what_is_left() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let form = ada.get(&format!("{batch}/log")).await;
    ada.submit(&form, "Write it down", &[("Gravity", "1088")])
        .await;
    let listed = async |shelf: &str| {
        let list = ada.get(&format!("/batches?shelf={shelf}")).await;
        all_words(&list, ".meta").join("; ")
    };
    let mut owner = club.database.owner().await;
    sqlx::query("update batch_numbers set abv_percent = 11.7, volume_l = 4.2")
        .execute(&mut owner)
        .await
        .unwrap();
    let going = listed("going").await;
    assert!(going.contains("4.2 L · 11.7 % so far"), "{going}");
    sqlx::query("update batches set ended_at = now(), how_it_ended = 'bottled'")
        .execute(&mut owner)
        .await
        .unwrap();
    let done = listed("done").await;
    assert!(
        done.contains("11.7 %") && !done.contains("so far") && !done.contains("4.2 L"),
        "{done}"
    );
}
