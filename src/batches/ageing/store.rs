//! Reads how much meads were liked, and at what age: from logs, and from tastings in company that the viewer may read. What a part
//! of a batch has from the batch before it is counted there alone.

use sqlx::{PgConnection, query_as, query_scalar};

use crate::batches::model::BatchId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// One tasting.
#[derive(Clone, Debug, PartialEq)]
pub struct Liked {
    /// Since the mixing.
    pub months: f64,
    /// 1 to 9; what was said on the scale of 1 to 5 has its ends and its middle there.
    pub liking: i32,
}

/// Batches of a recipe that the viewer may see.
pub async fn batches_of(
    conn: &mut PgConnection,
    viewer: MemberId,
    recipe: &PublicId,
) -> Result<Vec<BatchId>, sqlx::Error> {
    query_scalar!(
        r#"select b.id as "id: BatchId" from batches b
           join revisions v on v.id = b.revision_id join recipes r on r.id = v.recipe_id
           where r.public_id = $1 and batch_visible(b, $2, (select book_closed($2))) and b.binned_at is null
           order by b.id desc limit 200"#,
        recipe.as_str(),
        viewer.0,
    )
    .fetch_all(conn)
    .await
}

/// Tastings of batches that the viewer sees, the youngest first.
pub async fn liked(
    conn: &mut PgConnection,
    viewer: MemberId,
    batches: &[BatchId],
) -> Result<Vec<Liked>, sqlx::Error> {
    let ids: Vec<i64> = batches.iter().map(|batch| batch.0).collect();
    query_as!(
        Liked,
        r#"with said as (
               select b.began_at, e.at, e.data from batches b
               join lateral (select distinct on (t.entry) t.* from batch_entries t
                   where t.batch_id = b.id and t.kind = 'tasting' order by t.entry, t.version desc) e on true
               where b.id = any ($2) and not e.struck and e.came_from <> 'import'
               union all
               select b.began_at, a.at, a.data from batches b
               join tasting_pours p on p.batch_id = b.id join tastings t on t.id = p.tasting_id
               join tasting_seats s on s.tasting_id = t.id
               join tasting_answers a on a.seat_id = s.id and a.place = p.place
               where b.id = any ($2) and tasting_readable(t, $1)
           )
           select (extract(epoch from at - began_at) / 2629800)::double precision as "months!",
               coalesce((data ->> 'liking')::integer, 2 * (data ->> 'score')::integer - 1) as "liking!"
           from said
           where at >= began_at and coalesce(data ->> 'liking', data ->> 'score') is not null
           order by 1 limit 2000"#,
        viewer.0,
        &ids,
    )
    .fetch_all(conn)
    .await
}
