//! The field: who takes part, what they enter, and how good each mead is, which nobody of the club knows.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{TimeZone, Utc};
use mustwright::competitions::model::Phase;
use mustwright::engine::contest::declared::{Character, Sweetness};
use mustwright::engine::contest::results::Answer;
use mustwright::members::model::NewMember;
use mustwright::members::names::Name;
use mustwright::members::store::create_member;
use mustwright::web::viewer::{Role, Settings};

use crate::competitions::entries::an_entry;
use crate::support::{Browser, Club, Page, Person, TestDatabase, a_member};

pub const ENTRIES: usize = 120;
pub const JUDGES: usize = 12;
pub const STEWARDS: usize = 3;
const ENTRANTS: usize = 40;

/// How bottles come in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comes {
    Here,
    Leaking,
    Missing,
}

pub struct Mead {
    pub code: String,
    /// Its true quality: every judge's points lie around it.
    pub quality: u32,
    pub comes: Comes,
}

pub struct Field {
    pub club: Club,
    pub organiser: Person,
    pub organising: Browser,
    pub judges: Vec<Person>,
    pub stewards: Vec<Person>,
    pub id: i64,
    pub public_id: String,
    /// By their codes.
    pub meads: BTreeMap<String, Mead>,
}

/// The qualities of the field: even, so that one point more or less of one judge changes no order.
fn quality(number: usize) -> u32 {
    let mixed = (number as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 40;
    10 + 2 * (mixed % 19) as u32
}

fn comes(number: usize) -> Comes {
    match number % 20 {
        7 => Comes::Missing,
        13 => Comes::Leaking,
        _ => Comes::Here,
    }
}

fn kind(number: usize) -> (f64, Sweetness, Character) {
    let sweetness = [Sweetness::Dry, Sweetness::SemiSweet, Sweetness::Sweet];
    let character = [
        Character::Plain,
        Character::Fruit,
        Character::Spice,
        Character::Pepper,
    ];
    (
        6.0 + (number % 11) as f64,
        sweetness[number % 3],
        character[number % 4],
    )
}

/// Somebody of the club who never signs in during the test.
async fn a_quiet_member(club: &Club, name: &str) -> Person {
    let new = NewMember {
        name: Name::read(name).expect("a name"),
        password_hash: None,
        role: Role::Member,
        settings: Settings::default(),
    };
    let mut conn = club.pool().acquire().await.expect("a connection");
    let id = create_member(&mut conn, &new).await.expect("the database");
    Person {
        id: id.expect("a free name"),
        name: name.to_owned(),
        password: String::new(),
    }
}

/// Opens a page, sends the form with this button, these fields by their names, and expects to be led on.
pub async fn done(browser: &Browser, path: &str, button: &str, fields: &[(&str, &str)]) -> Page {
    let page = browser.get(path).await;
    assert_eq!(page.status, 200, "{path}: {}", page.text);
    let (action, mut pairs) = page.filled(button, &[]);
    pairs.retain(|(name, _)| fields.iter().all(|(other, _)| name != other));
    pairs.extend(
        fields
            .iter()
            .map(|(name, text)| ((*name).to_owned(), (*text).to_owned())),
    );
    let pairs: Vec<(&str, &str)> = pairs
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .collect();
    let sent = browser.post(&action, &pairs).await;
    assert_eq!(sent.status, 303, "{button} on {path}: {}", sent.text);
    sent
}

impl Field {
    /// A competition that is open, its roster, and everybody's entries.
    pub async fn enter() -> Field {
        let at = Utc.with_ymd_and_hms(2026, 11, 28, 10, 0, 0).single();
        let club = Club::on(TestDatabase::make().await, at.expect("a moment")).await;
        let organiser = a_member()
            .named("Orla Quine")
            .being(Role::Organiser)
            .of(&club)
            .await;
        let organising = club.browser_of(&organiser).await;
        let mut judges = Vec::new();
        for number in 1..=JUDGES {
            judges.push(
                a_member()
                    .named(&format!("Judge number {number}"))
                    .of(&club)
                    .await,
            );
        }
        let mut stewards = Vec::new();
        for number in 1..=STEWARDS {
            stewards.push(
                a_member()
                    .named(&format!("Steward number {number}"))
                    .of(&club)
                    .await,
            );
        }
        let made = done(
            &organising,
            "/competitions/new",
            "Make the draft",
            &[("title", "The big day")],
        )
        .await;
        let path = made.location().expect("a page").to_owned();
        let public_id = path.rsplit('/').next().expect("an id").to_owned();
        let tables = format!("{path}/rules/tables");
        let draw = [("draw_from", "the lottery of the Saturday after")];
        done(&organising, &tables, "Save", &draw).await;
        let id = sqlx::query_scalar("select id from competitions where public_id = $1")
            .bind(&public_id)
            .fetch_one(club.pool())
            .await
            .expect("the competition");
        let mut field = Field {
            club,
            organiser,
            organising,
            judges,
            stewards,
            id,
            public_id,
            meads: BTreeMap::new(),
        };
        field.fill_roster().await;
        done(
            &field.organising,
            &field.at("phase"),
            "Open it for entries",
            &[],
        )
        .await;
        field.take_entries().await;
        field
    }

    /// The path of a page of the competition.
    pub fn at(&self, page: &str) -> String {
        match page {
            "" => format!("/competitions/{}", self.public_id),
            page => format!("/competitions/{}/{page}", self.public_id),
        }
    }

    async fn fill_roster(&self) {
        let people = self.judges.iter().map(|judge| (judge, "judge"));
        let people = people.chain(self.stewards.iter().map(|steward| (steward, "steward")));
        for (number, (person, duty)) in people.enumerate() {
            let member: String = sqlx::query_scalar("select public_id from members where id = $1")
                .bind(person.id)
                .fetch_one(self.club.pool())
                .await
                .expect("a member");
            let mut fields = vec![("member", member.as_str()), ("duty", duty)];
            if number % 2 == 0 && duty == "judge" {
                fields.push(("experienced", "yes"));
            }
            done(
                &self.organising,
                &self.at("roster"),
                "Give the duty",
                &fields,
            )
            .await;
        }
    }

    async fn take_entries(&mut self) {
        let mut entrants = Vec::new();
        for number in 1..=ENTRANTS - 4 {
            entrants.push(a_quiet_member(&self.club, &format!("Entrant number {number}")).await);
        }
        // Some have a duty besides: what they enter is kept away from them.
        entrants.extend(self.judges[..3].iter().cloned());
        entrants.push(self.stewards[0].clone());
        let categories: i64 = sqlx::query_scalar(
            "select count(*) from competition_categories where competition_id = $1",
        )
        .bind(self.id)
        .fetch_one(self.club.pool())
        .await
        .expect("a count");
        let categories = usize::try_from(categories).expect("categories");
        for number in 0..ENTRIES {
            let lead = &entrants[number % ENTRANTS];
            let (abv, sweetness, character) = kind(number);
            // Large categories and small ones.
            let category = (number * number / 7) % categories;
            let mut entry = an_entry()
                .called(&format!("Mead number {number}"))
                .in_category(category)
                .of_kind(abv, sweetness, character);
            if number == 5 {
                entry = entry.made_with(&self.judges[4]);
            }
            let taken = entry.of(&self.club, &self.public_id, lead).await;
            let mead = Mead {
                code: taken.code.clone(),
                quality: quality(number),
                comes: comes(number),
            };
            self.meads.insert(taken.code, mead);
        }
        // One judge lives with one of the entrants.
        sqlx::query(
            "insert into competition_conflicts (competition_id, one_id, other_id)
             values ($1, least($2, $3), greatest($2, $3))",
        )
        .bind(self.id)
        .bind(self.judges[5].id)
        .bind(entrants[9].id)
        .execute(self.club.pool())
        .await
        .expect("a conflict");
        assert_eq!(self.meads.len(), ENTRIES);
    }

    /// Where the competition stands.
    pub async fn phase(&self) -> Phase {
        sqlx::query_scalar("select phase from competitions where id = $1")
            .bind(self.id)
            .fetch_one(self.club.pool())
            .await
            .expect("a phase")
    }

    /// In every category the best mead that was poured has the first place, and the best of all is the best of the show.
    pub async fn best_won(&self, answer: &Answer) {
        let rows: Vec<(String, i32)> = sqlx::query_as(
            "select e.code, k.place from competition_entries e join competition_categories k on k.id = e.category_id
             where e.competition_id = $1 and e.withdrawn_at is null and e.arrival in ('here', 'leaking')",
        )
        .bind(self.id)
        .fetch_all(self.club.pool())
        .await
        .expect("entries");
        let mut judged = BTreeSet::new();
        for category in &answer.categories {
            let of_category = rows
                .iter()
                .filter(|(_, place)| place.unsigned_abs() == category.number);
            let qualities = of_category.map(|(code, _)| self.meads[code].quality);
            let best = qualities.max().expect("somebody");
            let ranked = category
                .ranked
                .as_ref()
                .expect("a category that is decided");
            let first = ranked
                .placed
                .iter()
                .find(|placed| placed.place == 1)
                .expect("a first");
            assert_eq!(
                self.meads[&first.code].quality, best,
                "category {}",
                category.number
            );
            judged.extend(ranked.placed.iter().map(|placed| placed.code.clone()));
            judged.extend(category.unplaced.iter().cloned());
        }
        assert_eq!(
            judged.len(),
            rows.len(),
            "every mead that was poured has a place or none, and is told"
        );
        let best = answer.best.as_ref().expect("a best of the show");
        let first = best
            .placed
            .iter()
            .find(|placed| placed.place == 1)
            .expect("a first");
        let all = rows.iter().map(|(code, _)| self.meads[code].quality);
        assert_eq!(Some(self.meads[&first.code].quality), all.max());
    }
}
