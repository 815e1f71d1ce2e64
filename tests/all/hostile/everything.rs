//! Everything that the demonstration's club keeps, made private, under the hands of a member who has no part in it (B01).

use std::collections::BTreeMap;

use mustwright::demo;
use mustwright::web::paths::Route;
use sqlx::{AssertSqlSafe, Executor, PgConnection};

use super::{Visitor, with_values};
use crate::batches::{a_maker, started};
use crate::routes::fingerprint;
use crate::support::{Club, Page};

/// What the club has together, which every member opens; and, as a shadow, what stands in the table before it.
const TOGETHER: [&str; 12] = [
    "club_equipment",
    "competition_flights",
    "competitions",
    "honey_jars",
    "honey_order_honeys",
    "honey_order_lines",
    "honey_orders",
    "meeting_pours",
    "meetings",
    "members",
    "recipe_facets",
    "loans",
];

/// Ids of one kind of thing that are tried.
const OF_ONE_KIND: usize = 1;

/// What the demonstration's members do without, each with an id of twenty letters.
const BESIDES: &[&str] = &[
    "insert into batch_pictures (public_id, batch_id, entry, by_id, image, width, height, says, at)
     select repeat('b', 20), id, 1, owner_id, 'x', 1, 1, '', now() from batches limit 1",
    "insert into batch_sensors (public_id, batch_id, by_id, name, token_hash, created_at, minute_began_at)
     select repeat('c', 20), id, owner_id, 'Float', sha256('c'), now(), now() from batches limit 1",
    "insert into invites (public_id, role, uses_allowed, made_by, expires_at)
     select repeat('d', 20), 'member', 1, id, now() + interval '1 day' from members where role = 'keeper' limit 1",
    "insert into passkeys (public_id, member_id, credential_id, credential, host, name)
     select repeat('e', 20), id, 'e', '{}', 'mead.example', 'Key' from members limit 1",
    "insert into tasting_links (public_id, tasting_id, token_hash, expires_at)
     select repeat('f', 20), id, sha256('f'), now() + interval '1 day' from tastings limit 1",
    "insert into sessions (public_id, token_hash, member_id) select repeat('g', 20), sha256('g'), id from members limit 1",
    "insert into member_tokens (public_id, member_id, name, opens, token_hash, expires_at)
     select repeat('h', 20), id, 'Program', 'write', sha256('h'), now() + interval '1 day' from members limit 1",
];

/// Shares nothing with anybody any more.
async fn keep_private(conn: &mut PgConnection) {
    for table in ["recipes", "batches", "tastings"] {
        let sql = format!("update {table} set visibility = 'private'");
        let done = sqlx::query(AssertSqlSafe(sql)).execute(&mut *conn).await;
        assert!(done.expect("kept private").rows_affected() > 0, "{table}");
    }
}

/// Some ids of each kind of thing that belongs to somebody.
async fn ids(conn: &mut PgConnection) -> BTreeMap<String, Vec<String>> {
    let tables: Vec<String> = sqlx::query_scalar(
        "select table_name::text from information_schema.columns c join information_schema.tables t using (table_schema, table_name)
         where table_schema = 'public' and column_name = 'public_id' and t.table_type = 'BASE TABLE'",
    )
    .fetch_all(&mut *conn)
    .await
    .expect("tables");
    let mut all = BTreeMap::new();
    for table in tables {
        if TOGETHER.contains(&table.as_str()) {
            continue;
        }
        let sql = format!("select public_id::text from {table} order by 1 limit {OF_ONE_KIND}");
        let found = sqlx::query_scalar(AssertSqlSafe(sql))
            .fetch_all(&mut *conn)
            .await;
        all.insert(table, found.expect("ids"));
    }
    all
}

/// What has further things below it: of one's own, and of the club.
async fn above(conn: &mut PgConnection, own: &[&str]) -> Vec<String> {
    let mut above: Vec<String> = own
        .iter()
        .filter_map(|path| path.rsplit('/').next())
        .map(str::to_owned)
        .collect();
    let of_others: Vec<String> = sqlx::query_scalar(
        "select public_id from batches where id in (select batch_id from batch_pictures)
         union select public_id from tastings where id in (select tasting_id from tasting_links)
         union (select public_id from recipes where owner_id in (select owner_id from batches) order by 1 limit 1)
         union select public_id from competitions",
    )
    .fetch_all(conn)
    .await
    .expect("ids");
    assert!(of_others.len() >= 4, "{of_others:?}");
    above.extend(of_others);
    above
}

/// A path with an id in its first place, or below another's.
fn below(route: Route, above: Option<&str>, id: &str) -> String {
    match above {
        Some(above) => route.with(&[above, id, "1"]),
        None => route.with(&[id, "1", "1"]),
    }
}

/// What tells one answer from another, whatever id was asked for.
fn look(page: &Page, id: &str) -> (u16, Option<String>) {
    let to = page.location().map(|to| to.replace(id, "ID"));
    (page.status, to)
}

#[tokio::test]
async fn nothing_that_a_club_keeps_opens_for_somebody_else() {
    let club = Club::open().await;
    demo::furnish(&club.app).await.expect("a club");
    let mut owner = club.database.owner().await;
    for statement in BESIDES {
        let done = owner.execute(*statement).await.expect("a thing");
        assert_eq!(done.rows_affected(), 1, "{statement}");
    }
    keep_private(&mut owner).await;
    let all = ids(&mut owner).await;
    let (bert, own, recipe) = a_maker(&club, "Bert Ostrander").await;
    let batch = started(&own, &recipe, &[]).await;
    let above = above(&mut owner, &[&recipe, &batch]).await;
    let without: Vec<&String> = all
        .iter()
        .filter(|(_, ids)| ids.is_empty())
        .map(|(table, _)| table)
        .collect();
    assert_eq!(without, [] as [&String; 0], "kinds that nobody has");
    let visitor = Visitor::of(&club, &bert).await;
    let before = fingerprint(&club).await;
    let form = b"visibility=club&base_version=1&title=x&stars=1&comment=x&note=x&name=x".to_vec();
    let document = b"{\"visibility\": \"club\"}".to_vec();
    let nobodys = "z".repeat(20);
    let mut opened = Vec::new();
    for route in with_values() {
        let (kind, body) = match route.path.starts_with("/api/") {
            true => ("application/json", &document),
            false => ("application/x-www-form-urlencoded", &form),
        };
        // By itself, and below what is Bert's own, everybody's, or another's.
        let mut ways: Vec<Option<&str>> = vec![None];
        if route.path.matches('{').count() > 1 {
            ways.extend(above.iter().map(|above| Some(above.as_str())));
        }
        for above in ways {
            let nothing = below(route, above, &nobodys);
            let wanted = visitor.send(route, &nothing, kind, body.clone()).await;
            for id in all.values().flatten() {
                let path = below(route, above, id);
                let page = visitor.send(route, &path, kind, body.clone()).await;
                if look(&page, id) != look(&wanted, &nobodys) {
                    opened.push(format!("{route:?} {path}: {}", page.status));
                }
            }
        }
    }
    assert_eq!(opened, [] as [String; 0]);
    let after = fingerprint(&club).await;
    let changed: Vec<(&String, &String)> = before
        .iter()
        .zip(&after)
        .filter(|(before, after)| before != after)
        .collect();
    let of_coming = ["sessions ", "member_tokens ", "once_keys "];
    let changed = changed
        .iter()
        .filter(|(before, _)| !of_coming.iter().any(|table| before.starts_with(table)));
    assert_eq!(changed.count(), 0, "{before:?} {after:?}");
}
