//! What a member takes along of tastings: their own, never what others said before it may be read.

use super::{hosted, member, says, seated};
use crate::portability::{exported, json_of};
use crate::support::Club;

#[tokio::test]
async fn an_export_tells_ones_own_words_and_those_of_others_at_the_end() {
    let club = Club::open().await;
    let ada = hosted(&club, 1).await;
    let tasting = ada.opens("shared", &[]).await;
    let bo = member(&club, "Bo").await;
    seated(&bo, &tasting).await;
    let seat = format!("{tasting}/seat");
    says(
        &bo,
        &seat,
        1,
        &[("As a whole, in your own words", "like wet slate")],
    )
    .await;
    let own = exported(&bo).await;
    let sheets = json_of(&own, "tasting_answers.json");
    assert_eq!(sheets[0]["said"][0]["data"]["text"], "like wet slate");
    assert_eq!(
        sheets[0]["said"][0]["mead"],
        serde_json::Value::Null,
        "it bears a code"
    );
    let hosts = json_of(&exported(&ada.browser).await, "tastings.json");
    assert_eq!(hosts[0]["title"], "First look");
    assert_eq!(hosts[0]["said"], serde_json::json!([]), "before the end");
    ada.closes(&tasting).await;
    let hosts = json_of(&exported(&ada.browser).await, "tastings.json");
    assert_eq!(hosts[0]["said"][0]["data"]["text"], "like wet slate");
    assert!(!hosts.to_string().contains("Bo"), "words without names");
    let sheets = json_of(&exported(&bo).await, "tasting_answers.json");
    assert_eq!(sheets[0]["said"][0]["mead"], "Batch 1");
}
