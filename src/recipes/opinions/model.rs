//! A rating, who gave it, and in what words it is offered and told.

use std::str::FromStr;

use chrono::{DateTime, Utc};

use super::score::{BEGINS_AT, BEGINS_WITH, Score};
use crate::recipes::public_id::PublicId;
use crate::web::units::plain;
use crate::web::viewer::MemberId;

/// How somebody knows what they rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum Basis {
    Made,
    Tasted,
    Read,
}

impl Basis {
    /// All of them, the one that tells most first.
    pub const ALL: [Basis; 3] = [Basis::Made, Basis::Tasted, Basis::Read];

    /// The word in the database and in forms.
    pub fn as_str(self) -> &'static str {
        match self {
            Basis::Made => "made",
            Basis::Tasted => "tasted",
            Basis::Read => "read",
        }
    }

    /// What is told of a member.
    pub fn told(self) -> &'static str {
        match self {
            Basis::Made => "made it",
            Basis::Tasted => "tasted it",
            Basis::Read => "only read it",
        }
    }
}

impl FromStr for Basis {
    type Err = ();

    fn from_str(word: &str) -> Result<Self, ()> {
        let mut all = Basis::ALL.into_iter();
        all.find(|basis| basis.as_str() == word).ok_or(())
    }
}

/// What one member thinks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rating {
    /// 1 to 5.
    pub stars: u8,
    pub basis: Basis,
}

/// The five, the best first: the number and what a maker means by it.
pub const STARS: [(&str, &str); 5] = [
    ("5", "5: I would make it again and again"),
    ("4", "4: very good"),
    ("3", "3: good, worth making"),
    ("2", "2: drinkable, with something to mend"),
    ("1", "1: not for me"),
];

/// How one knows, the word and what a member says.
pub const WAYS: [(&str, &str); 3] = [
    ("made", "I made it"),
    ("tasted", "I tasted it"),
    ("read", "I have only read it"),
];

/// A rating with who gave it, and of which revision.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    pub member: MemberId,
    pub name: String,
    pub revision: i32,
    pub rating: Rating,
    pub rated_at: DateTime<Utc>,
}

/// What is new on one of a member's own recipes.
#[derive(Clone, Debug, PartialEq)]
pub struct News {
    pub recipe: PublicId,
    pub title: String,
    pub ratings: i64,
    pub comments: i64,
    /// When the newest of it was given.
    pub at: DateTime<Utc>,
}

impl News {
    /// "2 ratings and a comment".
    pub fn words(&self) -> String {
        let count = |many: i64, one: &str| match many {
            0 => None,
            1 => Some(format!("a {one}")),
            many => Some(format!("{many} {one}s")),
        };
        let parts = [
            count(self.ratings, "rating"),
            count(self.comments, "comment"),
        ];
        parts
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(" and ")
    }
}

/// "4.2 of 5 by 7 members; 3 made it": what lists say, from what recipes keep. Nothing where nobody has rated.
pub fn standing(mean: Option<f64>, count: i32, made: i32) -> String {
    let Some(mean) = mean else {
        return String::new();
    };
    let by = match count {
        1 => "1 member".to_owned(),
        count => format!("{count} members"),
    };
    let made = match made {
        0 => String::new(),
        made if made == count && count == 1 => ", who made it".to_owned(),
        made => format!("; {made} made it"),
    };
    format!("{mean:.1} of 5 by {by}{made}")
}

impl Score {
    /// "4.2 of 5 by 7 members: 3 made it, 2 tasted it, 2 only read it"; nothing where nobody has rated.
    pub fn words(&self) -> String {
        self.words_to(1)
    }

    /// The same with so many decimals.
    pub fn words_to(&self, decimals: usize) -> String {
        let Some(mean) = self.mean() else {
            return String::new();
        };
        let by = match self.count() {
            1 => "1 member".to_owned(),
            count => format!("{count} members"),
        };
        let counts = [self.made, self.tasted, self.read]
            .into_iter()
            .zip(Basis::ALL);
        let counts = counts.filter(|(count, _)| *count > 0);
        let parts: Vec<String> = match self.count() {
            1 => counts
                .map(|(_, basis)| format!("who {}", basis.told()))
                .collect(),
            _ => counts
                .map(|(count, basis)| format!("{count} {}", basis.told()))
                .collect(),
        };
        let joint = if self.count() == 1 { "," } else { ":" };
        format!("{mean:.decimals$} of 5 by {by}{joint} {}", parts.join(", "))
    }

    /// The reckoning with its numbers put in; nothing where nobody has rated.
    pub fn worked(&self) -> String {
        let Some(mean) = self.mean() else {
            return String::new();
        };
        let mut sum = format!("{BEGINS_WITH} × {BEGINS_AT}");
        let mut weight = format!("{BEGINS_WITH}");
        let known = self.made + self.tasted;
        if known > 0 {
            sum += &format!(" + {}", self.known_sum);
            weight += &format!(" + {known}");
        }
        if self.read > 0 {
            sum += &format!(" + ½ × {}", self.read_sum);
            weight += &format!(" + ½ × {}", self.read);
        }
        format!("({sum}) ÷ ({weight}) = {}", plain(mean, 2))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_a_standing() {
        assert_eq!(standing(None, 0, 0), "");
        assert_eq!(
            standing(Some(3.4), 1, 1),
            "3.4 of 5 by 1 member, who made it"
        );
        assert_eq!(standing(Some(3.24), 1, 0), "3.2 of 5 by 1 member");
        assert_eq!(
            standing(Some(4.0), 7, 3),
            "4.0 of 5 by 7 members; 3 made it"
        );
        let rating = |stars, basis| Rating { stars, basis };
        let one = Score::of([rating(5, Basis::Read)]);
        assert_eq!(one.words(), "3.2 of 5 by 1 member, who only read it");
        let two = Score::of([rating(5, Basis::Made), rating(4, Basis::Tasted)]);
        assert_eq!(two.words(), "3.5 of 5 by 2 members: 1 made it, 1 tasted it");
        assert_eq!(Score::default().words(), "");
        assert_eq!(two.worked(), "(4 × 3 + 9) ÷ (4 + 2) = 3.5");
        assert_eq!(one.worked(), "(4 × 3 + ½ × 5) ÷ (4 + ½ × 1) = 3.22");
        assert_eq!(Score::default().worked(), "");
    }
}
