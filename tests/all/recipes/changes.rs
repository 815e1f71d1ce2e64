//! What a revision changed: each change with what it does alone, and all of them together.

use mustwright::web::units::Units;

use super::{NEW, SAVE, STRENGTH, VOLUME, a_club, all_words, another, edited, saved, sheet_of};

/// Rows of the table of single changes.
fn steps(page: &crate::support::Page) -> Vec<String> {
    all_words(page, "#steps tbody tr")
}

#[tokio::test]
async fn each_change_is_told_with_what_it_does_alone() {
    let (_club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Steps"), (STRENGTH, "10 %")]).await;
    let changed = [
        (STRENGTH, "12 %"),
        ("Notes", "Try it colder."),
        ("What is new in this revision", "Stronger"),
    ];
    let done = edited(&ada, &sheet, 2, &changed).await;
    assert_eq!(done.status, 303, "{}", done.text);

    let way = ada.get(&sheet).await.link("what changed").expect("a way");
    let page = ada.get(&way).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert_eq!(page.heading(), "What changed");
    let lead = page.words_of(".lead").expect("a sentence");
    assert_eq!(lead, "From revision 1 to revision 2. “Stronger”");
    let rows = steps(&page);
    assert_eq!(rows.len(), 2, "{rows:#?}");
    assert!(rows[0].starts_with("Strength10 %12 %"), "{rows:#?}");
    assert!(rows[0].contains("strength from 10 % to 12 %"), "{rows:#?}");
    assert!(rows[0].contains("start from 1."), "{rows:#?}");
    assert!(rows[0].contains("nitrogen in all from "), "{rows:#?}");
    assert!(
        rows[1].starts_with("NotesnoneTry it colder.moves no number"),
        "{rows:#?}"
    );
    let together = all_words(&page, "#numbers tbody tr");
    assert!(
        together.contains(&"strength10 %12 %".to_owned()),
        "{together:#?}"
    );
    let amounts = all_words(&page, "#amounts tbody tr");
    assert!(!amounts.is_empty(), "more honey and less water go in");

    // The list of revisions leads there too.
    let list = ada.get(&format!("{sheet}/revisions")).await;
    assert_eq!(list.link("what changed in revision 2"), Some(way));
}

#[tokio::test]
async fn changes_that_undo_each_other_are_told_apart() {
    let (_club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Both"), (VOLUME, "10 L")]).await;
    // As strong, of twice as much: the volume moves the bottles, the strength does not move.
    edited(&ada, &sheet, 2, &[(VOLUME, "20 L"), (STRENGTH, "9 %")]).await;
    let page = ada.get(&format!("{sheet}/revisions/2/changes")).await;
    let rows = steps(&page);
    let row = |begins: &str| {
        let found = rows.iter().find(|row| row.starts_with(begins));
        found
            .unwrap_or_else(|| panic!("{begins}: {rows:#?}"))
            .clone()
    };
    assert!(!row("Volume of must10 L20 L").contains("strength from"));
    assert!(row("Volume of must10 L20 L").contains("to bottle from"));
    assert!(row("Strength").contains("strength from"));
}

#[tokio::test]
async fn any_two_revisions_of_recipes_that_one_may_see_stand_side_by_side() {
    let (club, _, ada) = a_club().await;
    let source = saved(&ada, &[("Name", "Source"), ("Who may see it", "club")]).await;
    let first = format!("{source}/revisions/1/changes");
    assert_eq!(
        ada.get(&first).await.status,
        404,
        "nothing stands before it"
    );
    edited(&ada, &source, 2, &[(STRENGTH, "9 %")]).await;
    edited(&ada, &source, 3, &[(STRENGTH, "13 %")]).await;
    let far = ada
        .get(&format!("{source}/revisions/3/changes?since=1"))
        .await;
    assert!(far.text.contains("From <a"), "{}", far.text);
    let same = ada
        .get(&format!("{source}/revisions/3/changes?since=3"))
        .await;
    assert!(same.text.contains("Nothing: both say the same."));

    let id = source.rsplit('/').next().expect("an id");
    let blythe = another(&club, "Blythe", Units::Us).await;
    let form = blythe.get(&format!("{NEW}?from={id}")).await;
    let done = blythe
        .submit(&form, SAVE, &[("Name", "Copy"), (STRENGTH, "11 %")])
        .await;
    let copy = blythe.get(&sheet_of(&done)).await;
    let way = copy
        .link("what differs from where it started")
        .expect("a way");
    let page = blythe.get(&way).await;
    let lead = page.words_of(".lead").expect("a sentence");
    assert_eq!(lead, "From Source by Ada, revision 3 to revision 1.");
    assert!(
        steps(&page)
            .iter()
            .any(|row| row.contains("strength from 13 % to 11 %"))
    );
    assert_eq!(
        blythe
            .get(&format!("{}/revisions/1/changes", sheet_of(&done)))
            .await
            .text,
        page.text,
        "without a word it is what it was started from"
    );
    // The copy is private: beside one's own, too, it is as if it were not there.
    let of = sheet_of(&done);
    let of = of.rsplit('/').next().expect("an id");
    let path = format!("{source}/revisions/3/changes?of={of}&since=1");
    assert_eq!(ada.get(&path).await.status, 404);
    assert_eq!(ada.get(&format!("{way}&x=1")).await.status, 404);
    for odd in ["since=x", "of=nobody", "since=99", "since=0", "since=-1"] {
        let status = ada
            .get(&format!("{source}/revisions/3/changes?{odd}"))
            .await
            .status;
        assert!(matches!(status, 400 | 404), "{odd}: {status}");
    }
}

#[tokio::test]
async fn what_is_new_in_it_stands_on_one_line() {
    let (_club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Spiced")]).await;
    let form = ada.get(&format!("{sheet}/edit")).await;
    let form = ada
        .submit(&form, "Add fruit, juice, spice or anything else", &[])
        .await;
    let fields = [
        ("Ingredient, Ingredient 1", "cinnamon"),
        ("Amount, Ingredient 1", "0.5 g/L"),
    ];
    let done = ada.submit(&form, "Save as revision 2", &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = ada.get(&format!("{sheet}/revisions/2/changes")).await;
    let rows = steps(&page);
    assert_eq!(rows.len(), 1, "{rows:#?}");
    assert!(
        rows[0].starts_with("Fruit and othersnoneCinnamon"),
        "{rows:#?}"
    );
    assert!(
        rows[0].contains("0.5 g/L") && rows[0].contains("style from"),
        "{rows:#?}"
    );
}
