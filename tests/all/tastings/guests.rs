//! Guests: a link seats one, looking uses nothing up, and what it was is not told apart from what it never was.

use std::sync::Arc;

use mustwright::tastings::links::GOOD_MAX;
use sqlx::Executor;

use super::{comes_in, hosted, invited, member, says};
use crate::support::{Club, Page};

fn stale(page: &Page) {
    assert_eq!(page.status, 403, "{}", page.text);
    assert!(
        page.text.contains("This link lets nobody in"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn a_link_seats_one_guest_by_post_alone() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[]).await;
    let link = &invited(&ada.browser, &tasting, 1).await[0];
    let guest = club.browser();
    for _ in 0..3 {
        let page = guest.get(link).await;
        assert_eq!(page.status, 200);
        assert_eq!(page.header("cache-control"), "no-store");
        assert!(page.text.contains("Small pours"), "{}", page.text);
    }
    let nameless = guest.get(link).await;
    let nameless = guest.submit(&nameless, "Take a seat", &[]).await;
    assert_eq!(nameless.status, 422);
    assert!(
        nameless
            .fault("Your name")
            .starts_with("Write what the others")
    );

    let form = guest.get(link).await;
    let first = guest
        .submit(&form, "Take a seat", &[("Your name", "Dee")])
        .await;
    let seat = first.location().expect("a seat").to_owned();
    // Pressed twice: the same seat.
    let again = guest
        .submit(&form, "Take a seat", &[("Your name", "Dee")])
        .await;
    assert_eq!(again.location(), Some(seat.as_str()));
    // Somebody else with the same link.
    stale(&guest.get(link).await);
    let thief = club.browser();
    stale(
        &thief
            .post(link, &[("name", "Mal"), ("key", &"a".repeat(52))])
            .await,
    );
    stale(&thief.get("/taste/never").await);
    assert_eq!(says(&guest, &seat, 1, &[("Honey", "0")]).await.status, 303);
    let page = ada.browser.get(&format!("{tasting}/guests")).await;
    assert!(page.text.contains("a guest came in by it"));
    // A seat's address is its own secret.
    assert_eq!(thief.get("/seat/never").await.status, 404);
}

#[tokio::test]
async fn a_link_used_twice_at_once_seats_one() {
    let club = Arc::new(Club::open().await);
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[]).await;
    let link = invited(&ada.browser, &tasting, 1).await.remove(0);
    let mut forms = Vec::new();
    for _ in 0..12 {
        let browser = club.browser();
        let page = browser.get(&link).await;
        forms.push((browser, page));
    }
    let tasks: Vec<_> = forms
        .into_iter()
        .map(|(browser, page)| {
            tokio::spawn(async move {
                let done = browser
                    .submit(&page, "Take a seat", &[("Your name", "Dee")])
                    .await;
                done.status
            })
        })
        .collect();
    let mut statuses = Vec::new();
    for task in tasks {
        statuses.push(task.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses[0], 303);
    assert_eq!(statuses[1..], [403; 11]);
    let seats: i64 = sqlx::query_scalar("select count(*) from tasting_seats")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(seats, 1);
}

#[tokio::test]
async fn links_run_out_are_taken_back_and_end_with_the_tasting() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[]).await;
    let links = invited(&ada.browser, &tasting, 3).await;
    let guest = club.browser();
    // The newest stands first in the list.
    let page = ada.browser.get(&format!("{tasting}/guests")).await;
    let back = ada.browser.submit(&page, "Take it back", &[]).await;
    assert_eq!(back.status, 303);
    let mut owner = club.database.owner().await;
    owner
        .execute("update tasting_links set expires_at = now() - interval '1 second' where id = (select min(id) from tasting_links)")
        .await
        .unwrap();
    let opens: Vec<bool> = {
        let mut opens = Vec::new();
        for link in &links {
            opens.push(guest.get(link).await.status == 200);
        }
        opens
    };
    assert_eq!(opens, [false, true, false]);
    for at in [0, 2] {
        let fields = [("name", "Dee"), ("key", &"a".repeat(52))];
        stale(&guest.post(&links[at], &fields).await);
    }
    ada.closes(&tasting).await;
    stale(&guest.get(&links[1]).await);
    let page = ada.browser.get(&format!("{tasting}/guests")).await;
    assert!(page.text.contains("The tasting is closed"), "{}", page.text);
    assert!(!page.text.contains("Make the links"), "{}", page.text);
}

#[tokio::test]
async fn there_are_only_so_many_links() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[]).await;
    for _ in 0..GOOD_MAX / 20 {
        invited(&ada.browser, &tasting, 20).await;
    }
    let form = ada.browser.get(&format!("{tasting}/guests")).await;
    let refused = ada.browser.submit(&form, "Make the links", &[]).await;
    assert_eq!(refused.status, 409);
    let refused = ada
        .browser
        .submit(&form, "Make the links", &[("How many guests", "21")])
        .await;
    assert_eq!(refused.status, 422);
    assert!(refused.fault("How many guests").contains("1 to 20"));
}

/// A member who opens a guest's link sits as themselves; one who sits already uses none up.
#[tokio::test]
async fn a_member_sits_as_themselves() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[("only me", "")]).await;
    let links = invited(&ada.browser, &tasting, 2).await;
    let bo = member(&club, "Bo").await;
    assert_eq!(bo.get(&tasting).await.status, 404, "it is private");
    let page = bo.get(&links[0]).await;
    assert!(page.text.contains("taste as Bo"), "{}", page.text);
    let done = bo.submit(&page, "Take a seat", &[]).await;
    assert_eq!(done.location(), Some(format!("{tasting}/seat").as_str()));
    assert_eq!(bo.get(&tasting).await.status, 200, "a seat opens it");
    let page = bo.get(&links[1]).await;
    let done = bo.submit(&page, "Take a seat", &[]).await;
    assert_eq!(done.location(), Some(format!("{tasting}/seat").as_str()));
    let guest = club.browser();
    comes_in(&guest, &links[1], "Dee").await;
}
