//! The first page: doors while there is nothing, the ways on once there is something.

use crate::recipes::all_words;
use crate::support::{Club, a_member};

#[tokio::test]
async fn the_doors_lead_somewhere_while_there_is_nothing() {
    let club = Club::open().await;
    let ada = a_member().new_to_it().of(&club).await;
    let browser = club.browser_of(&ada).await;
    let home = browser.get("/").await;
    for (door, heading) in [
        ("Make my first mead", "New recipe"),
        ("a starter recipe of the book", "Starter recipes"),
        ("I already have one going", "You have one going"),
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
    let going = browser.get("/already-going").await;
    assert!(
        going.text.contains("is not possible here yet"),
        "it says so"
    );
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
