//! Honey ordered together: sums to the coin, what recipes need, and that nothing comes in once an order is closed.

use mustwright::engine::{Settings, formulate};
use mustwright::orders::share::{Offered, Wish, apportion, bill};
use mustwright::recipes::forms::check::stored;
use proptest::prelude::*;
use serde_json::Value;

use crate::recipes::{all_words, saved};
use crate::support::{Browser, Club, Page, a_keeper, a_member};

const KG: u64 = 1_000_000;

proptest! {
    #[test]
    fn parts_make_the_sum_and_nobody_pays_more_than_a_coin_too_much(
        sum in 0u64..5_000_000, weights in prop::collection::vec(0u64..50 * KG, 1..30)
    ) {
        let parts = apportion(sum, &weights);
        let whole: u64 = weights.iter().sum();
        prop_assert_eq!(parts.iter().sum::<u64>(), if whole == 0 { 0 } else { sum });
        for (part, weight) in parts.iter().zip(&weights) {
            let fair = sum as f64 * *weight as f64 / whole.max(1) as f64;
            prop_assert!((*part as f64 - fair).abs() < 1.0, "{part} for {fair}");
        }
        for (one, heavy) in parts.iter().zip(&weights) {
            for (other, light) in parts.iter().zip(&weights) {
                prop_assert!(heavy < light || one + u64::from(heavy == light) >= *other);
            }
        }
    }

    #[test]
    fn the_shares_of_any_order_make_its_bill(
        offers in prop::collection::vec((0i64..3_000, 10_000u64..25 * KG), 1..6),
        asks in prop::collection::vec((0usize..6, 0usize..12, 1_000u64..30 * KG), 0..60),
        delivery in 0i64..20_000,
    ) {
        let offered: Vec<Offered> = offers
            .iter()
            .map(|(price_per_kg, pack_mg)| Offered { price_per_kg: *price_per_kg, pack_mg: *pack_mg })
            .collect();
        let wishes: Vec<Wish> = asks
            .iter()
            .map(|(honey, member, mg)| Wish { honey: honey % offered.len(), member: *member, mg: *mg })
            .collect();
        let bill = bill(&offered, 12, &wishes, delivery);
        let paid: i64 = bill.shares.iter().map(|share| share.total()).sum();
        prop_assert_eq!(paid, bill.total());
        prop_assert_eq!(bill.delivery, if wishes.is_empty() { 0 } else { delivery });
        for (at, (honey, offer)) in bill.honeys.iter().zip(&offered).enumerate() {
            let asked: u64 = wishes.iter().filter(|wish| wish.honey == at).map(|wish| wish.mg).sum();
            prop_assert_eq!(honey.asked_mg, asked);
            prop_assert!(honey.bought_mg + 1_000 >= asked, "enough for everybody");
            prop_assert!(asked == 0 || honey.bought_mg < asked + offer.pack_mg.max(1_001), "no pack too many");
            let given: u64 = bill.shares.iter().map(|share| share.gets_mg[at]).sum();
            prop_assert_eq!(given, honey.bought_mg, "nothing is left over");
        }
        for (member, share) in bill.shares.iter().enumerate() {
            prop_assert!(share.own >= 0 && share.rest >= 0 && share.delivery >= 0);
            let asks = wishes.iter().any(|wish| wish.member == member);
            prop_assert!(asks || share.total() == 0, "who wants nothing pays nothing");
        }
    }
}

#[test]
fn a_small_order_by_hand() {
    // 6 kg and 4 kg of buckets of 12.5 kg at 8.00: one bucket is 100.00, asked for are 80.00 of it, 20.00 are the rest.
    let offered = [Offered {
        price_per_kg: 800,
        pack_mg: 12_500_000,
    }];
    let wish = |member, kg| Wish {
        honey: 0,
        member,
        mg: kg * KG,
    };
    let bill = bill(&offered, 2, &[wish(0, 6), wish(1, 4)], 1_001);
    assert_eq!((bill.honeys[0].packs, bill.honeys[0].cost), (1, 10_000));
    let told: Vec<_> = bill
        .shares
        .iter()
        .map(|share| (share.own, share.rest, share.delivery, share.gets_mg[0]))
        .collect();
    // The odd coin of the delivery falls on who lost 0.6 of one.
    assert_eq!(
        told,
        [(4_800, 1_200, 601, 7_500_000), (3_200, 800, 400, 5_000_000)]
    );
    assert_eq!(bill.total(), 11_001);
}

