//! One flight with two judges and a steward in a real browser: a connection that is lost, a battery that is flat, and nothing of
//! a sheet lost or read by others.

use serde_json::json;
use thirtyfour::Key;

use super::crawl::Crawl;
use super::sign_in;
use crate::competitions::judging::{a_day, filled, signs};
use crate::support::{Chromium, in_chromium, on_phone, until_the_battery_is_flat};

/// What the phone keeps, each byte a character.
const KEPT: &str = r#"(async () => {
    const asked = request => new Promise(done => { request.onsuccess = () => done(request.result); request.onerror = () => done(null); });
    if (!(await indexedDB.databases()).some(one => one.name === 'sheets')) return [];
    const place = await asked(indexedDB.open('sheets'));
    const store = place.objectStoreNames.contains('kept') && place.transaction('kept').objectStore('kept');
    const [keys, all] = store ? [await asked(store.getAllKeys()), await asked(store.getAll())] : [[], []];
    place.close();
    return keys.map((key, at) => [key, String.fromCharCode(...new Uint8Array(all[at].secret))]);
})()"#;

/// What the phone keeps: under which name, and its bytes.
async fn kept(page: &Chromium) -> Vec<(String, String)> {
    let found = page.run(&format!("return {KEPT}"), vec![]).await;
    serde_json::from_value(found).expect("names and bytes")
}

async fn state(page: &Chromium, words: &str) {
    page.until(&format!(
        "document.querySelector('[data-state]').textContent.includes({})",
        json!(words)
    ))
    .await;
}

/// The phone keeps everything that was typed by now.
async fn kept_by_now(page: &Chromium) {
    page.until("document.querySelector('form[data-sheet]:not([data-unkept])')")
        .await;
}

/// Nothing of the page lies beside the window.
async fn fits(page: &Chromium) {
    let over = "document.documentElement.scrollWidth - document.documentElement.clientWidth";
    assert_eq!(page.tell(over).await, "0", "{}", page.state().await);
}

