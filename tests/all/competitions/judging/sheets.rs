//! One sheet: saved as far as it is, signed whole, frozen; two tabs, lost answers, fifty at once; who never gets to write.

use mustwright::competitions::model::Phase;
use tokio::task::JoinSet;

use super::{Day, POINTS, a_day, filled, presses, said, signs};
use crate::support::{Browser, Page};

#[tokio::test]
async fn a_judge_goes_from_glass_to_glass_without_script() {
    let day = a_day(2).await;
    let ada = day.as_(&day.ada).await;
    let page = ada.get(&day.held.path).await;
    let list = page.link("Your glasses").expect("a way to the glasses");
    let list = ada.get(&list).await;
    let first = list.link("KM472").expect("the first glass");
    assert!(list.text.contains("not begun"), "{}", list.text);
    let sheet = ada.get(&first).await;
    assert_eq!(sheet.heading(), "KM472");
    let facts = sheet.words_of(".lead").unwrap_or_default();
    assert!(facts.contains("12 %, dry, still, plain"), "{facts}");
    let some = [POINTS[0], ("In words, Smell", "pears and wax"), ("hot", "")];
    let done = ada.submit(&sheet, "Save", &some).await;
    let saved = ada.follow(done).await;
    assert!(
        saved.text.contains("Saved. Nobody else reads it"),
        "{}",
        saved.text
    );
    assert_eq!(saved.value("In words, Smell"), "pears and wax");
    assert_eq!(saved.words_of("[data-total]").as_deref(), Some("4"));
    let faulty = ada.submit(&saved, "Sign it", &[]).await;
    assert_eq!(faulty.status, 422);
    let why = "Taste: give points, a whole number from 0 to 20.";
    assert_eq!(faulty.fault("Points, 0 to 20, Taste"), why);
    assert_eq!(faulty.value("In words, Smell"), "pears and wax");
    let done = ada.submit(&faulty, "Sign it", &POINTS).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let next = ada.follow(done).await;
    assert_eq!(next.heading(), "TR936");
    let signed = ada.get(&first).await;
    assert!(!signed.has_button("Save") && !signed.has_button("Sign it"));
    for told in [
        "38 of 50",
        "pears and wax",
        "Faults: hot.",
        "You have signed this sheet",
    ] {
        assert!(signed.text.contains(told), "{told}: {}", signed.text);
    }
    assert!(ada.get(&list_of(&day)).await.text.contains("signed"));
    assert!(day.chain_holds().await);
}

fn list_of(day: &Day) -> String {
    format!("{}/judging", day.held.path)
}

#[tokio::test]
async fn what_is_signed_stays_and_is_written_over_by_nothing() {
    let day = a_day(1).await;
    let ada = day.as_(&day.ada).await;
    let open = ada.get(&day.sheet(0)).await;
    signs(&ada, &day.sheet(0), &[]).await;
    let other = filled(&[("Points, 0 to 20, Taste", "3")]);
    for button in ["Save", "Sign it"] {
        let late = ada.submit(&open, button, &other).await;
        assert_eq!(late.status, 409, "{}", late.text);
        assert!(!late.has_button("Save"), "{}", late.text);
        let both = late.words_of("#meanwhile").unwrap_or_default();
        assert!(both.contains("Taste, points 15 3"), "{both}");
    }
    // The same once more is no other sheet.
    let again = ada.submit(&open, "Sign it", &filled(&[])).await;
    assert_eq!(again.status, 303, "{}", again.text);
    assert_eq!(
        day.count("select count(*) from competition_sheets").await,
        1
    );
    let mut owner = day.club.database.owner().await;
    for change in [
        "update competition_sheets set data = '{}'",
        "delete from competition_sheets",
        "truncate competition_sheets",
    ] {
        let refused = sqlx::query(change).execute(&mut owner).await;
        assert!(refused.is_err(), "{change}");
    }
}

#[tokio::test]
async fn two_tabs_on_one_sheet_show_both_values_and_lose_neither() {
    let day = a_day(1).await;
    let ada = day.as_(&day.ada).await;
    let (one, other) = (ada.get(&day.sheet(0)).await, ada.get(&day.sheet(0)).await);
    let first = [
        ("Points, 0 to 20, Taste", "15"),
        ("In words, Taste", "plums"),
    ];
    assert_eq!(ada.submit(&one, "Save", &first).await.status, 303);
    let second = [("Points, 0 to 20, Taste", "11"), ("thin", "")];
    let clash = ada.submit(&other, "Save", &second).await;
    assert_eq!(clash.status, 409, "{}", clash.text);
    let both = clash.words_of("#meanwhile").unwrap_or_default();
    for told in [
        "Taste, points 15 11",
        "Taste, in words plums",
        "Faults thin",
    ] {
        assert!(both.contains(told), "{told}: {both}");
    }
    assert_eq!(
        clash.value("Points, 0 to 20, Taste"),
        "11",
        "what was typed"
    );
    assert_eq!(
        ada.get(&day.sheet(0)).await.value("In words, Taste"),
        "plums"
    );
    let chosen = ada
        .submit(&clash, "Save", &[("In words, Taste", "plums")])
        .await;
    assert_eq!(chosen.status, 303, "{}", chosen.text);
    let now = ada.get(&day.sheet(0)).await;
    assert_eq!(now.value("Points, 0 to 20, Taste"), "11");
    assert_eq!(now.value("In words, Taste"), "plums");
    assert_eq!(
        day.count("select count(*) from competition_sheets").await,
        2
    );
}

