//! Lists, facets and searches among 100,000 recipes of 200 members, on a PostgreSQL of this machine and a warm cache.
//!
//! `cargo bench --bench browse` prints the percentiles for each kind of question.

#[path = "../support/database.rs"]
#[expect(dead_code, reason = "the tests use the rest")]
mod database;

use std::time::{Duration, Instant};

use chrono::{TimeDelta, Utc};
use database::TestDatabase;
use mustwright::catalogue::catalogue;
use mustwright::catalogue::club::ClubCatalogue;
use mustwright::engine::{Settings, formulate};
use mustwright::recipes::browse::filter::Filter;
use mustwright::recipes::browse::{Sort, View, find};
use mustwright::recipes::forms::check::check;
use mustwright::recipes::forms::{Group, fill};
use mustwright::recipes::model::{Cursor, Shelf, Visibility};
use mustwright::recipes::numbers::summary::numbers_for_lists;
use mustwright::recipes::saving::{SaveRevision, Target};
use mustwright::recipes::{news, store};
use mustwright::web::units::Units;
use mustwright::web::viewer::MemberId;
use sqlx::{AssertSqlSafe, Connection, PgConnection};

const MEMBERS: i32 = 200;
const RECIPES: i32 = 100_000;
/// Recipes that are really formulated; the others are their copies under other names.
const FORMULATED: usize = 360;
/// How often each question is asked.
const TIMES: usize = 40;

/// Words of titles and notes, the frequent ones first.
const WORDS: &str = "mead honey dry sweet autumn summer garden heather cherry orchard meadow batch river winter amber blackberry \
    morning golden bramble hedgerow forest clover linden moor valley spiced old first second ginger apple plum barrel \
    evening harvest hollow island juniper lantern lavender lowland maple midsummer nettle oak pear quarry raspberry rose \
    saffron solstice spruce stone thyme tupelo vanilla violet walnut willow wren yarrow beacon cottage crimson dusk elder \
    ember fallow field hawthorn badger barrow brook cider cinnamon clove fennel gorse hazel ivory kettle larch mallow \
    nutmeg opal pepper quince rowan sorrel tansy umber verbena whin zest";

/// Saves recipes as members do: honeys, fruit, yeasts and strengths of the catalogue in turn.
async fn formulated(conn: &mut PgConnection, members: &[MemberId]) {
    let honeys = catalogue().honeys();
    let yeasts = catalogue().yeasts();
    let others = [
        "",
        "sour-cherry",
        "raspberry",
        "cinnamon",
        "apple-juice",
        "black-currant",
    ];
    let words: Vec<&str> = WORDS.split_whitespace().collect();
    let club = ClubCatalogue::default();
    for number in 0..FORMULATED {
        let mut form = fill::fresh(Units::Metric);
        let title = format!("{} {}", words[number % 31], words[number % words.len()]);
        form.set("title", title.as_str());
        form.set("strength", format!("{} %", 6 + number % 8));
        form.set("notes", "Kept cool and fed by the plan.");
        if number % 3 == 0 {
            form.set("finish", "sweeten");
            form.set("final_gravity", "1.014");
        }
        if let Some(row) = form.rows_mut(Group::Honey).first_mut() {
            row.set("pick", honeys[number % honeys.len()].key.as_str());
            row.set("name", honeys[number % honeys.len()].name.as_str());
            row.set("price", format!("{}", 6 + number % 9));
        }
        if let Some(row) = form.rows_mut(Group::Yeast).first_mut() {
            row.set("pick", yeasts[number % yeasts.len()].key.as_str());
        }
        let other = others[number % others.len()];
        if !other.is_empty() {
            let amount = if other == "cinnamon" { "10 g" } else { "2 kg" };
            form.add_row(
                Group::Other,
                &[("pick", other), ("amount", amount), ("when", "primary")],
            );
        }
        let recipe = check(&form, Units::Metric, &club).recipe;
        let numbers = formulate(&recipe, &Settings::default());
        let document = serde_json::to_value(&recipe).expect("a document");
        let save = SaveRevision {
            author: members[number % members.len()],
            target: Target::New {
                visibility: if number % 5 < 3 {
                    Visibility::Club
                } else {
                    Visibility::Private
                },
                started_from: None,
            },
            title: &title,
            document: &document,
            numbers: &numbers_for_lists(&recipe, &numbers),
            note: "",
            draft: None,
        };
        let mut tx = conn.begin().await.expect("a transaction");
        let then = Utc::now() - TimeDelta::days(i64::try_from(number).unwrap_or(0));
        store::save_revision(&mut tx, &save, then)
            .await
            .expect("saved");
        tx.commit().await.expect("committed");
    }
}

