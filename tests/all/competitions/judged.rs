//! Flights, signed sheets and agreements in the making, past all pages.

use chrono::Utc;
use mustwright::engine::contest::rules::Rules;
use mustwright::engine::contest::sheet::{Agreed, AgreedEntry, Marked, Sheet};
use sqlx::types::Json;

use super::building::{Held, PutIn};
use crate::support::{Club, Person};

/// A sheet of the usual rules with this total, every section with a word, and these faults.
pub fn a_sheet(total: u32, faults: &[&str]) -> Sheet {
    let mut left = total;
    let sections = Rules::default().sections.into_iter().map(|section| {
        let points = left.min(section.most);
        left -= points;
        let marked = Marked {
            points: Some(points),
            comment: format!("{} is as it should be.", section.name),
        };
        (section.key, marked)
    });
    Sheet {
        sections: sections.collect(),
        faults: faults.iter().map(|fault| (*fault).to_owned()).collect(),
        advice: "Let it stand another winter.".to_owned(),
    }
}

/// What a table agreed on: code, points, place, whether it goes on.
pub fn an_agreement(of: &[(&str, Option<u32>, u32, bool)]) -> Agreed {
    let entry = |(code, points, place, goes_on): &(&str, Option<u32>, u32, bool)| AgreedEntry {
        code: (*code).to_owned(),
        points: *points,
        place: Some(*place),
        goes_on: *goes_on,
        spread: Some(2),
        tasted_again: false,
    };
    Agreed {
        entries: of.iter().map(entry).collect(),
        orders: Vec::new(),
    }
}

impl Held {
    /// Puts a flight down with its glasses and its table, and calls its bottles here.
    pub async fn flight(
        &self,
        club: &Club,
        (number, kind, category): (i32, &str, Option<usize>),
        entries: &[&PutIn],
        judges: &[&Person],
    ) -> i64 {
        let category = category.map(|at| self.categories[at].id.0);
        let id: i64 = sqlx::query_scalar(
            "insert into competition_flights (public_id, competition_id, kind, category_id, number, state)
             values (translate(substr(md5(random()::text), 1, 20), '0189', 'abcd'), $1, $2, $3, $4, 'done') returning id",
        )
        .bind(self.id.0)
        .bind(kind)
        .bind(category)
        .bind(number)
        .fetch_one(club.pool())
        .await
        .expect("a flight");
        for (place, entry) in (1i32..).zip(entries) {
            sqlx::query(
                "insert into competition_pours (flight_id, entry_id, place) values ($1, $2, $3)",
            )
            .bind(id)
            .bind(entry.id)
            .bind(place)
            .execute(club.pool())
            .await
            .expect("a glass");
            sqlx::query(
                "update competition_entries set arrival = 'here', checked_at = now() where id = $1",
            )
            .bind(entry.id)
            .execute(club.pool())
            .await
            .expect("its bottles");
        }
        for (at, judge) in judges.iter().enumerate() {
            sqlx::query(
                "insert into competition_tables (flight_id, member_id, leads) values ($1, $2, $3)",
            )
            .bind(id)
            .bind(judge.id.0)
            .bind(at == 0)
            .execute(club.pool())
            .await
            .expect("a judge");
        }
        id
    }
}

/// Writes a row of a sheet: `signed`, `reopened`, `recused` …
pub async fn wrote_sheet(
    club: &Club,
    flight: i64,
    entry: &PutIn,
    judge: &Person,
    (deed, sheet): (&str, &Sheet),
) {
    sqlx::query(
        "insert into competition_sheets (flight_id, entry_id, judge_id, number, deed, data, by_id, at)
         select $1, $2, $3, coalesce(max(number), 0) + 1, $4, $5, $3, $6
         from competition_sheets where flight_id = $1 and entry_id = $2 and judge_id = $3",
    )
    .bind(flight)
    .bind(entry.id)
    .bind(judge.id.0)
    .bind(deed)
    .bind(Json(sheet))
    .bind(Utc::now())
    .execute(club.pool())
    .await
    .expect("a sheet");
}

/// Writes down what a table agrees on.
pub async fn agreed(club: &Club, flight: i64, by: &Person, agreed: &Agreed) {
    sqlx::query(
        "insert into competition_agreed (flight_id, number, data, by_id, at)
         select $1, coalesce(max(number), 0) + 1, $2, $3, $4 from competition_agreed where flight_id = $1",
    )
    .bind(flight)
    .bind(Json(agreed))
    .bind(by.id.0)
    .bind(Utc::now())
    .execute(club.pool())
    .await
    .expect("an agreement");
}

/// Writes down a judge's order of codes.
pub async fn ordered(club: &Club, flight: i64, judge: &Person, codes: &[&str]) {
    let codes: Vec<String> = codes.iter().map(|code| (*code).to_owned()).collect();
    sqlx::query(
        "insert into competition_orders (flight_id, judge_id, number, codes, at)
         select $1, $2, coalesce(max(number), 0) + 1, $3, $4
         from competition_orders where flight_id = $1 and judge_id = $2",
    )
    .bind(flight)
    .bind(judge.id.0)
    .bind(codes)
    .bind(Utc::now())
    .execute(club.pool())
    .await
    .expect("an order");
}
