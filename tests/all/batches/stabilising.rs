//! The stabilising of the plan, walked as its maker walks it: what it warns of, what it asks, what stands in the log, the totals.

use serde_json::Value;
use sqlx::Row;

use super::plan::did;
use super::{a_maker, started};
use crate::recipes::{all_words, saved};
use crate::support::{Browser, Club, Page};

const NOW: &str = "2026-10-01T18:00:00Z";

/// A sweet mead that has stood still for two weeks; its address, on the day of the second reading.
async fn one_that_stands_still(club: &Club) -> (Browser, String) {
    let (_, ada, _) = a_maker(club, "Ada").await;
    let sweet = [
        ("Name", "Sweet heather"),
        ("How it ends", "sweeten"),
        ("Gravity at the end", "1.020"),
    ];
    let recipe = saved(&ada, &sweet).await;
    let batch = started(&ada, &recipe, &[]).await;
    for step in ["mix", "pitch"] {
        did(&ada, &format!("{batch}/plan/{step}"), &[]).await;
    }
    for (day, gravity) in [
        ("2026-10-11", "1.020"),
        ("2026-11-01", "0.998"),
        ("2026-11-16", "0.998"),
    ] {
        club.app
            .clock
            .move_to(format!("{day}T18:00:00Z").parse().unwrap());
        let form = ada.get(&format!("{batch}/log")).await;
        let done = ada
            .submit(
                &form,
                "Write it down",
                &[
                    ("Gravity", gravity),
                    ("Temperature of the must", "20 °C"),
                    ("The gas was stirred out of the sample", ""),
                ],
            )
            .await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    (ada, batch)
}

async fn additions(club: &Club) -> Vec<Value> {
    let rows = sqlx::query(
        "select data from batch_entries where kind = 'addition' and not struck order by entry",
    );
    let rows = rows.fetch_all(club.pool()).await.unwrap();
    rows.iter().map(|row| row.get(0)).collect()
}

fn dangers(page: &Page) -> String {
    all_words(page, ".caution.danger").join(" ")
}

/// So many milligrams of a thing in each litre, as the sheet tells.
fn told_mg_per_l(known: &str, name: &str) -> f64 {
    let until = known.find(&format!(" mg/L of {name}"));
    let until = until.unwrap_or_else(|| panic!("{name}: {known}"));
    let number = known[..until].rsplit(' ').next().unwrap();
    number
        .trim_start_matches("spoiling")
        .parse()
        .unwrap_or_else(|_| panic!("{number}: {known}"))
}

#[tokio::test]
async fn sulfite_and_sorbate_go_in_by_the_ph_and_stand_in_the_log_with_their_totals() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (ada, batch) = one_that_stands_still(&club).await;
    let step = format!("{batch}/plan/stabilise");
    // Without a pH there is no dose to be told, but what it does to lungs is told all the same.
    let before = ada.get(&step).await;
    assert!(
        dangers(&before).contains("Do not breathe it"),
        "{}",
        before.text
    );
    assert_eq!(before.value("Potassium metabisulfite"), "");
    let again = ada.submit(&before, "Done", &[]).await;
    assert_eq!(again.status, 422, "nothing is written down as nothing");
    assert!(!again.fault("Potassium metabisulfite").is_empty());
    assert_eq!(additions(&club).await.len(), 0);

    did(&ada, &format!("{batch}/plan/ph-2"), &[("pH", "3.4")]).await;
    let form = ada.get(&step).await;
    assert!(
        dangers(&form).contains("Do not breathe it"),
        "{}",
        form.text
    );
    let text = form.words_of("main").unwrap();
    assert!(text.contains("asthma") && text.contains("law"), "{text}");
    let grams = |label: &str| -> f64 {
        let value = form.value(label);
        let number = value.trim_end_matches(" g").parse();
        number.unwrap_or_else(|_| panic!("{label}: {value}"))
    };
    let (sulfite_g, sorbate_g) = (grams("Potassium metabisulfite"), grams("Potassium sorbate"));
    let page = did(&ada, &step, &[]).await;
    let written = additions(&club).await;
    let of = |what: &str| {
        let found = written.iter().find(|data| data["what"] == what);
        found.unwrap_or_else(|| panic!("{what}: {written:?}"))
    };
    for (what, grams) in [("sulfite", sulfite_g), ("sorbate", sorbate_g)] {
        assert!(
            (of(what)["grams"].as_f64().unwrap() - grams).abs() < 1e-9,
            "{written:?}"
        );
        assert_eq!(of(what)["why"], "stabilise");
    }
    assert_eq!(written.len(), 2, "{written:?}");
    let log = all_words(&page, ".log > li:not(.struck)").join(" ");
    for name in ["Potassium metabisulfite", "Potassium sorbate"] {
        assert!(log.contains(name), "{name}: {log}");
    }
    // The totals: what is weighed, by what is sulfur dioxide and sorbic acid of it (0.5763 and 0.7464), in what there is.
    let known = page.words_of("#known").unwrap();
    let litres: f64 = sqlx::query_scalar("select volume_l from batch_numbers")
        .fetch_one(club.pool())
        .await
        .unwrap();
    for (name, grams, part) in [
        ("sulfur dioxide", sulfite_g, 0.5763),
        ("sorbic acid", sorbate_g, 0.7464),
    ] {
        let told = told_mg_per_l(&known, name);
        let reckoned = 1000.0 * part * grams / litres;
        assert!((told - reckoned).abs() < 1.0, "{name}: {told} {reckoned}");
    }
    assert!(known.contains("local law"), "{known}");
    // Taken back, nothing of it counts.
    let back = ada.submit(&ada.get(&step).await, "Take it back", &[]).await;
    let known = ada.follow(back).await.words_of("#known").unwrap();
    assert!(!known.contains("sulfur dioxide"), "{known}");
}

