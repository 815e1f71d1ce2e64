//! A phone that loses its connection while somebody logs.

use super::{a_maker, started};
use crate::support::{Chromium, Club, Person, in_chromium};

async fn sign_in(page: &Chromium, person: &Person) {
    page.open("/sign-in").await;
    page.put("Name", &person.name).await;
    page.put("Password", &person.password).await;
    page.press_to("Sign in").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_logged_without_a_connection_is_kept_and_sent_once() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    let pool = club.pool().clone();
    in_chromium(&club, move |page| async move {
        page.size(360, 740).await;
        sign_in(&page, &ada).await;
        page.open(&format!("{batch}/log")).await;
        page.connection(false).await;
        page.put("Gravity", "1077").await;
        page.press("Write it down").await;
        page.until("!document.querySelector('[data-kept]').hidden")
            .await;
        let kept = page.words_of("[data-kept]").await;
        assert!(kept.contains("1077"), "{kept}");
        assert_eq!(
            page.value("Gravity").await,
            "",
            "the form is free for the next"
        );
        page.put("Gravity", "1076").await;
        page.press("Write it down").await;
        page.until("document.querySelectorAll('[data-kept] li').length === 2")
            .await;
        page.connection(true).await;
        page.until("document.querySelector('[data-kept]').hidden")
            .await;
        let sent = page.words_of("[data-sent]").await;
        for gravity in ["1077", "1076"] {
            assert_eq!(sent.matches(gravity).count(), 1, "{sent}");
        }
        assert!(sent.contains("It stands in the log now"), "{sent}");
        // Loaded again, and told again that there is a connection: nothing is sent twice.
        page.open(&format!("{batch}/log")).await;
        page.run("dispatchEvent(new Event('online'))", vec![]).await;
        page.open(&batch).await;
        for gravity in ["1.077", "1.076"] {
            let told = format!(
                "[...document.querySelectorAll('.log h3')].filter(e => e.textContent === '{gravity}').length"
            );
            assert_eq!(page.tell(&told).await, "1", "{gravity}");
        }
        let written: i64 =
            sqlx::query_scalar("select count(*) from batch_entries where kind = 'reading'")
                .fetch_one(&pool)
                .await
                .unwrap();
        assert_eq!(written, 2);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn with_a_connection_it_is_as_without_the_script_and_another_member_sends_nothing_of_it() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let (bo, bos, other) = a_maker(&club, "Bo").await;
    let batch = started(&browser, &recipe, &[]).await;
    let his = started(&bos, &other, &[]).await;
    let pool = club.pool().clone();
    in_chromium(&club, move |page| async move {
        sign_in(&page, &ada).await;
        page.open(&format!("{batch}/log")).await;
        page.put("Gravity", "sweet").await;
        page.press("Write it down").await;
        page.until("document.querySelector('#problem')").await;
        page.put("Gravity", "1080").await;
        page.press("Write it down").await;
        page.until("words(document.querySelector('.log')).includes('1.080')")
            .await;
        page.open(&format!("{batch}/log")).await;
        page.connection(false).await;
        page.put("Gravity", "1079").await;
        page.press("Write it down").await;
        page.until("!document.querySelector('[data-kept]').hidden")
            .await;
        page.driver
            .delete_all_cookies()
            .await
            .expect("nobody is signed in");
        page.connection(true).await;
        sign_in(&page, &bo).await;
        page.open(&format!("{his}/log")).await;
        page.run("dispatchEvent(new Event('online'))", vec![]).await;
        assert_eq!(
            page.tell("document.querySelector('[data-kept]').hidden")
                .await,
            "true"
        );
        let written: i64 =
            sqlx::query_scalar("select count(*) from batch_entries where kind = 'reading'")
                .fetch_one(&pool)
                .await
                .unwrap();
        assert_eq!(written, 1, "hers waits until she comes back");
    })
    .await;
}
