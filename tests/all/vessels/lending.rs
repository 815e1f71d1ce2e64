//! What the club lends: asked for, lent, given back; only lenders decide, and everything stays told.

use mustwright::vessels::lending::store::{self, Asking};
use mustwright::web::random;
use mustwright::web::units::Units;

use super::{a_club, another};
use crate::support::{Browser, a_keeper, a_member};

/// Offers a thing; its address.
async fn offered(browser: &Browser, typed: &[(&str, &str)]) -> String {
    let form = browser.get("/club/equipment/new").await;
    let done = browser.submit(&form, "Save", typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let to = done.location().unwrap();
    to.split('?').next().unwrap().to_owned()
}

const PRESS: &[(&str, &str)] = &[
    ("What it is", "Hand press"),
    ("Where it is fetched", "the shed"),
    ("Its condition", "the bag has a seam"),
];

async fn state(browser: &Browser, thing: &str) -> String {
    browser.get(thing).await.words_of("#state").unwrap()
}

#[tokio::test]
async fn a_thing_is_asked_for_lent_and_given_back() {
    let (club, ada) = a_club().await;
    let oskar = another(&club, "Oskar", Units::Metric).await;
    let thing = offered(&ada, PRESS).await;
    assert_eq!(state(&oskar, &thing).await, "Ada’s; at hand.");
    let page = oskar.get(&thing).await;
    let typed = [
        ("Until", "2999"),
        ("What you would say with it", "for the plums"),
    ];
    let page = oskar.submit(&page, "Ask for it", &typed).await;
    assert_eq!(page.status, 422);
    assert_eq!(page.value("What you would say with it"), "for the plums");
    let until = (chrono::Utc::now() + chrono::Days::new(14)).date_naive();
    let done = oskar
        .submit(&page, "Ask for it", &[("Until", &until.to_string())])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert!(state(&ada, &thing).await.contains("asked for by Oskar"));
    // Nobody else asks meanwhile, and whoever asked lends nothing to themselves.
    let ines = another(&club, "Ines", Units::Metric).await;
    assert!(!ines.get(&thing).await.has_button("Ask for it"));
    assert!(!oskar.get(&thing).await.has_button("Lend it"));
    let page = ada.get(&thing).await;
    assert_eq!(page.value("Lend it until"), until.to_string());
    let done = ada.submit(&page, "Lend it", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert!(state(&oskar, &thing).await.contains("lent to you since"));
    assert!(!oskar.get(&thing).await.has_button("It is back"));
    let page = ada.get(&thing).await;
    let done = ada
        .submit(
            &page,
            "It is back",
            &[("In what condition", "a screw is loose")],
        )
        .await;
    let page = ada.follow(done).await;
    assert_eq!(page.words_of("#state").unwrap(), "yours; at hand.");
    let past = page.words_of("table").unwrap();
    assert!(
        past.contains("Oskar") && past.contains("given back: a screw is loose"),
        "{past}"
    );
    let list = ines.get("/club/equipment").await;
    let words = list.words_of(".entries").unwrap();
    for told in ["Hand press", "Ada’s · the shed", "at hand"] {
        assert!(words.contains(told), "{told}: {words}");
    }
}

#[tokio::test]
async fn only_lenders_and_keepers_decide() {
    let (club, ada) = a_club().await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let oskar = another(&club, "Oskar", Units::Metric).await;
    let ines = another(&club, "Ines", Units::Metric).await;
    let thing = offered(&ada, PRESS).await;
    let page = oskar.get(&thing).await;
    oskar
        .submit(&page, "Ask for it", &[("Until", "tomorrow")])
        .await;
    let loan: String = sqlx::query_scalar("select public_id from loans")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let of_loan = |verb: &str| format!("{thing}/loans/{loan}/{verb}");
    for path in [
        of_loan("lend"),
        of_loan("refuse"),
        of_loan("given-back"),
        format!("{thing}/edit"),
        format!("{thing}/withdraw"),
        format!("{thing}/offer-again"),
    ] {
        for somebody in [&oskar, &ines] {
            let refused = somebody.post(&path, &[("until", "tomorrow")]).await;
            assert_eq!(refused.status, 404, "{path}");
        }
    }
    // Only whoever asked takes it back.
    assert_eq!(ines.post(&of_loan("take-back"), &[]).await.status, 409);
    assert_eq!(oskar.post(&of_loan("take-back"), &[]).await.status, 303);
    assert!(state(&wren, &thing).await.contains("at hand"));
    // A keeper decides for everybody; what is settled is settled.
    let page = oskar.get(&thing).await;
    oskar
        .submit(&page, "Ask for it", &[("Until", "tomorrow")])
        .await;
    let page = wren.get(&thing).await;
    assert_eq!(wren.submit(&page, "Say no", &[]).await.status, 303);
    let late = ada.submit(&page, "Lend it", &[]).await;
    assert_eq!(late.status, 409);
    assert!(
        late.words_of("#meanwhile")
            .unwrap()
            .contains("settled meanwhile")
    );
    // The club's own things are the keeper's to offer.
    let clubs = offered(&wren, &[("What it is", "Stockpot"), ("the club’s", "club")]).await;
    assert_eq!(state(&ada, &clubs).await, "the club’s; at hand.");
    assert_eq!(ada.get(&format!("{clubs}/edit")).await.status, 404);
    let form = ada.get("/club/equipment/new").await;
    let (_, mut fields) = form.filled("Save", &[("What it is", "Ladle")]);
    fields.push(("whose".to_owned(), "club".to_owned()));
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    let done = ada.post("/club/equipment/new", &fields).await;
    let ladle = done
        .location()
        .unwrap()
        .split('?')
        .next()
        .unwrap()
        .to_owned();
    assert_eq!(state(&ada, &ladle).await, "yours; at hand.");
}

#[tokio::test]
async fn of_many_who_ask_at_once_one_comes_in() {
    let (club, ada) = a_club().await;
    let thing = offered(&ada, PRESS).await;
    let id = thing.rsplit('/').next().unwrap().to_owned();
    let mut asking = tokio::task::JoinSet::new();
    for number in 0..8 {
        let name = format!("Asker {}", char::from(b'A' + number));
        let member = a_member().named(&name).of(&club).await.id;
        let (pool, id, now) = (club.pool().clone(), id.clone(), club.app.clock.now());
        asking.spawn(async move {
            let mut conn = pool.acquire().await.unwrap();
            let asking = Asking {
                thing: &id,
                member,
                until: now.date_naive(),
                remark: "",
            };
            let loan = random::public_id().unwrap();
            store::ask(&mut conn, &loan, asking, now).await.unwrap()
        });
    }
    let came_in: Vec<bool> = asking.join_all().await;
    assert_eq!(came_in.iter().filter(|came| **came).count(), 1);
    // Over HTTP the loser sees who has it, with what was typed.
    let oskar = another(&club, "Oskar", Units::Metric).await;
    let fields = {
        let own = oskar.get("/vessels/new").await;
        own.hidden("once").unwrap()
    };
    let late = oskar
        .post(
            &format!("{thing}/ask"),
            &[("once", &fields), ("until", "tomorrow"), ("remark", "mine")],
        )
        .await;
    assert_eq!(late.status, 409);
    assert!(
        late.words_of("#meanwhile")
            .unwrap()
            .contains("Somebody was faster")
    );
}

#[tokio::test]
async fn what_is_lent_no_more_is_hidden_and_its_history_kept() {
    let (club, ada) = a_club().await;
    let oskar = another(&club, "Oskar", Units::Metric).await;
    let thing = offered(&ada, PRESS).await;
    let stale = oskar.get(&thing).await;
    let page = ada.get(&thing).await;
    ada.submit(&page, "Lend it no more", &[]).await;
    assert_eq!(oskar.get(&thing).await.status, 404);
    assert!(
        !oskar
            .get("/club/equipment")
            .await
            .text
            .contains("Hand press")
    );
    let late = oskar
        .submit(&stale, "Ask for it", &[("Until", "tomorrow")])
        .await;
    assert_eq!(late.status, 404);
    assert!(
        ada.get("/club/equipment")
            .await
            .words_of("#withdrawn")
            .unwrap()
            .contains("Hand press")
    );
    let page = ada.get(&thing).await;
    ada.submit(&page, "Lend it again", &[]).await;
    assert_eq!(oskar.get(&thing).await.status, 200);
    for table in ["club_equipment", "loans"] {
        let sql = sqlx::AssertSqlSafe(format!("delete from {table}"));
        assert!(
            sqlx::query(sql).execute(club.pool()).await.is_err(),
            "{table}"
        );
    }
}
