//! What a maker says of an entry, what stands in the way of one, and an entry as its makers see it.

use chrono::{DateTime, NaiveDate, Utc};

use crate::competitions::entries::Entry;
use crate::competitions::model::{CategoryId, Phase};
use crate::engine::contest::declared::Declared;
use crate::engine::contest::rules::Rules;
use crate::recipes::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Letters of what its makers call it.
pub const NAME_MAX: usize = 120;
/// Letters of the special ingredients and of the note.
pub const SPECIAL_MAX: usize = 200;
pub const NOTE_MAX: usize = 600;
/// Members who made it together with whoever enters it.
pub const TOGETHER_MAX: usize = 5;

/// An entry as its maker says it.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    pub category: CategoryId,
    pub declared: Declared,
    /// What its makers call it; judges never read it.
    pub name: String,
    /// A batch of whoever enters it; a bottle without one has none.
    pub batch: Option<PublicId>,
    pub together: Vec<MemberId>,
}

/// Why nothing can be entered, changed or withdrawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// Entries are not open, or not any more.
    Phase(Phase),
    /// The member has as many as one may have.
    OneMember(u32),
    /// The competition has as many as it takes.
    InAll(u32),
    /// It was withdrawn.
    Withdrawn,
    /// Somebody changed it since the form was opened.
    Changed,
    /// The category is not one of this competition.
    Category,
}

/// How many entries there are, withdrawn ones not counted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counted {
    pub of_member: i64,
    pub in_all: i64,
}

/// What stands in the way of another one, if anything does.
pub fn another(rules: &Rules, counted: Counted) -> Option<Refused> {
    let full = |most: Option<u32>, counted: i64| most.filter(|most| counted >= i64::from(*most));
    if let Some(most) = full(rules.most_per_member, counted.of_member) {
        return Some(Refused::OneMember(most));
    }
    full(rules.most_in_all, counted.in_all).map(Refused::InAll)
}

/// The last day on which one may enter, if that is over; `today` as the clock of whoever enters says.
pub fn over(rules: &Rules, today: NaiveDate) -> Option<NaiveDate> {
    let last: NaiveDate = rules.closes_on.as_deref()?.parse().ok()?;
    (last < today).then_some(last)
}

/// An entry as one of its makers sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct Mine {
    pub entry: Entry,
    pub name: String,
    /// Whether the viewer is the one who entered it.
    pub leads: bool,
    pub lead_name: String,
    pub batch: Option<PublicId>,
    pub together: Vec<(MemberId, String)>,
    pub entered_at: DateTime<Utc>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_count_to_the_last_place() {
        let rules = Rules {
            most_per_member: Some(2),
            most_in_all: Some(3),
            ..Rules::default()
        };
        let with = |of_member, in_all| another(&rules, Counted { of_member, in_all });
        assert_eq!(with(1, 2), None);
        assert_eq!(with(2, 2), Some(Refused::OneMember(2)));
        assert_eq!(with(0, 3), Some(Refused::InAll(3)));
        let counted = Counted {
            of_member: 900,
            in_all: 900,
        };
        assert_eq!(another(&Rules::default(), counted), None);
    }
}
