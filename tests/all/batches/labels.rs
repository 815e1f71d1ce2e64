//! Labels: as many as were asked for, from the first free place on, each with the picture of its own page.

use mustwright::members::second::picture::Picture;
use scraper::{Html, Selector};

use super::bottling::{a_batch, a_club, stood_still};
use crate::support::{Browser, Club, Page};

async fn with_bottles(club: &Club) -> (Browser, Page) {
    let (person, ada, batch) = a_batch(club).await;
    stood_still(club, &person, &batch).await;
    let form = ada.get(&format!("{batch}/bottling")).await;
    let typed = [
        ("still, in bottles", ""),
        ("Bottles of", "750 ml"),
        ("How many", "24"),
    ];
    let done = ada
        .submit(&form, "It is filled: write it down", &typed)
        .await;
    let labels = ada.follow(done).await;
    (ada, labels)
}

fn count(page: &Page, css: &str) -> usize {
    let html = Html::parse_document(&page.text);
    html.select(&Selector::parse(css).unwrap()).count()
}

/// Opens what a form asks for by its address.
async fn shown(browser: &Browser, page: &Page, labelled: &[(&str, &str)]) -> Page {
    let (action, fields) = page.filled("Show them", labelled);
    let query: Vec<String> = fields
        .iter()
        .map(|(name, text)| format!("{name}={}", text.replace(' ', "+")))
        .collect();
    browser.get(&format!("{action}?{}", query.join("&"))).await
}

#[tokio::test]
async fn a_used_sheet_is_begun_at_its_first_free_place() {
    let club = a_club().await;
    let (ada, form) = with_bottles(&club).await;
    assert_eq!(form.value("How many labels"), "24", "one for each bottle");
    let typed = [
        ("Kind of sheet", "a4-21"),
        ("First free place on the sheet", "20"),
    ];
    let page = shown(&ada, &form, &typed).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert_eq!(count(&page, ".label-sheet"), 3);
    assert_eq!(count(&page, ".bottle-label"), 24);
    assert_eq!(count(&page, ".label-used"), 19);
    let label = page.words_of(".bottle-label").unwrap();
    for said in ["Heather", "mead", "% vol", "750 ml", "filled"] {
        assert!(label.contains(said), "{said}: {label}");
    }
    let code: String = sqlx::query_scalar("select code from cellar_lots")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let address = format!("{}/b/{code}", club.app.site.origin());
    let picture = Picture::of(&address).unwrap();
    assert!(page.text.contains(&picture.path), "it leads to its page");
    let html = Html::parse_document(&page.text);
    let sheets = Selector::parse("link[rel=stylesheet]").unwrap();
    let style = html.select(&sheets).next_back().expect("a stylesheet");
    let style = ada.get(style.value().attr("href").unwrap()).await;
    assert_eq!(style.header("content-type"), "text/css; charset=utf-8");
    assert!(
        style.text.contains("size: 210mm 297mm; margin: 0"),
        "{}",
        style.text
    );
}

#[tokio::test]
async fn what_fits_no_sheet_is_said_beside_its_field() {
    let club = a_club().await;
    let (ada, form) = with_bottles(&club).await;
    let typed = [
        ("Kind of sheet", "a4-8"),
        ("First free place on the sheet", "9"),
        ("How many labels", "none"),
    ];
    let page = shown(&ada, &form, &typed).await;
    assert_eq!(page.status, 422);
    assert!(page.words_of("title").unwrap().starts_with("Error: "));
    assert!(
        page.fault("First free place on the sheet")
            .contains("from 1 to 8")
    );
    assert!(!page.fault("How many labels").is_empty());
    assert_eq!(page.value("How many labels"), "none");
    for file in ["nothing.css", "a4-21", "..%2fapp.css"] {
        assert_eq!(
            ada.get(&format!("/labels/{file}")).await.status,
            404,
            "{file}"
        );
    }
}