/// Opens an order that offers wildflower and buckwheat; gives its page.
async fn opened(browser: &Browser) -> String {
    let form = browser.get("/club/order/new").await;
    let done = browser
        .submit(
            &form,
            "Open the order",
            &[
                ("What the order is called", "From the weir"),
                ("Last day to add something", "2099-12-12"),
                ("Delivery, may be left empty", "18"),
            ],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = browser.follow(done).await;
    assert!(page.text.contains("Now say which honeys can be had"));
    for (kind, called, price, pack) in [
        ("honey-wildflower", "Wildflower", "7.80", "12.5 kg"),
        ("honey-buckwheat", "Buckwheat", "9.90", "5 kg"),
    ] {
        let path = path_of(browser).await;
        let page = browser.get(&path).await;
        let labelled = [
            ("Kind of honey", kind),
            ("Called", called),
            ("Price of a kilogram", price),
            ("Smallest pack", pack),
        ];
        let offered = browser.submit(&page, "Offer it", &labelled).await;
        assert_eq!(offered.status, 303, "{}", offered.text);
    }
    path_of(browser).await
}

async fn path_of(browser: &Browser) -> String {
    browser
        .get("/club/order")
        .await
        .link("From the weir")
        .expect("the order")
}

async fn add(browser: &Browser, order: &str, labelled: &[(&str, &str)]) -> Page {
    let page = browser.get(order).await;
    browser.submit(&page, "Add it", labelled).await
}

/// The value of the choice of these words in a select.
fn choice(page: &Page, words: &str) -> String {
    let html = scraper::Html::parse_document(&page.text);
    let options = scraper::Selector::parse("option").unwrap();
    html.select(&options)
        .find(|option| option.text().collect::<String>() == words)
        .and_then(|option| option.value().attr("value"))
        .unwrap_or_else(|| panic!("no {words}"))
        .to_owned()
}

#[tokio::test]
async fn a_planned_batch_asks_for_what_its_numbers_take() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let order = opened(&ada).await;
    saved(
        &bo,
        &[
            ("Name", "For winter"),
            ("Volume of must, in litres or gallons", "10 L"),
            ("Honey, Honey 1", "honey-buckwheat"),
        ],
    )
    .await;
    let document: Value = sqlx::query_scalar("select document from revisions")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let recipe = stored(&document).unwrap();
    let kg = formulate(&recipe, &Settings { sachet_g: 5.0 }).ingredients[0]
        .kg
        .unwrap();
    let page = bo.get(&order).await;
    let labelled = [
        ("Honey", &*choice(&page, "Buckwheat")),
        ("For which of your recipes", &*choice(&page, "For winter")),
        ("Volume you plan, may be left empty", "20 L"),
    ];
    let done = add(&bo, &order, &labelled).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let asked: f64 = sqlx::query_scalar("select kg from honey_order_lines")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert!((asked - 2.0 * kg).abs() < 1e-6, "{asked} is twice {kg}");
    // Others read how much, not for what: the recipe is Bo's own.
    let theirs = ada.get(&order).await;
    assert!(
        theirs.text.contains("for a recipe at 20 L"),
        "{}",
        theirs.text
    );
    assert!(!theirs.text.contains("For winter"));
    assert!(bo.get(&order).await.link("For winter").is_some());
    // Ada has no such recipe to choose.
    let both = [
        ("Honey", labelled[0].1),
        ("For which of your recipes", labelled[1].1),
    ];
    let refused = add(&ada, &order, &both).await;
    assert_eq!(refused.status, 422);
    assert_eq!(
        refused.fault("For which of your recipes"),
        "Choose one of your recipes."
    );
    let neither = add(&ada, &order, &[]).await;
    assert!(
        neither
            .fault("Or a plain amount")
            .contains("Choose a recipe")
    );
}

