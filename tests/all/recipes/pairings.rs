//! What goes with what: open to everybody, both ways round, into the workbench; the club's part is its members'.

use mustwright::web::units::Units;

use super::{STRENGTH, a_club, all_words, another, saved};
use crate::support::Page;

fn names(page: &Page) -> Vec<String> {
    all_words(page, ".entries h3")
}

#[tokio::test]
async fn from_a_fruit_to_a_honey_and_back() {
    let (club, _, _) = a_club().await;
    let stranger = club.browser();
    let all = stranger.get("/pairings").await;
    assert_eq!(all.status, 200);
    let fruit = all.link("Raspberry").expect("a link");
    let page = stranger.get(&fruit).await;
    assert_eq!(page.heading(), "Honey for raspberry");
    assert!(names(&page).contains(&"Orange blossom honey".to_owned()));
    let groups = all_words(&page, "main h2");
    assert_eq!(groups[0], "Light honeys");
    assert!(page.text.contains("Why: "), "each says why");
    let honey = page.link("Orange blossom honey").expect("a link");
    let back = stranger.get(&honey).await;
    assert_eq!(back.heading(), "What goes with orange blossom honey");
    assert!(names(&back).contains(&"Raspberry".to_owned()));
    // What is delicate is told what would cover it.
    let flower = stranger.get("/pairings?beside=elderflower").await;
    assert!(flower.text.contains("Rather not:</b>"));
    assert!(
        flower
            .words_of("main")
            .unwrap_or_default()
            .contains("buckwheat honey")
    );
    for nothing in [
        "beside=honey-clover",
        "beside=table-sugar",
        "honey=raspberry",
        "honey=nothing",
        "beside=%00",
    ] {
        let status = stranger.get(&format!("/pairings?{nothing}")).await.status;
        assert!([400, 404].contains(&status), "{nothing}: {status}");
    }
    // The catalogue leads there.
    let entry = stranger.get("/catalogue/honey-clover").await;
    assert_eq!(
        entry.link("What goes with this honey").as_deref(),
        Some("/pairings?honey=honey-clover")
    );
    let entry = stranger.get("/catalogue/apple-juice").await;
    assert!(entry.link("Which honeys go with it").is_some());
    let entry = stranger.get("/catalogue/table-sugar").await;
    assert!(entry.link("Which honeys go with it").is_none());
}

#[tokio::test]
async fn what_can_hurt_is_said_here_too() {
    let (club, _, _) = a_club().await;
    let page = club.browser().get("/pairings?beside=chili-dried").await;
    let entry = club.browser().get("/catalogue/chili-dried").await;
    let caution = entry.words_of(".caution").expect("a caution");
    let told = page.words_of(".caution").unwrap_or_default();
    assert!(told.starts_with(&caution), "{told}");
}

#[tokio::test]
async fn a_suggestion_begins_a_recipe_with_both() {
    let (_club, _, ada) = a_club().await;
    let page = ada.get("/pairings?beside=raspberry").await;
    let start = page
        .link("Start a recipe of orange blossom honey and raspberry with both")
        .expect("a way on");
    let form = ada.get(&start).await;
    assert_eq!(form.status, 200);
    assert_eq!(form.value("Honey, Honey 1"), "honey-orange-blossom");
    assert_eq!(form.value("Ingredient, Ingredient 1"), "raspberry");
    assert_ne!(form.value("Amount, Ingredient 1"), "");
    let typed = [("Name", "Both"), (STRENGTH, "11 %")];
    let done = ada.submit(&form, super::SAVE, &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    for odd in [
        "honey=raspberry&beside=honey-clover",
        "honey=x&beside=y",
        "honey=&beside=",
    ] {
        let form = ada.get(&format!("/recipes/new?{odd}")).await;
        assert_eq!(form.status, 200, "{odd}");
        assert_eq!(form.value("Honey, Honey 1"), "honey-wildflower", "{odd}");
    }
}

#[tokio::test]
async fn what_the_best_rated_recipes_used_is_the_members() {
    let (club, _, ada) = a_club().await;
    let form = ada
        .get("/recipes/new?honey=honey-clover&beside=raspberry")
        .await;
    let typed = [("Name", "Loved"), ("Who may see it", "club")];
    let loved = super::sheet_of(&ada.submit(&form, super::SAVE, &typed).await);
    let form = ada
        .get("/recipes/new?honey=honey-heather&beside=raspberry")
        .await;
    let typed = [("Name", "Disliked"), ("Who may see it", "club")];
    let disliked = super::sheet_of(&ada.submit(&form, super::SAVE, &typed).await);
    saved(&ada, &[("Name", "Unrated"), ("Who may see it", "club")]).await;
    let bo = another(&club, "Bo", Units::Metric).await;
    for (sheet, stars) in [(&loved, "5"), (&disliked, "1")] {
        let fields = [("revision", "1"), ("stars", stars), ("basis", "made")];
        let done = bo.post(&format!("{sheet}/opinions/rating"), &fields).await;
        assert_eq!(done.status, 303);
    }
    let page = bo.get("/pairings?beside=raspberry").await;
    let club_part = all_words(&page, "section:last-of-type li");
    assert_eq!(club_part.len(), 1, "{club_part:?}");
    for words in [
        "Clover honey",
        "in one of them",
        "Loved by Ada",
        "3.4 of 5 by 1 member, who made it",
    ] {
        assert!(club_part[0].contains(words), "{club_part:?}");
    }
    let turned = bo.get("/pairings?honey=honey-clover").await;
    assert!(turned.text.contains("Loved by Ada"));
    let heather = bo.get("/pairings?honey=honey-heather").await;
    assert!(!heather.text.contains("Disliked"));
    let stranger = club.browser().get("/pairings?beside=raspberry").await;
    assert!(!stranger.text.contains("Loved") && stranger.text.contains("Sign in"));
}
