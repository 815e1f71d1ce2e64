//! Mentors: a newcomer reads one name to ask.

use mustwright::members::invites::NewInvite;
use mustwright::members::invites::store::{make_invite, make_invite_link};
use mustwright::web::viewer::{MemberId, Role};

use crate::support::{Browser, Club, PASSWORD, a_keeper, a_member};

/// Comes in by an invite of that keeper.
async fn newcomer(club: &Club, keeper: MemberId, name: &str) -> Browser {
    let mut conn = club.pool().acquire().await.unwrap();
    let new = NewInvite {
        role: Role::Member,
        note: String::new(),
        uses: 1,
        days: 7,
    };
    let id = make_invite(&mut conn, keeper, &new).await.unwrap();
    let token = make_invite_link(&mut conn, &id).await.unwrap().unwrap();
    drop(conn);
    let browser = club.browser();
    let fields = [
        ("name", name),
        ("new_password", PASSWORD),
        ("new_password_again", PASSWORD),
        ("units", "metric"),
    ];
    let done = browser.post(&format!("/join/{token}"), &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    browser
}

/// Whom the first page names, and the settings too.
async fn asks(browser: &Browser) -> Option<String> {
    let name_in = |text: &str| {
        let (_, rest) = text.split_once("ask <b>")?;
        Some(rest.split_once("</b>")?.0.to_owned())
    };
    let home = name_in(&browser.get("/").await.text);
    assert_eq!(home, name_in(&browser.get("/settings").await.text));
    home
}

async fn offer(browser: &Browser, button: &str) {
    let page = browser.get("/settings").await;
    assert_eq!(browser.submit(&page, button, &[]).await.status, 303);
}

/// Everybody who is here now has been here for long.
async fn grow_old(club: &Club) {
    sqlx::query("update members set created_at = now() - interval '91 days'")
        .execute(&mut club.database.owner().await)
        .await
        .unwrap();
}

const OFFER: &str = "Newcomers may ask me";
const STOP: &str = "Not any more";

#[tokio::test]
async fn newcomers_are_shared_out_and_find_another_when_one_stops() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let bert = club
        .browser_of(&a_member().named("Bert").of(&club).await)
        .await;
    let cora = club
        .browser_of(&a_member().named("Cora").of(&club).await)
        .await;
    grow_old(&club).await;
    assert_eq!(asks(&bert).await, None, "who is here for long needs nobody");

    let one = newcomer(&club, wren.id, "One").await;
    assert_eq!(
        asks(&one).await.as_deref(),
        Some("Wren"),
        "who invited them"
    );
    offer(&bert, OFFER).await;
    assert_eq!(asks(&one).await.as_deref(), Some("Bert"));
    offer(&cora, OFFER).await;
    let two = newcomer(&club, wren.id, "Two").await;
    assert_eq!(
        asks(&two).await.as_deref(),
        Some("Cora"),
        "the fewest first"
    );
    let three = newcomer(&club, wren.id, "Three").await;
    assert_eq!(asks(&three).await.as_deref(), Some("Bert"));

    // A keeper knows better.
    let roll = keeper.get("/keeper/members").await;
    let cora_id: String = sqlx::query_scalar("select public_id from members where name = 'Cora'")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let label = [("May ask, Three", cora_id.as_str())];
    let done = keeper
        .submit(&roll, "Change whom to ask: Three", &label)
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(asks(&three).await.as_deref(), Some("Cora"));
    assert!(!roll.has_button("Change whom to ask: Bert"), "no newcomer");

    offer(&cora, STOP).await;
    for browser in [&one, &two, &three] {
        assert_eq!(asks(browser).await.as_deref(), Some("Bert"));
    }
    let roll = keeper.get("/keeper/members").await;
    keeper.submit(&roll, "Shut out: Bert", &[]).await;
    assert_eq!(
        asks(&two).await.as_deref(),
        Some("Wren"),
        "nobody offers it any more"
    );
    sqlx::query("update members set created_at = now() - interval '89 days' where name = 'One'")
        .execute(club.pool())
        .await
        .unwrap();
    assert_eq!(asks(&one).await.as_deref(), Some("Wren"));
    grow_old(&club).await;
    assert_eq!(asks(&one).await, None);
}

#[tokio::test]
async fn only_who_offers_it_is_given_and_only_by_keepers() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let one = newcomer(&club, wren.id, "One").await;
    let ids: Vec<(String, String)> = sqlx::query_as("select name, public_id from members")
        .fetch_all(club.pool())
        .await
        .unwrap();
    let id = |name: &str| &ids.iter().find(|(known, _)| known == name).unwrap().1;
    let path = format!("/keeper/members/{}/mentor", id("One"));
    let fields = [("mentor", id("Wren").as_str())];
    assert_eq!(keeper.post(&path, &fields).await.status, 404, "no offer");
    offer(&keeper, OFFER).await;
    assert_eq!(one.post(&path, &fields).await.status, 404);
    assert_eq!(keeper.post(&path, &fields).await.status, 303);
    let oneself = [("mentor", id("One").as_str())];
    assert_eq!(keeper.post(&path, &oneself).await.status, 404);
}

#[tokio::test]
async fn a_keeper_is_new_to_nobody() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let keeper = club.browser_of(&wren).await;
    let cora = a_member().named("Cora").of(&club).await;
    grow_old(&club).await;
    let second = club
        .browser_of(&a_keeper().named("Second").of(&club).await)
        .await;
    offer(&club.browser_of(&cora).await, OFFER).await;
    assert_eq!(asks(&keeper).await, None);
    assert_eq!(asks(&second).await, None, "came in today");
    let placed: i64 =
        sqlx::query_scalar("select count(*) from members where mentor_id is not null")
            .fetch_one(club.pool())
            .await
            .unwrap();
    assert_eq!(placed, 0, "nobody was given somebody to ask");
    let one = newcomer(&club, wren.id, "One").await;
    assert_eq!(asks(&one).await.as_deref(), Some("Cora"));
    let roll = keeper.get("/keeper/members").await;
    assert!(roll.has_button("Change whom to ask: One"));
    assert!(!roll.has_button("Change whom to ask: Second"));
}
