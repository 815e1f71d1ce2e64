//! A newcomer's evening: from the invite to a printed sheet without typing a word of the trade, with and without
//! script, by taps and by keys.

use thirtyfour::Key;

use super::{VOLUME, number};
use crate::support::{Chromium, Club, PASSWORD, a_keeper, in_chromium};

/// What stands behind a label that is a word to tap.
async fn tap(page: &Chromium, words: &str) {
    page.press(words).await;
}

/// The label of a radio button, tapped.
async fn answer(page: &Chromium, words: &str) {
    let script =
        "[...document.querySelectorAll('label')].find(e => words(e) === arguments[0]).click()";
    page.run(script, vec![serde_json::json!(words)]).await;
}

/// The path of an invite that a keeper made.
async fn invited(club: &Club) -> String {
    let wren = a_keeper().named("Wren").of(club).await;
    let keeper = club.browser_of(&wren).await;
    let form = keeper.get("/keeper/invites").await;
    let shown = keeper.submit(&form, "Make the invite", &[]).await;
    let link = shown.words_of(".narrow .code").expect("a link");
    link[link.find("/join/").expect("a path")..].to_owned()
}

/// Comes in by the invite.
async fn join(page: &Chromium, invite: &str) {
    page.open(invite).await;
    page.put("Your name", "Ada").await;
    page.put("Password", PASSWORD).await;
    page.put("The same password again", PASSWORD).await;
    choose_by_key(page, "units", "metric").await;
    page.press_to("Join").await;
    assert_eq!(page.heading().await, "You are in, Ada");
    page.press_to("To the first page").await;
    assert_eq!(page.heading().await, "Welcome, Ada");
}

async fn an_evening(page: Chromium, invite: String, script: bool) {
    if !script {
        page.without_script().await;
    }
    join(&page, &invite).await;
    page.press_to("Make my first mead").await;
    // What must means is one tap away.
    tap(&page, "What is must, and how many bottles is that?").await;
    let explained = page.words_of("#word-must[open] p").await;
    assert!(
        explained.starts_with("Must is honey and water"),
        "{explained}"
    );
    page.put(VOLUME, "10").await;
    if script {
        answer(&page, "light, about 7 %: like a strong cider").await;
        page.until("words(document.querySelector('#how-strength strong')) === '7 %'")
            .await;
        answer(&page, "like wine, about 12 %").await;
        answer(&page, "a little sweet").await;
        page.until("words(document.querySelector('.lead')).includes('semi-sweet')")
            .await;
    } else {
        choose_by_key(&page, "finish", "semi-sweet").await;
    }
    page.choose("Honey, Honey 1", "Acacia honey").await;
    page.press_to("Add fruit, juice, spice or anything else")
        .await;
    page.choose("Ingredient, Ingredient 1", "Blackberry").await;
    page.choose("Yours, or a usual one", "Bucket, 15 L").await;
    page.press_to("Recalculate").await;
    assert_eq!(page.words_of("#problem").await, "");
    let advice = page.words_of("[data-live-region=vessel-advice]").await;
    assert!(advice.contains("bag"), "{advice}");
    // Yeast and feeding were filled in, with a reason and by the day.
    tap(&page, &page.words_of("#fold-yeast > summary").await).await;
    tap(&page, "Which yeast suits this mead?").await;
    let best = page.words_of("#ranked li").await;
    assert!(best.contains("to spare"), "{best}");
    tap(&page, &page.words_of("#fold-feed > summary").await).await;
    let days = page.words_of(".days li").await;
    assert!(days.contains("level teaspoon"), "{days}");

    page.press_to("Save as revision 1").await;
    assert_eq!(page.heading().await, "Blackberry mead");
    assert_eq!(number(&page, "strength").await, "12 %");
    let table = page.words_of("table").await;
    assert!(
        table.contains("Acacia honey") && table.contains("Blackberry"),
        "{table}"
    );
    let paper = serde_json::json!({ "preferCSSPageSize": true, "transferMode": "ReturnAsBase64" });
    let printed = page.devtools("Page.printToPDF", paper).await;
    assert!(
        printed["data"]
            .as_str()
            .is_some_and(|data| data.len() > 10_000)
    );
}

/// Chooses an answer by the keyboard, as one can without script too.
async fn choose_by_key(page: &Chromium, name: &str, value: &str) {
    let css = format!("input[name={name}][value={value}]");
    let radio = page
        .driver
        .find(thirtyfour::By::Css(css))
        .await
        .expect("the answer");
    radio.focus().await.expect("the focus");
    radio.send_keys(Key::Space).await.expect("a key");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_newcomers_evening() {
    let club = Club::open().await;
    let invite = invited(&club).await;
    in_chromium(&club, |page| an_evening(page, invite, true)).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_newcomers_evening_without_script() {
    let club = Club::open().await;
    let invite = invited(&club).await;
    in_chromium(&club, |page| an_evening(page, invite, false)).await;
}
