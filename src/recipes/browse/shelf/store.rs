//! A whole shelf, read in one statement.

use sqlx::PgConnection;

use crate::recipes::browse::place::After;
use crate::recipes::browse::store::Own;
use crate::recipes::model::{RecipeLine, Visibility};
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Most recipes that one call reads. The statement has this number in itself, as it decides on a plan by it.
pub(in crate::recipes::browse) const MOST: usize = 31;

/// The newest of the club's, of one's own, or of both: at most `need`, in order. Of the club's none is read while the
/// book is closed to the viewer.
pub(in crate::recipes::browse) async fn newest(
    conn: &mut PgConnection,
    viewer: MemberId,
    (clubs, own): (bool, Option<&Own>),
    after: &After,
    need: usize,
) -> Result<Vec<RecipeLine>, sqlx::Error> {
    let limit = i64::try_from(need.min(MOST)).unwrap_or(i64::MAX);
    sqlx::query_as!(
        RecipeLine,
        r#"with found as (
               (select recipe_id, updated_at, public_id from recipe_facets
                where $2 and not (select book_closed($1)) and listed
                  and (updated_at, public_id) < (coalesce($3, 'infinity'::timestamptz), coalesce($4, '~'))
                order by updated_at desc, public_id desc limit 31)
               union all
               (select recipe_id, updated_at, public_id from recipe_facets
                where $5 and owner_id = $1 and binned = $6 and not ($7 and listed)
                  and (updated_at, public_id) < (coalesce($3, 'infinity'::timestamptz), coalesce($4, '~'))
                order by updated_at desc, public_id desc limit 31)
           ), first as (select * from found order by updated_at desc, public_id desc limit 31)
           select r.public_id as "public_id: PublicId", r.title, r.owner_id as "owner: MemberId", m.name as owner_name,
               r.visibility as "visibility: Visibility", r.version, r.updated_at,
               n.volume_l, n.og, n.fg, n.abv_percent, n.honey_kg, n.honeys, n.style_family, n.strength, n.sweetness,
               n.problems, n.ready_months, n.cost_per_bottle, r.rating_count, r.rating_mean, r.made_count
           from first
           join recipes r on r.id = first.recipe_id
           join revisions v on v.recipe_id = r.id and v.number = r.version
           join revision_numbers n on n.revision_id = v.id
           join members m on m.id = r.owner_id
           where recipe_visible(r, $1, (select book_closed($1)))
           order by first.updated_at desc, first.public_id desc limit $8"#,
        viewer.0,
        clubs,
        after.updated_at,
        after.public_id.as_deref(),
        own.is_some(),
        own.is_some_and(|own| own.binned),
        own.is_some_and(|own| own.unlisted_only),
        limit,
    )
    .fetch_all(conn)
    .await
}
