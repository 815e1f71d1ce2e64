//! A lost password is replaced by a letter; nothing tells who has an address, and nobody is flooded.

use mustwright::mail::asking;

use super::{Post, has_address};
use crate::support::{PASSWORD, Page, a_member};

const NEW: &str = "gorse lantern seventy brooks";

async fn asked(post: &Post, name: &str) -> Page {
    let stranger = post.club.browser();
    let sign_in = stranger.get("/sign-in").await;
    let way = sign_in.link("Forgotten your password?").expect("a way");
    let page = stranger.get(&way).await;
    stranger
        .submit(&page, "Send me a link", &[("Name", name)])
        .await
}

#[tokio::test]
async fn a_link_comes_to_who_has_an_address_and_the_answer_tells_nobody() {
    let post = Post::open(&[]).await;
    let ada = a_member().of(&post.club).await;
    a_member().named("Bea").of(&post.club).await;
    has_address(&post.club, &ada, "ada@mead.example").await;
    let mut answers = Vec::new();
    for name in ["Ada", "Bea", "Cid"] {
        let answer = asked(&post, name).await;
        assert_eq!(answer.status, 200, "{}", answer.text);
        answers.push(answer.text.replace(name, "…"));
    }
    assert!(
        answers.iter().all(|answer| *answer == answers[0]),
        "{answers:#?}"
    );
    super::until(
        &post.club,
        "kind = 'mail_reset' having count(*) = 3 and bool_and(ended_at is not null)",
    )
    .await;
    let letter = post.server.nth(1).await;
    assert_eq!(letter.to, ["ada@mead.example"]);
    assert_eq!(
        letter.header("Subject"),
        "Tarn Valley Mead Circle: a new password"
    );
    let (within, texts): (bool, i64) = sqlx::query_as(
        "select bool_and(expires_at <= now() + interval '1 hour'),
                (select count(*) from jobs where about <> '{}') from one_time_links",
    )
    .fetch_one(post.club.pool())
    .await
    .unwrap();
    assert!(within, "an hour at most");
    assert_eq!(texts, 0, "what was typed is not kept");

    let link = letter.path(post.origin(), "/new-password/");
    let browser = post.club.browser();
    let page = browser.get(&link).await;
    let twice = [("New password", NEW), ("The same password again", NEW)];
    let done = browser.submit(&page, "Set the new password", &twice).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let told = post.server.nth(2).await;
    assert!(
        told.header("Subject")
            .ends_with("your password was changed")
    );
    assert_eq!(
        post.club.browser().sign_in("Ada", PASSWORD).await.status,
        422
    );
    assert_eq!(post.club.browser().sign_in("Ada", NEW).await.status, 303);
}

#[tokio::test]
async fn resets_are_capped_by_name_by_source_and_as_a_whole() {
    let post = Post::open(&[("MUSTWRIGHT_TRUSTED_PROXIES", "127.0.0.1")]).await;
    let ada = a_member().of(&post.club).await;
    has_address(&post.club, &ada, "ada@mead.example").await;
    post.carrier.abort();
    let browser = post.club.browser();
    let send = async |name: &str, source: &str| -> u16 {
        let request = browser.request(reqwest::Method::POST, "/forgotten-password");
        let request = request
            .header("origin", post.origin())
            .header("x-forwarded-for", source);
        browser.send(request.form(&[("name", name)])).await.status
    };
    // One name from everywhere: five letters a day.
    for nth in 0..12 {
        assert_eq!(send("Ada", &format!("203.0.113.{nth}")).await, 200);
    }
    let waiting = async || -> i64 {
        sqlx::query_scalar("select count(*) from jobs where kind = 'mail_reset'")
            .fetch_one(post.club.pool())
            .await
            .expect("the jobs")
    };
    assert_eq!(waiting().await, 5);
    // Many names from one place: it has to wait.
    let mut answers = Vec::new();
    for nth in 0..30 {
        answers.push(send(&format!("Nobody {nth}"), "198.51.100.7").await);
    }
    assert!(answers.contains(&429), "{answers:?}");
    assert!(waiting().await < 5 + 30);
    // Many names from many places: the queue ends.
    let mut conn = post.club.pool().acquire().await.unwrap();
    for nth in 0..230 {
        asking::reset(&mut conn, &format!("somebody {nth}"))
            .await
            .unwrap();
    }
    drop(conn);
    assert_eq!(waiting().await, 200);
    assert_eq!(
        send("Bea", "203.0.113.99").await,
        200,
        "and tells nobody so"
    );
    assert_eq!(waiting().await, 200);
}

#[tokio::test]
async fn word_comes_of_a_changed_password_and_second_step() {
    let post = Post::open(&[]).await;
    let ada = a_member().of(&post.club).await;
    has_address(&post.club, &ada, "ada@mead.example").await;
    let browser = post.club.browser_of(&ada).await;
    let page = browser.get("/settings/password").await;
    let fields = [
        ("Password that you have now", PASSWORD),
        ("New password", NEW),
        ("The same new password again", NEW),
    ];
    let done = browser.submit(&page, "Change the password", &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let told = post.server.nth(1).await;
    assert!(
        told.header("Subject")
            .ends_with("your password was changed")
    );
    assert!(told.body.contains(post.origin()), "{}", told.body);
    let mut tx = post.club.pool().begin().await.unwrap();
    let what = asking::Notice::SecondStep;
    post.club
        .app
        .mail
        .notice(&mut tx, ada.id, what)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    let told = post.server.nth(2).await;
    assert!(
        told.header("Subject")
            .ends_with("your second step was changed")
    );
}
