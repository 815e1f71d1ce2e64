//! Rows of meetings. Every member sees them; who called one changes it.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::model::{Answer, Brought, Coming, Meeting, POURS_MAX, Pour, Said, SaveError};
use crate::web::viewer::MemberId;

struct Row {
    public_id: String,
    opener: MemberId,
    opener_name: String,
    title: String,
    starts_at: DateTime<Utc>,
    place: String,
    about: String,
    notes: String,
    cancelled: bool,
    version: i32,
    created_at: DateTime<Utc>,
}

impl From<Row> for Meeting {
    fn from(row: Row) -> Meeting {
        Meeting {
            public_id: row.public_id,
            opener: row.opener,
            opener_name: row.opener_name,
            said: Said {
                title: row.title,
                starts_at: row.starts_at,
                place: row.place,
                about: row.about,
                notes: row.notes,
            },
            cancelled: row.cancelled,
            version: row.version,
            created_at: row.created_at,
        }
    }
}

async fn read(conn: &mut PgConnection, id: Option<&str>) -> Result<Vec<Meeting>, sqlx::Error> {
    let rows = query_as!(
        Row,
        r#"select t.public_id, t.opener_id as "opener: MemberId", m.name as opener_name, t.title, t.starts_at, t.place,
               t.about, t.notes, t.cancelled_at is not null as "cancelled!", t.version, t.created_at
           from meetings t join members m on m.id = t.opener_id
           where $1::text is null or t.public_id = $1
           order by t.starts_at desc, t.id desc limit 200"#,
        id
    );
    let rows = rows.fetch_all(conn).await?;
    Ok(rows.into_iter().map(Meeting::from).collect())
}

/// Meetings, the latest first.
pub async fn list(conn: &mut PgConnection) -> Result<Vec<Meeting>, sqlx::Error> {
    read(conn, None).await
}

/// One meeting.
pub async fn find(conn: &mut PgConnection, id: &str) -> Result<Option<Meeting>, sqlx::Error> {
    Ok(read(conn, Some(id)).await?.pop())
}

/// Who comes, by name.
pub async fn answers(conn: &mut PgConnection, id: &str) -> Result<Vec<Answer>, sqlx::Error> {
    let rows = query!(
        r#"select a.member_id as "member: MemberId", m.name, a.answer
           from meeting_answers a
           join meetings t on t.id = a.meeting_id
           join members m on m.id = a.member_id
           where t.public_id = $1 order by m.name_key"#,
        id
    );
    let rows = rows.fetch_all(conn).await?.into_iter();
    let rows = rows.filter_map(|row| {
        Some(Answer {
            member: row.member,
            name: row.name,
            coming: Coming::of(&row.answer)?,
        })
    });
    Ok(rows.collect())
}

/// What is poured, as it was put down: to whoever judges just now only what they bring. A recipe's address is told as far
/// as the viewer may see it.
pub async fn pours(
    conn: &mut PgConnection,
    viewer: MemberId,
    id: &str,
) -> Result<Vec<Pour>, sqlx::Error> {
    let rows = query!(
        r#"select p.public_id, p.member_id as "member: MemberId", m.name, p.words,
               case when recipe_visible(r, $2) then r.public_id end as recipe, p.revision_number, p.abv_percent, p.fg,
               p.allergens, p.beware, p.place
           from meeting_pours p
           join meetings t on t.id = p.meeting_id
           join members m on m.id = p.member_id
           left join recipes r on r.id = p.recipe_id
           where t.public_id = $1 and (p.member_id = $2 or not (select book_closed($2))) order by p.id"#,
        id,
        viewer.0
    );
    let rows = rows.fetch_all(conn).await?.into_iter().map(|row| Pour {
        public_id: row.public_id,
        member: row.member,
        member_name: row.name,
        brought: Brought {
            words: row.words,
            recipe: row.recipe.zip(row.revision_number),
            abv_percent: row.abv_percent,
            fg: row.fg,
            allergens: row.allergens,
            beware: row.beware,
        },
        place: row.place,
    });
    Ok(rows.collect())
}

