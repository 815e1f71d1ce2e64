//! The first page: doors while there is nothing, the ways on once there is something.

use crate::recipes::{all_words, saved};
use crate::support::{Browser, Club, Page, a_member};

/// Names of the news, newest first.
fn news(page: &Page) -> Vec<String> {
    all_words(page, ".news h3")
}

/// The first page as somebody sees it who comes back after a day.
async fn back_after_a_day(club: &Club, browser: &Browser, name: &str) -> Page {
    let mut owner = club.database.owner().await;
    sqlx::query(
        "update sessions set seen_at = seen_at - interval '1 day', created_at = created_at - interval '1 day'
         where member_id = (select id from members where name = $1)",
    )
    .bind(name)
    .execute(&mut owner)
    .await
    .unwrap();
    browser.get("/").await
}

#[tokio::test]
async fn what_others_share_is_news_and_what_is_newer_than_the_last_visit_is_told_apart() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let blythe = a_member().named("Blythe").of(&club).await;
    let (ada, blythe) = (club.browser_of(&ada).await, club.browser_of(&blythe).await);
    saved(&ada, &[("Name", "Ada's own"), ("Who may see it", "club")]).await;
    let sheet = saved(&blythe, &[("Name", "Open one"), ("Who may see it", "club")]).await;
    let hidden = saved(&blythe, &[("Name", "Hidden one")]).await;
    let home = ada.get("/").await;
    assert_eq!(news(&home), ["Open one", "Blythe"]);
    assert_eq!(home.link("Open one").as_deref(), Some(sheet.as_str()));
    assert!(home.text.contains("shared by Blythe") && home.text.contains("joined the club"));
    assert!(
        !home.text.contains("New since you were last here"),
        "a first visit"
    );

    // Everything so far was there two days before.
    let mut owner = club.database.owner().await;
    for statement in [
        "update recipe_facets set listed_since = listed_since - interval '2 days', updated_at = updated_at - interval '2 days'",
        "update members set created_at = created_at - interval '2 days'",
    ] {
        sqlx::query(statement).execute(&mut owner).await.unwrap();
    }
    let home = back_after_a_day(&club, &ada, "Ada").await;
    assert!(
        !home.text.contains("New since you were last here"),
        "{}",
        home.text
    );
    let page = blythe.get(&hidden).await;
    blythe
        .submit(&page, "Change", &[("Who may see it", "club")])
        .await;
    let home = ada.get("/").await;
    assert_eq!(news(&home), ["Hidden one", "Open one", "Blythe"]);
    let heads = all_words(&home, "h2");
    assert!(
        heads.contains(&"New since you were last here".to_owned()),
        "{heads:?}"
    );
    assert!(heads.contains(&"Before that".to_owned()), "{heads:?}");
    // It stays new for this visit, and not longer.
    assert!(
        ada.get("/")
            .await
            .text
            .contains("New since you were last here")
    );
    let earlier = "update recipe_facets set listed_since = listed_since - interval '2 days', updated_at = updated_at - interval '2 days'";
    sqlx::query(earlier).execute(&mut owner).await.unwrap();
    let home = back_after_a_day(&club, &ada, "Ada").await;
    assert!(!home.text.contains("New since you were last here"));

    // A revision is news again, with its note.
    let form = blythe.get(&format!("{sheet}/edit")).await;
    blythe
        .submit(
            &form,
            "Save as revision 2",
            &[("What is new in this revision", "Less honey.")],
        )
        .await;
    let home = ada.get("/").await;
    assert_eq!(news(&home).first().map(String::as_str), Some("Open one"));
    assert!(
        home.text.contains("revised by Blythe: revision 2"),
        "{}",
        home.text
    );
    assert!(home.text.contains("Less honey."), "{}", home.text);
}

#[tokio::test]
async fn older_news_have_pages_of_their_own() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let blythe = a_member().named("Blythe").of(&club).await;
    let (ada, blythe) = (club.browser_of(&ada).await, club.browser_of(&blythe).await);
    for number in 0..17 {
        let name = format!("Number {number:02}");
        saved(&blythe, &[("Name", &name), ("Who may see it", "club")]).await;
    }
    let home = ada.get("/").await;
    let mut seen = news(&home);
    assert_eq!(seen.len(), 15);
    let older = ada.get(&home.link("Older news").expect("older")).await;
    assert_eq!(older.heading(), "Older news");
    assert!(older.link("Older news").is_none());
    seen.extend(news(&older));
    let mut wanted: Vec<String> = (0..17)
        .rev()
        .map(|number| format!("Number {number:02}"))
        .collect();
    wanted.push("Blythe".to_owned());
    assert_eq!(seen, wanted);
    for forged in [
        "x",
        "1.",
        "9999999999999999999.aaaaaaaaaaaaaaaaaaaa",
        "1.%27%27%27%27%27%27%27%27%27%27%27%27%27%27%27%27%27%27%27%27",
    ] {
        let page = ada.get(&format!("/?before={forged}")).await;
        assert_eq!(page.heading(), "Welcome, Ada", "{forged}");
    }
}

#[tokio::test]
async fn the_doors_lead_somewhere_while_there_is_nothing() {
    let club = Club::open().await;
    let ada = a_member().new_to_it().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let home = browser.get("/").await;
    for (door, heading) in [
        ("Make my first mead", "New recipe"),
        ("a starter recipe of the book", "Starter recipes"),
        ("I already have one going", "It is going already"),
        ("Just look", "Recipes"),
        ("Plan a mead for a day", "A mead for a day"),
    ] {
        let to = home
            .link(door)
            .unwrap_or_else(|| panic!("no door {door}: {}", home.text));
        let base = club.app.site.base().as_str().to_owned();
        let page = browser
            .get(to.strip_prefix(&base).expect("a path below the base"))
            .await;
        assert_eq!(
            (page.status, page.heading().as_str()),
            (200, heading),
            "{door}"
        );
    }
    let doors = all_words(&home, ".doors h2");
    assert_eq!(
        doors,
        [
            "Make my first mead",
            "I already have one going",
            "Just look"
        ]
    );
    let going = browser.get("/batches/going").await;
    assert!(going.has_button("Take it in"));
    assert!(going.text.contains("Two readings, fourteen days apart"));

    // Something typed is something: it is offered again.
    let form = browser.get("/recipes/new").await;
    browser
        .submit(&form, "Recalculate", &[("Name", "Begun")])
        .await;
    let home = browser.get("/").await;
    assert!(home.link("Make my first mead").is_none());
    let draft = home.link("Begun").expect("the draft");
    assert!(draft.contains("/drafts/"), "{draft}");
    browser
        .submit(&form, "Save as revision 1", &[("Name", "Done")])
        .await;
    let home = browser.get("/").await;
    assert!(home.link("Start a new recipe").is_some());
    assert!(home.link("Begun").is_none());
}
