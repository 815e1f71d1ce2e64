//! The cellar: bottles by the filling that they came from, where they lie, and what was taken of them.

use serde_json::{Value, json};
use sqlx::PgConnection;

use super::{Kind, Taken, Taking, Work, store, text};
use crate::portability::sheet::Column;
use crate::web::random;
use crate::web::viewer::MemberId;

/// Lots of bottles.
pub struct Bottles;

const READ: &str = "select jsonb_build_object('id', l.public_id, 'batch', b.public_id, 'title', b.name, 'code', l.code,
        'entry', l.entry, 'size_ml', l.size_ml, 'filled', l.filled, 'gas', l.gas, 'keg', l.keg, 'filled_at', l.filled_at,
        'good_on', l.good_on, 'best_on', l.best_on, 'keeps_until', l.keeps_until, 'place', l.place,
        'kept_back', l.kept_back, 'kept_until', l.kept_until,
        'taken', (select coalesce(jsonb_agg(jsonb_build_object('bottles', t.bottles, 'why', t.why, 'whom', t.whom,
                'by', case when t.by_id <> $1 then m.name end, 'at', t.at, 'recorded_at', t.recorded_at,
                'put_back_at', t.put_back_at) order by t.id), '[]')
            from cellar_taken t join members m on m.id = t.by_id where t.lot_id = l.id))
    from cellar_lots l join batches b on b.id = l.batch_id where b.owner_id = $1 order by l.id";

/// What the log of the batch has filled is there already; a code that somebody here has is made anew.
const PUT: &str = "insert into cellar_lots (public_id, code, batch_id, entry, size_ml, filled, gas, filled_at, good_on, best_on,
        keeps_until, place, kept_back, kept_until, keg)
    select $3, case when exists (select from cellar_lots o where o.code = v.code) then v.new_code else v.code end,
        b.id, v.entry, v.size_ml, v.filled, v.gas, v.filled_at, v.good_on, v.best_on, v.keeps_until,
        coalesce(v.place, ''), coalesce(v.kept_back, 0), v.kept_until, coalesce(v.keg, false)
    from jsonb_to_record($1) as v(here text, code text, new_code text, entry integer, size_ml integer, filled integer,
        gas boolean, filled_at timestamptz, good_on date, best_on date, keeps_until date, place text, kept_back integer,
        kept_until date, keg boolean)
    join batches b on b.public_id = v.here and b.owner_id = $2
    on conflict on constraint cellar_lots_of_entry do update set public_id = excluded.public_id, code = excluded.code,
        good_on = excluded.good_on, best_on = excluded.best_on, keeps_until = excluded.keeps_until, place = excluded.place,
        kept_back = excluded.kept_back, kept_until = excluded.kept_until";

const PUT_TAKEN: &str = "insert into cellar_taken (public_id, lot_id, bottles, why, whom, by_id, at, recorded_at, put_back_at)
    select t.place, l.id, t.bottles, t.why, coalesce(t.whom, ''), $2, t.at, t.recorded_at, t.put_back_at
    from cellar_lots l, jsonb_to_recordset($1->'taken') as t(place text, bottles integer, why text, whom text, at timestamptz,
        recorded_at timestamptz, put_back_at timestamptz)
    where l.public_id = $3";

/// Letters of the code on a label.
const CODE: usize = 12;

/// Who of another club took what, by the places in the list.
fn others(thing: &Value) -> Value {
    let taken = thing.get("taken").and_then(Value::as_array);
    let by = taken.into_iter().flatten().map(|one| one["by"].clone());
    let by: Vec<Value> = by.collect();
    match by.iter().all(Value::is_null) {
        true => json!({}),
        false => json!({ "by": by }),
    }
}

/// Puts the names of another club back into their places.
fn say_by_whom(thing: &mut Value, said: &Value) {
    let by = said["by"].as_array().into_iter().flatten();
    for (index, name) in by.enumerate() {
        if let Some(one) = thing["taken"].get_mut(index) {
            one["by"] = name.clone();
        }
    }
}

impl Kind for Bottles {
    fn name(&self) -> &'static str {
        "bottles"
    }

    fn words(&self) -> (&'static str, &'static str) {
        ("lot of bottles", "lots of bottles")
    }

    fn columns(&self) -> &'static [Column] {
        &[
            ("batch", "/title"),
            ("bottle (ml)", "/size_ml"),
            ("filled", "/filled"),
            ("on", "/filled_at"),
            ("with gas", "/gas"),
            ("in a keg", "/keg"),
            ("good from", "/good_on"),
            ("at its best from", "/best_on"),
            ("keeps until", "/keeps_until"),
            ("place", "/place"),
            ("kept back", "/kept_back"),
            ("kept until", "/kept_until"),
        ]
    }

    fn read<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<Value>> {
        Box::pin(store::things_as_told(
            conn,
            (self.name(), READ),
            owner,
            say_by_whom,
        ))
    }

    fn take<'a>(
        &'a self,
        conn: &'a mut PgConnection,
        thing: &'a Value,
        taking: &'a Taking,
    ) -> Work<'a, Taken> {
        Box::pin(async move {
            let Some(batch) = taking.place("batches", text(thing, "/batch")) else {
                return Ok(Taken::Kept);
            };
            let mut here = thing.clone();
            here["here"] = json!(batch);
            here["new_code"] = json!(random::text(CODE)?);
            let taken = here.get_mut("taken").and_then(Value::as_array_mut);
            for one in taken.into_iter().flatten() {
                one["place"] = json!(random::public_id()?);
            }
            let place = random::public_id()?;
            store::put(conn, PUT, &here, taking.member, &place).await?;
            store::put(conn, PUT_TAKEN, &here, taking.member, &place).await?;
            Ok(Taken::Placed {
                place,
                said: others(thing),
            })
        })
    }
}
