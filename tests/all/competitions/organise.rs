//! A competition is prepared, opened and moved on: what each step demands, and what others do not see of it.

use std::sync::Arc;

use chrono::{TimeZone, Utc};
use mustwright::competitions::model::{Duty, Phase};
use mustwright::web::viewer::Role;

use super::building::{Held, a_competition};
use crate::support::{Browser, Club, Page, Person, a_keeper, a_member};

/// An organiser of the club, signed in.
pub async fn organiser(club: &Club) -> (Person, Browser) {
    let person = a_member().named("Orla").being(Role::Organiser);
    let person = person.of(club).await;
    let browser = club.browser_of(&person).await;
    (person, browser)
}

/// Presses a button of the page of where it stands.
pub async fn steps(browser: &Browser, held: &Held, button: &str) -> Page {
    let page = browser.get(&format!("{}/phase", held.path)).await;
    browser.submit(&page, button, &[]).await
}

#[tokio::test]
async fn a_draft_is_seen_by_its_organisers_alone() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let draft = a_competition()
        .in_phase(Phase::Draft)
        .with(&bo, Duty::Judge)
        .of(&club, &ada)
        .await;
    let (ada, bo) = (club.browser_of(&ada).await, club.browser_of(&bo).await);
    let lists = ["/competitions", "/club", "/"];
    assert_eq!(ada.get(&draft.path).await.status, 200);
    assert_eq!(bo.get(&draft.path).await.status, 404);
    for list in lists {
        let seen = |page: Page| page.text.contains("Autumn meads");
        assert!(seen(ada.get(list).await), "{list}");
        assert!(!seen(bo.get(list).await), "{list}");
    }
    draft.stands_in(&club, Phase::Open).await;
    assert_eq!(bo.get(&draft.path).await.status, 200);
    for list in lists {
        assert!(bo.get(list).await.text.contains("Autumn meads"), "{list}");
    }
}

#[tokio::test]
async fn what_is_due_stands_first_on_a_competitions_page() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let sten = a_member().named("Sten").of(&club).await;
    let held = a_competition()
        .with(&bo, Duty::Judge)
        .with(&sten, Duty::Steward)
        .of(&club, &ada)
        .await;
    let browsers = [
        club.browser_of(&ada).await,
        club.browser_of(&bo).await,
        club.browser_of(&sten).await,
    ];
    // As organiser, judge and steward find it.
    let first = [
        (Phase::Open, ["Enter a mead"; 3]),
        (Phase::Closed, ["The desk", "Your entries", "The desk"]),
        (Phase::Received, ["Flights", "Your glasses", "Flights"]),
        (Phase::Judging, ["The queue", "Your glasses", "The queue"]),
        (
            Phase::Review,
            [
                "Look through sheets and results",
                "Your entries",
                "Your entries",
            ],
        ),
        (Phase::Released, ["Results"; 3]),
    ];
    for (phase, wanted) in first {
        held.stands_in(&club, phase).await;
        for (browser, words) in browsers.iter().zip(wanted) {
            let page = browser.get(&held.path).await;
            assert_eq!(page.words_of("h2").as_deref(), Some(words), "{phase:?}");
        }
    }
}

