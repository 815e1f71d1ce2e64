//! Rows of things that are lent and of everybody who asked for them. No row is ever taken away.

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::PgConnection;

use super::{Described, Ending, Loan, Thing};
use crate::vessels::store::SaveError;
use crate::web::viewer::{MemberId, Role, Viewer};

/// The most things that the list shows.
const MOST_SHOWN: i64 = 500;
/// The most past loans that a page shows.
const MOST_PAST: i64 = 100;

struct Row {
    public_id: String,
    owner_id: Option<i64>,
    owner_name: Option<String>,
    name: String,
    place: String,
    condition: String,
    version: i32,
    withdrawn: bool,
    loan_id: Option<String>,
    member_id: Option<i64>,
    member_name: Option<String>,
    asked_at: Option<DateTime<Utc>>,
    until_day: Option<NaiveDate>,
    remark: Option<String>,
    lent_at: Option<DateTime<Utc>>,
}

impl Row {
    fn thing(self) -> Thing {
        let owner = self.owner_id.map(MemberId).zip(self.owner_name);
        let loan = self.loan_id.and_then(|public_id| {
            Some(Loan {
                public_id,
                member: MemberId(self.member_id?),
                member_name: self.member_name?,
                asked_at: self.asked_at?,
                until: self.until_day?,
                remark: self.remark.unwrap_or_default(),
                lent_at: self.lent_at,
                ended: None,
                came_back: String::new(),
            })
        });
        Thing {
            public_id: self.public_id,
            owner,
            version: self.version,
            withdrawn: self.withdrawn,
            is: Described {
                name: self.name,
                place: self.place,
                condition: self.condition,
            },
            loan,
        }
    }
}

/// Everything that is lent, by name; what is lent no more comes last, and only its lenders see it.
pub async fn list(conn: &mut PgConnection, viewer: &Viewer) -> Result<Vec<Thing>, sqlx::Error> {
    let Some(member) = viewer.id() else {
        return Ok(Vec::new());
    };
    let rows = sqlx::query_as!(
        Row,
        r#"select e.public_id, e.owner_id as "owner_id?", o.name as "owner_name?", e.name, e.place, e.condition, e.version,
                  e.withdrawn_at is not null as "withdrawn!",
                  l.public_id as "loan_id?", l.member_id as "member_id?", m.name as "member_name?",
                  l.asked_at as "asked_at?", l.until_day as "until_day?", l.remark as "remark?", l.lent_at as "lent_at?"
           from club_equipment e
           left join members o on o.id = e.owner_id
           left join loans l on l.equipment_id = e.id and l.ended_at is null
           left join members m on m.id = l.member_id
           where e.withdrawn_at is null or e.owner_id = $1 or $2
           order by e.withdrawn_at is not null, lower(e.name), e.id
           limit $3"#,
        member.0,
        viewer.role() == Some(Role::Keeper),
        MOST_SHOWN
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(Row::thing).collect())
}

/// One thing, as far as this viewer may know of it: what is lent no more stays known to its lenders and to whoever has it.
pub async fn find(
    conn: &mut PgConnection,
    viewer: &Viewer,
    public_id: &str,
) -> Result<Option<Thing>, sqlx::Error> {
    let Some(member) = viewer.id() else {
        return Ok(None);
    };
    let row = sqlx::query_as!(
        Row,
        r#"select e.public_id, e.owner_id as "owner_id?", o.name as "owner_name?", e.name, e.place, e.condition, e.version,
                  e.withdrawn_at is not null as "withdrawn!",
                  l.public_id as "loan_id?", l.member_id as "member_id?", m.name as "member_name?",
                  l.asked_at as "asked_at?", l.until_day as "until_day?", l.remark as "remark?", l.lent_at as "lent_at?"
           from club_equipment e
           left join members o on o.id = e.owner_id
           left join loans l on l.equipment_id = e.id and l.ended_at is null
           left join members m on m.id = l.member_id
           where e.public_id = $3 and (e.withdrawn_at is null or e.owner_id = $1 or $2 or l.member_id = $1)"#,
        member.0,
        viewer.role() == Some(Role::Keeper),
        public_id
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map(Row::thing))
}

