//! Triangles and rankings: everybody gets glasses of their own, on a phone or on paper, and the verdict is honest.

use std::collections::BTreeSet;

use mustwright::tastings::model::{Serving, Tasting};
use mustwright::tastings::seats::store::servings;
use mustwright::tastings::store;

use super::{Hosted, hosted, member, seated};
use crate::support::{Browser, Club, Page};

async fn glasses(club: &Club, ada: &Hosted, tasting: &str) -> (Tasting, Vec<Serving>) {
    let id = tasting.rsplit('/').next().unwrap();
    let mut conn = club.pool().acquire().await.unwrap();
    let found = store::find(&mut conn, ada.host.id, id).await.unwrap();
    let found = found.expect("the tasting");
    let all = servings(&mut conn, found.id).await.unwrap();
    (found, all)
}

/// The sheet that a page of a seat shows.
fn sheet_of<'a>(page: &Page, all: &'a [Serving]) -> &'a Serving {
    let own = |one: &&Serving| {
        one.glasses
            .iter()
            .all(|(code, _)| page.text.contains(&format!(">{code}<")))
    };
    all.iter()
        .find(own)
        .unwrap_or_else(|| panic!("{}", page.text))
}

async fn picks(browser: &Browser, page: &Page, code: i32) -> Page {
    let code = code.to_string();
    browser.submit(page, "Write it down", &[(&code, "")]).await
}

