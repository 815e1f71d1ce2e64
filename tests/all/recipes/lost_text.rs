//! Nothing typed is lost: not by a fault, an ended session, a stopped database, a race or a second click.

use mustwright::web::listen::Limits;
use sqlx::Executor;

use super::{
    NEW, SAVE, STRENGTH, VOLUME, a_club, all_words, as_pairs, count, edited, live, saved, sheet_of,
};
use crate::support::{Club, PASSWORD, Page, TestDatabase, a_member};

const NOTES: &str = "Stir <gently> & \"wait\";\r\nthen rack.";

/// What somebody typed over a quarter of an hour.
const TYPED: &[(&str, &str)] = &[
    ("Name", "Long work"),
    (STRENGTH, "13,5 %"),
    (VOLUME, "4 US gal"),
    ("Amount, Honey 1", "2 parts"),
    ("Notes", NOTES),
];

fn came_back(page: &Page) {
    for (label, text) in TYPED {
        assert_eq!(page.value(label), text.replace("\r\n", "\n"), "{label}");
    }
}

#[tokio::test]
async fn after_a_fault_the_text_stands_in_the_form() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed: Vec<_> = TYPED
        .iter()
        .copied()
        .chain([("Stays behind", "a drop")])
        .collect();
    let page = browser.submit(&form, SAVE, &typed).await;
    assert_eq!(page.status, 422);
    came_back(&page);
    assert_eq!(page.value("Stays behind"), "a drop");
}

#[tokio::test]
async fn an_ended_session_passes_the_text_through_the_sign_in() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let mut owner = club.database.owner().await;
    owner
        .execute("delete from sessions")
        .await
        .expect("it ends");
    // The script's edit is told so, and changes nothing.
    let edit = live(&browser, &club, &form, TYPED).await;
    assert_eq!(edit.status, 401);
    let page = browser.submit(&form, SAVE, TYPED).await;
    assert_eq!((page.status, page.heading().as_str()), (401, "Sign in"));
    let credentials = [("Name", "Ada"), ("Password", PASSWORD)];
    let shown = browser.submit(&page, "Sign in", &credentials).await;
    assert_eq!(shown.heading(), "You are signed in");
    let read = shown.words_of("dl").unwrap_or_default();
    for part in [
        "Long work",
        "13,5 %",
        "Stir <gently> & \"wait\"; then rack.",
    ] {
        assert!(read.contains(part), "{part}: {read}");
    }
    assert_eq!(
        count(&club, "select count(*) from recipes").await,
        0,
        "nothing is sent by itself"
    );
    let done = browser.submit(&shown, "Send again", &[]).await;
    let again = browser.get(&format!("{}/edit", sheet_of(&done))).await;
    came_back(&again);
}

#[tokio::test]
async fn a_stopped_database_gives_every_field_back() {
    let (database, cluster) = TestDatabase::alone().await;
    let club = Club::opened(&[], Limits::default(), database).await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    let form = browser.get(NEW).await;
    tokio::task::spawn_blocking(move || cluster.stop())
        .await
        .expect("it stops");
    let (_, sent) = form.filled(SAVE, TYPED);
    let sent: Vec<_> = sent
        .into_iter()
        .map(|(name, text)| (name, text.replace("\r\n", "\n")))
        .collect();
    let page = browser.submit(&form, SAVE, TYPED).await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (503, "Not right now")
    );
    assert!(
        page.header("retry-after")
            .parse::<u32>()
            .is_ok_and(|seconds| seconds > 0)
    );
    let (action, kept) = page.filled("Send again", &[]);
    assert_eq!(action, NEW);
    assert_eq!(kept, sent, "every field, in order, with the same key");
    let edit = live(&browser, &club, &form, TYPED).await;
    assert_eq!(edit.status, 503);
}

#[tokio::test]
async fn a_full_server_gives_the_text_back_and_takes_it_afterwards() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let mut held = Vec::new();
    for _ in 0..4 {
        held.push(club.pool().acquire().await.expect("a connection"));
    }
    let page = browser.submit(&form, SAVE, TYPED).await;
    assert_eq!(page.status, 503);
    drop(held);
    let done = browser.submit(&page, "Send again", &[]).await;
    came_back(&browser.get(&format!("{}/edit", sheet_of(&done))).await);
    assert_eq!(count(&club, "select count(*) from revisions").await, 1);
}

