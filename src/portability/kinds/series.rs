//! Refining series: batches in order, with what each was to show and what was decided.

use serde_json::{Value, json};
use sqlx::PgConnection;

use super::{Kind, Taken, Taking, Work, store, text};
use crate::portability::sheet::Column;
use crate::web::random;
use crate::web::viewer::MemberId;

/// Refining series.
pub struct Series;

const READ: &str = "select jsonb_build_object('id', s.public_id, 'title', s.name, 'aim', s.aim, 'created_at', s.created_at,
        'steps', (select coalesce(jsonb_agg(jsonb_build_object('batch', b.public_id, 'place', t.place,
                'question', t.question, 'change', t.change, 'expected', t.expected, 'decision', t.decision,
                'decided_at', t.decided_at) order by t.place, b.id), '[]')
            from refining_steps t join batches b on b.id = t.batch_id where t.series_id = s.id))
    from refining_series s where s.owner_id = $1 order by s.id";

const PUT: &str = "insert into refining_series (public_id, owner_id, name, aim, created_at)
    select $3, $2, $1->>'title', coalesce($1->>'aim', ''), ($1->>'created_at')::timestamptz";

const PUT_STEPS: &str = "insert into refining_steps (series_id, batch_id, place, question, change, expected, decision,
        decided_at)
    select s.id, b.id, t.place, t.question, t.change, t.expected, t.decision, t.decided_at
    from refining_series s, jsonb_to_recordset($1->'steps') as t(here text, place integer, question text, change text,
        expected text, decision text, decided_at timestamptz)
    join batches b on b.public_id = t.here and b.owner_id = $2
    where s.public_id = $3 and s.owner_id = $2";

impl Kind for Series {
    fn name(&self) -> &'static str {
        "refining_series"
    }

    fn words(&self) -> (&'static str, &'static str) {
        ("refining series", "refining series")
    }

    fn columns(&self) -> &'static [Column] {
        &[
            ("series", "^/title"),
            ("aim", "^/aim"),
            ("place", "/place"),
            ("question", "/question"),
            ("the one change", "/change"),
            ("expected", "/expected"),
            ("decided", "/decision"),
        ]
    }

    fn lines(&self) -> &'static str {
        "/steps"
    }

    fn read<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<Value>> {
        Box::pin(store::things(conn, READ, owner))
    }

    fn take<'a>(
        &'a self,
        conn: &'a mut PgConnection,
        thing: &'a Value,
        taking: &'a Taking,
    ) -> Work<'a, Taken> {
        Box::pin(async move {
            let mut here = thing.clone();
            let steps = here.get_mut("steps").and_then(Value::as_array_mut);
            for step in steps.into_iter().flatten() {
                let Some(batch) = taking.place("batches", text(step, "/batch")) else {
                    // A series without one of its batches would say something else: it is kept whole, as it came.
                    return Ok(Taken::Kept);
                };
                step["here"] = json!(batch);
            }
            let place = random::public_id()?;
            store::put(conn, PUT, &here, taking.member, &place).await?;
            store::put(conn, PUT_STEPS, &here, taking.member, &place).await?;
            Ok(Taken::Placed {
                place,
                said: json!({}),
            })
        })
    }
}
