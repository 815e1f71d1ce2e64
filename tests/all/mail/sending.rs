//! Letters on their way: invites, a mail server that is away, refuses or dies in the middle, and the trial.

use mustwright::mail::Letter;

use super::{FROM, Post, carrier, has_address, tables_with, until};
use crate::support::{Command, MailServer, Mood, a_keeper, a_member, change_jobs};

const NEWCOMER: &str = "newcomer@other.example";

#[tokio::test]
async fn an_invite_is_sent_and_its_address_is_not_kept() {
    let post = Post::open(&[]).await;
    let wren = post.club.browser_of(&a_keeper().of(&post.club).await).await;
    let page = wren.get("/keeper/invites").await;
    let wrong = [
        ("For how many people", "1"),
        ("Send the link to", "newcomer"),
    ];
    let refused = wren.submit(&page, "Make the invite", &wrong).await;
    assert_eq!(refused.status, 422);
    assert!(
        refused
            .fault("Send the link to")
            .contains("or leave it empty")
    );
    assert_eq!(refused.value("Send the link to"), "newcomer");
    let right = [("For how many people", "1"), ("Send the link to", NEWCOMER)];
    let made = wren.submit(&page, "Make the invite", &right).await;
    assert!(
        made.text.contains(&format!("on its way to {NEWCOMER}")),
        "{}",
        made.text
    );
    // The same form once more is the same invite, and no second letter.
    wren.submit(&page, "Make the invite", &right).await;

    let letter = post.server.nth(1).await;
    assert_eq!(letter.to, [NEWCOMER]);
    assert_eq!(
        letter.header("Subject"),
        "Tarn Valley Mead Circle: an invite"
    );
    assert!(
        letter
            .body
            .contains("Wren invites you to join Tarn Valley Mead Circle.")
    );
    let link = letter.path(post.origin(), "/join/");
    assert_eq!(post.club.browser().get(&link).await.status, 200);
    until(&post.club, "kind = 'mail_invite' and done_at is not null").await;
    assert_eq!(tables_with(&post.club, NEWCOMER).await, [""; 0]);
    assert_eq!(post.server.letters().len(), 1);
}

#[tokio::test]
async fn a_mail_server_that_is_away_gets_the_letter_later_and_once() {
    let post = Post::open(&[]).await;
    let (ada, wren) = (
        a_member().of(&post.club).await,
        a_keeper().of(&post.club).await,
    );
    has_address(&post.club, &ada, "ada@mead.example").await;
    let wren = post.club.browser_of(&wren).await;
    let ask = async || {
        let mut conn = post.club.pool().acquire().await.expect("a connection");
        mustwright::mail::asking::reset(&mut conn, "ada")
            .await
            .expect("asked");
    };
    for (mood, words) in [
        (Mood::Away, "The mail server does not answer."),
        (Mood::Later, "cannot take the letter right now"),
    ] {
        post.server.is(mood);
        let before = post.server.letters().len();
        ask().await;
        until(
            &post.club,
            "ended_at is null and failed_at is not null and held_until is null",
        )
        .await;
        let health = wren.get("/keeper/health").await;
        assert!(health.text.contains(words), "{}", health.text);
        assert!(
            health
                .text
                .contains("Sending links for a new password: not done.")
        );
        post.server.is(Mood::Takes);
        change_jobs(
            &post.club,
            "due_at = now() where ended_at is null and kind = 'mail_reset'",
        )
        .await;
        post.server.nth(before + 1).await;
        until(
            &post.club,
            "kind = 'mail_reset' having bool_and(done_at is not null)",
        )
        .await;
    }
    let health = wren.get("/keeper/health").await;
    assert!(!health.text.contains("not done."), "{}", health.text);

    // What is refused for good is not tried again, and what nobody takes for a day neither.
    post.server.is(Mood::Refuses);
    ask().await;
    until(
        &post.club,
        "failure like '%refused the letter%' and ended_at is not null",
    )
    .await;
    let mailer = post.club.app.mail.mailer().unwrap();
    let letter = Letter {
        to: "ada@mead.example".parse().unwrap(),
        subject: "a letter".to_owned(),
        body: "A line.\n".to_owned(),
        stop: None,
    };
    let refused = mailer.send("The club", &letter).await.unwrap_err();
    let cause = refused.cause.unwrap();
    // The whole answer goes to the log, but for the address that it tells again.
    assert!(
        cause.contains("<the reader>: nobody of this name") && !cause.contains("ada"),
        "{cause}"
    );
    post.server.is(Mood::Away);
    ask().await;
    until(
        &post.club,
        "ended_at is null and failed_at is not null and held_until is null",
    )
    .await;
    // The next try would come after its day.
    let old = "due_at = now(), asked_at = now() - interval '86370 seconds' where ended_at is null and kind = 'mail_reset'";
    change_jobs(&post.club, old).await;
    until(
        &post.club,
        "kind = 'mail_reset' having bool_and(ended_at is not null)",
    )
    .await;
    let kept: i64 =
        sqlx::query_scalar("select count(*) from jobs where kind = 'mail_reset' and about <> '{}'")
            .fetch_one(post.club.pool())
            .await
            .unwrap();
    assert_eq!(kept, 0, "what was given up is forgotten too");
    assert_eq!(post.server.letters().len(), 2);
}