#[tokio::test]
async fn the_loser_of_a_race_sees_both_texts_and_can_go_on() {
    let (club, _, browser) = a_club().await;
    let sheet = saved(&browser, &[("Name", "Raced"), ("Notes", "first")]).await;
    let seen = browser.get(&format!("{sheet}/edit")).await;
    let winner = [(STRENGTH, "10 %"), ("Notes", "theirs\r\nin two lines")];
    let done = edited(&browser, &sheet, 2, &winner).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = browser.submit(&seen, "Save as revision 2", TYPED).await;
    assert_eq!(page.status, 409);
    came_back(&page);
    let told = page.words_of("#meanwhile").unwrap_or_default();
    assert!(
        told.contains("Ada saved revision 2 while you were typing"),
        "{told}"
    );
    let rows = all_words(&page, "#meanwhile tbody tr");
    for row in [
        "Notestheirs in two linesStir <gently> & \"wait\"; then rack.",
        "Strength10 %13,5 %",
        "NameRacedLong work",
        "Volume of must19 L4 US gal",
        "Honey 1, amountthe rest2 parts",
    ] {
        assert!(rows.iter().any(|found| found == row), "{row}: {rows:#?}");
    }
    assert_eq!(rows.len(), 5, "what is the same is not listed: {rows:#?}");
    assert_eq!(count(&club, "select count(*) from revisions").await, 2);
    let way = browser.get("/recipes").await.link("Long work");
    came_back(&browser.get(&way.expect("the draft is kept as well")).await);
    let done = browser.submit(&page, "Save as revision 3", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    came_back(&browser.get(&format!("{sheet}/edit")).await);
}

#[tokio::test]
async fn a_double_click_makes_one_revision() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let (path, fields) = form.filled(SAVE, TYPED);
    let fields = as_pairs(&fields);
    let (one, two) = tokio::join!(browser.post(&path, &fields), browser.post(&path, &fields));
    assert_eq!(
        (one.status, two.status),
        (303, 303),
        "{}{}",
        one.text,
        two.text
    );
    assert_eq!(one.location(), two.location());
    assert_eq!(count(&club, "select count(*) from recipes").await, 1);
    let sheet = sheet_of(&one);
    let form = browser.get(&format!("{sheet}/edit")).await;
    let (path, fields) = form.filled("Save as revision 2", &[(STRENGTH, "9 %")]);
    let fields = as_pairs(&fields);
    let (one, two) = tokio::join!(browser.post(&path, &fields), browser.post(&path, &fields));
    assert_eq!(one.location(), two.location(), "{}{}", one.text, two.text);
    assert_eq!(one.location(), Some(format!("{sheet}?saved=2").as_str()));
    assert_eq!(count(&club, "select count(*) from revisions").await, 2);
}

#[tokio::test]
async fn back_after_a_save_neither_doubles_nor_drops() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let first = browser.submit(&form, SAVE, TYPED).await;
    // The browser goes back to the form as it was left, and it is sent once more.
    let again = browser.submit(&form, SAVE, TYPED).await;
    assert_eq!(first.location(), again.location());
    assert_eq!(count(&club, "select count(*) from recipes").await, 1);
    // Back once more, other words: never dropped, never taken for the first.
    let other: Vec<_> = TYPED
        .iter()
        .copied()
        .filter(|(label, _)| *label != "Name")
        .chain([("Name", "A second thought")])
        .collect();
    let page = browser.submit(&form, SAVE, &other).await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (409, "Changed in the meantime")
    );
    assert_eq!(page.hidden("title").as_deref(), Some("A second thought"));
    let shown = page.words_of("dl.typed").unwrap_or_default();
    assert!(shown.starts_with("TitleA second thought"), "{shown}");
    for machinery in ["once", "draft", "base", "_"] {
        let named = all_words(&page, "dl.typed dt");
        let named = named
            .iter()
            .any(|name| name.to_lowercase().contains(machinery));
        assert!(!named, "{machinery}: {shown}");
    }
    let notes = page.hidden("notes").unwrap_or_default();
    assert_eq!(notes, NOTES.replace("\r\n", "\n"), "as a parser reads it");
    assert_eq!(count(&club, "select count(*) from recipes").await, 1);
    let done = browser.submit(&page, "Send again", &[]).await;
    let second = browser.get(&sheet_of(&done)).await;
    assert_eq!(second.heading(), "A second thought");
    assert_eq!(count(&club, "select count(*) from recipes").await, 2);
}

#[tokio::test]
async fn back_after_saving_an_edit_is_a_race_with_oneself() {
    let (club, _, browser) = a_club().await;
    let sheet = saved(&browser, &[("Name", "Edited")]).await;
    let form = browser.get(&format!("{sheet}/edit")).await;
    browser
        .submit(&form, "Save as revision 2", &[(STRENGTH, "10 %")])
        .await;
    let page = browser
        .submit(&form, "Save as revision 2", &[(STRENGTH, "11 %")])
        .await;
    assert_eq!(page.status, 409);
    let sent = browser.submit(&page, "Send again", &[]).await;
    assert_eq!(sent.status, 409, "now it is a race, and shows both texts");
    assert_eq!(sent.value(STRENGTH), "11 %");
    let done = browser.submit(&sent, "Save as revision 3", &[]).await;
    assert_eq!(done.status, 303);
    assert_eq!(count(&club, "select count(*) from revisions").await, 3);
}

#[tokio::test]
async fn the_form_of_one_member_is_not_saved_by_another() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let bert = a_member().named("Bert").of(&club).await;
    let other = club.browser_of(&bert).await;
    let page = other.submit(&form, SAVE, TYPED).await;
    assert_eq!(page.status, 409);
    assert!(page.text.contains("Another member opened this form"));
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
}
