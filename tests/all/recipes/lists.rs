//! Lists of recipes, and who is let in.

use mustwright::recipes::paths;
use mustwright::web::paths::Method;
use mustwright::web::units::Units;

use super::{NEW, SAVE, STRENGTH, a_club, all_words, another, as_pairs, saved};
use crate::support::{Club, Page};

fn titles(page: &Page) -> Vec<String> {
    all_words(page, ".entries h2")
}

#[tokio::test]
async fn shelves_and_search_show_what_they_say() {
    let (club, _, ada) = a_club().await;
    let list = ada.get("/recipes").await;
    assert!(list.text.contains("No recipes here yet."));
    for typed in [
        [
            ("Name", "Quiet one"),
            ("Who may see it", "private"),
            ("Honey, Honey 1", "honey-clover"),
        ],
        [
            ("Name", "Open one"),
            ("Who may see it", "club"),
            ("Honey, Honey 1", "honey-heather"),
        ],
    ] {
        saved(&ada, &typed).await;
    }
    let blythe = another(&club, "Blythe", Units::Metric).await;
    saved(
        &blythe,
        &[("Name", "Of Blythe"), ("Who may see it", "club")],
    )
    .await;
    saved(&blythe, &[("Name", "Hidden by Blythe")]).await;
    for (path, wanted) in [
        ("/recipes", vec!["Of Blythe", "Open one", "Quiet one"]),
        (
            "/recipes?shelf=everything",
            vec!["Of Blythe", "Open one", "Quiet one"],
        ),
        ("/recipes?shelf=mine", vec!["Open one", "Quiet one"]),
        ("/recipes?shelf=club", vec!["Of Blythe", "Open one"]),
        ("/recipes?shelf=bin", vec![]),
        ("/recipes?q=heath", vec!["Open one"]),
        ("/recipes?q=one", vec!["Open one", "Quiet one"]),
        ("/recipes?q=one&shelf=club", vec!["Open one"]),
        ("/recipes?q=blythe", vec!["Of Blythe"]),
        ("/recipes?q=zzz", vec![]),
        (
            "/recipes?shelf=nonsense&after=nonsense",
            vec!["Of Blythe", "Open one", "Quiet one"],
        ),
    ] {
        let page = ada.get(path).await;
        assert_eq!(page.status, 200, "{path}");
        assert_eq!(titles(&page), wanted, "{path}");
    }
    let page = ada.get("/recipes?q=open").await;
    assert_eq!(page.value("Find by name, maker, honey or style"), "open");
    let line = all_words(&page, ".entries li").join(" ");
    for part in ["Dry mead of Heather", "by you", "revision 1", "12 %", "1.0"] {
        assert!(line.contains(part), "{part}: {line}");
    }
    assert!(
        ada.get("/recipes?q=zzz")
            .await
            .text
            .contains("Nothing found for “zzz”")
    );
}

