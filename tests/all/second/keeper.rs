//! A keeper takes a second step away that is lost; the member reads it at the next sign-in.

use super::{change, club_at_rest, count, is_in, set_up_app};
use crate::support::{Browser, Club, PASSWORD, Page, a_keeper, a_member};

async fn id_of(club: &Club, name: &str) -> String {
    sqlx::query_scalar("select public_id from members where name = $1")
        .bind(name)
        .fetch_one(club.pool())
        .await
        .expect("a member")
}

async fn page_of(club: &Club, keeper: &Browser, name: &str) -> Page {
    let path = format!("/keeper/members/{}/second-step", id_of(club, name).await);
    let members = keeper.get("/keeper/members").await;
    let (action, _) = members.filled(&format!("Second step lost: {name}"), &[]);
    assert_eq!(action, path);
    keeper.get(&path).await
}

#[tokio::test]
async fn it_is_taken_away_and_told_at_the_next_sign_in() {
    let club = club_at_rest(&[]).await;
    let wren = a_keeper().of(&club).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    set_up_app(&club, &browser).await;
    let keeper = club.browser_of(&wren).await;
    let page = page_of(&club, &keeper, "Ada").await;
    assert_eq!(page.heading(), "The second step of Ada");
    let done = keeper.submit(&page, "Take the second step away", &[]).await;
    let members = keeper.follow(done).await;
    assert!(
        members.text.contains("The second step is taken away"),
        "{}",
        members.text
    );
    assert!(!members.has_button("Second step lost: Ada"));
    assert!(!is_in(&browser).await, "signed out everywhere");
    for rows in [
        "select count(*) from code_apps",
        "select count(*) from recovery_codes",
    ] {
        assert_eq!(count(&club, rows).await, 0);
    }

    let browser = club.browser();
    let led = browser.sign_in("Ada", PASSWORD).await;
    assert_eq!(led.location(), Some("/second-step"), "{}", led.text);
    let page = browser.follow(led).await;
    assert!(page.text.contains("by Wren, a keeper."), "{}", page.text);
    let settings = browser.get("/settings").await;
    assert!(
        settings.text.contains("by Wren, a keeper."),
        "{}",
        settings.text
    );
    assert_eq!(
        club.browser().sign_in("Ada", PASSWORD).await.location(),
        Some("/"),
        "told once"
    );

    // The form that is sent again does not take the new one away.
    set_up_app(&club, &browser).await;
    assert!(!browser.get("/settings").await.text.contains("by Wren"));
    let old = keeper
        .get(&format!(
            "/keeper/members/{}/second-step",
            id_of(&club, "Ada").await
        ))
        .await;
    let fresh = old.hidden("once").expect("a key");
    let sql = "select key from once_keys where route like '%second-step'";
    let used: String = sqlx::query_scalar(sql)
        .fetch_one(club.pool())
        .await
        .expect("a key");
    assert_ne!(fresh, used);
    let path = format!("/keeper/members/{}/second-step", id_of(&club, "Ada").await);
    assert_eq!(keeper.post(&path, &[("once", &used)]).await.status, 303);
    assert_eq!(count(&club, "select count(*) from code_apps").await, 1);
}

#[tokio::test]
async fn only_a_keeper_does_it_and_not_to_themselves() {
    let club = club_at_rest(&[]).await;
    let wren = a_keeper().of(&club).await;
    let ada = a_member().of(&club).await;
    let keeper = club.browser_of(&wren).await;
    set_up_app(&club, &keeper).await;
    let own = format!("/keeper/members/{}/second-step", id_of(&club, "Wren").await);
    assert_eq!(keeper.get(&own).await.status, 404);
    assert_eq!(keeper.post(&own, &[]).await.status, 404);
    let member = club.browser_of(&ada).await;
    assert_eq!(member.get(&own).await.status, 404);
    assert_eq!(member.post(&own, &[]).await.status, 404);
    assert_eq!(count(&club, "select count(*) from code_apps").await, 1);
    let path = format!("/keeper/members/{}/second-step", id_of(&club, "Ada").await);
    assert_eq!(
        keeper.post(&path, &[]).await.status,
        400,
        "the form's key is missing"
    );
    let none = keeper.get(&path).await;
    assert!(none.text.contains("nothing to take away"), "{}", none.text);
    assert!(!none.has_button("Take the second step away"));
}

#[tokio::test]
async fn whoever_is_gone_leaves_none_behind() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    set_up_app(&club, &club.browser_of(&ada).await).await;
    change(
        &club,
        "update members set left_at = now(), disabled_at = now()",
    )
    .await;
    assert_eq!(
        count(&club, "select count(*) from code_apps").await,
        1,
        "they may come back"
    );
    change(&club, "update members set gone_at = now()").await;
    for rows in [
        "select count(*) from code_apps",
        "select count(*) from recovery_codes",
    ] {
        assert_eq!(count(&club, rows).await, 0, "{rows}");
    }
}
