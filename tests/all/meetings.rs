//! Meetings: who calls them, when they are for whom, what is poured and in which order, and what somebody must beware of.

use mustwright::web::viewer::Settings;

use crate::recipes::{all_words, saved};
use crate::support::{Browser, Club, Page, a_keeper, a_member};

/// Calls a meeting; gives its page.
async fn called(browser: &Browser, labelled: &[(&str, &str)]) -> String {
    let form = browser.get("/club/meetings/new").await;
    let usual = [
        ("What it is called", "Long tasting"),
        ("Day", "2030-07-12"),
        ("Time", "19:30"),
    ];
    let labelled: Vec<_> = usual.iter().chain(labelled).copied().collect();
    let done = browser.submit(&form, "Call it", &labelled).await;
    assert_eq!(done.status, 303, "{}", done.text);
    done.location()
        .unwrap()
        .split('?')
        .next()
        .unwrap()
        .to_owned()
}

async fn bring(browser: &Browser, meeting: &str, labelled: &[(&str, &str)]) -> Page {
    let page = browser.get(meeting).await;
    browser.submit(&page, "Put it down", labelled).await
}

fn poured(page: &Page) -> Vec<String> {
    all_words(page, "#pouring tbody th")
}

#[tokio::test]
async fn each_member_reads_the_hour_of_their_own_clock() {
    let club = Club::open().await;
    let zoned = |zone| Settings {
        zone,
        ..Settings::default()
    };
    let ada = a_member()
        .with(zoned(chrono_tz::Europe::Copenhagen))
        .of(&club)
        .await;
    let bo = a_member()
        .named("Bo")
        .with(zoned(chrono_tz::Europe::London))
        .of(&club)
        .await;
    let (ada, bo) = (club.browser_of(&ada).await, club.browser_of(&bo).await);
    let meeting = called(&ada, &[("Where, may be left empty", "The hall; upstairs")]).await;
    let lead = |page: &Page| page.words_of(".lead").unwrap();
    assert_eq!(
        lead(&ada.get(&meeting).await),
        "Friday 12 July 2030, 19:30, The hall; upstairs."
    );
    assert_eq!(
        lead(&bo.get(&meeting).await),
        "Friday 12 July 2030, 18:30, The hall; upstairs."
    );
    let file = bo.get(&format!("{meeting}/meeting.ics")).await;
    assert!(file.header("content-type").starts_with("text/calendar"));
    assert!(
        file.text.contains("DTSTART:20300712T173000Z\r\n"),
        "{}",
        file.text
    );
    assert!(file.text.contains("LOCATION:The hall\\; upstairs\r\n"));
    let edit = ada.get(&format!("{meeting}/edit")).await;
    assert_eq!(
        (edit.value("Day"), edit.value("Time")),
        ("2030-07-12".into(), "19:30".into())
    );
}

#[tokio::test]
async fn faults_of_a_call_stand_beside_their_fields() {
    let club = Club::open().await;
    let browser = club.browser_of(&a_member().of(&club).await).await;
    let form = browser.get("/club/meetings/new").await;
    let labelled = [
        ("What it is called", ""),
        ("Day", "some day"),
        ("Time", "late"),
    ];
    let page = browser.submit(&form, "Call it", &labelled).await;
    assert_eq!(page.status, 422);
    assert!(
        page.fault("What it is called")
            .starts_with("Write what it is called")
    );
    assert!(page.fault("Day").starts_with("Write the day"));
    assert!(page.fault("Time").starts_with("Write the time of day"));
    assert_eq!(page.value("Day"), "some day");
}

#[tokio::test]
async fn who_comes_is_told_and_the_last_answer_counts() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let meeting = called(&ada, &[]).await;
    for (browser, words) in [(&ada, "I come"), (&bo, "perhaps"), (&bo, "not this time")] {
        let page = browser.get(&meeting).await;
        let done = browser.submit(&page, "Answer", &[(words, "")]).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    let page = ada.get(&meeting).await;
    let told = all_words(&page, ".pairs dt, .pairs dd");
    assert_eq!(told, ["come", "Ada", "not this time", "Bo"]);
    assert_eq!(
        ada.post(&format!("{meeting}/answer"), &[("coming", "maybe")])
            .await
            .status,
        400
    );
}

