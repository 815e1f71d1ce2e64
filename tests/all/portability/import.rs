//! The import: nothing is lost, nothing is taken twice, nothing hostile comes in.

use serde_json::Value;

use super::{
    Files, IMPORT, WAITING, a_person, a_recipe, exported, json_of, saved, sent, taken_in, with,
    zipped,
};
use crate::support::{Browser, Club};

/// Keys that another club rightly gives other values.
const OF_THE_PLACE: &[&str] = &["id", "origins", "club", "joined_at", "name"];

/// A thing without ids: those that stand for one another become their order.
fn without_ids(value: &Value, ids: &[String]) -> Value {
    match value {
        Value::Object(entries) => entries
            .iter()
            .filter(|(key, _)| !OF_THE_PLACE.contains(&key.as_str()))
            .map(|(key, value)| (key.clone(), without_ids(value, ids)))
            .collect(),
        Value::Array(items) => items.iter().map(|item| without_ids(item, ids)).collect(),
        Value::String(text) => match ids.iter().position(|id| id == text) {
            Some(place) => Value::from(format!("the {place}th")),
            None => value.clone(),
        },
        other => other.clone(),
    }
}

/// Everything that an export says, without ids.
fn said(files: &Files) -> Vec<(String, Value)> {
    let mut ids = Vec::new();
    let kinds = mustwright::portability::kinds::ALL;
    let read: Vec<(String, Value)> = kinds
        .iter()
        .map(|kind| {
            let name = format!("{}.json", kind.name());
            let things = json_of(files, &name);
            for thing in things.as_array().unwrap() {
                ids.push(thing["id"].as_str().unwrap().to_owned());
            }
            (name, things)
        })
        .collect();
    read.into_iter()
        .map(|(name, things)| (name, without_ids(&things, &ids)))
        .collect()
}

