//! The workbench: its defaults, its numbers with and without script, and what a save makes.

use mustwright::web::units::Units;

use super::{
    LIVE, NEW, SAVE, STRENGTH, VOLUME, a_club, all_words, another, attributes, count, live, region,
    sheet_of,
};

#[tokio::test]
async fn a_new_recipe_has_defaults_and_numbers() {
    let (club, _, browser) = a_club().await;
    let page = browser.get(NEW).await;
    assert_eq!(
        (page.status, page.heading().as_str()),
        (200, "New recipe"),
        "{}",
        page.text
    );
    for (label, text) in [
        (VOLUME, "19 L"),
        ("Aim for", "abv"),
        (STRENGTH, "12 %"),
        ("How it ends", "dry"),
        ("Honey, Honey 1", "honey-wildflower"),
        ("Amount, Honey 1", "the rest"),
        ("Yeast, yeast 1", "yeast-champagne-type"),
        ("Feed to hand, feed 1", "feed-mixed"),
        ("Temperature of the must", "20 °C"),
        ("Who may see it", "private"),
    ] {
        assert_eq!(page.value(label), text, "{label}");
        assert_eq!(page.fault(label), "", "{label}");
    }
    // 19 L at 12 % from honey of 17.2 % water takes a little over 5 kg.
    let solved = region(&page, "honey-1-amount-note");
    assert!(solved.starts_with("solved: 5."), "{solved}");
    let glance = region(&page, "glance");
    assert!(glance.starts_with("12 %, 1.08"), "{glance}");
    let numbers = region(&page, "numbers");
    for part in ["Water", "fill to the 19 L mark", "strength", "12 %"] {
        assert!(numbers.contains(part), "{part}: {numbers}");
    }
    assert!(page.text.contains("<svg"), "the ladder is drawn");

    let gallons = another(&club, "Blythe", Units::Us).await;
    let page = gallons.get(NEW).await;
    assert_eq!(page.value(VOLUME), "5 gal");
    assert_eq!(page.value("Temperature of the must"), "68 °F");
    let solved = region(&page, "honey-1-amount-note");
    assert!(solved.contains(" lb"), "{solved}");
}

#[tokio::test]
async fn a_save_makes_revision_1_and_shows_its_sheet() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [
        ("Name", "First light"),
        ("What is new in this revision", "As Grandmother made it"),
    ];
    let done = browser.submit(&form, SAVE, &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let sheet = browser.follow(done).await;
    assert_eq!(
        (sheet.status, sheet.heading().as_str()),
        (200, "First light")
    );
    let rows = all_words(&sheet, "tbody.line");
    let row = |name: &str| {
        rows.iter()
            .find(|row| row.starts_with(name))
            .unwrap_or_else(|| panic!("no {name} among {rows:?}"))
    };
    assert!(row("Wildflower").contains("solved"), "{rows:?}");
    assert!(row("Wildflower").contains("kg"), "{rows:?}");
    assert!(row("Water").contains("fill to the 19 L mark"), "{rows:?}");
    for words in [
        "Saved as revision 1.",
        "As Grandmother made it",
        "revision 1 of 1",
        "seen by you alone",
    ] {
        assert!(sheet.text.contains(words), "{words}");
    }
    assert_eq!(count(&club, "select count(*) from revisions").await, 1);
}

#[tokio::test]
async fn numbers_follow_an_edit_without_script() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [("Name", "Not yet"), (STRENGTH, "9"), (VOLUME, "10 L")];
    let page = browser.submit(&form, "Recalculate", &typed).await;
    assert_eq!(page.status, 200);
    assert_eq!(page.value(STRENGTH), "9", "typing is left as it is");
    assert!(
        region(&page, "glance").starts_with("9 %, 1.06"),
        "{}",
        region(&page, "glance")
    );
    assert!(region(&page, "numbers").contains("fill to the 10 L mark"));
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
}

