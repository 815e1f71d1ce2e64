//! The two worlds: the club of the demonstration with a competition, twice, from one database; in the second, what three
//! entrants entered and made has gone around among them.

use std::collections::BTreeSet;
use std::rc::Rc;

use chrono::{DateTime, TimeZone, Utc};
use mustwright::competitions::flights::model::{Kind, NewFlight};
use mustwright::competitions::flights::store as flights;
use mustwright::competitions::model::{Duty, EntryId, Phase};
use mustwright::demo;
use mustwright::demo::people::{DESMOND, INES, MAREN, OSKAR, PIA};
use mustwright::engine::contest::declared::{Character, Sweetness};
use mustwright::web::grant::Grant;
use mustwright::web::viewer::MemberId;
use sqlx::{AssertSqlSafe, Connection, PgConnection};
use tracing::subscriber::DefaultGuard;

use super::watching::Statements;
use crate::competitions::building::{Held, a_competition};
use crate::competitions::entries::an_entry;
use crate::support::{Browser, Club, Person, TestDatabase, a_member};

/// Entrants without duties or conflicts, among whom everything goes around.
const AROUND: [&str; 3] = [INES, OSKAR, PIA];

/// Somebody with a duty, in both worlds.
pub struct Actor {
    pub name: String,
    pub browsers: [Browser; 2],
    /// Opens what programs read.
    pub token: String,
}

pub struct Worlds {
    clubs: [Club; 2],
    pub competition: String,
    pub actors: Vec<Rc<Actor>>,
    /// Every public id that both have.
    pub ids: BTreeSet<String>,
    pub codes: Vec<String>,
    pub flights: Vec<String>,
    pub entries: Vec<String>,
    /// Names of people and of what they made.
    pub words: Vec<String>,
    pub statements: Statements,
    _listening: DefaultGuard,
}

fn instant() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 11, 28, 10, 0, 0)
        .single()
        .expect("a moment")
}

async fn person(conn: &mut PgConnection, name: &str) -> Person {
    let id: MemberId = sqlx::query_scalar("select id from members where name = $1")
        .bind(name)
        .fetch_one(conn)
        .await
        .expect("one of the club");
    Person {
        id,
        name: name.to_owned(),
        password: String::new(),
    }
}

/// The club before the worlds part, with everybody who has a duty signed in.
struct Before {
    database: TestDatabase,
    held: Held,
    /// Name, cookies and token of each.
    signed_in: Vec<(String, String, String)>,
}

impl Before {
    async fn make() -> Before {
        let club = Club::on(TestDatabase::make().await, instant()).await;
        demo::furnish(&club.app).await.expect("a club");
        let mut owner = club.database.owner().await;
        let organiser = person(&mut owner, MAREN).await;
        let mut with_duty = Vec::new();
        for name in ["Runa Castell", "Milo Ashdown", "Petra Vane", "Silas Marrow"] {
            with_duty.push(a_member().named(name).of(&club).await);
        }
        let [runa, milo, petra, silas] = with_duty.as_slice() else {
            unreachable!("four of them")
        };
        let held = a_competition()
            .ruled(|rules| rules.flight_least = 3)
            .with(runa, Duty::Judge)
            .with(milo, Duty::Judge)
            .with(silas, Duty::Judge)
            .with(silas, Duty::Steward)
            .with(petra, Duty::Steward)
            .of(&club, &organiser)
            .await;
        sqlx::query("update competition_roster set experienced = true where member_id = $1")
            .bind(runa.id)
            .execute(&mut owner)
            .await
            .expect("experience");
        enter(&club, &mut owner, &held, silas).await;
        conflict(&mut owner, &held, milo.id).await;
        receive(&mut owner, &held).await;
        pour(&mut owner, &held, [runa.id, milo.id, silas.id]).await;
        let mut signed_in = Vec::new();
        for person in &with_duty {
            let browser = club.browser_of(person).await;
            let token = club.token_of(person, Grant::Read).await;
            signed_in.push((person.name.clone(), browser.cookie_line(), token));
        }
        // However long the walk takes, no session grows old on the way, in one world before the other.
        sqlx::query("update sessions set seen_at = now() + interval '1 day', proved_at = now() - interval '1 hour'")
            .execute(&mut owner)
            .await
            .expect("sessions");
        tokens_tell_no_time(&mut owner).await;
        owner.close().await.expect("the owner leaves");
        let Club { app, database, .. } = club;
        app.pool.close().await;
        Before {
            database,
            held,
            signed_in,
        }
    }
}

