//! Rows of the flat table that lists, facets and searches read, in each order.
//!
//! Questions stand in selects of their own, so that a plan reads them once, and takes the index whatever they are.

use chrono::{DateTime, Utc};
use sqlx::{Connection, PgConnection};

use super::filter::Filter;
use super::place::After;
use super::words::Sought;
use crate::recipes::model::{RecipeLine, Visibility};
use crate::recipes::public_id::PublicId;
use crate::recipes::saving::store::without_nul;
use crate::web::viewer::MemberId;

/// Words of one search; more are not looked for.
const WORDS: i32 = 8;
/// So many words that begin alike are looked for one by one.
const BEGUN: i32 = 32;
/// The advisory lock under which words are forgotten; saves hold it together (`refresh_recipe_facets`), so that none counts
/// on a word that is just going.
const WORDS_LOCK: i64 = 0x6d75_7374_0004;

/// A recipe's place in every order.
#[derive(Clone, Debug)]
pub(super) struct Spot {
    pub recipe: i64,
    pub tier: i32,
    pub score: i32,
    pub updated_at: DateTime<Utc>,
    pub name_key: String,
    pub public_id: PublicId,
}

/// What is asked of the table.
pub(super) struct Asking<'a> {
    /// Marks and words that a row has; empty for every row.
    pub want: &'a str,
    /// The same with the steps of ranges, by which the index finds it. Row by row the figures are quicker.
    pub sought: String,
    /// Those that it has not; empty for nothing.
    pub not: &'a str,
    pub filter: &'a Filter,
    pub after: After,
    pub limit: i64,
}

impl<'a> Asking<'a> {
    pub fn of(
        want: &'a str,
        not: &'a str,
        filter: &'a Filter,
        after: After,
        limit: usize,
    ) -> Asking<'a> {
        let parts = [want, &filter.ranges()].map(str::to_owned);
        let parts = parts.into_iter().filter(|part| !part.is_empty());
        Asking {
            want,
            sought: parts.collect::<Vec<_>>().join(" & "),
            not,
            filter,
            after,
            limit: i64::try_from(limit).unwrap_or(i64::MAX),
        }
    }
}

/// Which recipes of one member.
pub(super) struct Own {
    pub owner: MemberId,
    pub binned: bool,
    /// Only what not every member sees.
    pub unlisted_only: bool,
}

