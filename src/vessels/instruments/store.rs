//! Rows of instruments; each member's are their own.

use chrono::{DateTime, NaiveDate, Utc};
use serde_json::Value;
use sqlx::PgConnection;

use super::{Described, Hydrometer, Kind, KitchenScale, Owned, What};
use crate::vessels::store::{MOST, SaveError, texts};
use crate::web::viewer::MemberId;

struct Row {
    public_id: String,
    name: String,
    kind: String,
    in_water_sg: Option<f64>,
    marked_for_c: Option<f64>,
    step: Option<f64>,
    most_g: Option<f64>,
    in_ice_c: Option<f64>,
    calibrated_on: Option<NaiveDate>,
    notes: String,
    typed: Value,
    version: i32,
    retired: bool,
}

impl Row {
    fn owned(self) -> Option<Owned> {
        let what = match Kind::from_word(&self.kind)? {
            Kind::Hydrometer => What::Hydrometer(Hydrometer {
                in_water_sg: self.in_water_sg?,
                marked_for_c: self.marked_for_c?,
                step_sg: self.step?,
            }),
            Kind::PhMeter => What::PhMeter {
                calibrated_on: self.calibrated_on,
                step: self.step,
            },
            Kind::Scale => What::Scale(KitchenScale {
                step_g: self.step?,
                most_g: self.most_g?,
            }),
            Kind::Thermometer => What::Thermometer {
                in_ice_c: self.in_ice_c?,
            },
        };
        Some(Owned {
            public_id: self.public_id,
            version: self.version,
            retired: self.retired,
            is: Described {
                name: self.name,
                what,
                notes: self.notes,
                typed: texts(self.typed),
            },
        })
    }
}

/// The columns that a kind fills.
#[derive(Default)]
struct Columns {
    in_water_sg: Option<f64>,
    marked_for_c: Option<f64>,
    step: Option<f64>,
    most_g: Option<f64>,
    in_ice_c: Option<f64>,
    calibrated_on: Option<NaiveDate>,
}

impl Columns {
    fn of(what: &What) -> Columns {
        match what {
            What::Hydrometer(it) => Columns {
                in_water_sg: Some(it.in_water_sg),
                marked_for_c: Some(it.marked_for_c),
                step: Some(it.step_sg),
                ..Columns::default()
            },
            What::PhMeter {
                calibrated_on,
                step,
            } => Columns {
                calibrated_on: *calibrated_on,
                step: *step,
                ..Columns::default()
            },
            What::Scale(it) => Columns {
                step: Some(it.step_g),
                most_g: Some(it.most_g),
                ..Columns::default()
            },
            What::Thermometer { in_ice_c } => Columns {
                in_ice_c: Some(*in_ice_c),
                ..Columns::default()
            },
        }
    }
}

/// All instruments of a member, in use and put away.
pub async fn list(conn: &mut PgConnection, owner: MemberId) -> Result<Vec<Owned>, sqlx::Error> {
    let rows = sqlx::query_as!(
        Row,
        r#"select public_id, name, kind, in_water_sg, marked_for_c, step, most_g, in_ice_c, calibrated_on, notes, typed,
                  version, retired_at is not null as "retired!"
           from instruments where owner_id = $1
           order by retired_at is not null, kind, step, lower(name), id"#,
        owner.0
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().filter_map(Row::owned).collect())
}

/// One instrument of a member.
pub async fn find(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
) -> Result<Option<Owned>, sqlx::Error> {
    let row = sqlx::query_as!(
        Row,
        r#"select public_id, name, kind, in_water_sg, marked_for_c, step, most_g, in_ice_c, calibrated_on, notes, typed,
                  version, retired_at is not null as "retired!"
           from instruments where owner_id = $1 and public_id = $2"#,
        owner.0,
        public_id
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.and_then(Row::owned))
}

/// Keeps a new instrument.
pub async fn add(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
    it: &Described,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let columns = Columns::of(&it.what);
    let typed = serde_json::to_value(&it.typed).unwrap_or_default();
    let added = sqlx::query!(
        "insert into instruments (public_id, owner_id, name, kind, in_water_sg, marked_for_c, step, most_g, in_ice_c,
                                  calibrated_on, notes, typed, created_at)
         select $1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13
         where (select count(*) from instruments where owner_id = $2) < $14",
        public_id,
        owner.0,
        it.name,
        it.what.kind().word(),
        columns.in_water_sg,
        columns.marked_for_c,
        columns.step,
        columns.most_g,
        columns.in_ice_c,
        columns.calibrated_on,
        it.notes,
        typed,
        now,
        MOST
    )
    .execute(conn)
    .await?;
    match added.rows_affected() {
        1 => Ok(()),
        _ => Err(SaveError::TooMany),
    }
}

/// Changes an instrument on top of the version that was seen; its kind stays.
pub async fn change(
    conn: &mut PgConnection,
    owner: MemberId,
    seen: (&str, i32),
    it: &Described,
) -> Result<(), SaveError> {
    let columns = Columns::of(&it.what);
    let typed = serde_json::to_value(&it.typed).unwrap_or_default();
    let changed = sqlx::query!(
        "update instruments set name = $5, in_water_sg = $6, marked_for_c = $7, step = $8, most_g = $9, in_ice_c = $10,
                                calibrated_on = $11, notes = $12, typed = $13, version = version + 1
         where owner_id = $1 and public_id = $2 and version = $3 and kind = $4",
        owner.0,
        seen.0,
        seen.1,
        it.what.kind().word(),
        it.name,
        columns.in_water_sg,
        columns.marked_for_c,
        columns.step,
        columns.most_g,
        columns.in_ice_c,
        columns.calibrated_on,
        it.notes,
        typed
    )
    .execute(&mut *conn)
    .await?;
    if changed.rows_affected() == 1 {
        return Ok(());
    }
    match find(conn, owner, seen.0).await? {
        Some(_) => Err(SaveError::Conflict),
        None => Err(SaveError::NotFound),
    }
}

/// Puts an instrument away, or takes it out again.
pub async fn retire(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
    out: bool,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let done = sqlx::query!(
        "update instruments set retired_at = case when $3 then coalesce(retired_at, $4) end, version = version + 1
         where owner_id = $1 and public_id = $2",
        owner.0,
        public_id,
        out,
        now
    )
    .execute(conn)
    .await?;
    match done.rows_affected() {
        1 => Ok(()),
        _ => Err(SaveError::NotFound),
    }
}
