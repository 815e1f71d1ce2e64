//! From review to results: what organisers look at, what is frozen, what everybody reads and anybody reckons again.

use mustwright::competitions::model::{Duty, Phase};
use mustwright::engine::contest::draw::{rounds, sha256};
use mustwright::engine::contest::rules::{Rules, Tie};

use super::building::{Held, PutIn, a_competition};
use super::judged::{a_sheet, agreed, an_agreement, ordered, wrote_sheet};
use crate::support::{Browser, Club, Page, Person, a_member};

/// A competition in review: two tables and a final in the first category, one table in the second, and a best of the show.
pub struct Judged {
    pub held: Held,
    pub orla: Person,
    pub ada: Person,
    pub bo: Person,
    pub june: Person,
    pub jack: Person,
    pub entries: Vec<PutIn>,
    pub flights: Vec<i64>,
}

const CODES: [&str; 5] = ["AC234", "EF345", "HJ456", "KL567", "MN678"];

/// Makes it, under these rules.
pub async fn judged(club: &Club, rules: impl FnOnce(&mut Rules)) -> Judged {
    let people = ["Orla", "Ada", "Bo", "June", "Jack"];
    let mut all = Vec::new();
    for name in people {
        all.push(a_member().named(name).of(club).await);
    }
    let [orla, ada, bo, june, jack]: [Person; 5] = all.try_into().expect("five people");
    let held = a_competition()
        .in_phase(Phase::Review)
        .ruled(rules)
        .with(&june, Duty::Judge)
        .with(&jack, Duty::Judge)
        .of(club, &orla)
        .await;
    let mut entries = Vec::new();
    for (at, code) in CODES.into_iter().enumerate() {
        let maker = if at % 2 == 0 { &ada } else { &bo };
        let category = usize::from(at == 4);
        entries.push(held.entry_of(club, maker, category, code).await);
    }
    let table = [&june, &jack];
    let [one, two, three, four, five] = [0, 1, 2, 3, 4].map(|at| &entries[at]);
    let mut flights = vec![
        held.flight(club, (1, "first", Some(0)), &[one, two], &table)
            .await,
        held.flight(club, (2, "first", Some(0)), &[three, four], &table)
            .await,
        held.flight(club, (3, "first", Some(1)), &[five], &table)
            .await,
    ];
    for (flight, of) in [
        (0, vec![(one, 40), (two, 30)]),
        (1, vec![(three, 25), (four, 20)]),
        (2, vec![(five, 35)]),
    ] {
        for (entry, total) in &of {
            for (judge, more) in [(&june, 0), (&jack, 2)] {
                let sheet = a_sheet(total + more, &[]);
                wrote_sheet(club, flights[flight], entry, judge, ("signed", &sheet)).await;
            }
        }
        let said: Vec<(&str, Option<u32>, u32, bool)> = (1..)
            .zip(&of)
            .map(|(place, (entry, total))| {
                (entry.code.as_str(), Some(total + 1), place, place == 1)
            })
            .collect();
        agreed(club, flights[flight], &june, &an_agreement(&said)).await;
    }
    // In the final the mead of 25 points goes before that of 40.
    let last = held
        .flight(club, (4, "final", Some(0)), &[one, three], &table)
        .await;
    let best = held
        .flight(club, (5, "best", None), &[three, five], &table)
        .await;
    for judge in table {
        ordered(club, last, judge, &["HJ456", "AC234"]).await;
        ordered(club, best, judge, &["MN678", "HJ456"]).await;
    }
    flights.extend([last, best]);
    Judged {
        held,
        orla,
        ada,
        bo,
        june,
        jack,
        entries,
        flights,
    }
}

impl Judged {
    /// An address of it.
    pub fn at(&self, rest: &str) -> String {
        format!("{}/{rest}", self.held.path)
    }