#[tokio::test]
async fn it_is_poured_dry_to_sweet_unless_its_caller_says_otherwise() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let meeting = called(&ada, &[]).await;
    for (name, strength, gravity) in [
        ("Strong and sweet", "13", "1.030"),
        ("Weak and sweet", "8", "1.028"),
        ("Weak and dry", "6", ""),
    ] {
        let mut labelled = vec![
            ("Name", name),
            ("Strength, in percent by volume", strength),
            ("Who may see it", "club"),
        ];
        if !gravity.is_empty() {
            labelled.extend([("How it ends", "sweeten"), ("Gravity at the end", gravity)]);
        }
        let sheet = saved(&bo, &labelled).await;
        let id = sheet.rsplit('/').next().unwrap();
        let done = bring(&bo, &meeting, &[("A recipe", id)]).await;
        assert_eq!(done.status, 303, "{}", done.text);
    }
    let done = bring(
        &ada,
        &meeting,
        &[("In your own words", "a semi-sweet almond mead")],
    )
    .await;
    assert_eq!(done.status, 303);
    let page = ada.get(&meeting).await;
    let suggested = [
        "Weak and dry revision 1",
        "a semi-sweet almond mead",
        "Weak and sweet revision 1",
        "Strong and sweet revision 1",
    ];
    assert_eq!(poured(&page), suggested);
    let row = all_words(&page, "#pouring tbody tr").remove(1);
    assert!(row.contains("holds nuts"), "the allergen is told: {row}");
    assert!(page.text.contains("no allergen named"));
    // Only who called it moves anything.
    assert!(!bo.get(&meeting).await.has_button("up: Weak and dry"));
    let moved = ada.submit(&page, "up: Strong and sweet", &[]).await;
    assert_eq!(moved.status, 303, "{}", moved.text);
    let page = ada.get(&meeting).await;
    assert_eq!(poured(&page)[2], "Strong and sweet revision 1");
    let list = bo.get(&format!("{meeting}/pouring")).await;
    assert!(all_words(&list, ".pouring tbody th")[2].starts_with("Strong and sweet"));
    bring(&bo, &meeting, &[("In your own words", "something dry")]).await;
    let page = ada.get(&meeting).await;
    assert_eq!(
        poured(&page)[4],
        "something dry",
        "what comes later stands behind"
    );
    let back = ada.submit(&page, "Pour as suggested again", &[]).await;
    assert_eq!(back.status, 303);
    assert_eq!(
        poured(&ada.get(&meeting).await)[..2],
        ["Weak and dry revision 1", "something dry"]
    );
}

#[tokio::test]
async fn a_private_recipe_on_the_list_is_read_by_name_and_opened_by_its_maker_alone() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let meeting = called(&ada, &[]).await;
    let sheet = saved(&bo, &[("Name", "Kept close")]).await;
    let id = sheet.rsplit('/').next().unwrap();
    let refused = bring(&ada, &meeting, &[("A recipe", id)]).await;
    assert_eq!(refused.status, 422, "not hers to see");
    let none = bring(
        &bo,
        &meeting,
        &[("A recipe", id), ("Revision, may be left empty", "7")],
    )
    .await;
    assert!(none.fault("A recipe").contains("one of its revisions"));
    bring(&bo, &meeting, &[("A recipe", id)]).await;
    assert_eq!(poured(&bo.get(&meeting).await), ["Kept close revision 1"]);
    let page = ada.get(&meeting).await;
    assert_eq!(poured(&page), ["Kept close"]);
    assert!(!page.text.contains(id));
}

#[tokio::test]
async fn who_called_it_changes_it_and_a_keeper_calls_it_off() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let bo = club
        .browser_of(&a_member().named("Bo").of(&club).await)
        .await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let meeting = called(&ada, &[]).await;
    bring(&ada, &meeting, &[("In your own words", "hers")]).await;
    bring(&bo, &meeting, &[("In your own words", "his")]).await;
    let pours: Vec<String> = sqlx::query_scalar("select public_id from meeting_pours order by id")
        .fetch_all(club.pool())
        .await
        .unwrap();
    for other in [&bo, &wren] {
        assert_eq!(other.get(&format!("{meeting}/edit")).await.status, 404);
        for act in ["edit", "pours/suggested"] {
            assert_eq!(
                other.post(&format!("{meeting}/{act}"), &[]).await.status,
                404,
                "{act}"
            );
        }
        let up = [("way", "up")];
        let page = other
            .post(&format!("{meeting}/pours/{}/move", pours[1]), &up)
            .await;
        assert_eq!(page.status, 404);
    }
    assert_eq!(
        bo.post(&format!("{meeting}/pours/{}/remove", pours[0]), &[])
            .await
            .status,
        404
    );
    assert_eq!(
        bo.post(&format!("{meeting}/pours/{}/remove", pours[1]), &[])
            .await
            .status,
        303
    );
    assert_eq!(bo.post(&format!("{meeting}/cancel"), &[]).await.status, 404);

    let edit = ada.get(&format!("{meeting}/edit")).await;
    let notes = [(
        "Notes afterwards",
        "The second was the best.\n\n<b>All</b> agreed.",
    )];
    assert_eq!(ada.submit(&edit, "Save", &notes).await.status, 303);
    let page = bo.get(&meeting).await;
    assert!(
        page.text.contains("&lt;b&gt;All") || page.text.contains("&#60;b&#62;All"),
        "escaped"
    );
    let stale = ada
        .submit(&edit, "Save", &[("Notes afterwards", "Nobody agreed.")])
        .await;
    assert_eq!(stale.status, 409);
    assert!(all_words(&stale, "#meanwhile tbody tr")[0].ends_with("Nobody agreed."));

    let form = bo.get(&meeting).await;
    let page = wren.get(&meeting).await;
    assert_eq!(wren.submit(&page, "Call it off", &[]).await.status, 303);
    let late = bo
        .submit(&form, "Put it down", &[("In your own words", "late")])
        .await;
    assert_eq!(late.status, 409);
    assert!(bo.get(&meeting).await.text.contains("Called off."));
    assert!(
        ada.get(&format!("{meeting}/meeting.ics"))
            .await
            .text
            .contains("STATUS:CANCELLED")
    );
}
