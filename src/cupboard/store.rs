//! Rows of a member's cupboard: nobody else's are read or written.

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::amount::{Amount, HAIR, Measure, Price};
use super::model::{Deed, Done, ITEMS_MAX, Item, Said, SaveError, Used};
use super::stock::{Have, Stock};
use crate::web::money::Currency;
use crate::web::viewer::MemberId;

struct Row {
    public_id: String,
    key: Option<String>,
    name: String,
    measure: String,
    remaining: f64,
    paid: Option<i64>,
    paid_for: Option<f64>,
    bought_on: Option<NaiveDate>,
    opened_on: Option<NaiveDate>,
    best_before: Option<NaiveDate>,
    note: String,
    version: i32,
    created_at: DateTime<Utc>,
}

impl From<Row> for Item {
    fn from(row: Row) -> Item {
        let measure = Measure::of(&row.measure);
        let amount = |value| Amount { value, measure };
        Item {
            said: Said {
                key: row.key,
                name: row.name,
                left: amount(row.remaining),
                price: row.paid.zip(row.paid_for).map(|(paid, much)| Price {
                    paid,
                    amount: amount(much),
                }),
                bought_on: row.bought_on,
                opened_on: row.opened_on,
                best_before: row.best_before,
                note: row.note,
            },
            public_id: row.public_id,
            version: row.version,
            created_at: row.created_at,
        }
    }
}

/// Everything a member ever put in, what is left first, by name.
pub async fn list(conn: &mut PgConnection, owner: MemberId) -> Result<Vec<Item>, sqlx::Error> {
    let rows = query_as!(
        Row,
        "select public_id, key, name, measure, remaining, paid, paid_for, bought_on, opened_on, best_before, note,
             version, created_at
         from cupboard_items where owner_id = $1
         order by remaining = 0, case when remaining > 0 then lower(name) end, created_at desc, id",
        owner.0
    );
    let rows = rows.fetch_all(conn).await?;
    Ok(rows.into_iter().map(Item::from).collect())
}

/// One thing of a member's.
pub async fn find(
    conn: &mut PgConnection,
    owner: MemberId,
    id: &str,
) -> Result<Option<Item>, sqlx::Error> {
    let row = query_as!(
        Row,
        "select public_id, key, name, measure, remaining, paid, paid_for, bought_on, opened_on, best_before, note,
             version, created_at
         from cupboard_items where owner_id = $1 and public_id = $2",
        owner.0,
        id
    );
    Ok(row.fetch_optional(conn).await?.map(Item::from))
}

/// What was done with it, the newest first.
pub async fn history(
    conn: &mut PgConnection,
    owner: MemberId,
    id: &str,
) -> Result<Vec<Done>, sqlx::Error> {
    let rows = query!(
        "select c.deed, c.amount, c.remaining, c.note, c.at
         from cupboard_changes c join cupboard_items i on i.id = c.item_id
         where i.owner_id = $1 and i.public_id = $2 order by c.id desc limit 200",
        owner.0,
        id
    );
    let rows = rows.fetch_all(conn).await?.into_iter().map(|row| Done {
        deed: Deed::of(&row.deed),
        amount: row.amount,
        remaining: row.remaining,
        note: row.note,
        at: row.at,
    });
    Ok(rows.collect())
}

/// What a member has and last paid, for the numbers of recipes.
pub async fn stock(
    conn: &mut PgConnection,
    owner: MemberId,
    currency: Currency,
) -> Result<Stock, sqlx::Error> {
    let items = list(conn, owner).await?;
    let mut newest: Vec<Item> = items;
    newest.sort_by_key(|item| std::cmp::Reverse((item.said.bought_on, item.created_at)));
    let things = newest.into_iter().map(|item| Have {
        one_costs: item.said.price.map(|price| price.of_one(currency)),
        key: item.said.key,
        name: item.said.name,
        left: item.said.left,
    });
    Ok(Stock::of(things, currency))
}

