//! Recovery codes: shown once, good once, made anew.

use mustwright::members::second::store;

use super::{CODE, club_at_rest, count, half_way, is_in, set_up_app};
use crate::support::{PASSWORD, a_member};

const FIELD: &str = "Recovery code";
const BUTTON: &str = "Use the recovery code";

#[tokio::test]
async fn each_takes_the_place_of_the_second_step_once() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let (_, codes) = set_up_app(&club, &club.browser_of(&ada).await).await;
    let (browser, page) = half_way(&club, &ada).await;
    let done = browser.submit(&page, BUTTON, &[(FIELD, &codes[3])]).await;
    assert_eq!(
        done.location(),
        Some("/second-step?done=recovered"),
        "{}",
        done.text
    );
    let page = browser.follow(done).await;
    assert!(page.text.contains("You came in by a recovery code"));
    assert!(page.text.contains("9 unused recovery codes"));

    let (browser, page) = half_way(&club, &ada).await;
    let again = browser.submit(&page, BUTTON, &[(FIELD, &codes[3])]).await;
    assert_eq!(again.status, 422);
    assert!(
        again.fault(FIELD).contains("none of your unused"),
        "{}",
        again.text
    );
    assert!(!again.text.contains(&codes[3]), "a code never comes back");
    assert!(!is_in(&browser).await);
    // However it is written, and in the field of the other code too.
    let loose = codes[4].replace('-', " ").to_uppercase();
    let done = browser.submit(&page, "Go on", &[(CODE, &loose)]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (browser, page) = half_way(&club, &ada).await;
    let others = format!("5{}", &codes[6][1..]);
    let mixed = browser.submit(&page, BUTTON, &[(FIELD, &others)]).await;
    assert_eq!(mixed.status, 422, "each letter counts under its own number");
}

#[tokio::test]
async fn of_twenty_at_once_with_one_code_one_uses_it_up() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    set_up_app(&club, &club.browser_of(&ada).await).await;
    let mut conn = club.pool().acquire().await.expect("a connection");
    let hash = store::find_recovery_code(&mut conn, ada.id, 7).await;
    let hash = hash.expect("an answer").expect("a hash");
    drop(conn);
    let tries = (0..20).map(|_| {
        let (pool, id, hash) = (club.pool().clone(), ada.id, hash.clone());
        tokio::spawn(async move {
            let mut conn = pool.acquire().await.expect("a connection");
            let used = store::use_recovery_code(&mut conn, id, 7, &hash).await;
            used.expect("an answer")
        })
    });
    let tries: Vec<_> = tries.collect();
    let mut used = 0;
    for one in tries {
        used += i32::from(one.await.expect("an answer"));
    }
    assert_eq!(used, 1);
}

#[tokio::test]
async fn new_ones_take_the_place_of_the_old_and_end_other_sessions() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let (phone, old) = set_up_app(&club, &browser).await;
    let (other, page) = half_way(&club, &ada).await;
    other
        .submit(&page, "Go on", &[(CODE, &phone.code(&club))])
        .await;
    assert!(is_in(&other).await);

    let page = browser.get("/second-step").await;
    assert!(!page.text.contains(&old[0]), "they are shown once");
    let page = browser.submit(&page, "Make new recovery codes", &[]).await;
    assert_eq!(page.heading(), "Recovery codes");
    let new = page.words_of(".codes").expect("codes");
    assert_eq!(new.split(' ').count(), 10);
    assert!(!new.contains(&old[0]));
    assert!(!is_in(&other).await);
    assert_eq!(
        count(&club, "select count(*) from recovery_codes").await,
        10
    );
    let (late, page) = half_way(&club, &ada).await;
    let refused = late.submit(&page, BUTTON, &[(FIELD, &old[0])]).await;
    assert_eq!(refused.status, 422);
    let good = new.split(' ').next().expect("one");
    let done = late.submit(&page, BUTTON, &[(FIELD, good)]).await;
    assert_eq!(done.status, 303);
}

#[tokio::test]
async fn the_database_holds_only_slow_hashes_of_them() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let (_, codes) = set_up_app(&club, &club.browser_of(&ada).await).await;
    let stored: Vec<String> = sqlx::query_scalar("select hash from recovery_codes order by number")
        .fetch_all(club.pool())
        .await
        .expect("rows");
    assert_eq!(stored.len(), 10);
    for (hash, code) in stored.iter().zip(&codes) {
        assert!(
            hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{hash}"
        );
        let letters = code[2..].replace('-', "");
        assert!(!hash.contains(&letters));
    }
}

#[tokio::test]
async fn whoever_has_no_second_step_gets_no_codes() {
    let club = club_at_rest(&[]).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    assert!(
        !browser
            .get("/second-step")
            .await
            .has_button("Make new recovery codes")
    );
    let page = browser.post("/second-step/recovery-codes", &[]).await;
    assert_eq!(page.location(), Some("/second-step"));
    assert_eq!(count(&club, "select count(*) from recovery_codes").await, 0);
    assert_eq!(
        club.browser().sign_in("Ada", PASSWORD).await.location(),
        Some("/")
    );
}