#[tokio::test]
async fn an_organiser_prepares_one_and_opens_it() {
    let club = Club::open().await;
    let (_, orla) = organiser(&club).await;
    let list = orla.get("/competitions").await;
    assert!(list.text.contains("Prepare a competition"), "{}", list.text);
    let form = orla.get("/competitions/new").await;
    let none = orla.submit(&form, "Make the draft", &[]).await;
    assert_eq!(none.status, 422);
    let title = none.words_of("title").expect("a title");
    assert!(title.starts_with("Error: "), "{title}");
    let named = [("What it is called", "Spring meads")];
    let done = orla.submit(&form, "Make the draft", &named).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let path = done.location().expect("a page").to_owned();
    // The same form again makes no second one.
    let again = orla.submit(&form, "Make the draft", &named).await;
    assert_eq!(again.location(), Some(path.as_str()));

    // It does not open while something is missing.
    let page = orla.get(&format!("{path}/phase")).await;
    assert!(
        page.text.contains("from which public number"),
        "{}",
        page.text
    );
    assert!(!page.has_button("Open it for entries"), "{}", page.text);
    let rules = orla.get(&format!("{path}/rules/tables")).await;
    let lottery = "the lottery of the Saturday after";
    let typed = [("The public number of a draw", lottery)];
    let saved = orla.submit(&rules, "Save", &typed).await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    let read = orla.get(&format!("{path}/rules")).await;
    assert!(read.text.contains(lottery));

    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    assert_eq!(bo.get(&path).await.status, 404);
    let page = orla.get(&format!("{path}/phase")).await;
    let opened = orla.submit(&page, "Open it for entries", &[]).await;
    assert_eq!(opened.location(), Some(path.as_str()));
    assert_eq!(bo.get(&path).await.status, 200);
    let read = bo.get(&format!("{path}/rules")).await;
    assert!(read.text.contains("Plain honey, light"), "{}", read.text);
    assert!(!read.text.contains("/rules/tables"), "{}", read.text);
    // A form that was open all the while sets no rule any more.
    let late = orla
        .submit(&rules, "Save", &[("Rest between two flights", "5")])
        .await;
    assert_eq!(late.status, 409, "{}", late.text);
}

#[tokio::test]
async fn rules_and_categories_of_an_earlier_one_are_taken_over_without_its_days() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    a_competition()
        .called("Spring meads")
        .in_phase(Phase::Archived)
        .ruled(|rules| {
            rules.most_per_member = Some(4);
            rules.closes_on = Some("2020-05-01".to_owned());
        })
        .of(&club, &person)
        .await;
    let form = orla.get("/competitions/new").await;
    let (_, fields) = form.filled("Make the draft", &[]);
    assert!(fields.iter().any(|(name, _)| name == "from"));
    let html = form.text.clone();
    let at = html.find("those of Spring meads").expect("an option");
    let before = &html[..at];
    let value = before.rsplit("value=\"").next().expect("its value");
    let value = value.split('"').next().expect("its end").to_owned();
    let typed = [
        ("What it is called", "Autumn meads"),
        ("Rules and categories to start from", value.as_str()),
    ];
    let done = orla.submit(&form, "Make the draft", &typed).await;
    let path = done.location().expect("a page").to_owned();
    let days = orla.get(&format!("{path}/rules/days")).await;
    assert_eq!(days.value("Entries of one member, at most"), "4");
    assert_eq!(days.value("The last day to enter"), "");
}

