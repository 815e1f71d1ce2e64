//! Lists, searches and batch pages over HTTP as a club grows, on a server and a PostgreSQL of this machine with a warm cache.
//!
//! `cargo bench --bench scale` asks the same of a club with 1,000 recipes and of one with 1,000,000 (or as many as
//! `MUSTWRIGHT_RECIPES` says), with a batch for every five recipes and fifty readings for each batch, and prints the percentiles
//! of the answer times beside each other. The large club takes about 20 GB of disk and half an hour to fill.

#[path = "../support/mod.rs"]
#[expect(dead_code, unused_imports, reason = "the tests use the rest")]
mod support;

mod seed;

use std::time::{Duration, Instant};

use chrono::{TimeDelta, Utc};
use sqlx::{AssertSqlSafe, PgConnection};
use support::{Browser, Club, a_member};

/// The small club.
const FEW: i32 = 1_000;
/// Batches that are begun by hand, so to say; the others are their copies.
const BEGUN: i32 = 40;
/// Readings of each batch: so many a sensor told, an hour apart, and so many a person.
const BY_SENSOR: i32 = 40;
const BY_HAND: i32 = 10;
/// How often each page is asked for.
const TIMES: usize = 40;

/// Batches over HTTP as a member takes them in.
async fn begun(browser: &Browser) {
    for number in 0..BEGUN {
        let form = browser.get("/batches/going").await;
        let began = Utc::now() - TimeDelta::days(30);
        let known = [
            ("What it is called", format!("Vessel {number}")),
            ("In the vessel since", began.format("%Y-%m-%d").to_string()),
            ("How much there is", "4.5 L".to_owned()),
            ("Gravity when it began", "1090".to_owned()),
        ];
        let known: Vec<(&str, &str)> = known
            .iter()
            .map(|(label, text)| (*label, text.as_str()))
            .collect();
        let done = browser.submit(&form, "Take it in", &known).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
}

async fn run(owner: &mut PgConnection, statement: String) {
    sqlx::query(AssertSqlSafe(statement))
        .execute(owner)
        .await
        .expect("rows");
}

/// Copies of them by all members, and readings in all of them.
async fn filled(owner: &mut PgConnection, batches: i32) {
    for from in (BEGUN..batches).step_by(2_000) {
        let to = (from + 2_000).min(batches);
        run(
            owner,
            format!(
                "insert into batches
                 select fresh.* from generate_series({from}, {to} - 1) i
                 join batches b on b.id = 1 + i % {BEGUN}
                 cross join lateral jsonb_populate_record(b, jsonb_build_object(
                     'id', 1000 + i, 'public_id', translate(lpad(i::text, 20, '0'), '0189', 'abcd'),
                     'owner_id', 1 + i % {members}, 'name', 'Vessel ' || i,
                     'began_at', b.began_at - (i % 900) * interval '1 hour')) as fresh",
                members = seed::MEMBERS
            )
            .replace(
                "insert into batches\n",
                "insert into batches overriding system value\n",
            ),
        )
        .await;
        for table in ["batch_numbers", "batch_entries"] {
            let own = match table {
                "batch_entries" => format!(
                    "'id', nextval(pg_get_serial_sequence('batch_entries', 'id')), 'by_id', 1 + i % {}, ",
                    seed::MEMBERS
                ),
                _ => String::new(),
            };
            let overriding = match table {
                "batch_entries" => "overriding system value",
                _ => "",
            };
            run(
                owner,
                format!(
                    "insert into {table} {overriding}
                     select fresh.* from generate_series({from}, {to} - 1) i
                     join {table} t on t.batch_id = 1 + i % {BEGUN}
                     cross join lateral jsonb_populate_record(t, jsonb_build_object({own}'batch_id', 1000 + i)) as fresh"
                ),
            )
            .await;
        }
    }
    let lowest = "select min(id) as low, max(id) as high from batches";
    let (low, high): (i64, i64) = sqlx::query_as(lowest)
        .fetch_one(&mut *owner)
        .await
        .expect("batches");
    for from in (low..=high).step_by(2_000) {
        run(
            owner,
            format!(
                "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, came_from)
                 select b.id, 1000 + n, 1, 'reading', b.began_at + n * interval '1 hour', now(), b.owner_id,
                     jsonb_build_object('sg', 1.09 - n * 0.0011, 'must_temperature_c', 19 + n % 3, 'instrument',
                         case when n > {BY_HAND} then 'The float' else 'hydrometer' end),
                     case when n > {BY_HAND} then 'sensor' else 'page' end
                 from batches b, generate_series(1, {BY_HAND} + {BY_SENSOR}) n where b.id >= {from} and b.id < {from} + 2000"
            ),
        )
        .await;
    }
    run(owner, "vacuum analyze".to_owned()).await;
}

/// Addresses by kind.
async fn pages(owner: &mut PgConnection) -> Vec<(&'static str, f64, Vec<String>)> {
    let search = |words: &[&str]| words.iter().map(|q| format!("/recipes?q={q}")).collect();
    let batches: Vec<String> = sqlx::query_scalar(
        "select '/batches/' || public_id from batches where visibility = 'club' order by md5(public_id) limit 20",
    )
    .fetch_all(&mut *owner)
    .await
    .expect("batches");
    vec![
        (
            "lists",
            5.0,
            ["", "?shelf=mine", "?shelf=club", "?sort=best", "?sort=name"]
                .map(|query| format!("/recipes{query}"))
                .to_vec(),
        ),
        (
            "search: common, rare, mistyped words",
            40.0,
            search(&[
                "mead",
                "garden+honey",
                "zest",
                "larch+quince",
                "hea",
                "verbana",
                "zzyzx",
            ]),
        ),
        ("batch pages", 20.0, batches),
        ("list of batches", 5.0, vec!["/batches".to_owned()]),
    ]
}

/// The p95 of each kind of page, ms.
async fn asked(recipes: i32) -> Vec<(&'static str, f64, f64)> {
    let began = Instant::now();
    let club = Club::open().await;
    let mut owner = club.database.owner().await;
    seed::club(&mut owner, recipes).await;
    let ada = a_member().of(&club).await;
    let browser = club.browser_of(&ada).await;
    begun(&browser).await;
    filled(&mut owner, recipes / 5).await;
    let sizes: (i64, i64, i64, String) = sqlx::query_as(
        "select (select count(*) from recipes), (select count(*) from batches),
             (select count(*) from batch_entries where kind = 'reading'), pg_size_pretty(pg_database_size(current_database()))",
    )
    .fetch_one(&mut owner)
    .await
    .expect("sizes");
    println!(
        "{} recipes, {} batches, {} readings, {}, filled in {:.0} s",
        sizes.0,
        sizes.1,
        sizes.2,
        sizes.3,
        began.elapsed().as_secs_f64()
    );
    let mut told = Vec::new();
    for (name, goal, paths) in pages(&mut owner).await {
        let mut times = Vec::new();
        for path in &paths {
            for turn in 0..=TIMES {
                let began = Instant::now();
                let page = browser.get(path).await;
                assert_eq!(page.status, 200, "{path}");
                // Once for the cache.
                if turn > 0 {
                    times.push((began.elapsed(), path));
                }
            }
        }
        times.sort_unstable();
        let at = |share: f64| times[((times.len() - 1) as f64 * share).round() as usize];
        let ms = |time: Duration| time.as_secs_f64() * 1000.0;
        println!(
            "{name:<40} p50 {:6.2} p95 {:6.2} p99 {:6.2} ms; slowest {:6.2} ms: {}",
            ms(at(0.5).0),
            ms(at(0.95).0),
            ms(at(0.99).0),
            ms(at(1.0).0),
            at(1.0).1
        );
        told.push((name, goal, ms(at(0.95).0)));
    }
    told
}

#[tokio::main]
async fn main() {
    let said = std::env::var("MUSTWRIGHT_RECIPES").ok();
    let many = said.map_or(1_000_000, |said| said.parse().expect("MUSTWRIGHT_RECIPES"));
    let (small, large) = (asked(FEW).await, asked(many).await);
    println!("\n| pages | p95 with {FEW} | p95 with {many} | goal | |\n|---|---|---|---|---|");
    for ((name, goal, few), (_, _, many)) in small.into_iter().zip(large) {
        let met = many <= goal && many <= 1.5 * few;
        println!(
            "| {name} | {few:.1} ms | {many:.1} ms, {:.1} times | at most {goal} ms and 1.5 times | {} |",
            many / few,
            if met { "met" } else { "missed" }
        );
    }
}
