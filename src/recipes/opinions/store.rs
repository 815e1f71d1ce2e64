//! Ratings in the database, each write with the sums that lists rank by; what is new on a member's recipes.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use super::model::{Basis, Given, News, Rating};
use super::score::Score;
use crate::recipes::model::RecipeId;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Why nothing was rated.
#[derive(Debug, thiserror::Error)]
pub enum RateError {
    /// There is no such recipe or revision for this member, or it is their own.
    #[error("nothing that this member rates")]
    NotFound,
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}

/// Rates a recipe, or changes what the member said before; to be called in a transaction. The recipe's row is locked, so
/// that of many at once each counts all that came before.
pub async fn rate(
    conn: &mut PgConnection,
    member: MemberId,
    recipe: &PublicId,
    revision: i32,
    rating: Rating,
    now: DateTime<Utc>,
) -> Result<(), RateError> {
    let (id, version) = lock(conn, member, recipe).await?;
    if !(1..=version).contains(&revision) {
        return Err(RateError::NotFound);
    }
    sqlx::query!(
        "insert into recipe_ratings (recipe_id, member_id, revision_number, stars, basis, rated_at)
         values ($1, $2, $3, $4, $5, $6)
         on conflict (recipe_id, member_id) do update set revision_number = excluded.revision_number,
             stars = excluded.stars, basis = excluded.basis, rated_at = excluded.rated_at",
        id.0,
        member.0,
        revision,
        i16::from(rating.stars),
        rating.basis.as_str(),
        now,
    )
    .execute(&mut *conn)
    .await?;
    Ok(add_up(conn, id).await?)
}

/// Takes a rating back; to be called in a transaction. Twice is once.
pub async fn take_back(
    conn: &mut PgConnection,
    member: MemberId,
    recipe: &PublicId,
) -> Result<(), RateError> {
    let (id, _) = lock(conn, member, recipe).await?;
    sqlx::query!(
        "delete from recipe_ratings where recipe_id = $1 and member_id = $2",
        id.0,
        member.0,
    )
    .execute(&mut *conn)
    .await?;
    Ok(add_up(conn, id).await?)
}

/// Locks a recipe that the member sees and does not own; gives its newest revision's number too.
async fn lock(
    conn: &mut PgConnection,
    member: MemberId,
    recipe: &PublicId,
) -> Result<(RecipeId, i32), RateError> {
    let found = sqlx::query!(
        r#"select r.id as "id: RecipeId", r.version from recipes r
           where r.public_id = $1 and recipe_visible(r, $2) and r.owner_id <> $2 for update"#,
        recipe.as_str(),
        member.0,
    )
    .fetch_optional(conn)
    .await?;
    let found = found.ok_or(RateError::NotFound)?;
    Ok((found.id, found.version))
}

/// Writes the sums of a recipe whose row is locked.
async fn add_up(conn: &mut PgConnection, id: RecipeId) -> Result<(), sqlx::Error> {
    let rows = sqlx::query!(
        r#"select stars, basis as "basis: Basis" from recipe_ratings where recipe_id = $1"#,
        id.0,
    )
    .fetch_all(&mut *conn)
    .await?;
    let score = Score::of(rows.iter().map(|row| rating(row.stars, row.basis)));
    sqlx::query!(
        "update recipes set rating_count = $2, rating_mean = $3, made_count = $4 where id = $1",
        id.0,
        i32::try_from(score.count()).unwrap_or(i32::MAX),
        score.mean(),
        i32::try_from(score.made).unwrap_or(i32::MAX),
    )
    .execute(conn)
    .await?;
    Ok(())
}

fn rating(stars: i16, basis: Basis) -> Rating {
    Rating {
        stars: u8::try_from(stars).unwrap_or_default(),
        basis,
    }
}

/// What everybody said of a recipe that the viewer may see, the best first.
pub async fn ratings_of(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    recipe: &PublicId,
) -> Result<Vec<Given>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select g.member_id as "member: MemberId", m.name, g.revision_number, g.stars, g.basis as "basis: Basis",
               g.rated_at
           from recipes r
           join recipe_ratings g on g.recipe_id = r.id
           join members m on m.id = g.member_id
           where r.public_id = $1 and recipe_visible(r, $2)
           order by g.stars desc, m.name"#,
        recipe.as_str(),
        viewer.map(|member| member.0),
    )
    .fetch_all(conn)
    .await?;
    let given = rows.into_iter().map(|row| Given {
        member: row.member,
        name: row.name,
        revision: row.revision_number,
        rating: rating(row.stars, row.basis),
        rated_at: row.rated_at,
    });
    Ok(given.collect())
}

/// What others said of a member's recipes since a moment, the newest first; at most 20 recipes.
pub async fn since(
    conn: &mut PgConnection,
    member: MemberId,
    moment: DateTime<Utc>,
) -> Result<Vec<News>, sqlx::Error> {
    sqlx::query_as!(
        News,
        r#"with news as (
               select r.id, 1 as ratings, 0 as comments, g.rated_at as at
               from recipes r join recipe_ratings g on g.recipe_id = r.id
               where r.owner_id = $1 and r.binned_at is null and g.rated_at > $2
               union all
               select r.id, 0, 1, c.written_at
               from recipes r join recipe_comments c on c.recipe_id = r.id
               where r.owner_id = $1 and r.binned_at is null and c.written_at > $2
                   and c.writer_id <> $1 and c.removed_at is null
           )
           select r.public_id as "recipe: PublicId", r.title, sum(news.ratings) as "ratings!",
               sum(news.comments) as "comments!", max(news.at) as "at!"
           from news join recipes r on r.id = news.id
           group by r.id
           order by max(news.at) desc, r.id desc limit 20"#,
        member.0,
        moment,
    )
    .fetch_all(conn)
    .await
}
