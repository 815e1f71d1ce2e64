//! Places in a list: where a page begins, and which of two recipes comes first.

use std::cmp::Ordering;

use chrono::{DateTime, Utc};

use super::Sort;
use super::store::Spot;
use crate::recipes::model::Cursor;

/// The place of what was found by another reading of the words; those before it are tiers of words.
pub(super) const READ: i32 = 4;

/// Where a page begins, in any order; what an order does not know stands before everything.
#[derive(Clone, Debug, PartialEq, Default)]
pub(super) struct After {
    pub tier: i32,
    pub score: Option<i32>,
    pub updated_at: Option<DateTime<Utc>>,
    pub name_key: Option<String>,
    pub public_id: Option<String>,
}

impl After {
    /// A cursor of another order is none.
    pub fn of(sort: Sort, cursor: Option<&Cursor>) -> After {
        let mut after = After::default();
        match (sort, cursor) {
            (
                Sort::Newest,
                Some(Cursor::Newest {
                    updated_at,
                    public_id,
                }),
            ) => {
                after.updated_at = Some(*updated_at);
                after.public_id = Some(public_id.to_string());
            }
            (
                Sort::Best,
                Some(Cursor::Best {
                    score,
                    updated_at,
                    public_id,
                }),
            ) => {
                after.score = Some(*score);
                after.updated_at = Some(*updated_at);
                after.public_id = Some(public_id.to_string());
            }
            (
                Sort::Usual,
                Some(Cursor::Found {
                    tier,
                    score,
                    updated_at,
                    public_id,
                }),
            ) if (1..=READ).contains(tier) => {
                after.tier = *tier;
                after.score = Some(*score);
                after.updated_at = Some(*updated_at);
                after.public_id = Some(public_id.to_string());
            }
            (
                Sort::Name,
                Some(Cursor::Name {
                    name_key,
                    public_id,
                }),
            ) => {
                after.name_key = Some(name_key.clone());
                after.public_id = Some(public_id.to_string());
            }
            _ => {}
        }
        after
    }
}

impl Spot {
    /// The cursor of a page that ends here.
    pub fn cursor(&self, sort: Sort) -> Cursor {
        let (score, updated_at, public_id) = (self.score, self.updated_at, self.public_id.clone());
        match sort {
            Sort::Newest => Cursor::Newest {
                updated_at,
                public_id,
            },
            Sort::Best => Cursor::Best {
                score,
                updated_at,
                public_id,
            },
            Sort::Name => Cursor::Name {
                name_key: self.name_key.clone(),
                public_id,
            },
            Sort::Usual => Cursor::Found {
                tier: self.tier,
                score,
                updated_at,
                public_id,
            },
        }
    }

    /// Which of two comes first.
    pub fn order(&self, other: &Spot, sort: Sort) -> Ordering {
        let newer = || {
            let of = |spot: &Spot| (spot.updated_at, spot.public_id.clone());
            of(other).cmp(&of(self))
        };
        let better = || other.score.cmp(&self.score).then_with(newer);
        match sort {
            Sort::Newest => newer(),
            Sort::Best => better(),
            Sort::Name => {
                let of = |spot: &Spot| (spot.name_key.clone(), spot.public_id.clone());
                of(self).cmp(&of(other))
            }
            Sort::Usual => self.tier.cmp(&other.tier).then_with(better),
        }
    }
}
