//! Sheets on paper: typed in by one, compared by another; given back with a reason; who looks after which.

use mustwright::competitions::model::Duty;
use mustwright::competitions::organise;

use super::{Day, a_day, filled, said, signs};
use crate::support::Browser;

/// The page of Ada's sheet of the first entry, as those see it who look after sheets.
async fn paper_of(day: &Day, browser: &Browser) -> Option<String> {
    let sheets = browser.get(&format!("{}/sheets", day.held.path)).await;
    assert_eq!(sheets.status, 200, "{}", sheets.text);
    sheets.link("Ada, KM472")
}

#[tokio::test]
async fn paper_is_typed_by_one_and_compared_by_another() {
    let day = a_day(1).await;
    let (sten, orla) = (day.as_(&day.steward).await, day.as_(&day.organiser).await);
    let path = paper_of(&day, &sten).await.expect("the sheet");
    let form = sten.get(&path).await;
    let words = [("In words, Smell", "pears"), ("hot", "")];
    let done = sten
        .submit(&form, "It says so on the paper", &filled(&words))
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let own = sten.get(&path).await;
    assert!(
        own.text.contains("Somebody else compares it"),
        "{}",
        own.text
    );
    let button = "Words and points are as on the paper";
    assert!(!own.has_button(button));
    let second = orla.get(&path).await;
    assert!(second.text.contains("pears"), "{}", second.text);
    assert!(
        !second.text.contains("15"),
        "the points are read anew: {}",
        second.text
    );
    // Whoever typed it does not compare it, whatever they send.
    let (action, mut fields) = second.filled(button, &filled(&[]));
    for (name, value) in &mut fields {
        if name == "once" {
            *value = form.hidden("once").expect("his own");
        }
    }
    let fields: Vec<_> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    let refused = sten.post(&action, &fields).await;
    assert_eq!(refused.status, 409, "{}", refused.text);
    let other = filled(&[("Points, 0 to 20, Taste", "16")]);
    let differs = orla.submit(&second, button, &other).await;
    assert_eq!(differs.status, 422);
    let told = differs.fault("Points, 0 to 20, Taste");
    assert_eq!(told, "The first reading says 15. Look at the paper again.");
    let done = orla.submit(&differs, button, &filled(&[])).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let ada = day.as_(&day.ada).await;
    let signed = ada.get(&day.sheet(0)).await;
    assert!(
        signed.text.contains("38 of 50"),
        "it counts as signed: {}",
        signed.text
    );
    assert!(!signed.has_button("Save"));
    for deed in ["typed", "compared"] {
        let done: i64 =
            sqlx::query_scalar("select count(*) from competition_deeds where deed = $1")
                .bind(deed)
                .fetch_one(day.club.pool())
                .await
                .unwrap();
        assert_eq!(done, 1, "{deed}");
    }
    assert!(day.chain_holds().await);
}

#[tokio::test]
async fn a_second_reader_who_insists_is_read_by_a_third() {
    let day = a_day(1).await;
    let (sten, orla) = (day.as_(&day.steward).await, day.as_(&day.organiser).await);
    let path = paper_of(&day, &sten).await.expect("the sheet");
    let form = sten.get(&path).await;
    sten.submit(&form, "It says so on the paper", &filled(&[]))
        .await;
    let button = "Words and points are as on the paper";
    let other = filled(&[("Points, 0 to 20, Taste", "16")]);
    let differs = orla.submit(&orla.get(&path).await, button, &other).await;
    let insists = [("The paper says what I typed", "")];
    let done = orla.submit(&differs, button, &insists).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert!(!orla.get(&path).await.has_button(button));
    let again = sten.get(&path).await;
    let done = sten.submit(&again, button, &other).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let ada = day.as_(&day.ada).await;
    assert!(ada.get(&day.sheet(0)).await.text.contains("39 of 50"));
}

#[tokio::test]
async fn a_signed_sheet_is_given_back_by_an_organiser_with_a_reason() {
    let day = a_day(1).await;
    let (ada, sten, orla) = (
        day.as_(&day.ada).await,
        day.as_(&day.steward).await,
        day.as_(&day.organiser).await,
    );
    signs(&ada, &day.sheet(0), &[]).await;
    let path = paper_of(&day, &orla).await.expect("the sheet");
    let stewards = sten.get(&path).await;
    assert!(!said(&stewards).contains("38") && !stewards.has_button("Give it back"));
    let shown = orla.get(&path).await;
    assert!(shown.text.contains("38 of 50"), "{}", shown.text);
    let faulty = orla.submit(&shown, "Give it back", &[]).await;
    assert_eq!(faulty.status, 422);
    assert_eq!(faulty.fault("Why"), "Write why: it is kept for good.");
    let (action, fields) = faulty.filled("Give it back", &[("Why", "points left out")]);
    let fields: Vec<_> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    assert_eq!(
        sten.post(&action, &fields).await.status,
        404,
        "no steward’s to give"
    );
    let done = orla.post(&action, &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let open = ada.get(&day.sheet(0)).await;
    assert_eq!(open.value("Points, 0 to 20, Taste"), "15", "as it stood");
    signs(&ada, &day.sheet(0), &[("Points, 0 to 20, Taste", "17")]).await;
    assert!(ada.get(&day.sheet(0)).await.text.contains("40 of 50"));
    let reason: String =
        sqlx::query_scalar("select reason from competition_deeds where deed = 'reopened'")
            .fetch_one(day.club.pool())
            .await
            .unwrap();
    assert_eq!(reason, "points left out");
    assert!(day.chain_holds().await);
}

#[tokio::test]
async fn whoever_has_an_entry_or_sits_at_the_table_looks_after_none_of_its_sheets() {
    let day = a_day(1).await;
    let steward = day.as_(&day.steward).await;
    let path = paper_of(&day, &steward).await.expect("the sheet");
    let mut conn = day.club.pool().acquire().await.expect("a connection");
    for person in [&day.makers[0], &day.bo] {
        organise::store::add_duty(&mut conn, day.held.id, person.id, Duty::Organiser)
            .await
            .expect("a duty");
        let browser = day.as_(person).await;
        assert_eq!(paper_of(&day, &browser).await, None, "{}", person.name);
        assert_eq!(browser.get(&path).await.status, 404, "{}", person.name);
        assert_eq!(
            browser.post(&path, &[]).await.status,
            404,
            "{}",
            person.name
        );
    }
    let ada = day.as_(&day.ada).await;
    assert_eq!(ada.get(&path).await.status, 404, "no judge’s page");
}
