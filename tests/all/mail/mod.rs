//! Letters: real ones, taken by a small mail server of the test and read there.

mod address;
mod lost_password;
mod reminders;
mod sending;
mod traces;

use std::time::Duration;

use mustwright::jobs::listed;
use mustwright::jobs::worker::{Pace, Worker};
use sqlx::AssertSqlSafe;
use tokio::sync::watch;
use tokio::task::JoinHandle;

use crate::support::{Club, MailServer, Person, until_true};

const FROM: &str = "club@mead.example";

/// A club with a mail server and somebody who carries letters there.
struct Post {
    club: Club,
    server: MailServer,
    carrier: JoinHandle<()>,
    _stop: watch::Sender<bool>,
}

impl Post {
    async fn open(more: &[(&str, &str)]) -> Post {
        let server = MailServer::open().await;
        let mut settings = vec![
            ("MUSTWRIGHT_MAIL_SERVER", server.address.as_str()),
            ("MUSTWRIGHT_MAIL_SECRECY", "none"),
            ("MUSTWRIGHT_MAIL_FROM", FROM),
        ];
        settings.extend(more);
        let club = Club::with(&settings).await;
        let (stop, carrier) = carrier(&club);
        Post {
            server,
            carrier,
            _stop: stop,
            club,
        }
    }

    fn origin(&self) -> &str {
        self.club.app.site.origin()
    }
}

/// A server's worker.
fn carrier(club: &Club) -> (watch::Sender<bool>, JoinHandle<()>) {
    let (stop, stopped) = watch::channel(false);
    let pace = Pace {
        look: Duration::from_millis(20),
        lease: Duration::from_secs(20),
        first: Duration::ZERO,
        drain: Duration::ZERO,
    };
    let worker = Worker::new(club.pool().clone(), listed::all(&club.app), pace);
    (stop, tokio::spawn(worker.run(stopped)))
}

/// Gives a member an address that is confirmed already.
async fn has_address(club: &Club, person: &Person, address: &str) {
    sqlx::query(
        "insert into member_mail (member_id, address, confirmed_at, stop_token) values ($1, $2, now(), repeat('a', 52))",
    )
    .bind(person.id.0)
    .bind(address)
    .execute(club.pool())
    .await
    .expect("kept");
}

/// Waits until a job is like this.
async fn until(club: &Club, what: &str) {
    until_true(
        club.pool(),
        &format!("exists (select from jobs where {what})"),
    )
    .await;
}

/// The tables in which a text stands anywhere.
async fn tables_with(club: &Club, text: &str) -> Vec<String> {
    let mut owner = club.database.owner().await;
    let each: Vec<String> = sqlx::query_scalar(
        "select format('select %L where exists (select from %I t where strpos(t::text, %L) > 0)', tablename, tablename, $1)
         from pg_tables where schemaname = 'public' order by tablename",
    )
    .bind(text)
    .fetch_all(&mut owner)
    .await
    .expect("the tables");
    sqlx::query_scalar(AssertSqlSafe(each.join(" union all ")))
        .fetch_all(&mut owner)
        .await
        .expect("the rows")
}
