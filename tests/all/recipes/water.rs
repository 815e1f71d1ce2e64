//! The water's part of the workbench: what to know of it, its report and salts as fields, and the numbers beside them.

use mustwright::recipes::forms::Workbench;
use mustwright::web::units::Units;

use super::{NEW, a_club, all_words, check, live, region, saved};
use crate::support::Browser;

const CALCIUM: &str = "Calcium, milligrams per litre";
const BICARBONATE: &str = "Bicarbonate, milligrams per litre";
const ALKALINITY: &str = "Alkalinity, milligrams per litre";
const ADD: &str = "Add a salt";

async fn with_a_salt(browser: &Browser, labelled: &[(&str, &str)]) -> crate::support::Page {
    let form = browser.get(NEW).await;
    browser.submit(&form, ADD, labelled).await
}

#[tokio::test]
async fn chlorine_chloramine_soft_water_and_acid_are_told_beside_the_water() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let told = |id: &str| form.words_of(&format!("#{id}")).unwrap_or_default();
    assert!(told("word-chlorine").contains("overnight"));
    assert!(told("word-chlorine").contains("boil"));
    let chloramine = told("word-chloramine");
    assert!(
        chloramine.contains("neither stands off nor boils off"),
        "{chloramine}"
    );
    assert!(
        chloramine.contains("g of potassium metabisulfite"),
        "{chloramine}"
    );
    assert!(told("word-acid").contains("no acid before it has fermented"));
    // Folded away, and open once something is said.
    assert!(form.words_of("#water-report:not([open])").is_some());
    // Twice the must, twice the water: the doses follow.
    let dose = |text: &str| -> f64 {
        let (_, after) = text.split_once("of water here ").expect("a dose");
        after
            .split(' ')
            .next()
            .and_then(|n| n.parse().ok())
            .expect("grams")
    };
    let small = region(
        &live(&browser, &club, &form, &[(super::VOLUME, "20 L")]).await,
        "water-sulfite",
    );
    let large = region(
        &live(&browser, &club, &form, &[(super::VOLUME, "200 L")]).await,
        "water-sulfite",
    );
    assert!(
        (dose(&small) - 0.1).abs() <= 0.02,
        "4 mg/L in some 16 L: {small}"
    );
    assert!(
        (dose(&large) / dose(&small) - 10.0).abs() < 1.0,
        "{small} / {large}"
    );
}

#[tokio::test]
async fn a_report_and_salts_are_reckoned_with_and_stand_on_the_sheet() {
    let (club, _, browser) = a_club().await;
    let form = with_a_salt(&browser, &[(CALCIUM, "40")]).await;
    assert!(
        form.words_of("#water-report[open]").is_some(),
        "what is said is in view"
    );
    let typed = [
        ("Name", "Hard water"),
        (CALCIUM, "40"),
        (ALKALINITY, "5.6 °dH"),
        ("Salt, salt 1", "gypsum"),
        ("How much, salt 1", "3"),
    ];
    let answer = live(&browser, &club, &form, &typed).await;
    let together = region(&answer, "water-numbers");
    // 5.6 °dH are 100 mg/L as CaCO3.
    assert!(
        together.contains("alkalinity 100 mg as CaCO3"),
        "{together}"
    );
    assert_eq!(
        region(&answer, "water_alkalinity-note"),
        "100 mg/L as CaCO3"
    );
    let brings = region(&answer, "salt-1-grams-note");
    assert!(
        brings.starts_with("brings ") && brings.contains("mg/L of sulfate"),
        "{brings}"
    );
    let done = browser.submit(&form, super::SAVE, &typed).await;
    let sheet = browser.get(&super::sheet_of(&done)).await;
    let rows = all_words(&sheet, "tbody.line");
    assert!(
        rows.iter().any(|row| row.starts_with("Gypsum3 g")),
        "{rows:?}"
    );
    assert!(
        all_words(&sheet, ".note b")
            .iter()
            .any(|label| label == "minerals")
    );
}

