//! Revisions: listed, looked at, brought back once; who may see a recipe; the bin.

use mustwright::web::units::Units;

use super::{STRENGTH, a_club, all_words, another, count, edited, saved};

#[tokio::test]
async fn revisions_are_listed_and_an_old_one_is_brought_back_once() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Steps"), (STRENGTH, "10 %")]).await;
    let note = ("What is new in this revision", "Stronger, it was thin");
    let done = edited(&ada, &sheet, 2, &[(STRENGTH, "12 %"), note]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    edited(&ada, &sheet, 3, &[(STRENGTH, "14 %"), ("Name", "Steps up")]).await;

    let path = format!("{sheet}/revisions");
    let list = ada.get(&path).await;
    let lines = all_words(&list, "ol > li");
    assert_eq!(lines.len(), 3);
    for (line, parts) in lines.iter().zip([
        ["Steps up, revision 3", "14 %"],
        ["Stronger, it was thin, revision 2", "12 %"],
        ["Steps, revision 1", "10 %"],
    ]) {
        for part in parts {
            assert!(line.contains(part), "{part}: {line}");
        }
    }
    assert!(!list.has_button("Make this the newest again: revision 3"));
    let old = ada.get(&format!("{sheet}/revisions/1")).await;
    assert_eq!(old.heading(), "Steps");
    assert!(old.text.contains("revision 1 of 3"));
    assert_eq!(old.link("the newest").as_deref(), Some(sheet.as_str()));
    assert_eq!(ada.get(&format!("{sheet}/revisions/4")).await.status, 404);
    assert_eq!(ada.get(&format!("{sheet}/revisions/x")).await.status, 400);

    let button = "Make this the newest again: revision 1";
    let done = ada.submit(&list, button, &[]).await;
    let again = ada.submit(&list, button, &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(
        done.location(),
        again.location(),
        "a second click is the first"
    );
    let page = ada.follow(done).await;
    for words in [
        "Saved as revision 4.",
        "Revision 1 brought back.",
        "revision 4 of 4",
    ] {
        assert!(page.text.contains(words), "{words}");
    }
    assert_eq!(page.heading(), "Steps");
    assert_eq!(count(&club, "select count(*) from revisions").await, 4);

    // The page is old by now: another revision from it is refused, not mistaken for the first.
    let late = ada
        .submit(&list, "Make this the newest again: revision 2", &[])
        .await;
    assert_eq!(late.status, 409, "{:?}", late.location());
    assert!(late.text.contains("Revision 4 was saved since"));
    assert_eq!(count(&club, "select count(*) from revisions").await, 4);
}

#[tokio::test]
async fn only_the_owner_changes_who_sees_a_recipe() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Shared")]).await;
    let blythe = another(&club, "Blythe", Units::Metric).await;
    assert_eq!(blythe.get(&sheet).await.status, 404);
    let page = ada.get(&sheet).await;
    let done = ada
        .submit(&page, "Change", &[("Who may see it", "club")])
        .await;
    let page = ada.follow(done).await;
    assert!(page.text.contains("Who may see it is changed."));
    let seen = blythe.get(&sheet).await;
    assert_eq!(seen.status, 200);
    for button in ["Change", "Put it in the bin"] {
        assert!(!seen.has_button(button), "{button}");
    }
    assert!(seen.link("Edit").is_none());
    for path in ["share", "bin", "unbin"] {
        let page = blythe
            .post(&format!("{sheet}/{path}"), &[("visibility", "private")])
            .await;
        assert_eq!(page.status, 404, "{path}");
    }
    assert!(ada.get(&sheet).await.text.contains("seen by the club"));
    let odd = ada
        .post(&format!("{sheet}/share"), &[("visibility", "world")])
        .await;
    assert_eq!(odd.status, 400);
}

#[tokio::test]
async fn the_bin_hides_a_recipe_and_gives_it_back_as_it_was() {
    let (club, _, ada) = a_club().await;
    let typed = [("Name", "Thrown away"), ("Who may see it", "club")];
    let sheet = saved(&ada, &typed).await;
    edited(&ada, &sheet, 2, &[]).await;
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let open = ada.get(&format!("{sheet}/edit")).await;
    let revisions = ada.get(&format!("{sheet}/revisions")).await;
    let page = ada.get(&sheet).await;
    let done = ada.submit(&page, "Put it in the bin", &[]).await;
    let page = ada.follow(done).await;
    assert!(page.text.contains("In the bin for 30 days."));
    assert!(page.link("Edit").is_none());
    assert_eq!(blythe.get(&sheet).await.status, 404);
    for path in ["/recipes", "/recipes?shelf=club", "/recipes?q=thrown"] {
        assert!(!ada.get(path).await.text.contains("Thrown away"), "{path}");
    }
    // Nothing is saved into the bin, and what was typed comes back.
    let refused = ada
        .submit(
            &open,
            "Save as revision 3",
            &[("Notes", "Written meanwhile")],
        )
        .await;
    assert_eq!(refused.status, 409);
    assert_eq!(
        refused.hidden("notes").as_deref(),
        Some("Written meanwhile")
    );
    let refused = ada
        .submit(&revisions, "Make this the newest again: revision 1", &[])
        .await;
    assert_eq!(refused.status, 409);

    let bin = ada.get("/recipes?shelf=bin").await;
    let done = ada.submit(&bin, "Put it back: Thrown away", &[]).await;
    let page = ada.follow(done).await;
    assert!(page.text.contains("Back from the bin."));
    assert_eq!(blythe.get(&sheet).await.status, 200);
    assert!(page.text.contains("revision 2 of 2"));
}
