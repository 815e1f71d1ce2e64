//! A fresh, migrated database for one test of the recipe store, and what such tests save.

use chrono::{DateTime, TimeDelta, Utc};
use mustwright::recipes::model::{Numbers, Visibility};
use mustwright::recipes::public_id::PublicId;
use mustwright::recipes::saving::{SaveError, SaveRevision, Saved, Source, Target};
use mustwright::recipes::store;
use mustwright::web::viewer::MemberId;
use serde_json::{Value, json};
use sqlx::postgres::{PgConnectOptions, PgPoolOptions};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, PgConnection, PgPool};

use crate::support::database;

/// The superuser's way in to the server on which tests make their databases.
pub fn server() -> PgConnectOptions {
    database::server().clone()
}

/// Runs statements as the server's own user.
pub async fn administer(options: &PgConnectOptions, statements: &[String]) {
    let mut conn = options.connect().await.expect("the test server answers");
    for statement in statements {
        sqlx::query(AssertSqlSafe(statement.clone()))
            .execute(&mut conn)
            .await
            .expect(statement);
    }
    conn.close().await.expect("closed");
}

/// A name that no other test uses.
pub fn fresh_name() -> String {
    format!("mw_{}", PublicId::random().expect("randomness"))
}

/// Gives the body a migrated database and removes it afterwards, also when the body panics.
pub async fn with_database<F>(body: impl FnOnce(PgPool) -> F)
where
    F: Future<Output = ()> + Send + 'static,
{
    let name = fresh_name();
    let template = database::template().await;
    let copy = format!("create database {name} template {template}");
    administer(&server(), &[copy]).await;
    let options = server().database(&name);
    let pool = PgPoolOptions::new()
        .max_connections(20)
        .connect_with(options)
        .await
        .expect("connected");
    let outcome = tokio::spawn(body(pool.clone())).await;
    pool.close().await;
    administer(&server(), &[format!("drop database {name} with (force)")]).await;
    if let Err(failure) = outcome {
        std::panic::resume_unwind(failure.into_panic());
    }
}

/// A member of the given name and role.
pub async fn a_member(conn: &mut PgConnection, name: &str, role: &str) -> MemberId {
    sqlx::query_scalar("insert into members (public_id, name, name_key, role) values ($1, $2, $3, $4) returning id")
        .bind(PublicId::random().expect("randomness").as_str())
        .bind(name)
        .bind(name.to_lowercase())
        .bind(role)
        .fetch_one(conn)
        .await
        .expect("a member")
}

/// Noon of an invented day, and so many seconds later.
pub fn at(seconds: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_750_000_000, 0).expect("in range") + TimeDelta::seconds(seconds)
}

/// A document with text that a careless store would spoil.
pub fn a_document(words: &str) -> Value {
    json!({
        "version": 1, "title": words, "volume_l": 19.0, "aim": {"abv_percent": 12.5},
        "ingredients": [{"name": "Heather honey", "kind": "honey", "amount": {"share": 1.0}}],
        "typed": {"/volume_l": "5 gal", "/notes": "O'Neill \"dry\" 100 % \\ é 🍯"},
    })
}

/// Numbers of a plain mead of heather honey.
pub fn some_numbers() -> Numbers {
    Numbers {
        volume_l: Some(19.0),
        og: Some(1.0953),
        fg: Some(0.9962),
        abv_percent: Some(12.5),
        honey_kg: Some(5.42),
        honeys: vec!["Heather honey".to_owned()],
        style_family: Some("traditional".to_owned()),
        strength: Some("standard".to_owned()),
        sweetness: Some("semi_sweet".to_owned()),
        problems: 0,
        engine_version: "0.1.0".to_owned(),
        ..Numbers::default()
    }
}

/// A recipe to be saved, with usual contents for all that a test does not name.
pub struct ARecipe<'a> {
    pub title: &'a str,
    pub visibility: Visibility,
    pub started_from: Option<Source<'a>>,
    pub numbers: Numbers,
    pub notes: &'a str,
    pub at: DateTime<Utc>,
}

/// A recipe of this title.
pub fn a_recipe(title: &str) -> ARecipe<'_> {
    ARecipe {
        title,
        visibility: Visibility::Private,
        started_from: None,
        numbers: some_numbers(),
        notes: "",
        at: at(0),
    }
}

impl<'a> ARecipe<'a> {
    pub fn shown_to(mut self, visibility: Visibility) -> Self {
        self.visibility = visibility;
        self
    }

    pub fn with(mut self, numbers: Numbers) -> Self {
        self.numbers = numbers;
        self
    }

    pub fn from(mut self, source: Source<'a>) -> Self {
        self.started_from = Some(source);
        self
    }

    pub async fn by(&self, conn: &mut PgConnection, author: MemberId) -> Result<Saved, SaveError> {
        let mut document = a_document(self.title);
        if !self.notes.is_empty() {
            document["notes"] = self.notes.into();
        }
        let save = SaveRevision {
            author,
            target: Target::New {
                visibility: self.visibility,
                started_from: self.started_from,
            },
            title: self.title,
            document: &document,
            numbers: &self.numbers,
            note: "",
            draft: None,
        };
        save_whole(conn, &save, self.at).await
    }
}

/// Saves a new revision of an existing recipe.
pub async fn edit(
    conn: &mut PgConnection,
    author: MemberId,
    recipe: &PublicId,
    expected_version: i32,
    title: &str,
) -> Result<Saved, SaveError> {
    let save = SaveRevision {
        author,
        target: Target::Existing {
            recipe,
            expected_version,
            visibility: None,
        },
        title,
        document: &a_document(title),
        numbers: &some_numbers(),
        note: title,
        draft: None,
    };
    save_whole(conn, &save, at(60)).await
}

/// Saves in a transaction of its own, as the store demands.
pub async fn save_whole(
    conn: &mut PgConnection,
    save: &SaveRevision<'_>,
    now: DateTime<Utc>,
) -> Result<Saved, SaveError> {
    let mut tx = conn.begin().await?;
    let saved = store::save_revision(&mut tx, save, now).await?;
    tx.commit().await?;
    Ok(saved)
}

/// Restores in a transaction of its own.
pub async fn restore_whole(
    conn: &mut PgConnection,
    owner: MemberId,
    recipe: &PublicId,
    number: i32,
    expected_version: i32,
) -> Result<Saved, SaveError> {
    let mut tx = conn.begin().await?;
    let saved = store::restore(&mut tx, owner, recipe, number, expected_version, at(99)).await?;
    tx.commit().await?;
    Ok(saved)
}

/// The database's error code.
pub fn code_of(error: &sqlx::Error) -> String {
    error
        .as_database_error()
        .and_then(|error| error.code())
        .map(|code| code.into_owned())
        .unwrap_or_default()
}
