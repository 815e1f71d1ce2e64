//! Entries are corrected by further versions, taken out and let count again; what was written stays to be read.

use super::{a_maker, started};
use crate::support::{Browser, Club, Page, a_member};

/// A batch with one reading of that gravity, and the page of its entry.
async fn read(browser: &Browser, batch: &str, labelled: &[(&str, &str)]) -> (Page, Page) {
    let form = browser.get(&format!("{batch}/log")).await;
    let done = browser.submit(&form, "Write it down", labelled).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let to = done.location().unwrap().to_owned();
    let entry = to.split("entry=").nth(1).expect("the entry").to_owned();
    let sheet = browser.follow(done).await;
    let page = browser.get(&format!("{batch}/log/entry/{entry}")).await;
    assert_eq!(page.status, 200, "{}", page.text);
    (sheet, page)
}

#[tokio::test]
async fn a_correction_shows_what_was_typed_and_becomes_what_counts() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let typed = [("Gravity", "88"), ("Temperature of the sample", "77F")];
    let (_, entry) = read(&ada, &batch, &typed).await;
    assert_eq!(entry.value("Gravity"), "88", "as it was typed");
    assert_eq!(entry.value("Temperature of the sample"), "77F");
    let done = ada
        .submit(&entry, "Correct it", &[("Gravity", "1078")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let sheet = ada.follow(done).await;
    let log = sheet.words_of("#log").unwrap();
    assert!(log.contains("Corrected, for the first time"), "{log}");
    assert!(log.contains("showed 1.078"), "{log}");
    assert!(!log.contains("1.088"), "{log}");
    let path = sheet.link("Correct it").or_else(|| {
        let at = sheet.text.find("/log/entry/")?;
        let rest = &sheet.text[at..];
        Some(format!("{batch}{}", &rest[..rest.find('"')?]))
    });
    let page = ada.get(&path.unwrap()).await;
    let all = page.words_of(".entries.log").unwrap();
    assert!(
        all.contains("1.078") && all.contains("showed 1.088"),
        "{all}"
    );
    assert!(all.contains("As it was first written"), "{all}");
}

#[tokio::test]
async fn an_entry_that_is_taken_out_counts_no_more_until_it_is_let_in_again() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let (_, entry) = read(&ada, &batch, &[("Gravity", "1088")]).await;
    let out = ada.submit(&entry, "Take it out", &[]).await;
    assert_eq!(out.status, 303, "{}", out.text);
    let sheet = ada.follow(out).await;
    assert!(sheet.words_of(".lead").unwrap().contains("No gravity"));
    assert!(sheet.words_of("#log .struck").unwrap().contains("1.088"));
    let place = sheet.text.find("/log/entry/").unwrap();
    let rest = &sheet.text[place..];
    let path = format!("{batch}{}", &rest[..rest.find('"').unwrap()]);
    let again = ada.get(&path).await;
    let back = ada.submit(&again, "Let it count again", &[]).await;
    assert_eq!(back.status, 303, "{}", back.text);
    let sheet = ada.follow(back).await;
    assert!(sheet.words_of(".lead").unwrap().contains("1.088"));
    // Three versions of it, none of them lost.
    let count: i64 = sqlx::query_scalar("select count(*) from batch_entries")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(count, 3);
}

#[tokio::test]
async fn of_two_windows_the_second_learns_of_the_first_and_loses_nothing() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let (_, one) = read(&ada, &batch, &[("Gravity", "1088")]).await;
    let path = one.filled("Correct it", &[]).0;
    let other = ada.get(&path).await;
    let first = ada.submit(&one, "Correct it", &[("Gravity", "1087")]).await;
    assert_eq!(first.status, 303);
    let late = ada
        .submit(&other, "Correct it", &[("Gravity", "1086")])
        .await;
    assert_eq!(late.status, 409, "{}", late.text);
    assert_eq!(late.value("Gravity"), "1086");
    assert!(late.words_of(".entries.log").unwrap().contains("1.087"));
    let done = ada.submit(&late, "Correct it", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert!(
        ada.follow(done)
            .await
            .words_of("#log")
            .unwrap()
            .contains("1.086")
    );
}

