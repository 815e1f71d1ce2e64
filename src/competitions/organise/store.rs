//! Rows that organisers write: competitions, their categories, the roster.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;
use sqlx::types::Json;

use super::making::Beginning;
use super::rules::Fixed;
use super::standing::Standing;
use crate::competitions::entries::Arrival;
use crate::competitions::model::{Category, CategoryId, CompetitionId, Duty, Phase};
use crate::engine::contest::categories::Kind;
use crate::engine::contest::rules::Rules;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Writes a draft down.
pub async fn insert(
    conn: &mut PgConnection,
    public_id: &PublicId,
    beginning: &Beginning,
    now: DateTime<Utc>,
) -> Result<CompetitionId, sqlx::Error> {
    sqlx::query_scalar!(
        r#"insert into competitions (public_id, title, rehearsal, rules, terms, prizes, created_at)
           values ($1, $2, $3, $4, $5, $6, $7) returning id as "id: CompetitionId""#,
        public_id.as_str(),
        beginning.title,
        beginning.rehearsal,
        Json(&beginning.rules) as Json<&Rules>,
        beginning.terms,
        beginning.prizes,
        now
    )
    .fetch_one(conn)
    .await
}

/// Adds categories behind those that are there.
pub async fn put_categories(
    conn: &mut PgConnection,
    competition: CompetitionId,
    kinds: &[Kind],
) -> Result<(), sqlx::Error> {
    for kind in kinds {
        sqlx::query!(
            "insert into competition_categories (competition_id, place, name, about, family, strength)
             select $1, coalesce(max(place), 0) + 1, $2, $3, $4, $5
             from competition_categories where competition_id = $1",
            competition.0,
            kind.name,
            kind.about,
            kind.family,
            kind.strength
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

/// Gives a member a duty; false where they had it.
pub async fn add_duty(
    conn: &mut PgConnection,
    competition: CompetitionId,
    member: MemberId,
    duty: Duty,
) -> Result<bool, sqlx::Error> {
    let done = sqlx::query!(
        "insert into competition_roster (competition_id, member_id, duty) values ($1, $2, $3) on conflict do nothing",
        competition.0,
        member.0,
        duty.word()
    );
    Ok(done.execute(conn).await?.rows_affected() == 1)
}

/// Puts it into a phase. The caller holds it.
pub async fn set_phase(
    conn: &mut PgConnection,
    competition: CompetitionId,
    phase: Phase,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competitions set phase = $2, version = version + 1,
             released_at = case when $2 = 'released' then $3 else released_at end
         where id = $1",
        competition.0,
        phase.word(),
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// How far everything is.
pub async fn standing(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<Standing, sqlx::Error> {
    sqlx::query_as!(
        Standing,
        r#"with entries as (select * from competition_entries where competition_id = $1 and withdrawn_at is null),
               flights as (select * from competition_flights where competition_id = $1)
           select
               (select count(*) from competition_categories where competition_id = $1) as "categories!",
               (select count(*) from entries) as "entries!",
               (select count(*) from entries where arrival is null) as "unreceived!",
               (select count(*) from entries where arrival = any($2) and checked_at is null) as "unchecked!",
               (select count(*) from entries e where arrival = any($2) and not exists (
                   select from competition_pours p join flights f on f.id = p.flight_id
                   where p.entry_id = e.id and f.kind = 'first')) as "unpoured!",
               (select count(*) from flights) as "flights!",
               (select count(*) from flights f where not exists (
                   select from competition_tables t join members m on m.id = t.member_id
                   where t.flight_id = f.id and m.disabled_at is null)) as "unseated!",
               (select count(*) from flights where state <> 'done') as "undone!",
               exists (select from competition_results r where r.competition_id = $1
                   and r.at >= coalesce((select max(d.at) from competition_deeds d
                       where d.competition_id = $1 and d.deed = 'phase' and d.about ->> 'to' = 'review'), r.at)) as "reckoned!""#,
        competition.0,
        &Arrival::poured()
    )
    .fetch_one(conn)
    .await
}

/// Sets what is fixed before it opens. The caller holds it.
pub async fn set_rules(
    conn: &mut PgConnection,
    competition: CompetitionId,
    fixed: &Fixed,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competitions set title = $2, terms = $3, prizes = $4, rules = $5, version = version + 1 where id = $1",
        competition.0,
        fixed.title,
        fixed.terms,
        fixed.prizes,
        Json(&fixed.rules) as Json<&Rules>
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Says what a category is for.
pub async fn set_category(
    conn: &mut PgConnection,
    category: CategoryId,
    kind: &Kind,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competition_categories set name = $2, about = $3, family = $4, strength = $5 where id = $1",
        category.0,
        kind.name,
        kind.about,
        kind.family,
        kind.strength
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Lets the category at a place change places with the one before it, if there is one.
pub async fn raise_category(
    conn: &mut PgConnection,
    competition: CompetitionId,
    place: i32,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update competition_categories set place = case place when $2 then $2 - 1 else $2 end
         where competition_id = $1 and place in ($2 - 1, $2) and $2 > 1",
        competition.0,
        place
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes a category out; those behind it move up.
pub async fn remove_category(
    conn: &mut PgConnection,
    competition: CompetitionId,
    category: &Category,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "delete from competition_categories where id = $1",
        category.id.0
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!(
        "update competition_categories set place = place - 1 where competition_id = $1 and place > $2",
        competition.0,
        category.place
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Whether somebody entered a batch of theirs.
pub async fn has_batches(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<bool, sqlx::Error> {
    sqlx::query_scalar!(
        r#"select exists (select from competition_makers k join competition_entries e on e.id = k.entry_id
               where e.competition_id = $1 and k.batch_id is not null) as "has!""#,
        competition.0
    )
    .fetch_one(conn)
    .await
}

/// Removes a draft or a rehearsal for good; false where it is neither, or holds a batch of somebody's.
pub async fn remove(
    conn: &mut PgConnection,
    competition: CompetitionId,
) -> Result<bool, sqlx::Error> {
    sqlx::query_scalar!(
        r#"select remove_competition($1) as "removed!""#,
        competition.0
    )
    .fetch_one(conn)
    .await
}
