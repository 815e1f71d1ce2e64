//! Comments: written once, edited with a history, removed so that their place stays; none of their text lost.

use mustwright::web::units::Units;
use sqlx::Executor;

use super::super::{all_words, another, count, edited};
use super::{POST, WORDS, a_shared_recipe, comment, comments_of};
use crate::recipe_database::code_of;
use crate::support::{PASSWORD, a_keeper};

const SAVE: &str = "Save these words";

#[tokio::test]
async fn a_comment_is_written_in_markdown_and_counted() {
    let (_club, ada, bo, sheet) = a_shared_recipe().await;
    assert!(ada.get(&sheet).await.text.contains("No comments yet"));
    let page = comment(&bo, &sheet, "Two *things*:\n\n- feed it\n- wait").await;
    assert!(page.text.contains("Your comment stands below."));
    let shown = ada.get(&sheet).await;
    assert!(shown.text.contains("1 comment<"));
    assert!(shown.text.contains("<p>Two <em>things</em>:</p>"));
    assert_eq!(all_words(&shown, ".said li"), ["feed it", "wait"]);
    let by = all_words(&shown, ".comments .meta");
    assert!(by[0].starts_with("Bo, "), "{by:?}");
}

#[tokio::test]
async fn a_double_click_is_one_comment() {
    let (club, _, bo, sheet) = a_shared_recipe().await;
    let page = bo.get(&sheet).await;
    let first = bo.submit(&page, POST, &[(WORDS, "once")]).await;
    let second = bo.submit(&page, POST, &[(WORDS, "once")]).await;
    assert_eq!((first.status, second.status), (303, 303));
    assert_eq!(first.location(), second.location());
    assert_eq!(
        count(&club, "select count(*) from recipe_comments").await,
        1
    );
    // The same form with other words is not dropped.
    let other = bo.submit(&page, POST, &[(WORDS, "and more")]).await;
    assert_eq!(other.status, 409);
    assert!(other.text.contains("and more"));
}

#[tokio::test]
async fn it_may_speak_of_a_revision() {
    let (_club, ada, bo, sheet) = a_shared_recipe().await;
    edited(&ada, &sheet, 2, &[("Name", "Shared again")]).await;
    let old = bo.get(&format!("{sheet}/revisions/1")).await;
    assert_eq!(old.value("They speak of"), "1");
    bo.submit(&old, POST, &[(WORDS, "the first was better")])
        .await;
    let new = bo.get(&sheet).await;
    assert_eq!(new.value("They speak of"), "");
    bo.submit(&new, POST, &[(WORDS, "all of it")]).await;
    let by = all_words(&ada.get(&sheet).await, ".comments .meta");
    assert!(by[1].contains("on revision 1"), "{by:?}");
    assert!(!by[0].contains("revision"), "{by:?}");
    let new = bo.get(&sheet).await;
    let (_, mut fields) = new.filled(POST, &[(WORDS, "of none")]);
    for (name, text) in &mut fields {
        if name == "about" {
            *text = "7".to_owned();
        }
    }
    let forged = bo
        .post(
            &format!("{sheet}/comments"),
            &super::super::as_pairs(&fields),
        )
        .await;
    assert_eq!(forged.status, 404);
}

#[tokio::test]
async fn faults_stand_beside_the_words_and_nothing_is_lost() {
    let (club, _, bo, sheet) = a_shared_recipe().await;
    let page = bo.get(&sheet).await;
    let empty = bo.submit(&page, POST, &[(WORDS, " \n ")]).await;
    assert_eq!(empty.status, 422);
    assert_eq!(empty.fault(WORDS), "Write what you want to say.");
    let long = "wort & <must> ".repeat(400);
    let refused = bo.submit(&page, POST, &[(WORDS, &long)]).await;
    assert_eq!(refused.status, 422);
    assert!(
        refused.fault(WORDS).contains("it has 5599"),
        "{}",
        refused.fault(WORDS)
    );
    assert_eq!(refused.value(WORDS).trim_start_matches('\n'), long);
    let mut owner = club.database.owner().await;
    owner
        .execute("delete from sessions")
        .await
        .expect("it ends");
    let stopped = bo.submit(&page, POST, &[(WORDS, "kept & <carried>")]).await;
    assert_eq!(stopped.status, 401);
    let credentials = [("Name", "Bo"), ("Password", PASSWORD)];
    let shown = bo.submit(&stopped, "Sign in", &credentials).await;
    let sent = bo.submit(&shown, "Send again", &[]).await;
    assert_eq!(sent.status, 303, "{}", sent.text);
    assert!(
        bo.follow(sent)
            .await
            .text
            .contains("kept &amp; &lt;carried&gt;")
    );
}

