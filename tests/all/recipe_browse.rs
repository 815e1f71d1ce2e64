//! Narrowing down, orders, pages, plans and what nobody may learn by looking through recipes.

use std::collections::BTreeSet;

use mustwright::recipes::browse::filter::Filter;
use mustwright::recipes::browse::{self, Found, Sort, View};
use mustwright::recipes::model::{Cursor, Numbers, RecipeLine, Shelf, Visibility};
use mustwright::recipes::renewal;
use mustwright::recipes::store;
use mustwright::web::viewer::MemberId;
use sqlx::{Connection, PgConnection};

use crate::recipe_database::{a_member, a_recipe, at, edit, some_numbers, with_database};

async fn titles(conn: &mut PgConnection, viewer: MemberId, view: &View) -> Vec<String> {
    let found = browse::find(conn, Some(viewer), view, None, 50)
        .await
        .unwrap();
    found
        .page
        .lines
        .into_iter()
        .map(|line| line.title)
        .collect()
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

#[tokio::test]
async fn each_facet_lets_through_what_it_says() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let numbers = Numbers {
            abv_percent: Some(12.5),
            cost_per_bottle: Some(3.4),
            style_family: text("melomel"),
            strength: text("standard"),
            sweetness: text("dry"),
            keys: ["honey-clover", "sour-cherry", "yeast-ale-neutral"].map(str::to_owned).to_vec(),
            ready_months: Some(4),
            little_gear: true,
            ..some_numbers()
        };
        let saved = a_recipe("Fits").with(numbers).by(&mut conn, anna).await.unwrap();
        sqlx::query("update recipes set rating_count = 2, rating_mean = 4.2, made_count = 3 where public_id = $1")
            .bind(saved.recipe.as_str())
            .execute(&mut *conn)
            .await
            .unwrap();
        a_recipe("Differs")
            .with(Numbers {
                abv_percent: Some(13.2),
                cost_per_bottle: None,
                ..Numbers::default()
            })
            .by(&mut conn, anna)
            .await
            .unwrap();
        let none = Filter::default;
        for fits in [
            Filter { family: text("melomel"), ..none() },
            Filter { strength: text("standard"), ..none() },
            Filter { sweetness: text("dry"), ..none() },
            Filter { honey: text("honey-clover"), ..none() },
            Filter { fruit: text("sour-cherry"), ..none() },
            Filter { yeast: text("yeast-ale-neutral"), ..none() },
            Filter { abv_high: Some(12.5), ..none() },
            Filter { abv_low: Some(12.4), abv_high: Some(12.6), ..none() },
            Filter { rating: Some(40), ..none() },
            Filter { made: Some(3), ..none() },
            Filter { ready: Some(4), ..none() },
            Filter { ready: Some(12), ..none() },
            Filter { little_gear: true, ..none() },
            Filter { cost: Some(3.4), ..none() },
            Filter { cost: Some(900.0), ..none() },
            Filter { family: text("melomel"), cost: Some(3.41), made: Some(1), ..none() },
        ] {
            assert_eq!(titles(&mut conn, anna, &narrowed(fits.clone())).await, ["Fits"], "{fits:?}");
        }
        for differs in [
            Filter { family: text("cyser"), ..none() },
            Filter { family: text("mel' | 'f=melomel"), ..none() },
            Filter { honey: text("honey"), ..none() },
            Filter { abv_low: Some(12.6), abv_high: Some(12.9), ..none() },
            Filter { abv_low: Some(13.3), ..none() },
            Filter { rating: Some(45), ..none() },
            Filter { made: Some(5), ..none() },
            Filter { ready: Some(2), ..none() },
            Filter { cost: Some(3.3), ..none() },
            Filter { cost: Some(0.0), ..none() },
            Filter { family: text("melomel"), sweetness: text("sweet"), ..none() },
        ] {
            assert_eq!(titles(&mut conn, anna, &narrowed(differs.clone())).await, [""; 0], "{differs:?}");
        }
        let both = Filter { abv_low: Some(12.0), ..none() };
        assert_eq!(titles(&mut conn, anna, &narrowed(both)).await.len(), 2);
        // A newer revision answers for the recipe.
        edit(&mut conn, anna, &saved.recipe, 1, "Fits no more").await.unwrap();
        let melomel = narrowed(Filter { family: text("melomel"), ..none() });
        assert_eq!(titles(&mut conn, anna, &melomel).await, [""; 0]);
    })
    .await;
}

