//! The club's page: who belongs to it, its words, and the ways to what members share.

use crate::recipes::all_words;
use crate::support::{Club, a_keeper, a_member};

#[tokio::test]
async fn members_find_each_other_and_what_they_share() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    a_keeper().of(&club).await;
    let home = ada.get("/").await;
    assert_eq!(home.link("Club").as_deref(), Some("/club"));
    assert_eq!(home.link("Cupboard").as_deref(), Some("/cupboard"));
    let page = ada.get("/club").await;
    assert_eq!(page.heading(), "Tarn Valley Mead Circle");
    assert_eq!(all_words(&page, ".names li"), ["Ada", "Wren keeper"]);
    for (words, heading) in [
        ("Meetings", "Meetings"),
        ("Honey shelf", "Honey shelf"),
        ("Honey orders", "Honey orders"),
    ] {
        let to = page
            .link(words)
            .unwrap_or_else(|| panic!("no way to {words}"));
        assert_eq!(ada.get(&to).await.heading(), heading);
    }
    let stranger = club.browser();
    let shut = stranger.get("/club").await;
    assert!(
        shut.location().is_some_and(|to| to.starts_with("/sign-in")),
        "{}",
        shut.status
    );
    assert!(stranger.get("/").await.link("Club").is_none());
}

#[tokio::test]
async fn what_the_club_says_of_itself_stands_at_its_head() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let words = "Say what the club is, and when it meets";
    assert!(ada.get("/club").await.link(words).is_none());
    let to = wren.get("/club").await.link(words).expect("a way");
    let form = wren.get(&to).await;
    assert_eq!(form.status, 200);
    let (_, fields) = form.filled("Save", &[]);
    let about = fields.iter().map(|(name, _)| name.as_str());
    let about = about
        .clone()
        .find(|name| *name == "about")
        .expect("its text");
    let mut posted: Vec<(&str, &str)> = fields
        .iter()
        .filter(|(name, _)| name != "about")
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .collect();
    posted.push((about, "We meet on Thursdays.\n\n<i>Bring a glass.</i>"));
    assert_eq!(wren.post(&to, &posted).await.status, 303);
    let page = ada.get("/club").await;
    assert!(
        page.text.contains(">We meet on Thursdays.</p>"),
        "{}",
        page.text
    );
    assert!(!page.text.contains("<i>"), "escaped");
}
