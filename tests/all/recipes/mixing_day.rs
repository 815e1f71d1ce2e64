//! The mixing day: it dates the lead, the feeding plan and the steps, on the workbench, on the sheet and on paper.

use super::{NEW, SAVE, VOLUME, a_club, all_words, live, region, saved};
use crate::support::Page;

const DAY: &str = "Mixing day, such as 28 November";

fn lead(page: &Page) -> String {
    page.words_of(".lead").expect("a lead")
}

#[tokio::test]
async fn the_answer_leads_with_bottles_what_it_is_how_strong_and_from_when() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [(VOLUME, "19 L"), ("Mixing day", "2027-02-14")];
    let said = region(&live(&browser, &club, &form, &typed).await, "lead");
    assert_eq!(
        said,
        "23 bottles of dry mead, about 12 %, ready from August 2027, better by February 2028."
    );
    let strong = [("Mixing day", "2027-02-14"), (super::STRENGTH, "15 %")];
    let said = region(&live(&browser, &club, &form, &strong).await, "lead");
    assert!(
        said.contains("about 15 %, ready from February 2028, better by February 2030"),
        "{said}"
    );
    // Then the amounts, then the ladder, then the notes of the margin.
    let page = browser.get(NEW).await;
    let place = |what: &str| page.text.find(what).unwrap_or_else(|| panic!("no {what}"));
    assert!(place("class=\"lead\"") < place("class=\"weigh\""));
    assert!(place("class=\"weigh\"") < place("<svg"));
    assert!(place("<svg") < place("id=\"how-strength\""));
}

#[tokio::test]
async fn the_sheet_has_the_same_order() {
    let (_club, _, browser) = a_club().await;
    let page = browser
        .get(&saved(&browser, &[("Name", "Order")]).await)
        .await;
    let order = [
        "class=\"lead\"",
        "What goes in",
        "<svg",
        "id=\"how-strength\"",
        "Feeding plan",
        "What to have ready",
        "What to do",
    ];
    let places: Vec<usize> = order
        .iter()
        .map(|what| page.text.find(what).unwrap_or_else(|| panic!("no {what}")))
        .collect();
    assert!(places.is_sorted(), "{places:?}");
}

#[tokio::test]
async fn without_a_mixing_day_a_sheet_has_no_dates() {
    let (_club, _, browser) = a_club().await;
    let page = browser
        .get(&saved(&browser, &[("Name", "Undated")]).await)
        .await;
    assert_eq!(page.value(DAY), "");
    let feeds = all_words(&page, ".feeds tbody th");
    assert!(
        feeds[0].starts_with("24, 48 and 72 hours after the pitch"),
        "{feeds:?}"
    );
    assert_eq!(all_words(&page, ".steps time"), [] as [String; 0]);
    let steps = all_words(&page, ".steps li");
    assert!(
        steps[0].starts_with("Get ready. (the day before; half an hour) "),
        "{steps:?}"
    );
    assert!(
        steps.last().is_some_and(|step| step.starts_with("Drink.")),
        "{steps:?}"
    );
}

#[tokio::test]
async fn a_mixing_day_in_the_address_dates_feeds_steps_and_the_lead() {
    let (_club, _, browser) = a_club().await;
    let path = saved(&browser, &[("Name", "Dated")]).await;
    let page = browser.get(&format!("{path}?mixed=14+February+2027")).await;
    assert_eq!(page.status, 200);
    assert_eq!(page.value(DAY), "14 February 2027");
    assert!(
        lead(&page).contains("ready from August 2027"),
        "{}",
        lead(&page)
    );
    let feeds = all_words(&page, ".feeds tbody tr");
    assert!(
        feeds[0].starts_with("Monday 15 February, in the evening"),
        "{feeds:?}"
    );
    assert!(
        feeds[0].contains(
            "Missed it? Give it as soon as you can; if the next one is due, give both together."
        ),
        "{feeds:?}"
    );
    assert!(feeds[0].contains("level teaspoon"), "{feeds:?}");
    assert_eq!(feeds.len(), 3, "each dose has a day: {feeds:?}");
    let note = page.words_of(".feeds + p").unwrap_or_default();
    assert!(note.contains("Six hours earlier or later") && note.contains("Stir the gas out first"));
    assert!(
        note.contains("goes in at about seven in the evening"),
        "from which hour: {note}"
    );
    let steps = all_words(&page, ".steps li");
    let step = |lead: &str| {
        let found = steps.iter().find(|step| step.starts_with(lead));
        found
            .unwrap_or_else(|| panic!("no {lead}: {steps:?}"))
            .clone()
    };
    assert!(step("Get ready.").contains("(Saturday 13 February 2027; half an hour)"));
    assert!(step("Mixing day.").contains("(Sunday 14 February 2027; a long evening"));
    assert!(step("Feed.").contains("(15 February to 21 February 2027; five minutes each)"));
    assert!(step("Bottle.").contains("(not before 21 March 2027; a long evening"));
    assert!(step("Drink.").contains("(from August 2027, better by February 2028)"));
    assert!(
        page.text
            .contains("Long evenings: mixing day and bottling.")
    );
}

#[tokio::test]
async fn day_and_volume_go_together_and_into_every_way_on() {
    let (_club, _, browser) = a_club().await;
    let path = saved(&browser, &[("Name", "Both"), (VOLUME, "20 L")]).await;
    let page = browser
        .get(&format!("{path}?volume=8+L&mixed=2027-02-14"))
        .await;
    let own = page.link("At its own volume").expect("a way back");
    assert_eq!(own, format!("{path}?mixed=2027-02-14"));
    let list = page.link("Shopping list").expect("a list");
    assert!(
        list.contains("volume=8%20L") && list.contains("mixed=2027-02-14"),
        "{list}"
    );
    let list = browser.get(&list).await;
    assert!(
        list.text
            .contains("For the mixing day, Sunday 14 February 2027.")
    );
    let back = list.link("Back to the sheet").expect("a way back");
    assert!(
        back.contains("volume=8%20L") && back.contains("mixed=2027-02-14"),
        "{back}"
    );
    let ready = browser
        .get(&format!("{path}/numbers/ready?mixed=2027-02-14"))
        .await;
    assert!(
        ready.heading().contains("August 2027"),
        "{}",
        ready.heading()
    );
}

#[tokio::test]
async fn what_is_no_day_is_asked_about_and_kept() {
    let (_club, _, browser) = a_club().await;
    let path = saved(&browser, &[("Name", "Someday")]).await;
    let page = browser.get(&format!("{path}?mixed=soon")).await;
    assert_eq!(page.status, 422);
    assert!(page.fault(DAY).contains("such as 2026-11-28"));
    assert_eq!(page.value(DAY), "soon");
    assert_eq!(all_words(&page, ".steps time"), [] as [String; 0]);
}

#[tokio::test]
async fn a_day_that_was_chosen_goes_along_to_the_sheet() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [("Name", "Chosen"), ("Mixing day", "2030-02-14")];
    let done = browser.submit(&form, SAVE, &typed).await;
    let to = done.location().expect("a sheet").to_owned();
    assert!(to.ends_with("?saved=1&mixed=2030-02-14"), "{to}");
    let sheet = browser.get(&to).await;
    assert!(lead(&sheet).contains("ready from August 2030"));
}