/// Recipes of three members, some shared, rated and named alike; two of them in the bin.
async fn a_full_shelf(conn: &mut PgConnection) -> [MemberId; 3] {
    let mut members = Vec::new();
    for name in ["Anna", "Bert", "Cleo"] {
        members.push(a_member(conn, name, "member").await);
    }
    for number in 0..60 {
        let title = ["Elder", "Heather", "Moor", "Brook"][number % 4];
        let title = format!("{title} {}", number % 7);
        let mut recipe = a_recipe(&title);
        recipe.at = at(number as i64 / 3);
        if number % 3 != 0 {
            recipe = recipe.shown_to(Visibility::Club);
        }
        recipe.numbers.sweetness = text(["dry", "sweet"][number % 2]);
        recipe.numbers.abv_percent = Some(8.0 + (number % 5) as f64);
        let saved = recipe.by(conn, members[number % 3]).await.unwrap();
        if number % 5 == 0 {
            sqlx::query(
                "update recipes set rating_count = 3, rating_mean = $1 where public_id = $2",
            )
            .bind(1.0 + (number % 4) as f64)
            .bind(saved.recipe.as_str())
            .execute(&mut *conn)
            .await
            .unwrap();
        }
        if number % 29 == 3 {
            store::bin(conn, members[number % 3], &saved.recipe, at(900))
                .await
                .unwrap();
        }
    }
    [members[0], members[1], members[2]]
}

/// Views of every shelf in every order, with words and without, narrowed down or not.
fn views() -> Vec<View> {
    let mut views = Vec::new();
    for shelf in [Shelf::Everything, Shelf::Mine, Shelf::Club, Shelf::Bin] {
        for sort in [Sort::Usual, Sort::Newest, Sort::Best, Sort::Name] {
            for words in ["", "elder", "heather honey", "hether", "eldr 3", "honey"] {
                for filter in [
                    Filter::default(),
                    Filter {
                        sweetness: text("dry"),
                        abv_high: Some(10.0),
                        ..Filter::default()
                    },
                ] {
                    let words = words.to_owned();
                    views.push(View {
                        shelf,
                        words,
                        filter,
                        sort,
                    });
                }
            }
        }
    }
    views
}

/// Every page of a view, seven lines each, through the text of the cursors.
async fn leafed(conn: &mut PgConnection, viewer: MemberId, view: &View) -> Vec<Found> {
    let (mut pages, mut after): (Vec<Found>, Option<Cursor>) = (Vec::new(), None);
    loop {
        let found = browse::find(conn, Some(viewer), view, after.as_ref(), 7)
            .await
            .unwrap();
        after = found
            .page
            .next
            .clone()
            .map(|next| next.to_string().parse().unwrap());
        pages.push(found);
        if after.is_none() {
            return pages;
        }
    }
}

fn ids(pages: &[Found]) -> Vec<String> {
    let lines = pages.iter().flat_map(|found| &found.page.lines);
    lines.map(|line| line.public_id.to_string()).collect()
}

#[tokio::test]
async fn pages_of_every_view_are_its_list_cut_up() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let members = a_full_shelf(&mut conn).await;
        let mut seen = 0;
        for view in views() {
            let whole = browse::find(&mut conn, Some(members[0]), &view, None, 100)
                .await
                .unwrap();
            assert!(whole.page.next.is_none());
            let whole = ids(&[whole]);
            let leafed = ids(&leafed(&mut conn, members[0], &view).await);
            assert_eq!(leafed, whole, "{view:?}");
            let different: BTreeSet<_> = whole.iter().collect();
            assert_eq!(different.len(), whole.len(), "{view:?}");
            seen += whole.len();
            // A cursor of another order, or of nothing, is none.
            let others = [
                Cursor::Name {
                    name_key: "zzz".to_owned(),
                    public_id: an_id(),
                },
                Cursor::Found {
                    tier: 99,
                    score: 0,
                    updated_at: at(0),
                    public_id: an_id(),
                },
            ];
            for other in others.iter().filter(|_| view.sort != Sort::Name) {
                let first = browse::find(&mut conn, Some(members[0]), &view, Some(other), 100)
                    .await
                    .unwrap();
                assert_eq!(ids(&[first]), whole, "{view:?} after {other:?}");
            }
        }
        assert!(seen > 1000, "{seen}");
    })
    .await;
}

fn an_id() -> mustwright::recipes::public_id::PublicId {
    "abcdefghij234567abcd".parse().unwrap()
}