#[tokio::test]
async fn a_ph_at_which_sulfite_hardly_works_is_a_danger_of_its_own() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (ada, batch) = one_that_stands_still(&club).await;
    did(&ada, &format!("{batch}/plan/ph-2"), &[("pH", "4.2")]).await;
    let form = ada.get(&format!("{batch}/plan/stabilise")).await;
    let text = form.words_of("main").unwrap();
    assert!(dangers(&form).contains("Do not breathe it"), "{text}");
    let mild = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (ada, batch) = one_that_stands_still(&mild).await;
    did(&ada, &format!("{batch}/plan/ph-2"), &[("pH", "3.2")]).await;
    let other = ada.get(&format!("{batch}/plan/stabilise")).await;
    let cautions = |page: &Page| all_words(page, ".caution");
    assert!(
        cautions(&form).len() > cautions(&other).len(),
        "{:?} {:?}",
        cautions(&form),
        cautions(&other)
    );
}

#[tokio::test]
async fn a_feed_says_what_to_do_when_it_was_missed_and_the_next_takes_it_up() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    for step in ["mix", "pitch"] {
        did(&ada, &format!("{batch}/plan/{step}"), &[]).await;
    }
    let first = ada.get(&format!("{batch}/plan/feed-1")).await;
    let main = first.words_of("main").unwrap();
    assert!(
        main.contains(
            "Missed it? Give it as soon as you can; if the next one is due, give both together"
        ),
        "{main}"
    );
    let second = format!("{batch}/plan/feed-2");
    let amounts = |page: &Page| all_words(page, ".amounts li").join(" ");
    let before = amounts(&ada.get(&second).await);
    let left = ada
        .submit(&first, "Leave it out", &[("Why", "I was away.")])
        .await;
    assert_eq!(left.status, 303, "{}", left.text);
    let after = amounts(&ada.get(&second).await);
    assert_ne!(before, after);
    assert!(after.contains("from a feed that was left out"), "{after}");
    let page = ada.get(&format!("{batch}/plan/feed-1")).await;
    assert!(!page.text.contains("Missed it?"), "it is decided");
}
