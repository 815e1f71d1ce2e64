//! Tastings that the member opened, and what they said at tastings, their own and others'.

use super::Elsewhere;

/// Tastings of a host. What others said is theirs: of it are told the words alone, and only once everybody may read them.
pub const TASTINGS: Elsewhere = Elsewhere {
    name: "tastings",
    words: ("tasting with others", "tastings with others"),
    columns: &[
        ("tasting", "/title"),
        ("kind", "/kind"),
        ("asked", "/question"),
        ("opened", "/created_at"),
        ("closed", "/closed_at"),
    ],
    query: "select jsonb_build_object('id', t.public_id, 'title', t.title, 'kind', t.kind, 'coded', t.coded,
            'on_paper', t.on_paper, 'visibility', t.visibility, 'question', t.question, 'created_at', t.created_at,
            'closed_at', t.closed_at,
            'meads', (select coalesce(jsonb_agg(jsonb_build_object('place', p.place, 'name', p.name, 'code', p.code)
                order by p.place), '[]') from tasting_pours p where p.tasting_id = t.id),
            'glasses', (select coalesce(jsonb_agg(jsonb_build_object('sheet', g.number, 'codes', g.codes,
                'meads', g.meads) order by g.number), '[]') from tasting_servings g where g.tasting_id = t.id),
            'picks', (select coalesce(jsonb_agg(jsonb_build_object('sheet', s.serving, 'pick', s.pick)
                order by s.serving, s.id), '[]')
                from tasting_seats s where s.tasting_id = t.id and s.pick is not null and t.closed_at is not null),
            'said', (select coalesce(jsonb_agg(jsonb_build_object('place', a.place, 'data', a.data)
                order by a.place, a.seat_id), '[]')
                from tasting_answers a join tasting_seats s on s.id = a.seat_id
                where s.tasting_id = t.id and t.closed_at is not null))
        from tastings t where t.host_id = $1 order by t.created_at, t.public_id",
};

/// What the member said. Which mead it was of is told where they may know it by now.
pub const ANSWERS: Elsewhere = Elsewhere {
    name: "tasting_answers",
    words: ("sheet of a tasting", "sheets of tastings"),
    columns: &[
        ("tasting", "/tasting"),
        ("kind", "/kind"),
        ("seat taken", "/taken_at"),
    ],
    query: "select jsonb_build_object('id', t.public_id, 'tasting', t.title, 'kind', t.kind, 'sheet', s.serving,
            'pick', s.pick, 'taken_at', s.taken_at,
            'said', (select coalesce(jsonb_agg(jsonb_build_object('place', a.place, 'code', p.code,
                'mead', case when t.closed_at is not null or not t.coded then p.name end, 'data', a.data, 'at', a.at)
                order by a.place), '[]')
                from tasting_answers a join tasting_pours p on p.tasting_id = t.id and p.place = a.place
                where a.seat_id = s.id))
        from tasting_seats s join tastings t on t.id = s.tasting_id where s.member_id = $1
        order by s.taken_at, t.public_id",
};
