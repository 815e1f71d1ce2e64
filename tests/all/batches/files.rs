//! A log to take along, as a table and as it is kept.

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Feed, Note, Reading};
use serde_json::Value;

use super::{a_maker, started, wrote};
use crate::support::{Club, a_member};

fn said(text: &str) -> Deed {
    Deed::Note(Note {
        text: Some(text.to_owned()),
    })
}

#[tokio::test]
async fn a_log_comes_as_a_table_that_no_spreadsheet_carries_out() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&browser, &recipe, &[]).await;
    let reading = Deed::Reading(Reading {
        sg: Some(1.062),
        ph: Some(3.4),
        ..Reading::default()
    });
    wrote(&club, &ada, &batch, 24.0, reading).await;
    wrote(
        &club,
        &ada,
        &batch,
        25.0,
        said("=HYPERLINK(\"http://elsewhere\")"),
    )
    .await;
    let page = browser.get(&batch).await;
    let file = browser
        .get(&page.link("as a table").expect("the way to it"))
        .await;
    assert_eq!(file.status, 200);
    assert!(file.header("content-type").starts_with("text/csv"));
    assert!(file.header("content-disposition").contains("attachment"));
    let mut reader = csv::Reader::from_reader(file.text.as_bytes());
    let head = reader.headers().unwrap().clone();
    let column = |name: &str| head.iter().position(|one| one == name).expect("the column");
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 2);
    assert_eq!(&rows[0][column("gravity")], "1.062");
    assert_eq!(&rows[0][column("pH")], "3.4");
    assert_eq!(
        &rows[1][column("words")],
        "'=HYPERLINK(\"http://elsewhere\")"
    );
    for row in &rows {
        assert!(
            row.iter().all(|cell| !cell.starts_with(['=', '+', '@'])),
            "{row:?}"
        );
    }
}

#[tokio::test]
async fn a_log_comes_as_it_is_kept() {
    let club = Club::open().await;
    let (ada, browser, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&browser, &recipe, &[("What it is called", "Heather one")]).await;
    wrote(&club, &ada, &batch, 5.5, said("It smells of heather.")).await;
    let page = browser.get(&batch).await;
    let file = browser.get(&page.link("as JSON").unwrap()).await;
    let kept: Value = serde_json::from_str(&file.text).unwrap();
    assert_eq!(kept["name"], "Heather one");
    let entry = &kept["entries"][0];
    assert_eq!(entry["kind"], "note");
    assert_eq!(entry["data"]["text"], "It smells of heather.");
    let hours = entry["hours"].as_f64().unwrap();
    assert!((hours - 5.5).abs() < 1e-3, "{hours}");
}

#[tokio::test]
async fn a_log_has_the_readers_of_its_batch() {
    let club = Club::open().await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let mine = started(&ada, &recipe, &[("only me", "private")]).await;
    let ours = started(&ada, &recipe, &[("every member of the club", "club")]).await;
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    for file in ["log.csv", "log.json"] {
        assert_eq!(bo.get(&format!("{mine}/{file}")).await.status, 404);
        assert_eq!(bo.get(&format!("{ours}/{file}")).await.status, 200);
        let stranger = club.browser().get(&format!("{ours}/{file}")).await;
        assert_eq!(stranger.status, 303, "asked to sign in");
    }
    // What it cost comes from a cupboard, which is nobody else's.
    let fed = Deed::Feed(Feed {
        name: "Mixed nutrient".to_owned(),
        grams: 4.5,
        cost: Some(1.25),
        ..Feed::default()
    });
    wrote(&club, &person, &ours, 24.0, fed).await;
    for file in ["log.csv", "log.json"] {
        let at = format!("{ours}/{file}");
        let (own, theirs) = (ada.get(&at).await.text, bo.get(&at).await.text);
        assert!(own.contains("cost") && own.contains("1.25"), "{own}");
        assert!(
            theirs.contains("Mixed nutrient") && !theirs.contains("cost"),
            "{theirs}"
        );
    }
}