    /// Reckons and freezes by the page.
    pub async fn reckoned(&self, orla: &Browser) -> Page {
        let review = orla.get(&self.at("review")).await;
        orla.submit(&review, "Reckon the results and freeze them", &[])
            .await
    }

    /// Lets the results out by the page.
    pub async fn released(&self, orla: &Browser) -> Page {
        let phase = orla.get(&self.at("phase")).await;
        orla.submit(&phase, "Let the results out", &[]).await
    }
}

#[tokio::test]
async fn results_are_frozen_by_the_organiser_and_then_read_by_everybody() {
    let club = Club::open().await;
    let all = judged(&club, |_| {}).await;
    let orla = club.browser_of(&all.orla).await;
    let (ada, june) = (
        club.browser_of(&all.ada).await,
        club.browser_of(&all.june).await,
    );

    // Before the release none of it is there, for nobody, the organiser included.
    let pages = [
        "results",
        "results.csv",
        "recount",
        "recount.txt",
        "statistics",
        "results/AC234",
        "results/AC234/certificate",
    ];
    for browser in [&orla, &ada, &june] {
        for page in pages {
            assert_eq!(browser.get(&all.at(page)).await.status, 404, "{page}");
        }
    }
    for browser in [&ada, &june] {
        assert_eq!(browser.get(&all.at("review")).await.status, 404);
    }
    let review = orla.get(&all.at("review")).await;
    assert_eq!(review.status, 200, "{}", review.text);
    assert!(review.text.contains("10 signed sheets"), "{}", review.text);
    assert!(review.words_of("#holds-up").is_none(), "{}", review.text);
    let places = review.words_of("#places").expect("what would come out");
    assert!(places.contains("1st MN678, 2nd HJ456"), "{places}");
    assert!(places.contains("1st HJ456, 2nd AC234"), "{places}");
    for name in ["Ada", "Bo", "Mead AC234"] {
        assert!(
            !review.text.contains(name),
            "the review knows codes alone, not {name}"
        );
    }
    // Nothing goes out that was not reckoned.
    assert!(
        !orla
            .get(&all.at("phase"))
            .await
            .has_button("Let the results out")
    );
    let frozen = all.reckoned(&orla).await;
    assert_eq!(frozen.status, 303, "{}", frozen.text);
    let out = all.released(&orla).await;
    assert_eq!(out.status, 303, "{}", out.text);

    let results = ada.get(&all.at("results")).await;
    assert_eq!(results.status, 200);
    for told in ["Best of show", "Mead MN678", "Mead HJ456", "1st", "2nd"] {
        assert!(results.text.contains(told), "{told}: {}", results.text);
    }
    // Entries that came to no prize are named nowhere, and of the category there were two more.
    assert!(!results.text.contains("Mead EF345") && results.text.contains("2 more were judged"));
    let csv = june.get(&all.at("results.csv")).await;
    assert!(csv.header("content-type").starts_with("text/csv"));
    assert!(
        csv.text.contains(",1,HJ456,Mead HJ456,Ada,"),
        "{}",
        csv.text
    );
    assert!(csv.text.contains(",EF345,,,"), "{}", csv.text);

    // Own sheets are for their makers.
    let own = ada.get(&all.at("results/AC234")).await;
    assert_eq!(own.status, 200);
    for told in [
        "2nd place in",
        "Judge 1: 40 of 50",
        "Judge 2: 42 of 50",
        "Let it stand another winter.",
        "41 points agreed",
    ] {
        assert!(own.text.contains(told), "{told}: {}", own.text);
    }
    assert!(!own.text.contains("June") && !own.text.contains("Jack"));
    let certificate = ada.get(&all.at("results/HJ456/certificate")).await;
    assert!(
        certificate.text.contains("2nd of the best of the show"),
        "{}",
        certificate.text
    );
    let bo = club.browser_of(&all.bo).await;
    for browser in [&bo, &june, &orla] {
        assert_eq!(browser.get(&all.at("results/AC234")).await.status, 404);
        assert_eq!(
            browser
                .get(&all.at("results/AC234/certificate"))
                .await
                .status,
            404
        );
    }
    assert_eq!(orla.get(&all.at("review")).await.status, 404, "it is over");
}

