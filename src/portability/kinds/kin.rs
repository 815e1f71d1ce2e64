//! What batches are to each other: blends with what they were poured together of, and split trials with the codes of their parts.

use super::Own;

/// Blends: what each was poured together of.
pub const BLENDS: Own = Own {
    name: "blends",
    words: ("blend", "blends"),
    columns: &[("blend", "^/title"), ("of", "/name"), ("litres", "/litres")],
    lines: "/parents",
    of_batch: true,
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
pub const TRIALS: Own = Own {
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
    of_batch: true,
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
