//! The calibration mead: points are given alone, and read by whoever gave theirs.

use mustwright::competitions::model::Phase;

use super::a_day;
use crate::support::{Browser, Club};

async fn gives(browser: &Browser, path: &str, points: [&str; 5]) -> crate::support::Page {
    let labels = ["Look", "Smell", "Taste", "Body and finish", "As a whole"];
    let typed: Vec<(&str, &str)> = labels.into_iter().zip(points).collect();
    let page = browser.get(path).await;
    browser.submit(&page, "Give these points", &typed).await
}

#[tokio::test]
async fn nobody_reads_points_before_their_own() {
    let club = Club::open().await;
    let day = a_day(&club, 2).await;
    day.held.stands_in(&club, Phase::Judging).await;
    let path = day.path("/calibration");
    let (jan, kim) = (
        club.browser_of(&day.judges[0]).await,
        club.browser_of(&day.judges[1]).await,
    );
    assert!(jan.get(&path).await.text.contains("No mead is named yet."));
    let page = day.organiser.get(&path).await;
    let empty = day.organiser.submit(&page, "Keep it", &[]).await;
    assert_eq!(empty.fault("The mead"), "Write which mead it is.");
    let typed = [
        ("The mead", "The club's own dry mead of last year"),
        ("What there is to notice", "a trace of rotten egg"),
    ];
    let done = day.organiser.submit(&page, "Keep it", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    // The other form was open meanwhile.
    let third = day.organiser.get(&path).await;
    let late = day.organiser.get(&path).await;
    let second = day.organiser.submit(&late, "Keep it", &typed).await;
    assert_eq!(second.status, 303, "{}", second.text);
    let lost = day
        .organiser
        .submit(&third, "Keep it", &[("The mead", "Another")])
        .await;
    assert_eq!(lost.status, 409, "{}", lost.text);
    let refused = gives(&jan, &path, ["6", "9", "16", "", "x"]).await;
    assert_eq!(refused.status, 422);
    assert_ne!(refused.fault("Look"), "");
    assert_eq!(
        refused.fault("Body and finish"),
        "Give Body and finish points from 0 to 8."
    );
    assert_eq!(refused.value("Smell"), "9");
    assert_eq!(
        gives(&jan, &path, ["4", "9", "16", "6", "4"]).await.status,
        303
    );
    // Kim knows that somebody gave points, and nothing else.
    let page = kim.get(&path).await;
    assert!(page.text.contains("1 gave points already"), "{}", page.text);
    assert!(!page.text.contains("rotten egg") && !page.text.contains(">39<"));
    assert_eq!(
        gives(&kim, &path, ["3", "6", "12", "5", "3"]).await.status,
        303
    );
    for browser in [&jan, &kim, &day.steward] {
        let page = browser.get(&path).await;
        for words in [">39<", ">29<", "From 29 to 39: 10 apart", "rotten egg"] {
            assert!(page.text.contains(words), "{words}: {}", page.text);
        }
    }
    assert!(!jan.get(&path).await.has_button("Give these points"));
    let mara = club.browser_of(&day.mara).await;
    assert_eq!(mara.get(&path).await.status, 404);
}
