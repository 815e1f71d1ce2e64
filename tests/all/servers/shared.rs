//! What one of two servers did the other one knows at once.

use mustwright::web::grant::Grant;
use reqwest::Method;

use super::Two;
use crate::support::{Browser, Page, a_keeper, a_member};

#[tokio::test]
async fn sessions_drafts_forms_and_the_club_are_the_same_at_both() {
    let two = Two::open(&[]).await;
    let wren = a_keeper().of(&two.club).await;
    let (one, other) = (two.browser_at(0), two.browser_at(1));
    assert_eq!(one.sign_in(&wren.name, &wren.password).await.status, 303);
    other.take_cookies(&one.cookie_line());

    // A draft that is typed at one is taken up at the other, and is not written twice within its time.
    let form = one.get("/recipes/new").await;
    let typed = async |at: &Browser, name: &str, sequence: &str| -> Page {
        let (_, mut fields) = form.filled("Recalculate", &[("Name", name)]);
        fields.retain(|(field, _)| field != "sequence");
        fields.push(("sequence".to_owned(), sequence.to_owned()));
        let request = at.request(Method::POST, "/recipes/workbench");
        let request = request.header("origin", two.proxy.origin());
        at.send(request.header("x-live", "1").form(&fields)).await
    };
    let kept = typed(&one, "Half done", "1").await;
    assert_eq!(kept.status, 200, "{}", kept.text);
    typed(&other, "Half done, later", "2").await;
    typed(&one, "Late", "1").await;
    let list = other.get("/recipes").await;
    let way = list.link("Half done").or(list.link("Half done, later"));
    assert_eq!(
        other.get(&way.expect("a draft")).await.status,
        200,
        "{}",
        list.text
    );
    assert!(!list.text.contains("Late"));

    // The same form at both at once is one thing, and both lead to it.
    let form = one.get("/cupboard/new").await;
    let labelled = [("Called", "Raisins"), ("How much there is", "250 g")];
    let (here, there) = tokio::join!(
        one.submit(&form, "Put it in", &labelled),
        other.submit(&form, "Put it in", &labelled)
    );
    assert_eq!((here.status, there.status), (303, 303), "{}", there.text);
    assert_eq!(here.location(), there.location());
    assert_eq!(super::put_in(&two).await, ["Raisins"]);

    // What the club calls itself stands on the other's pages with the next request.
    let page = one.get("/keeper/club").await;
    let named = [("Name", "Two Kettles")];
    assert_eq!(one.submit(&page, "Save", &named).await.status, 303);
    assert!(other.get("/").await.text.contains("Two Kettles"));

    // Whoever signs out at one is out at the other.
    let home = other.get("/").await;
    assert_eq!(other.submit(&home, "Sign out", &[]).await.status, 303);
    assert_eq!(one.get("/cupboard").await.status, 303);
}

#[tokio::test]
async fn what_is_limited_is_limited_over_both_together() {
    let two = Two::open(&[("MUSTWRIGHT_API_PER_MINUTE", "6")]).await;
    let ada = a_member().of(&two.club).await;
    let token = two.club.token_of(&ada, Grant::Read).await;
    let browsers = [two.browser_at(0), two.browser_at(1)];
    let mut answers = Vec::new();
    for turn in 0..10 {
        let browser: &Browser = &browsers[turn % 2];
        let request = browser.request(Method::GET, "/api/v1/recipes");
        answers.push(browser.send(request.bearer_auth(&token)).await.status);
    }
    let taken = answers.iter().filter(|status| **status == 200).count();
    assert_eq!(taken, 6, "{answers:?}");

    // Five tries of a password are free, wherever they are made: each server by itself would let ten pass.
    let mut tries = tokio::task::JoinSet::new();
    for turn in 0..16 {
        let browser = two.browser_at(turn % 2);
        tries.spawn(async move { browser.sign_in("Ada", "not the password").await.status });
    }
    let answers = tries.join_all().await;
    let passed = answers.iter().filter(|status| **status != 429).count();
    assert!((1..10).contains(&passed), "{answers:?}");
}