#[tokio::test]
async fn a_wrong_correction_is_told_beside_its_field() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let (_, entry) = read(&ada, &batch, &[("Gravity", "1088")]).await;
    for gravity in ["sweet", ""] {
        let again = ada
            .submit(&entry, "Correct it", &[("Gravity", gravity)])
            .await;
        assert_eq!(again.status, 422, "{gravity}");
        assert!(!again.fault("Gravity").is_empty(), "{gravity}");
        assert_eq!(again.value("Gravity"), gravity);
    }
}

#[tokio::test]
async fn the_moment_stays_to_the_second_unless_it_is_typed_anew() {
    let now = "2026-11-28T18:00:42Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let (_, entry) = read(&ada, &batch, &[("Gravity", "1088")]).await;
    let path = entry.filled("Correct it", &[]).0;
    ada.submit(&entry, "Correct it", &[("Gravity", "1087")])
        .await;
    let again = ada.get(&path).await;
    ada.submit(
        &again,
        "Correct it",
        &[("Time", "17:30"), ("Gravity", "1087")],
    )
    .await;
    let times: Vec<chrono::DateTime<chrono::Utc>> =
        sqlx::query_scalar("select at from batch_entries order by version")
            .fetch_all(club.pool())
            .await
            .unwrap();
    assert_eq!(times[1], times[0]);
    assert_ne!(times[2], times[0]);
}

#[tokio::test]
async fn an_absurd_reading_is_asked_about_and_never_refused() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let (sheet, _) = read(&ada, &batch, &[("Gravity", "1010")]).await;
    let asked = sheet.words_of("main > .caution.watch").unwrap_or_default();
    assert!(asked.contains("Honey at the bottom?"), "{asked}");
    assert!(sheet.link("Correct it").is_some());
    let beside = sheet.words_of("#log .caution").unwrap_or_default();
    assert!(beside.contains("Honey at the bottom?"), "{beside}");
}

#[tokio::test]
async fn others_read_all_versions_and_change_none() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let (_, entry) = read(&ada, &batch, &[("Gravity", "1088")]).await;
    let path = entry.filled("Correct it", &[]).0;
    ada.submit(&entry, "Correct it", &[("Gravity", "1087")])
        .await;
    let wren = a_member().named("Wren").of(&club).await;
    let wren = club.browser_of(&wren).await;
    let page = wren.get(&path).await;
    assert_eq!(page.status, 200);
    assert!(page.words_of(".entries.log").unwrap().contains("1.088"));
    assert!(!page.has_button("Correct it") && !page.has_button("Take it out"));
    assert!(wren.get(&batch).await.text.contains("All versions"));
    let about = ada.get(&format!("{batch}/about")).await;
    ada.submit(&about, "Save", &[("only me", "private")]).await;
    assert_eq!(wren.get(&path).await.status, 404, "it is private now");
}

#[tokio::test]
async fn what_lists_keep_follows_a_correction_and_an_entry_that_is_taken_out() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    let kept = async || -> Option<f64> {
        let found = sqlx::query_scalar("select sg from batch_numbers");
        found.fetch_one(club.pool()).await.unwrap()
    };
    let (_, entry) = read(&ada, &batch, &[("Gravity", "1088")]).await;
    assert_eq!(kept().await, Some(1.088));
    let done = ada
        .submit(&entry, "Correct it", &[("Gravity", "1078")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(kept().await, Some(1.078), "corrected");
    let listed = ada.get("/batches").await;
    assert!(
        listed.text.contains("1.078") && !listed.text.contains("1.088"),
        "{}",
        listed.text
    );
    let entry = ada.get(&entry_of(&ada, &batch).await).await;
    let struck = ada.submit(&entry, "Take it out", &[]).await;
    assert_eq!(struck.status, 303, "{}", struck.text);
    assert_eq!(kept().await, None, "taken out");
}

/// The page of the entry that stands first in a log.
async fn entry_of(browser: &Browser, batch: &str) -> String {
    let sheet = browser.get(batch).await;
    let at = sheet.text.find("/log/entry/").expect("an entry");
    let rest = &sheet.text[at..];
    format!("{batch}{}", &rest[..rest.find('"').expect("its end")])
}