/// Calls a meeting.
pub async fn make(
    conn: &mut PgConnection,
    public_id: &str,
    opener: MemberId,
    said: &Said,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into meetings (public_id, opener_id, title, starts_at, place, about, notes, created_at)
         values ($1, $2, $3, $4, $5, $6, $7, $8)",
        public_id,
        opener.0,
        said.title,
        said.starts_at,
        said.place,
        said.about,
        said.notes,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Saves what its opener says of it, on top of the version that was seen.
pub async fn change(
    conn: &mut PgConnection,
    opener: MemberId,
    seen: (&str, i32),
    said: &Said,
) -> Result<(), SaveError> {
    let (public_id, version) = seen;
    let done = query!(
        "update meetings set title = $4, starts_at = $5, place = $6, about = $7, notes = $8, version = version + 1
         where public_id = $1 and opener_id = $2 and version = $3",
        public_id,
        opener.0,
        version,
        said.title,
        said.starts_at,
        said.place,
        said.about,
        said.notes
    );
    if done.execute(&mut *conn).await?.rows_affected() == 1 {
        return Ok(());
    }
    let theirs = find(conn, public_id).await?;
    let theirs = theirs.filter(|meeting| meeting.opener == opener);
    Err(theirs.map_or(SaveError::NotFound, |meeting| {
        SaveError::Conflict(Box::new(meeting))
    }))
}

/// Calls a meeting off; `None` stands for a keeper, who may always.
pub async fn cancel(
    conn: &mut PgConnection,
    id: &str,
    opener: Option<MemberId>,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query_scalar!(
        "update meetings set cancelled_at = $3, version = version + 1
         where public_id = $1 and ($2::bigint is null or opener_id = $2) and cancelled_at is null returning id",
        id,
        opener.map(|opener| opener.0),
        now
    );
    Ok(done.fetch_optional(conn).await?.is_some())
}

/// Notes whether a member comes; the last answer counts. Nobody comes to what was called off.
pub async fn answer(
    conn: &mut PgConnection,
    id: &str,
    member: MemberId,
    coming: Coming,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "insert into meeting_answers (meeting_id, member_id, answer, at)
         select t.id, $2, $3, $4 from meetings t where t.public_id = $1 and t.cancelled_at is null for share of t
         on conflict (meeting_id, member_id) do update set answer = excluded.answer, at = excluded.at",
        id,
        member.0,
        coming.word(),
        now
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Puts something down, unless the meeting was called off or the list is full.
pub async fn bring(
    conn: &mut PgConnection,
    id: &str,
    member: MemberId,
    public_id: &str,
    brought: &Brought,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let (recipe, number) = match &brought.recipe {
        Some((recipe, number)) => (Some(recipe.as_str()), Some(*number)),
        None => (None, None),
    };
    let done = query!(
        "insert into meeting_pours (public_id, meeting_id, member_id, words, recipe_id, revision_number, abv_percent, fg,
             allergens, beware, at)
         select $3, t.id, $2, $4, (select r.id from recipes r where r.public_id = $5 and recipe_visible(r, $2)), $6, $7,
             $8, $9, $10, $11
         from meetings t
         where t.public_id = $1 and t.cancelled_at is null
             and (select count(*) from meeting_pours p where p.meeting_id = t.id) < $12
         for share of t",
        id,
        member.0,
        public_id,
        brought.words,
        recipe,
        number,
        brought.abv_percent,
        brought.fg,
        &brought.allergens,
        brought.beware,
        now,
        POURS_MAX
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Takes something off the list: one's own, or, for whoever called the meeting or keeps the club, anything.
pub async fn take_off(
    conn: &mut PgConnection,
    id: &str,
    member: MemberId,
    keeps: bool,
    pour: &str,
) -> Result<bool, sqlx::Error> {
    let done = query!(
        "delete from meeting_pours p using meetings t
         where t.id = p.meeting_id and t.public_id = $1 and p.public_id = $4
             and ($3 or p.member_id = $2 or t.opener_id = $2)",
        id,
        member.0,
        keeps,
        pour
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Holds the list still while its order is changed.
pub async fn lock(conn: &mut PgConnection, id: &str) -> Result<(), sqlx::Error> {
    query!(
        "select id from meetings where public_id = $1 for update",
        id
    )
    .fetch_optional(conn)
    .await?;
    Ok(())
}

/// Sets the order of pouring; none goes back to the suggested one.
pub async fn put_order(
    conn: &mut PgConnection,
    id: &str,
    order: &[String],
) -> Result<(), sqlx::Error> {
    query!(
        "update meeting_pours p set place = array_position($2::text[], p.public_id)
         from meetings t where t.id = p.meeting_id and t.public_id = $1",
        id,
        order
    )
    .execute(conn)
    .await?;
    Ok(())
}