/// Sends a page's sheet as its script does.
async fn keeps(ada: &Browser, page: &Page, (hand, sequence): (&str, u32), taste: &str) -> Page {
    let (action, mut fields) = page.filled("Save", &[("Points, 0 to 20, Taste", taste)]);
    for (name, value) in &mut fields {
        match name.as_str() {
            "hand" => *value = hand.to_owned(),
            "sequence" => *value = sequence.to_string(),
            _ => {}
        }
    }
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    ada.post(&format!("{action}/keep"), &fields).await
}

#[tokio::test]
async fn a_page_whose_answers_were_lost_never_fights_with_itself() {
    let day = a_day(1).await;
    let ada = day.as_(&day.ada).await;
    let page = ada.get(&day.sheet(0)).await;
    let hand = "a".repeat(26);
    let first = keeps(&ada, &page, (&hand, 1), "10").await;
    assert_eq!((first.status, first.text.as_str()), (200, "1"));
    // Nobody heard the answer: the page still knows of no row.
    let next = keeps(&ada, &page, (&hand, 3), "12").await;
    assert_eq!((next.status, next.text.as_str()), (200, "2"));
    // What was sent before arrives after.
    let late = keeps(&ada, &page, (&hand, 2), "11").await;
    assert_eq!((late.status, late.text.as_str()), (200, "2"));
    assert_eq!(
        ada.get(&day.sheet(0)).await.value("Points, 0 to 20, Taste"),
        "12"
    );
    // Another window is another hand.
    let other = keeps(&ada, &page, (&"b".repeat(26), 9), "19").await;
    assert_eq!(other.status, 409);
    assert_eq!(keeps(&ada, &page, (&hand, 4), "many").await.status, 422);
}

