//! The honey shelf: jars that recipes point to, what is taken from them, and who may do what.

use mustwright::engine::{Settings, formulate};
use mustwright::recipes::forms::check::stored;
use serde_json::Value;

use crate::recipes::{all_words, saved};
use crate::support::{Browser, Club, Page, a_keeper, a_member};

const WATER: &str = "Measured water, may be left empty";

async fn put(browser: &Browser, labelled: &[(&str, &str)]) -> Page {
    let form = browser.get("/club/honey/new").await;
    browser.submit(&form, "Put it on the shelf", labelled).await
}

/// Puts a jar of this name on the shelf; gives its page.
async fn jar(browser: &Browser, name: &str, labelled: &[(&str, &str)]) -> String {
    let named = [("What the label says", name)];
    let labelled: Vec<_> = named.iter().chain(labelled).copied().collect();
    let done = put(browser, &labelled).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let shelf = browser.get("/club/honey").await;
    shelf
        .link(name)
        .unwrap_or_else(|| panic!("no {name}: {}", shelf.text))
}

fn key_of(jar: &str) -> String {
    format!("jar-{}", jar.rsplit('/').next().expect("an id"))
}

#[tokio::test]
async fn a_recipe_made_with_a_jar_counts_its_measured_water() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let jar = jar(
        &ada,
        "Moor honey, Tarn Hill",
        &[("How much is in it", "6 kg"), (WATER, "19 %")],
    )
    .await;
    let key = key_of(&jar);
    let form = bo.get("/recipes/new").await;
    assert!(
        form.text.contains("from the shelf: Moor honey, Tarn Hill"),
        "offered to every member"
    );
    let sheet = saved(
        &bo,
        &[
            ("Name", "Of the moor"),
            ("Volume of must, in litres or gallons", "19 L"),
            ("Aim for", "amounts"),
            ("Honey, Honey 1", &key),
            ("Amount, Honey 1", "5 kg"),
        ],
    )
    .await;
    let page = bo.get(&sheet).await;
    assert_eq!(
        page.link("Moor honey, Tarn Hill"),
        Some(jar.clone()),
        "the sheet links to the jar"
    );
    let document: Value = sqlx::query_scalar("select document from revisions")
        .fetch_one(club.pool())
        .await
        .expect("a revision");
    let recipe = stored(&document).expect("a recipe");
    assert_eq!(recipe.ingredients[0].key.as_deref(), Some(key.as_str()));
    let parts = recipe.ingredients[0]
        .composition
        .clone()
        .expect("a composition");
    // By hand: 81 % solids, 89 % of them ferment: 0.7209; five kilograms bring 3.6045 kg of sugar.
    assert!((parts.water - 0.19).abs() < 1e-9 && (parts.fermentable - 0.7209).abs() < 1e-9);
    let numbers = formulate(&recipe, &Settings { sachet_g: 5.0 });
    let sugar = numbers.ingredients[0].sugar_kg.expect("sugar");
    assert!((sugar - 3.6045).abs() < 1e-9, "{sugar}");
    // The catalogue leads to the shelf too, and does not list the jar.
    let entry = bo.get(&format!("/catalogue/{key}")).await;
    assert_eq!(entry.location(), Some(jar.as_str()));
    assert!(!bo.get("/catalogue").await.text.contains("Moor honey"));
}

#[tokio::test]
async fn of_two_who_take_from_one_jar_nobody_gets_more_than_is_left() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    for round in 0..5 {
        let jar = jar(
            &ada,
            &format!("Jar {round}"),
            &[("How much is in it", "2 kg")],
        )
        .await;
        let pages = [ada.get(&jar).await, bo.get(&jar).await];
        let typed = [("How much", "1.5 kg")];
        let (one, other) = tokio::join!(
            ada.submit(&pages[0], "Take it", &typed),
            bo.submit(&pages[1], "Take it", &typed),
        );
        let mut statuses = [one.status, other.status];
        statuses.sort_unstable();
        assert_eq!(statuses, [303, 422]);
        let refused = if one.status == 422 { one } else { other };
        assert_eq!(refused.fault("How much"), "There are only 500 g left.");
        let left: f64 =
            sqlx::query_scalar("select left_kg from honey_jars order by id desc limit 1")
                .fetch_one(club.pool())
                .await
                .unwrap();
        assert!((left - 0.5).abs() < 1e-9, "{left}");
    }
}

#[tokio::test]
async fn an_emptied_jar_keeps_its_page_its_key_and_its_recipes() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let jar = jar(
        &ada,
        "Last of it",
        &[("How much is in it", "3 lb"), (WATER, "17 %")],
    )
    .await;
    let key = key_of(&jar);
    let sheet = saved(&ada, &[("Name", "Of the last"), ("Honey, Honey 1", &key)]).await;
    let page = ada.get(&jar).await;
    let taken = ada.submit(&page, "Take all of it", &[]).await;
    let page = ada.follow(taken).await;
    assert!(
        page.words_of(".lead").unwrap().starts_with("Emptied"),
        "{}",
        page.text
    );
    assert!(!page.has_button("Take it"));
    assert!(
        !ada.get("/recipes/new").await.text.contains(&key),
        "offered no more"
    );
    assert_eq!(ada.get(&sheet).await.link("Last of it"), Some(jar));
    let edit = ada.get(&format!("{sheet}/edit")).await;
    assert!(edit.text.contains("from the shelf: Last of it, emptied"));
    let saved = ada
        .submit(&edit, "Save as revision 2", &[("Name", "Still of it")])
        .await;
    assert_eq!(saved.status, 303, "{}", saved.text);
}