/// All recipes that somebody sees, in an order.
async fn in_order(conn: &mut PgConnection, viewer: MemberId, sort: Sort) -> Vec<RecipeLine> {
    let view = View {
        sort,
        ..View::default()
    };
    let found = browse::find(conn, Some(viewer), &view, None, 100).await;
    found.unwrap().page.lines
}

#[tokio::test]
async fn orders_are_what_they_are_called() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let [anna, ..] = a_full_shelf(&mut conn).await;
        let newest = in_order(&mut conn, anna, Sort::Newest).await;
        assert!(newest.is_sorted_by(|one, next| one.updated_at >= next.updated_at));
        let named = in_order(&mut conn, anna, Sort::Name).await;
        assert!(named.is_sorted_by(|one, next| one.title <= next.title));
        let best = in_order(&mut conn, anna, Sort::Best).await;
        // Who was not rated stands for a middling three.
        let means = best.iter().map(|line| line.rating_mean.unwrap_or(3.0));
        let means: Vec<f64> = means.collect();
        assert!(means.is_sorted_by(|one, next| one >= next), "{means:?}");
        assert!(means.first() > means.last());
        assert_eq!((named.len(), best.len()), (newest.len(), newest.len()));
    })
    .await;
}

#[tokio::test]
async fn nothing_depends_on_what_the_viewer_may_not_see() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let [anna, bert, cleo] = a_full_shelf(&mut conn).await;
        let mut before = Vec::new();
        for view in views() {
            before.push(leafed(&mut conn, anna, &view).await);
        }
        // In the other world Bert and Cleo have much more that nobody else sees.
        for number in 0..80 {
            let title = format!("Elder hether eldr heathr honey {number}");
            let saved = a_recipe(&title).by(&mut conn, [bert, cleo][number % 2]).await.unwrap();
            if number % 9 == 0 {
                let owner = [bert, cleo][number % 2];
                store::share(&mut conn, owner, &saved.recipe, Visibility::Club).await.unwrap();
                store::bin(&mut conn, owner, &saved.recipe, at(5)).await.unwrap();
            }
            sqlx::query("update recipes set rating_count = 1, rating_mean = 5, made_count = 4 where public_id = $1")
                .bind(saved.recipe.as_str())
                .execute(&mut *conn)
                .await
                .unwrap();
        }
        for (view, before) in views().into_iter().zip(before) {
            assert_eq!(leafed(&mut conn, anna, &view).await, before, "{view:?}");
        }
        // A stranger sees nothing at all.
        let found = browse::find(&mut conn, None, &View::default(), None, 50).await.unwrap();
        assert_eq!(found, Found::default());
    })
    .await;
}

/// How often each of these tables was read from end to end by this connection, as PostgreSQL counts it.
async fn whole_readings(conn: &mut PgConnection) -> Vec<(String, i64)> {
    sqlx::query_as(
        "select relname::text, seq_scan from pg_stat_xact_user_tables
         where relname in ('recipe_facets', 'recipe_words', 'recipes', 'revisions', 'revision_numbers')
         order by relname",
    )
    .fetch_all(conn)
    .await
    .unwrap()
}

#[tokio::test]
async fn no_list_and_no_search_reads_a_table_from_end_to_end() {
    with_database(async |pool| {
        // With the settings under which the server asks.
        let pool = mustwright::database::pool(&pool.connect_options(), 1);
        let mut conn = pool.acquire().await.unwrap();
        let members = a_full_shelf(&mut conn).await;
        sqlx::query("set statement_timeout = 0")
            .execute(&mut *conn)
            .await
            .unwrap();
        many(&mut conn, 6_000).await;
        // The counts are of one transaction: what was before is not in them.
        let mut tx = conn.begin().await.unwrap();
        for view in views() {
            for _ in 0..2 {
                let found = browse::find(&mut tx, Some(members[0]), &view, None, 30)
                    .await
                    .unwrap();
                let next = found.page.next;
                browse::find(&mut tx, Some(members[0]), &view, next.as_ref(), 30)
                    .await
                    .unwrap();
            }
        }
        mustwright::recipes::news::store::list(&mut tx, members[0], None, 30)
            .await
            .unwrap();
        let read = whole_readings(&mut tx).await;
        assert_eq!(read.len(), 5, "{read:?}");
        assert!(read.iter().all(|(_, times)| *times == 0), "{read:?}");
        // The counter counts.
        let _: i64 = sqlx::query_scalar("select count(*) from recipe_facets where score >= 0")
            .fetch_one(&mut *tx)
            .await
            .unwrap();
        let read = whole_readings(&mut tx).await;
        assert!(read.iter().any(|(_, times)| *times == 1), "{read:?}");
    })
    .await;
}

