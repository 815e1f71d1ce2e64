//! Once keys: a form sent twice does its work once, and other words under the same key are never dropped.

use axum::Router;
use axum::extract::State;
use axum::routing::post;
use mustwright::app::{self, App};
use mustwright::web::once::{self, Claim, Once};
use mustwright::web::pages::{Answer, see_other};
use mustwright::web::paths::Route;
use mustwright::web::policy::Action;
use mustwright::web::viewer::Member;
use mustwright::web::{Posted, Viewer};
use sqlx::Executor;
use tokio::sync::watch;

use crate::support::{Browser, Club, PASSWORD, Page, a_member};

const KEEP: Route = Route::post("/kept", Action::TakePart);

/// Keeps a word: the smallest thing that may be done once only.
async fn keep(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, KEEP).await? {
        return see_other(app.site.base(), &location);
    }
    let number: i64 = sqlx::query_scalar("insert into kept (word) values ($1) returning id")
        .bind(posted.one("word")?)
        .fetch_one(&mut *tx)
        .await?;
    if posted.one("word")? == "slow" {
        tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    }
    let location = format!("/kept/{number}");
    once::settle(&mut tx, &once, &member, KEEP, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

struct Keeping {
    club: Club,
    address: std::net::SocketAddr,
    _stop: watch::Sender<bool>,
}

impl Keeping {
    async fn open() -> Keeping {
        let club = Club::open().await;
        let mut owner = club.database.owner().await;
        owner
            .execute(
                "create table kept (id bigint generated always as identity, word text not null)",
            )
            .await
            .unwrap();
        owner
            .execute("grant select, insert on kept to mustwright_app")
            .await
            .unwrap();
        let pages = Router::new()
            .route("/kept", post(keep))
            .merge(mustwright::members::pages::router());
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let (stop, stopped) = watch::channel(false);
        let router = app::dressed(pages, club.app.clone());
        tokio::spawn(mustwright::web::listen::serve(
            listener,
            router,
            Default::default(),
            stopped,
        ));
        Keeping {
            club,
            address,
            _stop: stop,
        }
    }

    async fn browser(&self, name: &str) -> Browser {
        let browser = Browser::new(self.address, self.club.app.site.origin(), "");
        assert_eq!(browser.sign_in(name, PASSWORD).await.status, 303);
        browser
    }

    async fn words(&self) -> Vec<String> {
        sqlx::query_scalar("select word from kept order by id")
            .fetch_all(self.club.pool())
            .await
            .unwrap()
    }

    async fn key_of(&self, name: &str) -> String {
        let id: String = sqlx::query_scalar("select public_id from members where name = $1")
            .bind(name)
            .fetch_one(self.club.pool())
            .await
            .unwrap();
        let key = Once::fresh(&Viewer::stranger()).unwrap();
        key.replacen('-', &id, 1)
    }
}

async fn send(browser: &Browser, key: &str, word: &str) -> Page {
    browser
        .post("/kept", &[("once", key), ("word", word)])
        .await
}

#[tokio::test]
async fn the_same_form_twice_is_one_and_answers_the_same() {
    let keeping = Keeping::open().await;
    a_member().of(&keeping.club).await;
    let browser = keeping.browser("Ada").await;
    let key = keeping.key_of("Ada").await;
    let first = send(&browser, &key, "mead").await;
    let second = send(&browser, &key, "mead").await;
    assert_eq!(
        (first.status, first.location()),
        (303, Some("/kept/1")),
        "{}",
        first.text
    );
    assert_eq!((second.status, second.location()), (303, Some("/kept/1")));
    assert_eq!(keeping.words().await, ["mead"]);
    let later = keeping.browser("Ada").await;
    assert_eq!(
        send(&later, &key, "mead").await.location(),
        Some("/kept/1"),
        "in another session too"
    );
}

#[tokio::test]
async fn a_double_click_is_one() {
    let keeping = Keeping::open().await;
    a_member().of(&keeping.club).await;
    let browser = std::sync::Arc::new(keeping.browser("Ada").await);
    let key = keeping.key_of("Ada").await;
    let clicks: Vec<_> = (0..3)
        .map(|_| {
            let (browser, key) = (browser.clone(), key.clone());
            tokio::spawn(async move { send(&browser, &key, "slow").await })
        })
        .collect();
    for click in clicks {
        let page = click.await.unwrap();
        assert_eq!(
            (page.status, page.location()),
            (303, Some("/kept/1")),
            "{}",
            page.text
        );
    }
    assert_eq!(keeping.words().await, ["slow"]);
}

#[tokio::test]
async fn other_words_under_the_same_key_are_offered_as_new() {
    let keeping = Keeping::open().await;
    a_member().of(&keeping.club).await;
    let browser = keeping.browser("Ada").await;
    let key = keeping.key_of("Ada").await;
    send(&browser, &key, "mead").await;
    let conflict = send(&browser, &key, "cyser").await;
    assert_eq!(conflict.status, 409);
    assert_eq!(conflict.hidden("word").as_deref(), Some("cyser"));
    assert_ne!(conflict.hidden("once").as_deref(), Some(key.as_str()));
    assert_eq!(
        browser.submit(&conflict, "Send again", &[]).await.status,
        303
    );
    assert_eq!(keeping.words().await, ["mead", "cyser"]);
}

#[tokio::test]
async fn a_form_of_another_member_is_neither_saved_nor_shown() {
    let keeping = Keeping::open().await;
    a_member().of(&keeping.club).await;
    a_member().named("Bert").of(&keeping.club).await;
    let bert = keeping.browser("Bert").await;
    let page = send(&bert, &keeping.key_of("Ada").await, "secret mead").await;
    assert_eq!(page.status, 409);
    assert!(!page.text.contains("secret mead"));
    assert!(keeping.words().await.is_empty());
    for key in ["", "x", "a.b.c"] {
        assert!(
            [400, 409].contains(&send(&bert, key, "mead").await.status),
            "{key}"
        );
    }
    assert!(keeping.words().await.is_empty());
}

#[tokio::test]
async fn keys_are_forgotten_after_a_week() {
    let keeping = Keeping::open().await;
    a_member().of(&keeping.club).await;
    let browser = keeping.browser("Ada").await;
    for (word, age) in [("old", "8 days"), ("young", "6 days")] {
        let key = keeping.key_of("Ada").await;
        send(&browser, &key, word).await;
        sqlx::query("update once_keys set created_at = now() - $2::interval where key = $1")
            .bind(key)
            .bind(sqlx::postgres::types::PgInterval {
                months: 0,
                days: age[..1].parse().unwrap(),
                microseconds: 0,
            })
            .execute(keeping.club.pool())
            .await
            .unwrap();
    }
    let mut conn = keeping.club.pool().acquire().await.unwrap();
    assert_eq!(once::forget_old(&mut conn).await.unwrap(), 1);
}
