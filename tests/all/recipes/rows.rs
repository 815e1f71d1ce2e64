//! Rows of the workbench: added, removed and raised by buttons that need no script.

use super::{LIVE, NEW, SAVE, a_club, all_words, as_pairs, region, sheet_of};

#[tokio::test]
async fn buttons_add_rows_and_keep_what_is_typed() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [("Name", "Growing"), ("Amount, Honey 1", "2 parts")];
    let page = browser.submit(&form, "Add another honey", &typed).await;
    assert_eq!(page.value("Name"), "Growing");
    assert_eq!(page.value("Amount, Honey 1"), "2 parts");
    assert_eq!(page.value("Honey, Honey 2"), "honey-wildflower");
    let page = browser.submit(&page, "Add another feed", &[]).await;
    assert_eq!(page.value("Feed to hand, feed 3"), "feed-organic");
    let page = browser.submit(&page, "Add another yeast", &[]).await;
    assert_eq!(page.value("Yeast, yeast 2"), "");
    let page = browser.submit(&page, "Add a step of my own", &[]).await;
    let fruit = "Add fruit, juice, spice or anything else";
    let page = browser.submit(&page, fruit, &[]).await;
    let typed = [
        ("Ingredient, Ingredient 1", "sour-cherry"),
        ("Amount, Ingredient 1", "2 kg"),
        ("When, step 1", "Day 3"),
        ("What to do, step 1", "Push the cap down"),
        ("Amount, Honey 2", "1 part"),
    ];
    let done = browser.submit(&page, SAVE, &typed).await;
    let sheet = browser.follow(done).await;
    assert_eq!(sheet.status, 200, "{}", sheet.text);
    for words in ["Sour cherry", "Day 3", "Push the cap down"] {
        assert!(sheet.text.contains(words), "{words}");
    }
    assert_eq!(
        all_words(&sheet, "tbody tr th")
            .iter()
            .filter(|name| name.starts_with("Wildflower"))
            .count(),
        2
    );
}

#[tokio::test]
async fn buttons_remove_and_raise_the_row_they_stand_in() {
    let (_club, _, browser) = a_club().await;
    let mut page = browser.get(NEW).await;
    for _ in 0..3 {
        page = browser.submit(&page, "Add a step of my own", &[]).await;
    }
    let typed = [
        ("Name", "In order"),
        ("What to do, step 1", "first"),
        ("What to do, step 2", "second"),
        ("What to do, step 3", "third"),
    ];
    let page = browser.submit(&page, "Up step 3", &typed).await;
    let words = |page: &crate::support::Page| -> Vec<String> {
        (1..=3)
            .map(|number| page.value(&format!("What to do, step {number}")))
            .collect()
    };
    assert_eq!(words(&page), ["first", "third", "second"]);
    let page = browser.submit(&page, "Up step 1", &[]).await;
    assert_eq!(
        words(&page),
        ["first", "third", "second"],
        "the first stays the first"
    );
    let page = browser.submit(&page, "Remove step 2", &[]).await;
    assert_eq!(page.value("What to do, step 1"), "first");
    assert_eq!(page.value("What to do, step 2"), "second");
    let done = browser.submit(&page, SAVE, &[]).await;
    let page = browser.get(&format!("{}/edit", sheet_of(&done))).await;
    assert_eq!(page.value("What to do, step 2"), "second");
}

#[tokio::test]
async fn the_last_yeast_leaves_a_row_to_choose_in() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let page = browser.submit(&form, "Remove yeast 1", &[]).await;
    assert_eq!(page.value("Yeast, yeast 1"), "");
    assert_ne!(
        page.fault("Yeast, yeast 1"),
        "",
        "and says that one is wanted"
    );
    assert_eq!(region(&page, "glance"), "");
    let page = browser
        .submit(
            &page,
            "Recalculate",
            &[
                ("Yeast, yeast 1", "yeast-ale-neutral"),
                ("Strength, in percent by volume", "8"),
            ],
        )
        .await;
    assert!(region(&page, "glance").starts_with("8 %"));
}

