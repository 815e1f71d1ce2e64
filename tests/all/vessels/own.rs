//! A member's own vessels: added, weighed full, changed, taken out of use, and nobody else's business.

use mustwright::web::units::Units;

use super::{a_club, adds, another, vessel};

const BUCKET: &[(&str, &str)] = &[
    ("Name", "Blue bucket"),
    ("Kind", "bucket"),
    ("Made of", "food_plastic"),
    ("To the brim", "25,4 L"),
    ("How many of them", "2"),
];

#[tokio::test]
async fn a_vessel_is_added_and_told_with_what_is_assumed() {
    let (_club, ada) = a_club().await;
    let empty = ada.get("/vessels").await;
    assert!(empty.words_of("main").unwrap().contains("None yet"));
    let form = vessel(&ada, BUCKET).await;
    let words = ada.get("/vessels").await.words_of("main").unwrap();
    for told in [
        "2 buckets of plastic sold for food, wide mouth",
        "25.4 L to the brim each",
        // 25.4 × 0.85 = 21.59
        "takes 21.6 L of a plain must, with the usual 15 % free for foam",
        "common practice, no published source",
        "A bucket lets air in",
    ] {
        assert!(
            words.to_lowercase().contains(&told.to_lowercase()),
            "{told}: {words}"
        );
    }
    let form = ada.get(&form).await;
    assert_eq!(form.value("To the brim"), "25,4 L", "as it was typed");
    let done = ada
        .submit(
            &form,
            "Save the vessel",
            &[
                ("Left free while it ferments, in percent of the brim", "20"),
                ("Stays behind at each racking", "800 ml"),
            ],
        )
        .await;
    let words = ada.follow(done).await.words_of("main").unwrap();
    assert!(
        words.contains("takes 20.3 L of must with the 20 % that you leave free"),
        "{words}"
    );
    assert!(
        words.contains("800 ml stays behind at each racking"),
        "{words}"
    );
}

/// 0.6 kg empty, 25.6 full of water at 20 °C: 25 kg over 0.998207 kg/L are 25.045 L.
#[tokio::test]
async fn a_vessel_weighed_full_is_as_large_as_its_water() {
    let (_club, ada) = a_club().await;
    let weighed = [
        ("Name", "Glass"),
        ("Kind", "demijohn"),
        ("Made of", "glass"),
        ("It weighs empty", "0.6 kg"),
        ("It weighs full of water", "25.6 kg"),
        ("The water was, how warm", "20 °C"),
        ("narrow: a rod goes through, no fruit", "narrow"),
    ];
    let form = vessel(&ada, &weighed).await;
    let words = ada.get("/vessels").await.words_of("main").unwrap();
    assert!(words.contains("25 L to the brim"), "{words}");
    assert!(words.contains("It cuts deep when it breaks"), "{words}");
    let form = ada.get(&form).await;
    assert_eq!(form.value("It weighs full of water"), "25.6 kg");
    assert_eq!(form.value("To the brim"), "", "the weights say it");
    // Both ways at once could contradict each other.
    let both = ada
        .submit(&form, "Save the vessel", &[("To the brim", "25 L")])
        .await;
    assert_eq!(both.status, 422);
    assert!(both.fault("To the brim").contains("not both"));
    let half = ada
        .submit(&form, "Save the vessel", &[("The water was, how warm", "")])
        .await;
    assert_eq!(
        half.fault("The water was, how warm"),
        "Write how warm the water was."
    );
    let light = ada
        .submit(
            &form,
            "Save the vessel",
            &[("It weighs full of water", "0.5 kg")],
        )
        .await;
    assert!(
        light
            .fault("It weighs full of water")
            .contains("more than empty")
    );
}

