//! Starting one's own from a recipe: attribution, the way back, and never wider than the source.

use mustwright::web::units::Units;

use super::{NEW, SAVE, STRENGTH, a_club, another, as_pairs, count, edited, saved, sheet_of};

#[tokio::test]
async fn a_copy_names_its_source_and_leads_back_and_forth() {
    let (club, _, ada) = a_club().await;
    let typed = [
        ("Name", "Meadow"),
        (STRENGTH, "11 %"),
        ("Who may see it", "club"),
        ("Remark, Honey 1", "spring honey"),
    ];
    let source = saved(&ada, &typed).await;
    edited(&ada, &source, 2, &[(STRENGTH, "13 %")]).await;

    let blythe = another(&club, "Blythe", Units::Metric).await;
    // From an older revision, as the page of that revision leads.
    let old = blythe.get(&format!("{source}/revisions/1")).await;
    let start = old.link("Start my own from this").expect("a way");
    let form = blythe.get(&start).await;
    assert_eq!(form.status, 200, "{}", form.text);
    assert_eq!(form.value("Name"), "Meadow, my own");
    assert_eq!(
        form.value(STRENGTH),
        "11 %",
        "of the revision that was seen"
    );
    assert_eq!(form.value("Remark, Honey 1"), "spring honey");
    assert_eq!(form.value("Who may see it"), "private");
    assert_eq!(
        form.link("revision 1 of this recipe").as_deref(),
        Some(format!("{source}/revisions/1").as_str())
    );
    // The attribution survives a press of a button.
    let form = blythe.submit(&form, "Recalculate", &[]).await;
    let done = blythe
        .submit(
            &form,
            SAVE,
            &[("Name", "Blythe's meadow"), ("Who may see it", "club")],
        )
        .await;
    let copy = sheet_of(&done);
    assert_ne!(copy, source);
    let page = blythe.get(&copy).await;
    assert_eq!(
        page.link("Meadow by Ada, revision 1").as_deref(),
        Some(format!("{source}/revisions/1").as_str())
    );
    assert!(page.text.contains("revision 1 of 1"));
    let back = ada.get(&source).await;
    assert_eq!(
        back.link("Blythe's meadow by Blythe").as_deref(),
        Some(copy.as_str())
    );
    assert_eq!(
        ada.get(&source).await.heading(),
        "Meadow",
        "the source is as it was"
    );

    // When the source is no longer shared, the maker's name stays and the way and the title go.
    let sheet = ada.get(&source).await;
    ada.submit(&sheet, "Change", &[("Who may see it", "private")])
        .await;
    let page = blythe.get(&copy).await;
    assert!(page.text.contains("a recipe by Ada, revision 1"));
    assert!(!page.text.contains(&source));
    assert!(!page.text.contains("Meadow by"));
}

#[tokio::test]
async fn a_copy_is_shared_no_more_widely_than_its_source() {
    let (club, _, ada) = a_club().await;
    let source = saved(&ada, &[("Name", "Meadow"), ("Who may see it", "club")]).await;
    let id = source.rsplit('/').next().unwrap();
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let form = blythe.get(&format!("{NEW}?from={id}")).await;
    // No choice of the form says so; a form made by hand does, and opens nothing.
    let page = blythe
        .submit(
            &form,
            SAVE,
            &[("Name", "Too open"), ("Who may see it", "link")],
        )
        .await;
    assert_eq!(page.status, 422, "{}", page.text);
    assert!(page.fault("Who may see it").contains("no more widely"));
    assert_eq!(page.value("Name"), "Too open");
    let done = blythe
        .submit(&page, SAVE, &[("Who may see it", "private")])
        .await;
    let copy = sheet_of(&done);
    let page = blythe.get(&copy).await;
    assert!(page.text.contains("seen by you alone"), "{}", page.text);
    assert_eq!(ada.get(&copy).await.status, 404);
    let shared = blythe
        .submit(&page, "Change", &[("Who may see it", "club")])
        .await;
    assert_eq!(shared.status, 303);
    assert_eq!(ada.get(&copy).await.status, 200);
    let refused = blythe
        .post(&format!("{copy}/share"), &[("visibility", "link")])
        .await;
    assert_eq!(refused.status, 400);
    assert!(blythe.get(&copy).await.text.contains("seen by the club"));
}

#[tokio::test]
async fn nothing_is_started_from_what_one_may_not_see() {
    let (club, _, ada) = a_club().await;
    let source = saved(&ada, &[("Name", "Mine alone")]).await;
    let id = source.rsplit('/').next().unwrap();
    let blythe = another(&club, "Blythe", Units::Metric).await;
    for query in [
        format!("from={id}"),
        format!("from={id}&revision=1"),
        "from=x".to_owned(),
    ] {
        let page = blythe.get(&format!("{NEW}?{query}")).await;
        assert_eq!(page.status, 404, "{query}");
    }
    // Nor by a form made by hand.
    let form = blythe.get(NEW).await;
    let (_, mut fields) = form.filled(SAVE, &[("Name", "By hand")]);
    for (name, value) in &mut fields {
        match name.as_str() {
            "from_recipe" => *value = id.to_owned(),
            "from_number" => *value = "1".to_owned(),
            _ => {}
        }
    }
    let page = blythe.post(NEW, &as_pairs(&fields)).await;
    assert_eq!(page.status, 422, "{}", page.text);
    assert!(page.fault("Name").contains("no longer shared with you"));
    assert!(!page.text.contains("Mine alone"));
    assert_eq!(count(&club, "select count(*) from recipes").await, 1);
    // What was typed is kept, without the link.
    let done = blythe.submit(&page, SAVE, &[]).await;
    let own = blythe.get(&sheet_of(&done)).await;
    assert_eq!(own.heading(), "By hand");
    assert!(!own.text.contains("started from"));
    // One's own private recipe is a fine beginning.
    let form = ada.get(&format!("{NEW}?from={id}")).await;
    assert_eq!(form.value("Name"), "Mine alone, my own");
}
