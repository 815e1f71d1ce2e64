//! Reads of what the club's finished batches have taught, of those alone that their makers show to the club.

use sqlx::{PgConnection, query};

/// The most batches that are looked at, the newest.
const MOST: i64 = 200;

/// Factors on growth and on the use of sugar of finished batches.
pub async fn earlier(conn: &mut PgConnection) -> Result<Vec<(f64, f64)>, sqlx::Error> {
    let rows = query!(
        r#"select n.growth_factor as "growth!", n.uptake_factor as "uptake!"
           from batches b join batch_numbers n on n.batch_id = b.id
           where b.visibility = 'club' and b.binned_at is null and (b.ended_at is not null or n.real_fg is not null)
               and n.growth_factor > 0 and n.uptake_factor > 0
           order by b.began_at desc, b.id desc limit $1"#,
        MOST
    );
    let rows = rows.fetch_all(conn).await?;
    Ok(rows.iter().map(|row| (row.growth, row.uptake)).collect())
}