#[tokio::test]
async fn anybody_reckons_it_again_and_sees_what_was_changed_afterwards() {
    let club = Club::open().await;
    let all = judged(&club, |_| {}).await;
    let orla = club.browser_of(&all.orla).await;
    all.reckoned(&orla).await;
    all.released(&orla).await;
    let bo = club.browser_of(&all.bo).await;
    let recount = bo.get(&all.at("recount")).await;
    assert!(
        recount.text.contains("to the last letter"),
        "{}",
        recount.text
    );
    assert!(recount.words_of("#otherwise").is_none());
    let text = bo.get(&all.at("recount.txt")).await;
    let hash = sha256(&text.text);
    assert!(
        recount.text.contains(&hash),
        "the text's own hash is the one that is shown"
    );
    assert!(
        text.text
            .contains("category 1: place 1 HJ456, sum of places 2\n"),
        "{}",
        text.text
    );
    for name in ["Ada", "Bo", "June", "Jack"] {
        assert!(!text.text.contains(name), "{name}");
    }

    // Whoever adds an agreement behind everybody's back changes no result, and is found.
    let other = an_agreement(&[("MN678", Some(12), 1, true)]);
    agreed(&club, all.flights[2], &all.june, &other).await;
    let recount = bo.get(&all.at("recount")).await;
    assert!(recount.text.contains("to the last letter"));
    let otherwise = recount
        .words_of("#otherwise")
        .expect("what stands otherwise");
    assert!(otherwise.contains("agreed MN678: points 12"), "{otherwise}");
    assert_eq!(bo.get(&all.at("recount.txt")).await.text, text.text);
    assert!(
        bo.get(&all.at("results"))
            .await
            .text
            .contains("36 points at its table")
    );
}

#[tokio::test]
async fn what_changed_after_the_reckoning_is_not_let_out() {
    let club = Club::open().await;
    let all = judged(&club, |_| {}).await;
    let orla = club.browser_of(&all.orla).await;
    all.reckoned(&orla).await;
    let phase = orla.get(&all.at("phase")).await;
    let sheet = a_sheet(50, &[]);
    wrote_sheet(
        &club,
        all.flights[0],
        &all.entries[1],
        &all.jack,
        ("signed", &sheet),
    )
    .await;
    let refused = orla.submit(&phase, "Let the results out", &[]).await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert_eq!(all.held.phase(&club).await, "review");
    // The page that has the button says it before anybody presses.
    let phase = orla.get(&all.at("phase")).await;
    let missing = phase.words_of("#missing").unwrap_or_default();
    assert!(
        missing.contains("Something changed since"),
        "{}",
        phase.text
    );
    assert!(!phase.has_button("Let the results out"));
    let review = orla.get(&all.at("review")).await;
    assert!(
        review.text.contains("Something changed since"),
        "{}",
        review.text
    );
    assert_eq!(all.reckoned(&orla).await.status, 303);
    assert_eq!(all.released(&orla).await.status, 303);
    // Both are kept, under numbers of their own.
    let kept: i64 =
        sqlx::query_scalar("select count(*) from competition_results where competition_id = $1")
            .bind(all.held.id.0)
            .fetch_one(club.pool())
            .await
            .expect("a count");
    assert_eq!(kept, 2);
}

