//! How batches start: from a recipe, made to fit, or going already; and who sees them.

use super::{a_maker, address, started};
use crate::support::{Club, a_member};

#[tokio::test]
async fn a_batch_of_a_recipe_says_what_it_is_made_of_and_since_when() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "First heather")]).await;
    let page = ada.get(&batch).await;
    assert_eq!(page.heading(), "First heather");
    let lead = page.words_of(".lead").unwrap();
    assert!(lead.contains("going since 28 November 2026"), "{lead}");
    assert!(page.link("Heather, dry, revision 1").is_some());
    let list = ada.get("/batches").await;
    assert_eq!(list.link("First heather").as_deref(), Some(batch.as_str()));
}

#[tokio::test]
async fn the_same_form_sent_twice_starts_one_batch() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let sheet = ada.get(&recipe).await;
    let form = ada.get(&sheet.link("Start a batch").unwrap()).await;
    let first = ada.submit(&form, "Start the batch", &[]).await;
    let second = ada.submit(&form, "Start the batch", &[]).await;
    assert_eq!(first.location(), second.location());
    let found: i64 = sqlx::query_scalar("select count(*) from batches")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(found, 1);
}

#[tokio::test]
async fn what_went_in_stays_when_the_recipe_goes_on() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[]).await;
    let before = ada.get(&batch).await.words_of(".lead").unwrap();
    let edit = ada.get(&format!("{recipe}/edit")).await;
    let done = ada
        .submit(
            &edit,
            "Save as revision 2",
            &[("Volume of must, in litres or gallons", "8 L")],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let after = ada.get(&batch).await.words_of(".lead").unwrap();
    assert_eq!(before, after);
}

#[tokio::test]
async fn faults_stand_beside_their_fields_and_nothing_is_lost() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let sheet = ada.get(&recipe).await;
    let form = ada.get(&sheet.link("Start a batch").unwrap()).await;
    let again = ada
        .submit(
            &form,
            "Start the batch",
            &[
                ("What it is called", ""),
                ("Mixing day", "soon"),
                ("Time of day", "25:99"),
            ],
        )
        .await;
    assert_eq!(again.status, 422);
    for (label, value) in [("Mixing day", "soon"), ("Time of day", "25:99")] {
        assert!(!again.fault(label).is_empty(), "{label}");
        assert_eq!(again.value(label), value);
    }
    assert!(!again.fault("What it is called").is_empty());
}

#[tokio::test]
async fn a_mead_that_is_going_already_is_taken_in() {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let ada = a_member().of(&club).await;
    let ada = club.browser_of(&ada).await;
    let form = ada.get("/batches/going").await;
    let done = ada
        .submit(
            &form,
            "Take it in",
            &[
                ("What it is called", "Somebody’s"),
                ("In the vessel since", "3 May"),
                ("How much there is", "4.5 L"),
                ("Gravity when it began", "1090"),
            ],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = ada.get(&address(done.location())).await;
    let lead = page.words_of(".lead").unwrap();
    assert!(
        lead.contains("4.5") && lead.contains("since 3 May 2026"),
        "{lead}"
    );
    assert!(page.text.contains("1.090"), "{}", page.text);
    assert!(page.text.contains("Yeast pitched"));
}

#[tokio::test]
async fn a_mead_of_another_century_is_a_slip_of_the_pen() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let sheet = ada.get(&recipe).await;
    let form = ada.get(&sheet.link("Start a batch").unwrap()).await;
    let long_ago = [("Mixing day", "1900-01-01")];
    let again = ada.submit(&form, "Start the batch", &long_ago).await;
    assert_eq!(again.status, 422);
    let fault = again.fault("Mixing day");
    assert!(fault.contains("fifty years"), "{fault}");
    let form = ada.get("/batches/going").await;
    let long_ago = [("In the vessel since", "1900-01-01")];
    let again = ada.submit(&form, "Take it in", &long_ago).await;
    assert!(again.fault("In the vessel since").contains("fifty years"));
    assert_eq!(again.value("In the vessel since"), "1900-01-01");
}

#[tokio::test]
async fn a_private_batch_is_nobody_elses() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    let mine = started(&ada, &recipe, &[("only me", "private")]).await;
    let ours = started(&ada, &recipe, &[("every member of the club", "club")]).await;
    assert_eq!(bo.get(&mine).await.status, 404);
    let seen = bo.get(&ours).await;
    assert_eq!(seen.status, 200);
    assert!(seen.link("Log").is_none(), "only its maker writes the log");
    for path in ["log", "about"] {
        assert_eq!(bo.get(&format!("{ours}/{path}")).await.status, 404);
    }
    let listed = bo.get("/batches?shelf=club").await;
    assert!(listed.text.contains(&ours) && !listed.text.contains(&mine));
}

#[tokio::test]
async fn a_batch_goes_into_the_bin_and_comes_back() {
    let club = Club::open().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("every member of the club", "club")]).await;
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    let page = ada.get(&batch).await;
    assert_eq!(
        ada.submit(&page, "Put it in the bin", &[]).await.status,
        303
    );
    assert_eq!(bo.get(&batch).await.status, 404);
    assert!(!ada.get("/batches").await.text.contains(&batch));
    let page = ada.get(&batch).await;
    let back = ada.submit(&page, "Put it back from the bin", &[]).await;
    assert_eq!(back.status, 303);
    assert_eq!(bo.get(&batch).await.status, 200);
}

#[tokio::test]
async fn a_mead_taken_in_and_a_series_made_by_one_form_sent_twice_are_one() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let ada = club.browser_of(&ada).await;
    let going = [
        ("What it is called", "Somebody’s"),
        ("In the vessel since", "3 May"),
        ("How much there is", "4.5 L"),
        ("Gravity when it began", "1090"),
    ];
    let series = [("What it is called", "Less acid")];
    for (path, button, fields, count) in [
        (
            "/batches/going",
            "Take it in",
            &going[..],
            "select count(*) from batches",
        ),
        (
            "/series/new",
            "Save",
            &series[..],
            "select count(*) from refining_series",
        ),
    ] {
        let form = ada.get(path).await;
        let first = ada.submit(&form, button, fields).await;
        assert_eq!(first.status, 303, "{path}: {}", first.text);
        let second = ada.submit(&form, button, fields).await;
        assert_eq!(first.location(), second.location(), "{path}");
        let found: i64 = sqlx::query_scalar(count)
            .fetch_one(club.pool())
            .await
            .unwrap();
        assert_eq!(found, 1, "{path}");
    }
}
