//! The cellar: it follows the log, nothing is taken that is not there, and a label tells a stranger no more than it says.

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Addition, What};
use scraper::{Html, Selector};

use super::bottling::{a_batch, a_club, stood_still};
use super::wrote;
use crate::support::{Browser, Club, Page, Person, a_member};

/// Ada with twelve bottles of a batch; its address.
async fn with_bottles(club: &Club) -> (Person, Browser, String) {
    let (person, ada, batch) = a_batch(club).await;
    stood_still(club, &person, &batch).await;
    let form = ada.get(&format!("{batch}/bottling")).await;
    let typed = [
        ("still, in bottles", ""),
        ("Bottles of", "750 ml"),
        ("How many", "12"),
        ("Where it goes", "lower shelf"),
    ];
    let done = ada
        .submit(&form, "It is filled: write it down", &typed)
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    (person, ada, batch)
}

async fn lot(browser: &Browser) -> String {
    let cellar = browser.get("/cellar").await;
    let html = Html::parse_document(&cellar.text);
    let links = Selector::parse(".entries p > a").unwrap();
    let link = html.select(&links).next().expect("bottles");
    link.value().attr("href").unwrap().to_owned()
}

async fn code(club: &Club) -> String {
    sqlx::query_scalar("select code from cellar_lots")
        .fetch_one(club.pool())
        .await
        .unwrap()
}

async fn took(browser: &Browser, lot: &str, labelled: &[(&str, &str)]) -> Page {
    let page = browser.get(lot).await;
    browser.submit(&page, "Take it out", labelled).await
}

fn lead(page: &Page) -> String {
    page.words_of(".lead").unwrap()
}

