//! Labels on paper: a page for each sheet, as large as its paper, and each label where its sheet has it.

use serde_json::json;
use sqlx::PgPool;

use super::crawl::Crawl;
use super::sign_in;
use crate::batches::bottling::{a_batch, a_club, stood_still};
use crate::support::{Chromium, in_chromium};

/// Points in a millimetre, and what a browser calls one.
const POINTS: f64 = 72.0 / 25.4;
const PIXELS: f64 = 96.0 / 25.4;

/// The sizes of the pages that are printed, mm.
pub async fn pages(pool: &PgPool, page: &Chromium) -> Vec<[f64; 2]> {
    let asked = json!({ "preferCSSPageSize": true, "printBackground": true });
    let printed = page.devtools("Page.printToPDF", asked).await;
    let data = printed["data"].as_str().expect("a document");
    let bytes: Vec<u8> = sqlx::query_scalar("select decode($1, 'base64')")
        .bind(data)
        .fetch_one(pool)
        .await
        .expect("base64");
    let text = String::from_utf8_lossy(&bytes);
    let boxes = text.split("/MediaBox").skip(1);
    boxes
        .map(|rest| {
            let inside = rest.split(['[', ']']).nth(1).expect("a box");
            let numbers: Vec<f64> = inside
                .split_whitespace()
                .map(|number| number.parse().expect("a number"))
                .collect();
            [numbers[2] / POINTS, numbers[3] / POINTS]
        })
        .collect()
}

/// Where the labels stand on the first sheet as it is printed: left and top of each, mm.
async fn places(page: &Chromium) -> Vec<[f64; 2]> {
    page.devtools("Emulation.setEmulatedMedia", json!({ "media": "print" }))
        .await;
    let told = page
        .tell(
            "(() => { const sheet = document.querySelector('.label-sheet'); const from = sheet.getBoundingClientRect();
               return [...sheet.children].map(e => e.getBoundingClientRect()).map(r => [r.left - from.left, r.top - from.top].join(' ')).join(';'); })()",
        )
        .await;
    page.devtools("Emulation.setEmulatedMedia", json!({ "media": "" }))
        .await;
    let of = |text: &str| text.parse::<f64>().expect("a number") / PIXELS;
    told.split(';')
        .map(|place| place.split_once(' ').expect("two numbers"))
        .map(|(left, top)| [of(left), of(top)])
        .collect()
}

#[tokio::test]
async fn each_sheet_is_one_page_and_each_label_lies_where_its_sheet_has_it() {
    let club = a_club().await;
    let (person, ada, batch) = a_batch(&club).await;
    stood_still(&club, &person, &batch).await;
    let form = ada.get(&format!("{batch}/bottling")).await;
    let typed = [
        ("still, in bottles", ""),
        ("Bottles of", "750 ml"),
        ("How many", "24"),
    ];
    let done = ada
        .submit(&form, "It is filled: write it down", &typed)
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let lot: String = sqlx::query_scalar("select public_id from cellar_lots")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let pool = club.pool().clone();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        for (sheet, start, sizes, places_of) in [
            (
                "a4-21",
                20,
                vec![[210.0, 297.0]; 3],
                [[7.25, 15.15], [73.25, 15.15]],
            ),
            (
                "letter-10",
                1,
                vec![[215.9, 279.4]; 3],
                [[4.0, 12.7], [110.3, 12.7]],
            ),
        ] {
            let path =
                format!("{batch}/labels/print?lot={lot}&sheet={sheet}&count=24&start={start}");
            page.open(&path).await;
            let found = pages(&pool, &page).await;
            assert_eq!(found.len(), sizes.len(), "{sheet}: {found:?}");
            for (found, wanted) in found.iter().zip(&sizes) {
                let near = |side: usize| (found[side] - wanted[side]).abs() < 0.4;
                assert!(near(0) && near(1), "{sheet}: {found:?}");
            }
            let stand = places(&page).await;
            for (found, wanted) in stand.iter().zip(places_of) {
                let near = |side: usize| (found[side] - wanted[side]).abs() < 0.1;
                assert!(near(0) && near(1), "{sheet}: {found:?}, wanted {wanted:?}");
            }
        }
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/cellar", 200).await;
        crawl.open(&format!("/cellar/{lot}"), 200).await;
        crawl.open(&format!("{batch}/bottling"), 200).await;
        crawl
            .open(&format!("{batch}/labels/print?sheet=a4-8&count=0"), 422)
            .await;
    })
    .await;
}