#[tokio::test]
async fn a_letter_that_was_asked_for_days_ago_is_not_sent_any_more() {
    let post = Post::open(&[]).await;
    let ada = a_member().of(&post.club).await;
    has_address(&post.club, &ada, "ada@mead.example").await;
    // As if no server had been there meanwhile.
    let mut tx = post.club.pool().begin().await.unwrap();
    mustwright::mail::asking::reset(&mut tx, "ada")
        .await
        .unwrap();
    sqlx::query("update jobs set asked_at = now() - interval '2 days' where kind = 'mail_reset'")
        .execute(&mut *tx)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    until(
        &post.club,
        "kind = 'mail_reset' and ended_at is not null and about = '{}' and failure like '%too long ago%'",
    )
    .await;
    assert_eq!(post.server.letters().len(), 0);
}

#[tokio::test]
async fn a_letter_whose_server_died_over_it_is_not_sent_a_second_time() {
    let post = Post::open(&[]).await;
    let ada = a_member().of(&post.club).await;
    has_address(&post.club, &ada, "ada@mead.example").await;
    post.server.is(Mood::FallsSilent);
    let mut conn = post.club.pool().acquire().await.unwrap();
    mustwright::mail::asking::reset(&mut conn, "ada")
        .await
        .unwrap();
    drop(conn);
    post.server.nth(1).await;
    post.carrier.abort();
    post.server.is(Mood::Takes);
    change_jobs(&post.club, "held_until = now() where kind = 'mail_reset'").await;
    let _other = carrier(&post.club);
    until(
        &post.club,
        "turn = 2 and ended_at is not null and failure like '%not done a second time%'",
    )
    .await;
    post.server.nth(1).await;
}

#[tokio::test]
async fn the_trial_sends_a_letter_or_says_why_not() {
    let server = MailServer::open().await;
    let settings = [
        ("MUSTWRIGHT_MAIL_SERVER", server.address.as_str()),
        ("MUSTWRIGHT_MAIL_SECRECY", "none"),
        ("MUSTWRIGHT_MAIL_FROM", FROM),
        ("MUSTWRIGHT_CLUB_NAME", "Dún Meadhe"),
    ];
    let sent = Command::start(&["mail-test", "ada@mead.example"], &settings)
        .ends()
        .await;
    assert_eq!(sent.code, Some(0), "{}", sent.complained);
    assert!(
        sent.said.contains("took a letter to ada@mead.example"),
        "{}",
        sent.said
    );
    let letter = server.nth(1).await;
    assert!(letter.header("Subject").is_ascii() && letter.body.contains("Dún Meadhe"));
    server.is(Mood::Refuses);
    let refused = Command::start(&["mail-test", "ada@mead.example"], &settings)
        .ends()
        .await;
    assert_eq!(refused.code, Some(1));
    assert!(
        refused.complained.contains("refused the letter"),
        "{}",
        refused.complained
    );
    let none = Command::start(&["mail-test", "ada@mead.example"], &[])
        .ends()
        .await;
    assert_eq!(none.code, Some(1));
    assert!(
        none.complained.contains("MUSTWRIGHT_MAIL_SERVER"),
        "{}",
        none.complained
    );
}