#[tokio::test]
async fn what_is_taken_is_gone_and_a_slip_is_put_back() {
    let club = a_club().await;
    let (_, ada, _) = with_bottles(&club).await;
    let lot = lot(&ada).await;
    let done = took(
        &ada,
        &lot,
        &[("given away", ""), ("How many", "3"), ("Who for", "Grete")],
    )
    .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = ada.follow(done).await;
    assert!(lead(&page).starts_with("9 of 12 bottles"), "{}", page.text);
    assert!(page.text.contains("3 bottles, given away: Grete"));
    let more = took(&ada, &lot, &[("How many", "10")]).await;
    assert_eq!(more.status, 422);
    assert_eq!(more.fault("How many"), "There is less left: 9 bottles.");
    let back = ada
        .submit(
            &page,
            &format!(
                "Put it back: 3 bottles, given away: Grete, {}",
                page.words_of("#taken .meta").unwrap()
            ),
            &[],
        )
        .await;
    let page = ada.follow(back).await;
    assert!(
        lead(&page).starts_with("12 bottles of 750 ml"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn those_kept_back_are_taken_only_when_it_is_said() {
    let club = a_club().await;
    let (_, ada, _) = with_bottles(&club).await;
    let lot = lot(&ada).await;
    let page = ada.get(&lot).await;
    assert_eq!(page.value("Kept back to taste side by side"), "2");
    let refused = took(&ada, &lot, &[("How many", "11")]).await;
    assert_eq!(refused.status, 422);
    let tick = "One that is kept back may be taken";
    assert!(refused.fault(tick).contains("2 of them are kept back"));
    assert_eq!(
        refused.value("Place"),
        "lower shelf",
        "the other form stays"
    );
    let done = took(&ada, &lot, &[("How many", "11"), (tick, "")]).await;
    let page = ada.follow(done).await;
    assert_eq!(page.value("Kept back to taste side by side"), "1");
    let none = [("Kept back to taste side by side", "5")];
    let refused = ada.submit(&page, "Save", &none).await;
    assert_eq!(refused.status, 422);
    // The day until which they are kept has come.
    let until = [("Kept until", "2027-03-10")];
    let saved = ada.submit(&page, "Save", &until).await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    let cellar = ada.get("/cellar").await;
    assert!(
        !cellar.text.contains("To be tasted side by side"),
        "two days too early"
    );
    club.app
        .clock
        .move_to("2027-03-11T08:00:00Z".parse().unwrap());
    let cellar = ada.get("/cellar").await;
    assert!(
        cellar.text.contains("To be tasted side by side"),
        "{}",
        cellar.text
    );
}

#[tokio::test]
async fn the_cellar_follows_the_log() {
    let club = a_club().await;
    let (_, ada, batch) = with_bottles(&club).await;
    let entry: i32 = sqlx::query_scalar("select entry from cellar_lots")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let at = format!("{batch}/log/entry/{entry}");
    let page = ada.get(&at).await;
    let fewer = [("How many", "11")];
    let done = ada.submit(&page, "Correct it", &fewer).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let cellar = ada.get("/cellar").await;
    assert!(
        cellar.text.contains("11 bottles of 750 ml"),
        "{}",
        cellar.text
    );
    assert!(cellar.text.contains("lower shelf"), "where they lie stays");
    let page = ada.get(&at).await;
    let out = ada.submit(&page, "Take it out", &[]).await;
    assert_eq!(out.status, 303, "{}", out.text);
    assert!(
        ada.get("/cellar")
            .await
            .text
            .contains("No bottle lies here")
    );
    let page = ada.get(&at).await;
    let back = ada.submit(&page, "Let it count again", &[]).await;
    assert_eq!(back.status, 303, "{}", back.text);
    let cellar = ada.get("/cellar").await;
    assert!(cellar.text.contains("lower shelf"), "{}", cellar.text);
}

#[tokio::test]
async fn a_part_does_not_fill_the_bottles_once_more() {
    let club = a_club().await;
    let (_, ada, batch) = with_bottles(&club).await;
    let form = ada.get(&format!("{batch}/parts")).await;
    let typed = [
        ("How much, Part 1", "2 L"),
        ("the rest stays here, and this batch goes on with it", ""),
    ];
    let done = ada.submit(&form, "Part it", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let lots: i64 = sqlx::query_scalar("select count(*) from cellar_lots")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(lots, 1);
}

#[tokio::test]
async fn a_stranger_reads_what_the_label_says_and_nothing_more() {
    let club = a_club().await;
    let (person, ada, batch) = with_bottles(&club).await;
    let sulfite = Deed::Addition(Addition {
        grams: Some(3.0),
        ..Addition::of("Potassium metabisulfite", What::Sulfite)
    });
    wrote(&club, &person, &batch, 30.0 * 24.0, sulfite).await;
    let bottle = format!("/b/{}", code(&club).await);
    let about = ada.get(&format!("{batch}/about")).await;
    let done = ada.submit(&about, "Save", &[("only me", "")]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let bert = a_member().named("Bert").of(&club).await;
    for browser in [club.browser(), club.browser_of(&bert).await] {
        let page = browser.get(&bottle).await;
        assert_eq!(page.status, 200, "{}", page.text);
        let main = page.words_of("main").unwrap();
        for said in ["Heather", "mead", "% vol", "750 ml", "Contains sulfites."] {
            assert!(main.contains(said), "{said}: {main}");
        }
        for hidden in [
            "Ada",
            "left",
            "lower shelf",
            "Opened it?",
            "gravity",
            "Open",
        ] {
            assert!(!main.contains(hidden), "{hidden}: {main}");
        }
        assert!(
            !page.links().iter().any(|link| link.contains("/batches/")),
            "no way in"
        );
    }
    let bert = club.browser_of(&bert).await;
    let own = ada.get(&bottle).await;
    assert!(own.has_button("Write it down"));
    let (_, fields) = own.filled(
        "Write it down",
        &[("a lot", ""), ("just right", ""), ("yes", "")],
    );
    let whose = bert.get("/cellar").await;
    assert_eq!(whose.status, 200);
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .collect();
    let refused = bert.post(&bottle, &fields).await;
    assert!(refused.status >= 400, "not theirs: {}", refused.status);
    assert_eq!(bert.get("/b/aaaaaaaaaaaa").await.status, 404);
    assert_eq!(club.browser().post(&bottle, &fields).await.status, 401);
}

#[tokio::test]
async fn three_taps_take_a_bottle_out_and_write_a_tasting() {
    let club = a_club().await;
    let (_, ada, batch) = with_bottles(&club).await;
    let bottle = format!("/b/{}", code(&club).await);
    let bert = a_member().named("Bert").of(&club).await;
    let bert = club.browser_of(&bert).await;
    let page = bert.get(&bottle).await;
    let empty = bert.submit(&page, "Write it down", &[]).await;
    assert_eq!(empty.status, 422, "nothing was tapped");
    let off = [("a lot", ""), ("too sweet", ""), ("something is off", "")];
    let unsaid = bert.submit(&page, "Write it down", &off).await;
    assert_eq!(unsaid.status, 422, "what is off is asked");
    let taps = [("a lot", ""), ("too sweet", ""), ("yes", "")];
    let done = bert.submit(&page, "Write it down", &taps).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let again = bert.submit(&page, "Write it down", &taps).await;
    assert_eq!(again.location(), done.location(), "sent twice, opened once");
    let after = bert.follow(done).await;
    assert!(after.text.contains("11 bottles left"), "{}", after.text);
    let sheet = ada.get(&batch).await;
    let log = sheet.words_of("#log").unwrap();
    assert!(log.contains("Would drink it again"), "{log}");
    assert!(sheet.words_of("#bottles").unwrap().contains("11 of 12"));
    assert!(
        ada.get(&lot(&ada).await).await.text.contains("by Bert"),
        "its maker sees who drank it"
    );
    assert!(
        sheet
            .words_of("#ageing")
            .unwrap()
            .contains("1 tasting of this batch")
    );
}

#[tokio::test]
async fn an_empty_cellar_still_takes_a_tasting_down_and_nothing_below_none() {
    let club = a_club().await;
    let (_, ada, _) = with_bottles(&club).await;
    let place = lot(&ada).await;
    let all = [
        ("How many", "12"),
        ("One that is kept back may be taken", ""),
    ];
    let done = took(&ada, &place, &all).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let bottle = format!("/b/{}", code(&club).await);
    let page = ada.get(&bottle).await;
    let taps = [("not much", ""), ("just right", ""), ("no", "")];
    let done = ada.submit(&page, "Write it down", &taps).await;
    let page = ada.follow(done).await;
    assert!(
        page.text.contains("By the cellar none is left"),
        "{}",
        page.text
    );
    let taken: i64 = sqlx::query_scalar("select sum(bottles) from cellar_taken")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(taken, 12);
    let tasted: i64 =
        sqlx::query_scalar("select count(*) from batch_entries where kind = 'tasting'")
            .fetch_one(club.pool())
            .await
            .unwrap();
    assert_eq!(tasted, 1);
}

#[tokio::test]
async fn a_cellar_is_its_owners_alone() {
    let club = a_club().await;
    let (_, ada, _) = with_bottles(&club).await;
    let place = lot(&ada).await;
    let bert = a_member().named("Bert").of(&club).await;
    let bert = club.browser_of(&bert).await;
    assert_eq!(bert.get(&place).await.status, 404);
    assert!(
        bert.get("/cellar")
            .await
            .text
            .contains("No bottle lies here")
    );
}
