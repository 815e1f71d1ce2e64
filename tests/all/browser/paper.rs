//! What is printed: by one button, and on as few leaves as a hall can do with.

use super::labels::pages;
use super::sign_in;
use crate::competitions::flights::a_day;
use crate::support::{Club, in_chromium};

#[tokio::test]
async fn one_button_prints_everything_two_sheets_to_a_leaf() {
    let club = Club::open().await;
    let day = a_day(&club, 3).await;
    day.bottles(&club, 1, 6).await;
    day.makes().await;
    let table = day.flights(&club).await[0].2.len();
    assert!(table >= 2, "{table} at the table");
    let (pool, path) = (club.pool().clone(), day.path("/paper"));
    in_chromium(&club, |page| async move {
        sign_in(&page, "Stew").await;
        page.open(&path).await;
        page.run(
            "window.times = 0; window.print = () => { window.times += 1; }",
            vec![],
        )
        .await;
        page.press("Print everything").await;
        assert_eq!(page.tell("window.times").await, "1");
        // Who does what; the pouring list; what the table agrees on; six sheets for each judge; the tags.
        let printed = pages(&pool, &page).await;
        assert_eq!(printed.len(), 3 + 3 * table + 1, "{printed:?}");
        // What hangs on a wall is one leaf, and as large as that allows.
        page.open("/safety/sheet").await;
        assert_eq!(pages(&pool, &page).await.len(), 1);
    })
    .await;
}
