//! The desk: who comes in, how bottles are noted, what is masked, who is walled off; and whose the entries are, read by whom.

use mustwright::competitions::entries;
use mustwright::competitions::model::{Duty, Phase};
use mustwright::engine::contest::declared::Declared;

use super::building::{Held, a_competition};
use super::entries::an_entry;
use crate::support::{Browser, Club, Page, Person, a_member};

/// A competition with a steward, and an entry of Bo Holloway's that says too much.
struct Desk {
    club: Club,
    held: Held,
    organiser: Browser,
    steward: Browser,
    stella: Person,
    bo: Person,
    code: String,
    path: String,
}

impl Desk {
    async fn open() -> Desk {
        let club = Club::open().await;
        let ada = a_member().of(&club).await;
        let stella = a_member().named("Stella").of(&club).await;
        let bo = a_member().named("Bo Holloway").of(&club).await;
        let held = a_competition()
            .ruled(|rules| rules.fee = Some(5.0))
            .with(&stella, Duty::Steward)
            .of(&club, &ada)
            .await;
        let declared = Declared {
            abv_percent: 12.0,
            special: "heather honey of Holloway and Tarn Farm".to_owned(),
            note: "My first. Ask HOLLOWAY for more.".to_owned(),
            ..Declared::default()
        };
        let entry = an_entry().called("Grandmother’s").declaring(declared);
        let code = entry.of(&club, &held.public_id, &bo).await.code;
        Desk {
            organiser: club.browser_of(&ada).await,
            steward: club.browser_of(&stella).await,
            path: format!("{}/desk/{code}", held.path),
            club,
            held,
            stella,
            bo,
            code,
        }
    }

    async fn entry(&self) -> entries::Entry {
        let mut conn = self.club.pool().acquire().await.unwrap();
        let found = entries::store::of_code(&mut conn, self.held.id, &self.code).await;
        found.unwrap().unwrap()
    }

    /// The chain of deeds as text.
    async fn deeds(&self) -> Vec<String> {
        sqlx::query_scalar(
            "select concat_ws(' ', deed, by_id, about, reason) from competition_deeds order by number",
        )
        .fetch_all(self.club.pool())
        .await
        .unwrap()
    }

    /// Notes how the bottles came, by the word of the choice, and leaves the rest of the form as it stands.
    async fn receives(&self, browser: &Browser, how: &str) -> Page {
        let page = browser.get(&self.path).await;
        let (action, fields) = page.filled("Note it", &[]);
        let fields: Vec<(&str, &str)> = fields
            .iter()
            .map(|(name, value)| match name.as_str() {
                "arrival" => ("arrival", how),
                name => (name, value.as_str()),
            })
            .collect();
        browser.post(&action, &fields).await
    }
}

#[tokio::test]
async fn a_code_is_typed_or_scanned_and_tells_nobody_whose_it_is() {
    let desk = Desk::open().await;
    let (steward, held) = (&desk.steward, &desk.held);
    let list = format!("{}/desk", held.path);
    let small = format!(" {} {}", &desk.code[..2].to_lowercase(), &desk.code[2..]);
    let found = steward
        .get(&format!("{list}?code={}", small.replace(' ', "+")))
        .await;
    assert_eq!(found.location(), Some(desk.path.as_str()));
    let wrong = steward.get(&format!("{list}?code=AX000")).await;
    assert_eq!(wrong.status, 422);
    assert!(
        wrong
            .fault("Code on the bottle")
            .contains("No entry has this code")
    );
    for page in [steward.get(&list).await, steward.get(&desk.path).await] {
        assert_eq!(page.status, 200, "{}", page.text);
        assert!(page.text.contains(&desk.code));
        assert!(!page.text.contains("Grandmother"), "{}", page.text);
    }
    let gone = steward.get(&format!("{list}/AX000")).await;
    assert_eq!(gone.status, 404);
    // Its own maker, and whoever has no duty here, finds nothing.
    let bo = desk.club.browser_of(&desk.bo).await;
    for path in [&list, &desk.path] {
        assert_eq!(bo.get(path).await.status, 404);
    }
    assert_eq!(bo.post(&desk.path, &[]).await.status, 404);
}

#[tokio::test]
async fn how_bottles_came_is_noted_and_two_stewards_see_both() {
    let desk = Desk::open().await;
    let steward = &desk.steward;
    let (first, second) = (steward.get(&desk.path).await, steward.get(&desk.path).await);
    let noted = steward.submit(&first, "Note it", &[]).await;
    assert_eq!(noted.status, 303, "{}", noted.text);
    let entry = desk.entry().await;
    assert_eq!(
        (entry.arrival, entry.bottles_here),
        (Some(entries::Arrival::Here), Some(3))
    );
    let typed = [("here, and one leaks", ""), ("Bottles", "2")];
    let lost = steward.submit(&second, "Note it", &typed).await;
    assert_eq!(lost.status, 409);
    let said = lost.words_of("#meanwhile").expect("both texts");
    assert!(said.contains("here") && said.contains("leaking"), "{said}");
    let saved = steward.submit(&lost, "Note it", &[]).await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    assert_eq!(desk.entry().await.bottles_here, Some(2));
    let none = steward.get(&desk.path).await;
    let none = steward
        .submit(&none, "Note it", &[("Bottles", "a crate")])
        .await;
    assert_eq!(none.status, 422);
    assert!(none.fault("Bottles").contains("whole number"));
    assert_eq!(none.value("Bottles"), "a crate");
    let missing = desk.receives(steward, "missing").await;
    assert_eq!(missing.status, 303);
    assert!(!desk.entry().await.can_be_poured());
    let deeds = desk.deeds().await;
    assert_eq!(
        deeds
            .iter()
            .filter(|deed| deed.starts_with("received"))
            .count(),
        3
    );
}

