//! Finishing inside a batch: what the log knows leads every page, and what is done goes back into the log.

mod acid;
mod finished;
mod flavour;
mod stabilise;
mod sweeten;
mod trials;

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Addition, Mixed, Pitch, Reading, What, Why};
use serde_json::Value;
use sqlx::Row;

use super::{a_maker, started, wrote};
use crate::support::{Browser, Club, Person};

const NOW: &str = "2026-11-28T18:00:00Z";
const DAY: f64 = 24.0;
/// The label of a reason.
const WHY: &str = "Why you go on all the same";

async fn a_club() -> Club {
    Club::standing_at(NOW.parse().expect("an instant"), &[]).await
}

/// A reading without gas at 20 °C.
fn read(sg: f64) -> Reading {
    Reading {
        sg: Some(sg),
        degassed: Some(true),
        must_temperature_c: Some(20.0),
        ..Reading::default()
    }
}

/// Somebody's mead.
struct Mead {
    club: Club,
    ada: Person,
    browser: Browser,
    batch: String,
}

impl Mead {
    /// Mixed 69 days ago, 20 L at 1.088, and down at 0.998 after 30 days.
    async fn of_the_autumn() -> Mead {
        let club = a_club().await;
        let (ada, browser, recipe) = a_maker(&club, "Ada").await;
        let named = [
            ("What it is called", "Heather"),
            ("Mixing day", "2026-09-20"),
        ];
        let batch = started(&browser, &recipe, &named).await;
        let mead = Mead {
            club,
            ada,
            browser,
            batch,
        };
        let mixed = Mixed {
            volume_l: Some(20.0),
            sg: Some(1.088),
            temperature_c: Some(20.0),
        };
        mead.wrote(0.0, Deed::Mixed(mixed)).await;
        let pitch = Pitch {
            tolerance_abv_percent: Some(14.0),
            ..Pitch::default()
        };
        mead.wrote(1.0, Deed::Pitch(pitch)).await;
        mead.read(10.0, read(1.030)).await;
        mead.read(30.0, read(0.998)).await;
        mead
    }

    /// The same, read again two weeks later.
    async fn that_stands() -> Mead {
        let mead = Mead::of_the_autumn().await;
        mead.read(44.5, read(0.998)).await;
        mead
    }

    /// The same, stabilised a week ago.
    async fn that_is_stable() -> Mead {
        let mead = Mead::that_stands().await;
        let sorbate = Addition {
            why: Some(Why::Stabilise),
            grams: Some(5.0),
            ..Addition::of("Potassium sorbate", What::Sorbate)
        };
        mead.wrote(60.0 * DAY, Deed::Addition(sorbate)).await;
        mead
    }

    async fn wrote(&self, hours: f64, deed: Deed) {
        wrote(&self.club, &self.ada, &self.batch, hours, deed).await;
    }

    async fn read(&self, days: f64, reading: Reading) {
        self.wrote(days * DAY, Deed::Reading(reading)).await;
    }

    /// The address of a page of its finishing.
    fn at(&self, rest: &str) -> String {
        format!("{}/finishing{rest}", self.batch)
    }

    async fn page(&self, rest: &str) -> crate::support::Page {
        let page = self.browser.get(&self.at(rest)).await;
        assert_eq!(page.status, 200, "{rest}: {}", page.text);
        page
    }

    /// What stands in the log, in the order of writing: kind and data.
    async fn log(&self) -> Vec<(String, Value)> {
        let rows = sqlx::query(
            "select distinct on (entry) kind, data from batch_entries order by entry, version desc",
        )
        .fetch_all(self.club.pool())
        .await
        .expect("the log");
        rows.iter().map(|row| (row.get(0), row.get(1))).collect()
    }

    async fn last(&self) -> (String, Value) {
        self.log().await.pop().expect("an entry")
    }
}

#[tokio::test]
async fn one_page_leads_through_all_of_it_in_order() {
    let mead = Mead::that_stands().await;
    let sheet = mead.browser.get(&mead.batch).await;
    let way = sheet.link("Finish it: from “is it finished?” to the bottle");
    assert_eq!(way.as_deref(), Some(mead.at("").as_str()));
    let page = mead.page("").await;
    let names = crate::recipes::all_words(&page, ".entries > li h2");
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "1. Is it finished? (done)",
            "2. Clear and rack",
            "3. Stabilise",
            "4. Sweeten",
            "5. Acid and tannin",
            "6. Fining, wood, spice",
            "7. Carbonate and bottle",
        ]
    );
    assert!(page.text.contains("Not racked yet."), "{}", page.text);
    for link in [
        "See the readings",
        "Write a racking down",
        "Stabilise it",
        "Sweeten it",
        "Acid and tannin",
        "Try it in glasses",
        "Clearing and taste",
    ] {
        let to = page.link(link).unwrap_or_else(|| panic!("no {link}"));
        assert_eq!(mead.browser.get(&to).await.status, 200, "{link}");
    }
}

#[tokio::test]
async fn nobody_else_comes_in() {
    let mead = Mead::that_stands().await;
    let ben = crate::support::a_member().named("Ben").of(&mead.club).await;
    let ben = mead.club.browser_of(&ben).await;
    for rest in [
        "",
        "/finished",
        "/stabilise",
        "/sweeten",
        "/acid",
        "/clearing-and-taste",
        "/trials",
    ] {
        assert_eq!(ben.get(&mead.at(rest)).await.status, 404, "{rest}");
    }
}

#[tokio::test]
async fn where_nothing_is_left_every_page_says_so() {
    let mead = Mead::that_stands().await;
    let package = mustwright::engine::log::entry::Package::default();
    mead.wrote(60.0 * DAY, Deed::Package(package)).await;
    for rest in [
        "/stabilise",
        "/sweeten",
        "/acid",
        "/clearing-and-taste",
        "/trials",
    ] {
        let page = mead.page(rest).await;
        assert!(page.text.contains("Nothing is left of it."), "{rest}");
        assert!(!page.has_button("It went in"), "{rest}");
    }
    assert!(mead.page("").await.text.contains("Filled on"));
}