#[tokio::test]
async fn an_edit_keeps_the_earlier_words() {
    let (club, ada, bo, sheet) = a_shared_recipe().await;
    let page = comment(&bo, &sheet, "too sweet").await;
    let id = comments_of(&page)[0].clone();
    let path = format!("{sheet}/comments/{id}");
    let form = bo.get(&format!("{path}/edit")).await;
    assert_eq!(form.value(WORDS).trim(), "too sweet");
    let faulty = bo.submit(&form, SAVE, &[(WORDS, "")]).await;
    assert_eq!(
        (faulty.status, faulty.fault(WORDS).as_str()),
        (422, "Write what you want to say.")
    );
    let done = bo.submit(&form, SAVE, &[(WORDS, "just right")]).await;
    assert_eq!(done.status, 303);
    let shown = ada.get(&sheet).await;
    assert_eq!(all_words(&shown, ".said"), ["just right"]);
    assert!(shown.text.contains("edited "));
    let earlier = ada.get(&format!("{path}/earlier")).await;
    assert_eq!(all_words(&earlier, ".said"), ["just right", "too sweet"]);
    // Nobody else has a form for it.
    for path in [format!("{path}/edit"), format!("{path}/edit?x=1")] {
        assert_eq!(ada.get(&path).await.status, 404);
    }
    // The same words sent again change nothing.
    let again = bo.submit(&form, SAVE, &[(WORDS, "just right")]).await;
    assert_eq!(again.status, 303);
    // Other words from the page as it was meet what was saved since.
    let late = bo
        .submit(&form, SAVE, &[(WORDS, "from the other tab")])
        .await;
    assert_eq!(late.status, 409);
    assert_eq!(all_words(&late, ".said"), ["just right"]);
    assert_eq!(late.value(WORDS).trim(), "from the other tab");
    let done = bo.submit(&late, SAVE, &[]).await;
    assert_eq!(done.status, 303);
    assert_eq!(
        all_words(&ada.get(&sheet).await, ".said"),
        ["from the other tab"]
    );
    assert_eq!(
        count(&club, "select count(*) from recipe_comment_words").await,
        3
    );
    let mut owner = club.database.owner().await;
    for statement in [
        "update recipe_comment_words set words = 'other'",
        "delete from recipe_comment_words",
        "truncate recipe_comment_words cascade",
    ] {
        let fault = owner.execute(statement).await.expect_err(statement);
        assert_eq!(code_of(&fault), "23001", "{statement}");
    }
}

#[tokio::test]
async fn writer_owner_and_keeper_remove_it_and_nobody_else() {
    let (club, ada, bo, sheet) = a_shared_recipe().await;
    let cy = another(&club, "Cy", Units::Metric).await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    for (remover, line) in [
        (&bo, "Removed by its writer."),
        (&ada, "Removed by the recipe’s owner."),
        (&wren, "Removed by a keeper."),
    ] {
        let page = comment(&bo, &sheet, "words that hurt").await;
        let id = comments_of(&page)[0].clone();
        let path = format!("{sheet}/comments/{id}");
        // Somebody else has no button, and no way by hand.
        assert!(!cy.get(&sheet).await.text.contains(&format!("{id}/remove")));
        assert_eq!(cy.post(&format!("{path}/remove"), &[]).await.status, 404);
        assert!(
            remover
                .get(&sheet)
                .await
                .text
                .contains(&format!("{id}/remove"))
        );
        let done = remover.post(&format!("{path}/remove"), &[]).await;
        assert_eq!(done.status, 303, "{line}");
        for reader in [&ada, &cy, &wren] {
            let shown = reader.get(&sheet).await;
            assert!(!shown.text.contains("words that hurt"), "{line}");
            assert!(shown.text.contains(line), "{line}");
            assert_eq!(reader.get(&format!("{path}/earlier")).await.status, 404);
        }
        // Its writer alone still reads it, and does not bring it back.
        let own = bo.get(&format!("{path}/earlier")).await;
        assert!(own.text.contains("words that hurt"));
        assert_eq!(bo.get(&format!("{path}/edit")).await.status, 404);
        assert!(cy.get(&sheet).await.text.contains("No comments yet"));
        // Whoever comes second changes nothing about who removed it.
        wren.post(&format!("{path}/remove"), &[]).await;
        assert!(cy.get(&sheet).await.text.contains(line));
    }
}

#[tokio::test]
async fn the_newest_come_first_and_older_ones_page_by_page() {
    let (_club, _, bo, sheet) = a_shared_recipe().await;
    for number in 1..=23 {
        comment(&bo, &sheet, &format!("number {number}.")).await;
    }
    let mut found = Vec::new();
    let mut page = bo.get(&sheet).await;
    loop {
        found.extend(all_words(&page, ".said"));
        let Some(next) = page.link("Older comments") else {
            break;
        };
        // One more meanwhile moves nothing.
        if found.len() == 10 {
            comment(&bo, &sheet, "number 24.").await;
        }
        page = bo.get(&next).await;
        assert_eq!(page.status, 200);
    }
    let wanted: Vec<String> = (1..=23)
        .rev()
        .map(|number| format!("number {number}."))
        .collect();
    assert_eq!(found, wanted);
    let odd = bo.get(&format!("{sheet}/opinions?before=nothing")).await;
    assert_eq!(odd.status, 200);
}
