//! What the member has at home, and what they put on the honey shelf, into orders and on tasting lists.

use super::{Elsewhere, Own};

pub const CUPBOARD: Own = Own {
    name: "cupboard",
    words: ("thing of the cupboard", "things of the cupboard"),
    columns: &[
        ("what", "/name"),
        ("entry of the catalogue", "/key"),
        ("measure", "/measure"),
        ("left", "/remaining"),
        ("paid, in the smallest coin", "/paid"),
        ("for so much", "/paid_for"),
        ("bought", "/bought_on"),
        ("opened", "/opened_on"),
        ("best before", "/best_before"),
        ("note", "/note"),
    ],
    lines: "",
    of_batch: false,
    query: "select jsonb_build_object('id', i.public_id, 'name', i.name, 'key', i.key, 'measure', i.measure,
            'remaining', i.remaining, 'paid', i.paid, 'paid_for', i.paid_for, 'bought_on', i.bought_on,
            'opened_on', i.opened_on, 'best_before', i.best_before, 'note', i.note, 'created_at', i.created_at,
            'done', (select coalesce(jsonb_agg(jsonb_build_object('deed', c.deed, 'amount', c.amount,
                'remaining', c.remaining, 'note', c.note, 'at', c.at) order by c.id), '[]')
                from cupboard_changes c where c.item_id = i.id))
        from cupboard_items i where i.owner_id = $1 order by i.created_at, i.public_id",
    puts: &[
        "insert into cupboard_items (public_id, owner_id, key, name, measure, remaining, paid, paid_for, bought_on,
            opened_on, best_before, note, created_at)
        select $3, $2, v.*
        from jsonb_to_record($1) as v(key text, name text, measure text, remaining double precision, paid bigint,
            paid_for double precision, bought_on date, opened_on date, best_before date, note text,
            created_at timestamptz)",
        "insert into cupboard_changes (item_id, deed, amount, remaining, note, at)
        select i.id, v.* from cupboard_items i, jsonb_to_recordset($1->'done') as v(deed text,
            amount double precision, remaining double precision, note text, at timestamptz)
        where i.public_id = $3 and i.owner_id = $2",
    ],
};

pub const JARS: Own = Own {
    name: "honey_jars",
    words: ("jar of honey", "jars of honey"),
    columns: &[
        ("label", "/name"),
        ("kind of honey", "/varietal"),
        ("bee-keeper", "/bee_keeper"),
        ("harvest", "/harvest_year"),
        ("where", "/place"),
        ("water, a fraction", "/water"),
        ("left, kg", "/left_kg"),
        ("smell", "/smell"),
        ("taste", "/taste"),
        ("note", "/note"),
    ],
    lines: "",
    of_batch: false,
    query: "select jsonb_build_object('id', j.public_id, 'name', j.name, 'varietal', j.varietal, 'of_club', j.of_club,
            'shared', j.shared, 'bee_keeper', j.bee_keeper, 'harvest_year', j.harvest_year, 'place', j.place,
            'water', j.water, 'colour', j.colour, 'smell', j.smell, 'taste', j.taste, 'note', j.note,
            'left_kg', j.left_kg, 'price_per_kg', j.price_per_kg, 'put_away', j.put_away, 'created_at', j.created_at)
        from honey_jars j where j.owner_id = $1 order by j.created_at, j.public_id",
    puts: &[
        "insert into honey_jars (public_id, owner_id, of_club, shared, name, varietal, bee_keeper, harvest_year, place,
            water, colour, smell, taste, note, left_kg, price_per_kg, put_away, created_at)
        select $3, $2, v.*
        from jsonb_to_record($1) as v(of_club boolean, shared boolean, name text, varietal text, bee_keeper text, harvest_year integer,
            place text, water double precision, colour text, smell text, taste text, note text,
            left_kg double precision, price_per_kg bigint, put_away boolean, created_at timestamptz)",
    ],
};

