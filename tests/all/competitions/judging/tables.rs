//! Tables: nobody reads others' points before their own are signed; what a table agrees on, by the rules; orders in finals.

use mustwright::competitions::flights::model::Kind;

use super::{Day, a_day, filled, presses, said, signs};
use crate::support::Page;

#[tokio::test]
async fn the_points_of_others_are_hidden_until_ones_own_sheet_is_signed() {
    let day = a_day(2).await;
    let (ada, bo) = (day.as_(&day.ada).await, day.as_(&day.bo).await);
    let secret = [
        ("Points, 0 to 20, Taste", "19"),
        ("In words, Taste", "quince"),
    ];
    signs(&ada, &day.sheet(0), &secret).await;
    let list = format!("{}/judging", day.held.path);
    let paths = [list, day.table.clone(), day.sheet(0), day.sheet(1)];
    for written in [false, true] {
        for path in &paths {
            let page = bo.get(path).await;
            let shown = said(&page);
            assert!(!shown.contains("42"), "{path}: {shown}");
            assert!(!page.text.contains("quince"), "{path}: {}", page.text);
        }
        if !written {
            presses(&bo, &day.sheet(0), "Save", &filled(&[])).await;
        }
    }
    // Signing the other glass opens nothing of this one.
    signs(&bo, &day.sheet(1), &[]).await;
    assert!(!said(&bo.get(&day.table).await).contains("42"));
    signs(&bo, &day.sheet(0), &[]).await;
    let table = bo.get(&day.table).await;
    assert!(
        table.text.contains("<dt>Ada</dt><dd>42 points</dd>"),
        "{}",
        table.text
    );
    assert!(table.text.contains("4 points apart"), "{}", table.text);
    assert!(!bo.get(&day.sheet(0)).await.text.contains("quince"));
}

/// Both sign all glasses, with these points for taste.
async fn all_sign(day: &Day, taste: &[(&str, &str)]) {
    let (ada, bo) = (day.as_(&day.ada).await, day.as_(&day.bo).await);
    for (at, (hers, his)) in taste.iter().enumerate() {
        signs(&ada, &day.sheet(at), &[("Points, 0 to 20, Taste", hers)]).await;
        signs(&bo, &day.sheet(at), &[("Points, 0 to 20, Taste", his)]).await;
    }
}

