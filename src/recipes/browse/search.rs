//! Searches by where the words stand, then by rating: all that fit at once, where they are few. The question is the widest
//! of the three.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use super::store::{Asking, Own, Spot};
use super::words::TIERS;
use crate::recipes::public_id::PublicId;

/// How many fit, and one of them, if there is any.
struct Counted {
    fit: i64,
    recipe: Option<i64>,
    tier: Option<i32>,
    score: Option<i32>,
    updated_at: Option<DateTime<Utc>>,
    name_key: Option<String>,
    public_id: Option<PublicId>,
}

impl Counted {
    fn spot(self) -> Option<Spot> {
        Some(Spot {
            recipe: self.recipe?,
            tier: self.tier?,
            score: self.score?,
            updated_at: self.updated_at?,
            name_key: self.name_key?,
            public_id: self.public_id?,
        })
    }
}

macro_rules! by_place {
    ($from:tt, $want:expr, $most:expr, [$($more:expr),*], $conn:expr, $asking:expr, $tiers:expr) => {
        sqlx::query_as!(
            Counted,
            r#"with found as materialized (
                   select f.recipe_id, f.score, f.updated_at, f.name_key, f.public_id,
                       case when f.words @@ (select $1::text::tsquery) then 1
                           when f.words @@ (select $2::text::tsquery) then 2 else 3 end as tier
                   from recipe_facets f where "# + $from + r#"
                     and ($4::float8 is null or f.abv_percent >= $4) and ($5::float8 is null or f.abv_percent <= $5)
                     and ($6::float8 is null or f.cost_per_bottle <= $6)
                   limit $12::bigint + 1
               )
               select counted.fit as "fit!", f.recipe_id as "recipe?", f.tier as "tier?", f.score as "score?",
                   f.updated_at as "updated_at?", f.name_key as "name_key?", f.public_id as "public_id?: PublicId"
               from (select count(*) as fit from found) as counted
               left join lateral (
                   select * from found f
                   where coalesce(counted.fit <= $12, true) and (f.tier > $7 or f.tier = $7 and (f.score, f.updated_at, f.public_id)
                       < (coalesce($8, 2147483647), coalesce($9, 'infinity'::timestamptz), coalesce($10, '~')))
                   order by f.tier, f.score desc, f.updated_at desc, f.public_id desc limit $11
               ) as f on true"#,
            $tiers[0].as_str(),
            $tiers[1].as_str(),
            $want,
            $asking.filter.abv_low,
            $asking.filter.abv_high,
            $asking.filter.cost,
            $asking.after.tier,
            $asking.after.score,
            $asking.after.updated_at,
            $asking.after.public_id.as_deref(),
            $asking.limit,
            $most,
            $($more),*
        )
        .fetch_all($conn)
        .await
    };
}

/// Of what every member sees; none when more than `most` fit.
pub(super) async fn club(
    conn: &mut PgConnection,
    asking: &Asking<'_>,
    tiers: &[String; TIERS.len()],
    most: i64,
) -> Result<Option<Vec<Spot>>, sqlx::Error> {
    let rows = by_place!(
        "f.words @@ (select $3::text::tsquery) and f.listed",
        asking.sought,
        most,
        [],
        conn,
        asking,
        tiers
    )?;
    let few = rows.iter().all(|row| row.fit <= most);
    Ok(few.then(|| rows.into_iter().filter_map(Counted::spot).collect()))
}

/// Of one member's, along the index of owners: all that anybody has with these words would be far more.
pub(super) async fn own(
    conn: &mut PgConnection,
    asking: &Asking<'_>,
    tiers: &[String; TIERS.len()],
    own: &Own,
) -> Result<Vec<Spot>, sqlx::Error> {
    let rows = by_place!(
        "coalesce(f.words @@ (select $3::text::tsquery), false) \
            and f.owner_id = $13 and f.binned = $14 and not ($15 and f.listed)",
        asking.want,
        None::<i64>,
        [own.owner.0, own.binned, own.unlisted_only],
        conn,
        asking,
        tiers
    )?;
    Ok(rows.into_iter().filter_map(Counted::spot).collect())
}
