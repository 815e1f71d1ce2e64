//! Reads of finished batches, of those alone that their makers show to the club, and without any name.

use sqlx::{PgConnection, query_as};

/// The most batches that are looked at, the newest.
const MOST: i64 = 500;

/// What a finished batch came to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Done {
    /// The key of its yeast.
    pub yeast: Option<String>,
    pub book_fg: Option<f64>,
    pub real_fg: Option<f64>,
    /// A word for the kind of its vessel.
    pub vessel: Option<String>,
    /// What stayed behind, as a part of what was there.
    pub loss_fraction: Option<f64>,
    /// Days from the pitch to the end.
    pub end_days: Option<f64>,
    /// The month in which it was mixed, 1 to 12.
    pub month: i32,
}

/// Finished batches, the newest first.
pub async fn finished(conn: &mut PgConnection) -> Result<Vec<Done>, sqlx::Error> {
    query_as!(
        Done,
        r#"select n.yeast, n.book_fg, n.real_fg, b.document #>> '{vessel,kind}' as vessel, n.loss_fraction, n.end_days,
               extract(month from b.began_at at time zone 'UTC')::integer as "month!"
           from batches b join batch_numbers n on n.batch_id = b.id
           where b.visibility = 'club' and b.binned_at is null and (b.ended_at is not null or n.real_fg is not null)
           order by b.began_at desc, b.id desc limit $1"#,
        MOST
    )
    .fetch_all(conn)
    .await
}
