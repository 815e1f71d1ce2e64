//! From review to the archive in Chromium: every page of the results in both sizes and themes, faults among them.

use mustwright::competitions::model::Phase;
use mustwright::engine::contest::rules::Tie;

use super::crawl::Crawl;
use super::sign_in;
use crate::competitions::judged::{a_sheet, ordered, wrote_sheet};
use crate::competitions::results::judged;
use crate::support::{Club, in_chromium};

#[tokio::test]
async fn an_organiser_looks_through_it_and_everybody_reads_it() {
    let club = Club::open().await;
    let all = judged(&club, |rules| {
        rules.ties = vec![Tie::TastedAgain, Tie::Drawn];
        rules.draw_from = "the lottery of the Saturday after".to_owned();
    })
    .await;
    ordered(&club, all.flights[4], &all.jack, &["HJ456", "MN678"]).await;
    let mut odd = a_sheet(41, &["hot", "thin"]);
    odd.sections
        .get_mut("look")
        .expect("a section")
        .comment
        .clear();
    odd.advice = "Garbage: start again.".to_owned();
    wrote_sheet(
        &club,
        all.flights[0],
        &all.entries[0],
        &all.june,
        ("signed", &odd),
    )
    .await;
    let (review, phase) = (all.at("review"), all.at("phase"));
    in_chromium(&club, |page| async move {
        sign_in(&page, "Orla").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&review, 200).await;
        page.press_to("Reckon the results and freeze them").await;
        crawl.look("what holds it up", 422).await;
        page.put("The number as it was published", "soon").await;
        page.press_to("Note it").await;
        crawl.look("a number without a digit", 422).await;
        page.put("The number as it was published", "4 8 15 16 23 42")
            .await;
        page.press_to("Note it").await;
        page.press_to("Reckon the results and freeze them").await;
        crawl.look("frozen results", 200).await;
        page.open(&phase).await;
        page.press_to("Let the results out").await;
        crawl.look("a competition whose results are out", 200).await;
    })
    .await;
    let at = |rest: &str| all.at(rest);
    let pages = [
        at("results"),
        at("recount"),
        at("statistics"),
        at("results/AC234"),
        at("results/AC234/certificate"),
    ];
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut crawl = Crawl::new(page.clone());
        for path in &pages {
            crawl.open(path, 200).await;
        }
    })
    .await;
    all.held.stands_in(&club, Phase::Archived).await;
    let path = all.at("results");
    in_chromium(&club, |page| async move {
        sign_in(&page, "Jack").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&path, 200).await;
    })
    .await;
}