#[tokio::test]
async fn cautions_of_the_water_stand_beside_its_fields() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let soft = live(&browser, &club, &form, &[(CALCIUM, "2")]).await;
    assert!(region(&soft, "water-numbers").contains("Water without minerals"));
    let uneven = live(&browser, &club, &form, &[(CALCIUM, "80")]).await;
    assert!(region(&uneven, "water-numbers").contains("The report does not add up"));
    let none = live(&browser, &club, &form, &[]).await;
    assert_eq!(region(&none, "water-numbers"), "");
}

#[tokio::test]
async fn faults_of_the_water_stand_beside_their_fields() {
    let (_club, _, browser) = a_club().await;
    let form = with_a_salt(&browser, &[]).await;
    let page = browser
        .submit(
            &form,
            "Recalculate",
            &[(CALCIUM, "much"), ("How much, salt 1", "2 g")],
        )
        .await;
    assert!(page.fault(CALCIUM).contains("milligrams per litre"));
    assert!(page.fault("Salt, salt 1").contains("Choose which salt"));
    let typed = [("Salt, salt 1", "chalk")];
    let page = browser.submit(&form, "Recalculate", &typed).await;
    assert!(page.fault("How much, salt 1").contains("Write how much"));
    // Bicarbonate and alkalinity are one thing by two names.
    let form = browser.get(NEW).await;
    let both = [(BICARBONATE, "120"), (ALKALINITY, "100")];
    let page = browser.submit(&form, "Recalculate", &both).await;
    assert!(!page.fault(BICARBONATE).is_empty(), "{}", page.text);
}

#[tokio::test]
async fn a_salt_that_stands_there_twice_is_asked_about() {
    let (_club, _, browser) = a_club().await;
    let form = with_a_salt(&browser, &[]).await;
    let form = browser.submit(&form, ADD, &[]).await;
    let typed = [
        ("Salt, salt 1", "gypsum"),
        ("How much, salt 1", "1"),
        ("Salt, salt 2", "gypsum"),
        ("How much, salt 2", "2"),
    ];
    let page = browser.submit(&form, "Recalculate", &typed).await;
    assert!(page.fault("Salt, salt 2").contains("stands there twice"));
}

#[tokio::test]
async fn salts_grow_with_the_batch() {
    let (_club, _, browser) = a_club().await;
    let form = with_a_salt(&browser, &[]).await;
    let typed = [
        ("Name", "Grows"),
        (super::VOLUME, "10 L"),
        ("Salt, salt 1", "epsom_salt"),
        ("How much, salt 1", "2"),
    ];
    let done = browser.submit(&form, super::SAVE, &typed).await;
    let path = super::sheet_of(&done);
    let larger = browser.get(&format!("{path}?volume=25+L")).await;
    let rows = all_words(&larger, "tbody.line");
    assert!(
        rows.iter().any(|row| row.starts_with("Epsom salt5 g")),
        "{rows:?}"
    );
}

#[test]
fn what_was_emptied_is_gone_and_what_has_no_field_stays() {
    let mut form = Workbench::default();
    form.set(
        "water_report",
        r#"{"ions": {"Ca": 40.0, "gold": 1.0}, "salts": {}}"#,
    );
    let kept = check(&form, Units::Metric)
        .recipe
        .water_report
        .expect("a report");
    assert_eq!(kept.ions.keys().collect::<Vec<_>>(), ["gold"]);
    form.set("water_calcium", "41");
    let kept = check(&form, Units::Metric)
        .recipe
        .water_report
        .expect("a report");
    assert_eq!(
        kept.ions.get("Ca"),
        Some(&41.0),
        "its own spelling: {kept:?}"
    );
    form.set(
        "water_report",
        r#"{"ions": {"Ca": 40.0}, "salts": {"gypsum": 1.0}}"#,
    );
    form.set("water_calcium", "");
    assert_eq!(check(&form, Units::Metric).recipe.water_report, None);
}

#[tokio::test]
async fn a_recipe_without_a_word_about_water_has_no_report() {
    let (club, _, browser) = a_club().await;
    saved(&browser, &[("Name", "Plain")]).await;
    let kept: serde_json::Value =
        sqlx::query_scalar("select document from revisions order by id desc limit 1")
            .fetch_one(club.pool())
            .await
            .expect("a revision");
    assert_eq!(kept.get("water_report"), None);
}