/// Copies of them under other names, by other members, with other notes, ratings and days.
async fn copied(conn: &mut PgConnection) {
    let words: Vec<String> = WORDS
        .split_whitespace()
        .map(|word| format!("'{word}'"))
        .collect();
    let words = words.join(", ");
    // A frequent word has a low number; the square makes few of them very frequent.
    let word = |seed: &str| {
        format!(
            "(array[{words}])[1 + floor(power(random() + 0 * {seed}, 2) * {})::int]",
            WORDS.split_whitespace().count()
        )
    };
    let copies = RECIPES - FORMULATED as i32;
    for from in (0..copies).step_by(5_000) {
        let to = (from + 5_000).min(copies);
        let (first, second, third) = (word("i"), word("i"), word("x"));
        let batch = format!(
            "with made as (
                 insert into recipes (public_id, owner_id, title, visibility, created_at, updated_at, rating_count, rating_mean, made_count)
                 select translate(lpad(i::text, 20, '0'), '0189', 'abcd'), 1 + i % {MEMBERS},
                     initcap({first}) || ' ' || {second} || ' ' || i % 900,
                     case when random() < 0.6 then 'club' else 'private' end, begun, begun, rated, case when rated > 0 then 1 + 4 * random() end,
                     case when random() < 0.2 then floor(random() * 9)::int else 0 end
                 from generate_series({from}, {to} - 1) as i
                 cross join lateral (select now() - random() * interval '1000 days' as begun, case when random() < 0.3 then 1 + i % 7 else 0 end as rated) as chance
                 returning id, title, owner_id, created_at
             ), revised as (
                 insert into revisions (recipe_id, number, title, document, author_id, created_at)
                 select made.id, 1, made.title, source.document || jsonb_build_object('notes', (
                     select string_agg({third}, ' ') from generate_series(1, 25) as x where made.id > 0)), made.owner_id, made.created_at
                 from made join revisions source on source.recipe_id = 1 + made.id % {FORMULATED} and source.number = 1
                 returning id, recipe_id
             )
             insert into revision_numbers
             select fresh.* from revised
             join revisions source on source.recipe_id = 1 + revised.recipe_id % {FORMULATED} and source.number = 1
             join revision_numbers n on n.revision_id = source.id
             cross join lateral jsonb_populate_record(n, jsonb_build_object('revision_id', revised.id)) as fresh"
        );
        sqlx::query(AssertSqlSafe(batch))
            .execute(&mut *conn)
            .await
            .expect("copies");
    }
}

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
    let members: Vec<MemberId> = sqlx::query_scalar(
        "insert into members (public_id, name, name_key)
         select translate(lpad(i::text, 20, '0'), '0189', 'abcd'), 'Member ' || i, 'member ' || i from generate_series(1, $1) as i
         returning id",
    )
    .bind(MEMBERS)
    .fetch_all(&mut owner)
    .await
    .expect("members");
    formulated(&mut owner, &members).await;
    copied(&mut owner).await;
    sqlx::query("vacuum analyze")
        .execute(&mut owner)
        .await
        .expect("analyzed");
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
