//! Duties: who has which, what judges say of themselves, and who may read it.

use mustwright::competitions::model::{Duty, Phase};

use super::building::{Held, a_competition};
use super::organise::organiser;
use crate::support::{Browser, Club, Page, Person, a_member};

/// Gives somebody a duty by the form.
async fn gives(orla: &Browser, held: &Held, club: &Club, whom: &Person, duty: &str) -> Page {
    let id: String = sqlx::query_scalar("select public_id from members where id = $1")
        .bind(whom.id.0)
        .fetch_one(club.pool())
        .await
        .expect("a member");
    let page = orla.get(&format!("{}/roster", held.path)).await;
    let (at, mut fields) = page.filled("Give the duty", &[("Who", &id)]);
    fields.retain(|(name, _)| name != "duty");
    fields.push(("duty".to_owned(), duty.to_owned()));
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .collect();
    orla.post(&at, &fields).await
}

async fn abstains(club: &Club, held: &Held) -> Vec<String> {
    sqlx::query_scalar(
        "select abstains from competition_roster where competition_id = $1 and duty = 'judge'",
    )
    .bind(held.id.0)
    .fetch_one(club.pool())
    .await
    .expect("a judge")
}

#[tokio::test]
async fn duties_are_given_and_taken_and_one_organiser_stays() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let held = a_competition().of(&club, &person).await;
    let nobody = orla
        .submit(
            &orla.get(&format!("{}/roster", held.path)).await,
            "Give the duty",
            &[],
        )
        .await;
    assert_eq!(nobody.status, 422);
    assert_ne!(nobody.fault("Who"), "");
    assert_eq!(gives(&orla, &held, &club, &bo, "judge").await.status, 303);
    let twice = gives(&orla, &held, &club, &bo, "judge").await;
    assert_eq!(twice.status, 422);
    assert!(twice.fault("Who").contains("already"), "{}", twice.text);
    let browser = club.browser_of(&bo).await;
    assert_eq!(
        browser
            .get(&format!("{}/my-limits", held.path))
            .await
            .status,
        200
    );

    let roster = format!("{}/roster", held.path);
    let page = orla.get(&roster).await;
    orla.submit(&page, "Experienced Bo", &[]).await;
    let page = orla.get(&roster).await;
    assert!(page.text.contains("judge, experienced"), "{}", page.text);
    let alone = orla.submit(&page, "Take the duty away Orla", &[]).await;
    assert_eq!(alone.status, 409, "{}", alone.text);
    assert_eq!(
        orla.submit(&page, "Take the duty away Bo", &[])
            .await
            .status,
        303
    );
    assert_eq!(
        browser
            .get(&format!("{}/my-limits", held.path))
            .await
            .status,
        404
    );
    let again = orla.submit(&page, "Take the duty away Bo", &[]).await;
    assert_eq!(again.status, 303, "pressed twice");
    let taken = "select count(*) from competition_deeds where deed = 'duty_taken'";
    let taken: i64 = sqlx::query_scalar(taken)
        .fetch_one(club.pool())
        .await
        .expect("a count");
    assert_eq!(taken, 1);
    assert_eq!(
        gives(&orla, &held, &club, &bo, "organiser").await.status,
        303
    );
    let page = orla.get(&roster).await;
    let done = orla.submit(&page, "Take the duty away Orla", &[]).await;
    assert_eq!(done.location(), Some(held.path.as_str()));
    assert_eq!(orla.get(&roster).await.status, 404);
    // Nobody is given a duty once judging is over.
    held.stands_in(&club, Phase::Review).await;
    let page = browser.get(&roster).await;
    assert!(!page.has_button("Give the duty"), "{}", page.text);
}

#[tokio::test]
async fn what_a_judge_does_not_taste_is_read_by_nobody_else() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let cy = a_member().named("Cy").of(&club).await;
    let held = a_competition()
        .with(&bo, Duty::Judge)
        .with(&cy, Duty::Steward)
        .of(&club, &person)
        .await;
    let (bo, cy) = (club.browser_of(&bo).await, club.browser_of(&cy).await);
    let path = format!("{}/my-limits", held.path);
    let form = bo.get(&path).await;
    let much = bo
        .submit(&form, "Save", &[("Glasses in a day, at most", "99")])
        .await;
    assert_eq!(much.status, 422);
    let said = [
        ("nuts", "yes"),
        ("meads with hot pepper", "yes"),
        ("Anything else", "Lavender, woodruff"),
        ("Glasses in a day, at most", "12"),
        ("Orla", "yes"),
    ];
    let done = bo.submit(&form, "Save", &said).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(
        abstains(&club, &held).await,
        ["pepper", "nuts", "lavender", "woodruff"]
    );
    let again = bo.get(&path).await;
    assert_eq!(again.value("Anything else"), "lavender, woodruff");
    assert_eq!(again.value("Glasses in a day, at most"), "12");
    for (who, browser) in [("the organiser", &orla), ("a steward", &cy)] {
        for part in ["", "/roster", "/deeds", "/rules", "/my-limits"] {
            let page = browser.get(&format!("{}{part}", held.path)).await;
            for word in ["lavender", "woodruff"] {
                assert!(!page.text.contains(word), "{who} {part} {word}");
            }
        }
    }
    // Taking everything back leaves nothing.
    let form = bo.get(&path).await;
    let (at, fields) = form.filled("Save", &[]);
    let kept: Vec<(&str, &str)> = fields
        .iter()
        .filter(|(name, _)| !name.starts_with("not_") && !name.starts_with("apart_"))
        .map(|(name, _)| (name.as_str(), ""))
        .collect();
    assert_eq!(bo.post(&at, &kept).await.status, 303);
    assert_eq!(abstains(&club, &held).await, [""; 0]);
    let left: i64 = sqlx::query_scalar("select count(*) from competition_conflicts")
        .fetch_one(club.pool())
        .await
        .expect("a count");
    assert_eq!(left, 0);
}

