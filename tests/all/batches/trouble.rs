//! When something seems wrong: open to everybody, and answered from the log where there is one.

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Addition, Pitch, Reading, What, Why};
use mustwright::engine::trouble::Symptom;

use super::{a_maker, started, wrote};
use crate::support::{Club, a_member};

#[tokio::test]
async fn everybody_finds_it_from_safety_and_every_symptom_has_its_page() {
    let club = Club::open().await;
    let stranger = club.browser();
    let safety = stranger.get("/safety").await;
    let all = safety
        .link("When something seems wrong with a mead")
        .expect("the way there");
    let all = stranger.get(&all).await;
    assert_eq!(all.status, 200);
    for symptom in Symptom::ALL {
        let path = format!("/trouble/{}", symptom.as_str());
        assert!(all.text.contains(&path), "{path}");
        let page = stranger.get(&path).await;
        assert_eq!(page.status, 200, "{path}");
        assert!(
            page.words_of("#pour-away").is_some(),
            "{path} says when to pour it away"
        );
        let looked = page.words_of("#looked-at").unwrap();
        assert!(
            looked.contains("Not known."),
            "{path}: without a batch all is asked"
        );
        assert!(page.has_button("Look again"), "{path}");
    }
    assert_eq!(stranger.get("/trouble/boredom").await.status, 404);
}

#[tokio::test]
async fn what_a_stranger_answers_makes_the_dose() {
    let club = Club::open().await;
    let stranger = club.browser();
    let answers = "ph=2.9&litres=10+L&since=100&lid=yes&og=1090&sg=1090";
    let told = stranger.get(&format!("/trouble/no_start?{answers}")).await;
    assert_eq!(told.status, 200, "{}", told.text);
    let todo = told.words_of("#do").unwrap();
    // A quarter of a gram a litre.
    assert!(todo.contains("2.5 g"), "{todo}");
    assert_eq!(told.value("pH"), "2.9", "what was typed stands there");
}

#[tokio::test]
async fn what_cannot_be_read_stands_beside_its_field() {
    let club = Club::open().await;
    let stranger = club.browser();
    let page = stranger.get("/trouble/no_start?ph=sour&sg=1.02").await;
    assert_eq!(page.status, 422);
    assert!(!page.fault("pH").is_empty());
    assert_eq!(page.value("pH"), "sour");
    assert_eq!(page.value("Gravity now"), "1.02");
    let odd = stranger.get("/trouble/no_start?lid=perhaps").await;
    assert_eq!(odd.status, 422);
}

#[tokio::test]
async fn the_log_answers_what_it_can_and_the_rest_is_asked() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    wrote(&club, &ada, &batch, 0.0, Deed::Pitch(Pitch::default())).await;
    let reading = Deed::Reading(Reading {
        ph: Some(2.9),
        must_temperature_c: Some(9.0),
        ..Reading::default()
    });
    wrote(&club, &ada, &batch, 1.0, reading).await;
    let page = browser.get(&batch).await;
    let trouble = page.link("Something seems wrong").expect("the way there");
    let all = browser.get(&trouble).await;
    let nothing = all.link("Nothing happens").expect("the symptom");
    let page = browser.get(&nothing).await;
    let looked = page.words_of("#looked-at").unwrap();
    assert!(
        looked.contains("Is its pH too low?Yes. It is at 2.9"),
        "{looked}"
    );
    let asked = page.words_of("#asked").unwrap();
    assert!(!asked.contains("pH"), "the log says it: {asked}");
    assert!(asked.contains("Are the lid and all seals tight?"));
    assert!(
        page.words_of("#do").unwrap().contains(" g"),
        "a dose for the litres that there are"
    );
}

#[tokio::test]
async fn of_a_private_batch_nobody_else_learns_anything() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let mine = started(&ada, &recipe, &[("only me", "private")]).await;
    let ours = started(&ada, &recipe, &[("every member of the club", "club")]).await;
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    for path in ["trouble", "trouble/stuck"] {
        assert_eq!(bo.get(&format!("{mine}/{path}")).await.status, 404);
        assert_eq!(bo.get(&format!("{ours}/{path}")).await.status, 200);
    }
}

#[tokio::test]
async fn fresh_yeast_undoes_no_stabilising() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    let stuck = format!("{batch}/trouble/stuck");
    wrote(&club, &ada, &batch, 0.0, Deed::Pitch(Pitch::default())).await;
    let words = "Sulfite and sorbate keep its yeast from working, now and in the bottle.";
    assert!(!browser.get(&stuck).await.text.contains(words));
    for what in [What::Sulfite, What::Sorbate] {
        let given = Deed::Addition(Addition {
            why: Some(Why::Stabilise),
            grams: Some(5.0),
            ..Addition::of(what.as_str(), what)
        });
        wrote(&club, &ada, &batch, 2.0, given).await;
    }
    assert!(browser.get(&stuck).await.text.contains(words));
    wrote(&club, &ada, &batch, 3.0, Deed::Pitch(Pitch::default())).await;
    let after = browser.get(&stuck).await;
    assert!(after.text.contains(words), "{}", after.text);
}