#[tokio::test]
async fn who_takes_owes_the_price_to_the_coin() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let jar = jar(
        &ada,
        "Priced",
        &[
            ("How much is in it", "4 kg"),
            ("Price of a kilogram", "9.99"),
        ],
    )
    .await;
    let page = bo.get(&jar).await;
    assert!(
        page.text
            .contains("9.99 EUR a kilogram, to be paid to Ada.")
    );
    let taken = bo.submit(&page, "Take it", &[("How much", "1.5 kg")]).await;
    let page = bo.follow(taken).await;
    // 14.985 is rounded to the coin.
    assert!(
        page.text
            .contains("you took 1.5 kg, for 14.99 EUR; 2.5 kg left"),
        "{}",
        page.text
    );
    let own = ada.get(&jar).await;
    let taken = ada.submit(&own, "Take it", &[("How much", "500 g")]).await;
    let own = ada.follow(taken).await;
    assert!(
        own.text.contains("you took 500 g; 2 kg left"),
        "one's own costs nothing"
    );
}

#[tokio::test]
async fn who_looks_after_a_jar_changes_it_and_a_keeper_takes_it_off() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let alone = [
        ("How much is in it", "2 kg"),
        ("mine, and only I take from it", "mine"),
    ];
    let jar = jar(&ada, "Hers", &alone).await;
    for other in [&bo, &wren] {
        let page = other.get(&jar).await;
        assert_eq!(page.status, 200, "everybody reads it");
        assert!(!page.has_button("Take it") && !page.has_button("Note it"));
        assert_eq!(other.get(&format!("{jar}/edit")).await.status, 404);
        let once = wren.get("/club/honey/new").await.hidden("once").unwrap();
        for (act, fields) in [
            (
                "edit",
                vec![("name", "Theirs"), ("version", "1"), ("whose", "club")],
            ),
            ("weigh", vec![("left", "0"), ("seen_kg", "2")]),
        ] {
            let page = other.post(&format!("{jar}/{act}"), &fields).await;
            assert_eq!(page.status, 404, "{act}");
        }
        if std::ptr::eq(other, &wren) {
            let taken = other
                .post(&format!("{jar}/take"), &[("kg", "1 kg"), ("once", &once)])
                .await;
            assert_eq!(taken.status, 404, "not hers to give");
        }
    }
    assert_eq!(bo.post(&format!("{jar}/put-away"), &[]).await.status, 404);
    let page = wren.get(&jar).await;
    let away = wren.submit(&page, "Take it off the shelf", &[]).await;
    assert_eq!(away.status, 303);
    assert!(!bo.get("/club").await.text.contains("Hers"));
    let page = ada.get(&jar).await;
    assert!(page.words_of(".lead").unwrap().starts_with("Off the shelf"));
    ada.submit(&page, "Put it back on the shelf", &[]).await;
    assert!(bo.get("/club").await.text.contains("Hers"));
}

#[tokio::test]
async fn a_weighing_does_not_undo_what_was_taken_meanwhile() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let jar = jar(&ada, "Weighed", &[("How much is in it", "3 kg")]).await;
    let seen = ada.get(&jar).await;
    let page = bo.get(&jar).await;
    bo.submit(&page, "Take it", &[("How much", "1 kg")]).await;
    let refused = ada
        .submit(&seen, "Note it", &[("What is left", "2.9 kg")])
        .await;
    assert_eq!(refused.status, 409);
    assert!(refused.fault("What is left").contains("meanwhile"));
    let noted = ada
        .submit(&refused, "Note it", &[("What is left", "1.9 kg")])
        .await;
    assert_eq!(noted.status, 303, "{}", noted.text);
    let page = ada.get(&jar).await;
    assert!(page.words_of(".lead").unwrap().starts_with("1.9 kg left"));
    let done = all_words(&page, "section:last-of-type dd");
    assert_eq!(
        done[..2],
        ["you weighed it: 1.9 kg left", "Bo took 1 kg; 2 kg left"]
    );
}

#[tokio::test]
async fn faults_of_a_label_stand_beside_their_fields() {
    let club = Club::open().await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    let page = put(
        &browser,
        &[
            ("What the label says", " "),
            ("How much is in it", "0"),
            (WATER, "40 %"),
            ("Harvest, may be left empty", "last year"),
            ("Price of a kilogram", "dear"),
        ],
    )
    .await;
    assert_eq!(page.status, 422);
    for (label, told) in [
        ("What the label says", "Write what the label says"),
        ("How much is in it", "Write how much is in it"),
        (WATER, "30"),
        ("Harvest, may be left empty", "Write the year"),
        ("Price of a kilogram", "Write"),
    ] {
        assert!(
            page.fault(label).contains(told),
            "{label}: {}",
            page.fault(label)
        );
    }
    assert_eq!(page.value(WATER), "40 %");
}
