//! Rows of vessels; each member's are their own, so that the viewer is an argument of everything.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use serde_json::Value;
use sqlx::PgConnection;

use super::model::{Described, MadeOf, Vessel, kind_of};
use crate::web::error::violated;
use crate::web::viewer::MemberId;

/// The most vessels of one member.
pub const MOST: i64 = 200;

/// Why something was not kept.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    #[error("there is no such thing of this member's")]
    NotFound,
    #[error("it was changed meanwhile")]
    Conflict,
    #[error("another one in use has this name")]
    NameTaken,
    #[error("there are too many")]
    TooMany,
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}

struct Row {
    public_id: String,
    name: String,
    kind: String,
    made_of: String,
    brim_l: f64,
    wide_mouth: bool,
    headspace_fraction: Option<f64>,
    loss_l: Option<f64>,
    how_many: i32,
    notes: String,
    typed: Value,
    version: i32,
    retired: bool,
}

impl Row {
    fn vessel(self) -> Option<Vessel> {
        Some(Vessel {
            public_id: self.public_id,
            version: self.version,
            retired: self.retired,
            is: Described {
                name: self.name,
                kind: kind_of(&self.kind)?,
                made_of: MadeOf::from_word(&self.made_of)?,
                brim_l: self.brim_l,
                wide_mouth: self.wide_mouth,
                headspace_fraction: self.headspace_fraction,
                loss_l: self.loss_l,
                how_many: self.how_many,
                notes: self.notes,
                typed: texts(self.typed),
            },
        })
    }
}

/// Texts as they were typed, by field.
pub(super) fn texts(typed: Value) -> BTreeMap<String, String> {
    serde_json::from_value(typed).unwrap_or_default()
}

/// All vessels of a member, in use and out of it, the largest first.
pub async fn list(conn: &mut PgConnection, owner: MemberId) -> Result<Vec<Vessel>, sqlx::Error> {
    let rows = sqlx::query_as!(
        Row,
        r#"select public_id, name, kind, made_of, brim_l, wide_mouth, headspace_fraction, loss_l, how_many, notes, typed,
                  version, retired_at is not null as "retired!"
           from vessels where owner_id = $1
           order by retired_at is not null, brim_l desc, lower(name), id"#,
        owner.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().filter_map(Row::vessel).collect())
}

/// One vessel of a member.
pub async fn find(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
) -> Result<Option<Vessel>, sqlx::Error> {
    let row = sqlx::query_as!(
        Row,
        r#"select public_id, name, kind, made_of, brim_l, wide_mouth, headspace_fraction, loss_l, how_many, notes, typed,
                  version, retired_at is not null as "retired!"
           from vessels where owner_id = $1 and public_id = $2"#,
        owner.0,
        public_id
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.and_then(Row::vessel))
}

/// Keeps a new vessel.
pub async fn add(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
    vessel: &Described,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let typed = serde_json::to_value(&vessel.typed).unwrap_or_default();
    let added = sqlx::query!(
        "insert into vessels (public_id, owner_id, name, kind, made_of, brim_l, wide_mouth, headspace_fraction, loss_l,
                              how_many, notes, typed, created_at)
         select $1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13
         where (select count(*) from vessels where owner_id = $2) < $14",
        public_id,
        owner.0,
        vessel.name,
        vessel.kind.word(),
        vessel.made_of.word(),
        vessel.brim_l,
        vessel.wide_mouth,
        vessel.headspace_fraction,
        vessel.loss_l,
        vessel.how_many,
        vessel.notes,
        typed,
        now,
        MOST
    )
    .execute(conn)
    .await
    .map_err(named)?;
    match added.rows_affected() {
        1 => Ok(()),
        _ => Err(SaveError::TooMany),
    }
}

/// Changes a vessel on top of the version that was seen.
pub async fn change(
    conn: &mut PgConnection,
    owner: MemberId,
    seen: (&str, i32),
    vessel: &Described,
) -> Result<(), SaveError> {
    let typed = serde_json::to_value(&vessel.typed).unwrap_or_default();
    let changed = sqlx::query!(
        "update vessels set name = $4, kind = $5, made_of = $6, brim_l = $7, wide_mouth = $8, headspace_fraction = $9,
                            loss_l = $10, how_many = $11, notes = $12, typed = $13, version = version + 1
         where owner_id = $1 and public_id = $2 and version = $3",
        owner.0,
        seen.0,
        seen.1,
        vessel.name,
        vessel.kind.word(),
        vessel.made_of.word(),
        vessel.brim_l,
        vessel.wide_mouth,
        vessel.headspace_fraction,
        vessel.loss_l,
        vessel.how_many,
        vessel.notes,
        typed
    )
    .execute(&mut *conn)
    .await
    .map_err(named)?;
    if changed.rows_affected() == 1 {
        return Ok(());
    }
    match find(conn, owner, seen.0).await? {
        Some(_) => Err(SaveError::Conflict),
        None => Err(SaveError::NotFound),
    }
}

/// Takes a vessel out of use, or brings it back. Never deletes it: what was made in it points to it.
pub async fn retire(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
    out: bool,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let done = sqlx::query!(
        "update vessels set retired_at = case when $3 then coalesce(retired_at, $4) end, version = version + 1
         where owner_id = $1 and public_id = $2",
        owner.0,
        public_id,
        out,
        now
    )
    .execute(conn)
    .await
    .map_err(named)?;
    match done.rows_affected() {
        1 => Ok(()),
        _ => Err(SaveError::NotFound),
    }
}

fn named(fault: sqlx::Error) -> SaveError {
    match violated(&fault) {
        Some("vessels_name_key") => SaveError::NameTaken,
        _ => SaveError::Database(fault),
    }
}
