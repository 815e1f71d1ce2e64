//! Who has which duty, and what judges say of themselves.

pub(super) mod apart;
pub(super) mod mine;
pub(super) mod pages;
pub(super) mod stepping_in;
pub mod store;
pub(super) mod taking;

use crate::competitions::model::Duty;
use crate::web::viewer::MemberId;

/// Somebody with a duty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Helper {
    pub member: MemberId,
    pub public_id: String,
    pub name: String,
    pub duty: Duty,
    pub experienced: bool,
    /// They left the club, or were shut out.
    pub gone: bool,
    /// Flights that are not done at whose table they sit.
    pub seats: i64,
}

/// Two whom an organiser keeps apart: their public ids and names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pair {
    pub one: String,
    pub one_name: String,
    pub other: String,
    pub other_name: String,
}

/// What a judge says of themselves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// Codes of allergens and kinds, and words of their own.
    pub abstains: Vec<String>,
    /// Glasses in a day.
    pub ceiling: Option<i32>,
    /// Whose meads they must not judge besides their own.
    pub apart_from: Vec<MemberId>,
}

impl Limits {
    /// Keeps apart whom they named before too: once tables are made, nobody tries out one name after another.
    fn keep(&mut self, before: &Limits) {
        for other in &before.apart_from {
            if !self.apart_from.contains(other) {
                self.apart_from.push(*other);
            }
        }
    }

    /// Whose seats hang on it, where the judge leaves out anything that they did not leave out before: theirs, and those of
    /// judges whom they named, who do not judge their meads either.
    fn touches(&self, judge: MemberId, before: &Limits) -> Vec<MemberId> {
        let tastes_less = self
            .abstains
            .iter()
            .any(|one| !before.abstains.contains(one));
        let named = self.apart_from.iter();
        let named: Vec<MemberId> = named
            .filter(|one| !before.apart_from.contains(one))
            .copied()
            .collect();
        match tastes_less || !named.is_empty() {
            true => std::iter::once(judge).chain(named).collect(),
            false => Vec::new(),
        }
    }
}