#[tokio::test]
async fn a_live_edit_gets_all_regions_and_no_fields() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let answer = live(&browser, &club, &form, &[(STRENGTH, "9 %")]).await;
    assert_eq!(answer.status, 200, "{}", answer.text);
    let regions = attributes(&answer, "data-live-region");
    for name in attributes(&form, "data-live-region") {
        assert!(
            regions.contains(&name),
            "the region {name} would stay as it was"
        );
    }
    for control in ["<input", "<select", "<textarea", "<button", "<form"] {
        assert!(!answer.text.contains(control), "{control}");
    }
    assert!(region(&answer, "glance").starts_with("9 %"));
    assert!(region(&answer, "draft").starts_with("Draft kept"));
    let spoken = answer.words_of("[data-live-say]").unwrap();
    assert!(spoken.starts_with("9 % from 1.06"), "{spoken}");
    assert_eq!(count(&club, "select count(*) from recipes").await, 0);
}

#[tokio::test]
async fn a_field_that_is_being_cleared_is_not_scolded_while_typing() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let answer = live(&browser, &club, &form, &[(VOLUME, "")]).await;
    assert_eq!(region(&answer, "volume-fault"), "");
    let answer = live(&browser, &club, &form, &[(VOLUME, "lots")]).await;
    assert!(region(&answer, "volume-fault").contains("such as 20 L or 5 US gal"));
    // The last numbers stay, and say that they are old.
    assert!(region(&answer, "waiting").contains("from before your last edit"));
    let regions = attributes(&answer, "data-live-region");
    for kept in ["numbers", "lead", "glance"] {
        assert!(!regions.contains(kept), "{kept} would be emptied");
    }
    // A name is missing in every new recipe, and no number waits for it.
    assert_eq!(region(&answer, "title-fault"), "");
    let answer = live(&browser, &club, &form, &[("Kind", "bucket")]).await;
    assert!(
        region(&answer, "glance").starts_with("12 %"),
        "a vessel half typed stops no numbers"
    );
}

#[tokio::test]
async fn a_form_that_comes_in_pieces_is_refused() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let (_, fields) = form.filled("Recalculate", &[]);
    let whole = super::as_pairs(&fields);
    let without = |name: &str| -> Vec<(&str, &str)> {
        let mut left = whole.clone();
        let at = left
            .iter()
            .position(|(field, _)| *field == name)
            .expect("the field");
        left.remove(at);
        left
    };
    let with = |name: &'static str, value: &'static str| -> Vec<(&str, &str)> {
        whole.iter().copied().chain([(name, value)]).collect()
    };
    for broken in [
        without("feed_pick"),
        with("honey_amount", "2 kg"),
        with("honey_row", "1"),
        with("honey_row", "x y"),
        with("volume", "20 L"),
    ] {
        let page = browser.post(LIVE, &broken).await;
        assert_eq!(page.status, 400, "{}", page.text);
        assert!(page.heading() == "This cannot be read");
    }
    assert_eq!(count(&club, "select count(*) from recipe_drafts").await, 0);
    assert_eq!(browser.post(LIVE, &whole).await.status, 200);
}

#[tokio::test]
async fn the_whole_form_comes_through_a_save() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [
        ("Name", "Everything & <more>"),
        (STRENGTH, "11,5 %"),
        ("How it ends", "sweeten"),
        ("Gravity at the end", "1.012"),
        ("Called, Honey 1", "Honey of the back meadow"),
        ("Water, percent, Honey 1", "16.4"),
        ("Price, Honey 1", "9.50 per kg"),
        ("Remark, Honey 1", "from the lower hives"),
        ("Stops at, percent by volume, yeast 1", "15"),
        ("At most, feed 1", "0.4 g/L"),
        ("Kind", "bucket"),
        ("Holds to the brim", "30 L"),
        ("Mouth", "wide"),
        ("Room to leave free, in percent", "20"),
        ("Notes", "First line\r\n\r\nthird line, “quoted”"),
        ("Style, in your words", "show mead"),
        ("Sweetness, in your words", "off-dry"),
    ];
    let done = browser.submit(&form, SAVE, &typed).await;
    let page = browser.get(&format!("{}/edit", sheet_of(&done))).await;
    for (label, text) in typed {
        assert_eq!(page.value(label), text.replace("\r\n", "\n"), "{label}");
    }
    for part in [
        "Sugar that ferments",
        "Dissolved, stays",
        "Does not dissolve",
    ] {
        let label = format!("{part}, percent, Honey 1");
        assert_eq!(page.value(&label), "", "{label} follows from the water");
    }
}

