//! What batches are to each other: blends with what they were poured together of, and split trials with the codes of their parts.

use serde_json::{Value, json};
use sqlx::PgConnection;

use super::{Kind, Taken, Taking, Work, store, text};
use crate::portability::sheet::Column;
use crate::web::viewer::MemberId;

/// A kind whose things stand beside one batch and list others.
pub struct Beside {
    name: &'static str,
    words: (&'static str, &'static str),
    columns: &'static [Column],
    /// The list of the others, each with its `batch`.
    lines: &'static str,
    query: &'static str,
    puts: &'static [&'static str],
}

/// Blends: what each was poured together of.
pub const BLENDS: Beside = Beside {
    name: "blends",
    words: ("blend", "blends"),
    columns: &[("blend", "^/title"), ("of", "/name"), ("litres", "/litres")],
    lines: "/parents",
    query: "select jsonb_build_object('id', b.public_id, 'title', b.name,
            'parents', (select jsonb_agg(jsonb_build_object('batch', p.public_id, 'name', p.name, 'litres', x.litres)
                    order by x.litres desc, p.id)
                from batch_parents x join batches p on p.id = x.parent_id where x.batch_id = b.id))
        from batches b
        where b.owner_id = $1 and exists (select from batch_parents x where x.batch_id = b.id) order by b.id",
    puts: &["insert into batch_parents (batch_id, parent_id, litres)
        select b.id, p.id, x.litres
        from batches b, jsonb_to_recordset($1->'parents') as x(here text, litres double precision)
        join batches p on p.public_id = x.here and p.owner_id = $2
        where b.public_id = $3 and b.owner_id = $2"],
};

/// Split trials: question, day, and the code of each part.
pub const TRIALS: Beside = Beside {
    name: "split_trials",
    words: ("split trial", "split trials"),
    columns: &[
        ("batch", "^/title"),
        ("question", "^/question"),
        ("taste on", "^/taste_on"),
        ("part", "/name"),
        ("code", "/code"),
    ],
    lines: "/parts",
    query: "select jsonb_build_object('id', b.public_id, 'title', b.name, 'question', t.question, 'taste_on', t.taste_on,
            'made_at', t.made_at, 'parts', (select coalesce(jsonb_agg(jsonb_build_object('batch', p.public_id,
                    'name', p.name, 'code', c.code) order by p.id), '[]')
                from split_trial_codes c join batches p on p.id = c.part_id where c.batch_id = b.id))
        from split_trials t join batches b on b.id = t.batch_id where b.owner_id = $1 order by b.id",
    puts: &[
        "insert into split_trials (batch_id, question, taste_on, made_at, changed_at)
            select b.id, $1->>'question', ($1->>'taste_on')::date, ($1->>'made_at')::timestamptz,
                ($1->>'made_at')::timestamptz
            from batches b where b.public_id = $3 and b.owner_id = $2",
        "insert into split_trial_codes (batch_id, part_id, code)
            select b.id, p.id, x.code
            from batches b, jsonb_to_recordset($1->'parts') as x(here text, code integer)
            join batches p on p.public_id = x.here and p.owner_id = $2
            where b.public_id = $3 and b.owner_id = $2",
    ],
};

impl Kind for Beside {
    fn name(&self) -> &'static str {
        self.name
    }

    fn words(&self) -> (&'static str, &'static str) {
        self.words
    }

    fn columns(&self) -> &'static [Column] {
        self.columns
    }

    fn lines(&self) -> &'static str {
        self.lines
    }

    fn read<'a>(&'a self, conn: &'a mut PgConnection, owner: MemberId) -> Work<'a, Vec<Value>> {
        Box::pin(store::things(conn, self.query, owner))
    }

    fn take<'a>(
        &'a self,
        conn: &'a mut PgConnection,
        thing: &'a Value,
        taking: &'a Taking,
    ) -> Work<'a, Taken> {
        Box::pin(async move {
            let Some(place) = taking.place("batches", text(thing, "/id")) else {
                return Ok(Taken::Kept);
            };
            let mut here = thing.clone();
            let others = here.pointer_mut(self.lines).and_then(Value::as_array_mut);
            for other in others.into_iter().flatten() {
                let Some(batch) = taking.place("batches", text(other, "/batch")) else {
                    // Without one of its batches it would say something else: it is kept whole, as it came.
                    return Ok(Taken::Kept);
                };
                other["here"] = json!(batch);
            }
            for statement in self.puts {
                store::put(conn, statement, &here, taking.member, place).await?;
            }
            Ok(Taken::Placed {
                place: place.to_owned(),
                said: json!({}),
            })
        })
    }
}
