//! Drafts: what was typed outlives its tab, whether or not there was time to keep it in peace.

use super::sign_in;
use crate::support::{Club, a_member, in_chromium};

/// The server says at what time it has kept the draft.
const KEPT: &str = "/kept [0-9]/.test(words(document.querySelector('[data-live-region=draft]')))";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_draft_is_resumed_after_its_tab_was_closed() {
    let club = Club::open().await;
    a_member().named("Ada").of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let first = page.driver.window().await.expect("a tab");
        let second = page.driver.new_tab().await.expect("another tab");
        page.driver.switch_to_window(second).await.expect("the tab");
        page.open("/recipes/new").await;
        page.put("Name", "Late cherry").await;
        page.until(KEPT).await;
        // Too soon after the last for the server to write it: it goes when the page does.
        page.put("Notes", "stone them first").await;
        page.driver.close_window().await.expect("the tab closes");
        page.driver.switch_to_window(first).await.expect("the tab");

        page.open("/recipes").await;
        page.press_to("Late cherry").await;
        let draft = page.tell("location.pathname").await;
        for _ in 0..100 {
            if page.value("Notes").await == "stone them first" {
                break;
            }
            page.driver.refresh().await.expect("the page again");
        }
        assert_eq!(page.value("Notes").await, "stone them first");
        assert_eq!(page.value("Name").await, "Late cherry");

        page.press_to("Save as revision 1").await;
        assert_eq!(page.heading().await, "Late cherry");
        page.open("/recipes").await;
        let left = format!("document.querySelectorAll('a[href=\"{draft}\"]').length");
        assert_eq!(page.tell(&left).await, "0", "saving ends the draft");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_draft_that_came_too_soon_is_kept_a_little_later() {
    let club = Club::open().await;
    a_member().named("Ada").of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        page.open("/recipes/new").await;
        page.put("Name", "Late cherry").await;
        page.until(KEPT).await;
        let forget = "document.querySelector('[data-live-region=draft]').textContent = ''";
        page.run(forget, vec![]).await;
        // Too soon after the last: the server has it written a little later, when the page asks again.
        page.put("Name", "Later cherry").await;
        page.until(KEPT).await;
        let tab = page.driver.new_tab().await.expect("another tab");
        page.driver.switch_to_window(tab).await.expect("the tab");
        page.open("/recipes").await;
        page.press_to("Later cherry").await;
        assert_eq!(page.value("Name").await, "Later cherry");
    })
    .await;
}