#[tokio::test]
async fn every_fault_stands_beside_its_field_and_the_text_stays() {
    let (_club, ada) = a_club().await;
    let page = adds(
        &ada,
        &[
            ("Name", ""),
            ("To the brim", "5 gal"),
            ("How many of them", "0"),
            (
                "Left free while it ferments, in percent of the brim",
                "95 %",
            ),
            ("Stays behind at each racking", "much"),
        ],
    )
    .await;
    assert_eq!(page.status, 422);
    for (label, fault, typed) in [
        ("Name", "Give it a name", ""),
        // Who reads litres is asked which gallon is meant.
        ("To the brim", "two measures bear that name", "5 gal"),
        ("How many of them", "from 1 to 99", "0"),
        (
            "Left free while it ferments, in percent of the brim",
            "90 %",
            "95 %",
        ),
        ("Stays behind at each racking", "Write a volume", "much"),
    ] {
        assert!(
            page.fault(label).contains(fault),
            "{label}: {}",
            page.fault(label)
        );
        assert_eq!(page.value(label), typed, "{label}");
    }
    let page = adds(
        &ada,
        &[
            ("Name", "Small"),
            ("To the brim", "5 L"),
            ("Stays behind at each racking", "5 L"),
        ],
    )
    .await;
    assert!(
        page.fault("Stays behind at each racking")
            .contains("less than the vessel holds")
    );
    vessel(&ada, BUCKET).await;
    let twin = adds(&ada, &[("Name", "BLUE bucket"), ("To the brim", "5 L")]).await;
    assert_eq!(twin.status, 422);
    assert!(
        twin.fault("Name")
            .contains("Another of your vessels has this name")
    );
}

#[tokio::test]
async fn units_are_the_members_and_what_was_typed_means_the_same() {
    let (club, _) = a_club().await;
    let pia = another(&club, "Pia", Units::Us).await;
    let form = vessel(&pia, &[("Name", "Carboy"), ("To the brim", "5")]).await;
    let words = pia.get("/vessels").await.words_of("main").unwrap();
    assert!(words.contains("5 gal to the brim"), "{words}");
    let litres: f64 = sqlx::query_scalar("select brim_l from vessels")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert!((litres - 18.927).abs() < 1e-3);
    // Somebody who reads litres from now on does not read the bare number as litres.
    sqlx::query("update members set units = 'metric' where name = 'Pia'")
        .execute(&mut club.database.owner().await)
        .await
        .unwrap();
    let form = pia.get(&form).await;
    assert_eq!(form.value("To the brim"), "18.9270589 L");
}

#[tokio::test]
async fn anothers_vessels_look_unknown() {
    let (club, ada) = a_club().await;
    let form = vessel(&ada, BUCKET).await;
    let oskar = another(&club, "Oskar", Units::Metric).await;
    assert_eq!(oskar.get(&form).await.status, 404);
    assert!(!oskar.get("/vessels").await.text.contains("Blue bucket"));
    let own = oskar.get("/vessels/new").await;
    let (_, fields) = own.filled(
        "Save the vessel",
        &[("Name", "Mine"), ("To the brim", "5 L")],
    );
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    for path in [
        form.clone(),
        format!("{form}/out-of-use"),
        format!("{form}/bring-back"),
    ] {
        assert_eq!(oskar.post(&path, &fields).await.status, 404, "{path}");
    }
    assert_eq!(
        club.browser()
            .get(&form)
            .await
            .location()
            .map(|to| to.starts_with("/sign-in")),
        Some(true)
    );
    assert_eq!(ada.get(&form).await.value("Name"), "Blue bucket");
}