#[tokio::test]
async fn a_triangle_on_phones() {
    let club = Club::open().await;
    let ada = hosted(&club, 2).await;
    let tasting = ada.opens("triangle", &[("How many taste", "6")]).await;
    let (_, all) = glasses(&club, &ada, &tasting).await;
    assert_eq!(all.len(), 6);
    let orders: BTreeSet<Vec<i32>> = all
        .iter()
        .map(|one| one.glasses.iter().map(|(_, mead)| *mead).collect())
        .collect();
    assert_eq!(orders.len(), 6, "each of the six orders once");
    let planned = ada.browser.get(&tasting).await;
    assert!(
        planned.text.contains("5 of 6 must pick the odd glass"),
        "{}",
        planned.text
    );
    assert!(planned.text.contains("30 of 100 people really can tell"));

    let mut seen = BTreeSet::new();
    for (at, name) in ["Bo", "Cy", "Dee", "Eve", "Flo", "Gus"]
        .into_iter()
        .enumerate()
    {
        let browser = member(&club, name).await;
        let page = browser.get(&tasting).await;
        assert!(!page.text.contains("Batch 1"), "{}", page.text);
        let page = seated(&browser, &tasting).await;
        assert!(!page.text.contains("Batch 1"), "{}", page.text);
        let own = sheet_of(&page, &all);
        assert!(seen.insert(own.number), "a sheet of their own");
        let odd = own.odd().expect("an odd glass");
        let wrong = own
            .glasses
            .iter()
            .map(|(code, _)| *code)
            .find(|code| *code != odd);
        if at == 0 {
            let refused = browser.submit(&page, "Write it down", &[]).await;
            assert_eq!(refused.status, 422);
            assert!(refused.text.contains("Choose, even if you must guess."));
            let foreign = browser
                .post(&format!("{tasting}/seat/pick"), &[("odd", "1")])
                .await;
            assert_eq!(foreign.status, 422);
        }
        let code = if at < 5 { odd } else { wrong.expect("another") };
        let done = picks(&browser, &page, code).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    // All glasses are somebody's.
    let late = member(&club, "Hal").await;
    let page = late.get(&tasting).await;
    assert_eq!(late.submit(&page, "Taste along", &[]).await.status, 409);

    ada.closes(&tasting).await;
    let found = ada.browser.get(&tasting).await;
    assert!(
        found.text.contains("They can be told apart."),
        "{}",
        found.text
    );
    assert!(found.text.contains("5 of 6 picked the odd glass."));
    assert!(found.text.contains("Batch 1"), "named at the end");
}

#[tokio::test]
async fn a_triangle_on_paper_that_tells_nothing() {
    let club = Club::open().await;
    let ada = hosted(&club, 2).await;
    let paper = "on sheets of paper, which you type in afterwards";
    let tasting = ada
        .opens("triangle", &[("How many taste", "4"), (paper, "")])
        .await;
    let (_, all) = glasses(&club, &ada, &tasting).await;
    let sheets = ada.browser.get(&format!("{tasting}/sheets")).await;
    let key = ada.browser.get(&format!("{tasting}/key")).await;
    for (code, mead) in all.iter().flat_map(|one| &one.glasses) {
        assert!(sheets.text.contains(&format!(">{code}<")), "{code}");
        assert!(key.text.contains(&format!("{code} Batch {mead}")), "{code}");
    }
    assert!(!sheets.text.contains("Batch 1"), "{}", sheets.text);
    // Nobody sits down on a phone.
    let bo = member(&club, "Bo").await;
    assert!(!bo.get(&tasting).await.has_button("Taste along"));
    assert_eq!(bo.post(&format!("{tasting}/seat"), &[]).await.status, 409);

    let form = ada.browser.get(&format!("{tasting}/found")).await;
    let button = "Take them in and close the tasting";
    let empty = ada.browser.submit(&form, button, &[]).await;
    assert_eq!(empty.status, 422);
    assert!(empty.text.contains("Type in one sheet at least"));
    let action = format!("{tasting}/found");
    let wrong = ada.browser.post(&action, &[("sheet_1_odd", "99")]).await;
    assert_eq!(wrong.status, 422);
    // Two right of three; the fourth sheet came back empty.
    let odd = |at: usize| all[at].odd().unwrap().to_string();
    let other = |at: usize| {
        let odd = all[at].odd().unwrap();
        let other = all[at].glasses.iter().find(|(code, _)| *code != odd);
        other.unwrap().0.to_string()
    };
    let typed = [odd(0), odd(1), other(2)];
    let names = ["sheet_1_odd", "sheet_2_odd", "sheet_3_odd"];
    let fields: Vec<(&str, &str)> = names
        .into_iter()
        .zip(typed.iter().map(String::as_str))
        .collect();
    let done = ada.browser.post(&action, &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let found = ada.browser.get(&tasting).await;
    assert!(found.text.contains("Cannot tell."), "{}", found.text);
    assert!(found.text.contains("2 of 3 picked the odd glass."));
    assert!(
        found
            .text
            .contains("That does not show that the two are alike.")
    );
    assert!(found.text.contains("sheet 3"), "{}", found.text);
    let again = ada.browser.post(&action, &fields).await;
    assert_eq!(again.status, 409, "what was typed in first stays");
}

#[tokio::test]
async fn a_ranking_with_shared_places() {
    let club = Club::open().await;
    let ada = hosted(&club, 3).await;
    let tasting = ada.opens("ranking", &[("How many taste", "6")]).await;
    let (_, all) = glasses(&club, &ada, &tasting).await;
    for (at, name) in ["Bo", "Cy", "Dee", "Eve", "Flo", "Gus"]
        .into_iter()
        .enumerate()
    {
        let browser = member(&club, name).await;
        let page = seated(&browser, &tasting).await;
        let own = all
            .iter()
            .find(|one| {
                one.glasses
                    .iter()
                    .all(|(code, _)| page.text.contains(&format!("place_{code}")))
            })
            .unwrap_or_else(|| panic!("{}", page.text));
        // Batch 1 first for all; one puts the two others level.
        let place = |mead: i32| match mead {
            1 => "1",
            2 => "2",
            _ if at == 0 => "2",
            _ => "3",
        };
        let labels: Vec<(String, &str)> = own
            .glasses
            .iter()
            .map(|(code, mead)| (format!("{code}, its place"), place(*mead)))
            .collect();
        let fields: Vec<(&str, &str)> = labels
            .iter()
            .map(|(label, place)| (label.as_str(), *place))
            .collect();
        if at == 0 {
            let partly = browser.submit(&page, "Write it down", &fields[..2]).await;
            assert_eq!(partly.status, 422);
            assert!(
                partly
                    .fault(fields[2].0)
                    .starts_with("Give this glass a place too")
            );
        }
        let done = browser.submit(&page, "Write it down", &fields).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    ada.closes(&tasting).await;
    let found = ada.browser.get(&tasting).await;
    assert!(found.text.contains("They differ."), "{}", found.text);
    assert!(
        found.text.contains("Batch 1 before Batch 3"),
        "{}",
        found.text
    );
    assert!(
        found.text.contains("1: Batch 1; 2: Batch 2; 2: Batch 3"),
        "{}",
        found.text
    );
}

/// Many who sit down at once get a sheet each, and no more than there are.
#[tokio::test]
async fn sheets_are_given_once() {
    let club = std::sync::Arc::new(Club::open().await);
    let ada = hosted(&club, 2).await;
    let tasting = ada.opens("triangle", &[("How many taste", "3")]).await;
    let mut browsers = Vec::new();
    for name in ["Bo", "Cy", "Dee", "Eve", "Flo"] {
        browsers.push(member(&club, name).await);
    }
    let tasks: Vec<_> = browsers
        .into_iter()
        .map(|browser| {
            let path = format!("{tasting}/seat");
            tokio::spawn(async move { browser.post(&path, &[]).await.status })
        })
        .collect();
    let mut statuses = Vec::new();
    for task in tasks {
        statuses.push(task.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [303, 303, 303, 409, 409]);
}
