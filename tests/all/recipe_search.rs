//! Finding recipes by what a member types.

use mustwright::recipes::browse::{self, Found, View};
use mustwright::recipes::model::{Cursor, Numbers, Visibility};
use mustwright::web::viewer::MemberId;
use sqlx::PgConnection;

use crate::recipe_database::{a_member, a_recipe, at, edit, some_numbers, with_database};

async fn search(
    conn: &mut PgConnection,
    viewer: MemberId,
    typed: &str,
    after: Option<&Cursor>,
    limit: usize,
) -> Found {
    let view = View {
        words: typed.to_owned(),
        ..View::default()
    };
    browse::find(conn, Some(viewer), &view, after, limit)
        .await
        .expect(typed)
}

/// The titles found, in alphabetical order.
async fn find(conn: &mut PgConnection, viewer: MemberId, typed: &str) -> Vec<String> {
    let mut titles = ranked(conn, viewer, typed).await;
    titles.sort();
    titles
}

/// The titles found, the closest first.
async fn ranked(conn: &mut PgConnection, viewer: MemberId, typed: &str) -> Vec<String> {
    let found = search(conn, viewer, typed, None, 50).await;
    found
        .page
        .lines
        .into_iter()
        .map(|line| line.title)
        .collect()
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
            ("ather", "none"),
            ("eath", "none"),
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
        assert_eq!(find(&mut conn, anna, "anna").await, [""; 0]);
        assert_eq!(find(&mut conn, anna, "berta").await, ["Elder"]);
    })
    .await;
}

#[tokio::test]
async fn the_title_comes_before_what_is_in_it_and_its_maker_then_notes() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let heather = a_member(&mut conn, "Heather", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        a_recipe("By her")
            .shown_to(Visibility::Club)
            .with(with_honey("Clover honey"))
            .by(&mut conn, heather)
            .await
            .unwrap();
        let mut noted = a_recipe("Noted").shown_to(Visibility::Club);
        noted.numbers = with_honey("Clover honey");
        noted.notes = "Taste it beside the heather one.";
        noted.by(&mut conn, bert).await.unwrap();
        // In it or by her is all one, and the newer comes first.
        let mut of_it = a_recipe("Of it").shown_to(Visibility::Club);
        of_it.numbers = with_honey("Heather honey");
        of_it.at = at(1);
        of_it.by(&mut conn, bert).await.unwrap();
        for (title, mean) in [("Heather, poor", 1.5), ("Heather, good", 4.5)] {
            let saved = a_recipe(title)
                .shown_to(Visibility::Club)
                .with(with_honey("Clover honey"))
                .by(&mut conn, bert)
                .await
                .unwrap();
            sqlx::query(
                "update recipes set rating_count = 9, rating_mean = $1 where public_id = $2",
            )
            .bind(mean)
            .bind(saved.recipe.as_str())
            .execute(&mut *conn)
            .await
            .unwrap();
        }
        let wanted = ["Heather, good", "Heather, poor", "Of it", "By her", "Noted"];
        assert_eq!(ranked(&mut conn, bert, "heather").await, wanted);
        // Heather's own recipe is hers and the club's, and is found once.
        assert_eq!(ranked(&mut conn, heather, "heath").await, wanted);
    })
    .await;
}