#[tokio::test]
async fn a_list_is_narrowed_down_and_says_by_what() {
    let (_club, _, ada) = a_club().await;
    for typed in [
        [
            ("Name", "Clover one"),
            (STRENGTH, "12"),
            ("Honey, Honey 1", "honey-clover"),
        ],
        [
            ("Name", "Heather one"),
            (STRENGTH, "6.5"),
            ("Honey, Honey 1", "honey-heather"),
        ],
    ] {
        saved(&ada, &typed).await;
    }
    for (query, wanted) in [
        ("family=traditional", vec!["Heather one", "Clover one"]),
        ("strength=hydromel", vec!["Heather one"]),
        ("honey=honey-clover", vec!["Clover one"]),
        ("abv_from=11&abv_to=12%2C5+%25", vec!["Clover one"]),
        ("abv_to=7", vec!["Heather one"]),
        ("ready=2", vec!["Heather one"]),
        ("gear=little", vec!["Heather one", "Clover one"]),
        ("sort=name", vec!["Clover one", "Heather one"]),
        ("q=one&honey=honey-heather", vec!["Heather one"]),
        ("honey=honey-heather&strength=standard", vec![]),
        ("rated=40", vec![]),
        ("made=1", vec![]),
        ("cost=5", vec![]),
        // What is not offered is not asked for.
        (
            "family=nonsense&rated=17&ready=x&gear=y&sort=z",
            vec!["Heather one", "Clover one"],
        ),
    ] {
        let page = ada.get(&format!("/recipes?{query}")).await;
        assert_eq!(page.status, 200, "{query}");
        assert_eq!(titles(&page), wanted, "{query}");
    }
    let both = ada
        .get("/recipes?honey=honey-heather&abv_to=7&sort=name")
        .await;
    assert_eq!(
        both.words_of(".chosen").expect("what is chosen"),
        "Only what is: with heather honey (take away with heather honey), 7 % or weaker (take away 7 % or weaker). Take everything away"
    );
    assert_eq!(both.value("Honey"), "honey-heather");
    // Each is taken away by itself, and the order stays.
    let more = both.link("take away with heather honey").expect("a way");
    assert!(
        !more.contains("honey") && more.contains("abv_to=7") && more.contains("sort=name"),
        "{more}"
    );
    assert_eq!(titles(&ada.get(&more).await), ["Heather one"]);
    let none = ada
        .get("/recipes?honey=honey-heather&strength=standard")
        .await;
    assert!(none.text.contains("No recipe is all of that."));

    // Faults stand beside their fields, and what was typed stays.
    let page = ada
        .get("/recipes?abv_from=much&abv_to=7&cost=1,500&honey=honey-heather")
        .await;
    assert_eq!(page.status, 422);
    assert_eq!(page.value("Alcohol from, percent by volume"), "much");
    assert_eq!(page.value("A bottle costs at most"), "1,500");
    assert_eq!(page.value("Honey"), "honey-heather");
    assert_eq!(all_words(&page, ".problem li").len(), 2);
    let page = ada.get("/recipes?abv_from=9&abv_to=7").await;
    assert!(
        page.text.contains("below what it is to start from"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn a_mistyped_word_is_found_and_told() {
    let (_club, _, ada) = a_club().await;
    saved(&ada, &[("Name", "Hedgerow")]).await;
    let page = ada.get("/recipes?q=hedgrow").await;
    assert_eq!(titles(&page), ["Hedgerow"]);
    assert!(
        page.text.contains("“hedgrow” was read as “hedgerow”, too."),
        "{}",
        page.text
    );
    let page = ada.get("/recipes?q=hedgerow").await;
    assert!(!page.text.contains("was read as"));
}

#[tokio::test]
async fn any_text_may_be_looked_for() {
    let (_club, _, ada) = a_club().await;
    saved(&ada, &[("Name", "O'Neill & daughters: 12 %")]).await;
    for text in [
        "'",
        "\\",
        "a=b",
        "'a=o':*",
        "f=melomel",
        "!",
        "o & !o",
        "(((",
        ":*",
        "\u{202e}",
        "<b>",
        "\u{1F36F}",
        "''''",
        "o'neill \\",
        "k='x' | 'y",
        "abcdefghij234567abcd \u{1}",
        "1.1.1.abcdefghij234567abcd",
    ] {
        let encoded: String = text.bytes().map(|byte| format!("%{byte:02X}")).collect();
        for field in [
            "q", "family", "honey", "abv_from", "cost", "after", "sort", "shelf",
        ] {
            let page = ada.get(&format!("/recipes?{field}={encoded}")).await;
            assert!(page.status < 500, "{field}={text}: {}", page.status);
            assert!(!page.text.contains("<b>\""), "{field}={text}");
        }
    }
    let page = ada.get("/recipes?q=o%27neill").await;
    assert_eq!(titles(&page).len(), 1);
}

#[tokio::test]
async fn long_lists_come_in_pages() {
    let (_club, _, ada) = a_club().await;
    for number in 0..32 {
        saved(&ada, &[("Name", &format!("Batch {number:02}"))]).await;
    }
    for query in ["", "q=batch", "shelf=mine"] {
        let first = ada.get(&format!("/recipes?{query}")).await;
        let mut found = titles(&first);
        assert_eq!(found.len(), 30, "{query}");
        let more = match query {
            "q=batch" => "More of them",
            _ => "Older ones",
        };
        let next = first.link(more).expect("more");
        let second = ada.get(&next).await;
        found.extend(titles(&second));
        assert!(second.link(more).is_none());
        let wanted: Vec<String> = (0..32).rev().map(|n| format!("Batch {n:02}")).collect();
        assert_eq!(found, wanted, "{query}");
    }
}

/// Every route of recipes with this recipe in it.
fn all_paths(sheet: &str, draft: &str) -> Vec<(Method, String)> {
    let id = sheet.rsplit('/').next().expect("an id");
    let fill = |path: &str| {
        path.replace("{id}", id)
            .replace("{number}", "1")
            .replace("{draft}", draft)
    };
    paths::ROUTES
        .iter()
        .map(|route| (route.method, fill(route.path)))
        .collect()
}

async fn draft_of(club: &Club) -> String {
    sqlx::query_scalar("select public_id from recipe_drafts where closed_at is null limit 1")
        .fetch_one(club.pool())
        .await
        .expect("a draft")
}

#[tokio::test]
async fn strangers_are_asked_to_sign_in_and_others_find_nothing() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Nobody else's")]).await;
    let form = ada.get(NEW).await;
    ada.submit(&form, "Recalculate", &[("Name", "A draft of Ada's")])
        .await;
    let draft = draft_of(&club).await;
    let stranger = club.browser();
    let blythe = another(&club, "Blythe", Units::Metric).await;
    // A form that Blythe could send: her own, with her own key.
    let (_, fields) = blythe.get(NEW).await.filled(SAVE, &[("Name", "A guess")]);
    let mut guess = as_pairs(&fields);
    guess.push(("visibility", "club"));
    let at = guess
        .iter()
        .position(|(name, _)| *name == "visibility")
        .unwrap();
    guess.remove(at);
    guess.retain(|(name, _)| *name != "base_version");
    guess.push(("base_version", "1"));
    let mut walked = 0;
    for (method, path) in all_paths(&sheet, &draft) {
        let (page, others) = match method {
            Method::Get => (stranger.get(&path).await, blythe.get(&path).await),
            Method::Post => (
                stranger.post(&path, &guess).await,
                blythe.post(&path, &guess).await,
            ),
            Method::Put | Method::Delete => panic!("{path} is no page"),
        };
        match page.location() {
            Some(to) => assert!(to.starts_with("/sign-in?next="), "{path}: {to}"),
            // How numbers are reckoned is for everybody: nothing of a recipe is in it.
            None if path == "/methods" => assert_eq!(page.status, 200),
            // The book's recipes are nobody's.
            None if path == "/starters" || path == "/for-a-day" => assert_eq!(page.status, 200),
            // A link that nobody handed out looks like no page at all.
            None if path.starts_with("/shared/") => assert_eq!(page.status, 404, "{path}"),
            None if path.starts_with("/starters/") => assert_eq!(page.status, 404, "{path}"),
            None => assert_eq!(page.status, 401, "{path}"),
        }
        assert!(!page.text.contains("Nobody else's"), "{path}");
        assert!(!others.text.contains("Nobody else's"), "{path}");
        assert!(!others.text.contains("A draft of Ada's"), "{path}");
        if path.ends_with("/discard") {
            // Throwing away what is not there leads to the list all the same.
            assert_eq!(others.status, 303, "{path}");
        } else if path.starts_with(&sheet) || path.contains(&draft) {
            assert_eq!(others.status, 404, "{path}: {}", others.text);
            walked += 1;
        }
    }
    assert!(walked >= 9, "{walked} paths of the recipe were walked");
    assert_eq!(ada.get(&format!("/drafts/{draft}")).await.status, 200);
    assert_eq!(ada.get(&sheet).await.heading(), "Nobody else's");
}
