//! A shared tasting on three phones: the host's, a member's and a guest's. Nobody reads what others said before the end.

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::Barrier;
use tokio::time::timeout;

use super::crawl::Crawl;
use super::sign_in;
use crate::support::{Chromium, Club, a_member, in_chromium};
use crate::tastings::{hosted, invited};

/// A phone waits no longer than this for the two others.
const PATIENCE: Duration = Duration::from_secs(120);

/// All three have come so far.
async fn together(table: &Barrier) {
    let met = timeout(PATIENCE, table.wait()).await;
    met.expect("the other phones come so far too");
}

/// Nothing of the page lies beside the window.
async fn fits(page: &Chromium) {
    let over = "document.documentElement.scrollWidth - document.documentElement.clientWidth";
    assert_eq!(page.tell(over).await, "0", "{}", page.state().await);
}

/// Says how much the mead that is open is liked, and a word about it.
async fn says(page: &Chromium, liking: &str, words: &str) {
    fits(page).await;
    page.choose("How much do you like it?", liking).await;
    page.put("As a whole, in your own words", words).await;
    page.press_to("Write it down").await;
}

/// Reads nothing of what others say yet.
async fn reads_none_of(page: &Chromium, path: &str, words: &[&str]) {
    page.open(path).await;
    let shown = page.words().await;
    for one in words {
        assert!(!shown.contains(one), "{one} on {}", page.state().await);
    }
}

async fn reads_all_of(page: &Chromium, path: &str, words: &[&str]) {
    page.open(path).await;
    fits(page).await;
    let shown = page.words().await;
    for one in words {
        assert!(shown.contains(one), "no {one} on {}", page.state().await);
    }
}

const ALL: [&str; 3] = ["like wet slate", "a burnt match", "pears in honey"];

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn three_phones_taste_and_read_at_the_end() {
    let club = Club::open().await;
    let ada = hosted(&club, 2).await;
    let tasting = ada.opens("shared", &[]).await;
    a_member().named("Bo").of(&club).await;
    let link = invited(&ada.browser, &tasting, 1).await.remove(0);
    let table = Arc::new(Barrier::new(3));

    let (at, path) = (table.clone(), tasting.clone());
    let host = in_chromium(&club, |page| async move {
        page.size(360, 740).await;
        sign_in(&page, "Ada").await;
        page.open(&path).await;
        page.press_to("Taste along").await;
        fits(&page).await;
        page.open(&format!("{path}/seat/1")).await;
        says(&page, "8: very good", ALL[2]).await;
        together(&at).await;
        reads_none_of(&page, &path, &ALL[..2]).await;
        reads_none_of(&page, &format!("{path}/key"), &ALL[..2]).await;
        together(&at).await;
        page.open(&path).await;
        page.press_to("Close the tasting").await;
        together(&at).await;
        reads_all_of(&page, &path, &ALL).await;
    });
    let (at, path) = (table.clone(), tasting.clone());
    let member = in_chromium(&club, |page| async move {
        page.size(360, 740).await;
        sign_in(&page, "Bo").await;
        page.open("/tastings").await;
        page.press_to("First look").await;
        page.press_to("Taste along").await;
        page.open(&format!("{path}/seat/1")).await;
        says(&page, "5: neither good nor bad", ALL[0]).await;
        together(&at).await;
        reads_none_of(&page, &path, &ALL[1..]).await;
        reads_none_of(&page, &format!("{path}/seat"), &ALL[1..]).await;
        together(&at).await;
        together(&at).await;
        reads_all_of(&page, &path, &ALL).await;
    });
    let at = table.clone();
    let guest = in_chromium(&club, |page| async move {
        page.size(360, 740).await;
        page.open(&link).await;
        fits(&page).await;
        page.put("Your name", "Dee").await;
        page.press_to("Take a seat").await;
        let seat = page.tell("location.pathname").await;
        fits(&page).await;
        page.open(&format!("{seat}/1")).await;
        says(&page, "2: bad", ALL[1]).await;
        together(&at).await;
        reads_none_of(&page, &seat, &[ALL[0], ALL[2]]).await;
        together(&at).await;
        together(&at).await;
        reads_all_of(&page, &seat, &ALL).await;
        assert!(page.words().await.contains("Batch 1"), "named at the end");
    });
    tokio::join!(host, member, guest);
}

/// A guest's pages, and what only forms lead to.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_tastings_and_their_guests() {
    let club = Club::open().await;
    let ada = hosted(&club, 3).await;
    let shared = ada.opens("shared", &[]).await;
    let ranking = ada
        .opens(
            "ranking",
            &[("How many taste", "6"), ("What it is called", "In order")],
        )
        .await;
    let paper = "on sheets of paper, which you type in afterwards";
    let mut two = ada;
    two.batches.truncate(2);
    let fields = [
        ("How many taste", "6"),
        (paper, ""),
        ("What it is called", "On paper"),
    ];
    let on_paper = two.opens("triangle", &fields).await;
    let links = invited(&two.browser, &shared, 2).await;
    let of_ranking = invited(&two.browser, &ranking, 1).await.remove(0);
    in_chromium(&club, |page| async move {
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&links[0], 200).await;
        page.press_to("Take a seat").await;
        crawl.look("coming in without a name", 422).await;
        page.put("Your name", "Dee").await;
        page.press_to("Take a seat").await;
        crawl.look("a guest’s sheet", 200).await;
        let seat = page.tell("location.pathname").await;
        page.open(&format!("{seat}/1")).await;
        page.press_to("Write it down").await;
        crawl.look("a mead with nothing said", 422).await;
        crawl.open(&format!("{seat}/2"), 200).await;
        crawl.open(&links[0], 403).await;
        page.open(&of_ranking).await;
        page.put("Your name", "Dee").await;
        page.press_to("Take a seat").await;
        crawl.look("a sheet of glasses to put in order", 200).await;
        page.press_to("Write it down").await;
        crawl.look("glasses without places", 422).await;
        sign_in(&page, "Ada").await;
        page.open(&format!("{shared}/guests")).await;
        page.put("How many guests", "many").await;
        page.press_to("Make the links").await;
        crawl.look("links with a fault", 422).await;
        page.put("How many guests", "2").await;
        page.press_to("Make the links").await;
        crawl.look("new links", 200).await;
        page.open("/tastings/new?kind=ranking").await;
        page.press_to("Open it").await;
        crawl.look("a ranking with faults", 422).await;
        crawl.open(&format!("{on_paper}/sheets"), 200).await;
        crawl.open(&format!("{on_paper}/key"), 200).await;
        page.open(&format!("{on_paper}/found")).await;
        page.press_to("Take them in and close the tasting").await;
        crawl.look("sheets that say nothing", 422).await;
        crawl.open(&format!("{on_paper}/off"), 200).await;
        for (path, name) in [
            (&ranking, "a ranking that is closed"),
            (&shared, "a tasting that is closed"),
        ] {
            page.open(path).await;
            page.press_to("Close the tasting").await;
            crawl.look(name, 200).await;
        }
    })
    .await;
}