async fn taps(page: &Chromium, button: &str, times: usize) {
    for _ in 0..times {
        page.press(button).await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_flight_is_judged_through_a_lost_connection_and_a_flat_battery() {
    let day = a_day(2).await;
    let (list, table) = (day.held.path.clone(), day.table.clone());
    let path = list.clone();
    let flight = format!("Flight 1, {}", day.held.categories[0].name);
    in_chromium(&day.club, |page| async move {
        page.size(360, 740).await;
        sign_in(&page, "Sten").await;
        page.open(&path).await;
        page.press_to("The queue").await;
        page.press_to(&flight).await;
        page.press_to("It is poured").await;
        fits(&page).await;
    })
    .await;

    let phone = tempfile::tempdir().expect("a phone");
    let path = list.clone();
    on_phone(&day.club, phone.path(), |page| async move {
        page.size(360, 740).await;
        sign_in(&page, "Ada").await;
        page.open(&path).await;
        page.press_to("Your glasses").await;
        fits(&page).await;
        page.press_to("Go on with the next glass").await;
        assert_eq!(page.heading().await, "KM472");
        fits(&page).await;
        // The first tap begins in the middle.
        taps(&page, "+ one point more, Taste", 5).await;
        assert_eq!(page.value("Points, 0 to 20, Taste").await, "14");
        taps(&page, "− one point less, Taste", 1).await;
        assert_eq!(page.words_of("[data-total]").await, "13");
        state(&page, "Saved.").await;
        // Enter in a field saves: nobody signs by a slip.
        page.run("document.querySelector('#points_taste').focus()", vec![])
            .await;
        page.keys(Key::Enter).await;
        page.until("location.search === '?done=saved'").await;
        page.connection(false).await;
        for (label, text) in filled(&[("Points, 0 to 20, Taste", "15")]) {
            page.put(label, text).await;
        }
        page.put("In words, Smell", "pears in wax").await;
        assert_eq!(page.words_of("[data-total]").await, "38");
        state(&page, "No connection. It is kept on this phone").await;
        page.press("Sign it").await;
        state(&page, "this is not done yet").await;
        page.connection(true).await;
        state(&page, "Saved.").await;
        assert_eq!(kept(&page).await, [], "what was sent is kept no more");
        page.press_to("Sign it").await;
        assert_eq!(page.heading().await, "TR936");
    })
    .await;
    let words = "select count(*) from competition_sheets where deed = 'signed' and data::text like '%pears in wax%'";
    assert_eq!(day.count(words).await, 1);

    let second = day.sheet(1);
    let path = second.clone();
    until_the_battery_is_flat(&day.club, phone.path(), |page| async move {
        page.size(360, 740).await;
        page.open(&path).await;
        page.until("!document.querySelector('[data-step]').hidden")
            .await;
        page.put("Points, 0 to 5, Look", "5").await;
        state(&page, "Saved.").await;
        page.connection(false).await;
        page.put("In words, Look", "as clear as a brook").await;
        let hot = page.field("hot").await;
        hot.focus().await.expect("the focus");
        page.keys(" ").await;
        state(&page, "No connection. It is kept on this phone").await;
        kept_by_now(&page).await;
        let kept = kept(&page).await;
        let [(name, bytes)] = &kept[..] else {
            panic!("{kept:?}");
        };
        assert!(name.ends_with(".TR936"), "under the code alone: {name}");
        assert!(
            !bytes.contains("brook") && !bytes.contains("words_look"),
            "{bytes}"
        );
    })
    .await;
    let told = "select count(*) from competition_sheets where data::text like '%brook%'";
    assert_eq!(day.count(told).await, 0);

    let path = second.clone();
    on_phone(&day.club, phone.path(), |page| async move {
        page.size(360, 740).await;
        page.open(&path).await;
        page.until("document.getElementById('words_look').value !== ''")
            .await;
        assert_eq!(page.value("In words, Look").await, "as clear as a brook");
        assert_eq!(
            page.tell("document.getElementById('fault_hot').checked")
                .await,
            "true"
        );
        state(&page, "Saved.").await;
        for (label, text) in filled(&[("Points, 0 to 20, Taste", "18")]) {
            page.put(label, text).await;
        }
        page.press_to("Sign it").await;
        assert!(
            page.words()
                .await
                .contains("Bo has not signed KM472, TR936 yet")
        );
        fits(&page).await;
        assert_eq!(kept(&page).await, [], "gone at sign-off");
    })
    .await;
    assert_eq!(day.count(told).await, 2, "saved once, signed once");

    let (first, path) = (day.sheet(0), table.clone());
    in_chromium(&day.club, |page| async move {
        page.size(360, 740).await;
        sign_in(&page, "Bo").await;
        page.open(&path).await;
        assert!(!page.words().await.contains("38"), "{}", page.state().await);
        page.open(&first).await;
        page.until("!document.querySelector('[data-step]').hidden")
            .await;
        // Nothing he typed can be sent any more; then he signs out.
        page.run("window.fetch = () => Promise.reject(new Error())", vec![])
            .await;
        page.put("In words, Look", "mine alone").await;
        state(&page, "No connection").await;
        assert_eq!(kept(&page).await.len(), 1);
        page.press_to("Sign out").await;
        // The browser tells that it threw away what it kept.
        page.console().await;
        sign_in(&page, "Bo").await;
        page.open(&first).await;
        page.until("!document.querySelector('[data-step]').hidden")
            .await;
        assert_eq!(kept(&page).await, [], "gone at sign-out");
        assert_eq!(page.value("In words, Look").await, "");
        for _ in 0..2 {
            for (label, text) in filled(&[]) {
                page.put(label, text).await;
            }
            page.press_to("Sign it").await;
        }
        let shown = page.words().await;
        assert!(
            shown.contains("Ada 38") && shown.contains("3 points apart"),
            "{shown}"
        );
    })
    .await;

    let path = table.clone();
    on_phone(&day.club, phone.path(), |page| async move {
        page.size(360, 740).await;
        page.open(&path).await;
        page.press_to("We agree").await;
        assert!(page.words().await.contains("The table has agreed."));
        fits(&page).await;
    })
    .await;
    assert!(day.chain_holds().await);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_phone_with_other_words_of_a_sheet_shows_both() {
    let day = a_day(1).await;
    let phone = tempfile::tempdir().expect("a phone");
    let sheet = day.sheet(0);
    let path = sheet.clone();
    on_phone(&day.club, phone.path(), |page| async move {
        sign_in(&page, "Ada").await;
        page.open(&path).await;
    })
    .await;
    let path = sheet.clone();
    until_the_battery_is_flat(&day.club, phone.path(), |page| async move {
        page.open(&path).await;
        page.until("!document.querySelector('[data-step]').hidden")
            .await;
        page.connection(false).await;
        page.put("In words, Look", "from the phone").await;
        state(&page, "No connection. It is kept").await;
        kept_by_now(&page).await;
    })
    .await;
    // Meanwhile she goes on at the club's own computer.
    let other = day.as_(&day.ada).await;
    let form = other.get(&sheet).await;
    let typed = [("In words, Look", "from the desk")];
    assert_eq!(other.submit(&form, "Save", &typed).await.status, 303);
    on_phone(&day.club, phone.path(), |page| async move {
        page.size(360, 740).await;
        page.open(&sheet).await;
        page.until("!document.querySelector('[data-two]').hidden")
            .await;
        assert_eq!(page.value("In words, Look").await, "from the desk");
        page.press_to("Look at both").await;
        let both = page.words_of("#meanwhile").await;
        assert!(
            both.contains("Look, in words from the desk from the phone"),
            "{both}"
        );
        assert_eq!(page.value("In words, Look").await, "from the phone");
        page.press_to("Save").await;
        assert_eq!(page.value("In words, Look").await, "from the phone");
    })
    .await;
    assert_eq!(
        day.count("select count(*) from competition_sheets").await,
        2
    );
}

/// The pages of judges and of those who look after their sheets, in both themes and sizes.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_of_judges_and_of_sheets() {
    let day = a_day(2).await;
    let bo = day.as_(&day.bo).await;
    signs(&bo, &day.sheet(0), &[]).await;
    let (list, table) = (format!("{}/judging", day.held.path), day.table.clone());
    let (one, other) = (day.sheet(0), day.sheet(1));
    let sheets = format!("{}/sheets", day.held.path);
    let sten = day.as_(&day.steward).await;
    let papers = sten.get(&sheets).await;
    let paper = papers.link("Ada, TR936").expect("a sheet");
    in_chromium(&day.club, |page| async move {
        let mut crawl = Crawl::new(page.clone());
        sign_in(&page, "Ada").await;
        crawl.open(&list, 200).await;
        crawl.open(&table, 200).await;
        crawl.open(&one, 200).await;
        page.press_to("Sign it").await;
        crawl.look("a sheet without points", 422).await;
        for (label, text) in filled(&[]) {
            page.put(label, text).await;
        }
        page.press_to("Sign it").await;
        crawl.open(&one, 200).await;
        crawl.open(&other, 200).await;
        page.press_to("Sign out").await;
        // The browser tells that it threw away what it kept.
        page.console().await;
        sign_in(&page, "Sten").await;
        crawl.open(&sheets, 200).await;
        crawl.open(&paper, 200).await;
        page.press_to("It says so on the paper").await;
        crawl.look("paper without points", 422).await;
        for (label, text) in filled(&[]) {
            page.put(label, text).await;
        }
        page.press_to("It says so on the paper").await;
        page.press_to("Sign out").await;
        // The browser tells that it threw away what it kept.
        page.console().await;
        sign_in(&page, "Orla").await;
        crawl.open(&paper, 200).await;
        page.press_to("Words and points are as on the paper").await;
        crawl.look("a second look without points", 422).await;
    })
    .await;
}
