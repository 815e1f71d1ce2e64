//! How the workbench opens for a member: with five questions, or as the whole form.

use sqlx::PgConnection;

use crate::web::viewer::MemberId;

/// Whether it opens as the whole form.
pub async fn opens_whole(conn: &mut PgConnection, member: MemberId) -> Result<bool, sqlx::Error> {
    let found = sqlx::query_scalar!("select whole_form from members where id = $1", member.0);
    Ok(found.fetch_optional(conn).await?.unwrap_or_default())
}

/// How it opens from now on.
pub async fn set_opens_whole(
    conn: &mut PgConnection,
    member: MemberId,
    whole: bool,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update members set whole_form = $2 where id = $1",
        member.0,
        whole
    )
    .execute(conn)
    .await?;
    Ok(())
}
