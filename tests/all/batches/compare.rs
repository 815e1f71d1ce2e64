//! Batches side by side: what differed, what came out, how it tasted, and nothing of others' private ones.

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Pitch, Reading, Tasting};

use super::{a_maker, address, started, wrote};
use crate::recipes::saved;
use crate::support::{Club, a_member};

fn id_of(batch: &str) -> &str {
    batch.rsplit('/').next().unwrap()
}

fn read(sg: f64, must_c: f64) -> Deed {
    Deed::Reading(Reading {
        sg: Some(sg),
        must_temperature_c: Some(must_c),
        ..Reading::default()
    })
}

fn tasted(score: i32) -> Deed {
    Deed::Tasting(Tasting {
        score: Some(score),
        sweetness: Some(1),
        ..Tasting::default()
    })
}

#[tokio::test]
async fn a_lineage_in_one_table_and_one_picture() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let cool = started(&browser, &recipe, &[("What it is called", "The cool one")]).await;
    let warm = started(&browser, &recipe, &[("What it is called", "The warm one")]).await;
    for (batch, celsius, score) in [(&cool, 16.0, 4), (&warm, 24.0, 2)] {
        wrote(&club, &ada, batch, 0.0, Deed::Pitch(Pitch::default())).await;
        wrote(&club, &ada, batch, 48.0, read(1.080, celsius)).await;
        wrote(&club, &ada, batch, 1_488.0, tasted(score)).await;
    }
    let lineage = browser.get(&format!("{recipe}/lineage")).await;
    let way = lineage
        .link("Batches of this lineage")
        .expect("the way there");
    let page = browser.get(&way).await;
    assert_eq!(page.status, 200);
    let table = page.words_of("#compared").unwrap();
    assert!(table.contains("The cool one") && table.contains("The warm one"));
    assert!(
        table.contains("16 °C") && table.contains("24 °C"),
        "{table}"
    );
    assert!(
        table.contains("at 62 days: 4 of 5, a little too much sweetness"),
        "{table}"
    );
    let (differed, _) = table.split_once("What came out").unwrap();
    assert!(!differed.contains("Yeast"), "the same in both: {differed}");
    assert!(page.text.contains("class=\"line-1\"") && page.text.contains("class=\"line-2\""));
    let picture = page.words_of("#picture table").unwrap();
    assert!(picture.contains("days since the pitch"), "{picture}");
}

#[tokio::test]
async fn batches_are_ticked_and_compared() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let one = started(&ada, &recipe, &[("What it is called", "One")]).await;
    let other = started(&ada, &recipe, &[("What it is called", "Other")]).await;
    let choice = ada.get("/batches/compare").await;
    assert!(choice.text.contains(id_of(&one)) && choice.text.contains(id_of(&other)));
    let both = format!(
        "/batches/compare?id={}&id={}&id={}",
        id_of(&one),
        id_of(&other),
        id_of(&one)
    );
    let page = ada.get(&both).await;
    let heads = page.words_of("#compared thead").unwrap();
    assert_eq!(heads.matches("One").count(), 1, "each once: {heads}");
}

#[tokio::test]
async fn private_batches_of_others_are_neither_offered_nor_found_nor_shown() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let hidden = [("What it is called", "Hidden one"), ("only me", "private")];
    let hidden = started(&ada, &recipe, &hidden).await;
    let shown = started(&ada, &recipe, &[("What it is called", "Shown one")]).await;
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    let mine = saved(&bo, &[("Name", "Mine")]).await;
    started(&bo, &mine, &[("What it is called", "Bo’s")]).await;
    let id = recipe.rsplit('/').next().unwrap();
    for path in [
        format!("/batches/compare?recipe={id}"),
        "/batches/compare".to_owned(),
    ] {
        let page = bo.get(&path).await;
        assert_eq!(page.status, 200);
        assert!(page.text.contains("Shown one"), "{path}");
        assert!(
            !page.text.contains("Hidden one") && !page.text.contains(id_of(&hidden)),
            "{path}"
        );
    }
    let asked = format!(
        "/batches/compare?id={}&id={}",
        id_of(&hidden),
        id_of(&shown)
    );
    assert_eq!(bo.get(&asked).await.status, 404);
    let private = saved(&ada, &[("Name", "Secret"), ("Who may see it", "private")]).await;
    let private = address(Some(&private));
    let secret = private.rsplit('/').next().unwrap();
    let asked = bo.get(&format!("/batches/compare?recipe={secret}")).await;
    assert_eq!(asked.status, 404, "a lineage that is not shown");
}
