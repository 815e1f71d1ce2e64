//! Refining series: batches in order, with what each was to show and what was decided.

use super::Own;

pub const SERIES: Own = Own {
    name: "refining_series",
    words: ("refining series", "refining series"),
    columns: &[
        ("series", "^/title"),
        ("aim", "^/aim"),
        ("place", "/place"),
        ("question", "/question"),
        ("the one change", "/change"),
        ("expected", "/expected"),
        ("decided", "/decision"),
    ],
    lines: "/steps",
    of_batch: false,
    query: "select jsonb_build_object('id', s.public_id, 'title', s.name, 'aim', s.aim, 'created_at', s.created_at,
            'steps', (select coalesce(jsonb_agg(jsonb_build_object('batch', b.public_id, 'place', t.place,
                    'question', t.question, 'change', t.change, 'expected', t.expected, 'decision', t.decision,
                    'decided_at', t.decided_at) order by t.place, b.id), '[]')
                from refining_steps t join batches b on b.id = t.batch_id where t.series_id = s.id))
        from refining_series s where s.owner_id = $1 order by s.id",
    puts: &[
        "insert into refining_series (public_id, owner_id, name, aim, created_at)
        select $3, $2, $1->>'title', coalesce($1->>'aim', ''), ($1->>'created_at')::timestamptz",
        "insert into refining_steps (series_id, batch_id, place, question, change, expected, decision, decided_at)
        select s.id, b.id, t.place, t.question, t.change, t.expected, t.decision, t.decided_at
        from refining_series s, jsonb_to_recordset($1->'steps') as t(here text, place integer, question text,
            change text, expected text, decision text, decided_at timestamptz)
        join batches b on b.public_id = t.here and b.owner_id = $2
        where s.public_id = $3 and s.owner_id = $2",
    ],
};
