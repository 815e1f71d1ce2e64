//! A bad network between the server and its database: what is acknowledged is there, what is not is there once, and
//! the server comes back by itself.

use std::time::Duration;

use mustwright::jobs::listed;
use mustwright::jobs::worker::{Pace, Worker};
use mustwright::web::listen::Limits;
use sqlx::{AssertSqlSafe, Connection, Executor, PgConnection};
use tokio::sync::watch;

use crate::support::relay::{Network, Relay};
use crate::support::{Browser, Club, Page, TestDatabase, a_member, database};

const SAVE: &str = "Save as revision 1";

/// A club whose database is over there, and a member who is signed in.
async fn over_a_network() -> (Club, Relay, Browser) {
    let (database, relay) = TestDatabase::make().await.over_a_network().await;
    let club = Club::opened(&[], Limits::default(), database).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    (club, relay, browser)
}

/// Asks until an answer has the status, for as long as a visitor would.
async fn until(browser: &Browser, path: &str, status: u16) -> Page {
    let asked = async {
        loop {
            let page = browser.get(path).await;
            if page.status == status {
                return page;
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    };
    tokio::time::timeout(Duration::from_secs(20), asked)
        .await
        .unwrap_or_else(|_| panic!("{path} is never answered with {status}"))
}

async fn recipes(club: &Club) -> i64 {
    sqlx::query_scalar("select count(*) from recipes")
        .fetch_one(club.pool())
        .await
        .expect("a number")
}

#[tokio::test]
async fn a_database_that_goes_and_comes_back_is_found_again() {
    let (club, relay, browser) = over_a_network().await;
    let form = browser.get("/recipes/new").await;
    for _ in 0..2 {
        relay.becomes(Network::Down);
        let page = browser.submit(&form, SAVE, &[("Name", "Whitsun")]).await;
        assert_eq!(
            (page.status, page.hidden("title").as_deref()),
            (503, Some("Whitsun"))
        );
        assert_eq!(browser.get("/health/ready").await.status, 503);
        assert_eq!(browser.get("/health/live").await.status, 200);
        relay.becomes(Network::Good);
        until(&browser, "/health/ready", 200).await;
        let done = browser.submit(&page, "Send again", &[]).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    assert_eq!(recipes(&club).await, 1, "the same form is one recipe");
}

#[tokio::test]
async fn what_was_done_is_done_once_though_its_answer_was_lost() {
    let (club, relay, browser) = over_a_network().await;
    let form = browser.get("/recipes/new").await;
    relay.becomes(Network::LosesTheAnswerToACommit);
    let page = browser.submit(&form, SAVE, &[("Name", "Whitsun")]).await;
    assert_eq!(page.status, 503, "nobody says that it was saved");
    assert_eq!(relay.lost(), 1);
    assert_eq!(recipes(&club).await, 1, "but it was");
    let done = browser.submit(&page, "Send again", &[]).await;
    let sheet = browser.follow(done).await;
    assert_eq!(sheet.status, 200);
    assert!(sheet.heading().contains("Whitsun"), "{}", sheet.text);
    assert_eq!(recipes(&club).await, 1);
}

#[tokio::test]
async fn a_slow_network_breaks_nothing() {
    let (club, relay, browser) = over_a_network().await;
    let form = browser.get("/recipes/new").await;
    relay.becomes(Network::Slow(Duration::from_millis(30)));
    let done = browser.submit(&form, SAVE, &[("Name", "Whitsun")]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(recipes(&club).await, 1);
}

#[tokio::test]
async fn connections_that_fell_silent_give_up_their_places() {
    let (club, relay, browser) = over_a_network().await;
    let mut all = Vec::new();
    while let Some(conn) = club.pool().try_acquire() {
        all.push(conn);
    }
    while all.len() < 4 {
        all.push(club.pool().acquire().await.expect("a connection"));
    }
    drop(all);
    until(&browser, "/health/ready", 200).await;
    relay.becomes(Network::Silent);
    for _ in 0..4 {
        // Whoever asks goes away again, and leaves a connection behind that never answers.
        let asked = browser.get("/settings");
        let answered = tokio::time::timeout(Duration::from_millis(300), asked).await;
        assert!(answered.is_err(), "the network is silent");
    }
    relay.becomes(Network::Good);
    until(&browser, "/settings", 200).await;
}

/// After another server of the database took over, the old one only reads: that passes, and nothing typed is lost.
#[tokio::test]
async fn a_database_that_only_reads_is_not_ready_and_is_left() {
    let (club, relay, browser) = over_a_network().await;
    let form = browser.get("/recipes/new").await;
    let name = club.database.name();
    let only_reads = async |on: &str| {
        let mut conn = PgConnection::connect_with(database::server())
            .await
            .expect("a way in");
        for statement in [
            "set default_transaction_read_only = off".to_owned(),
            format!("alter database {name} set default_transaction_read_only = {on}"),
        ] {
            conn.execute(AssertSqlSafe(statement))
                .await
                .expect("a setting");
        }
    };
    only_reads("on").await;
    // Whoever is connected has to come anew.
    relay.becomes(Network::Down);
    assert_eq!(browser.get("/health/ready").await.status, 503);
    relay.becomes(Network::Good);
    until(&browser, "/recipes", 200).await;
    assert_eq!(browser.get("/health/ready").await.status, 503);
    let page = browser.submit(&form, SAVE, &[("Name", "Whitsun")]).await;
    assert_eq!(
        (page.status, page.hidden("title").as_deref()),
        (503, Some("Whitsun"))
    );
    only_reads("off").await;
    until(&browser, "/health/ready", 200).await;
    let done = browser.submit(&page, "Send again", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(recipes(&club).await, 1);
}

/// Where the database says nothing, whoever looks for jobs waits for it; not once the server is told to stop.
#[tokio::test]
async fn a_silent_database_keeps_no_server_from_stopping() {
    let (club, relay, _) = over_a_network().await;
    let pace = Pace {
        look: Duration::from_millis(10),
        ..Pace::default()
    };
    let worker = Worker::new(club.pool().clone(), listed::all(&club.app), pace);
    let (stop, stopped) = watch::channel(false);
    let works = tokio::spawn(worker.run(stopped));
    tokio::time::sleep(Duration::from_millis(200)).await;
    relay.becomes(Network::Silent);
    tokio::time::sleep(Duration::from_millis(200)).await;
    stop.send(true).expect("it hears");
    tokio::time::timeout(Duration::from_secs(5), works)
        .await
        .expect("in time")
        .expect("an end");
}
