//! Reminders: by day, one a day, on the day that they are of, only to who wants them, stopped by the link in each.

use chrono::{TimeDelta, Timelike, Utc};

use super::{Post, has_address, until};
use crate::support::{Browser, Person, a_member, change_jobs, count_jobs};

/// Puts a member where it is this hour now.
async fn lives_where_it_is(post: &Post, person: &Person, hour: i32) {
    let now = i32::try_from(Utc::now().hour()).unwrap();
    // Names of these zones count westwards.
    let west = match now - hour {
        far if far > 12 => far - 24,
        far if far < -12 => far + 24,
        near => near,
    };
    sqlx::query("update members set zone = $2 where id = $1")
        .bind(person.id.0)
        .bind(format!("Etc/GMT{west:+}"))
        .execute(post.club.pool())
        .await
        .unwrap();
}

/// Lets the server look through the batches once more, to the end.
async fn look(post: &Post) {
    until(
        &post.club,
        "kind = 'reminders' and held_until is null and done_at is not null",
    )
    .await;
    change_jobs(
        &post.club,
        "due_at = now(), done_at = null where kind = 'reminders'",
    )
    .await;
    until(
        &post.club,
        "kind = 'reminders' and held_until is null and done_at is not null",
    )
    .await;
}

/// How many reminders were asked for by now, carried or not.
async fn asked(post: &Post) -> i64 {
    count_jobs(post.club.pool(), "kind = 'mail_reminder'").await
}

/// A member with an address, and with a batch that wants something.
async fn with_a_batch(post: &Post) -> (Person, Browser) {
    let ada = a_member().of(&post.club).await;
    has_address(&post.club, &ada, "ada@mead.example").await;
    let browser = post.club.browser_of(&ada).await;
    let form = browser.get("/batches/going").await;
    let since = (Utc::now() - TimeDelta::days(40)).format("%-d %B %Y");
    let known = [
        ("What it is called", "Heather"),
        ("In the vessel since", &since.to_string()),
        ("How much there is", "4.5 L"),
        ("Gravity when it began", "1090"),
    ];
    let done = browser.submit(&form, "Take it in", &known).await;
    assert_eq!(done.status, 303, "{}", done.text);
    (ada, browser)
}

/// Asks for reminders in the settings.
async fn begin(browser: &Browser) {
    let page = browser.get("/settings/mail").await;
    let on = browser.submit(&page, "Send me reminders", &[]).await;
    assert_eq!(on.status, 303);
}

#[tokio::test]
async fn one_letter_a_day_tells_what_batches_want_until_it_is_stopped() {
    let post = Post::open(&[]).await;
    let (ada, browser) = with_a_batch(&post).await;
    // Nobody gets any who did not ask.
    lives_where_it_is(&post, &ada, 12).await;
    look(&post).await;
    begin(&browser).await;
    // Nobody is written to at night.
    lives_where_it_is(&post, &ada, 3).await;
    look(&post).await;
    assert_eq!(asked(&post).await, 0);

    lives_where_it_is(&post, &ada, 12).await;
    look(&post).await;
    let letter = post.server.nth(1).await;
    assert_eq!(
        letter.header("Subject"),
        "Tarn Valley Mead Circle: what your batches want today"
    );
    assert!(letter.body.contains("Heather"), "{}", letter.body);
    let batch = letter.path(post.origin(), "/batches/");
    assert_eq!(
        browser.get(batch.split('#').next().unwrap()).await.status,
        200
    );
    let stop = letter.path(post.origin(), "/mail/stop/");
    assert_eq!(
        letter.header("List-Unsubscribe"),
        format!("<{}{stop}>", post.origin())
    );

    // One a day.
    look(&post).await;
    look(&post).await;
    assert_eq!(asked(&post).await, 1);

    // Whoever only looks stops nothing.
    let stranger = post.club.browser();
    let asks = stranger.get(&stop).await;
    assert!(
        browser
            .get("/settings/mail")
            .await
            .has_button("Stop the reminders")
    );
    let stopped = stranger.submit(&asks, "Stop the reminders", &[]).await;
    assert_eq!(stopped.heading(), "No reminders are sent any more");
    assert!(
        browser
            .get("/settings/mail")
            .await
            .has_button("Send me reminders")
    );
    change_jobs(&post.club, "key = 'yesterday' where kind = 'mail_reminder'").await;
    look(&post).await;
    assert_eq!(asked(&post).await, 1);
}

#[tokio::test]
async fn what_waited_until_it_is_night_or_another_day_is_not_sent() {
    let post = Post::open(&[]).await;
    let (ada, browser) = with_a_batch(&post).await;
    // Nothing else is asked for while this looks on.
    look(&post).await;
    begin(&browser).await;
    for (hour, days_ago, letters) in [(12, 1_i32, 0), (3, 0, 0), (12, 0, 1)] {
        lives_where_it_is(&post, &ada, hour).await;
        let key = format!("{hour} {days_ago}");
        sqlx::query(
            "insert into jobs (kind, key, about)
             select 'mail_reminder', $2,
                    jsonb_build_object('member', id, 'day', ((now() at time zone zone)::date - $3::int)::text)
             from members where id = $1",
        )
        .bind(ada.id.0)
        .bind(&key)
        .bind(days_ago)
        .execute(post.club.pool())
        .await
        .unwrap();
        let done = format!("kind = 'mail_reminder' and key = '{key}' and done_at is not null");
        until(&post.club, &done).await;
        assert_eq!(post.server.letters().len(), letters, "{key}");
    }
}