#[tokio::test]
async fn two_who_set_the_rules_at_once_both_see_both_texts() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let draft = a_competition()
        .in_phase(Phase::Draft)
        .of(&club, &person)
        .await;
    let path = format!("{}/rules/days", draft.path);
    let (one, other) = (orla.get(&path).await, orla.get(&path).await);
    let prize = "What one can win";
    let done = orla
        .submit(&one, "Save", &[(prize, "A jar of heather")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    let lost = orla.submit(&other, "Save", &[(prize, "A carboy")]).await;
    assert_eq!(lost.status, 409);
    assert!(lost.text.contains("A jar of heather"), "{}", lost.text);
    assert_eq!(lost.value(prize), "A carboy");
    let done = orla.submit(&lost, "Save", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let read = orla.get(&format!("{}/rules", draft.path)).await;
    assert!(read.text.contains("A carboy"));
    // Faults come back beside their fields, with what was typed.
    let form = orla.get(&path).await;
    let faulty = orla
        .submit(&form, "Save", &[("Bottles of an entry", "none")])
        .await;
    assert_eq!(faulty.status, 422);
    assert!(faulty.fault("Bottles of an entry").contains("whole number"));
    assert_eq!(faulty.value("Bottles of an entry"), "none");
}

#[tokio::test]
async fn the_sheet_can_take_the_published_weights() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let draft = a_competition()
        .in_phase(Phase::Draft)
        .of(&club, &person)
        .await;
    let form = orla.get(&format!("{}/rules/sheet", draft.path)).await;
    orla.submit(&form, "Take the published weights", &[]).await;
    let read = orla.get(&format!("{}/rules", draft.path)).await;
    let cells = crate::recipes::all_words(&read, "table tbody td:nth-child(2)");
    assert_eq!(cells, ["10", "6", "24", "10"]);
    assert!(read.text.contains("published contest practice"));
}

#[tokio::test]
async fn categories_are_added_changed_moved_and_taken_out() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let draft = a_competition()
        .in_phase(Phase::Draft)
        .of(&club, &person)
        .await;
    let path = format!("{}/categories", draft.path);
    let names = |page: &Page| crate::recipes::all_words(page, ".entries h3");
    let page = orla.get(&path).await;
    assert_eq!(names(&page).len(), 12);
    let add = [
        ("What it is called", "Oak"),
        ("What belongs in it", "Aged on it."),
    ];
    let done = orla.submit(&page, "Add it", &add).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = orla.get(&path).await;
    let twice = orla.submit(&page, "Add it", &add).await;
    assert_eq!(twice.status, 422);
    assert!(twice.fault("What it is called").contains("already"));
    orla.submit(&page, "Up Oak", &[]).await;
    let page = orla.get(&path).await;
    assert_eq!(names(&page)[11], "Oak");
    // A list that is old moves nothing else.
    let (at, _) = page.filled("Up Oak", &[]);
    orla.submit(&page, "Up Oak", &[]).await;
    let stale = orla.post(&at, &[("named", "Oak")]).await;
    assert_eq!(stale.status, 409);
    let page = orla.get(&path).await;
    assert_eq!(names(&page)[10], "Oak");
    let edit = orla.get(&page.link("Oak").expect("a link")).await;
    let done = orla
        .submit(&edit, "Save", &[("What it is called", "Oak and age")])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    // Whoever had it open before sees both.
    let lost = orla
        .submit(&edit, "Save", &[("What it is called", "Barrels")])
        .await;
    assert_eq!(lost.status, 409);
    assert!(lost.text.contains("Oak and age"), "{}", lost.text);
    let page = orla.get(&path).await;
    orla.submit(&page, "Take out Oak and age", &[]).await;
    let page = orla.get(&path).await;
    assert_eq!(names(&page).len(), 12);
    assert!(!names(&page).contains(&"Oak and age".to_owned()));
}

#[tokio::test]
async fn it_closes_the_day_after_the_last_day_and_not_before() {
    let noon = Utc.with_ymd_and_hms(2030, 7, 12, 12, 0, 0).unwrap();
    let club = Club::standing_at(noon, &[]).await;
    let (person, orla) = organiser(&club).await;
    let open = a_competition()
        .ruled(|rules| rules.closes_on = Some("2030-07-12".to_owned()))
        .of(&club, &person)
        .await;
    let page = orla.get(&format!("{}/phase", open.path)).await;
    assert!(
        page.text.contains("close it the day after"),
        "{}",
        page.text
    );
    assert!(!page.has_button("Close it for entries"));
    // The button, kept from elsewhere, does no more.
    let other = orla.get("/competitions/new").await;
    let once = other.hidden("once").expect("a key");
    let fields = [("once", once.as_str()), ("seen", "open")];
    let refused = orla.post(&format!("{}/phase", open.path), &fields).await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert_eq!(open.phase(&club).await, "open");
    club.app.clock.move_to(noon + chrono::TimeDelta::days(1));
    let done = steps(&orla, &open, "Close it for entries").await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(open.phase(&club).await, "closed");
}

#[tokio::test]
async fn bottles_hold_the_next_step_until_each_is_told_of_and_looked_at() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let closed = a_competition()
        .in_phase(Phase::Closed)
        .of(&club, &person)
        .await;
    let entry = closed.entry_of(&club, &bo, 0, "AX234").await;
    let missing = async || {
        let page = orla.get(&format!("{}/phase", closed.path)).await;
        crate::recipes::all_words(&page, "#missing li").len()
    };
    assert_eq!(missing().await, 1);
    let set = async |sql: &'static str| {
        let done = sqlx::query(sql).bind(entry.id).execute(club.pool()).await;
        done.expect("a change");
    };
    set("update competition_entries set arrival = 'here' where id = $1").await;
    assert_eq!(missing().await, 1);
    set("update competition_entries set checked_at = now() where id = $1").await;
    assert_eq!(missing().await, 0);
    let done = steps(&orla, &closed, "End the taking in of bottles").await;
    assert_eq!(done.status, 303, "{}", done.text);
    // Then a flight that holds it, with somebody at the table.
    assert_eq!(missing().await, 2);
}