#[tokio::test]
async fn words_that_tell_are_proposed_masked_and_come_back_for_nobody() {
    let desk = Desk::open().await;
    let steward = &desk.steward;
    let page = steward.get(&desk.path).await;
    let words = "Words to mask, one on each line";
    assert_eq!(page.value(words).trim().to_lowercase(), "holloway");
    let button = "I have looked: it tells nothing";
    let blind = steward.submit(&page, button, &[]).await;
    assert_eq!(blind.status, 422, "each is ticked by somebody who looked");
    let looked = [
        (
            "The bottles bear the code and nothing else: no label, no writing, no shape that is known",
            "",
        ),
        ("The caps bear no mark", ""),
        (
            "What judges read tells nothing, once the words below are masked",
            "",
        ),
        (words, "Holloway\nTarn Farm"),
    ];
    let done = steward.submit(&page, button, &looked).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let entry = desk.entry().await;
    let told = entry.told();
    assert_eq!(told.special, "heather honey of [masked] and [masked]");
    assert_eq!(told.note, "My first. Ask [masked] for more.");
    assert!(entry.checked_at.is_some());
    let deeds = desk.deeds().await.join("\n").to_lowercase();
    assert!(
        !deeds.contains("holloway") && !deeds.contains("tarn"),
        "{deeds}"
    );
    // What was looked at counts for what was looked at.
    let found: String = sqlx::query_scalar("select public_id from competition_entries")
        .fetch_one(desk.club.pool())
        .await
        .unwrap();
    let bo = desk.club.browser_of(&desk.bo).await;
    let form = bo
        .get(&format!("{}/mine/{found}/edit", desk.held.path))
        .await;
    let saved = bo.submit(&form, "Save", &[]).await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    let entry = desk.entry().await;
    assert_eq!((entry.checked_at, entry.masked_note), (None, None));
}