#[tokio::test]
async fn odd_sheets_and_what_is_open_stand_before_the_organiser() {
    let club = Club::open().await;
    let all = judged(&club, |rules| rules.ties = Vec::new()).await;
    let orla = club.browser_of(&all.orla).await;
    assert!(orla.get(&all.at("review")).await.words_of("#odd").is_none());
    let mut odd = a_sheet(41, &[]);
    odd.sections
        .get_mut("look")
        .expect("a section")
        .comment
        .clear();
    odd.advice = "Pathetic. Give up.".to_owned();
    wrote_sheet(
        &club,
        all.flights[0],
        &all.entries[0],
        &all.june,
        ("signed", &odd),
    )
    .await;
    // A sheet that was given back does not count until it is signed again.
    wrote_sheet(
        &club,
        all.flights[2],
        &all.entries[4],
        &all.jack,
        ("reopened", &odd),
    )
    .await;
    let far = a_sheet(50, &[]);
    wrote_sheet(
        &club,
        all.flights[1],
        &all.entries[3],
        &all.jack,
        ("signed", &far),
    )
    .await;
    let late = all.held.entry_of(&club, &all.bo, 0, "PR789").await;
    sqlx::query("update competition_entries set arrival = 'here' where id = $1")
        .bind(late.id)
        .execute(club.pool())
        .await
        .expect("its bottles");
    let review = orla.get(&all.at("review")).await;
    let told = review.words_of("#odd").expect("odd sheets");
    assert!(
        told.contains("AC234, flight 1, by June") && told.contains("Look: not a word."),
        "{told}"
    );
    assert!(told.contains("“pathetic” may hurt"), "{told}");
    let worth = review.words_of("#worth").expect("what is worth a look");
    assert!(
        worth.contains("KL567 in flight 2: its sheets lie 30 points apart"),
        "{worth}"
    );
    assert!(
        worth.contains("MN678 in flight 3: agreed on with one signed sheet"),
        "{worth}"
    );
    let holds = review.words_of("#holds-up").expect("what holds it up");
    assert!(
        holds.contains("PR789 is here and stands in no flight."),
        "{holds}"
    );
    let refused = all.reckoned(&orla).await;
    assert_eq!(refused.status, 422);
    assert!(
        refused
            .words_of("title")
            .expect("a title")
            .starts_with("Error: ")
    );
}

#[tokio::test]
async fn a_shared_first_place_is_drawn_from_the_number_that_was_announced() {
    let club = Club::open().await;
    let all = judged(&club, |rules| {
        rules.ties = vec![Tie::Drawn];
        rules.draw_from = "the lottery of Saturday".to_owned();
    })
    .await;
    ordered(&club, all.flights[4], &all.jack, &["HJ456", "MN678"]).await;
    let orla = club.browser_of(&all.orla).await;
    let refused = all.reckoned(&orla).await;
    assert_eq!(refused.status, 422);
    let holds = refused.words_of("#holds-up").expect("what holds it up");
    assert!(
        holds.contains("HJ456 and MN678 share a place in flight 5"),
        "{holds}"
    );

    let label = "The number as it was published";
    let none = orla
        .submit(&refused, "Note it", &[(label, "not yet")])
        .await;
    assert_eq!(none.status, 422);
    assert_eq!(none.fault(label), "There is no digit in it.");
    assert_eq!(none.value(label), "not yet");
    let noted = orla
        .submit(&none, "Note it", &[(label, "4 8 15 16 23 42")])
        .await;
    assert_eq!(noted.status, 303, "{}", noted.text);
    assert_eq!(all.reckoned(&orla).await.status, 303);
    assert_eq!(all.released(&orla).await.status, 303);

    let pool = ["HJ456".to_owned(), "MN678".to_owned()];
    let drawn = rounds("4 8 15 16 23 42", "flight 5, place 1", &pool);
    let recount = orla.get(&all.at("recount")).await;
    for round in &drawn {
        assert!(recount.text.contains(&round.text) && recount.text.contains(&round.hash));
    }
    let csv = orla.get(&all.at("results.csv")).await;
    let first = csv
        .text
        .lines()
        .find(|line| line.ends_with(",1"))
        .expect("a winner");
    assert!(first.contains(&drawn[0].code), "{first}");
    // The chain has the number, and what was there before.
    let about: serde_json::Value =
        sqlx::query_scalar("select about from competition_deeds where deed = 'draw_noted'")
            .fetch_one(club.pool())
            .await
            .expect("a deed");
    assert_eq!(about["number"], "4 8 15 16 23 42");
}

