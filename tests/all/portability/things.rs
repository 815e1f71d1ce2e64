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
];

/// Puts it there.
pub async fn give(club: &Club) {
    let mut owner = club.database.owner().await;
    for statement in STATEMENTS {
        let done = owner.execute(AssertSqlSafe(*statement)).await;
        done.unwrap_or_else(|fault| panic!("{statement}: {fault}"));
    }
}