#[tokio::test]
async fn out_of_use_is_not_gone() {
    let (club, ada) = a_club().await;
    let form = vessel(&ada, BUCKET).await;
    let list = ada.get("/vessels").await;
    let done = ada.submit(&list, "Take out of use: Blue bucket", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let list = ada.get("/vessels").await;
    assert!(list.words_of("#retired").unwrap().contains("Blue bucket"));
    assert_eq!(ada.get(&form).await.status, 200);
    // Its name is free, and then it cannot come back under it.
    vessel(&ada, BUCKET).await;
    let refused = ada.submit(&list, "Bring back: Blue bucket", &[]).await;
    assert_eq!(refused.status, 409);
    let kept: i64 = sqlx::query_scalar("select count(*) from vessels")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(kept, 2);
    let gone = sqlx::query("delete from vessels")
        .execute(club.pool())
        .await;
    assert!(gone.is_err(), "the serving role deletes no vessel");
}

#[tokio::test]
async fn two_edits_of_one_vessel_lose_nothing() {
    let (club, ada) = a_club().await;
    let form = vessel(&ada, BUCKET).await;
    let (first, second) = (ada.get(&form).await, ada.get(&form).await);
    ada.submit(&first, "Save the vessel", &[("To the brim", "26 L")])
        .await;
    let late = ada
        .submit(&second, "Save the vessel", &[("To the brim", "27 L")])
        .await;
    assert_eq!(late.status, 409);
    assert!(
        late.words_of("#meanwhile")
            .unwrap()
            .contains("to the brim: 26 L")
    );
    assert_eq!(late.value("To the brim"), "27 L");
    let done = ada.submit(&late, "Save the vessel", &[]).await;
    assert_eq!(done.status, 303);
    let brim: f64 = sqlx::query_scalar("select brim_l from vessels")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(brim, 27.0);
    // The same form again does its work once.
    let new = ada.get("/vessels/new").await;
    let typed = [("Name", "Once"), ("To the brim", "5 L")];
    for _ in 0..2 {
        let done = ada.submit(&new, "Save the vessel", &typed).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    let count: i64 = sqlx::query_scalar("select count(*) from vessels where name = 'Once'")
        .fetch_one(club.pool())
        .await
        .unwrap();
    assert_eq!(count, 1);
}

#[tokio::test]
async fn what_can_hurt_is_said_beside_the_vessel() {
    let (_club, ada) = a_club().await;
    for (name, kind, made_of, told) in [
        ("Paint pail", "bucket", "other_plastic", "Not made for food"),
        ("Crock", "tank", "stoneware", "A glaze may give off lead"),
        ("Open cask", "barrel", "wood", "An open barrel"),
        ("Keg", "keg", "steel", "working relief valve"),
    ] {
        let typed = [
            ("Name", name),
            ("Kind", kind),
            ("Made of", made_of),
            ("To the brim", "20 L"),
        ];
        vessel(&ada, &typed).await;
        let words = ada.get("/vessels").await.words_of("main").unwrap();
        assert!(words.contains(told), "{told}: {words}");
    }
}

#[tokio::test]
async fn the_workbench_offers_my_vessels_first() {
    let (club, ada) = a_club().await;
    let form = vessel(
        &ada,
        &[
            ("Name", "Blue bucket"),
            ("To the brim", "25,4 L"),
            ("Left free while it ferments, in percent of the brim", "20"),
        ],
    )
    .await;
    let pick = format!("mine-{}", form.rsplit('/').next().unwrap());
    let page = ada.get("/recipes/new").await;
    let choices = page.words_of("#vessel_pick").unwrap();
    assert!(
        choices.starts_with("not chosen yet mine: Blue bucket"),
        "{choices}"
    );
    let done = ada
        .submit(
            &page,
            "Save as revision 1",
            &[("Name", "In the bucket"), ("Yours, or a usual one", &pick)],
        )
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let document: serde_json::Value = sqlx::query_scalar("select document from revisions")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let kept = &document["vessel"];
    assert_eq!(
        (kept["name"].as_str(), kept["brim_l"].as_f64()),
        (Some("Blue bucket"), Some(25.4))
    );
    assert_eq!(kept["headspace_fraction"].as_f64(), Some(0.2));
    let sheet = done
        .location()
        .unwrap()
        .split('?')
        .next()
        .unwrap()
        .to_owned();
    let edit = ada.get(&format!("{sheet}/edit")).await;
    assert_eq!(edit.value("Yours, or a usual one"), pick, "known again");
    // Somebody else's vessel is picked by nobody, whatever is sent.
    let oskar = another(&club, "Oskar", Units::Metric).await;
    let page = oskar.get("/recipes/new").await;
    assert!(!page.text.contains("Blue bucket"));
    let done = oskar
        .submit(
            &page,
            "Save as revision 1",
            &[("Name", "Not mine"), ("Yours, or a usual one", &pick)],
        )
        .await;
    let to = done.location().unwrap_or_default().to_owned();
    assert!(!oskar.get(&to).await.text.contains("Blue bucket"));
}
