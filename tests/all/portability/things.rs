//! One of everything that other rooms give a member, put straight into the tables.

use sqlx::{AssertSqlSafe, Executor};

use crate::support::Club;

/// Statements that give Ada something of each kind; Bert owns the rest.
const STATEMENTS: &[&str] = &[
    "insert into vessels (public_id, owner_id, name, kind, made_of, brim_l, wide_mouth, loss_l, how_many, typed, created_at)
     select repeat('v', 20), id, 'Bucket', 'bucket', 'food_plastic', 30.5, true, 0.4, 2, '{\"brim\": \"30.5 L\"}', now()
     from members where name = 'Ada'",
    "insert into vessels (public_id, owner_id, name, kind, made_of, brim_l, wide_mouth, retired_at, created_at)
     select repeat('w', 20), id, 'Bucket', 'demijohn', 'glass', 5, false, now(), now() from members where name = 'Ada'",
    "insert into instruments (public_id, owner_id, name, kind, step, most_g, calibrated_on, created_at)
     select repeat('s', 20), id, 'Small scale', 'scale', 0.1, 500, '2026-05-03', now() from members where name = 'Ada'",
    "insert into club_equipment (public_id, owner_id, name, place, condition, created_at)
     select repeat('x', 20), id, 'Fruit press', 'shed', 'a little rust', now() from members where name = 'Ada'",
    "insert into club_equipment (public_id, owner_id, name, created_at)
     select repeat('y', 20), id, 'Corker', now() from members where name = 'Bert'",
    "insert into loans (public_id, equipment_id, member_id, asked_at, until_day, lent_at)
     select repeat('l', 20), e.id, m.id, now(), '2026-12-01', now() from club_equipment e, members m
     where e.name = 'Corker' and m.name = 'Ada'",
    "with made as (insert into recipe_comments (public_id, recipe_id, writer_id, version, written_at)
         select repeat('c', 20), r.id, m.id, 2, now() from recipes r join members o on o.id = r.owner_id, members m
         where o.name = 'Bert' and m.name = 'Ada' limit 1 returning id)
     insert into recipe_comment_words (comment_id, number, words, written_at)
     select made.id, n, 'Very *good*, ' || n, now() from made, generate_series(1, 2) as n",
    "insert into cupboard_items (public_id, owner_id, key, name, measure, remaining, paid, paid_for, bought_on, note, created_at)
     select repeat('i', 20), id, 'honey-heather', 'Heather honey', 'kg', 2.4, 950, 1, '2026-09-01', 'dark', now()
     from members where name = 'Ada'",
    "insert into cupboard_changes (item_id, deed, amount, remaining, note, at)
     select id, 'put in', 3, 3, '', now() from cupboard_items",
    "insert into honey_jars (public_id, owner_id, of_club, shared, name, varietal, water, smell, left_kg, created_at)
     select repeat('j', 20), id, false, true, 'From the moor', 'honey-heather', 0.192, 'of smoke', 1.5, now()
     from members where name = 'Ada'",
    "insert into honey_jar_entries (jar_id, member_id, deed, kg, left_kg, at)
     select id, owner_id, 'put', 1.5, 1.5, now() from honey_jars",
    "insert into honey_orders (public_id, opener_id, title, delivery, closes_at, created_at)
     select repeat('o', 20), id, 'Autumn', 1200, now(), now() from members where name = 'Ada'",
    "insert into honey_order_honeys (public_id, order_id, name, price_per_kg, pack_kg)
     select repeat('h', 20), id, 'Lime', 900, 5 from honey_orders",
    "insert into honey_order_lines (public_id, order_id, honey_id, member_id, kg, at)
     select repeat('n', 20), o.id, h.id, o.opener_id, 4, now() from honey_orders o, honey_order_honeys h",
    "insert into meetings (public_id, opener_id, title, starts_at, created_at)
     select repeat('m', 20), id, 'First Thursday', now(), now() from members where name = 'Ada'",
    "insert into meeting_answers (meeting_id, member_id, answer, at) select id, opener_id, 'yes', now() from meetings",
    "insert into meeting_pours (public_id, meeting_id, member_id, words, allergens, at)
     select repeat('p', 20), id, opener_id, 'a dry cherry mead', '{sulfite}', now() from meetings",
    "insert into batches (public_id, owner_id, name, visibility, revision_id, document, formulation, engine_version, vessel_id,
         vessel_name, began_at, created_at, own)
     select repeat('k', 20), m.id, 'First heather', 'private', v.id, v.document, '{}', 1, w.id, w.name,
         '2026-11-01T10:00:00Z', now(), '{\"end_days\": {\"count\": 3, \"median\": 25, \"low\": 20, \"high\": 31}}'
     from members m join recipes r on r.owner_id = m.id join revisions v on v.recipe_id = r.id and v.number = 2
     join vessels w on w.owner_id = m.id and w.kind = 'bucket' where m.name = 'Ada'",
    "insert into batches (public_id, owner_id, name, revision_id, parted_from_id, supposed, document, formulation,
         engine_version, began_at, ended_at, how_it_ended, created_at, binned_at)
     select repeat('q', 20), b.owner_id, 'First heather, part 1', v.id, b.id, true, b.document, '{}', 1, b.began_at,
         b.began_at + interval '60 days', 'bottled', now(), now()
     from batches b, revisions v join recipes r on r.id = v.recipe_id join members o on o.id = r.owner_id
     where o.name = 'Bert' and b.name = 'First heather' limit 1",
    "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, typed, struck, came_from, source_key)
     select b.id, e.entry, e.version, e.kind, b.began_at + e.entry * interval '1 day', now(), b.owner_id, e.data::jsonb,
         '{\"gravity\": \"1088\"}', e.struck, e.came_from, e.source_key
     from batches b, (values (1, 1, 'pitch', '{\"yeast_g\": 5}', false, 'page', null),
         (2, 1, 'reading', '{\"sg\": 1.088, \"ph\": 3.9}', false, 'phone', null),
         (2, 2, 'reading', '{\"sg\": 1.086, \"ph\": 3.9}', false, 'page', null),
         (3, 1, 'note', '{\"text\": \"A mistake\"}', false, 'page', null),
         (3, 2, 'note', '{\"text\": \"A mistake\"}', true, 'page', null),
         (4, 1, 'reading', '{\"sg\": 1.07}', false, 'file', 'row=1'),
         (5, 1, 'package', '{\"bottles\": [{\"size_l\": 0.75, \"count\": 6}]}', false, 'page', null)
     ) as e(entry, version, kind, data, struck, came_from, source_key) where b.name = 'First heather'",
    "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, came_from, source_key)
     select b.id, 10 + n, 1, 'reading', b.began_at + interval '5 days' + n * interval '1 minute', now(), b.owner_id,
         jsonb_build_object('sg', 1.06 - n / 100000.0, 'must_temperature_c', 20.5, 'instrument', 'The float'), 'sensor', 'key' || n
     from batches b, generate_series(1, 150) n where b.name = 'First heather'",
    "insert into batch_pictures (public_id, batch_id, entry, by_id, image, width, height, says, at)
     select repeat('t', 20), id, 2, owner_id, decode('ffd8ffc0000b08000900100101110' || '0ffda0008010100003f0055ffd9', 'hex'), 16, 9, 'It foams', now()
     from batches where name = 'First heather'",
    "insert into tastings (public_id, host_id, title, kind, coded, created_at, closed_at)
     select repeat('b', 20), id, 'First look', 'shared', true, now(), now() from members where name = 'Ada'",
    "insert into tasting_pours (tasting_id, place, name, code)
     select id, 1, 'First heather', 234 from tastings",
    "insert into tasting_seats (tasting_id, member_id, taken_at) select id, host_id, now() from tastings",
    "insert into tasting_answers (seat_id, place, data, at)
     select id, 1, '{\"liking\": 7, \"words\": {\"aroma\": \"smoke\"}}', now() from tasting_seats",
    "insert into cellar_lots (public_id, code, batch_id, entry, size_ml, filled, gas, filled_at, good_on, best_on, keeps_until,
         place, kept_back, kept_until)
     select repeat('u', 20), repeat('u', 12), id, 5, 750, 6, false, began_at + interval '5 days', '2027-05-01', '2027-11-01',
         '2031-11-01', 'lower shelf', 2, '2028-05-01' from batches where name = 'First heather'",
    "insert into cellar_taken (public_id, lot_id, bottles, why, whom, by_id, at, recorded_at, put_back_at)
     select repeat(t.letter, 20), l.id, 1, t.why, 'Grete', m.id, now(), now(), t.back from cellar_lots l join members m on true
     join (values ('e', 'given', 'Ada', null::timestamptz), ('f', 'drunk', 'Bert', null), ('g', 'broken', 'Ada', now()))
         as t(letter, why, who, back) on t.who = m.name",
    "insert into refining_series (public_id, owner_id, name, aim, created_at)
     select repeat('z', 20), id, 'Less oak', 'to taste the honey', now() from members where name = 'Ada'",
    "insert into refining_steps (series_id, batch_id, place, question, change, expected, decision, decided_at)
     select s.id, b.id, row_number() over (order by b.id), 'Is it too much?', 'half the oak', 'more honey', 'keep it', now()
     from refining_series s, batches b where b.name like 'First heather%'",
    "insert into batch_parents (batch_id, parent_id, litres)
     select b.id, p.id, 2.5 from batches b, batches p where b.name = 'First heather, part 1' and p.name = 'First heather'",
    "insert into split_trials (batch_id, question, taste_on, made_at, changed_at)
     select id, 'Does oak help?', '2027-05-03', now(), now() from batches where name = 'First heather'",
    "insert into split_trial_codes (batch_id, part_id, code)
     select b.id, p.id, 417 from batches b, batches p where b.name = 'First heather' and p.name = 'First heather, part 1'",
    "insert into competitions (public_id, title, phase, rules, created_at, released_at)
     values (repeat('c', 20), 'Autumn meads', 'released', '{}', now(), now())",
    "insert into competition_categories (competition_id, place, name) select id, 1, 'All' from competitions",
    "insert into competition_roster (competition_id, member_id, duty, experienced, abstains, ceiling)
     select c.id, m.id, 'judge', true, '{pepper}', 12 from competitions c, members m where m.name = 'Ada'",
    "insert into competition_conflicts (competition_id, one_id, other_id)
     select c.id, least(a.id, b.id), greatest(a.id, b.id) from competitions c, members a, members b
     where a.name = 'Ada' and b.name = 'Bert'",
    "insert into competition_entries (public_id, competition_id, category_id, code, declared)
     select repeat(t.letter, 20), c.id, g.id, t.code, '{\"abv_percent\": 12}' from competitions c
     join competition_categories g on g.competition_id = c.id join (values ('d', 'AX234'), ('e', 'EX345')) as t(letter, code) on true",
    "insert into competition_makers (entry_id, member_id, leads, batch_id, name, entered_at)
     select e.id, m.id, true, b.id, 'Heather, of course', now() from competition_entries e
     join members m on m.name = case e.code when 'AX234' then 'Ada' else 'Bert' end
     left join batches b on b.name = 'First heather' and b.owner_id = m.id",
    "insert into competition_flights (public_id, competition_id, kind, category_id, number, state)
     select repeat('f', 20), c.id, 'first', g.id, 1, 'done' from competitions c
     join competition_categories g on g.competition_id = c.id",
    "insert into competition_sheets (flight_id, entry_id, judge_id, number, deed, data, by_id, at)
     select f.id, e.id, m.id, 1, 'signed', '{\"advice\": \"Let it age\"}', m.id, now() from competition_flights f, competition_entries e
     join members m on m.name = case e.code when 'AX234' then 'Bert' else 'Ada' end",
];

/// Puts it there.
pub async fn give(club: &Club) {
    let mut owner = club.database.owner().await;
    for statement in STATEMENTS {
        let done = owner.execute(AssertSqlSafe(*statement)).await;
        done.unwrap_or_else(|fault| panic!("{statement}: {fault}"));
    }
}