#[tokio::test]
async fn a_table_agrees_once_all_have_signed_and_within_the_rules() {
    let day = a_day(2).await;
    let (ada, bo) = (day.as_(&day.ada).await, day.as_(&day.bo).await);
    signs(&ada, &day.sheet(0), &[("Points, 0 to 20, Taste", "18")]).await;
    let early = ada.get(&day.table).await;
    assert!(!early.has_button("We agree"));
    assert!(
        early.text.contains("Bo has not signed KM472, TR936 yet"),
        "{}",
        early.text
    );
    signs(&bo, &day.sheet(0), &[("Points, 0 to 20, Taste", "5")]).await;
    signs(&ada, &day.sheet(1), &[]).await;
    signs(&bo, &day.sheet(1), &[("Points, 0 to 20, Taste", "17")]).await;
    // Only whoever leads writes it down.
    let his = bo.get(&day.table).await;
    assert!(!his.has_button("We agree"), "{}", his.text);
    let table = ada.get(&day.table).await;
    assert!(
        table.text.contains("13 points apart: taste it again"),
        "{}",
        table.text
    );
    assert_eq!(
        table.value("Points, TR936"),
        "39",
        "it begins at the middle"
    );
    let (action, fields) = table.filled("We agree", &[]);
    let fields: Vec<_> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    let his = bo.post(&action, &fields).await;
    assert!(matches!(his.status, 404 | 409), "{}", his.status);
    let apart = ada.submit(&table, "We agree", &[]).await;
    assert_eq!(apart.status, 422, "{}", apart.text);
    assert!(
        apart
            .fault("Points, KM472")
            .contains("more than 7 points apart")
    );
    assert_eq!(apart.fault("Points, TR936"), "");
    let outside = [("We tasted it again, KM472", ""), ("Points, TR936", "41")];
    let outside = ada.submit(&apart, "We agree", &outside).await;
    assert_eq!(outside.status, 422);
    assert!(
        outside
            .fault("Points, TR936")
            .contains("outside what any of you gave")
    );
    let done = ada
        .submit(&outside, "We agree", &[("Points, TR936", "40")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let agreed = ada.get(&day.table).await;
    assert!(
        agreed.text.contains("40 points, place 1, goes on"),
        "{}",
        agreed.text
    );
    let state = "select count(*) from competition_flights where state = 'done'";
    assert_eq!(day.count(state).await, 1);
    // The form that stood open meanwhile shows both, and writes over nothing.
    let other = [("We tasted it again, KM472", ""), ("Points, TR936", "38")];
    let late = ada.submit(&table, "We agree", &other).await;
    assert_eq!(late.status, 409, "{}", late.text);
    let both = late.words_of("#meanwhile").unwrap_or_default();
    assert!(
        both.contains("TR936 40") && both.contains("TR936 38"),
        "{both}"
    );
    assert_eq!(
        day.count("select count(*) from competition_agreed").await,
        1
    );
    assert!(day.chain_holds().await);
}

#[tokio::test]
async fn equal_points_share_a_place_or_are_told_apart() {
    let day = a_day(3).await;
    all_sign(&day, &[("15", "15"), ("15", "15"), ("12", "12")]).await;
    let ada = day.as_(&day.ada).await;
    let table = ada.get(&day.table).await;
    ada.submit(&table, "We agree", &[]).await;
    let places = |page: &Page| page.text.matches("place 1, goes on").count();
    assert_eq!(places(&ada.get(&day.table).await), 2);
    let table = ada.get(&day.table).await;
    let among = [
        ("Place among equal points, TR936", "1"),
        ("Place among equal points, KM472", "2"),
    ];
    let done = ada.submit(&table, "Change what we agreed on", &among).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let now = ada.get(&day.table).await;
    assert_eq!(places(&now), 1, "{}", now.text);
    assert!(
        now.text.contains("38 points, place 2, goes on"),
        "{}",
        now.text
    );
    assert_eq!(
        day.count("select count(*) from competition_agreed").await,
        2
    );
}

#[tokio::test]
async fn what_is_given_back_is_agreed_on_anew() {
    let day = a_day(1).await;
    all_sign(&day, &[("15", "15")]).await;
    let (ada, orla) = (day.as_(&day.ada).await, day.as_(&day.organiser).await);
    let table = ada.get(&day.table).await;
    ada.submit(&table, "We agree", &[]).await;
    let agreed = ada.get(&day.table).await;
    assert!(
        agreed.text.contains("The table has agreed."),
        "{}",
        agreed.text
    );
    let sheets = orla.get(&format!("{}/sheets", day.held.path)).await;
    let sheet = sheets.link("Ada, KM472").expect("her sheet");
    let reason = [("Why", "words are missing")];
    let done = presses(&orla, &sheet, "Give it back", &reason).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let table = ada.get(&day.table).await;
    assert!(
        !table.text.contains("The table has agreed."),
        "{}",
        table.text
    );
    assert!(
        table.text.contains("Ada has not signed KM472 yet"),
        "{}",
        table.text
    );
    signs(&ada, &day.sheet(0), &[("Points, 0 to 20, Taste", "17")]).await;
    let table = ada.get(&day.table).await;
    let points = [("Points, KM472", "39")];
    let done = ada
        .submit(&table, "Change what we agreed on", &points)
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let table = ada.get(&day.table).await;
    assert!(
        table.text.contains("39 points, place 1, goes on"),
        "{}",
        table.text
    );
    assert_eq!(
        day.count("select count(*) from competition_agreed").await,
        2
    );
}

#[tokio::test]
async fn what_orders_leave_level_is_tasted_again_and_told_apart() {
    let day = a_day(3).await;
    let codes = ["KM472", "TR936", "VX283"];
    let (_, finale) = day.flight_of(Kind::Final, 2, &codes).await;
    for (person, places) in [(&day.ada, ["1", "2", "3"]), (&day.bo, ["2", "1", "3"])] {
        let browser = day.as_(person).await;
        let labels = codes.map(|code| format!("{code}, its place"));
        let of: Vec<_> = labels.iter().map(String::as_str).zip(places).collect();
        let page = browser.get(&finale).await;
        let done = browser.submit(&page, "Write my order down", &of).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    let ada = day.as_(&day.ada).await;
    let table = ada.get(&finale).await;
    assert!(table.text.contains("Level: KM472, TR936"), "{}", table.text);
    let again = |code: &str| format!("After tasting again, which place, {code}");
    let (one, other) = (again("KM472"), again("TR936"));
    let half = ada
        .submit(&table, "Settle the order", &[(one.as_str(), "2")])
        .await;
    assert_eq!(half.status, 422, "{}", half.text);
    assert!(
        half.fault(&other).contains("for each of them"),
        "{}",
        half.text
    );
    let both = [(one.as_str(), "2"), (other.as_str(), "1")];
    let done = ada.submit(&half, "Settle the order", &both).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let settled = ada.get(&finale).await;
    assert_eq!(
        settled.text.matches("place 1, goes on").count(),
        1,
        "{}",
        settled.text
    );
    let told: Vec<(String, i64, bool)> = sqlx::query_as(
        "select e ->> 'code', (e ->> 'place')::bigint, (e ->> 'tasted_again')::boolean
         from competition_agreed a, jsonb_array_elements(a.data -> 'entries') e order by 2",
    )
    .fetch_all(day.club.pool())
    .await
    .expect("what was agreed");
    let wanted = [("TR936", 1, true), ("KM472", 2, true), ("VX283", 3, false)];
    assert_eq!(
        told,
        wanted.map(|(code, place, again)| (code.to_owned(), place, again))
    );
}

#[tokio::test]
async fn in_a_final_everybody_puts_the_glasses_in_order_before_reading_others() {
    let day = a_day(3).await;
    let (ada, bo) = (day.as_(&day.ada).await, day.as_(&day.bo).await);
    let (_, finale) = day
        .flight_of(Kind::Final, 2, &["KM472", "TR936", "VX283"])
        .await;
    assert_eq!(
        ada.get(&format!("{finale}/KM472")).await.status,
        404,
        "no sheets"
    );
    let place = |of: [&'static str; 3]| {
        let labels = ["KM472, its place", "TR936, its place", "VX283, its place"];
        labels.into_iter().zip(of).collect::<Vec<_>>()
    };
    let page = ada.get(&finale).await;
    let twice = ada
        .submit(&page, "Write my order down", &place(["1", "1", "2"]))
        .await;
    assert_eq!(twice.status, 422);
    let told = twice.fault("TR936, its place");
    assert!(told.contains("KM472 has this place already"), "{told}");
    let done = ada
        .submit(&twice, "Write my order down", &place(["2", "1", "3"]))
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let his = bo.get(&finale).await;
    assert!(!his.text.contains("<dt>Ada</dt>"), "{}", his.text);
    assert!(
        his.text.contains("Bo has given no order yet"),
        "{}",
        his.text
    );
    let done = bo
        .submit(&his, "Write my order down", &place(["3", "1", "2"]))
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let his = bo.get(&finale).await;
    assert!(
        his.text.contains("<dt>Ada</dt><dd>place 1</dd>"),
        "{}",
        his.text
    );
    assert!(!his.has_button("Settle the order"));
    let hers = ada.get(&finale).await;
    let done = ada.submit(&hers, "Settle the order", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let settled = ada.get(&finale).await;
    assert!(
        settled.text.contains("place 1, goes on"),
        "{}",
        settled.text
    );
    assert!(!settled.has_button("Change my order"));
    let late = bo
        .submit(&his, "Change my order", &place(["1", "2", "3"]))
        .await;
    assert_eq!(late.status, 409);
    assert!(day.chain_holds().await);
}
