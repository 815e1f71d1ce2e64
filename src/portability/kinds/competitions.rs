//! Competitions: what the member entered, what came back of it, their duties, and the sheets that they wrote.

use super::Elsewhere;

/// What the member entered or made together with others. What judges wrote is told once everybody may read their own.
pub const ENTRIES: Elsewhere = Elsewhere {
    name: "competition_entries",
    words: (
        "entry in a competition",
        "entries in competitions",
    ),
    columns: &[
        ("competition", "/competition"),
        ("mead", "/name"),
        ("code", "/code"),
        ("category", "/category"),
        ("entered", "/entered_at"),
        ("taken back", "/withdrawn_at"),
        ("paid", "/fee_paid_at"),
    ],
    query: "select jsonb_build_object('id', e.public_id, 'competition', c.title, 'rehearsal', c.rehearsal, 'name', k.name,
            'leads', k.leads, 'batch', b.name, 'code', e.code, 'category', g.name, 'declared', e.declared,
            'entered_at', k.entered_at, 'withdrawn_at', e.withdrawn_at, 'fee_paid_at', e.fee_paid_at,
            'sheets', (select coalesce(jsonb_agg(s.data order by s.data::text), '[]')
                from (select distinct on (s.flight_id, s.judge_id) s.deed, s.data from competition_sheets s
                    where s.entry_id = e.id order by s.flight_id, s.judge_id, s.number desc) s
                where s.deed in ('signed', 'checked') and c.phase in ('released', 'archived')))
        from competition_makers k
        join competition_entries e on e.id = k.entry_id
        join competitions c on c.id = e.competition_id
        join competition_categories g on g.id = e.category_id
        left join batches b on b.id = k.batch_id
        where k.member_id = $1 order by k.entered_at, e.public_id",
};

/// The member's duties, with what they said of themselves as a judge.
pub const DUTIES: Elsewhere = Elsewhere {
    name: "competition_duties",
    words: ("duty at a competition", "duties at competitions"),
    columns: &[
        ("competition", "/competition"),
        ("duty", "/duty"),
        ("experienced", "/experienced"),
        ("glasses a day", "/ceiling"),
    ],
    query: "select jsonb_build_object('id', c.public_id || '.' || s.duty, 'competition', c.title, 'duty', s.duty,
            'experienced', s.experienced, 'does_not_taste', s.abstains, 'ceiling', s.ceiling,
            'kept_apart_from', case s.duty when 'judge' then (select coalesce(jsonb_agg(m.name order by m.name_key), '[]')
                from competition_conflicts k
                join members m on m.id = case k.one_id when $1 then k.other_id else k.one_id end
                where k.competition_id = c.id
                    and ((k.one_id = $1 and k.said_by_one) or (k.other_id = $1 and k.said_by_other))) end)
        from competition_roster s join competitions c on c.id = s.competition_id
        where s.member_id = $1 order by c.created_at, c.public_id, s.duty",
};

/// The sheets that the member wrote as a judge, each as it stood last, under the code alone.
pub const SHEETS: Elsewhere = Elsewhere {
    name: "competition_sheets",
    words: (
        "scoresheet of a competition",
        "scoresheets of competitions",
    ),
    columns: &[
        ("competition", "/competition"),
        ("flight", "/flight"),
        ("code", "/code"),
        ("state", "/deed"),
        ("when", "/at"),
    ],
    query: "select jsonb_build_object('id', f.public_id || '.' || e.public_id, 'competition', c.title, 'flight', f.number,
            'code', e.code, 'deed', s.deed, 'sheet', s.data, 'at', s.at)
        from (select distinct on (flight_id, entry_id) * from competition_sheets
            where judge_id = $1 order by flight_id, entry_id, number desc) s
        join competition_flights f on f.id = s.flight_id
        join competition_entries e on e.id = s.entry_id
        join competitions c on c.id = f.competition_id
        order by s.at, f.number, e.code",
};