#[tokio::test]
async fn what_came_late_is_taken_in_by_an_organiser_with_a_reason() {
    let desk = Desk::open().await;
    desk.held.stands_in(&desk.club, Phase::Closed).await;
    assert_eq!(desk.receives(&desk.steward, "late").await.status, 303);
    assert!(!desk.entry().await.can_be_poured());
    let refused = desk.receives(&desk.steward, "here").await;
    assert_eq!(refused.status, 422);
    assert!(
        refused
            .fault("here, and sound")
            .contains("an organiser decides")
    );
    let without = desk.receives(&desk.organiser, "here").await;
    assert_eq!(without.status, 422);
    let why = "Why it is taken in all the same";
    assert!(!without.fault(why).is_empty());
    let typed = [("here, and sound", ""), (why, "The train stood still.")];
    let done = desk.organiser.submit(&without, "Note it", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert!(desk.entry().await.can_be_poured());
    let deeds = desk.deeds().await.join("\n");
    assert!(deeds.contains("The train stood still."), "{deeds}");
}

#[tokio::test]
async fn a_steward_with_an_entry_leaves_its_category_to_others() {
    let desk = Desk::open().await;
    an_entry()
        .of(&desk.club, &desk.held.public_id, &desk.stella)
        .await;
    let page = desk.steward.get(&desk.path).await;
    assert!(
        page.text.contains("You have an entry in this category"),
        "{}",
        page.text
    );
    assert!(!page.has_button("Note it"));
    let version = desk.entry().await.version.to_string();
    let typed = [("arrival", "missing"), ("version", version.as_str())];
    let refused = desk.steward.post(&desk.path, &typed).await;
    assert_eq!(refused.status, 403, "{}", refused.text);
    assert_eq!(desk.entry().await.arrival, None);
    assert_eq!(desk.receives(&desk.organiser, "here").await.status, 303);
}

#[tokio::test]
async fn fees_and_rules_are_the_organisers() {
    let desk = Desk::open().await;
    let fee = format!("{}/fee", desk.path);
    let out = format!("{}/out", desk.path);
    assert_eq!(
        desk.steward.post(&fee, &[("paid", "yes")]).await.status,
        404
    );
    assert_eq!(
        desk.steward.post(&out, &[("out_reason", "x")]).await.status,
        404
    );
    let page = desk.organiser.get(&desk.path).await;
    let done = desk
        .organiser
        .submit(&page, "Note that it is paid", &[])
        .await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert!(desk.entry().await.fee_paid_at.is_some());
    let page = desk.organiser.get(&desk.path).await;
    let without = desk.organiser.submit(&page, "Take it out", &[]).await;
    assert_eq!(without.status, 422);
    let why = [("Which rule it breaks", "It is no mead.")];
    let done = desk.organiser.submit(&without, "Take it out", &why).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert!(desk.entry().await.withdrawn_at.is_some());
    let after = desk.steward.get(&desk.path).await;
    assert!(!after.has_button("Note it"), "{}", after.text);
    assert!(desk.deeds().await.join("\n").contains("It is no mead."));
}

#[tokio::test]
async fn whose_entries_are_is_read_with_a_reason_and_never_by_who_judges() {
    let desk = Desk::open().await;
    let path = format!("{}/entries", desk.held.path);
    let list = desk.organiser.get(&path).await;
    assert!(list.text.contains(&desk.code));
    assert!(!list.text.contains("Holloway"), "{}", list.text);
    let without = desk
        .organiser
        .submit(&list, "Show whose they are", &[])
        .await;
    assert_eq!(without.status, 422);
    assert!(!without.text.contains("Holloway"));
    let typed = [("What you need the names for", "A fee is missing.")];
    let named = desk
        .organiser
        .submit(&list, "Show whose they are", &typed)
        .await;
    assert_eq!(named.status, 200, "{}", named.text);
    assert!(
        named.text.contains("Bo Holloway: Grandmother’s"),
        "{}",
        named.text
    );
    let deeds = desk.deeds().await;
    let read = deeds.last().unwrap();
    assert!(
        read.starts_with("names_read") && read.contains("A fee is missing."),
        "{read}"
    );
    for stranger in [&desk.steward, &desk.club.browser_of(&desk.bo).await] {
        assert_eq!(stranger.get(&path).await.status, 404);
        assert_eq!(stranger.post(&path, &[("reason", "x")]).await.status, 404);
    }
    let judging = a_member().named("Cleo").of(&desk.club).await;
    let mut tx = desk.club.pool().begin().await.unwrap();
    for duty in [Duty::Organiser, Duty::Judge] {
        let store = mustwright::competitions::organise::store::add_duty(
            &mut tx,
            desk.held.id,
            judging.id,
            duty,
        );
        assert!(store.await.unwrap());
    }
    tx.commit().await.unwrap();
    let cleo = desk.club.browser_of(&judging).await;
    let page = cleo.get(&path).await;
    assert!(!page.has_button("Show whose they are"), "{}", page.text);
    let refused = cleo.post(&path, &[("reason", "x")]).await;
    assert_eq!(refused.status, 403);
    assert!(!refused.text.contains("Holloway"));
    desk.held.stands_in(&desk.club, Phase::Released).await;
    assert_eq!(cleo.post(&path, &[("reason", "x")]).await.status, 200);
}

#[tokio::test]
async fn an_organiser_with_an_entry_reads_no_names_of_its_category() {
    let desk = Desk::open().await;
    let ada = a_member().named("Dora").of(&desk.club).await;
    let mut tx = desk.club.pool().begin().await.unwrap();
    let added = mustwright::competitions::organise::store::add_duty(
        &mut tx,
        desk.held.id,
        ada.id,
        Duty::Organiser,
    );
    assert!(added.await.unwrap());
    tx.commit().await.unwrap();
    let id = desk.held.public_id.as_str();
    an_entry().of(&desk.club, id, &ada).await;
    let other = an_entry().in_category(1).called("Other");
    let other = other.of(&desk.club, id, &desk.bo).await;
    let dora = desk.club.browser_of(&ada).await;
    let path = format!("{}/entries", desk.held.path);
    let named = dora.post(&path, &[("reason", "fees")]).await;
    assert_eq!(named.status, 200, "{}", named.text);
    assert!(!named.text.contains("Grandmother"), "{}", named.text);
    assert!(
        named
            .text
            .contains("not for you: you have an entry in this category")
    );
    assert!(named.text.contains(&other.code) && named.text.contains("Bo Holloway: Other"));
    let ada = desk.organiser.post(&path, &[("reason", "fees")]).await;
    assert!(ada.text.contains("Dora, organiser"), "{}", ada.text);
}

#[tokio::test]
async fn who_has_read_the_names_neither_judges_nor_pours() {
    let desk = Desk::open().await;
    let path = format!("{}/entries", desk.held.path);
    let named = desk.organiser.post(&path, &[("reason", "fees")]).await;
    assert_eq!(named.status, 200, "{}", named.text);
    let ada: String = sqlx::query_scalar("select public_id from members where name = 'Ada'")
        .fetch_one(desk.club.pool())
        .await
        .unwrap();
    let roster = desk
        .organiser
        .get(&format!("{}/roster", desk.held.path))
        .await;
    let typed = [
        ("Who", ada.as_str()),
        (
            "steward: takes bottles in, pours, and does not judge what they saw",
            "",
        ),
    ];
    let refused = desk
        .organiser
        .submit(&roster, "Give the duty", &typed)
        .await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert!(
        refused.fault("Who").contains("whose the entries are"),
        "{}",
        refused.text
    );
}