/// The page of tokens says to the minute when each was used, which may be another one in the second world; and how often
/// one may be used counts by the minute, too.
async fn tokens_tell_no_time(owner: &mut PgConnection) {
    let stays = "create function stays() returns trigger language plpgsql as
        $$ begin new.last_used_at := old.created_at; new.minute_uses := 1; return new; end $$";
    let always =
        "create trigger stays before update on member_tokens for each row execute function stays()";
    for statement in [stays, always] {
        sqlx::query(statement)
            .execute(&mut *owner)
            .await
            .expect("a trigger");
    }
}

/// Everybody enters some meads, one of them two together, and one who judges and pours too.
async fn enter(club: &Club, owner: &mut PgConnection, held: &Held, silas: &Person) {
    let others = [
        person(owner, INES).await,
        person(owner, OSKAR).await,
        person(owner, PIA).await,
        person(owner, DESMOND).await,
    ];
    let kinds = [
        (8.0, Sweetness::Dry, Character::Plain),
        (13.0, Sweetness::Sweet, Character::Fruit),
        (15.0, Sweetness::SemiSweet, Character::Spice),
    ];
    for (at, other) in others.iter().enumerate() {
        for (number, (abv, sweetness, character)) in kinds.into_iter().enumerate() {
            let name = format!("{} number {number}", other.name);
            let mut entry = an_entry().called(&name).in_category(number % 2).of_kind(
                abv + at as f64 / 10.0,
                sweetness,
                character,
            );
            if number == 2 && at < 3 {
                entry = entry.made_with(&others[(at + 1) % 3]);
            }
            entry.of(club, &held.public_id, other).await;
        }
    }
    an_entry()
        .called("Quiet one")
        .of(club, &held.public_id, silas)
        .await;
    // Entered from batches.
    sqlx::query(
        "update competition_makers k set batch_id =
             (select id from batches b where b.owner_id = k.member_id order by b.id limit 1) where leads",
    )
    .execute(owner)
    .await
    .expect("batches");
}

/// One judge lives with one of the entrants.
async fn conflict(owner: &mut PgConnection, held: &Held, judge: MemberId) {
    let desmond = person(owner, DESMOND).await;
    sqlx::query(
        "insert into competition_conflicts (competition_id, one_id, other_id) values ($1, least($2, $3), greatest($2, $3))",
    )
    .bind(held.id.0)
    .bind(judge)
    .bind(desmond.id)
    .execute(owner)
    .await
    .expect("a conflict");
}

/// Bottles of all but a few are here.
async fn receive(owner: &mut PgConnection, held: &Held) {
    sqlx::query(
        "update competition_entries set arrival = case when id % 6 = 5 then 'late' else 'here' end, bottles_here = 3
         where competition_id = $1 and id % 7 <> 3",
    )
    .bind(held.id.0)
    .execute(owner)
    .await
    .expect("bottles");
}

/// Three flights of what is here, the first two of them poured; at their tables whoever may judge them.
async fn pour(owner: &mut PgConnection, held: &Held, judges: [MemberId; 3]) {
    let standing: Vec<i64> = sqlx::query_scalar(
        "select id from competition_entries where competition_id = $1 and arrival = 'here' order by code",
    )
    .bind(held.id.0)
    .fetch_all(&mut *owner)
    .await
    .expect("entries");
    for (number, glasses) in (1..).zip(standing.chunks(standing.len().div_ceil(3))) {
        let flight = NewFlight {
            kind: Kind::First,
            category: Some(held.categories[0].id),
            number,
            day: 1,
            session: number,
            entries: glasses.iter().map(|id| EntryId(*id)).collect(),
            judges: judges.to_vec(),
        };
        flights::add(owner, held.id, &flight)
            .await
            .expect("a flight");
    }
    sqlx::query(
        "update competition_flights set state = 'poured', poured_at = $1 where number <= 2",
    )
    .bind(instant())
    .execute(owner)
    .await
    .expect("poured");
}

/// Hands on what three entrants entered and made: the first one's to the second, and so on around.
async fn hand_on(conn: &mut PgConnection, held: &Held) {
    let mut ids = Vec::new();
    for name in AROUND {
        ids.push(person(conn, name).await.id.0);
    }
    let next = |column: &str| {
        format!(
            "case {column} when {} then {} when {} then {} when {} then {} else {column} end",
            ids[0], ids[1], ids[1], ids[2], ids[2], ids[0]
        )
    };
    let ours = format!(
        "entry_id in (select id from competition_entries where competition_id = {})",
        held.id.0
    );
    let mut statements = vec![
        format!("create temporary table gone as select * from competition_makers where {ours}"),
        format!("delete from competition_makers where {ours}"),
        format!("update gone set member_id = {}", next("member_id")),
        "insert into competition_makers select * from gone".to_owned(),
    ];
    for (table, column) in [
        ("recipes", "owner_id"),
        ("batches", "owner_id"),
        ("tastings", "host_id"),
    ] {
        statements.push(format!("update {table} set {column} = {}", next(column)));
    }
    for statement in statements {
        sqlx::query(AssertSqlSafe(statement.clone()))
            .execute(&mut *conn)
            .await
            .unwrap_or_else(|fault| panic!("{statement}: {fault}"));
    }
}

