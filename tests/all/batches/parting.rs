//! Parting and filling up: nothing is lost, nothing is made, and each log stands alone.

use serde_json::Value;
use sqlx::Row;

use super::{a_maker, address, started};
use crate::support::{Browser, Club};

/// What lists show of every batch: name, litres, and how it ended.
async fn batches(club: &Club) -> Vec<(String, f64, Option<String>)> {
    let rows = sqlx::query(
        "select b.name, n.volume_l, b.how_it_ended from batches b join batch_numbers n on n.batch_id = b.id order by b.id",
    )
    .fetch_all(club.pool())
    .await
    .unwrap();
    rows.iter()
        .map(|row| (row.get(0), row.get(1), row.get(2)))
        .collect()
}

/// The data of all entries of a batch of this name, in the order of its log.
async fn log_of(club: &Club, name: &str) -> Vec<(String, Value)> {
    let rows = sqlx::query(
        "select e.kind, e.data from batch_entries e join batches b on b.id = e.batch_id where b.name = $1 order by e.at, e.entry",
    )
    .bind(name)
    .fetch_all(club.pool())
    .await
    .unwrap();
    rows.iter().map(|row| (row.get(0), row.get(1))).collect()
}

async fn logged(browser: &Browser, batch: &str, fields: &[(&str, &str)]) {
    let form = browser.get(&format!("{batch}/log")).await;
    let done = browser.submit(&form, "Write it down", fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
}

#[tokio::test]
async fn four_parts_have_the_log_and_one_difference_each() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    logged(
        &ada,
        &batch,
        &[("Gravity", "1088"), ("How much there is", "10 L")],
    )
    .await;
    let form = ada.get(&format!("{batch}/parts")).await;
    let mut typed = Vec::new();
    for part in 1..=4 {
        typed.push((format!("How much, Part {part}"), "2.5 L".to_owned()));
        typed.push((
            format!("What will differ, Part {part}"),
            format!("oak {part}"),
        ));
    }
    let typed: Vec<(&str, &str)> = typed
        .iter()
        .map(|(label, text)| (label.as_str(), text.as_str()))
        .collect();
    let done = ada.submit(&form, "Part it", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let again = ada.submit(&form, "Part it", &typed).await;
    assert_eq!(again.location(), done.location(), "sent twice, parted once");
    let found = batches(&club).await;
    assert_eq!(found.len(), 5);
    assert_eq!(found[0].2.as_deref(), Some("parted"));
    assert!(found[0].1.abs() < 1e-6, "nothing is left");
    for (name, litres, ended) in &found[1..] {
        assert!((litres - 2.5).abs() < 1e-6, "{name}: {litres}");
        assert_eq!(*ended, None);
    }
    let page = ada.get(&batch).await;
    let lead = page.words_of(".lead").unwrap();
    assert!(
        lead.starts_with("Nothing is left here of what was"),
        "{lead}"
    );
    assert!(page.text.contains("It is in parts."), "{}", page.text);
    let part = page.link("Heather, part 3").expect("the way to a part");
    let part = ada.get(&part).await;
    let log = part.words_of(".log").unwrap();
    assert!(
        log.contains("1.088") && log.contains("oak 3") && !log.contains("oak 2"),
        "{log}"
    );
    assert_eq!(part.link("Heather").as_deref(), Some(batch.as_str()));
    let (of_part, of_whole) = (
        log_of(&club, "Heather, part 1").await,
        log_of(&club, "Heather").await,
    );
    assert_eq!(of_part[0], of_whole[0], "what was read stays what was read");
}

#[tokio::test]
async fn the_rest_stays_and_more_than_there_is_is_refused_beside_its_field() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    logged(
        &ada,
        &batch,
        &[("Gravity", "1088"), ("How much there is", "10 L")],
    )
    .await;
    let form = ada.get(&format!("{batch}/parts")).await;
    let much = [
        ("How much, Part 1", "25 L"),
        ("What will differ, Part 1", "oak"),
    ];
    let refused = ada.submit(&form, "Part it", &much).await;
    assert_eq!(refused.status, 422);
    assert!(
        refused.fault("How much, Part 1").contains("10 L"),
        "{}",
        refused.fault("How much, Part 1")
    );
    assert_eq!(refused.value("What will differ, Part 1"), "oak");
    let nothing = ada.submit(&form, "Part it", &[]).await;
    assert!(!nothing.fault("How much, Part 1").is_empty());
    // Six of ten litres are not lost without a word.
    let less = [("How much, Part 1", "4 L")];
    let asked = ada.submit(&form, "Part it", &less).await;
    let tick = "There was no more than that, whatever the log says";
    assert_eq!(asked.status, 422);
    assert!(
        asked.fault(tick).contains("10 L, 6 L more"),
        "{}",
        asked.fault(tick)
    );
    assert_eq!(asked.value("How much, Part 1"), "4 L");
    assert_eq!(batches(&club).await.len(), 1, "nothing is parted");
    let stays = "the rest stays here, and this batch goes on with it";
    let done = ada
        .submit(
            &form,
            "Part it",
            &[("How much, Part 1", "4 L"), (stays, "")],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let found = batches(&club).await;
    let litres: Vec<f64> = found.iter().map(|(_, litres, _)| *litres).collect();
    assert!(
        (litres[0] - 6.0).abs() < 1e-6 && (litres[1] - 4.0).abs() < 1e-6,
        "{litres:?}"
    );
    assert_eq!(found[0].2, None, "it goes on");
}

#[tokio::test]
async fn what_was_struck_or_came_later_is_no_part_of_a_part() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let named = [
        ("What it is called", "Heather"),
        ("Mixing day", "2026-11-01"),
    ];
    let batch = started(&ada, &recipe, &named).await;
    for (note, day) in [
        ("before", "2026-11-05"),
        ("struck", "2026-11-06"),
        ("after", "2026-11-20"),
    ] {
        logged(&ada, &batch, &[("Note", note), ("Day", day)]).await;
    }
    sqlx::query(
        "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, struck)
         select batch_id, entry, 2, kind, at, recorded_at, by_id, data, true from batch_entries where data->>'text' = 'struck'",
    )
    .execute(club.pool())
    .await
    .unwrap();
    let form = ada.get(&format!("{batch}/parts")).await;
    let typed = [
        ("How much, Part 1", "1 L"),
        ("Day", "2026-11-10"),
        ("the rest stays here, and this batch goes on with it", ""),
    ];
    let done = ada.submit(&form, "Part it", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let notes: Vec<Value> = log_of(&club, "Heather, part 1")
        .await
        .into_iter()
        .filter(|(kind, _)| kind == "note")
        .map(|(_, data)| data["text"].clone())
        .collect();
    assert_eq!(notes, ["before"]);
}

#[tokio::test]
async fn what_fills_one_batch_up_leaves_the_other() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let one = started(&ada, &recipe, &[("What it is called", "One")]).await;
    let two = started(&ada, &recipe, &[("What it is called", "Two")]).await;
    for batch in [&one, &two] {
        logged(&ada, batch, &[("Note", "It is clear.")]).await;
    }
    let before = batches(&club).await;
    let form = ada.get(&format!("{one}/top-up")).await;
    let id = two.rsplit('/').next().unwrap();
    let much = [("From which batch", id), ("How much", "900 L")];
    let refused = ada.submit(&form, "Fill it up", &much).await;
    assert_eq!(refused.status, 422);
    assert!(refused.fault("How much").contains("By its log there was"));
    let typed = [("From which batch", id), ("How much", "0.5 L")];
    let done = ada.submit(&form, "Fill it up", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(address(done.location()), one);
    ada.submit(&form, "Fill it up", &typed).await;
    let found = batches(&club).await;
    assert!((found[0].1 - before[0].1 - 0.5).abs() < 0.005, "{found:?}");
    assert!((found[1].1 - before[1].1 + 0.5).abs() < 1e-6, "{found:?}");
    let bo = crate::support::a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    for path in ["parts", "top-up", "sensors", "import"] {
        assert_eq!(bo.get(&format!("{one}/{path}")).await.status, 404);
    }
}

#[tokio::test]
async fn a_log_that_makes_no_mead_fills_nothing_up() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let one = started(&ada, &recipe, &[("What it is called", "One")]).await;
    let two = started(&ada, &recipe, &[("What it is called", "Two")]).await;
    // Sixty kilograms more of honey: thicker than any mead.
    let page = ada.get(&format!("{two}/log")).await;
    let form = ada.get(&page.link("Added").unwrap()).await;
    let honey = [("What", "recipe-0"), ("How much", "60 kg")];
    let done = ada.submit(&form, "Write it down", &honey).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let form = ada.get(&format!("{one}/top-up")).await;
    let id = two.rsplit('/').next().unwrap();
    let typed = [("From which batch", id), ("How much", "0.5 L")];
    let refused = ada.submit(&form, "Fill it up", &typed).await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    let fault = refused.fault("From which batch");
    assert!(fault.contains("which no mead has"), "{fault}");
    assert_eq!(refused.value("How much"), "0.5 L");
}

