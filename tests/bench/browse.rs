//! Lists, facets and searches among 100,000 recipes of 200 members, on a PostgreSQL of this machine and a warm cache.
//!
//! `cargo bench --bench browse` prints the percentiles for each kind of question; `MUSTWRIGHT_RECIPES=1000000` asks among a million.

#[path = "../support/mod.rs"]
#[expect(dead_code, unused_imports, reason = "the tests use the rest")]
mod support;

mod seed;

use std::time::{Duration, Instant};

use mustwright::recipes::browse::filter::Filter;
use mustwright::recipes::browse::{Sort, View, find};
use mustwright::recipes::model::{Cursor, Shelf};
use mustwright::recipes::news;
use mustwright::web::viewer::MemberId;
use sqlx::PgConnection;
use support::TestDatabase;

/// How many recipes there are: as many as `MUSTWRIGHT_RECIPES` says, else 100,000.
fn recipes() -> i32 {
    let said = std::env::var("MUSTWRIGHT_RECIPES").ok();
    said.map_or(100_000, |said| said.parse().expect("MUSTWRIGHT_RECIPES"))
}

/// How often each question is asked.
const TIMES: usize = 40;

/// Percentiles of one kind of question.
fn tell(name: &str, mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    let at = |share: f64| {
        let place = ((times.len() - 1) as f64 * share).round() as usize;
        times.get(place).copied().unwrap_or_default()
    };
    let ms = |time: Duration| format!("{:7.2}", time.as_secs_f64() * 1000.0);
    println!(
        "{name:<44} p50 {} p95 {} p99 {} worst {} ms",
        ms(at(0.50)),
        ms(at(0.95)),
        ms(at(0.99)),
        ms(at(1.0))
    );
    at(0.95)
}

fn searched(words: &str) -> View {
    View {
        words: words.to_owned(),
        ..View::default()
    }
}

fn narrowed(filter: Filter) -> View {
    View {
        filter,
        ..View::default()
    }
}

fn text(word: &str) -> Option<String> {
    Some(word.to_owned())
}

/// What is asked, by kind.
fn questions() -> Vec<(&'static str, Vec<View>)> {
    let shelf = |shelf, sort| View {
        shelf,
        sort,
        ..View::default()
    };
    let none = Filter::default;
    vec![
        (
            "lists: shelves and orders",
            [Shelf::Everything, Shelf::Mine, Shelf::Club, Shelf::Bin]
                .into_iter()
                .flat_map(|at| [Sort::Newest, Sort::Best, Sort::Name].map(|sort| shelf(at, sort)))
                .collect(),
        ),
        (
            "facets: one, common",
            vec![
                narrowed(Filter {
                    family: text("traditional"),
                    ..none()
                }),
                narrowed(Filter {
                    sweetness: text("dry"),
                    ..none()
                }),
                narrowed(Filter {
                    honey: text("honey-clover"),
                    ..none()
                }),
                narrowed(Filter {
                    little_gear: true,
                    ..none()
                }),
                narrowed(Filter {
                    abv_low: Some(8.0),
                    abv_high: Some(12.0),
                    ..none()
                }),
                narrowed(Filter {
                    rating: Some(40),
                    ..none()
                }),
                narrowed(Filter {
                    cost: Some(4.0),
                    ..none()
                }),
            ],
        ),
        (
            "facets: together, and rare",
            vec![
                narrowed(Filter {
                    fruit: text("sour-cherry"),
                    honey: text("honey-heather"),
                    rating: Some(45),
                    ..none()
                }),
                narrowed(Filter {
                    abv_low: Some(13.0),
                    abv_high: Some(13.1),
                    made: Some(5),
                    ..none()
                }),
                narrowed(Filter {
                    family: text("braggot"),
                    ..none()
                }),
                narrowed(Filter {
                    yeast: text("yeast-lager"),
                    made: Some(5),
                    rating: Some(45),
                    ..none()
                }),
                narrowed(Filter {
                    cost: Some(0.3),
                    ..none()
                }),
                View {
                    sort: Sort::Best,
                    ..narrowed(Filter {
                        honey: text("honey-tupelo"),
                        sweetness: text("dry"),
                        ready: Some(4),
                        ..none()
                    })
                },
                View {
                    sort: Sort::Name,
                    ..narrowed(Filter {
                        fruit: text("raspberry"),
                        made: Some(3),
                        ..none()
                    })
                },
            ],
        ),
        (
            "search: common words",
            ["mead", "honey", "dry", "clover", "heather", "garden honey"]
                .map(searched)
                .to_vec(),
        ),
        (
            "search: rare words",
            [
                "zest",
                "verbena",
                "whin umber",
                "hedgerow 411",
                "larch quince",
            ]
            .map(searched)
            .to_vec(),
        ),
        (
            "search: as one types",
            ["he", "hea", "heat", "che", "bra", "gol", "m"]
                .map(searched)
                .to_vec(),
        ),
        (
            "search: mistyped",
            [
                "verbana",
                "zset",
                "quinse larch",
                "hedgrow 411",
                "rasbery umbr",
            ]
            .map(searched)
            .to_vec(),
        ),
        (
            "search: nothing to be found",
            ["qqqqqq", "zzyzx", "moorwxyz"].map(searched).to_vec(),
        ),
        (
            "search: with facets",
            vec![
                View {
                    filter: Filter {
                        sweetness: text("dry"),
                        ..none()
                    },
                    ..searched("heather")
                },
                View {
                    filter: Filter {
                        honey: text("honey-linden"),
                        rating: Some(40),
                        ..none()
                    },
                    ..searched("garden")
                },
                View {
                    filter: Filter {
                        abv_low: Some(13.0),
                        ..none()
                    },
                    ..searched("oak barrel")
                },
                View {
                    sort: Sort::Newest,
                    ..searched("cherry")
                },
            ],
        ),
    ]
}