#[tokio::test]
async fn who_has_read_the_names_judges_and_pours_nothing() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let held = a_competition().of(&club, &person).await;
    held.entry_of(&club, &person, 3, "AX234").await;
    let list = orla.get(&format!("{}/entries", held.path)).await;
    let (at, fields) = list.filled("Show whose they are", &[]);
    let mut fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .filter(|(name, _)| *name != "reason")
        .collect();
    fields.push(("reason", "A parcel without a label"));
    let shown = orla.post(&at, &fields).await;
    assert_eq!(shown.status, 200, "{}", shown.text);
    for duty in ["judge", "steward"] {
        let refused = gives(&orla, &held, &club, &person, duty).await;
        assert_eq!(refused.status, 422, "{duty}");
        assert!(refused.fault("Who").contains("have read"), "{duty}");
    }
}

#[tokio::test]
async fn a_judge_reads_nothing_of_what_another_said_and_takes_back_nothing_of_it() {
    let club = Club::open().await;
    let (person, _) = organiser(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let cy = a_member().named("Cy").of(&club).await;
    let held = a_competition()
        .with(&bo, Duty::Judge)
        .with(&cy, Duty::Judge)
        .of(&club, &person)
        .await;
    let (of_bo, of_cy) = (club.browser_of(&bo).await, club.browser_of(&cy).await);
    let path = format!("{}/my-limits", held.path);
    let apart = async || -> i64 {
        sqlx::query_scalar("select count(*) from competition_conflicts")
            .fetch_one(club.pool())
            .await
            .expect("a count")
    };
    let nobody_of_bo = of_bo.get(&path).await;
    of_bo.submit(&nobody_of_bo, "Save", &[("Cy", "yes")]).await;
    assert_eq!(apart().await, 1);
    let nobody_of_cy = of_cy.get(&path).await;
    let (_, told) = nobody_of_cy.filled("Save", &[]);
    let (_, before) = nobody_of_bo.filled("Save", &[]);
    assert_eq!(told, before, "Cy's page has no tick either");
    let done = of_cy.submit(&nobody_of_cy, "Save", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(apart().await, 1, "what Bo said stays");
    // Both say it, and each takes back their own.
    of_cy.submit(&nobody_of_cy, "Save", &[("Bo", "yes")]).await;
    of_bo.submit(&nobody_of_bo, "Save", &[]).await;
    assert_eq!(apart().await, 1, "what Cy said stays");
    of_cy.submit(&nobody_of_cy, "Save", &[]).await;
    assert_eq!(apart().await, 0);
}

#[tokio::test]
async fn who_is_forgotten_takes_along_what_they_do_not_taste() {
    let club = Club::open().await;
    let (person, _) = organiser(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let held = a_competition()
        .with(&bo, Duty::Judge)
        .of(&club, &person)
        .await;
    let browser = club.browser_of(&bo).await;
    let form = browser.get(&format!("{}/my-limits", held.path)).await;
    browser
        .submit(&form, "Save", &[("nuts", "yes"), ("Orla", "yes")])
        .await;
    assert_eq!(abstains(&club, &held).await, ["nuts"]);
    sqlx::query("update members set left_at = now() - interval '40 days', disabled_at = now() where id = $1")
        .bind(bo.id.0)
        .execute(club.pool())
        .await
        .expect("a change");
    let gone = mustwright::portability::leaving::daily::tidy(club.pool(), chrono::Utc::now()).await;
    assert_eq!(gone.expect("tidied").members, 1);
    assert_eq!(abstains(&club, &held).await, [""; 0]);
    let left: i64 = sqlx::query_scalar("select count(*) from competition_conflicts")
        .fetch_one(club.pool())
        .await
        .expect("a count");
    assert_eq!(left, 0);
}
