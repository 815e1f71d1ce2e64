//! Rows of honey orders. Every member sees them; what may still be changed is decided in the statement that changes it.

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::model::{HONEYS_MAX, Honey, LINES_MAX, Line, Offer, Order, Said, SaveError, Tick, Want};
use crate::web::viewer::MemberId;

struct Row {
    public_id: String,
    opener: MemberId,
    opener_name: String,
    title: String,
    terms: String,
    delivery: i64,
    pay_until: Option<NaiveDate>,
    closes_at: DateTime<Utc>,
    closed_at: Option<DateTime<Utc>>,
    done_at: Option<DateTime<Utc>>,
    cancelled_at: Option<DateTime<Utc>>,
    version: i32,
    created_at: DateTime<Utc>,
}

impl From<Row> for Order {
    fn from(row: Row) -> Order {
        Order {
            public_id: row.public_id,
            opener: row.opener,
            opener_name: row.opener_name,
            said: Said {
                title: row.title,
                terms: row.terms,
                delivery: row.delivery,
                pay_until: row.pay_until,
                closes_at: row.closes_at,
            },
            closed_at: row.closed_at,
            done_at: row.done_at,
            cancelled_at: row.cancelled_at,
            version: row.version,
            created_at: row.created_at,
        }
    }
}

async fn read(conn: &mut PgConnection, id: Option<&str>) -> Result<Vec<Order>, sqlx::Error> {
    let rows = query_as!(
        Row,
        r#"select o.public_id, o.opener_id as "opener: MemberId", m.name as opener_name, o.title, o.terms, o.delivery,
               o.pay_until, o.closes_at, o.closed_at, o.done_at, o.cancelled_at, o.version, o.created_at
           from honey_orders o join members m on m.id = o.opener_id
           where $1::text is null or o.public_id = $1
           order by o.closes_at desc, o.id desc limit 200"#,
        id
    );
    let rows = rows.fetch_all(conn).await?;
    Ok(rows.into_iter().map(Order::from).collect())
}

/// The newest orders.
pub async fn list(conn: &mut PgConnection) -> Result<Vec<Order>, sqlx::Error> {
    read(conn, None).await
}

/// One order.
pub async fn find(conn: &mut PgConnection, id: &str) -> Result<Option<Order>, sqlx::Error> {
    Ok(read(conn, Some(id)).await?.pop())
}

/// What it offers, in the order in which it was put there.
pub async fn honeys(conn: &mut PgConnection, id: &str) -> Result<Vec<Honey>, sqlx::Error> {
    let rows = query!(
        "select h.public_id, h.key, h.name, h.price_per_kg, h.pack_kg
         from honey_order_honeys h join honey_orders o on o.id = h.order_id
         where o.public_id = $1 order by h.id",
        id
    );
    let rows = rows.fetch_all(conn).await?.into_iter().map(|row| Honey {
        public_id: row.public_id,
        offer: Offer {
            key: row.key,
            name: row.name,
            price_per_kg: row.price_per_kg,
            pack_kg: row.pack_kg,
        },
    });
    Ok(rows.collect())
}

