//! Bringing one difference into a recipe of one's own: every sort of it, with nothing saved before the member saves it.

use mustwright::engine::reading;
use mustwright::recipes::model::{Numbers, Visibility};
use mustwright::recipes::saving::store::save_revision;
use mustwright::recipes::saving::{SaveRevision, Target};
use mustwright::web::units::Units;
use mustwright::web::viewer::MemberId;
use serde_json::{Value, json};

use super::{NEW, SAVE, STRENGTH, a_club, all_words, another, count, edited, saved, sheet_of};
use crate::support::{Club, Page, a_member};

/// Saves a document; gives the path of its sheet.
async fn kept(club: &Club, owner: MemberId, document: &Value, visibility: Visibility) -> String {
    let read = reading::read(&document.to_string()).expect("a document");
    let mut tx = club.pool().begin().await.expect("a transaction");
    let numbers = Numbers {
        engine_version: "0".to_owned(),
        ..Numbers::default()
    };
    let save = SaveRevision {
        author: owner,
        target: Target::New {
            visibility,
            started_from: None,
        },
        title: &read.title,
        document,
        numbers: &numbers,
        note: "",
        draft: None,
    };
    let saved = save_revision(&mut tx, &save, chrono::Utc::now())
        .await
        .expect("a save");
    tx.commit().await.expect("a commit");
    format!("/recipes/{}", saved.recipe)
}

fn honey(name: &str, price: f64) -> Value {
    json!({"name": name, "kind": "honey", "when": "must", "amount": {"share": 1.0}, "price_per_kg": price,
        "composition": {"water": 0.17, "fermentable": 0.79, "unfermentable": 0.04, "insoluble": 0.0}})
}

fn fruit(name: &str, kg: f64) -> Value {
    json!({"name": name, "kind": "fruit", "when": "primary", "days": 7.0, "price_per_kg": 4.0, "amount": {"kg": kg},
        "composition": {"water": 0.82, "fermentable": 0.09, "unfermentable": 0.03, "insoluble": 0.06}})
}

fn yeast(name: &str, tolerance: f64) -> Value {
    json!({"name": name, "tolerance_abv_percent": tolerance, "nitrogen_need": "medium", "when": "pitch",
        "temperature_c": [15.0, 25.0]})
}

fn feed(name: &str, ammonium: f64, organic: f64) -> Value {
    json!({"name": name, "ammonium_yan_mg_per_g": ammonium, "organic_yan_mg_per_g": organic})
}

fn mine() -> Value {
    json!({
        "version": 1, "title": "Mine", "notes": "Try it.", "volume_l": 19.0, "aim": {"abv_percent": 11.0},
        "finish": {"dry": true},
        "ingredients": [honey("Field honey", 12.0), fruit("Plums", 2.0), fruit("Sloes", 1.0)],
        "yeasts": [yeast("House yeast", 14.0)],
        "nutrients": [feed("Mixed feed", 60.0, 40.0)],
        "feeding": "usual", "temperature_c": 18.0,
        "process": [{"when": "day 2", "text": "stir"}, {"when": "day 9", "text": "taste"}]
    })
}

/// Different in everything that a form can say.
fn hers() -> Value {
    json!({
        "version": 1, "title": "Hers", "notes": "It wants time.\nDo not hurry.", "volume_l": 15.0,
        "aim": {"gravity_sg": 1.095}, "finish": {"sweeten_to_sg": 1.015},
        "style": "a hedge mead", "declared": {"sweetness": "half sweet", "carbonation": "still"},
        "ingredients": [honey("Moor honey", 15.0), fruit("Plums", 3.0), fruit("Damsons", 0.5),
            fruit("Elder", 0.4)],
        "yeasts": [yeast("Other yeast", 16.0)],
        "nutrients": [feed("Mixed feed", 70.0, 40.0), feed("White powder", 200.0, 0.0)],
        "feeding": "full", "temperature_c": 20.0,
        "vessel": {"name": "the green one", "kind": "bucket", "brim_l": 25.0, "wide_mouth": true},
        "water_report": {"ions": {"calcium": 60.0, "sulfate": 20.0}, "salts": {"gypsum": 1.0}},
        "process": [{"when": "day 2", "text": "stir twice"}, {"when": "day 20", "text": "rack"}]
    })
}

/// Words of the links that bring a difference over.
fn ways(page: &Page) -> Vec<String> {
    all_words(page, "#steps a.take")
}

