//! Work that the servers do by themselves, kept in the database: whichever server is free does it, one at a time.
//!
//! A job that comes again and again is one row; one that is asked for once is a row with a key of its own
//! ([`store::ask`]). Whoever takes a job holds it for a minute by the database's clock and goes on saying so; a server
//! that dies says nothing more, and the next one takes over. What fails is tried again later and later. All jobs of the
//! program are named in [`listed`].

pub mod listed;
pub mod store;
pub mod worker;

use std::pin::Pin;
use std::sync::Arc;
use std::time::Duration;

use serde_json::Value;
use sqlx::PgConnection;

use crate::web::Error;
use crate::web::error::Kind;

/// When a job comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rhythm {
    /// Again so long after it was done.
    Every(Duration),
    /// Each night, at half past two by universal time.
    Nightly,
    /// When it is asked for; given up so long afterwards.
    Asked {
        /// How long it is tried.
        within: Duration,
    },
}

/// What the work of a job is: asynchronous, and safe to be dropped at any moment.
pub type Work = Pin<Box<dyn Future<Output = Result<(), Failed>> + Send>>;

/// A kind of job that this program knows how to do.
#[derive(Clone)]
pub struct Job {
    /// Its name in the database; never changes.
    pub kind: &'static str,
    /// What it does, for a keeper: "Removing for good …".
    pub words: &'static str,
    /// When it comes.
    pub rhythm: Rhythm,
    work: Arc<dyn Fn(Held) -> Work + Send + Sync>,
}

impl Job {
    /// A kind of job. Its work may be begun again by another server after this one died in the middle, so it does what
    /// is left to do, or says [`Held::begin`] before what must not be done twice.
    pub fn new<F>(
        kind: &'static str,
        words: &'static str,
        rhythm: Rhythm,
        work: impl Fn(Held) -> F + Send + Sync + 'static,
    ) -> Job
    where
        F: Future<Output = Result<(), Failed>> + Send + 'static,
    {
        Job {
            kind,
            words,
            rhythm,
            work: Arc::new(move |held| Box::pin(work(held))),
        }
    }
}

/// A job in hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    pub id: i64,
    pub kind: String,
    pub key: String,
    /// What was said when it was asked for.
    pub about: Value,
    /// Which holder this is.
    pub turn: i64,
    /// How often it was tried since it was done last, this time included.
    pub tries: i32,
    /// Somebody began what cannot be taken back, and was heard of no more.
    pub was_begun: bool,
    /// How long ago it was asked for.
    pub asked_ago: Duration,
}

impl Held {
    /// Says that what cannot be taken back begins now. True for one holder alone, and only while the job is still
    /// theirs; commit it before you go on.
    ///
    /// # Errors
    /// The database.
    pub async fn begin(&self, conn: &mut PgConnection) -> Result<bool, sqlx::Error> {
        store::begin(conn, self).await
    }
}

/// Why a job was not done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failed {
    /// For a keeper, a plain sentence without anything private.
    pub words: String,
    /// For the log.
    pub cause: Option<String>,
    /// No later try will do better.
    pub for_good: bool,
}

impl Failed {
    /// A failure that may be over at the next try.
    pub fn for_now(words: impl Into<String>) -> Failed {
        Failed {
            words: words.into(),
            cause: None,
            for_good: false,
        }
    }

    /// A failure that stays one.
    pub fn for_good(words: impl Into<String>) -> Failed {
        Failed {
            for_good: true,
            ..Failed::for_now(words)
        }
    }

    /// With its cause, for the log.
    pub fn because(self, cause: impl ToString) -> Failed {
        Failed {
            cause: Some(cause.to_string()),
            ..self
        }
    }
}

impl From<Error> for Failed {
    fn from(error: Error) -> Failed {
        let words = match error.kind() {
            Kind::Busy(_) => "The database did not answer in time.",
            _ => "Something went wrong; the log of the server says what.",
        };
        let cause = error.cause().unwrap_or_else(|| error.to_string());
        Failed::for_now(words).because(cause)
    }
}

impl From<sqlx::Error> for Failed {
    fn from(cause: sqlx::Error) -> Failed {
        Error::from(cause).into()
    }
}