#[tokio::test]
async fn an_order_is_added_up_closed_paid_and_done() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("-Bo").of(&club).await)
        .await;
    let order = opened(&ada).await;
    assert_eq!(
        add(&ada, &order, &[("Or a plain amount", "6 kg")])
            .await
            .status,
        303
    );
    assert_eq!(
        add(&bo, &order, &[("Or a plain amount", "4 kg")])
            .await
            .status,
        303
    );
    let page = bo.get(&order).await;
    // 97.50 for the bucket: 46.80 and 31.20 for what was asked, 11.70 and 7.80 for the rest, 10.80 and 7.20 for delivery.
    let rows = all_words(&page, "section:last-of-type tbody tr");
    assert_eq!(
        rows,
        [
            "-Bo (you) 46.20 5 kg Wildflower 31.20 7.80 7.20",
            "Ada 69.30 7.5 kg Wildflower 46.80 11.70 10.80"
        ]
    );
    assert!(
        page.words_of("section:last-of-type tfoot")
            .unwrap()
            .ends_with("115.50")
    );
    assert!(!page.has_button("Close it now") && !page.has_button("Call it off"));

    let page = ada.get(&order).await;
    let closed = ada.submit(&page, "Close it now", &[]).await;
    assert_eq!(closed.status, 303);
    let table = ada.get(&format!("{order}/table.csv")).await;
    assert!(table.header("content-type").starts_with("text/csv"));
    let lines: Vec<&str> = table.text.lines().collect();
    assert_eq!(
        lines[1], "'-Bo,5,0,31.20,7.80,7.20,46.20,no,no",
        "no formula for a spreadsheet"
    );
    assert_eq!(lines[3], "all,12.5,0,78.00,19.50,18.00,115.50,,");
    assert_eq!(bo.get(&format!("{order}/table.csv")).await.status, 404);

    let page = ada.get(&order).await;
    let ticked = ada
        .submit(&page, "Note it: -Bo", &[("has paid, -Bo", "")])
        .await;
    assert_eq!(ticked.status, 303, "{}", ticked.text);
    let page = bo.get(&order).await;
    assert!(all_words(&page, "section:last-of-type tbody tr")[0].ends_with("7.20 yes no"));
    let page = ada.get(&order).await;
    let done = ada.submit(&page, "Everybody has their honey", &[]).await;
    assert_eq!(done.status, 303);
    let after = ada.submit(&page, "Note it: -Bo", &[]).await;
    assert_eq!(after.status, 409, "what is done stays done");
    let kept: i64 =
        sqlx::query_scalar("select count(*) from honey_order_ticks where paid_at is not null")
            .fetch_one(club.pool())
            .await
            .unwrap();
    assert_eq!(kept, 1);
    assert_eq!(ada.post(&format!("{order}/cancel"), &[]).await.status, 409);
}

#[tokio::test]
async fn nothing_comes_in_once_it_is_closed_however_close_the_race() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let order = opened(&ada).await;
    let mut forms = Vec::new();
    for _ in 0..6 {
        forms.push(bo.get(&order).await);
    }
    let amount = [("Or a plain amount", "1 kg")];
    let last = bo.get(&order).await;
    let page = ada.get(&order).await;
    let (a, b, c, closed, d, e, f) = tokio::join!(
        bo.submit(&forms[0], "Add it", &amount),
        bo.submit(&forms[1], "Add it", &amount),
        bo.submit(&forms[2], "Add it", &amount),
        ada.submit(&page, "Close it now", &[]),
        bo.submit(&forms[3], "Add it", &amount),
        bo.submit(&forms[4], "Add it", &amount),
        bo.submit(&forms[5], "Add it", &amount),
    );
    assert_eq!(closed.status, 303);
    let answers = [a, b, c, d, e, f].map(|page| page.status);
    assert!(
        answers.iter().all(|status| [303, 409].contains(status)),
        "{answers:?}"
    );
    let came_in = answers.iter().filter(|status| **status == 303).count() as i64;
    let late = bo.submit(&last, "Add it", &amount).await;
    assert_eq!(late.status, 409);
    assert!(late.text.contains("the order takes nothing more"));
    let lines: i64 = sqlx::query_scalar("select count(*) from honey_order_lines")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(
        lines, came_in,
        "who was told that it came in is in, nobody else"
    );
}