#[tokio::test]
async fn each_sort_of_difference_is_taken_over_and_is_gone_from_the_next_comparison() {
    let (club, ada, browser) = a_club().await;
    let blythe = a_member().named("Blythe").of(&club).await;
    let own = kept(&club, ada.id, &mine(), Visibility::Private).await;
    let other = kept(&club, blythe.id, &hers(), Visibility::Club).await;
    let own_id = own.rsplit('/').next().expect("an id");
    let mut taken = Vec::new();
    let mut page = browser
        .get(&format!("{other}/revisions/1/changes?of={own_id}&since=1"))
        .await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(
        page.text.contains("from Hers, revision 1, into Mine"),
        "{}",
        page.text
    );
    for number in 2.. {
        let left = ways(&page);
        let Some(words) = left.first().cloned() else {
            break;
        };
        let before = count(&club, "select count(*) from revisions").await;
        let way = page.link(&words).expect("a way");
        let form = browser.get(&way).await;
        assert_eq!(form.status, 200, "{words}: {}", form.text);
        assert!(
            form.text
                .contains("Taken over from Hers, revision 1. Nothing is saved yet")
        );
        assert_eq!(count(&club, "select count(*) from revisions").await, before);
        let button = format!("Save as revision {number}");
        let done = browser.submit(&form, &button, &[]).await;
        assert_eq!(done.status, 303, "{words}: {}", done.text);
        taken.push(words);
        page = browser
            .get(&format!(
                "{other}/revisions/1/changes?of={own_id}&since={number}"
            ))
            .await;
        assert_eq!(page.status, 200, "{}", page.text);
        let now = ways(&page);
        assert_eq!(now.len(), left.len() - 1, "{taken:#?}, left {now:#?}");
    }
    assert!(
        page.text.contains("Nothing: both say the same."),
        "{}",
        page.text
    );
    let all = taken.join("\n");
    for sort in [
        "Name",
        "Aim for",
        "Volume of must",
        "How it ends",
        "Style, in your words",
        "Sweetness, in your words",
        "Bubbles, in your words",
        "How gently to feed",
        "Temperature of the must",
        "Vessel",
        "Water, calcium",
        "Notes",
        ": Honey\n",
        "Plums, amount",
        "Fruit and others",
        ": Yeast\n",
        "Mixed feed, nitrogen as ammonium",
        "Feed",
        "Salt",
        "Step, what to do",
    ] {
        assert!(all.contains(sort), "{sort} in {all}");
    }
    // Every number is the same now too.
    let documents: Vec<Value> = sqlx::query_scalar(
        "select v.document from recipes r join revisions v on v.recipe_id = r.id and v.number = r.version",
    )
    .fetch_all(club.pool())
    .await
    .expect("documents");
    let numbers = |document: &Value| {
        let read = reading::read(&document.to_string()).expect("a document");
        let settings = mustwright::engine::Settings::default();
        let finished = mustwright::engine::formulate(&read, &settings).finished;
        finished.map(|end| [end.abv_percent, end.fg].map(|number| format!("{number:.9}")))
    };
    assert!(numbers(&documents[0]).is_some());
    assert_eq!(numbers(&documents[0]), numbers(&documents[1]));
}

#[tokio::test]
async fn what_a_difference_does_is_told_in_every_number_and_both_stand_side_by_side() {
    let (club, ada, browser) = a_club().await;
    let own = kept(&club, ada.id, &mine(), Visibility::Private).await;
    let other = kept(&club, ada.id, &hers(), Visibility::Private).await;
    let own_id = own.rsplit('/').next().expect("an id");
    let page = browser
        .get(&format!("{other}/revisions/1/changes?of={own_id}&since=1"))
        .await;
    let rows = all_words(&page, "#steps tbody");
    let row = |begins: &str| {
        let found = rows.iter().find(|row| row.starts_with(begins));
        found
            .unwrap_or_else(|| panic!("{begins}: {rows:#?}"))
            .clone()
    };
    for number in ["strength from", "start from", "cost from"] {
        assert!(
            row("Aim for").contains(number),
            "{number}: {}",
            row("Aim for")
        );
    }
    for number in ["end from", "sweetness from"] {
        assert!(
            row("How it ends").contains(number),
            "{number}: {}",
            row("How it ends")
        );
    }
    assert!(row("Volume of must").contains("Mixed feed from "));
    assert!(row("Honey").contains("cost from"));
    let together = all_words(&page, "#numbers tbody tr");
    for number in ["strength", "start", "end", "sweetness", "cost"] {
        assert!(
            together.iter().any(|row| row.starts_with(number)),
            "{number}: {together:#?}"
        );
    }
    assert!(!all_words(&page, "#feeding tbody tr").is_empty());
    let beside = all_words(&page, "#beside tbody tr");
    for begins in [
        "Plums2 kg3 kg",
        "Sloes1 kg500 g of Damsons",
        "Eldernone400 g",
        "day 2stirstir twice",
        "stepday 9: tasteday 20: rack",
    ] {
        assert!(
            beside.iter().any(|row| row.starts_with(begins)),
            "{begins}: {beside:#?}"
        );
    }
    let notes = page.words_of("#beside .two").expect("notes");
    assert!(
        notes.contains("Try it.") && notes.contains("Do not hurry."),
        "{notes}"
    );
    // The other way round, and what stays is there too.
    let turned = browser
        .get(&page.link("the other way round").expect("a way"))
        .await;
    let beside = all_words(&turned, "#beside tbody tr");
    assert!(
        beside.iter().any(|row| row.starts_with("Plums3 kg2 kg")),
        "{beside:#?}"
    );
}

