//! Rows of the honey shelf. Every member sees all of it; who looks after a jar changes it.

use chrono::{DateTime, Utc};
use sqlx::{PgConnection, query, query_as, query_scalar};

use super::model::{Deed, Done, Jar, Said, SaveError, Taken};
use crate::catalogue::jars::store::EMPTY_KG;
use crate::web::viewer::MemberId;

/// What a scale cannot tell, kg: of two amounts within it neither is more.
const HAIR_KG: f64 = 1e-6;

struct Row {
    public_id: String,
    owner: MemberId,
    owner_name: String,
    of_club: bool,
    shared: bool,
    name: String,
    varietal: Option<String>,
    bee_keeper: String,
    harvest_year: Option<i32>,
    place: String,
    water: Option<f64>,
    colour: Option<String>,
    smell: String,
    taste: String,
    note: String,
    left_kg: f64,
    price_per_kg: Option<i64>,
    put_away: bool,
    version: i32,
    created_at: DateTime<Utc>,
}

impl From<Row> for Jar {
    fn from(row: Row) -> Jar {
        Jar {
            public_id: row.public_id,
            owner: row.owner,
            owner_name: row.owner_name,
            said: Said {
                name: row.name,
                varietal: row.varietal,
                of_club: row.of_club,
                shared: row.shared,
                bee_keeper: row.bee_keeper,
                harvest_year: row.harvest_year,
                place: row.place,
                water: row.water,
                colour: row.colour,
                smell: row.smell,
                taste: row.taste,
                note: row.note,
                price_per_kg: row.price_per_kg,
            },
            left_kg: row.left_kg,
            put_away: row.put_away,
            version: row.version,
            created_at: row.created_at,
        }
    }
}

async fn read(conn: &mut PgConnection, id: Option<&str>) -> Result<Vec<Jar>, sqlx::Error> {
    let rows = query_as!(
        Row,
        r#"select j.public_id, j.owner_id as "owner: MemberId", m.name as owner_name, j.of_club, j.shared, j.name,
               j.varietal, j.bee_keeper, j.harvest_year, j.place, j.water, j.colour, j.smell, j.taste, j.note, j.left_kg,
               j.price_per_kg, j.put_away, j.version, j.created_at
           from honey_jars j join members m on m.id = j.owner_id
           where $1::text is null or j.public_id = $1
           order by lower(j.name), j.id"#,
        id
    );
    let rows = rows.fetch_all(conn).await?;
    Ok(rows.into_iter().map(Jar::from).collect())
}

/// Every jar, by name, those emptied and put away included.
pub async fn list(conn: &mut PgConnection) -> Result<Vec<Jar>, sqlx::Error> {
    read(conn, None).await
}

/// One jar.
pub async fn find(conn: &mut PgConnection, id: &str) -> Result<Option<Jar>, sqlx::Error> {
    Ok(read(conn, Some(id)).await?.pop())
}

/// What was done with a jar, the newest first.
pub async fn history(conn: &mut PgConnection, id: &str) -> Result<Vec<Done>, sqlx::Error> {
    let rows = query!(
        r#"select e.deed, e.member_id as "member: MemberId", m.name, e.kg, e.left_kg, e.owed, e.note, e.at
           from honey_jar_entries e
           join honey_jars j on j.id = e.jar_id
           join members m on m.id = e.member_id
           where j.public_id = $1 order by e.id desc limit 200"#,
        id
    );
    let rows = rows.fetch_all(conn).await?.into_iter().map(|row| Done {
        deed: Deed::of(&row.deed),
        member: row.member,
        member_name: row.name,
        kg: row.kg,
        left_kg: row.left_kg,
        owed: row.owed,
        note: row.note,
        at: row.at,
    });
    Ok(rows.collect())
}

/// Puts a jar on the shelf.
pub async fn put(
    conn: &mut PgConnection,
    public_id: &str,
    owner: MemberId,
    said: &Said,
    kg: f64,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    let id = query_scalar!(
        "insert into honey_jars (public_id, owner_id, of_club, shared, name, varietal, bee_keeper, harvest_year, place,
             water, colour, smell, taste, note, left_kg, price_per_kg, created_at)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17) returning id",
        public_id,
        owner.0,
        said.of_club,
        said.shared,
        said.name,
        said.varietal,
        said.bee_keeper,
        said.harvest_year,
        said.place,
        said.water,
        said.colour,
        said.smell,
        said.taste,
        said.note,
        kg,
        said.price_per_kg,
        now
    );
    let id = id.fetch_one(&mut *conn).await?;
    note(conn, id, owner, Deed::Put, (kg, kg, None), "", now).await
}

