//! The club's own entries over HTTP: made and edited by the keeper, seen by members, never lost, never rewritten.

use mustwright::catalogue::own::store;
use sqlx::AssertSqlSafe;

use crate::support::{Browser, Club, Page, a_keeper, a_member};

/// A honey as the keeper types it.
const HONEY: &[(&str, &str)] = &[
    ("Name", "Tarn heather"),
    (
        "In plain words",
        "from the hives above the tarn; resin and toffee",
    ),
    ("Kind", "honey"),
    ("Usually goes in", "must"),
    ("Water, in percent", "19,1 %"),
    ("Colour, from, millimetres on the Pfund scale", "70"),
    ("Colour, to, millimetres on the Pfund scale", "95"),
    ("Strength of taste", "5"),
    (
        "Where the figures come from",
        "our refractometer, 2 September",
    ),
    ("How sure they are", "common practice"),
];

async fn a_club() -> (Club, Browser, Browser) {
    let club = Club::open().await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    (club, wren, ada)
}

async fn send(wren: &Browser, sort: &str, typed: &[(&str, &str)]) -> Page {
    let form = wren.get(&format!("/catalogue/new/{sort}")).await;
    assert_eq!(form.status, 200, "{}", form.text);
    wren.submit(&form, "Save as revision 1", typed).await
}

