//! What an order is, what is offered in it, and who wants what.

use chrono::{DateTime, NaiveDate, Utc};

use super::share::{self, Bill, MG_PER_KG, Offered, Wish};
use crate::web::viewer::MemberId;

/// The longest title and name, in letters.
pub const LINE_MAX: usize = 120;
/// The longest terms, in letters.
pub const TERMS_MAX: usize = 2000;
/// How many honeys one order offers.
pub const HONEYS_MAX: i64 = 20;
/// How many lines one order holds.
pub const LINES_MAX: i64 = 1000;

/// How far an order has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Members add what they want.
    Open,
    /// Nothing is added or taken back: it is bought, paid and handed over.
    Closed,
    /// Everybody has their honey.
    Done,
    /// Called off.
    Cancelled,
}

/// What its opener says of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    pub title: String,
    pub terms: String,
    /// In the smallest coin.
    pub delivery: i64,
    pub pay_until: Option<NaiveDate>,
    pub closes_at: DateTime<Utc>,
}

/// An order.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    pub public_id: String,
    pub opener: MemberId,
    pub opener_name: String,
    pub said: Said,
    pub closed_at: Option<DateTime<Utc>>,
    pub done_at: Option<DateTime<Utc>>,
    pub cancelled_at: Option<DateTime<Utc>>,
    pub version: i32,
    pub created_at: DateTime<Utc>,
}

impl Order {
    /// How far it has come.
    pub fn phase(&self, now: DateTime<Utc>) -> Phase {
        match (self.cancelled_at, self.done_at, self.closed_at) {
            (Some(_), _, _) => Phase::Cancelled,
            (_, Some(_), _) => Phase::Done,
            (_, _, Some(_)) => Phase::Closed,
            _ if self.said.closes_at <= now => Phase::Closed,
            _ => Phase::Open,
        }
    }
}

/// A honey as it is put on offer.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    pub key: Option<String>,
    pub name: String,
    pub price_per_kg: i64,
    pub pack_kg: f64,
}

/// A honey that is offered.
#[derive(Clone, Debug, PartialEq)]
pub struct Honey {
    pub public_id: String,
    pub offer: Offer,
}

/// What somebody adds.
#[derive(Clone, Debug, PartialEq)]
pub struct Want {
    pub honey: String,
    pub kg: f64,
    /// The recipe that needs it, its revision, and the litres it is planned for.
    pub planned: Option<(String, i32, f64)>,
}

/// What somebody wants.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub public_id: String,
    pub honey: String,
    pub member: MemberId,
    pub member_public_id: String,
    pub member_name: String,
    pub kg: f64,
    /// The recipe that needs it: public id and title, while the reader may see it.
    pub recipe: Option<(String, String)>,
    pub volume_l: Option<f64>,
}

/// Whether a member has paid, and has their honey.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    pub member: MemberId,
    pub paid: bool,
    pub handed: bool,
}

/// Somebody who wants something.
#[derive(Clone, Debug, PartialEq)]
pub struct Buyer {
    pub id: MemberId,
    pub public_id: String,
    pub name: String,
}

/// What an order comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Sum {
    pub buyers: Vec<Buyer>,
    pub bill: Bill,
}

/// Adds an order up. Buyers stand by name.
pub fn sum(honeys: &[Honey], lines: &[Line], delivery: i64) -> Sum {
    let mut buyers: Vec<Buyer> = Vec::new();
    for line in lines {
        if !buyers.iter().any(|buyer| buyer.id == line.member) {
            buyers.push(Buyer {
                id: line.member,
                public_id: line.member_public_id.clone(),
                name: line.member_name.clone(),
            });
        }
    }
    buyers.sort_by_key(|buyer| (buyer.name.to_lowercase(), buyer.public_id.clone()));
    let mg = |kg: f64| (kg * MG_PER_KG).round().max(0.0) as u64;
    let offered: Vec<Offered> = honeys
        .iter()
        .map(|honey| Offered {
            price_per_kg: honey.offer.price_per_kg,
            pack_mg: mg(honey.offer.pack_kg),
        })
        .collect();
    let wishes = lines.iter().filter_map(|line| {
        Some(Wish {
            honey: honeys
                .iter()
                .position(|honey| honey.public_id == line.honey)?,
            member: buyers.iter().position(|buyer| buyer.id == line.member)?,
            mg: mg(line.kg),
        })
    });
    let wishes: Vec<Wish> = wishes.collect();
    let bill = share::bill(&offered, buyers.len(), &wishes, delivery);
    Sum { buyers, bill }
}

/// Why an order was not saved.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    #[error("there is no such order of theirs that is open")]
    NotFound,
    #[error("it was saved meanwhile")]
    Conflict(Box<Order>),
    #[error(transparent)]
    Database(#[from] sqlx::Error),
}
