//! Entering a mead, its labels, and the desk, in Chromium: every page in both sizes and themes, faults among them; labels of one
//! entry on one sheet of paper.

use mustwright::competitions::entering::sealed::seal_all;
use mustwright::competitions::model::{Duty, Phase};
use serde_json::json;

use super::crawl::Crawl;
use super::sign_in;
use crate::competitions::building::a_competition;
use crate::competitions::entries::an_entry;
use crate::support::{Club, a_member, in_chromium};

#[tokio::test]
async fn a_maker_enters_and_a_steward_takes_it_in() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let stella = a_member().named("Stella").of(&club).await;
    a_member().named("Bo").of(&club).await;
    let held = a_competition()
        .ruled(|rules| {
            rules.fee = Some(5.0);
            rules.drop_off_at = "The mill".to_owned();
            rules.drop_off_until = Some("2030-07-12".to_owned());
        })
        .with(&stella, Duty::Steward)
        .of(&club, &ada)
        .await;
    let other = an_entry().of(&club, &held.public_id, &ada).await.code;
    let path = held.path.clone();
    let category = held.categories[3].name.clone();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Bo").await;
        let mut crawl = Crawl::new(page.clone());
        page.open(&path).await;
        page.press_to("Enter a mead").await;
        crawl.look("the form", 200).await;
        page.press_to("Enter it").await;
        crawl.look("its faults", 422).await;
        page.put("What you call it", "Moor no. 7").await;
        page.choose("Category", &category).await;
        page.put("Strength, per cent by volume", "12.5").await;
        for choice in ["dry", "still", "honey alone", "gluten"] {
            let chosen = page.field(choice).await.click().await;
            chosen.expect("it is chosen");
        }
        page.press_to("Enter it").await;
        crawl.look("the entry", 200).await;
        let entry = page.tell("location.pathname").await;
        crawl.open(&format!("{path}/mine"), 200).await;
        crawl.open(&format!("{entry}/edit"), 200).await;
        crawl.open(&format!("{entry}/labels?count=0"), 422).await;
        crawl.open(&format!("{entry}/labels"), 200).await;
        crawl.open(&format!("{path}/labels"), 200).await;
        let asked = json!({ "preferCSSPageSize": true, "printBackground": true });
        let printed = page.devtools("Page.printToPDF", asked).await;
        assert!(
            printed["data"]
                .as_str()
                .is_some_and(|data| !data.is_empty())
        );
    })
    .await;
    let code: String = sqlx::query_scalar("select code from competition_entries where code <> $1")
        .bind(&other)
        .fetch_one(club.pool())
        .await
        .unwrap();
    let path = held.path.clone();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Stella").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&format!("{path}/desk"), 200).await;
        page.put("Code on the bottle", &code.to_lowercase()).await;
        page.press_to("Open it").await;
        crawl.look("the bottle", 200).await;
        page.put("Bottles", "many").await;
        page.press_to("Note it").await;
        crawl.look("its faults", 422).await;
        page.put("Bottles", "3").await;
        page.press_to("Note it").await;
        page.press_to("I have looked: it tells nothing").await;
        crawl.look("what is not looked at", 422).await;
        assert!(!page.words().await.contains("Moor no. 7"));
        crawl.open(&format!("{path}/desk?code=AX000"), 422).await;
    })
    .await;
    let mut tx = club.pool().begin().await.unwrap();
    seal_all(&mut tx, held.id, club.app.clock.now())
        .await
        .unwrap();
    tx.commit().await.unwrap();
    held.stands_in(&club, Phase::Released).await;
    let path = held.path.clone();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&format!("{path}/sealed"), 200).await;
        crawl.open(&format!("{path}/entries"), 200).await;
        page.press_to("Show whose they are").await;
        crawl.look("without a reason", 422).await;
        page.put("What you need the names for", "Prizes").await;
        page.press_to("Show whose they are").await;
        crawl.look("whose they are", 200).await;
        assert!(page.words().await.contains("Bo: Moor no. 7"));
    })
    .await;
}