#[tokio::test]
async fn its_last_day_closes_it_too() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let order = opened(&ada).await;
    let page = ada.get(&order).await;
    add(&ada, &order, &[("Or a plain amount", "2 kg")]).await;
    sqlx::query("update honey_orders set closes_at = now() - interval '1 minute'")
        .execute(club.pool())
        .await
        .unwrap();
    let late = ada
        .submit(&page, "Add it", &[("Or a plain amount", "2 kg")])
        .await;
    assert_eq!(late.status, 409);
    let back = ada.get(&order).await;
    assert!(!back.has_button("Add it") && !back.has_button("Correct it"));
    let line: String = sqlx::query_scalar("select public_id from honey_order_lines")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let kept = ada.post(&format!("{order}/lines/{line}/remove"), &[]).await;
    assert_eq!(kept.status, 409, "what was asked for then is bought");
    assert_eq!(ada.get(&format!("{order}/edit")).await.status, 404);
}

#[tokio::test]
async fn only_its_opener_changes_it_and_a_keeper_calls_it_off() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let order = opened(&ada).await;
    add(&ada, &order, &[("Or a plain amount", "2 kg")]).await;
    let line: String = sqlx::query_scalar("select public_id from honey_order_lines")
        .fetch_one(club.pool())
        .await
        .unwrap();
    for other in [&bo, &wren] {
        assert_eq!(other.get(&format!("{order}/edit")).await.status, 404);
        for act in ["edit", "honeys", "close", "finish", "ticks"] {
            let page = other
                .post(&format!("{order}/{act}"), &[("version", "1")])
                .await;
            assert_eq!(page.status, 404, "{act}");
        }
        let page = other
            .post(&format!("{order}/lines/{line}/remove"), &[])
            .await;
        assert_eq!(page.status, 404, "another's line");
    }
    assert_eq!(bo.post(&format!("{order}/cancel"), &[]).await.status, 404);
    let form = bo.get(&order).await;
    let page = wren.get(&order).await;
    assert_eq!(wren.submit(&page, "Call it off", &[]).await.status, 303);
    let late = bo
        .submit(&form, "Add it", &[("Or a plain amount", "1 kg")])
        .await;
    assert_eq!(late.status, 409);
    assert!(
        bo.get(&order)
            .await
            .words_of(".lead")
            .unwrap()
            .starts_with("Called off")
    );
}

#[tokio::test]
async fn a_honey_that_somebody_wants_stays_on_offer_and_its_price_can_be_corrected() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let order = opened(&ada).await;
    let page = ada.get(&order).await;
    add(&ada, &order, &[("Or a plain amount", "2 kg")]).await;
    let kept = ada.submit(&page, "Offer it no more: Wildflower", &[]).await;
    assert_eq!(kept.status, 409);
    let out = ada.submit(&page, "Offer it no more: Buckwheat", &[]).await;
    assert_eq!(out.status, 303);
    let page = ada.get(&order).await;
    let label = "Price of a kilogram, Wildflower";
    let refused = ada
        .submit(&page, "Correct it: Wildflower", &[(label, "cheap")])
        .await;
    assert_eq!(refused.status, 422);
    assert_eq!(refused.value(label), "cheap");
    assert!(!refused.fault(label).is_empty());
    let corrected = ada
        .submit(&page, "Correct it: Wildflower", &[(label, "8")])
        .await;
    assert_eq!(corrected.status, 303);
    let rows = all_words(&ada.get(&order).await, "section:first-of-type tbody tr");
    assert_eq!(
        rows,
        ["Wildflower 8.00 EUR 12.5 kg 2 kg 1 × 12.5 kg 100.00"]
    );
}
