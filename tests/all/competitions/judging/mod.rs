//! Judges at the table: sheets, what others may read of them when, what a table agrees on, sheets on paper.

mod mended;
mod paper;
mod sheets;
mod tables;

use mustwright::competitions::flights::model::{Kind, NewFlight};
use mustwright::competitions::flights::store as flights;
use mustwright::competitions::model::{Duty, EntryId, FlightId, Phase};

use super::building::{Held, PutIn, a_competition};
use crate::support::{Browser, Club, Page, Person, a_member};

/// A competition that is judged: one flight, two judges of whom Ada leads, a steward, an organiser, makers without duties.
pub struct Day {
    pub club: Club,
    pub held: Held,
    pub organiser: Person,
    pub steward: Person,
    pub ada: Person,
    pub bo: Person,
    pub makers: Vec<Person>,
    pub entries: Vec<PutIn>,
    pub flight: FlightId,
    /// The path of the flight's table.
    pub table: String,
}

const CODES: [&str; 4] = ["KM472", "TR936", "VX283", "WF764"];
const POINTS: [(&str, &str); 5] = [
    ("Points, 0 to 5, Look", "4"),
    ("Points, 0 to 12, Smell", "9"),
    ("Points, 0 to 20, Taste", "15"),
    ("Points, 0 to 8, Body and finish", "6"),
    ("Points, 0 to 5, As a whole", "4"),
];

/// The day with so many entries in its first flight.
pub async fn a_day(entries: usize) -> Day {
    let club = Club::open().await;
    let person = async |name: &str| a_member().named(name).of(&club).await;
    let organiser = person("Orla").await;
    let steward = person("Sten").await;
    let (ada, bo) = (person("Ada").await, person("Bo").await);
    let makers = vec![person("Mona").await, person("Nils").await];
    let held = a_competition()
        .in_phase(Phase::Judging)
        .with(&ada, Duty::Judge)
        .with(&bo, Duty::Judge)
        .with(&steward, Duty::Steward)
        .of(&club, &organiser)
        .await;
    let mut put_in = Vec::new();
    for (at, code) in CODES.into_iter().take(entries).enumerate() {
        let maker = &makers[at % makers.len()];
        put_in.push(held.entry_of(&club, maker, 0, code).await);
    }
    let mut day = Day {
        club,
        held,
        organiser,
        steward,
        ada,
        bo,
        makers,
        entries: put_in,
        flight: FlightId(0),
        table: String::new(),
    };
    let codes = CODES.into_iter().take(entries).collect::<Vec<_>>();
    (day.flight, day.table) = day.flight_of(Kind::First, 1, &codes).await;
    day
}

impl Day {
    /// Another flight of these codes at the same table.
    pub async fn flight_of(&self, kind: Kind, number: i32, codes: &[&str]) -> (FlightId, String) {
        let entry = |code: &&str| {
            let found = self.entries.iter().find(|one| one.code == **code);
            EntryId(found.expect("an entry of this code").id)
        };
        let category = match kind {
            Kind::First | Kind::Final => Some(self.held.categories[0].id),
            Kind::Best => None,
        };
        let new = NewFlight {
            kind,
            category,
            number,
            day: 1,
            session: number,
            entries: codes.iter().map(entry).collect(),
            judges: vec![self.ada.id, self.bo.id],
        };
        let mut tx = self.club.pool().begin().await.expect("a transaction");
        let Ok((id, public_id)) = flights::add(&mut tx, self.held.id, &new).await else {
            panic!("the flight was not made");
        };
        tx.commit().await.expect("a commit");
        let table = format!("{}/judging/{}", self.held.path, public_id.as_str());
        (id, table)
    }

    /// The path of a sheet.
    pub fn sheet(&self, at: usize) -> String {
        format!("{}/{}", self.table, CODES[at])
    }

    /// Signs in as one of them.
    pub async fn as_(&self, person: &Person) -> Browser {
        self.club.browser_of(person).await
    }

    /// How many rows a question counts.
    pub async fn count(&self, question: &'static str) -> i64 {
        sqlx::query_scalar(question)
            .fetch_one(self.club.pool())
            .await
            .expect("a number")
    }

    /// Whether the chain of deeds holds.
    pub async fn chain_holds(&self) -> bool {
        use mustwright::competitions::deeds;
        let mut conn = self.club.pool().acquire().await.expect("a connection");
        let links = deeds::store::all(&mut conn, self.held.id).await;
        deeds::broken(&links.expect("the chain")).is_none()
    }
}

/// A sheet's points and words, by their labels: 38 points, with some changed.
pub fn filled<'a>(changed: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let usual = POINTS.into_iter();
    let kept = usual.filter(|(label, _)| !changed.iter().any(|(other, _)| other == label));
    kept.chain(changed.iter().copied()).collect()
}

/// Fills a sheet and presses a button.
pub async fn presses(
    browser: &Browser,
    sheet: &str,
    button: &str,
    labelled: &[(&str, &str)],
) -> Page {
    let form = browser.get(sheet).await;
    assert_eq!(form.status, 200, "{}", form.text);
    browser.submit(&form, button, labelled).await
}

/// The words of a page, without its ids and addresses, in which any digits may stand.
pub fn said(page: &Page) -> String {
    page.words_of("main").expect("a page")
}

/// Signs a whole sheet.
pub async fn signs(browser: &Browser, sheet: &str, changed: &[(&str, &str)]) {
    let done = presses(browser, sheet, "Sign it", &filled(changed)).await;
    assert_eq!(done.status, 303, "{}", done.text);
}