pub const JAR_ENTRIES: Elsewhere = Elsewhere {
    name: "honey_taken",
    words: ("deed with a jar", "deeds with jars"),
    columns: &[
        ("jar", "/jar"),
        ("what was done", "/deed"),
        ("kg", "/kg"),
        ("owed, in the smallest coin", "/owed"),
        ("note", "/note"),
        ("when", "/at"),
    ],
    query: "select jsonb_build_object('id', j.public_id || '.' || e.id, 'jar', j.name, 'deed', e.deed, 'kg', e.kg,
            'owed', e.owed, 'note', e.note, 'at', e.at)
        from honey_jar_entries e join honey_jars j on j.id = e.jar_id where e.member_id = $1 order by e.id",
};

pub const ORDERS: Elsewhere = Elsewhere {
    name: "honey_orders",
    words: ("honey order", "honey orders"),
    columns: &[
        ("order", "/title"),
        ("terms", "/terms"),
        ("delivery, in the smallest coin", "/delivery"),
        ("closes", "/closes_at"),
    ],
    query: "select jsonb_build_object('id', o.public_id, 'title', o.title, 'terms', o.terms, 'delivery', o.delivery,
            'pay_until', o.pay_until, 'closes_at', o.closes_at, 'created_at', o.created_at,
            'honeys', (select coalesce(jsonb_agg(jsonb_build_object('name', h.name, 'key', h.key,
                'price_per_kg', h.price_per_kg, 'pack_kg', h.pack_kg) order by h.id), '[]')
                from honey_order_honeys h where h.order_id = o.id))
        from honey_orders o where o.opener_id = $1 order by o.created_at, o.public_id",
};

pub const ORDER_LINES: Elsewhere = Elsewhere {
    name: "honey_wanted",
    words: ("wish in a honey order", "wishes in honey orders"),
    columns: &[
        ("order", "/order"),
        ("honey", "/honey"),
        ("kg", "/kg"),
        ("when", "/at"),
    ],
    query: "select jsonb_build_object('id', l.public_id, 'order', o.title, 'honey', h.name, 'kg', l.kg,
            'volume_l', l.volume_l, 'at', l.at)
        from honey_order_lines l join honey_orders o on o.id = l.order_id join honey_order_honeys h on h.id = l.honey_id
        where l.member_id = $1 order by l.id",
};

pub const MEETINGS: Elsewhere = Elsewhere {
    name: "meetings",
    words: ("meeting", "meetings"),
    columns: &[
        ("meeting", "/title"),
        ("begins", "/starts_at"),
        ("where", "/place"),
        ("what was on", "/about"),
        ("notes", "/notes"),
    ],
    query: "select jsonb_build_object('id', t.public_id, 'title', t.title, 'starts_at', t.starts_at, 'place', t.place,
            'about', t.about, 'notes', t.notes, 'created_at', t.created_at)
        from meetings t where t.opener_id = $1 order by t.created_at, t.public_id",
};

pub const ANSWERS: Elsewhere = Elsewhere {
    name: "meeting_answers",
    words: ("answer to a meeting", "answers to meetings"),
    columns: &[("meeting", "/meeting"), ("answer", "/answer"), ("when", "/at")],
    query: "select jsonb_build_object('id', t.public_id, 'meeting', t.title, 'answer', a.answer, 'at', a.at)
        from meeting_answers a join meetings t on t.id = a.meeting_id where a.member_id = $1 order by a.at, t.public_id",
};

pub const POURS: Elsewhere = Elsewhere {
    name: "meeting_pours",
    words: ("mead brought to a meeting", "meads brought to meetings"),
    columns: &[
        ("meeting", "/meeting"),
        ("mead", "/words"),
        ("allergens of one’s own knowledge", "/beware"),
        ("when", "/at"),
    ],
    query: "select jsonb_build_object('id', p.public_id, 'meeting', t.title, 'words', p.words, 'beware', p.beware,
            'allergens', to_jsonb(p.allergens), 'at', p.at)
        from meeting_pours p join meetings t on t.id = p.meeting_id where p.member_id = $1 order by p.id",
};