#[tokio::test]
async fn one_step_back_takes_a_reason_and_what_is_out_stays_out() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let held = a_competition()
        .in_phase(Phase::Closed)
        .of(&club, &person)
        .await;
    let back = "Go back: open for entries";
    let none = steps(&orla, &held, back).await;
    assert_eq!(none.status, 422);
    assert_ne!(none.fault("Why it goes back"), "");
    let reason = [("Why it goes back", "The post was late everywhere")];
    let page = orla.get(&format!("{}/phase", held.path)).await;
    let done = orla.submit(&page, back, &reason).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(held.phase(&club).await, "open");
    let deeds = orla.get(&format!("{}/deeds", held.path)).await;
    assert!(deeds.text.contains("The post was late everywhere"));
    for (phase, has_back) in [
        (Phase::Open, false),
        (Phase::Review, true),
        (Phase::Released, false),
        (Phase::Archived, false),
    ] {
        held.stands_in(&club, phase).await;
        let page = orla.get(&format!("{}/phase", held.path)).await;
        assert_eq!(
            page.text.contains("Why it goes back"),
            has_back,
            "{phase:?}"
        );
    }
    // A page that is older than the phase moves nothing.
    held.stands_in(&club, Phase::Review).await;
    let page = orla.get(&format!("{}/phase", held.path)).await;
    held.stands_in(&club, Phase::Judging).await;
    let stale = orla.submit(&page, "Go back: being judged", &reason).await;
    assert_eq!(stale.status, 409, "{}", stale.text);
    assert_eq!(held.phase(&club).await, "judging");
}

#[tokio::test]
async fn twenty_at_once_take_one_step() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let held = a_competition().of(&club, &person).await;
    let orla = Arc::new(orla);
    let mut pages = Vec::new();
    for _ in 0..20 {
        pages.push(orla.get(&format!("{}/phase", held.path)).await);
    }
    let mut tabs = tokio::task::JoinSet::new();
    for page in pages {
        let orla = orla.clone();
        tabs.spawn(async move {
            let done = orla.submit(&page, "Close it for entries", &[]).await;
            done.status
        });
    }
    let mut statuses = tabs.join_all().await;
    statuses.sort_unstable();
    assert_eq!(statuses[0], 303);
    assert!(
        statuses[1..].iter().all(|status| *status == 409),
        "{statuses:?}"
    );
    assert_eq!(held.phase(&club).await, "closed");
}

#[tokio::test]
async fn what_organisers_do_is_not_there_for_anybody_else() {
    let club = Club::open().await;
    let (person, orla) = organiser(&club).await;
    let bo = a_member().named("Bo").of(&club).await;
    let wren = a_keeper().of(&club).await;
    let held = a_competition()
        .with(&bo, Duty::Judge)
        .of(&club, &person)
        .await;
    let (bo, wren) = (club.browser_of(&bo).await, club.browser_of(&wren).await);
    for part in ["phase", "roster", "deeds", "categories", "rules/days"] {
        let path = format!("{}/{part}", held.path);
        assert!([200, 303].contains(&orla.get(&path).await.status), "{part}");
        assert_eq!(bo.get(&path).await.status, 404, "{part}");
        assert_eq!(wren.get(&path).await.status, 404, "{part}");
    }
    // A keeper steps in with a reason, and then is one.
    let page = wren.get(&held.path).await;
    let form = page.link("Step in as organiser").expect("a way");
    let form = wren.get(&form).await;
    assert_eq!(wren.submit(&form, "Step in", &[]).await.status, 422);
    let why = [("Why you step in", "Orla is in hospital")];
    assert_eq!(wren.submit(&form, "Step in", &why).await.status, 303);
    assert_eq!(wren.get(&format!("{}/phase", held.path)).await.status, 200);
    let deeds = orla.get(&format!("{}/deeds", held.path)).await;
    assert!(deeds.text.contains("Orla is in hospital"));
    let stepping = format!("{}/step-in", held.path);
    assert_eq!(bo.get(&stepping).await.status, 404);
    assert_eq!(orla.get(&stepping).await.status, 404);
}
