//! What organisers do, in Chromium: every page in both sizes and themes, faults among them.

use mustwright::competitions::model::{Duty, Phase};
use mustwright::web::viewer::Role;

use super::crawl::Crawl;
use super::sign_in;
use crate::competitions::building::a_competition;
use crate::support::{Club, a_keeper, a_member, in_chromium};

#[tokio::test]
async fn a_draft_is_made_set_and_opened() {
    let club = Club::open().await;
    let orla = a_member().named("Orla").being(Role::Organiser);
    orla.of(&club).await;
    a_member().named("Bo").of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Orla").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open("/competitions", 200).await;
        crawl.open("/competitions/rehearsal", 200).await;
        page.press_to("Begin the rehearsal").await;
        crawl.look("a rehearsal with nobody", 422).await;
        page.open("/competitions/new").await;
        page.press_to("Make the draft").await;
        crawl.look("a draft without a name", 422).await;
        page.put("What it is called", "Meads of the valley, spring")
            .await;
        page.press_to("Make the draft").await;
        crawl.look("the draft", 200).await;
        let path = page.tell("location.pathname").await;
        crawl.open(&format!("{path}/rules"), 200).await;
        for part in ["days", "sheet", "tables"] {
            crawl.open(&format!("{path}/rules/{part}"), 200).await;
        }
        page.press_to("Save").await;
        crawl.look("rules with a fault", 422).await;
        page.put(
            "The public number of a draw",
            "the state lottery of the Saturday after, in the order drawn",
        )
        .await;
        page.press_to("Save").await;
        crawl.look("the rules, saved", 200).await;
        crawl.open(&format!("{path}/categories"), 200).await;
        page.press_to("Add it").await;
        crawl.look("a category without a name", 422).await;
        crawl.open(&format!("{path}/categories/3"), 200).await;
        page.open(&format!("{path}/roster")).await;
        page.press_to("Give the duty").await;
        crawl.look("a duty for nobody", 422).await;
        page.open(&format!("{path}/roster/apart")).await;
        page.press_to("Keep them apart").await;
        crawl.look("nobody kept apart from nobody", 422).await;
        crawl.open(&format!("{path}/delete"), 200).await;
        page.press_to("Delete it for good").await;
        crawl
            .look("a draft that nobody ticked to delete", 422)
            .await;
        crawl.open(&format!("{path}/phase"), 200).await;
        page.press_to("Open it for entries").await;
        crawl.look("open", 200).await;
        crawl.open(&format!("{path}/deeds"), 200).await;
    })
    .await;
}

#[tokio::test]
async fn a_judge_says_what_they_leave_and_a_keeper_steps_in() {
    let club = Club::open().await;
    let orla = a_member().named("Orla").being(Role::Organiser);
    let orla = orla.of(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    a_keeper().of(&club).await;
    let held = a_competition()
        .in_phase(Phase::Closed)
        .with(&bo, Duty::Judge)
        .of(&club, &orla)
        .await;
    let path = held.path.clone();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Bo").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&format!("{path}/my-limits"), 200).await;
        page.put("Glasses in a day, at most", "a lot").await;
        page.press_to("Save").await;
        crawl.look("limits with a fault", 422).await;
    })
    .await;
    let path = held.path.clone();
    in_chromium(&club, |page| async move {
        sign_in(&page, "Wren").await;
        let mut crawl = Crawl::new(page.clone());
        crawl.open(&format!("{path}/step-in"), 200).await;
        page.press_to("Step in").await;
        crawl.look("stepping in without a reason", 422).await;
        page.put("Why you step in", "Nobody else is left").await;
        page.press_to("Step in").await;
        crawl.look("the roster", 200).await;
        page.open(&format!("{path}/phase")).await;
        page.press_to("Go back: open for entries").await;
        crawl.look("going back without a reason", 422).await;
    })
    .await;
}