/// So many more recipes, like those that are there.
async fn many(conn: &mut PgConnection, more: i32) {
    let mut tx = conn.begin().await.unwrap();
    for statement in [
        "insert into recipes (public_id, owner_id, title, visibility, created_at, updated_at, rating_count, rating_mean)
         select translate(lpad(i::text, 20, '0'), '0189', 'abcd'), (select min(id) from members) + i % 3,
             initcap((array['moor', 'heather', 'elder', 'brook', 'amber', 'dusk', 'linden'])[1 + i % 7]) || ' ' || i,
             case when i % 3 > 0 then 'club' else 'private' end, now() - i * interval '1 minute', now() - i * interval '1 minute',
             i % 2, case when i % 2 = 1 then 1 + i % 5 end
         from generate_series(1, $1) as i",
        "insert into revisions (recipe_id, number, title, document, author_id, created_at)
         select id, 1, title, '{}', owner_id, created_at from recipes
         where id > (select max(recipe_id) from revisions) and $1 > 0",
        "insert into revision_numbers (revision_id, abv_percent, honeys, sweetness, problems, engine_version)
         select v.id, 6 + v.id % 9, array[(array['Clover honey', 'Heather honey', 'Elder honey'])[1 + v.id % 3]],
             (array['dry', 'sweet', 'semi-sweet'])[1 + v.id % 3], 0, '0'
         from revisions v where v.id > (select max(revision_id) from revision_numbers) and $1 > 0",
        // Words of a club that has written much.
        "insert into recipe_words (word, near)
         select word, near_words(word) from generate_series(1, $1) as i
         cross join lateral (select translate(substr(md5(i::text), 1, 9), '0123456789', 'ghijklmnop') as word) as made
         on conflict do nothing",
    ] {
        sqlx::query(statement).bind(more).execute(&mut *tx).await.unwrap();
    }
    tx.commit().await.unwrap();
    sqlx::query("analyze").execute(&mut *conn).await.unwrap();
}

#[tokio::test]
async fn what_another_version_reckoned_is_reckoned_again_once() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let document = serde_json::json!({
            "version": 1, "title": "Plain", "volume_l": 19.0, "aim": {"abv_percent": 12.0}, "finish": {"dry": true},
            "ingredients": [{"name": "Clover honey", "key": "honey-clover", "kind": "honey", "when": "must",
                "amount": {"share": 1.0}, "price_per_kg": 8.0,
                "composition": {"water": 0.17, "fermentable": 0.79, "unfermentable": 0.04, "insoluble": 0.0}}],
            "yeasts": [{"name": "Ale yeast", "tolerance_abv_percent": 14.0, "nitrogen_need": "low", "when": "pitch"}],
            "nutrients": [], "feeding": "usual", "process": [], "notes": "",
        });
        let mut saved = Vec::new();
        for _ in 0..120 {
            let mut tx = conn.begin().await.unwrap();
            let save = mustwright::recipes::saving::SaveRevision {
                author: anna,
                target: mustwright::recipes::saving::Target::New {
                    visibility: Visibility::Private,
                    started_from: None,
                },
                title: "Plain",
                document: &document,
                numbers: &Numbers { engine_version: "1".to_owned(), ..Numbers::default() },
                note: "",
                draft: None,
            };
            saved.push(store::save_revision(&mut tx, &save, at(0)).await.unwrap().recipe);
            tx.commit().await.unwrap();
        }
        // A document that nobody can read keeps what it has.
        a_recipe("Old").by(&mut conn, anna).await.unwrap();
        // Of two servers that start at once, each takes what the other leaves.
        let (one, other) = tokio::join!(renewal::renew(&pool), renewal::renew(&pool));
        assert_eq!(one.unwrap() + other.unwrap() + renewal::renew(&pool).await.unwrap(), 121);
        assert_eq!(renewal::renew(&pool).await.unwrap(), 0);
        let view = narrowed(Filter {
            honey: text("honey-clover"),
            abv_low: Some(11.9),
            abv_high: Some(12.1),
            cost: Some(20.0),
            ready: Some(6),
            little_gear: true,
            ..Filter::default()
        });
        let found = browse::find(&mut conn, Some(anna), &view, None, 100).await.unwrap();
        assert_eq!((found.page.lines.len(), found.page.next.is_some()), (100, true));
        let kept = narrowed(Filter { sweetness: text("semi_sweet"), ..Filter::default() });
        assert_eq!(titles(&mut conn, anna, &kept).await, ["Old"]);
    })
    .await;
}