#[tokio::test]
async fn the_parts_of_a_private_batch_are_private_and_reckoned_with_the_figures_it_was_begun_with()
{
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let typed = [("What it is called", "Mine"), ("only me", "private")];
    let batch = started(&ada, &recipe, &typed).await;
    let id = batch.rsplit('/').next().unwrap();
    let mut owner = club.database.owner().await;
    sqlx::query(
        "update batches set supposed = true,
             own = '{\"end_days\": {\"count\": 3, \"median\": 40, \"low\": 30, \"high\": 50}}' where public_id = $1",
    )
    .bind(id)
    .execute(&mut owner)
    .await
    .unwrap();
    logged(
        &ada,
        &batch,
        &[("Gravity", "1088"), ("How much there is", "10 L")],
    )
    .await;
    let form = ada.get(&format!("{batch}/parts")).await;
    let typed = [("How much, Part 1", "5 L"), ("How much, Part 2", "5 L")];
    let done = ada.submit(&form, "Part it", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let rows: Vec<(String, String, bool, Value)> =
        sqlx::query_as("select name, visibility, supposed, own from batches order by id")
            .fetch_all(club.pool())
            .await
            .unwrap();
    assert_eq!(rows.len(), 3);
    for (name, visibility, supposed, own) in &rows {
        assert_eq!(
            (visibility.as_str(), *supposed),
            ("private", true),
            "{name}"
        );
        assert_eq!(own["end_days"]["median"].as_f64(), Some(40.0), "{name}");
    }
}

#[tokio::test]
async fn whoever_says_that_there_was_no_more_is_believed() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    logged(&ada, &batch, &[("How much there is", "10 L")]).await;
    let form = ada.get(&format!("{batch}/parts")).await;
    let less = [("How much, Part 1", "4 L")];
    let asked = ada.submit(&form, "Part it", &less).await;
    let tick = "There was no more than that, whatever the log says";
    let done = ada.submit(&asked, "Part it", &[(tick, "")]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let found = batches(&club).await;
    assert_eq!(found[0].2.as_deref(), Some("parted"));
    assert!(
        found[0].1.abs() < 1e-6 && (found[1].1 - 4.0).abs() < 1e-6,
        "{found:?}"
    );
}