/// Puts something in.
pub async fn put(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
    said: &Said,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    // Two at once may pass the limit by one: it keeps a cupboard readable, nothing depends on it.
    let has = query_scalar!(
        r#"select count(*) as "has!" from cupboard_items where owner_id = $1"#,
        owner.0
    );
    if has.fetch_one(&mut *conn).await? >= ITEMS_MAX {
        return Err(SaveError::Full);
    }
    let id = query_scalar!(
        "insert into cupboard_items (public_id, owner_id, key, name, measure, remaining, paid, paid_for, bought_on,
             opened_on, best_before, note, created_at)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13) returning id",
        public_id,
        owner.0,
        said.key,
        said.name,
        said.left.measure.word(),
        said.left.value,
        said.price.map(|price| price.paid),
        said.price.map(|price| price.amount.value),
        said.bought_on,
        said.opened_on,
        said.best_before,
        said.note,
        now
    );
    let id = id.fetch_one(&mut *conn).await?;
    let amount = said.left.value;
    note(conn, id, Deed::PutIn, (amount, amount), "", now).await?;
    Ok(())
}

/// Saves what its owner says now, on top of the version that was seen.
pub async fn change(
    conn: &mut PgConnection,
    owner: MemberId,
    seen: (&str, i32),
    said: &Said,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let (public_id, version) = seen;
    let was = query_scalar!(
        "select remaining from cupboard_items where owner_id = $1 and public_id = $2 for update",
        owner.0,
        public_id
    );
    let was = was
        .fetch_optional(&mut *conn)
        .await?
        .ok_or(SaveError::NotFound)?;
    let id = query_scalar!(
        "update cupboard_items set key = $4, name = $5, measure = $6, remaining = $7, paid = $8, paid_for = $9,
             bought_on = $10, opened_on = $11, best_before = $12, note = $13, version = version + 1
         where owner_id = $1 and public_id = $2 and version = $3 returning id",
        owner.0,
        public_id,
        version,
        said.key,
        said.name,
        said.left.measure.word(),
        said.left.value,
        said.price.map(|price| price.paid),
        said.price.map(|price| price.amount.value),
        said.bought_on,
        said.opened_on,
        said.best_before,
        said.note
    );
    match id.fetch_optional(&mut *conn).await? {
        Some(id) => {
            let amounts = (said.left.value - was, said.left.value);
            note(conn, id, Deed::Corrected, amounts, "", now).await?;
            Ok(())
        }
        None => {
            let theirs = find(conn, owner, public_id).await?;
            Err(theirs.map_or(SaveError::NotFound, |item| {
                SaveError::Conflict(Box::new(item))
            }))
        }
    }
}

/// Uses some up: never more than there is, whoever else does the same at once.
pub async fn use_up(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
    amount: Amount,
    words: &str,
    now: DateTime<Utc>,
) -> Result<Used, sqlx::Error> {
    let left = query!(
        "update cupboard_items
         set remaining = case when remaining - $3 < $4 then 0 else remaining - $3 end, version = version + 1
         where owner_id = $1 and public_id = $2 and measure = $5 and remaining + $4 >= $3
         returning id, remaining",
        owner.0,
        public_id,
        amount.value,
        HAIR,
        amount.measure.word()
    );
    if let Some(row) = left.fetch_optional(&mut *conn).await? {
        let amounts = (-amount.value, row.remaining);
        note(conn, row.id, Deed::Used, amounts, words, now).await?;
        return Ok(Used::Left(row.remaining));
    }
    Ok(match find(conn, owner, public_id).await? {
        Some(item) => Used::TooLittle(item.said.left.value),
        None => Used::NotFound,
    })
}

/// Throws away what is left; `false` when there is nothing.
pub async fn throw_away(
    conn: &mut PgConnection,
    owner: MemberId,
    public_id: &str,
    words: &str,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let gone = query!(
        r#"update cupboard_items i set remaining = 0, version = i.version + 1
         from (select id, remaining from cupboard_items where owner_id = $1 and public_id = $2 for update) was
         where i.id = was.id and was.remaining > 0 returning i.id, was.remaining as "remaining!""#,
        owner.0,
        public_id
    );
    let Some(row) = gone.fetch_optional(&mut *conn).await? else {
        return Ok(false);
    };
    let amounts = (-row.remaining, 0.0);
    note(conn, row.id, Deed::ThrownAway, amounts, words, now).await?;
    Ok(true)
}

async fn note(
    conn: &mut PgConnection,
    item: i64,
    deed: Deed,
    (amount, remaining): (f64, f64),
    words: &str,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into cupboard_changes (item_id, deed, amount, remaining, note, at) values ($1, $2, $3, $4, $5, $6)",
        item,
        deed.word(),
        amount,
        remaining,
        words,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}
