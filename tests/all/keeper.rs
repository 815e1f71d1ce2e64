//! The keeper's pages of contents, of the club's name and text, and of how the server is.

use chrono::{TimeDelta, Utc};

use crate::support::{Browser, Club, TestDatabase, a_keeper, a_member};

const NAME: &str = "Name";
const ABOUT: &str = "What the club says of itself";

async fn keeper_of(club: &Club) -> Browser {
    club.browser_of(&a_keeper().of(club).await).await
}

#[tokio::test]
async fn the_first_page_leads_to_everything_a_keeper_keeps() {
    let club = Club::open().await;
    let keeper = keeper_of(&club).await;
    let page = keeper.get("/keeper").await;
    assert_eq!(page.status, 200);
    for (link, to) in [
        ("Members", "/keeper/members"),
        ("Invites", "/keeper/invites"),
        ("Catalogue", "/catalogue"),
        ("The club’s name and text", "/keeper/club"),
        ("Health", "/keeper/health"),
    ] {
        assert_eq!(page.link(link).as_deref(), Some(to));
        assert_eq!(keeper.get(to).await.status, 200, "{to}");
    }
    assert!(page.text.contains("one member, one keeper among them"));
    assert!(page.text.contains("No recent backup."));
    let member = club.browser_of(&a_member().of(&club).await).await;
    let (unknown, forbidden) = (
        member.get("/keeper/nothing").await,
        member.get("/keeper").await,
    );
    assert_eq!((unknown.status, forbidden.status), (404, 404));
    assert_eq!(unknown.heading(), forbidden.heading());
}

#[tokio::test]
async fn the_name_is_that_of_the_settings_until_the_club_gives_itself_one() {
    let club = Club::open().await;
    let keeper = keeper_of(&club).await;
    let page = keeper.get("/keeper/club").await;
    assert_eq!(page.value(NAME), "Tarn Valley Mead Circle");
    let about = "We meet on Fridays.\r\nBring a cup.\r\n\r\nAsk Wren.";
    let typed = [(NAME, "  Tarn   Valley Makers "), (ABOUT, about)];
    let done = keeper.submit(&page, "Save", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    for browser in [&keeper, &club.browser()] {
        let home = browser.get("/").await;
        assert_eq!(
            home.words_of(".club").as_deref(),
            Some("Tarn Valley Makers")
        );
        assert!(
            home.text
                .contains("<p class=\"lines\">We meet on Fridays.\nBring a cup.</p>")
        );
        assert!(home.text.contains("<p class=\"lines\">Ask Wren.</p>"));
    }
}

#[tokio::test]
async fn another_server_on_the_same_rows_says_it_with_the_next_page() {
    let (database, _cluster) = TestDatabase::alone().await;
    let other = database.pool(2);
    let club = Club::opened(&[], Default::default(), database).await;
    assert_eq!(
        club.browser().get("/").await.words_of(".club").as_deref(),
        Some("Tarn Valley Mead Circle")
    );
    for name in ["One", "Two"] {
        sqlx::query(
            "insert into club (name, changed_at) values ($1, now())
             on conflict (only_one) do update set name = $1, version = club.version + 1",
        )
        .bind(name)
        .execute(&other)
        .await
        .unwrap();
        let seen = club.browser().get("/").await.words_of(".club");
        assert_eq!(seen.as_deref(), Some(name));
    }
}

#[tokio::test]
async fn of_two_keepers_at_once_the_second_sees_both_texts() {
    let club = Club::open().await;
    let one = keeper_of(&club).await;
    let two = club
        .browser_of(&a_keeper().named("Odo").of(&club).await)
        .await;
    let pages = [one.get("/keeper/club").await, two.get("/keeper/club").await];
    let first = one
        .submit(
            &pages[0],
            "Save",
            &[(NAME, "First"), (ABOUT, "Of the first.")],
        )
        .await;
    assert_eq!(first.status, 303);
    let again = one
        .submit(
            &pages[0],
            "Save",
            &[(NAME, "First"), (ABOUT, "Of the first.")],
        )
        .await;
    assert_eq!(again.status, 303, "the same form twice is one");
    let lost = two
        .submit(
            &pages[1],
            "Save",
            &[(NAME, "Second"), (ABOUT, "Of the second.")],
        )
        .await;
    assert_eq!(lost.status, 409);
    assert!(lost.text.contains("Of the first."), "{}", lost.text);
    assert_eq!(lost.value(NAME), "Second");
    assert_eq!(
        club.app.site.club_name().as_ref(),
        "First",
        "nothing is lost"
    );
    let done = two.submit(&lost, "Save", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(club.app.site.club_name().as_ref(), "Second");
}

#[tokio::test]
async fn what_cannot_be_a_name_is_said_beside_the_field() {
    let club = Club::open().await;
    let keeper = keeper_of(&club).await;
    let page = keeper.get("/keeper/club").await;
    let (long, longer) = ("x".repeat(81), "y".repeat(4_001));
    for (name, about, label) in [
        (" ", "", NAME),
        (long.as_str(), "", NAME),
        ("Fine", longer.as_str(), ABOUT),
    ] {
        let typed = [(NAME, name), (ABOUT, about)];
        let refused = keeper.submit(&page, "Save", &typed).await;
        assert_eq!(refused.status, 422);
        assert_ne!(refused.fault(label), "", "{name}");
        assert_eq!(refused.value(NAME), name);
    }
    let hostile = "<script>alert(1)</script>";
    let typed = [(NAME, hostile), (ABOUT, hostile)];
    assert_eq!(keeper.submit(&page, "Save", &typed).await.status, 303);
    assert!(!club.browser().get("/").await.text.contains(hostile));
}

#[tokio::test]
async fn health_tells_what_a_volunteer_wants_to_know() {
    let club = Club::open().await;
    let keeper = keeper_of(&club).await;
    let page = keeper.get("/keeper/health").await;
    let version = env!("CARGO_PKG_VERSION");
    assert!(page.heading() == "Health" && page.text.contains(version));
    let applied = mustwright::database::MIGRATIONS.iter().count();
    for words in [
        "recipes and all their revisions",
        "over plain http",
        &format!("{applied} steps applied"),
        "may not change tables",
        "None was ever made.",
        "mustwright backup",
    ] {
        assert!(page.text.contains(words), "{words}: {}", page.text);
    }
    assert!(!page.text.contains("One role for everything."));
    let mut conn = club.pool().acquire().await.unwrap();
    for (days, warned) in [(9, true), (1, false)] {
        let made_at = Utc::now() - TimeDelta::days(days);
        mustwright::admin::store::note_backup(&mut conn, made_at, 1_200_000)
            .await
            .unwrap();
        let page = keeper.get("/keeper/health").await;
        assert_eq!(
            page.text.contains("No backup for a week or more."),
            warned,
            "{days}"
        );
    }
    assert!(
        keeper
            .get("/keeper")
            .await
            .text
            .contains("a day old, 1.2 MB")
    );
}
