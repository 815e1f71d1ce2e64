//! Flights: made within the rules, changed within the rules, poured when the table has rested; nobody meets their own mead.

mod calibrated;
mod changed;
mod conflicts;
mod finals;
mod made;
mod paper;
mod poured;
mod regrouped;

use chrono::Utc;
use mustwright::competitions::flights::model::{Flight, Glass, Seat};
use mustwright::competitions::flights::store;
use mustwright::competitions::model::{Duty, Phase};
use mustwright::engine::contest::declared::{Character, Declared, Sweetness};
use sqlx::types::Json;

use super::building::{Held, a_competition};
use crate::support::{Browser, Club, Page, Person, a_member};

/// A competition whose bottles are here: an organiser, a steward, judges of whom the first two are experienced, an entrant.
pub struct Day {
    pub held: Held,
    pub olive: Person,
    pub organiser: Browser,
    pub steward: Browser,
    pub stew: Person,
    pub judges: Vec<Person>,
    pub mara: Person,
}

/// Names of judges in the order of the roster's making.
const JUDGES: [&str; 6] = ["Jan", "Kim", "Lou", "Nia", "Pim", "Quin"];
/// What no judge and no steward may ever read.
pub const CANARY: &str = "Mara Elderkin";

pub async fn a_day(club: &Club, judges: usize) -> Day {
    let olive = a_member().named("Olive").of(club).await;
    let stew = a_member().named("Stew").of(club).await;
    let mara = a_member().named(CANARY).of(club).await;
    let mut people = Vec::new();
    for name in &JUDGES[..judges] {
        people.push(a_member().named(name).of(club).await);
    }
    let mut making = a_competition()
        .in_phase(Phase::Received)
        .with(&stew, Duty::Steward);
    for judge in &people {
        making = making.with(judge, Duty::Judge);
    }
    let held = making.of(club, &olive).await;
    for judge in people.iter().take(2) {
        experienced(club, &held, judge).await;
    }
    Day {
        organiser: club.browser_of(&olive).await,
        steward: club.browser_of(&stew).await,
        olive,
        stew,
        judges: people,
        mara,
        held,
    }
}

async fn experienced(club: &Club, held: &Held, judge: &Person) {
    sqlx::query(
        "update competition_roster set experienced = true where competition_id = $1 and member_id = $2",
    )
    .bind(held.id.0)
    .bind(judge.id.0)
    .execute(club.pool())
    .await
    .expect("the roster");
}

/// The code of an entry by its number.
pub fn code(number: usize) -> String {
    format!("AB{number:03}")
}

/// Declared as strong and as sweet as this.
pub fn declared(abv_percent: f64, sweetness: Sweetness) -> Declared {
    Declared {
        abv_percent,
        sweetness,
        character: Character::Plain,
        ..Declared::default()
    }
}

impl Day {
    /// An entry of this person in the category at this index, its bottles here; its key.
    pub async fn bottle(
        &self,
        club: &Club,
        (person, category, number): (&Person, usize, usize),
        declared: &Declared,
    ) -> i64 {
        let put_in = self
            .held
            .entry_of(club, person, category, &code(number))
            .await;
        sqlx::query(
            "update competition_entries set declared = $2, arrival = 'here', bottles_here = 3, checked_at = $3 where id = $1",
        )
        .bind(put_in.id)
        .bind(Json(declared))
        .bind(Utc::now())
        .execute(club.pool())
        .await
        .expect("the entry");
        put_in.id
    }

    /// So many dry ones of Mara's in the first category, numbered from `from`.
    pub async fn bottles(&self, club: &Club, from: usize, count: usize) {
        for number in from..from + count {
            let dry = declared(11.0, Sweetness::Dry);
            self.bottle(club, (&self.mara, 0, number), &dry).await;
        }
    }

    pub fn path(&self, behind: &str) -> String {
        format!("{}{behind}", self.held.path)
    }

    /// Makes the flights by their page.
    pub async fn makes(&self) -> Page {
        let page = self.organiser.get(&self.path("/flights")).await;
        let done = self.organiser.submit(&page, "Make the flights", &[]).await;
        assert_eq!(done.status, 303, "{}", done.text);
        self.organiser.follow(done).await
    }

    /// All flights as the database has them.
    pub async fn flights(&self, club: &Club) -> Vec<(Flight, Vec<Glass>, Vec<Seat>)> {
        let mut conn = club.pool().acquire().await.expect("a connection");
        let id = self.held.id;
        let mut all = Vec::new();
        for flight in store::list(&mut conn, id).await.expect("flights") {
            let glasses = store::glasses_of(&mut conn, id, flight.id).await;
            let table = store::table(&mut conn, id, flight.id).await;
            all.push((flight, glasses.expect("glasses"), table.expect("a table")));
        }
        all
    }

    /// The path of a flight's page, with something behind.
    pub fn flight(&self, flight: &Flight, behind: &str) -> String {
        self.path(&format!("/flights/{}{behind}", flight.public_id))
    }

    /// The words of the deeds since it was made, in their order.
    pub async fn deeds(&self, club: &Club) -> Vec<String> {
        sqlx::query_scalar(
            "select deed from competition_deeds where competition_id = $1 and deed <> 'made' order by number",
        )
        .bind(self.held.id.0)
        .fetch_all(club.pool())
        .await
        .expect("deeds")
    }
}

/// The value of the choice whose words begin like this.
pub fn choice(page: &Page, words: &str) -> String {
    let before = page
        .text
        .split(&format!(">{words}"))
        .next()
        .unwrap_or_default();
    assert!(before.len() < page.text.len(), "no choice {words}");
    let value = before.rsplit("value=\"").next().unwrap_or_default();
    value.split('"').next().unwrap_or_default().to_owned()
}
