//! Split trials: the parts of a batch under codes, a question, and a day that is told of when it comes.

use super::{a_maker, started};
use crate::support::{Browser, Club, a_member};

async fn parted(club: &Club) -> (Browser, String) {
    let (_, ada, recipe) = a_maker(club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    let form = ada.get(&format!("{batch}/parts")).await;
    let typed = [
        ("How much, Part 1", "4.5 L"),
        ("What will differ, Part 1", "oak"),
        ("How much, Part 2", "4.5 L"),
        ("How much, Part 3", "4.5 L"),
        ("the rest stays here, and this batch goes on with it", ""),
    ];
    let done = ada.submit(&form, "Part it", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    (ada, batch)
}

const SET: &str = "Set the day, and give the parts codes";

#[tokio::test]
async fn parts_get_codes_and_a_day_that_the_first_page_and_the_calendar_tell() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (ada, batch) = parted(&club).await;
    let page = ada.get(&format!("{batch}/trial")).await;
    assert_eq!(page.status, 200);
    assert!(
        !page.value("Taste it on").is_empty(),
        "a usual day stands there"
    );
    let typed = [
        ("What you want to find out", "Does oak help?"),
        ("Taste it on", "2026-12-03"),
    ];
    let done = ada.submit(&page, SET, &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = ada.get(&format!("{batch}/trial")).await;
    assert!(
        page.text
            .contains("The parts are tasted blind on 3 December 2026.")
    );
    assert_eq!(page.words_of(".lead").as_deref(), Some("Does oak help?"));
    let parts = page.words_of("#parts").unwrap();
    assert!(
        parts.contains("oak"),
        "its maker reads what differs: {parts}"
    );
    let codes: Vec<i32> = sqlx::query_scalar("select code from split_trial_codes order by code")
        .fetch_all(club.pool())
        .await
        .unwrap();
    assert_eq!(codes.len(), 3);
    let labels = page.words_of("#labels").unwrap();
    assert!(
        codes.iter().all(|code| labels.contains(&code.to_string())),
        "{labels}"
    );
    assert!(!labels.contains("oak"), "no label tells what is inside");
    // Five days before it the first page tells of it.
    let home = ada.get("/").await;
    let way = home
        .link("Taste the parts blind: Heather")
        .expect("it is told");
    assert_eq!(way, format!("{batch}/trial"));
    // Changing the day keeps the codes; months ahead nobody is told yet.
    let later = [("Taste it on", "2027-06-01")];
    let done = ada.submit(&page, "Change it", &later).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let kept: Vec<i32> = sqlx::query_scalar("select code from split_trial_codes order by code")
        .fetch_all(club.pool())
        .await
        .unwrap();
    assert_eq!(kept, codes);
    assert_eq!(
        ada.get("/").await.link("Taste the parts blind: Heather"),
        None
    );
    let page = ada.get(&format!("{batch}/trial")).await;
    let off = ada
        .submit(&page, "Call the trial off: parts and logs stay", &[])
        .await;
    assert_eq!(off.status, 303);
    let left: i64 = sqlx::query_scalar("select count(*) from split_trial_codes")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(left, 0);
    assert!(
        ada.get(&batch).await.link("Heather, part 3").is_some(),
        "the parts stay"
    );
}

#[tokio::test]
async fn a_trial_needs_parts_a_question_and_a_day_ahead() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (ada, batch) = parted(&club).await;
    let page = ada.get(&format!("{batch}/trial")).await;
    let wrong = [
        ("What you want to find out", ""),
        ("Taste it on", "2026-11-01"),
    ];
    let refused = ada.submit(&page, SET, &wrong).await;
    assert_eq!(refused.status, 422);
    assert!(!refused.fault("What you want to find out").is_empty());
    assert!(refused.fault("Taste it on").contains("is over"));
    assert_eq!(refused.value("Taste it on"), "2026-11-01");
    let part = ada.get(&batch).await.link("Heather, part 1").unwrap();
    let alone = ada.get(&format!("{part}/trial")).await;
    assert!(
        alone.text.contains("needs two to six parts"),
        "{}",
        alone.text
    );
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    assert_eq!(bo.get(&format!("{batch}/trial")).await.status, 404);
    assert_eq!(
        bo.post(&format!("{batch}/trial/off"), &[]).await.status,
        404
    );
}

#[tokio::test]
async fn when_the_day_comes_the_parts_are_ranked_blind() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (ada, batch) = parted(&club).await;
    let page = ada.get(&format!("{batch}/trial")).await;
    let ahead = [
        ("What you want to find out", "Does oak help?"),
        ("Taste it on", "2026-12-03"),
    ];
    ada.submit(&page, SET, &ahead).await;
    let page = ada.get(&format!("{batch}/trial")).await;
    assert!(
        !page.has_button("Open the blind tasting"),
        "not before its day"
    );
    let fields = [
        ("once", page.hidden("once").unwrap_or_default()),
        ("tasters", "6".to_owned()),
    ];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    let early = ada.post(&format!("{batch}/trial/open"), &fields).await;
    assert_ne!(early.status, 303, "nor by hand");
    ada.submit(&page, "Change it", &[("Taste it on", "2026-11-28")])
        .await;
    let page = ada.get(&format!("{batch}/trial")).await;
    let refused = ada
        .submit(
            &page,
            "Open the blind tasting",
            &[("How many taste", "one")],
        )
        .await;
    assert_eq!(refused.status, 422);
    assert!(!refused.fault("How many taste").is_empty());
    let done = ada
        .submit(&page, "Open the blind tasting", &[("How many taste", "4")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let again = ada
        .submit(&page, "Open the blind tasting", &[("How many taste", "4")])
        .await;
    assert_eq!(again.location(), done.location(), "sent twice, opened once");
    let tasting = super::address(done.location());
    assert_eq!(ada.get(&tasting).await.status, 200);
    let row: (String, bool, String, String) =
        sqlx::query_as("select kind, coded, title, question from tastings")
            .fetch_one(club.pool())
            .await
            .unwrap();
    assert_eq!((row.0.as_str(), row.1), ("ranking", true));
    assert!(
        !row.2.contains("oak") && row.3.is_empty(),
        "whoever knows what differs tastes it: {row:?}"
    );
    let poured: i64 = sqlx::query_scalar("select count(*) from tasting_pours")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(poured, 3);
    let page = ada.get(&format!("{batch}/trial")).await;
    assert_eq!(
        page.link("The tasting of it").as_deref(),
        Some(tasting.as_str())
    );
    assert_eq!(
        ada.get("/").await.link("Taste the parts blind: Heather"),
        None,
        "told no more"
    );
}