/// The three ways to a page, for one order.
macro_rules! in_order {
    ($order:ident, $by:tt, after $after:tt, of |$from:ident| $first:expr, $second:expr $(, $third:expr)?; rows $rows:tt; owner $owner:tt, binned $binned:tt, unlisted $unlisted:tt) => {
        pub(super) mod $order {
            use super::*;

            /// Along the order, through so many rows.
            pub async fn walk(
                conn: &mut PgConnection,
                asking: &Asking<'_>,
                rows: i64,
            ) -> Result<Vec<Spot>, sqlx::Error> {
                let $from = &asking.after;
                sqlx::query_as!(
                    Spot,
                    r#"select f.recipe_id as "recipe!", 0 as "tier!", f.score as "score!", f.updated_at as "updated_at!",
                           f.name_key as "name_key!", f.public_id as "public_id!: PublicId"
                       from (select * from recipe_facets where listed and "#
                        + $after + " order by " + $by + " limit " + $rows + r#") f
                       where coalesce(f.words @@ (select nullif($1, '')::tsquery), true)
                         and not coalesce(f.words @@ (select nullif($2, '')::tsquery), false)
                         and ($3::float8 is null or f.abv_percent >= $3) and ($4::float8 is null or f.abv_percent <= $4)
                         and ($5::float8 is null or f.cost_per_bottle <= $5)
                       order by "# + $by + " limit $6",
                    asking.want,
                    asking.not,
                    asking.filter.abv_low,
                    asking.filter.abv_high,
                    asking.filter.cost,
                    asking.limit,
                    $first,
                    $second,
                    $($third,)?
                    rows,
                )
                .fetch_all(conn)
                .await
            }

            /// All that fit, by their words, then the first of them.
            pub async fn gather(
                conn: &mut PgConnection,
                asking: &Asking<'_>,
            ) -> Result<Vec<Spot>, sqlx::Error> {
                let $from = &asking.after;
                sqlx::query_as!(
                    Spot,
                    r#"with found as materialized (
                           select f.recipe_id, f.score, f.updated_at, f.name_key, f.public_id from recipe_facets f
                           where listed and f.words @@ (select $1::text::tsquery)
                             and not coalesce(f.words @@ (select nullif($2, '')::tsquery), false)
                             and ($3::float8 is null or f.abv_percent >= $3) and ($4::float8 is null or f.abv_percent <= $4)
                             and ($5::float8 is null or f.cost_per_bottle <= $5)
                       )
                       select f.recipe_id as "recipe!", 0 as "tier!", f.score as "score!", f.updated_at as "updated_at!",
                           f.name_key as "name_key!", f.public_id as "public_id!: PublicId"
                       from found f where "# + $after + " order by " + $by + " limit $6",
                    asking.sought,
                    asking.not,
                    asking.filter.abv_low,
                    asking.filter.abv_high,
                    asking.filter.cost,
                    asking.limit,
                    $first,
                    $second,
                    $($third)?
                )
                .fetch_all(conn)
                .await
            }

            /// Of one member's.
            pub async fn own(
                conn: &mut PgConnection,
                asking: &Asking<'_>,
                own: &Own,
            ) -> Result<Vec<Spot>, sqlx::Error> {
                let $from = &asking.after;
                sqlx::query_as!(
                    Spot,
                    r#"select f.recipe_id as "recipe!", 0 as "tier!", f.score as "score!", f.updated_at as "updated_at!",
                           f.name_key as "name_key!", f.public_id as "public_id!: PublicId"
                       from recipe_facets f
                       where f.owner_id = "# + $owner + " and f.binned = " + $binned
                         + " and not (" + $unlisted + r#" and f.listed)
                         and coalesce(f.words @@ (select nullif($1, '')::tsquery), true)
                         and not coalesce(f.words @@ (select nullif($2, '')::tsquery), false)
                         and ($3::float8 is null or f.abv_percent >= $3) and ($4::float8 is null or f.abv_percent <= $4)
                         and ($5::float8 is null or f.cost_per_bottle <= $5)
                         and "# + $after + " order by " + $by + " limit $6",
                    asking.want,
                    asking.not,
                    asking.filter.abv_low,
                    asking.filter.abv_high,
                    asking.filter.cost,
                    asking.limit,
                    $first,
                    $second,
                    $($third,)?
                    own.owner.0,
                    own.binned,
                    own.unlisted_only,
                )
                .fetch_all(conn)
                .await
            }
        }
    };
}

// `~` sorts behind every id.
in_order!(
    newest, "updated_at desc, public_id desc",
    after "(updated_at, public_id) < (coalesce($7, 'infinity'::timestamptz), coalesce($8, '~'))",
    of |from| from.updated_at, from.public_id.as_deref();
    rows "$9"; owner "$9", binned "$10", unlisted "$11"
);
in_order!(
    best, "score desc, updated_at desc, public_id desc",
    after "(score, updated_at, public_id) < (coalesce($7, 2147483647), coalesce($8, 'infinity'::timestamptz), coalesce($9, '~'))",
    of |from| from.score, from.updated_at, from.public_id.as_deref();
    rows "$10"; owner "$10", binned "$11", unlisted "$12"
);
in_order!(
    by_name, "name_key, public_id",
    after "(name_key, public_id) > (coalesce($7, ''), coalesce($8, ''))",
    of |from| from.name_key.as_deref(), from.public_id.as_deref();
    rows "$9"; owner "$9", binned "$10", unlisted "$11"
);

/// What lists show of these recipes, within what the viewer may see; in no order.
pub(super) async fn lines(
    conn: &mut PgConnection,
    viewer: MemberId,
    recipes: &[i64],
) -> Result<Vec<RecipeLine>, sqlx::Error> {
    sqlx::query_as!(
        RecipeLine,
        r#"select r.public_id as "public_id: PublicId", r.title, r.owner_id as "owner: MemberId", m.name as owner_name,
               r.visibility as "visibility: Visibility", r.version, r.updated_at,
               n.volume_l, n.og, n.fg, n.abv_percent, n.honey_kg, n.honeys, n.style_family, n.strength, n.sweetness,
               n.problems, n.ready_months, n.cost_per_bottle, r.rating_count, r.rating_mean, r.made_count
           from recipes r
           join revisions v on v.recipe_id = r.id and v.number = r.version
           join revision_numbers n on n.revision_id = v.id
           join members m on m.id = r.owner_id
           where r.id = any ($1) and recipe_visible(r, $2, (select book_closed($2)))"#,
        recipes,
        viewer.0,
    )
    .fetch_all(conn)
    .await
}

