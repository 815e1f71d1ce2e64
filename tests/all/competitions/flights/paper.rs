//! On paper: a sheet for each judge and glass, and nothing that says whose a glass is.

use super::{CANARY, a_day, code};
use crate::support::Club;

#[tokio::test]
async fn everything_is_there_and_nobody_is_named_who_entered() {
    let club = Club::open().await;
    let day = a_day(&club, 4).await;
    day.bottles(&club, 1, 12).await;
    day.makes().await;
    let page = day.steward.get(&day.path("/paper")).await;
    assert_eq!(page.status, 200);
    assert!(!page.text.contains(CANARY));
    for (flight, glasses, table) in day.flights(&club).await {
        let called = flight.called();
        assert!(page.text.contains(&format!("Pouring list: {called}")));
        assert!(
            page.text
                .contains(&format!("What the table agrees on: {called}"))
        );
        for glass in &glasses {
            let sheet = format!("<h2>{}, {called}</h2>", glass.code);
            let tag = format!("<b>{}</b>", glass.code);
            for words in [&sheet, &tag] {
                let times = page.text.matches(words.as_str()).count();
                assert_eq!(times, table.len(), "{words}");
            }
        }
    }
    for words in [
        "Look",
        "Body and finish",
        "/ 20",
        "/ 50",
        "Jan",
        "Stew",
        "Olive",
    ] {
        assert!(page.text.contains(words), "{words}");
    }
    // Two flights of one category: its final is filled in by hand.
    let final_of = format!("The final of {}", day.held.categories[0].name);
    assert!(page.text.contains(&final_of), "{}", page.text);
    assert!(page.text.contains(&code(12)));
}
