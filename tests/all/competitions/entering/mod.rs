//! Entering: what a batch proposes, limits, what is frozen when, who finds what.

mod limits;
mod mine;
mod seal;

use mustwright::competitions::model::{Duty, Phase};

use super::building::{Held, a_competition};
use crate::batches::{a_maker, address, started};
use crate::support::{Browser, Club, Page, Person, a_member};

/// What is typed where a bottle is entered.
pub const A_BOTTLE: [(&str, &str); 6] = [
    ("What you call it", "Heather of the moor"),
    ("Strength, per cent by volume", "12.5"),
    ("dry", ""),
    ("still", ""),
    ("honey alone", ""),
    ("Special ingredients, may be left empty", "heather honey"),
];

/// Ada organises a competition that is open; she, it and Bo with his browser.
pub async fn open_for_bo(club: &Club) -> (Person, Held, Person, Browser) {
    let ada = a_member().of(club).await;
    let held = a_competition().of(club, &ada).await;
    let bo = a_member().named("Bo").of(club).await;
    let browser = club.browser_of(&bo).await;
    (ada, held, bo, browser)
}

/// Enters a bottle by the form, into the first category; what came.
pub async fn tries(browser: &Browser, held: &Held, labelled: &[(&str, &str)]) -> Page {
    let form = browser.get(&format!("{}/enter", held.path)).await;
    assert_eq!(form.status, 200, "{}", form.text);
    let category = held.categories[0].id.0.to_string();
    let mut all = labelled.to_vec();
    all.extend(A_BOTTLE);
    all.push(("Category", &category));
    browser.submit(&form, "Enter it", &all).await
}

/// Enters a bottle; the address of the entry.
pub async fn entered(browser: &Browser, held: &Held) -> String {
    let done = tries(browser, held, &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    address(done.location())
}

#[tokio::test]
async fn a_bottle_gets_a_code_and_is_found_among_ones_own() {
    let club = Club::open().await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let done = tries(&bo, &held, &[]).await;
    let entry = bo.follow(done).await;
    let code: String = sqlx::query_scalar("select code from competition_entries")
        .fetch_one(club.pool())
        .await
        .unwrap();
    for said in [
        code.as_str(),
        "Heather of the moor",
        "12.5 %",
        "heather honey",
        "entered by Bo",
    ] {
        assert!(entry.text.contains(said), "{said}: {}", entry.text);
    }
    let mine = bo.get(&format!("{}/mine", held.path)).await;
    assert!(mine.link("Heather of the moor").is_some(), "{}", mine.text);
    assert!(mine.text.contains(&code));
}

#[tokio::test]
async fn a_batch_proposes_what_its_log_and_recipe_know() {
    let club = Club::open().await;
    let ada = a_member().named("Ada Lark").of(&club).await;
    let held = a_competition().of(&club, &ada).await;
    let (_, bo, recipe) = a_maker(&club, "Bo").await;
    let batch = started(&bo, &recipe, &[("What it is called", "Moor no. 7")]).await;
    let id = batch.rsplit('/').next().unwrap();
    let form = bo.get(&format!("{}/enter?batch={id}", held.path)).await;
    assert_eq!(form.value("What you call it"), "Moor no. 7");
    let strength = form.value("Strength, per cent by volume");
    let strength: f64 = strength.parse().expect("a strength");
    assert!(
        (5.0..=25.0).contains(&strength),
        "as it will end, not as it stands today: {strength}"
    );
    let category = form.value("Category");
    let of = held
        .categories
        .iter()
        .find(|one| one.id.0.to_string() == category);
    assert_eq!(of.expect("a category").family.as_deref(), Some("plain"));
    assert!(
        !form
            .value("Special ingredients, may be left empty")
            .is_empty()
    );
    let done = bo.submit(&form, "Enter it", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let entry = bo.follow(done).await;
    assert_eq!(
        entry.link("a batch of yours").as_deref(),
        Some(batch.as_str())
    );
    // Of anybody else's batch nothing is proposed, as of one that is not there.
    let cleo = a_member().named("Cleo").of(&club).await;
    let cleo = club.browser_of(&cleo).await;
    let form = cleo.get(&format!("{}/enter?batch={id}", held.path)).await;
    assert_eq!(
        (form.status, form.value("What you call it")),
        (200, String::new())
    );
}

#[tokio::test]
async fn faults_stand_beside_their_fields_and_what_was_typed_stays() {
    let club = Club::open().await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let form = bo.get(&format!("{}/enter", held.path)).await;
    let typed = [
        ("Strength, per cent by volume", "forty"),
        ("What else judges may read", "as it was meant"),
    ];
    let again = bo.submit(&form, "Enter it", &typed).await;
    assert_eq!(again.status, 422);
    assert!(again.words_of("title").unwrap().starts_with("Error: "));
    for label in [
        "What you call it",
        "Category",
        "Strength, per cent by volume",
    ] {
        assert!(!again.fault(label).is_empty(), "{label}");
    }
    assert_eq!(again.fault("dry"), "Choose how sweet it is.");
    assert_eq!(again.value("Strength, per cent by volume"), "forty");
    assert_eq!(
        again.value("What else judges may read").trim(),
        "as it was meant"
    );
}

#[tokio::test]
async fn one_who_enters_nothing_finds_nothing_of_others() {
    let club = Club::open().await;
    let (_, held, _, bo) = open_for_bo(&club).await;
    let entry = entered(&bo, &held).await;
    let judge = a_member().named("Cleo").of(&club).await;
    let mut tx = club.pool().begin().await.unwrap();
    let added = mustwright::competitions::organise::store::add_duty(
        &mut tx,
        held.id,
        judge.id,
        Duty::Judge,
    );
    assert!(added.await.unwrap());
    tx.commit().await.unwrap();
    let cleo = club.browser_of(&judge).await;
    let nothing = format!("{}/mine/{}", held.path, "a".repeat(20));
    for rest in ["", "/edit", "/labels"] {
        let there = cleo.get(&format!("{entry}{rest}")).await;
        let not_there = cleo.get(&format!("{nothing}{rest}")).await;
        assert_eq!((there.status, not_there.status), (404, 404), "{rest}");
        assert_eq!(there.heading(), not_there.heading(), "{rest}");
    }
    for rest in ["/edit", "/withdraw", "/leave"] {
        let done = cleo.post(&format!("{entry}{rest}"), &[]).await;
        assert_eq!(done.status, 404, "{rest}");
    }
    let mine = cleo.get(&format!("{}/mine", held.path)).await;
    assert!(!mine.text.contains("Heather of the moor"), "{}", mine.text);
    held.stands_in(&club, Phase::Closed).await;
    assert_eq!(cleo.get(&format!("{}/enter", held.path)).await.status, 409);
}