/// Makes an entry; its address.
async fn made(wren: &Browser, sort: &str, typed: &[(&str, &str)]) -> String {
    let done = send(wren, sort, typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let to = done.location().unwrap();
    to.split('?').next().unwrap().to_owned()
}

async fn count(club: &Club, sql: &str) -> i64 {
    let mut conn = club.pool().acquire().await.unwrap();
    sqlx::query_scalar(AssertSqlSafe(sql.to_owned()))
        .fetch_one(&mut *conn)
        .await
        .unwrap()
}

const REVISIONS: &str = "select count(*) from catalogue_entry_revisions";

#[tokio::test]
async fn the_keeper_adds_a_honey_that_members_see_and_strangers_do_not() {
    let (club, wren, ada) = a_club().await;
    let to = made(&wren, "ingredient", HONEY).await;
    let page = ada.get(&to).await;
    assert_eq!(page.heading(), "Tarn heather");
    let words = page.words_of("main").unwrap();
    for told in [
        "From the hives above the tarn; resin and toffee.",
        "The club’s own, revision 1 by Wren.",
        "Water 19.1 %, give or take 1.46 %",
        "light amber to amber",
        "5 of 5: very strong",
        "our refractometer, 2 September",
    ] {
        assert!(words.contains(told), "{told}: {words}");
    }
    assert!(page.link("Edit").is_none(), "a member edits nothing");
    assert!(!page.has_button("Withdraw it"));
    let list = ada.get("/catalogue").await;
    assert!(list.link("Tarn heather").is_some());
    let found = ada.get("/catalogue?q=tarn").await;
    assert!(
        found
            .words_of("main")
            .unwrap()
            .contains("Honeys · the club’s own")
    );

    let stranger = club.browser();
    assert!(
        stranger
            .get("/catalogue")
            .await
            .link("Tarn heather")
            .is_none()
    );
    assert_eq!(stranger.get(&to).await.status, 404);
    let asked = stranger.get(&format!("{to}/history")).await;
    assert!(asked.location().unwrap().starts_with("/sign-in"));

    // Nobody but a keeper writes, whatever they send.
    let form = wren.get(&format!("{to}/edit")).await;
    let (_, fields) = form.filled("Save as revision 2", &[("Name", "Mine")]);
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    for path in ["edit", "withdraw", "put-back", "history/1"] {
        let refused = ada.post(&format!("{to}/{path}"), &fields).await;
        assert_eq!(refused.status, 404, "{path}");
        let refused = stranger.post(&format!("{to}/{path}"), &fields).await;
        assert_eq!(refused.status, 401, "{path}");
    }
    assert_eq!(count(&club, REVISIONS).await, 1);
}

#[tokio::test]
async fn every_fault_stands_beside_its_field_and_nothing_typed_is_lost() {
    let (club, wren, _) = a_club().await;
    let typed = [
        ("Name", "Clover honey"),
        ("Kind", "fruit"),
        ("Water, in percent", "80"),
        ("Sugar that ferments, in percent", "lots"),
        ("Usual amount, from", "3 g/L"),
        ("Usual amount, to", "2 g/L"),
        ("Density, kilograms per litre", "9"),
        ("Note", "half a note"),
    ];
    let page = send(&wren, "ingredient", &typed).await;
    assert_eq!(page.status, 422);
    for (label, fault) in [
        ("In plain words", "Say in a few words what it is."),
        ("Usually goes in", "Choose when it usually goes in."),
        ("Sugar that ferments, in percent", "Write a percentage"),
        (
            "Usual amount, to",
            "Write an amount that is not below the first.",
        ),
        (
            "Density, kilograms per litre",
            "Write a number from 0.3 to 3.",
        ),
        (
            "Where the figures come from",
            "Say where the figures come from.",
        ),
        ("How sure they are", "Choose how sure the figures are."),
    ] {
        assert!(
            page.fault(label).starts_with(fault),
            "{label}: {}",
            page.fault(label)
        );
    }
    for (label, text) in typed {
        assert_eq!(page.value(label), text, "{label}");
    }
    assert!(page.words_of("title").unwrap().starts_with("Error: "));

    // The same form, mended step by step: its parts, then its name.
    let mended = [
        ("In plain words", "a trial"),
        ("Usually goes in", "primary"),
        ("Sugar that ferments, in percent", "30"),
        ("Usual amount, to", "5 g/L"),
        ("Density, kilograms per litre", "1.05"),
        ("Where the figures come from", "a label"),
        ("How sure they are", "published"),
    ];
    let page = wren.submit(&page, "Save as revision 1", &mended).await;
    assert_eq!(
        page.fault("Dissolved, stays, in percent"),
        "Write at least three of the four parts; the missing one is the rest."
    );
    let page = wren
        .submit(
            &page,
            "Save as revision 1",
            &[("Dissolved, stays, in percent", "5")],
        )
        .await;
    assert_eq!(
        page.fault("Dissolved, stays, in percent"),
        "These parts make 115 % together: write them so that they make at most 100 %."
    );
    let page = wren
        .submit(
            &page,
            "Save as revision 1",
            &[("Sugar that ferments, in percent", "12")],
        )
        .await;
    assert_eq!(
        page.fault("Name"),
        "Something in the catalogue has this name already. Give yours a name of its own."
    );
    assert_eq!(count(&club, REVISIONS).await, 0, "nothing faulty is kept");
    let done = wren
        .submit(&page, "Save as revision 1", &[("Name", "Rowan")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = wren.follow(done).await;
    assert!(
        page.words_of("main")
            .unwrap()
            .contains("Does not dissolve 3 %")
    );
}

#[tokio::test]
async fn four_parts_must_make_a_whole_and_a_honey_needs_its_water() {
    let (club, wren, _) = a_club().await;
    let honey: Vec<_> = HONEY
        .iter()
        .copied()
        .filter(|(label, _)| !label.starts_with("Water"))
        .collect();
    let page = send(&wren, "ingredient", &honey).await;
    assert_eq!(
        page.fault("Water, in percent"),
        "Write the water of the honey, such as 17.2 %."
    );
    let parts = |insoluble| {
        [
            ("Water, in percent", "18"),
            ("Sugar that ferments, in percent", "75"),
            ("Dissolved, stays, in percent", "6.9"),
            ("Does not dissolve, in percent", insoluble),
        ]
    };
    let page = wren.submit(&page, "Save as revision 1", &parts("1")).await;
    let fault = page.fault("Does not dissolve, in percent");
    assert!(
        fault.starts_with("The four parts make 100.9 % together"),
        "{fault}"
    );
    // A tenth of a percent is rounding, and is spread.
    let done = wren
        .submit(&page, "Save as revision 1", &parts("0.2"))
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let mut conn = club.pool().acquire().await.unwrap();
    let seen = store::club_catalogue(&mut conn).await.unwrap();
    let parts = seen.honeys().last().unwrap().composition.unwrap();
    let sum = parts.water + parts.fermentable + parts.unfermentable + parts.insoluble;
    assert!((sum - 1.0).abs() < 1e-12, "{sum}");
}

#[tokio::test]
async fn a_yeast_and_a_feed_are_typed_in_any_unit_and_shown_in_the_readers() {
    let (club, wren, ada) = a_club().await;
    let yeast = made(
        &wren,
        "yeast",
        &[
            ("Name", "House yeast"),
            ("In plain words", "kept going from the cellar"),
            ("Sort", "wine"),
            ("Stops at, from, percent alcohol", "13 %"),
            ("Stops at, to, percent alcohol", "15"),
            ("Works from", "59F"),
            ("Works up to", "22 °C"),
            ("Need of nitrogen", "high"),
            ("Where the figures come from", "twelve batches"),
            ("How sure they are", "common practice"),
        ],
    )
    .await;
    let words = ada.get(&yeast).await.words_of("main").unwrap();
    for told in [
        "13 to 15 % alcohol",
        "reckons with 14 %",
        "15 to 22 °C",
        "high: about 1.25 mg",
        "35 to 40 °C",
    ] {
        assert!(words.contains(told), "{told}: {words}");
    }
    // What was typed stands in the form as it was typed.
    assert_eq!(
        wren.get(&format!("{yeast}/edit")).await.value("Works from"),
        "59F"
    );
    let feed = made(
        &wren,
        "feed",
        &[
            ("Name", "Kitchen blend"),
            ("In plain words", "two to one"),
            ("Nitrogen as ammonium, milligrams per gram", "70 mg/g"),
            ("Nitrogen, organic, milligrams per gram", "30"),
            ("Usual dose, from", "1 g/US gal"),
            ("Usual dose, to", "0.5"),
            ("A level teaspoon weighs, in grams", "3.5"),
            ("Where the figures come from", "the label"),
            ("How sure they are", "published"),
        ],
    )
    .await;
    let words = ada.get(&feed).await.words_of("main").unwrap();
    for told in [
        "70 mg in a gram",
        "30 mg in a gram",
        "about 3.5 g",
        "Source the label How sure they are published",
    ] {
        assert!(words.contains(told), "{told}: {words}");
    }
    let mut conn = club.pool().acquire().await.unwrap();
    let seen = store::club_catalogue(&mut conn).await.unwrap();
    assert_eq!(seen.yeasts().last().unwrap().temperature_c, [15.0, 22.0]);
    let usual = seen.feeds().last().unwrap().usual_g_per_l;
    assert!((usual[0] - 1.0 / 3.785_411_784).abs() < 1e-9, "{usual:?}");
}

#[tokio::test]
async fn an_entry_is_started_from_a_built_in_one() {
    let (club, wren, _) = a_club().await;
    let source = wren.get("/catalogue/apple-juice").await;
    let to = source
        .link("Start an entry of the club’s own from this")
        .unwrap();
    let form = wren.get(&to).await;
    assert_eq!(form.value("Name"), "Apple juice");
    assert_eq!(form.value("Water, in percent"), "88.2312");
    let done = wren
        .submit(
            &form,
            "Save as revision 1",
            &[("Name", "Juice of our own trees")],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let mut conn = club.pool().acquire().await.unwrap();
    let seen = store::club_catalogue(&mut conn).await.unwrap();
    let ours = seen.others().last().unwrap();
    let theirs = seen.find("apple-juice").unwrap();
    assert_eq!(ours.kind, theirs.kind);
    assert_eq!(ours.usual_g_per_l, theirs.usual_g_per_l);
    let (a, b) = (ours.composition.unwrap(), theirs.composition.unwrap());
    assert!((a.water - b.water).abs() < 1e-5 && (a.fermentable - b.fermentable).abs() < 1e-5);
    // Of a honey the water alone is proposed, so that changing it changes the rest.
    let form = wren
        .get("/catalogue/new/ingredient?from=honey-clover")
        .await;
    assert_eq!(form.value("Water, in percent"), "17.7");
    assert_eq!(form.value("Sugar that ferments, in percent"), "");
    assert_eq!(wren.get("/catalogue/new/nothing").await.status, 404);
}

#[tokio::test]
async fn the_loser_of_a_race_sees_both_texts_and_can_go_on() {
    let (club, wren, _) = a_club().await;
    let to = made(&wren, "ingredient", HONEY).await;
    let early = wren.get(&format!("{to}/edit")).await;
    let late = wren.get(&format!("{to}/edit")).await;
    let won = wren
        .submit(
            &early,
            "Save as revision 2",
            &[("Water, in percent", "18.4")],
        )
        .await;
    assert_eq!(won.status, 303, "{}", won.text);
    let lost = wren
        .submit(
            &late,
            "Save as revision 2",
            &[("Water, in percent", "18.9"), ("Note", "Mine")],
        )
        .await;
    assert_eq!(lost.status, 409);
    let told = lost.words_of("#meanwhile").unwrap();
    for words in ["Wren saved revision 2", "Water 18.4 % 18.9 %", "Note Mine"] {
        assert!(told.contains(words), "{words}: {told}");
    }
    assert_eq!(lost.value("Water, in percent"), "18.9");
    let done = wren.submit(&lost, "Save as revision 3", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(count(&club, REVISIONS).await, 3);
}

#[tokio::test]
async fn a_double_click_makes_one_entry() {
    let (club, wren, _) = a_club().await;
    let form = wren.get("/catalogue/new/ingredient").await;
    let one = wren.submit(&form, "Save as revision 1", HONEY).await;
    let two = wren.submit(&form, "Save as revision 1", HONEY).await;
    assert_eq!(one.status, 303, "{}", one.text);
    assert_eq!(one.location(), two.location());
    assert_eq!(
        count(&club, "select count(*) from catalogue_entries").await,
        1
    );
}

#[tokio::test]
async fn history_says_who_changed_what_and_old_words_are_brought_back() {
    let (club, wren, ada) = a_club().await;
    let to = made(&wren, "ingredient", HONEY).await;
    let form = wren.get(&format!("{to}/edit")).await;
    let typed = [
        ("Water, in percent", "18.2"),
        ("How sure they are", "published"),
    ];
    wren.submit(&form, "Save as revision 2", &typed).await;
    let page = wren.get(&to).await;
    let done = wren.submit(&page, "Withdraw it", &[]).await;
    assert!(
        wren.follow(done)
            .await
            .text
            .contains("Withdrawn: no new recipe is offered it.")
    );

    let path = format!("{to}/history");
    let past = ada.get(&path).await;
    let words = past.words_of("main ol").unwrap();
    for told in [
        "Withdrawn, revision 3",
        "Changed, revision 2",
        "Water 19,1 % 18.2 %",
        "How sure they are measured or done by us, no published source read in the source that is named",
        "Made, revision 1",
        "Name Tarn heather",
        "by Wren, ",
    ] {
        assert!(words.contains(told), "{told}: {words}");
    }
    assert!(
        !past.has_button("Make this the newest again: revision 1"),
        "a member only reads"
    );

    // Withdrawn: no list has it, its address and its key stay good.
    assert!(ada.get("/catalogue").await.link("Tarn heather").is_none());
    assert_eq!(ada.get(&to).await.status, 200);
    let key = to.rsplit('/').next().unwrap();
    let mut conn = club.pool().acquire().await.unwrap();
    let seen = store::club_catalogue(&mut conn).await.unwrap();
    assert_eq!(seen.find(key).unwrap().name, "Tarn heather");
    assert!(seen.honeys().all(|honey| honey.key != key));

    let (past, old) = (wren.get(&path).await, wren.get(&path).await);
    let button = "Make this the newest again: revision 1";
    let done = wren.submit(&past, button, &[]).await;
    let again = wren.submit(&past, button, &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(
        done.location(),
        again.location(),
        "a second click is the first"
    );
    let page = wren.follow(done).await;
    assert!(page.words_of("main").unwrap().contains("Water 19.1 %"));
    // The other page is old by now.
    let late = wren.submit(&old, button, &[]).await;
    assert_eq!(late.status, 409);
    assert!(late.text.contains("Wren saved revision 4"));
    assert_eq!(count(&club, REVISIONS).await, 4);

    let done = wren.submit(&page, "Offer it again", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert!(ada.get("/catalogue").await.link("Tarn heather").is_some());
    let past = wren.get(&path).await.words_of("main ol").unwrap();
    assert!(past.contains("Offered again, revision 5"));
    assert!(past.contains("Revision 1 brought back, revision 4"));
}

#[tokio::test]
async fn a_name_is_free_again_once_its_entry_is_withdrawn_and_cannot_be_doubled() {
    let (club, wren, _) = a_club().await;
    let first = made(&wren, "ingredient", HONEY).await;
    let page = send(&wren, "ingredient", HONEY).await;
    assert!(
        page.fault("Name")
            .starts_with("Something in the catalogue has this name")
    );
    let entry = wren.get(&first).await;
    wren.submit(&entry, "Withdraw it", &[]).await;
    made(&wren, "ingredient", HONEY).await;
    let entry = wren.get(&first).await;
    let refused = wren.submit(&entry, "Offer it again", &[]).await;
    assert_eq!(refused.status, 409);
    assert!(refused.text.contains("has this name by now"));
    assert_eq!(
        count(
            &club,
            "select count(*) from catalogue_entries where not withdrawn"
        )
        .await,
        1
    );
}

#[tokio::test]
async fn what_was_written_is_never_rewritten() {
    let (club, wren, _) = a_club().await;
    made(&wren, "ingredient", HONEY).await;
    let mut owner = club.database.owner().await;
    for statement in [
        "update catalogue_entry_revisions set deed = 'changed'",
        "delete from catalogue_entry_revisions",
        "truncate catalogue_entry_revisions cascade",
    ] {
        let refused = sqlx::query(statement).execute(&mut owner).await;
        let fault = refused.expect_err(statement);
        let code = fault
            .as_database_error()
            .unwrap()
            .code()
            .unwrap()
            .into_owned();
        assert_eq!(code, "23001", "{statement}: {fault}");
    }
    let mut conn = club.pool().acquire().await.unwrap();
    for statement in [
        "update catalogue_entry_revisions set deed = 'changed'",
        "delete from catalogue_entry_revisions",
        "delete from catalogue_entries",
    ] {
        let refused = sqlx::query(statement).execute(&mut *conn).await;
        let fault = refused.expect_err(statement);
        let code = fault
            .as_database_error()
            .unwrap()
            .code()
            .unwrap()
            .into_owned();
        assert_eq!(code, "42501", "{statement}: {fault}");
    }
}

#[tokio::test]
async fn an_ended_session_gives_the_typed_entry_back() {
    let (club, wren, _) = a_club().await;
    let form = wren.get("/catalogue/new/ingredient").await;
    wren.post("/sign-out", &[]).await;
    let asked = wren.submit(&form, "Save as revision 1", HONEY).await;
    assert_eq!(asked.status, 401);
    assert_eq!(
        asked.hidden("name"),
        None,
        "it is carried apart from the name to sign in with"
    );
    assert!(asked.text.contains("from the hives above the tarn"));
    assert_eq!(count(&club, REVISIONS).await, 0);
}