#[tokio::test]
async fn a_field_says_in_which_unit_a_bare_number_is_read() {
    let (club, _, metric) = a_club().await;
    let us = another(&club, "Blythe", Units::Us).await;
    let imperial = another(&club, "Cass", Units::Imperial).await;
    let add = "Add fruit, juice, spice or anything else";
    for (browser, mass, volume, degrees) in [
        (&metric, "kg", "L", "°C"),
        (&us, "lb", "US gal", "°F"),
        (&imperial, "lb", "imp gal", "°C"),
    ] {
        let form = browser.get(NEW).await;
        let page = browser.submit(&form, add, &[("Name", "Bare")]).await;
        let per_mass = format!("per {mass}");
        for (id, unit) in [
            ("volume", volume),
            ("honey_to_use", mass),
            ("temperature", degrees),
            ("vessel_brim", volume),
            ("vessel_loss", volume),
            ("honey-1-amount", mass),
            ("honey-1-price", &per_mass),
            ("honey-1-days", "days"),
            ("yeast-1-coldest", degrees),
            ("yeast-1-warmest", degrees),
            ("feed-1-most", "g/L"),
            ("feed-1-price", &per_mass),
        ] {
            let said = region(&page, &format!("{id}-bare"));
            assert_eq!(said, format!("a bare number means {unit}"), "{id}");
            let described = described_by(&page, id);
            assert!(
                described.split(' ').any(|one| one == format!("{id}-bare")),
                "{id}: {described}"
            );
        }
        // What it means follows the kind of thing, also while one types.
        for (pick, unit) in [
            ("apple-juice", volume),
            ("cinnamon", "g"),
            ("sour-cherry", mass),
        ] {
            let picked = [("Ingredient, Ingredient 1", pick)];
            let answer = live(browser, &club, &page, &picked).await;
            let said = region(&answer, "other-1-amount-bare");
            assert_eq!(said, format!("a bare number means {unit}"), "{pick}");
        }
    }
}

/// The ids that describe the field of this id.
fn described_by(page: &crate::support::Page, id: &str) -> String {
    let html = scraper::Html::parse_document(&page.text);
    let field = scraper::Selector::parse(&format!("#{id}")).expect("a selector");
    let found = html.select(&field).next().expect("the field");
    found
        .value()
        .attr("aria-describedby")
        .unwrap_or_default()
        .to_owned()
}

#[tokio::test]
async fn a_bare_number_is_read_as_the_field_says() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let add = "Add fruit, juice, spice or anything else";
    let form = browser.submit(&form, add, &[("Name", "Bare")]).await;
    for (pick, amount) in [("apple-juice", "2 L"), ("cinnamon", "2 g")] {
        let typed = [
            ("Ingredient, Ingredient 1", pick),
            ("Amount, Ingredient 1", "2"),
        ];
        let bare = browser.submit(&form, "Recalculate", &typed).await;
        let with_unit = [typed[0], ("Amount, Ingredient 1", amount)];
        let said = browser.submit(&form, "Recalculate", &with_unit).await;
        // All but the text itself, which is shown among what went in.
        let numbers = |page: &crate::support::Page, typed: &str| {
            region(page, "numbers").replace(&format!("as written{typed}"), "")
        };
        assert_eq!(numbers(&bare, "2"), numbers(&said, amount), "{pick}");
    }
}

#[tokio::test]
async fn a_live_fault_is_spoken() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let answer = live(&browser, &club, &form, &[(VOLUME, "lots")]).await;
    let fault = region(&answer, "volume-fault");
    let spoken = answer.words_of("[data-live-say]").unwrap();
    assert_eq!(format!("Fault: {spoken}"), fault);
}