#[tokio::test]
async fn what_cannot_be_taken_over_is_told_and_changes_nothing() {
    let (club, ada, browser) = a_club().await;
    let blythe = a_member().named("Blythe").of(&club).await;
    let first = kept(&club, blythe.id, &mine(), Visibility::Club).await;
    let second = kept(&club, blythe.id, &hers(), Visibility::Club).await;
    let mut plain = mine();
    plain["title"] = "Plain".into();
    plain["ingredients"] = json!([honey("Field honey", 12.0), fruit("Elder", 1.0)]);
    let plain = kept(&club, ada.id, &plain, Visibility::Private).await;
    let id = |sheet: &str| sheet.rsplit('/').next().expect("an id").to_owned();
    let at = format!("{second}/revisions/1/changes?of={}&since=1", id(&first));
    let page = browser.get(&at).await;
    // Neither is one's own: a new one is started with the change.
    assert!(
        page.text
            .contains("into one of your own, started from Mine")
    );
    let form = browser
        .get(&page.link("Take this over: Plums, amount").expect("a way"))
        .await;
    assert_eq!(form.value("Name"), "Mine, my own");
    assert_eq!(form.value("Amount, Ingredient 1"), "3 kg");
    let done = browser.submit(&form, SAVE, &[]).await;
    assert!(
        browser
            .get(&sheet_of(&done))
            .await
            .link("Mine by Blythe, revision 1")
            .is_some()
    );

    // One of one's own is chosen.
    let (_, fields) = page.filled("Choose", &[("Bring changes into", &id(&plain))]);
    let query: Vec<String> = fields
        .iter()
        .map(|(name, value)| format!("{name}={value}"))
        .collect();
    let page = browser
        .get(&format!("{second}/revisions/1/changes?{}", query.join("&")))
        .await;
    assert!(page.text.contains("into Plain"), "{}", page.text);
    let revisions = count(&club, "select count(*) from revisions").await;
    for (words, why) in [
        (
            "Take this over: Plums, amount",
            "Plums is not in this recipe",
        ),
        (
            "Take this over: Fruit and others",
            "Sloes is not in this recipe",
        ),
    ] {
        let form = browser.get(&page.link(words).expect(words)).await;
        assert_eq!((form.status, form.value("Name")), (200, "Plain".to_owned()));
        let said = form.words_of("[role=alert]").expect("a word");
        assert!(said.contains(why), "{said}");
    }
    assert_eq!(
        count(&club, "select count(*) from revisions").await,
        revisions
    );
    // What says the same already is told too.
    let twice = page.link("Take this over: Notes").expect("a way");
    let form = browser.get(&twice).await;
    let done = browser.submit(&form, "Save as revision 2", &[]).await;
    assert_eq!(done.status, 303);
    let form = browser.get(&twice).await;
    assert!(
        form.words_of("[role=alert]")
            .expect("a word")
            .contains("says the same already")
    );
}