/// What is wanted. Recipes are told as far as the viewer may see them.
pub async fn lines(
    conn: &mut PgConnection,
    viewer: MemberId,
    id: &str,
) -> Result<Vec<Line>, sqlx::Error> {
    let rows = query!(
        r#"select l.public_id, h.public_id as honey, l.member_id as "member: MemberId", m.public_id as member_public_id,
               m.name, l.kg, l.volume_l,
               case when recipe_visible(r, $2) then r.public_id end as recipe,
               case when recipe_visible(r, $2) then r.title end as title
           from honey_order_lines l
           join honey_orders o on o.id = l.order_id
           join honey_order_honeys h on h.id = l.honey_id
           join members m on m.id = l.member_id
           left join recipes r on r.id = l.recipe_id
           where o.public_id = $1 order by l.id"#,
        id,
        viewer.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter().map(|row| Line {
        public_id: row.public_id,
        honey: row.honey,
        member: row.member,
        member_public_id: row.member_public_id,
        member_name: row.name,
        kg: row.kg,
        recipe: row.recipe.zip(row.title),
        volume_l: row.volume_l,
    });
    Ok(rows.collect())
}

/// Who has paid, and who has their honey.
pub async fn ticks(conn: &mut PgConnection, id: &str) -> Result<Vec<Tick>, sqlx::Error> {
    query_as!(
        Tick,
        r#"select t.member_id as "member: MemberId", t.paid_at is not null as "paid!", t.handed_at is not null as "handed!"
           from honey_order_ticks t join honey_orders o on o.id = t.order_id where o.public_id = $1"#,
        id
    )
    .fetch_all(conn)
    .await
}

/// Opens an order.
pub async fn make(
    conn: &mut PgConnection,
    public_id: &str,
    opener: MemberId,
    said: &Said,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into honey_orders (public_id, opener_id, title, terms, delivery, pay_until, closes_at, created_at)
         values ($1, $2, $3, $4, $5, $6, $7, $8)",
        public_id,
        opener.0,
        said.title,
        said.terms,
        said.delivery,
        said.pay_until,
        said.closes_at,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Saves what its opener says of it, while it is open and on top of the version that was seen.
pub async fn change(
    conn: &mut PgConnection,
    opener: MemberId,
    seen: (&str, i32),
    said: &Said,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let (public_id, version) = seen;
    let done = query!(
        "update honey_orders set title = $4, terms = $5, delivery = $6, pay_until = $7, closes_at = $8,
             version = version + 1
         where public_id = $1 and opener_id = $2 and version = $3
             and closed_at is null and cancelled_at is null and closes_at > $9",
        public_id,
        opener.0,
        version,
        said.title,
        said.terms,
        said.delivery,
        said.pay_until,
        said.closes_at,
        now
    );
    if done.execute(&mut *conn).await?.rows_affected() == 1 {
        return Ok(());
    }
    let theirs = find(conn, public_id).await?;
    let theirs = theirs.filter(|order| order.opener == opener && order.version != version);
    Err(theirs.map_or(SaveError::NotFound, |order| {
        SaveError::Conflict(Box::new(order))
    }))
}

/// Puts a honey on offer while the order is open; `false` when it is not, or offers enough.
pub async fn offer(
    conn: &mut PgConnection,
    (order, opener): (&str, MemberId),
    public_id: &str,
    offer: &Offer,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "insert into honey_order_honeys (public_id, order_id, key, name, price_per_kg, pack_kg)
         select $3, o.id, $4, $5, $6, $7 from honey_orders o
         where o.public_id = $1 and o.opener_id = $2 and o.closed_at is null and o.cancelled_at is null
             and o.closes_at > $8 and (select count(*) from honey_order_honeys h where h.order_id = o.id) < $9
         for share of o",
        order,
        opener.0,
        public_id,
        offer.key,
        offer.name,
        offer.price_per_kg,
        offer.pack_kg,
        now,
        HONEYS_MAX
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Corrects price and pack of a honey while the order is open.
pub async fn correct(
    conn: &mut PgConnection,
    (order, opener): (&str, MemberId),
    honey: &str,
    price_per_kg: i64,
    pack_kg: f64,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "with open as (
             select id from honey_orders where public_id = $1 and opener_id = $2 and closed_at is null
                 and cancelled_at is null and closes_at > $6 for share
         )
         update honey_order_honeys h set price_per_kg = $4, pack_kg = $5
         from open where h.order_id = open.id and h.public_id = $3",
        order,
        opener.0,
        honey,
        price_per_kg,
        pack_kg,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Offers a honey no more, while the order is open and nobody has asked for it.
pub async fn take_out(
    conn: &mut PgConnection,
    (order, opener): (&str, MemberId),
    honey: &str,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "with open as (
             select id from honey_orders where public_id = $1 and opener_id = $2 and closed_at is null
                 and cancelled_at is null and closes_at > $4 for update
         )
         delete from honey_order_honeys h using open
         where h.order_id = open.id and h.public_id = $3
             and not exists (select from honey_order_lines l where l.honey_id = h.id)",
        order,
        opener.0,
        honey,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Adds what somebody wants. Whoever closes the order at the same moment wins or waits: after that nothing comes in.
pub async fn add(
    conn: &mut PgConnection,
    order: &str,
    member: MemberId,
    public_id: &str,
    want: &Want,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let (recipe, number, litres) = match &want.planned {
        Some((recipe, number, litres)) => (Some(recipe.as_str()), Some(*number), Some(*litres)),
        None => (None, None, None),
    };
    let done = query!(
        "insert into honey_order_lines (public_id, order_id, honey_id, member_id, kg, recipe_id, revision_number,
             volume_l, at)
         select $4, o.id, h.id, $3, $5, (select r.id from recipes r where r.public_id = $6 and recipe_visible(r, $3)),
             $7, $8, $9
         from honey_orders o join honey_order_honeys h on h.order_id = o.id
         where o.public_id = $1 and h.public_id = $2 and o.closed_at is null and o.cancelled_at is null
             and o.closes_at > $9 and (select count(*) from honey_order_lines l where l.order_id = o.id) < $10
         for share of o",
        order,
        want.honey,
        member.0,
        public_id,
        want.kg,
        recipe,
        number,
        litres,
        now,
        LINES_MAX
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Takes back a line of one's own, while the order is open.
pub async fn take_back(
    conn: &mut PgConnection,
    order: &str,
    member: MemberId,
    line: &str,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "with open as (
             select id from honey_orders where public_id = $1 and closed_at is null and cancelled_at is null
                 and closes_at > $4 for share
         )
         delete from honey_order_lines l using open
         where l.order_id = open.id and l.public_id = $3 and l.member_id = $2",
        order,
        member.0,
        line,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Closes an order that is open. Lines that are being added come in first, or not at all.
pub async fn close(
    conn: &mut PgConnection,
    order: &str,
    opener: MemberId,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update honey_orders set closed_at = $3, version = version + 1
         where public_id = $1 and opener_id = $2 and closed_at is null and cancelled_at is null and closes_at > $3",
        order,
        opener.0,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Ends an order that is closed: from here on nothing of it changes.
pub async fn finish(
    conn: &mut PgConnection,
    order: &str,
    opener: MemberId,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "update honey_orders set done_at = $3, version = version + 1
         where public_id = $1 and opener_id = $2 and done_at is null and cancelled_at is null
             and (closed_at is not null or closes_at <= $3)",
        order,
        opener.0,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Calls an order off that is not done; `None` stands for a keeper, who may always.
pub async fn cancel(
    conn: &mut PgConnection,
    order: &str,
    opener: Option<MemberId>,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query_scalar!(
        "update honey_orders set cancelled_at = $3, version = version + 1
         where public_id = $1 and ($2::bigint is null or opener_id = $2) and done_at is null and cancelled_at is null
         returning id",
        order,
        opener.map(|opener| opener.0),
        now
    );
    Ok(done.fetch_optional(conn).await?.is_some())
}

/// Notes whether a buyer has paid and has their honey, once the order is closed and until it is done.
pub async fn tick(
    conn: &mut PgConnection,
    (order, opener): (&str, MemberId),
    member: &str,
    (paid, handed): (bool, bool),
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "insert into honey_order_ticks (order_id, member_id, paid_at, handed_at)
         select o.id, m.id, case when $4 then $6::timestamptz end, case when $5 then $6::timestamptz end
         from honey_orders o join members m on m.public_id = $3
         where o.public_id = $1 and o.opener_id = $2 and o.done_at is null and o.cancelled_at is null
             and (o.closed_at is not null or o.closes_at <= $6)
             and exists (select from honey_order_lines l where l.order_id = o.id and l.member_id = m.id)
         for share of o
         on conflict (order_id, member_id) do update set
             paid_at = case when $4 then coalesce(honey_order_ticks.paid_at, $6) end,
             handed_at = case when $5 then coalesce(honey_order_ticks.handed_at, $6) end",
        order,
        opener.0,
        member,
        paid,
        handed,
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}