#[tokio::test]
async fn a_mistyped_word_is_read_as_one_that_the_viewer_sees() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let bert = a_member(&mut conn, "Bert", "member").await;
        a_recipe("Raspberry")
            .shown_to(Visibility::Club)
            .by(&mut conn, anna)
            .await
            .unwrap();
        a_recipe("Hathern").by(&mut conn, anna).await.unwrap();
        for typed in [
            "rasberry",
            "rasbery",
            "raspbery",
            "rapsberry",
            "rasppberry",
            "raspperry",
        ] {
            let found = search(&mut conn, bert, typed, None, 30).await;
            let titles: Vec<_> = found
                .page
                .lines
                .iter()
                .map(|line| line.title.as_str())
                .collect();
            assert_eq!(titles, ["Raspberry"], "{typed}");
            let read = (typed.to_owned(), vec!["raspberry".to_owned()]);
            assert_eq!(found.read_as, [read], "{typed}");
        }
        for typed in ["raspberry", "rasp", "zzzzzz", "rsb"] {
            let found = search(&mut conn, bert, typed, None, 30).await;
            assert_eq!(found.read_as, [], "{typed}");
        }
        // Heather honey is in both; the name of Anna's own is a word only to her.
        let read = |found: Found| {
            found
                .read_as
                .into_iter()
                .flat_map(|(_, words)| words)
                .collect::<Vec<_>>()
        };
        assert_eq!(
            read(search(&mut conn, bert, "hathers", None, 30).await),
            ["heather"]
        );
        let hers = read(search(&mut conn, anna, "hathers", None, 30).await);
        assert_eq!(hers, ["hathern", "heather"]);

        // Words that nobody uses any more are forgotten.
        sqlx::query("delete from recipe_facets where name_key = 'hathern'")
            .execute(&mut *conn)
            .await
            .unwrap();
        let count = "select count(*) from recipe_words where word in ('hathern', 'raspberry')";
        browse::store::forget_words(&mut conn).await.unwrap();
        let left: i64 = sqlx::query_scalar(count)
            .fetch_one(&mut *conn)
            .await
            .unwrap();
        assert_eq!(left, 1);
    })
    .await;
}

#[tokio::test]
async fn beginnings_of_very_many_words_are_found_too() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        let letters =
            || ('a'..='g').flat_map(|one| ('a'..='g').map(move |other| format!("{one}{other}")));
        let titles: Vec<String> = letters().map(|end| format!("Bram{end}")).collect();
        for title in &titles {
            a_recipe(title).by(&mut conn, anna).await.unwrap();
        }
        assert_eq!(find(&mut conn, anna, "bram").await, titles);
        assert_eq!(find(&mut conn, anna, "brama").await.len(), 7);
    })
    .await;
}

#[tokio::test]
async fn a_word_that_is_being_saved_is_not_forgotten() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        a_recipe("Hathern").by(&mut conn, anna).await.unwrap();
        sqlx::query("delete from recipe_facets where name_key = 'hathern'")
            .execute(&mut *conn)
            .await
            .unwrap();
        let mut saving = pool.begin().await.unwrap();
        sqlx::query("select refresh_recipe_facets(array(select id from recipes))")
            .execute(&mut *saving)
            .await
            .unwrap();
        let forgetting = tokio::spawn(async move { browse::store::forget_words(&mut conn).await });
        tokio::time::sleep(std::time::Duration::from_millis(300)).await;
        assert!(!forgetting.is_finished(), "it waits for whoever saves");
        saving.commit().await.unwrap();
        forgetting.await.unwrap().unwrap();
        let mut conn = pool.acquire().await.unwrap();
        assert_eq!(find(&mut conn, anna, "hath").await, ["Hathern"]);
    })
    .await;
}

#[tokio::test]
async fn found_recipes_come_in_pages_the_closest_first() {
    with_database(async |pool| {
        let mut conn = pool.acquire().await.unwrap();
        let anna = a_member(&mut conn, "Anna", "member").await;
        for number in 0..5 {
            let title = format!("Elder {number}");
            let mut recipe = a_recipe(&title);
            recipe.at = at(number);
            recipe.by(&mut conn, anna).await.unwrap();
            let mut recipe = a_recipe("Only of it").shown_to(Visibility::Club);
            recipe.at = at(number);
            recipe.numbers = with_honey("Elder honey");
            recipe.by(&mut conn, anna).await.unwrap();
        }
        let (mut after, mut seen) = (None, Vec::new());
        loop {
            let page = search(&mut conn, anna, "eld", after.as_ref(), 2).await.page;
            seen.extend(page.lines.into_iter().map(|line| line.title));
            after = page.next.map(|next| next.to_string().parse().unwrap());
            if after.is_none() {
                break;
            }
        }
        let titles = (0..5).rev().map(|number| format!("Elder {number}"));
        let wanted: Vec<String> = titles
            .chain(std::iter::repeat_n("Only of it".to_owned(), 5))
            .collect();
        assert_eq!(seen, wanted);
    })
    .await;
}
