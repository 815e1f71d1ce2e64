//! Finding recipes by what a member types.

use mustwright::recipes::model::{Numbers, Shelf, Visibility};
use mustwright::recipes::search::{index_recipes_of, search_recipes};
use mustwright::web::viewer::MemberId;
use sqlx::PgConnection;

use crate::recipe_database::{a_member, a_recipe, at, edit, some_numbers, with_database};

/// The titles found, in alphabetical order.
async fn find(conn: &mut PgConnection, viewer: MemberId, typed: &str) -> Vec<String> {
    let page = search_recipes(conn, Some(viewer), Shelf::Everything, typed, None, 50)
        .await
        .expect(typed);
    let mut titles: Vec<_> = page.lines.into_iter().map(|line| line.title).collect();
    titles.sort();
    titles
}

fn with_honey(honey: &str) -> Numbers {
    Numbers {
        honeys: vec![honey.to_owned()],
        ..some_numbers()
    }
}

#[tokio::test]
async fn recipes_are_found_by_the_beginnings_of_their_words() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna Öberg", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        let mut moor = a_recipe("Moor walk 12.5 %").shown_to(Visibility::Club);
        moor.numbers = with_honey("Heather honey, O'Neill's");
        moor.by(&mut conn, anna).await.unwrap();
        let mut cafe = a_recipe("Café sour-cherry").shown_to(Visibility::Club);
        cafe.numbers = with_honey("Linden honey");
        cafe.numbers.style_family = Some("melomel".to_owned());
        cafe.by(&mut conn, bert).await.unwrap();

        for (typed, wanted) in [
            ("heather", "moor"),
            ("heath", "moor"),
            ("HEATHER walk", "moor"),
            ("walk heather", "moor"),
            ("o'neill", "moor"),
            ("12.5", "moor"),
            ("12,5 %", "moor"),
            ("öber", "moor"),
            ("oberg", "moor"),
            ("cafe", "cafe"),
            ("CAFÉ", "cafe"),
            ("cafe\u{301}", "cafe"),
            ("cherry", "cafe"),
            ("sour-cherry", "cafe"),
            ("melo", "cafe"),
            ("bert", "cafe"),
            ("honey", "both"),
            ("semi sweet", "both"),
            ("   ", "both"),
            ("", "both"),
            ("eather", "none"),
            ("heather linden", "none"),
        ] {
            let found = find(&mut conn, bert, typed).await;
            let expected: &[&str] = match wanted {
                "moor" => &["Moor walk 12.5 %"],
                "cafe" => &["Café sour-cherry"],
                "both" => &["Café sour-cherry", "Moor walk 12.5 %"],
                _ => &[],
            };
            assert_eq!(found, expected, "{typed:?}");
        }
    })
    .await;
}

#[tokio::test]
async fn marks_are_harmless() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        a_recipe("Heather & thyme")
            .by(&mut conn, anna)
            .await
            .unwrap();
        for typed in [
            "%", "_", "%%%%%", "'", "''", "\"", "\\", "\\'", ":*", "&", "|", "!", "()", "<->", "<",
            "*", "; --", "$", "🍯", "\u{ff06}", "\u{0}",
        ] {
            assert_eq!(find(&mut conn, anna, typed).await, [""; 0], "{typed:?}");
            let with_a_word = format!("heather {typed}");
            assert_eq!(
                find(&mut conn, anna, &with_a_word).await,
                ["Heather & thyme"],
                "{with_a_word:?}"
            );
        }
        for typed in [
            "heather' or true --",
            "!heather",
            "heather | zzz",
            "heather:z",
            "h_ather",
            "h%r",
        ] {
            let found = find(&mut conn, anna, typed).await;
            assert_eq!(found.len(), usize::from(typed == "!heather"), "{typed:?}");
        }
        find(&mut conn, anna, &"heather ".repeat(10_000)).await;
        find(&mut conn, anna, &"h".repeat(100_000)).await;
    })
    .await;
}

#[tokio::test]
async fn search_follows_the_newest_revision_and_the_makers_name() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let recipe = a_recipe("Bramble")
            .by(&mut conn, anna)
            .await
            .unwrap()
            .recipe;
        edit(&mut conn, anna, &recipe, 1, "Elder").await.unwrap();
        assert_eq!(find(&mut conn, anna, "bramble").await, [""; 0]);
        assert_eq!(find(&mut conn, anna, "elder").await, ["Elder"]);

        sqlx::query("update members set name = 'Berta'")
            .execute(&mut *conn)
            .await
            .unwrap();
        index_recipes_of(&mut conn, anna).await.unwrap();
        assert_eq!(find(&mut conn, anna, "anna").await, [""; 0]);
        assert_eq!(find(&mut conn, anna, "berta").await, ["Elder"]);
    })
    .await;
}

#[tokio::test]
async fn found_recipes_come_in_pages_newest_first() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        for number in 0..5 {
            let title = format!("Elder {number}");
            let mut recipe = a_recipe(&title);
            recipe.at = at(number);
            recipe.by(&mut conn, anna).await.unwrap();
        }
        let (mut after, mut seen) = (None, Vec::new());
        loop {
            let page = search_recipes(&mut conn, Some(anna), Shelf::Mine, "eld", after.as_ref(), 2)
                .await
                .unwrap();
            seen.extend(page.lines.into_iter().map(|line| line.title));
            after = page.next;
            if after.is_none() {
                break;
            }
        }
        assert_eq!(
            seen,
            ["Elder 4", "Elder 3", "Elder 2", "Elder 1", "Elder 0"]
        );
    })
    .await;
}

#[tokio::test]
async fn the_words_are_read_from_their_index() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        sqlx::query("set enable_seqscan = off")
            .execute(&mut *conn)
            .await
            .unwrap();
        let plan: Vec<String> = sqlx::query_scalar(
            "explain select recipe_id from recipe_search where words @@ search_query('elder')",
        )
        .fetch_all(&mut *conn)
        .await
        .unwrap();
        assert!(plan.join("\n").contains("recipe_search_words"), "{plan:?}");
    })
    .await;
}
