//! How a recipe was liked by its age: from all tastings that the viewer may see, and from no others.

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::Tasting;

use super::{a_maker, started, wrote};
use crate::support::{Club, a_member};

fn tasted(score: i32) -> Deed {
    Deed::Tasting(Tasting {
        score: Some(score),
        ..Tasting::default()
    })
}

const MONTH: f64 = 730.5;

#[tokio::test]
async fn all_tastings_that_one_may_see_draw_the_curve_of_a_recipe() {
    let club = Club::open().await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let sheet = ada.get(&recipe).await;
    assert!(sheet.words_of("#ageing").is_none(), "nothing was tasted");
    let first = started(&ada, &recipe, &[]).await;
    let second = started(&ada, &recipe, &[("only me", "")]).await;
    wrote(&club, &person, &first, 3.0 * MONTH, tasted(2)).await;
    wrote(&club, &person, &first, 9.0 * MONTH, tasted(4)).await;
    wrote(&club, &person, &second, 12.0 * MONTH, tasted(5)).await;
    let told = ada.get(&recipe).await.words_of("#ageing").unwrap();
    let lead = "3 tastings of this recipe. Liked most at 12 months: 9 of 9.";
    assert!(
        told.contains(&format!("{lead} One tasting alone says so.")),
        "{told}"
    );
    wrote(&club, &person, &second, 12.1 * MONTH, tasted(5)).await;
    let told = ada.get(&recipe).await.words_of("#ageing").unwrap();
    assert!(!told.contains("One tasting alone"), "two say so: {told}");
    let bert = a_member().named("Bert").of(&club).await;
    let bert = club.browser_of(&bert).await;
    let sheet = bert.get(&recipe).await;
    let told = sheet.words_of("#ageing").unwrap();
    assert!(
        told.contains("2 tastings of this recipe. Liked most at 9 months: 7 of 9."),
        "a private batch tells nothing: {told}"
    );
    assert!(sheet.words_of("#ageing svg").is_some());
    assert!(
        sheet
            .words_of("#ageing table")
            .unwrap()
            .contains("3 months")
    );
    let own = bert.get(&first).await.words_of("#ageing").unwrap();
    assert!(own.contains("2 tastings of this batch"), "{own}");
}
