//! What tests over HTTP stand on: a database of their own, the real server, people, a browser without script.

mod browser;
mod chromium;
mod command;
pub mod database;
mod mail_server;
mod people;
mod proxy;
pub mod relay;
mod waiting;

use std::collections::BTreeMap;
use std::net::SocketAddr;

use chrono::{DateTime, Utc};
use mustwright::app::{self, App};
use mustwright::config::Config;
use mustwright::members::tokens::{NewToken, store};
use mustwright::web::clock::Clock;
use mustwright::web::grant::Grant;
use mustwright::web::listen::{self, Limits};
use sqlx::PgPool;
use tokio::net::TcpListener;
use tokio::sync::watch;

pub use browser::{Browser, Page};
pub use chromium::{Chromium, in_chromium, on_phone, until_the_battery_is_flat};
pub use command::{Command, Going, quiet_port};
pub use database::TestDatabase;
pub use mail_server::{MAIL_NOWHERE, MailServer, Mood};
pub use people::{PASSWORD, Person, a_keeper, a_member};
pub use proxy::Proxy;
pub use waiting::{change_jobs, count_jobs, in_time, until_true};

/// A club that is open: the real server on a port of its own, a database of its own.
pub struct Club {
    pub app: App,
    pub address: SocketAddr,
    pub database: TestDatabase,
    _stop: watch::Sender<bool>,
}

impl Club {
    /// Opens a club with nobody in it.
    pub async fn open() -> Club {
        Club::opened(&[], Limits::default(), TestDatabase::make().await).await
    }

    /// Opens a club with settings of its own.
    pub async fn with(settings: &[(&str, &str)]) -> Club {
        Club::opened(settings, Limits::default(), TestDatabase::make().await).await
    }

    /// Opens a club whose clock stands at an instant until the test moves it.
    pub async fn standing_at(instant: DateTime<Utc>, settings: &[(&str, &str)]) -> Club {
        let database = TestDatabase::make().await;
        let clock = Clock::standing_at(instant);
        Club::made(settings, Limits::default(), database, clock).await
    }

    /// Opens a club on a database that is there, at an instant, at the address http://mead.example.
    pub async fn on(database: TestDatabase, instant: DateTime<Utc>) -> Club {
        let settings = [("MUSTWRIGHT_BASE_URL", "http://mead.example")];
        let clock = Clock::standing_at(instant);
        Club::made(&settings, Limits::default(), database, clock).await
    }

    /// Opens a club with everything chosen.
    pub async fn opened(settings: &[(&str, &str)], limits: Limits, database: TestDatabase) -> Club {
        Club::made(settings, limits, database, Clock::Machine).await
    }

    /// `{port}` in a setting is the port that the club listens on. No second step is demanded unless a setting says so.
    async fn made(
        settings: &[(&str, &str)],
        limits: Limits,
        database: TestDatabase,
        clock: Clock,
    ) -> Club {
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let address = listener.local_addr().expect("the port");
        let port = address.port().to_string();
        let given = settings
            .iter()
            .map(|(name, value)| ((*name).to_owned(), value.replace("{port}", &port)));
        let mut values: BTreeMap<String, String> = given.collect();
        values
            .entry("MUSTWRIGHT_SECOND_FACTOR".into())
            .or_insert("nobody".into());
        values
            .entry("MUSTWRIGHT_CLUB_NAME".into())
            .or_insert("Tarn Valley Mead Circle".into());
        let config = Config::from_values(values).expect("settings of the test");
        let base_url = config.base_url_at(address);
        let app =
            mustwright::serve::app(&config, database.pool(4), &base_url, clock).expect("the state");
        let (stop, stopped) = watch::channel(false);
        tokio::spawn(listen::serve(
            listener,
            app::router(app.clone()),
            limits,
            stopped,
        ));
        Club {
            app,
            address,
            database,
            _stop: stop,
        }
    }

    /// The pool of the role that serves.
    pub fn pool(&self) -> &PgPool {
        &self.app.pool
    }

    /// A new token of this person's, good for an hour.
    pub async fn token_of(&self, person: &Person, opens: Grant) -> String {
        let new = NewToken {
            name: "a program".to_owned(),
            opens,
            expires_at: chrono::Utc::now() + chrono::TimeDelta::hours(1),
        };
        let mut tx = self.pool().begin().await.expect("a transaction");
        let made = store::make(&mut tx, person.id, &new).await;
        tx.commit().await.expect("a commit");
        made.expect("the database").expect("room for a token").1
    }

    /// A browser that nobody is signed in with.
    pub fn browser(&self) -> Browser {
        Browser::new(
            self.address,
            self.app.site.origin(),
            self.app.site.base().as_str(),
        )
    }

    /// A browser that this person is signed in with, by the real sign-in.
    pub async fn browser_of(&self, person: &Person) -> Browser {
        let browser = self.browser();
        let page = browser.sign_in(&person.name, &person.password).await;
        assert_eq!(page.status, 303, "{}", page.text);
        browser
    }
}