/// Who had it or asked for it before, the last first.
pub async fn past(conn: &mut PgConnection, public_id: &str) -> Result<Vec<Loan>, sqlx::Error> {
    let rows = sqlx::query!(
        r#"select l.public_id, l.member_id, m.name as member_name, l.asked_at, l.until_day, l.remark, l.lent_at,
                  l.ended_at as "ended_at!", l.ending as "ending!", l.came_back
           from loans l
           join club_equipment e on e.id = l.equipment_id
           join members m on m.id = l.member_id
           where e.public_id = $1 and l.ended_at is not null
           order by l.id desc limit $2"#,
        public_id,
        MOST_PAST
    )
    .fetch_all(conn)
    .await?;
    let loans = rows.into_iter().filter_map(|row| {
        Some(Loan {
            public_id: row.public_id,
            member: MemberId(row.member_id),
            member_name: row.member_name,
            asked_at: row.asked_at,
            until: row.until_day,
            remark: row.remark,
            lent_at: row.lent_at,
            ended: Some((row.ended_at, Ending::from_word(&row.ending)?)),
            came_back: row.came_back,
        })
    });
    Ok(loans.collect())
}

/// Offers a thing: one's own, or the club's.
pub async fn add(
    conn: &mut PgConnection,
    public_id: &str,
    owner: Option<MemberId>,
    thing: &Described,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "insert into club_equipment (public_id, owner_id, name, place, condition, created_at)
         values ($1, $2, $3, $4, $5, $6)",
        public_id,
        owner.map(|owner| owner.0),
        thing.name,
        thing.place,
        thing.condition,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Changes a thing on top of the version that was seen. Whether the member may is the caller's to ask.
pub async fn change(
    conn: &mut PgConnection,
    seen: (&str, i32),
    thing: &Described,
) -> Result<(), SaveError> {
    let changed = sqlx::query!(
        "update club_equipment set name = $3, place = $4, condition = $5, version = version + 1
         where public_id = $1 and version = $2",
        seen.0,
        seen.1,
        thing.name,
        thing.place,
        thing.condition
    )
    .execute(conn)
    .await?;
    match changed.rows_affected() {
        1 => Ok(()),
        _ => Err(SaveError::Conflict),
    }
}

/// Lends a thing no more, or again.
pub async fn withdraw(
    conn: &mut PgConnection,
    public_id: &str,
    withdrawn: bool,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    sqlx::query!(
        "update club_equipment set withdrawn_at = case when $2 then coalesce(withdrawn_at, $3) end, version = version + 1
         where public_id = $1",
        public_id,
        withdrawn,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Who asks for what.
#[derive(Clone, Copy, Debug)]
pub struct Asking<'a> {
    pub thing: &'a str,
    pub member: MemberId,
    pub until: NaiveDate,
    pub remark: &'a str,
}

/// Asks for a thing. Of all who ask at once one comes in: false for the others, and for what is lent no more.
pub async fn ask(
    conn: &mut PgConnection,
    loan_id: &str,
    asking: Asking<'_>,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let asked = sqlx::query!(
        "insert into loans (public_id, equipment_id, member_id, asked_at, until_day, remark)
         select $2, e.id, $3, $4, $5, $6
         from club_equipment e where e.public_id = $1 and e.withdrawn_at is null
         on conflict (equipment_id) where ended_at is null do nothing",
        asking.thing,
        loan_id,
        asking.member.0,
        now,
        asking.until,
        asking.remark
    )
    .execute(conn)
    .await?;
    Ok(asked.rows_affected() == 1)
}

/// Hands it over to whoever asked. False where that is over, or they have it already.
pub async fn lend(
    conn: &mut PgConnection,
    thing: &str,
    loan: &str,
    until: NaiveDate,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let lent = sqlx::query!(
        "update loans set lent_at = $4, until_day = $3
         where public_id = $2 and ended_at is null and lent_at is null
           and equipment_id = (select id from club_equipment where public_id = $1)",
        thing,
        loan,
        until,
        now
    )
    .execute(conn)
    .await?;
    Ok(lent.rows_affected() == 1)
}

/// Ends a loan in a way that its state allows: what is out is given back, what was only asked for is refused or taken back.
/// False where it is none of that.
pub async fn end(
    conn: &mut PgConnection,
    thing: &str,
    loan: &str,
    ending: Ending,
    by: MemberId,
    came_back: &str,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let ended = sqlx::query!(
        "update loans set ended_at = $5, ending = $3, ended_by = $4, came_back = $6
         where public_id = $2 and ended_at is null and (lent_at is not null) = ($3 = 'given back')
           and ($3 <> 'taken back' or member_id = $4)
           and equipment_id = (select id from club_equipment where public_id = $1)",
        thing,
        loan,
        ending.word(),
        by.0,
        now,
        came_back
    )
    .execute(conn)
    .await?;
    Ok(ended.rows_affected() == 1)
}