#[tokio::test]
async fn an_organiser_with_an_entry_is_walled_off_from_its_category() {
    let club = Club::open().await;
    let all = judged(&club, |_| {}).await;
    let organiser = Duty::Organiser;
    let mut conn = club.pool().acquire().await.expect("a connection");
    mustwright::competitions::organise::store::add_duty(
        &mut conn,
        all.held.id,
        all.ada.id,
        organiser,
    )
    .await
    .expect("a duty");
    drop(conn);
    let mut odd = a_sheet(41, &[]);
    odd.advice.clear();
    wrote_sheet(
        &club,
        all.flights[0],
        &all.entries[0],
        &all.june,
        ("signed", &odd),
    )
    .await;
    wrote_sheet(
        &club,
        all.flights[2],
        &all.entries[4],
        &all.june,
        ("signed", &odd),
    )
    .await;
    let orla = club.browser_of(&all.orla).await;
    let seen = orla
        .get(&all.at("review"))
        .await
        .words_of("#odd")
        .expect("odd sheets");
    assert!(seen.contains("AC234") && seen.contains("MN678"), "{seen}");
    // Ada has entries in both categories: there is nothing for her to look at.
    let ada = club.browser_of(&all.ada).await;
    let review = ada.get(&all.at("review")).await;
    assert!(
        review.text.contains("You have an entry in"),
        "{}",
        review.text
    );
    assert!(review.words_of("#odd").is_none() && review.text.contains("No signed sheet here"));
    assert!(review.words_of("#places").is_none());
    for code in CODES {
        assert!(!review.text.contains(code), "{code}");
    }
}

#[tokio::test]
async fn figures_tell_judges_of_themselves_alone() {
    let club = Club::open().await;
    let all = judged(&club, |_| {}).await;
    let orla = club.browser_of(&all.orla).await;
    all.reckoned(&orla).await;
    all.released(&orla).await;
    let all_of_them = orla.get(&all.at("statistics")).await;
    assert!(
        all_of_them.text.contains("10 sheets"),
        "{}",
        all_of_them.text
    );
    assert!(
        all_of_them
            .text
            .contains("Jack: 2.0 more generous, over 5 sheets"),
        "{}",
        all_of_them.text
    );
    let jack = club.browser_of(&all.jack).await;
    let own = jack.get(&all.at("statistics")).await;
    assert!(own.text.contains("you: 2.0 more generous") && !own.text.contains("June"));
    let bo = club.browser_of(&all.bo).await;
    let others = bo.get(&all.at("statistics")).await;
    assert_eq!(others.status, 200);
    assert!(!others.text.contains("generous") && !others.text.contains("June"));
}

#[tokio::test]
async fn the_archive_is_read_and_nothing_of_it_is_written() {
    let club = Club::open().await;
    let all = judged(&club, |_| {}).await;
    let orla = club.browser_of(&all.orla).await;
    let review = orla.get(&all.at("review")).await;
    all.reckoned(&orla).await;
    all.held.stands_in(&club, Phase::Archived).await;
    let ada = club.browser_of(&all.ada).await;
    for page in [
        "results",
        "results.csv",
        "recount",
        "statistics",
        "results/AC234",
    ] {
        assert_eq!(ada.get(&all.at(page)).await.status, 200, "{page}");
    }
    // A page that was open since before writes nothing any more.
    let late = orla
        .submit(&review, "Reckon the results and freeze them", &[])
        .await;
    assert_eq!(late.status, 404, "{}", late.text);
    let kept: i64 =
        sqlx::query_scalar("select count(*) from competition_results where competition_id = $1")
            .bind(all.held.id.0)
            .fetch_one(club.pool())
            .await
            .expect("a count");
    assert_eq!(kept, 1);
}
