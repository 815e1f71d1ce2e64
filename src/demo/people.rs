//! The invented club and its invented members.

use crate::web::units::Units;
use crate::web::viewer::{Role, Settings};

/// The club.
pub const CLUB: &str = "Alder Reach Mead Makers";

/// What it says of itself.
pub const ABOUT: &str = "We meet on the first Thursday of the month in the old boat house, to taste what is ready and \
    to mix what is not yet.\n\nNewcomers are welcome with or without a mead of their own. Ask Maren.";

/// One of the club.
pub struct Person {
    pub name: &'static str,
    pub role: Role,
    pub units: Units,
    zone: chrono_tz::Tz,
    /// Since when they are of the club.
    pub joined_days_ago: i64,
    /// Whether a password is made and told.
    pub signs_in: bool,
}

impl Person {
    /// How pages speak to them.
    pub fn settings(&self) -> Settings {
        Settings {
            units: self.units,
            zone: self.zone,
            ..Settings::default()
        }
    }
}

pub const MAREN: &str = "Maren Holloway";
pub const TOBIAS: &str = "Tobias Fenwick";
pub const INES: &str = "Ines Quarrie";
pub const OSKAR: &str = "Oskar Lindvall";
pub const PIA: &str = "Pia Thornbury";
pub const DESMOND: &str = "Desmond Okell";

/// Everybody.
pub const PEOPLE: &[Person] = &[
    Person {
        name: MAREN,
        role: Role::Keeper,
        units: Units::Metric,
        zone: chrono_tz::Europe::Copenhagen,
        joined_days_ago: 1460,
        signs_in: true,
    },
    Person {
        name: TOBIAS,
        role: Role::Member,
        units: Units::Metric,
        zone: chrono_tz::Europe::Copenhagen,
        joined_days_ago: 86,
        signs_in: true,
    },
    Person {
        name: INES,
        role: Role::Member,
        units: Units::Metric,
        zone: chrono_tz::Europe::Lisbon,
        joined_days_ago: 700,
        signs_in: false,
    },
    Person {
        name: OSKAR,
        role: Role::Member,
        units: Units::Metric,
        zone: chrono_tz::Europe::Stockholm,
        joined_days_ago: 980,
        signs_in: false,
    },
    Person {
        name: PIA,
        role: Role::Member,
        units: Units::Imperial,
        zone: chrono_tz::Europe::London,
        joined_days_ago: 410,
        signs_in: false,
    },
    Person {
        name: DESMOND,
        role: Role::Member,
        units: Units::Us,
        zone: chrono_tz::America::Chicago,
        joined_days_ago: 530,
        signs_in: false,
    },
];

/// The units that a member reads.
pub fn units_of(name: &str) -> Units {
    PEOPLE
        .iter()
        .find(|person| person.name == name)
        .map_or(Units::Metric, |person| person.units)
}