/// Saves what is said of a jar, on top of the version that was seen; what is left in it stays.
pub async fn change(
    conn: &mut PgConnection,
    owner: MemberId,
    seen: (&str, i32),
    said: &Said,
    now: DateTime<Utc>,
) -> Result<(), SaveError> {
    let (public_id, version) = seen;
    let row = query!(
        "update honey_jars set of_club = $4, shared = $5, name = $6, varietal = $7, bee_keeper = $8, harvest_year = $9,
             place = $10, water = $11, colour = $12, smell = $13, taste = $14, note = $15, price_per_kg = $16,
             version = version + 1
         where public_id = $1 and owner_id = $2 and version = $3 returning id, left_kg",
        public_id,
        owner.0,
        version,
        said.of_club,
        said.shared,
        said.name,
        said.varietal,
        said.bee_keeper,
        said.harvest_year,
        said.place,
        said.water,
        said.colour,
        said.smell,
        said.taste,
        said.note,
        said.price_per_kg
    );
    let Some(row) = row.fetch_optional(&mut *conn).await? else {
        let theirs = find(conn, public_id)
            .await?
            .filter(|jar| jar.owner == owner);
        return Err(theirs.map_or(SaveError::NotFound, |jar| {
            SaveError::Conflict(Box::new(jar))
        }));
    };
    let amounts = (0.0, row.left_kg, None);
    note(conn, row.id, owner, Deed::Changed, amounts, "", now).await?;
    Ok(())
}

/// Takes some: of all who take at once nobody gets more than is left. One statement decides.
pub async fn take(
    conn: &mut PgConnection,
    public_id: &str,
    member: MemberId,
    kg: f64,
    words: &str,
    now: DateTime<Utc>,
) -> Result<Taken, sqlx::Error> {
    let row = query!(
        "update honey_jars set left_kg = case when left_kg - $3 < $4 then 0 else left_kg - $3 end
         where public_id = $1 and not put_away and (owner_id = $2 or of_club or shared) and left_kg + $5 >= $3
         returning id, left_kg",
        public_id,
        member.0,
        kg,
        EMPTY_KG,
        HAIR_KG
    );
    if let Some(row) = row.fetch_optional(&mut *conn).await? {
        // The row is ours until the end of the transaction: the price is the one of this moment.
        let jar = find(&mut *conn, public_id).await?;
        let owed = jar.and_then(|jar| jar.owed(member, kg));
        let amounts = (kg, row.left_kg, owed);
        note(conn, row.id, member, Deed::Taken, amounts, words, now).await?;
        return Ok(Taken::Done);
    }
    let jar = find(conn, public_id).await?;
    Ok(match jar.filter(|jar| jar.may_take(member)) {
        Some(jar) => Taken::TooLittle(jar.left_kg),
        None => Taken::NotForYou,
    })
}

/// Says what the scale says is left, unless somebody took from it since `seen_kg` was shown.
pub async fn weigh(
    conn: &mut PgConnection,
    public_id: &str,
    owner: MemberId,
    (seen_kg, kg): (f64, f64),
    words: &str,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let id = query_scalar!(
        "update honey_jars set left_kg = $4
         where public_id = $1 and owner_id = $2 and abs(left_kg - $3) <= $5 returning id",
        public_id,
        owner.0,
        seen_kg,
        kg,
        HAIR_KG
    );
    let Some(id) = id.fetch_optional(&mut *conn).await? else {
        return Ok(false);
    };
    note(
        conn,
        id,
        owner,
        Deed::Weighed,
        (kg - seen_kg, kg, None),
        words,
        now,
    )
    .await?;
    Ok(true)
}

/// Takes a jar off the shelf, or puts it back; `false` where it is there, or away, already.
pub async fn put_away(
    conn: &mut PgConnection,
    public_id: &str,
    by: MemberId,
    away: bool,
    now: DateTime<Utc>,
) -> Result<bool, sqlx::Error> {
    let row = query!(
        "update honey_jars set put_away = $2, version = version + 1
         where public_id = $1 and put_away <> $2 returning id, left_kg",
        public_id,
        away
    );
    let Some(row) = row.fetch_optional(&mut *conn).await? else {
        return Ok(false);
    };
    let deed = if away { Deed::PutAway } else { Deed::PutBack };
    note(conn, row.id, by, deed, (0.0, row.left_kg, None), "", now).await?;
    Ok(true)
}

async fn note(
    conn: &mut PgConnection,
    jar: i64,
    member: MemberId,
    deed: Deed,
    (kg, left_kg, owed): (f64, f64, Option<i64>),
    words: &str,
    now: DateTime<Utc>,
) -> Result<(), sqlx::Error> {
    query!(
        "insert into honey_jar_entries (jar_id, member_id, deed, kg, left_kg, owed, note, at)
         values ($1, $2, $3, $4, $5, $6, $7, $8)",
        jar,
        member.0,
        deed.word(),
        kg,
        left_kg,
        owed,
        words,
        now
    )
    .execute(conn)
    .await?;
    Ok(())
}