#[tokio::test]
async fn nothing_is_taken_from_or_into_what_is_not_ones_to_see_or_change() {
    let (club, _, ada) = a_club().await;
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let hidden = saved(&ada, &[("Name", "Hidden"), (STRENGTH, "9 %")]).await;
    let open = saved(&ada, &[("Name", "Open"), ("Who may see it", "club")]).await;
    let own = saved(&blythe, &[("Name", "Own"), (STRENGTH, "10 %")]).await;
    let id = |sheet: &str| sheet.rsplit('/').next().expect("an id").to_owned();
    let asked = |since: &str, until: &str| {
        format!("change=aim&since={}.1&until={}.1", id(since), id(until))
    };
    let fine = blythe
        .get(&format!("{own}/edit?{}", asked(&own, &open)))
        .await;
    assert_eq!(fine.status, 200);
    assert_eq!(fine.value(STRENGTH), "12 %");
    for path in [
        format!("{own}/edit?{}", asked(&own, &hidden)),
        format!("{own}/edit?{}", asked(&hidden, &own)),
        format!("{NEW}?{}", asked(&hidden, &open)),
        format!("{open}/edit?{}", asked(&own, &open)),
        format!("{own}/edit?change=aim&since=x&until={}.1", id(&open)),
        format!(
            "{own}/edit?change=aim&since={}.9&until={}.1",
            id(&own),
            id(&open)
        ),
        format!("{own}/edit?change=aim"),
    ] {
        assert_eq!(blythe.get(&path).await.status, 404, "{path}");
    }
    for word in [
        "",
        "nothing",
        "honey-7-7",
        "honey--1",
        "step-0-0",
        "%3Cb%3E",
    ] {
        let asked = asked(&own, &open).replace("aim", word);
        let page = blythe.get(&format!("{own}/edit?{asked}")).await;
        assert_eq!(page.status, 200, "{word}");
        assert!(
            page.text.contains("That difference is not there any more"),
            "{word}"
        );
        assert_eq!(page.value(STRENGTH), "10 %");
    }
    // What another's recipe is asked to be changed is not: one of the two that is one's own is.
    let at = format!(
        "{open}/revisions/1/changes?of={}&since=1&into={}",
        id(&own),
        id(&open)
    );
    assert!(blythe.get(&at).await.text.contains("into Own"));
}

#[tokio::test]
async fn one_change_of_a_revision_is_taken_back_by_itself() {
    let (_club, _, ada) = a_club().await;
    let sheet = saved(
        &ada,
        &[("Name", "Meadow"), (STRENGTH, "10 %"), ("Notes", "First.")],
    )
    .await;
    edited(&ada, &sheet, 2, &[(STRENGTH, "13 %"), ("Notes", "Second.")]).await;
    let page = ada.get(&format!("{sheet}/revisions/2/changes")).await;
    let form = ada
        .get(&page.link("Take this back: Strength").expect("a way"))
        .await;
    assert_eq!(form.value(STRENGTH), "10 %");
    assert_eq!(form.value("Notes"), "Second.");
    let done = ada.submit(&form, "Save as revision 3", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = ada
        .get(&format!("{sheet}/revisions/3/changes?since=1"))
        .await;
    let rows = all_words(&page, "#steps tbody tr");
    assert_eq!(rows.len(), 1, "{rows:?}");
    assert!(rows[0].starts_with("NotesFirst.Second."), "{rows:?}");
}

#[tokio::test]
async fn what_to_compare_with_is_offered_and_found_by_name() {
    let (club, _, ada) = a_club().await;
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let meadow = saved(&ada, &[("Name", "Meadow"), ("Who may see it", "club")]).await;
    edited(
        &ada,
        &meadow,
        2,
        &[("What is new in this revision", "Drier")],
    )
    .await;
    saved(&ada, &[("Name", "Hedge"), ("Who may see it", "club")]).await;
    saved(&ada, &[("Name", "Hedge of mine alone")]).await;
    saved(&blythe, &[("Name", "Hers")]).await;
    let id = meadow.rsplit('/').next().expect("an id");
    let form = blythe.get(&format!("{NEW}?from={id}")).await;
    blythe.submit(&form, SAVE, &[("Name", "Started")]).await;
    let page = blythe
        .get(&blythe.get(&meadow).await.link("compare").expect("a way"))
        .await;
    assert_eq!(
        all_words(&page, "section h2"),
        ["Its own revisions", "Its lineage", "My recipes"]
    );
    for (words, status) in [("revision 1", 200), ("Started", 200), ("Hers", 200)] {
        let way = page
            .link(words)
            .unwrap_or_else(|| panic!("{words}: {}", page.text));
        assert_eq!(blythe.get(&way).await.status, status, "{words}");
    }
    assert!(!page.text.contains("Hedge"));
    let found = blythe
        .get(&format!("{meadow}/compare?q=hed&revision=1"))
        .await;
    assert_eq!(all_words(&found, "#found h3"), ["Hedge"]);
    let compared = blythe.get(&found.link("Hedge").expect("a way")).await;
    assert_eq!(compared.heading(), "What differs");
    assert_eq!(
        compared.words_of(".lead").as_deref(),
        Some("From Hedge by Ada, revision 1 to revision 1.")
    );
    let nothing = blythe.get(&format!("{meadow}/compare?q=zzz")).await;
    assert!(
        nothing
            .text
            .contains("Nothing else begins with these words.")
    );
    assert_eq!(
        blythe
            .get(&format!("{meadow}/compare?revision=9"))
            .await
            .status,
        404
    );
    let of_hers = ada.get(&format!("{meadow}/compare?q=hers")).await;
    assert!(
        of_hers
            .text
            .contains("Nothing else begins with these words.")
    );
}