#[tokio::test]
async fn as_many_rows_as_the_buttons_make_can_be_sent() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let (_, mut fields) = form.filled("Recalculate", &[]);
    let one_honey: Vec<(String, String)> = fields
        .iter()
        .filter(|(name, _)| name.starts_with("honey_") && name != "honey_to_use")
        .cloned()
        .collect();
    for group in ["honey", "other"] {
        let have = if group == "honey" { 1 } else { 0 };
        for key in have + 1..=30 {
            for (name, value) in &one_honey {
                let name = name.replace("honey_", &format!("{group}_"));
                let value = match name.ends_with("_row") {
                    true => key.to_string(),
                    false if name.ends_with("_pick") && group == "other" => "apple".to_owned(),
                    false => value.clone(),
                };
                fields.push((name, value));
            }
        }
    }
    for (group, columns) in [("yeast", 10), ("feed", 9), ("step", 3)] {
        let names: Vec<String> = match group {
            "step" => ["step_row", "step_when", "step_text"]
                .map(str::to_owned)
                .to_vec(),
            _ => {
                let mut names: Vec<String> = fields
                    .iter()
                    .map(|(name, _)| name.clone())
                    .filter(|name| name.starts_with(&format!("{group}_")))
                    .collect();
                names.dedup();
                names.sort();
                names.dedup();
                names
            }
        };
        assert_eq!(names.len(), columns, "{names:?}");
        let have = fields
            .iter()
            .filter(|(name, _)| *name == format!("{group}_row"))
            .count();
        for key in have + 1..=30 {
            for name in &names {
                let value = if name.ends_with("_row") {
                    key.to_string()
                } else {
                    String::new()
                };
                fields.push((name.clone(), value));
            }
        }
    }
    let mut pairs = as_pairs(&fields);
    let page = browser.post(LIVE, &pairs).await;
    assert_eq!(
        page.status,
        200,
        "{} fields: {}",
        pairs.len(),
        page.heading()
    );
    assert_eq!(page.value("Honey, Honey 30"), "honey-wildflower");
    // One more by the button: none, for the form could not be sent any more.
    pairs.push(("press", "add-honey"));
    let page = browser.post(LIVE, &pairs).await;
    assert_eq!(all_words(&page, "[name=honey_row]").len(), 30);
}

/// The ingredients of the revision saved last, by name, as its document has them.
async fn ingredients(club: &crate::support::Club) -> Vec<String> {
    let document: serde_json::Value =
        sqlx::query_scalar("select document from revisions order by id desc limit 1")
            .fetch_one(club.pool())
            .await
            .expect("a revision");
    let items = document["ingredients"].as_array().expect("a list");
    items
        .iter()
        .map(|item| item["name"].as_str().expect("a name").to_owned())
        .collect()
}

#[tokio::test]
async fn ingredients_stay_in_the_order_in_which_they_were_added() {
    let (club, _, browser) = a_club().await;
    let fruit = "Add fruit, juice, spice or anything else";
    let mut page = browser.get(NEW).await;
    for (button, label, pick) in [
        (fruit, "Ingredient, Ingredient 1", "sour-cherry"),
        ("Add another honey", "Honey, Honey 2", "honey-heather"),
        (fruit, "Ingredient, Ingredient 2", "apple"),
        ("Add another honey", "Honey, Honey 3", "honey-linden"),
    ] {
        page = browser.submit(&page, button, &[]).await;
        page = browser.submit(&page, "Recalculate", &[(label, pick)]).await;
    }
    let typed = [
        ("Name", "In turn"),
        ("Amount, Ingredient 1", "1 kg"),
        ("Amount, Ingredient 2", "1 kg"),
    ];
    let done = browser.submit(&page, SAVE, &typed).await;
    let sheet = sheet_of(&done);
    let all = [
        "Wildflower or mixed honey",
        "Sour cherry, pitted",
        "Heather honey",
        "Apple",
        "Linden honey",
    ];
    assert_eq!(ingredients(&club).await, all);
    // One taken away, the others keep their places.
    let page = browser.get(&format!("{sheet}/edit")).await;
    let page = browser.submit(&page, "Remove Honey 2", &[]).await;
    let done = browser.submit(&page, "Save as revision 2", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let left: Vec<&str> = all
        .into_iter()
        .filter(|name| *name != "Heather honey")
        .collect();
    assert_eq!(ingredients(&club).await, left);
}
