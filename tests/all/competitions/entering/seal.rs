//! The seal on whose every entry is: made at the close, opened at the release, broken by whatever changes hands.

use mustwright::competitions::entering::sealed::{seal_all, shown};
use mustwright::competitions::model::{Duty, Phase};
use mustwright::competitions::organise::store::add_duty;

use super::super::entries::an_entry;
use super::{entered, open_for_bo};
use crate::support::{Club, a_member};

#[tokio::test]
async fn a_seal_names_nobody_and_tells_whether_an_entry_changed_hands() {
    let club = Club::open().await;
    let (ada, held, bo, browser) = open_for_bo(&club).await;
    entered(&browser, &held).await;
    let other = an_entry().of(&club, &held.public_id, &ada).await;
    let path = format!("{}/sealed", held.path);
    assert_eq!(browser.get(&path).await.status, 404, "entries are open");
    let mut tx = club.pool().begin().await.unwrap();
    seal_all(&mut tx, held.id, club.app.clock.now())
        .await
        .unwrap();
    tx.commit().await.unwrap();
    held.stands_in(&club, Phase::Closed).await;
    let all: Vec<u8> = sqlx::query_scalar("select commitment from competitions")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let closed = browser.get(&path).await;
    assert!(closed.text.contains(&shown(&all)), "{}", closed.text);
    assert!(
        !closed.text.contains(&other.code),
        "no code before the release"
    );

    // It hangs on whose the entries are, so nobody who judges reads it before the release.
    let cleo = a_member().named("Cleo").of(&club).await;
    let mut conn = club.pool().acquire().await.unwrap();
    assert!(
        add_duty(&mut conn, held.id, cleo.id, Duty::Judge)
            .await
            .unwrap()
    );
    drop(conn);
    let cleo = club.browser_of(&cleo).await;
    assert_eq!(cleo.get(&path).await.status, 404);
    assert!(cleo.get(&held.path).await.link("The seal").is_none());
    assert!(browser.get(&held.path).await.link("The seal").is_some());

    held.stands_in(&club, Phase::Released).await;
    assert_eq!(cleo.get(&path).await.status, 200);
    let released = browser.get(&path).await;
    assert!(
        released.text.contains("Its seal holds"),
        "{}",
        released.text
    );
    assert!(
        released.text.contains("none was added"),
        "{}",
        released.text
    );
    assert!(released.text.contains(&other.code));
    let adas: String = sqlx::query_scalar("select public_id from members where name = 'Ada'")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert!(
        !released.text.contains(&adas),
        "only ones own seal is opened"
    );

    // Somebody with the keys of the database gives Bo the other mead.
    sqlx::query("update competition_makers set member_id = $1 where member_id = $2")
        .bind(bo.id.0)
        .bind(ada.id.0)
        .execute(club.pool())
        .await
        .unwrap();
    let page = browser.get(&path).await;
    assert!(
        page.text.contains("Its seal does not hold"),
        "{}",
        page.text
    );
    sqlx::query("update competition_seals set seal = decode(repeat('00', 32), 'hex')")
        .execute(&mut club.database.owner().await)
        .await
        .unwrap();
    let page = browser.get(&path).await;
    assert!(page.text.contains("do not add up"), "{}", page.text);
}