/// Presses at once in fifty windows; how often each status came.
async fn fifty(day: &Day, button: &'static str, sheets: &[Vec<(&str, &str)>]) -> Vec<u16> {
    let cookies = day.as_(&day.ada).await.cookie_line();
    let page = day.as_(&day.ada).await.get(&day.sheet(0)).await;
    let mut all = JoinSet::new();
    for at in 0..50 {
        let (action, fields) = page.filled(button, &sheets[at % sheets.len()]);
        let browser = day.club.browser();
        browser.take_cookies(&cookies);
        all.spawn(async move {
            let fields: Vec<(&str, &str)> = fields
                .iter()
                .map(|(n, v)| (n.as_str(), v.as_str()))
                .collect();
            loop {
                let status = browser.post(&action, &fields).await.status;
                // A busy server asks to come again.
                if status != 503 {
                    return status;
                }
            }
        });
    }
    all.join_all().await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn fifty_sign_offs_at_once_are_one() {
    let day = a_day(1).await;
    let statuses = fifty(&day, "Sign it", &[filled(&[])]).await;
    assert!(statuses.iter().all(|status| *status == 303), "{statuses:?}");
    assert_eq!(
        day.count("select count(*) from competition_sheets").await,
        1
    );
    let signed = "select count(*) from competition_deeds where deed = 'signed'";
    assert_eq!(day.count(signed).await, 1);
    assert!(day.chain_holds().await);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_fifty_different_sheets_at_once_the_first_stays_and_the_others_are_told() {
    let day = a_day(1).await;
    let sheets: Vec<_> = ["0", "1", "2", "3", "4", "5"]
        .map(|look| filled(&[("Points, 0 to 5, Look", look)]))
        .to_vec();
    let statuses = fifty(&day, "Sign it", &sheets).await;
    let count = |wanted: u16| statuses.iter().filter(|status| **status == wanted).count();
    // Those that say the very same as the first one are done too.
    assert_eq!(count(303) + count(409), 50, "{statuses:?}");
    assert!((8..=9).contains(&count(303)), "{statuses:?}");
    assert_eq!(
        day.count("select count(*) from competition_sheets").await,
        1
    );
    assert!(day.chain_holds().await);
}

#[tokio::test]
async fn nobody_but_the_judges_of_a_table_finds_its_sheets() {
    let day = a_day(1).await;
    let ada = day.as_(&day.ada).await;
    signs(&ada, &day.sheet(0), &[]).await;
    let others = [&day.organiser, &day.steward, &day.makers[0], &day.makers[1]];
    for person in others {
        let browser = day.as_(person).await;
        for path in [list_of(&day), day.table.clone(), day.sheet(0)] {
            assert_eq!(
                browser.get(&path).await.status,
                404,
                "{} {path}",
                person.name
            );
        }
        for end in ["", "/keep", "/sign", "/recognise"] {
            let path = format!("{}{end}", day.sheet(0));
            assert_eq!(
                browser.post(&path, &[]).await.status,
                404,
                "{}",
                person.name
            );
        }
        let key = format!("{}/judging/key", day.held.path);
        assert_eq!(browser.post(&key, &[]).await.status, 404, "{}", person.name);
    }
    // Another judge's sheet has no address at all.
    let bo = day.as_(&day.bo).await;
    assert!(!said(&bo.get(&day.sheet(0)).await).contains("38"));
}

#[tokio::test]
async fn sheets_are_written_while_it_is_judged_and_never_else() {
    let day = a_day(1).await;
    let ada = day.as_(&day.ada).await;
    let open = ada.get(&day.sheet(0)).await;
    for phase in Phase::ALL {
        if phase == Phase::Judging {
            continue;
        }
        day.held.stands_in(&day.club, phase).await;
        for button in ["Save", "Sign it", "I recognise this entry"] {
            let late = ada.submit(&open, button, &[]).await;
            let wanted: &[u16] = match phase < Phase::Judging {
                true => &[404],
                // To be signed without points is a fault before it is too late.
                false => &[409, 422],
            };
            assert!(
                wanted.contains(&late.status),
                "{phase:?} {button}: {}",
                late.status
            );
        }
        let shown = ada.get(&day.sheet(0)).await;
        assert!(!shown.has_button("Save"), "{phase:?}");
    }
    assert_eq!(
        day.count("select count(*) from competition_sheets").await,
        0
    );
}

#[tokio::test]
async fn who_is_kept_apart_from_an_entry_since_the_flights_were_made_writes_nothing() {
    let day = a_day(2).await;
    let ada = day.as_(&day.ada).await;
    let open = ada.get(&day.sheet(0)).await;
    let (one, other) = (
        day.ada.id.min(day.makers[0].id),
        day.ada.id.max(day.makers[0].id),
    );
    sqlx::query(
        "insert into competition_conflicts (competition_id, one_id, other_id) values ($1, $2, $3)",
    )
    .bind(day.held.id.0)
    .bind(one.0)
    .bind(other.0)
    .execute(day.club.pool())
    .await
    .expect("a conflict");
    for button in ["Save", "Sign it"] {
        let refused = ada.submit(&open, button, &filled(&[])).await;
        assert_eq!(refused.status, 409, "{}", refused.text);
        assert!(refused.text.contains("kept apart"), "{}", refused.text);
        assert!(!refused.text.contains("Mona"), "{}", refused.text);
    }
    assert_eq!(
        day.count("select count(*) from competition_sheets").await,
        0
    );
    // The other entry is of somebody else.
    signs(&ada, &day.sheet(1), &[]).await;
}

#[tokio::test]
async fn whoever_recognises_an_entry_steps_back_and_that_is_written_down() {
    let day = a_day(2).await;
    let (ada, bo) = (day.as_(&day.ada).await, day.as_(&day.bo).await);
    presses(&ada, &day.sheet(0), "Save", &[POINTS[2]]).await;
    let open = ada.get(&day.sheet(0)).await;
    let done = ada.submit(&open, "I recognise this entry", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(ada.follow(done).await.heading(), "TR936");
    let again = ada.submit(&open, "I recognise this entry", &[]).await;
    assert_eq!(again.status, 303, "pressed twice: {}", again.text);
    let late = ada.submit(&open, "Save", &filled(&[])).await;
    assert_eq!(late.status, 409);
    let shown = ada.get(&day.sheet(0)).await;
    assert!(
        shown.text.contains("You stepped back from this entry"),
        "{}",
        shown.text
    );
    let written = "select count(*) from competition_deeds where deed = 'recused'";
    assert_eq!(day.count(written).await, 1);
    signs(&bo, &day.sheet(0), &[]).await;
    // Who stepped back reads nobody's points of it.
    assert!(!said(&ada.get(&day.table).await).contains("38"));
    assert!(day.chain_holds().await);
}

#[tokio::test]
async fn what_a_phone_keeps_has_a_key_of_its_session() {
    let day = a_day(1).await;
    let path = format!("{}/judging/key", day.held.path);
    let (ada, other, bo) = (
        day.as_(&day.ada).await,
        day.as_(&day.ada).await,
        day.as_(&day.bo).await,
    );
    let key = async |browser: &Browser| {
        let page = browser.post(&path, &[]).await;
        assert_eq!(page.status, 200, "{}", page.text);
        assert_eq!(page.header("cache-control"), "no-store");
        page.text
    };
    let own = key(&ada).await;
    assert_eq!(own.len(), 64);
    assert_eq!(own, key(&ada).await, "the same after a flat battery");
    assert_ne!(own, key(&other).await, "another session, another key");
    assert_ne!(own, key(&bo).await);
    let cookies = ada.cookie_line();
    let gone = ada.post("/sign-out", &[]).await;
    assert!(gone.header("clear-site-data").contains("storage"));
    ada.take_cookies(&cookies);
    assert_eq!(ada.post(&path, &[]).await.status, 401, "gone at sign-out");
}