/// The words that are looked for when this is typed, each with the words of recipes that begin with it. Those are known
/// of words that begin with three letters; a beginning of very many is looked for as such.
pub(super) async fn words_of(
    conn: &mut PgConnection,
    typed: &str,
) -> Result<Vec<Sought>, sqlx::Error> {
    sqlx::query_as!(
        Sought,
        r#"select w.word as "typed!", case when w.word ~ '^[^0-9]{3}' and cardinality(begun.words) <= $3 then begun.words end as known
           from unnest(words_of(left($1, 200), $2)) with ordinality as w (word, place)
           cross join lateral (select array(
               select k.word from recipe_words k
               where k.word >= w.word collate "C" and k.word < (w.word || chr(1114111)) collate "C"
               order by k.word limit $3 + 1
           ) as words) as begun
           order by w.place"#,
        without_nul(typed),
        WORDS,
        BEGUN
    )
    .fetch_all(conn)
    .await
}

/// Words of any recipes that become the same when a letter or two are left out: not to be shown before they were found
/// among what the viewer sees.
pub(super) async fn near_words(
    conn: &mut PgConnection,
    word: &str,
) -> Result<Vec<String>, sqlx::Error> {
    sqlx::query_scalar!(
        "select word from recipe_words where near && (select near_words($1))",
        word
    )
    .fetch_all(conn)
    .await
}

/// Those of the words that stand in a recipe that the viewer sees, in the same order. A word of many recipes is met among
/// the newest; only a rare one is looked for in the index, which has few of it.
pub(super) async fn seen_words(
    conn: &mut PgConnection,
    viewer: MemberId,
    words: &[String],
) -> Result<Vec<String>, sqlx::Error> {
    sqlx::query_scalar!(
        r#"select w.word as "word!" from unnest($1::text[]) with ordinality as w (word, place)
           cross join lateral (select quote_literal('c=' || w.word)::tsquery as anywhere) as asked
           where exists (
               select from (
                   select f.words from recipe_facets f where f.listed
                   order by f.updated_at desc, f.public_id desc limit 200
               ) as newest where newest.words @@ asked.anywhere
           ) or exists (
               with found as materialized (
                   select f.listed, f.owner_id from recipe_facets f where f.words @@ asked.anywhere
               )
               select from found where listed or owner_id = $2
           )
           order by w.place"#,
        words,
        viewer.0,
    )
    .fetch_all(conn)
    .await
}

/// Forgets words that no recipe has any more, of the thousand looked at longest ago.
pub async fn forget_words(conn: &mut PgConnection) -> Result<(), sqlx::Error> {
    let unused = sqlx::query_scalar!(
        r#"with looked_at as (
               update recipe_words set checked_at = now()
               where word in (select word from recipe_words order by checked_at limit 1000 for update skip locked)
               returning word
           )
           select word as "word!" from looked_at where not exists (
               with found as materialized (
                   select from recipe_facets f
                   where f.words @@ (select quote_literal('c=' || looked_at.word)::tsquery)
               )
               select from found)"#
    )
    .fetch_all(&mut *conn)
    .await?;
    if unused.is_empty() {
        return Ok(());
    }
    // They are looked for once more while nobody saves.
    let mut tx = conn.begin().await?;
    sqlx::query!("select pg_advisory_xact_lock($1)", WORDS_LOCK)
        .execute(&mut *tx)
        .await?;
    sqlx::query!(
        "delete from recipe_words known where known.word = any ($1) and not exists (
             with found as materialized (
                 select from recipe_facets f
                 where f.words @@ (select quote_literal('c=' || known.word)::tsquery)
             )
             select from found)",
        &unused
    )
    .execute(&mut *tx)
    .await?;
    tx.commit().await
}