async fn timed(
    conn: &mut PgConnection,
    viewer: MemberId,
    view: &View,
    after: Option<&Cursor>,
) -> (Duration, Option<Cursor>, usize) {
    let began = Instant::now();
    let found = find(conn, Some(viewer), view, after, 30)
        .await
        .expect("found");
    (began.elapsed(), found.page.next, found.page.lines.len())
}

#[tokio::main]
async fn main() {
    let began = Instant::now();
    let database = TestDatabase::make().await;
    let mut owner = database.owner().await;
    let members = seed::club(&mut owner, recipes()).await;
    let sizes: (i64, i64, String, String) = sqlx::query_as(
        "select count(*), count(*) filter (where listed), pg_size_pretty(pg_total_relation_size('recipe_facets')),
             pg_size_pretty(pg_total_relation_size('recipe_words')) from recipe_facets",
    )
    .fetch_one(&mut owner)
    .await
    .expect("sizes");
    println!(
        "{} recipes, {} of them the club's, filled in {:.0} s; facets {}, words {}",
        sizes.0,
        sizes.1,
        began.elapsed().as_secs_f64(),
        sizes.2,
        sizes.3
    );
    let pool = database.pool(1);
    let mut conn = pool.acquire().await.expect("a connection");
    let mut all = Vec::new();
    let mut slow = Vec::new();
    for (name, views) in questions() {
        let mut times = Vec::new();
        for view in &views {
            // Once for the cache.
            timed(&mut conn, members[7], view, None).await;
            let mut own = Vec::new();
            for turn in 0..TIMES {
                let viewer = members[7 + turn % 5];
                own.push(timed(&mut conn, viewer, view, None).await.0);
            }
            own.sort_unstable();
            slow.push((own[own.len() / 2], format!("{view:?}")));
            times.extend(own);
        }
        all.extend(times.iter().copied());
        tell(name, times);
    }
    let mut deep = Vec::new();
    for view in [
        View::default(),
        searched("mead"),
        searched("garden"),
        narrowed(Filter {
            sweetness: text("dry"),
            ..Filter::default()
        }),
    ] {
        let mut after = None;
        for page in 0..60 {
            let (time, next, _) = timed(&mut conn, members[7], &view, after.as_ref()).await;
            if page >= 20 {
                deep.push(time);
            }
            after = next;
            if after.is_none() {
                break;
            }
        }
    }
    all.extend(deep.iter().copied());
    tell("deep pages, 21 to 60", deep);
    let mut fresh = Vec::new();
    for _ in 0..TIMES {
        let began = Instant::now();
        news::store::list(&mut conn, members[7], None, 16)
            .await
            .expect("news");
        fresh.push(began.elapsed());
    }
    all.extend(fresh.iter().copied());
    tell("news", fresh);
    let p95 = tell("everything", all);
    slow.sort();
    for (time, view) in slow.iter().rev().take(5) {
        println!(
            "slowest by its median: {:.2} ms: {view}",
            time.as_secs_f64() * 1000.0
        );
    }
    println!(
        "the goal of a p95 below 20 ms is {}",
        if p95 < Duration::from_millis(20) {
            "met"
        } else {
            "missed"
        }
    );
}