/// The chain of deeds tells nobody who entered what, so that it is the same in both worlds.
async fn the_chain_is_silent(conn: &mut PgConnection, held: &Held) {
    for name in AROUND {
        let told: i64 = sqlx::query_scalar(
            "select count(*) from competition_deeds d join members m on m.name = $1
             where d.competition_id = $2 and (d.by_id = m.id or position(m.name in d.about::text) > 0
                 or position(m.public_id in d.about::text) > 0)",
        )
        .bind(name)
        .bind(held.id.0)
        .fetch_one(&mut *conn)
        .await
        .expect("a count");
        assert_eq!(told, 0, "{name} stands in the chain");
    }
}

async fn texts(conn: &mut PgConnection, sql: &'static str) -> Vec<String> {
    sqlx::query_scalar(sql)
        .fetch_all(conn)
        .await
        .unwrap_or_else(|fault| panic!("{sql}: {fault}"))
}

/// A column of what belongs to the competition.
async fn of_competition(
    conn: &mut PgConnection,
    held: &Held,
    column: &str,
    table: &str,
) -> Vec<String> {
    let sql = format!(
        "select {column} from competition_{table} where competition_id = {} order by 1",
        held.id.0
    );
    sqlx::query_scalar(AssertSqlSafe(sql))
        .fetch_all(conn)
        .await
        .expect("a column")
}

/// Every public id of every table.
async fn all_ids(conn: &mut PgConnection) -> BTreeSet<String> {
    let tables = texts(
        conn,
        "select table_name::text from information_schema.columns
         where table_schema = 'public' and column_name = 'public_id'",
    )
    .await;
    let mut ids = BTreeSet::new();
    for table in tables {
        let sql = format!("select public_id::text from {table}");
        let of_table: Vec<String> = sqlx::query_scalar(AssertSqlSafe(sql))
            .fetch_all(&mut *conn)
            .await
            .expect("ids");
        ids.extend(of_table);
    }
    ids
}

impl Worlds {
    /// Two worlds that differ in nothing else.
    pub async fn make() -> Worlds {
        let before = Before::make().await;
        let second = before.database.copy().await;
        let mut conn = second.owner().await;
        let held = &before.held;
        the_chain_is_silent(&mut conn, held).await;
        let ids = all_ids(&mut conn).await;
        let codes = of_competition(&mut conn, held, "code", "entries").await;
        let entries = of_competition(&mut conn, held, "public_id", "entries").await;
        let flights = of_competition(&mut conn, held, "public_id", "flights").await;
        let words = texts(
            &mut conn,
            "select name from members union select split_part(name, ' ', 1) from members
             union select name from competition_makers union select title from recipes union select name from batches
             union select code from competition_entries order by 1",
        )
        .await;
        hand_on(&mut conn, held).await;
        let clubs = [
            Club::on(before.database, instant()).await,
            Club::on(second, instant()).await,
        ];
        let mut actors = Vec::new();
        for (name, cookies, token) in before.signed_in {
            let browsers = [clubs[0].browser(), clubs[1].browser()];
            for browser in &browsers {
                browser.take_cookies(&cookies);
                assert_eq!(
                    browser.get("/settings").await.status,
                    200,
                    "{name} is signed in"
                );
            }
            actors.push(Rc::new(Actor {
                name,
                browsers,
                token,
            }));
        }
        let (statements, listening) = Statements::listen();
        Worlds {
            clubs,
            competition: before.held.public_id,
            actors,
            ids,
            codes,
            flights,
            entries,
            words,
            statements,
            _listening: listening,
        }
    }

    /// Puts the competition into a phase in both worlds.
    pub async fn stand_in(&self, phase: Phase) {
        for club in &self.clubs {
            sqlx::query("update competitions set phase = $2 where public_id = $1 and phase <> $2")
                .bind(&self.competition)
                .bind(phase.word())
                .execute(club.pool())
                .await
                .expect("the phase");
        }
    }

    /// The public id of a recipe that is another's in the second world.
    pub async fn a_recipe_that_changed_hands(&self) -> String {
        let mut conn = self.clubs[0].database.owner().await;
        sqlx::query_scalar(
            "select r.public_id from recipes r join members m on m.id = r.owner_id
             where m.name = $1 and r.visibility = 'club' and r.binned_at is null order by r.id limit 1",
        )
        .bind(INES)
        .fetch_one(&mut conn)
        .await
        .expect("a recipe")
    }
}