/// A member with something of every kind that the first pages give.
async fn full(club: &Club) -> Browser {
    let (_, ada) = a_person(club, "Ada").await;
    let (_, bert) = a_person(club, "Bert").await;
    let settings = ada.get("/settings").await;
    let typed = [
        ("US: pounds, US gallons of 3.8 L, °F", ""),
        ("One sachet of your yeast weighs, in grams", "11,5 g"),
    ];
    let done = ada.submit(&settings, "Save settings", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);

    let first = a_recipe(&ada, "Heather", "club").await;
    let edit = format!("{first}/edit");
    let page = ada.get(&edit).await;
    let button = "Save as revision 2";
    assert!(page.has_button(button), "{}", page.text);
    let note = [("What is new in this revision", "Less of it, and colder.")];
    saved(&ada, &edit, button, &note).await;
    // Revision 1 comes back as the third.
    let revisions = ada.get(&format!("{first}/revisions")).await;
    assert!(revisions.status == 200);
    let id = first.rsplit('/').next().unwrap();
    sqlx::query(
        "with moved as (update recipes set version = 3 where public_id = $1 returning id)
         insert into revisions (recipe_id, number, title, document, note, restored_from, author_id, created_at)
         select v.recipe_id, 3, v.title, v.document, '', 1, v.author_id, now()
         from revisions v join moved on moved.id = v.recipe_id where v.number = 1",
    )
    .bind(id)
    .execute(club.pool())
    .await
    .unwrap();
    sqlx::query(
        "insert into revision_numbers
         select v.id, n.volume_l, n.og, n.fg, n.abv_percent, n.honey_kg, n.honeys, n.style_family, n.strength,
             n.sweetness, n.problems, n.engine_version
         from revisions v join revisions one on one.recipe_id = v.recipe_id and one.number = 1
         join revision_numbers n on n.revision_id = one.id
         join recipes r on r.id = v.recipe_id where r.public_id = $1 and v.number = 3",
    )
    .bind(id)
    .execute(club.pool())
    .await
    .unwrap();

    // One's own copy of it, a copy of another's, one in the bin, one never saved.
    let copy = format!("/recipes/new?from={id}");
    saved(&ada, &copy, "Save as revision 1", &[]).await;
    let theirs = a_recipe(&bert, "Bert’s cyser", "club").await;
    let their_id = theirs.rsplit('/').next().unwrap();
    let copy = format!("/recipes/new?from={their_id}");
    saved(&ada, &copy, "Save as revision 1", &[]).await;
    let gone = a_recipe(&ada, "A mistake", "private").await;
    let page = ada.get(&gone).await;
    let done = ada.submit(&page, "Put it in the bin", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    keep_draft(&ada, id).await;
    sqlx::query(
        "insert into recipe_ratings (recipe_id, member_id, revision_number, stars, basis, rated_at)
         select r.id, m.id, 1, 4, 'made', now() from recipes r, members m
         where r.public_id = $1 and m.name = 'Ada'",
    )
    .bind(their_id)
    .execute(club.pool())
    .await
    .unwrap();
    super::things::give(club).await;
    ada
}

/// Leaves an edit of a recipe unsaved.
async fn keep_draft(browser: &Browser, id: &str) {
    let form = browser.get(&format!("/recipes/{id}/edit")).await;
    let (_, mut fields) = form.filled("Recalculate", &[]);
    for (name, value) in &mut fields {
        if name == "title" {
            *value = "Heather, colder".to_owned();
        }
    }
    if !fields.iter().any(|(name, _)| name == "recipe") {
        fields.push(("recipe".to_owned(), id.to_owned()));
    }
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    let kept = browser.post("/recipes/workbench", &fields).await;
    assert_eq!(kept.status, 200, "{}", kept.text);
}

#[tokio::test]
async fn out_of_one_club_and_into_another_nothing_is_lost() {
    let here = Club::open().await;
    let ada = full(&here).await;
    let first = exported(&ada).await;
    for (name, things) in said(&first) {
        let wanted = if name == "catalogue_entries.json" {
            0
        } else {
            1
        };
        assert!(things.as_array().unwrap().len() >= wanted, "no {name}");
    }
    let there = Club::with(&[("MUSTWRIGHT_CLUB_NAME", "Another Club")]).await;
    let (_, eve) = a_person(&there, "Eve").await;
    let done = taken_in(&there, &eve, &first).await;
    assert!(done.text.contains("is yours here now"), "{}", done.text);
    let second = exported(&eve).await;
    for ((name, before), (_, after)) in said(&first).into_iter().zip(said(&second)) {
        assert_eq!(before, after, "{name}");
    }
    // What it was started from is told though it is not here.
    let recipes = json_of(&second, "recipes.json");
    let told = recipes
        .as_array()
        .unwrap()
        .iter()
        .find(|recipe| recipe["started_from"]["by"] == "Bert")
        .expect("the copy of another's");
    assert_eq!(told["started_from"]["club"], "Tarn Valley Mead Circle");
    // And the third club hears of the first.
    let third = Club::with(&[("MUSTWRIGHT_CLUB_NAME", "A Third")]).await;
    let (_, ivo) = a_person(&third, "Ivo").await;
    taken_in(&third, &ivo, &second).await;
    for ((name, before), (_, after)) in said(&first).into_iter().zip(said(&exported(&ivo).await)) {
        assert_eq!(before, after, "{name}");
    }
}

#[tokio::test]
async fn the_same_export_is_not_taken_twice_nor_back_where_it_came_from() {
    let here = Club::open().await;
    let ada = full(&here).await;
    let first = exported(&ada).await;
    let there = Club::open().await;
    let (_, eve) = a_person(&there, "Eve").await;
    taken_in(&there, &eve, &first).await;
    let second = exported(&eve).await;
    for (club, browser, files) in [
        (&there, &eve, &first),
        (&there, &eve, &second),
        (&here, &ada, &first),
        (&here, &ada, &second),
    ] {
        let before = said(&exported(browser).await);
        let page = sent(browser, club.app.site.origin(), &zipped(files)).await;
        let waiting = browser.follow(page).await;
        assert!(
            waiting
                .text
                .contains("Everything in this file is here already."),
            "{}",
            waiting.text
        );
        assert_eq!(
            said(&exported(browser).await),
            before,
            "looking takes nothing in"
        );
    }
    // A double click is one.
    let (_, ivo) = a_person(&there, "Ivo").await;
    let page = sent(&ivo, there.app.site.origin(), &zipped(&first)).await;
    let waiting = ivo.follow(page).await;
    for _ in 0..2 {
        let done = ivo.submit(&waiting, "Take it in", &[]).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    // A code that stands on somebody's bottles here opens theirs: those of this member have a new one.
    let (given, mine) = (json_of(&first, "bottles.json"), exported(&ivo).await);
    let code = |bottles: &Value| bottles[0]["code"].as_str().unwrap().to_owned();
    let (old, new) = (code(&given), code(&json_of(&mine, "bottles.json")));
    assert_ne!(new, old);
    let mut wanted = given;
    wanted[0]["code"] = Value::from(new);
    let wanted = with(&first, "bottles.json", &wanted.to_string());
    assert_eq!(said(&mine), said(&wanted));
}

#[tokio::test]
async fn a_document_is_read_as_strictly_as_any_and_then_nothing_comes_in() {
    let here = Club::open().await;
    let (_, ada) = a_person(&here, "Ada").await;
    a_recipe(&ada, "Good", "private").await;
    a_recipe(&ada, "Bad", "private").await;
    let files = exported(&ada).await;
    let there = Club::open().await;
    let (_, eve) = a_person(&there, "Eve").await;
    let mut recipes = json_of(&files, "recipes.json");
    recipes[1]["revisions"][0]["document"]["volume_litres"] = Value::from(5);
    let bad = with(&files, "recipes.json", &recipes.to_string());
    let page = sent(&eve, there.app.site.origin(), &zipped(&bad)).await;
    let waiting = eve.follow(page).await;
    for words in [
        "Nothing of it can be taken in",
        "“Bad”",
        "Revision 1",
        "volume_litres",
    ] {
        assert!(waiting.text.contains(words), "{words}: {}", waiting.text);
    }
    assert!(!waiting.has_button("Take it in"));
    let none = json_of(&exported(&eve).await, "recipes.json");
    assert_eq!(none, Value::Array(Vec::new()));
}

#[tokio::test]
async fn numbers_are_reckoned_anew_and_never_believed() {
    let here = Club::open().await;
    let (_, ada) = a_person(&here, "Ada").await;
    a_recipe(&ada, "Strong", "private").await;
    let files = exported(&ada).await;
    let mut recipes = json_of(&files, "recipes.json");
    let honest = recipes[0]["revisions"][0]["numbers"].clone();
    recipes[0]["revisions"][0]["numbers"]["abv_percent"] = Value::from(95);
    let there = Club::open().await;
    let (_, eve) = a_person(&there, "Eve").await;
    taken_in(
        &there,
        &eve,
        &with(&files, "recipes.json", &recipes.to_string()),
    )
    .await;
    let recipes = json_of(&exported(&eve).await, "recipes.json");
    assert_eq!(recipes[0]["revisions"][0]["numbers"], honest);
}

#[tokio::test]
async fn what_no_export_of_ours_holds_is_refused_beside_the_field() {
    let club = Club::open().await;
    let (_, ada) = a_person(&club, "Ada").await;
    a_recipe(&ada, "Heather", "private").await;
    let files = exported(&ada).await;
    let origin = club.app.site.origin();
    let manifest = |change: &dyn Fn(&mut Value)| {
        let mut files = files.clone();
        let mut manifest = json_of(&files, "manifest.json");
        change(&mut manifest);
        files.retain(|(name, _)| name != "manifest.json");
        files.push((
            "manifest.json".to_owned(),
            manifest.to_string().into_bytes(),
        ));
        files
    };
    let mut tampered = files.clone();
    for (name, bytes) in &mut tampered {
        if name == "recipes.json" {
            bytes.push(b' ');
        }
    }
    let without = |gone: &str| -> Files {
        files
            .iter()
            .filter(|(name, _)| name != gone)
            .cloned()
            .collect()
    };
    let deep = format!("[{}{}]", "[".repeat(5_000), "]".repeat(5_000));
    for (what, files, words) in [
        ("changed", tampered, "is missing, or is not what it was"),
        (
            "missing",
            without("recipes.json"),
            "is missing, or is not what it was",
        ),
        (
            "no list",
            without("manifest.json"),
            "no list of what is in it",
        ),
        (
            "newer",
            manifest(&|m| m["format"] = Value::from(2)),
            "of a newer form",
        ),
        (
            "no form",
            manifest(&|m| m["format"] = Value::Null),
            "no list of what is in it",
        ),
        (
            "unknown",
            with(&files, "potions.json", "[]"),
            "does not know",
        ),
        (
            "no JSON",
            with(&files, "recipes.json", "{"),
            "cannot be read",
        ),
        (
            "deep",
            with(&files, "recipes.json", &deep),
            "cannot be read",
        ),
        (
            "no list of things",
            with(&files, "recipes.json", "{}"),
            "cannot be read",
        ),
        (
            "no id",
            with(&files, "recipes.json", "[{}]"),
            "cannot be read",
        ),
        (
            "twice",
            with(&files, "drafts.json", r#"[{"id":"a"},{"id":"a"}]"#),
            "cannot be read",
        ),
    ] {
        let page = sent(&ada, origin, &zipped(&files)).await;
        assert_eq!(page.status, 422, "{what}: {}", page.text);
        let said = page.fault("The file of the export");
        assert!(said.contains(words), "{what}: {said}");
    }
    for bytes in [&b""[..], b"PK\x03\x04", b"not a zip", &[0xff; 4_000]] {
        let page = sent(&ada, origin, bytes).await;
        assert_eq!(page.status, 422, "{}", page.text);
    }
    let huge = sent(&ada, origin, &vec![b'x'; 16 * 1024 * 1024 + 200]).await;
    assert_eq!(huge.status, 422);
    assert!(
        huge.fault("The file of the export")
            .contains("larger than 16 MB")
    );
    let page = ada.post(IMPORT, &[("file", "x")]).await;
    assert_eq!(page.status, 400, "{}", page.text);
    let gone = ada.get(WAITING).await;
    assert_eq!(
        gone.location(),
        Some("/settings/import?done=gone"),
        "nothing waits"
    );
}

#[tokio::test]
async fn values_that_no_database_keeps_undo_the_whole_import() {
    let club = Club::open().await;
    let (_, ada) = a_person(&club, "Ada").await;
    a_recipe(&ada, "Heather", "private").await;
    let files = exported(&ada).await;
    let (_, eve) = a_person(&club, "Eve").await;
    let good = json_of(&files, "recipes.json")[0].clone();
    type Spoil = Box<dyn Fn(&mut Value)>;
    let hostile: Vec<(&str, Spoil)> = vec![
        (
            "a zero in a title",
            Box::new(|r| r["revisions"][0]["title"] = "a\0b".into()),
        ),
        (
            "a zero in a note",
            Box::new(|r| r["revisions"][0]["note"] = "a\0b".into()),
        ),
        (
            "a long title",
            Box::new(|r| r["revisions"][0]["title"] = "x".repeat(121).into()),
        ),
        (
            "a visibility",
            Box::new(|r| r["visibility"] = "world".into()),
        ),
        ("a date", Box::new(|r| r["created_at"] = "yesterday".into())),
        (
            "a date far off",
            Box::new(|r| r["updated_at"] = "99999-01-01T00:00:00Z".into()),
        ),
        ("a bin", Box::new(|r| r["binned_at"] = "never".into())),
        (
            "a number",
            Box::new(|r| r["revisions"][0]["number"] = 7.into()),
        ),
        (
            "brought back from later",
            Box::new(|r| r["revisions"][0]["restored_from"] = 9.into()),
        ),
        (
            "no revision",
            Box::new(|r| r["revisions"] = Value::Array(vec![])),
        ),
        (
            "a source",
            Box::new(|r| r["started_from"] = serde_json::json!({"recipe": 5, "number": "x"})),
        ),
    ];
    for (what, change) in hostile {
        let mut bad = good.clone();
        change(&mut bad);
        bad["id"] = what.into();
        let list = Value::Array(vec![good.clone(), bad]);
        let files = with(&files, "recipes.json", &list.to_string());
        let page = sent(&eve, club.app.site.origin(), &zipped(&files)).await;
        assert_eq!(page.status, 303, "{what}: {}", page.text);
        let waiting = eve.follow(page).await;
        assert!(waiting.status < 500, "{what}: {}", waiting.text);
        let refused = waiting.text.contains("Nothing of it can be taken in");
        assert!(refused || what == "a source", "{what}: {}", waiting.text);
        let none = json_of(&exported(&eve).await, "recipes.json");
        assert_eq!(none, Value::Array(Vec::new()), "{what}");
    }
}

#[tokio::test]
async fn a_file_waits_for_an_hour_and_for_its_member_alone() {
    let club = Club::open().await;
    let (_, ada) = a_person(&club, "Ada").await;
    let (_, eve) = a_person(&club, "Eve").await;
    a_recipe(&ada, "Heather", "private").await;
    let files = exported(&ada).await;
    let page = sent(&eve, club.app.site.origin(), &zipped(&files)).await;
    assert_eq!(page.status, 303);
    assert_eq!(ada.get(WAITING).await.status, 303, "nobody else's file");
    assert_eq!(eve.get(WAITING).await.status, 200);
    sqlx::query("update waiting_imports set sent_at = sent_at - interval '61 minutes'")
        .execute(club.pool())
        .await
        .unwrap();
    assert_eq!(eve.get(WAITING).await.status, 303);
    let now = club.app.clock.now();
    let gone = mustwright::portability::leaving::daily::tidy(club.pool(), now).await;
    assert_eq!(gone.unwrap().files, 1);
}
