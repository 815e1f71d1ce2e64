//! The rules as forms, in three parts, and as everybody reads them.

mod days;
pub(super) mod pages;
pub(super) mod published;
mod sheet;
mod tables;

use chrono::NaiveDate;

use crate::engine::contest::rules::Rules;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::money::Currency;
use crate::web::typed::Typed;
use crate::web::units::{Units, parse_whole};

/// What an organiser sets before it opens.
#[derive(Clone, Debug, PartialEq)]
pub struct Fixed {
    pub title: String,
    pub terms: String,
    pub prizes: String,
    pub rules: Rules,
}

/// A part of it: one page with one form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    Days,
    Sheet,
    Tables,
}

/// For whom a form is read and written.
#[derive(Clone, Copy)]
pub struct Speaks {
    pub units: Units,
    pub today: NaiveDate,
    pub currency: Currency,
}

impl Part {
    /// All of them, in the order in which they are best filled in.
    pub const ALL: [Part; 3] = [Part::Days, Part::Sheet, Part::Tables];

    /// The word in addresses.
    pub fn word(self) -> &'static str {
        match self {
            Part::Days => "days",
            Part::Sheet => "sheet",
            Part::Tables => "tables",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Part> {
        Part::ALL.into_iter().find(|part| part.word() == word)
    }

    /// What it is called.
    pub fn says(self) -> &'static str {
        match self {
            Part::Days => "Days, bottles and limits",
            Part::Sheet => "The scoresheet",
            Part::Tables => "Tables, flights and ties",
        }
    }

    /// Its fields, with their labels: what two texts of it are compared by.
    fn fields(self) -> Vec<(String, &'static str)> {
        match self {
            Part::Days => named(days::FIELDS),
            Part::Sheet => sheet::fields(),
            Part::Tables => named(tables::FIELDS),
        }
    }

    /// Reads what was typed, on top of what stands.
    fn read(
        self,
        posted: &Posted,
        stands: &Fixed,
        to: Speaks,
    ) -> Result<Result<Fixed, FormState>, Error> {
        let mut typed = Typed::of(posted);
        let mut fixed = stands.clone();
        match self {
            Part::Days => days::read(&mut typed, &mut fixed, to)?,
            Part::Sheet => sheet::read(&mut typed, &mut fixed.rules)?,
            Part::Tables => tables::read(&mut typed, &mut fixed.rules)?,
        }
        Ok(match typed.form.is_sound() {
            true => Ok(fixed),
            false => Err(typed.form),
        })
    }

    /// The form of what stands.
    fn filled(self, stands: &Fixed, to: Speaks) -> FormState {
        match self {
            Part::Days => days::filled(stands, to),
            Part::Sheet => sheet::filled(&stands.rules),
            Part::Tables => tables::filled(&stands.rules),
        }
    }
}

fn named(fields: &[(&str, &'static str)]) -> Vec<(String, &'static str)> {
    let fields = fields.iter();
    fields
        .map(|(name, label)| ((*name).to_owned(), *label))
        .collect()
}

/// A whole number that must stand there; `stands` where it does not.
fn whole(
    typed: &mut Typed<'_>,
    name: &str,
    (low, high): (u32, u32),
    stands: u32,
) -> Result<u32, Error> {
    let found = whole_or_none(typed, name, (low, high))?;
    if found.is_none() && typed.form.fault(name).is_none() {
        let why = format!("Write a whole number from {low} to {high}.");
        typed.form.refuse(name, why);
    }
    Ok(found.unwrap_or(stands))
}

/// A whole number, or nothing.
fn whole_or_none(
    typed: &mut Typed<'_>,
    name: &str,
    (low, high): (u32, u32),
) -> Result<Option<u32>, Error> {
    let why = || format!("Write a whole number from {low} to {high}.");
    typed.read(name, |text| {
        let bounds = (i32::try_from(low), i32::try_from(high));
        let (Ok(low), Ok(high)) = bounds else {
            return Err(why());
        };
        let found = parse_whole(text, low, high).ok();
        found
            .and_then(|number| u32::try_from(number).ok())
            .ok_or_else(why)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn speaks() -> Speaks {
        Speaks {
            units: Units::default(),
            today: NaiveDate::from_ymd_opt(2030, 3, 1).expect("a day"),
            currency: Currency::default(),
        }
    }

    fn stands() -> Fixed {
        Fixed {
            title: "Spring".to_owned(),
            terms: "Be kind.".to_owned(),
            prizes: "A jar.".to_owned(),
            rules: Rules {
                closes_on: Some("2030-05-01".to_owned()),
                drop_off_until: Some("2030-05-10".to_owned()),
                judged_on: Some("2030-05-20".to_owned()),
                drop_off_at: "The hall".to_owned(),
                fee: Some(4.5),
                most_per_member: Some(3),
                most_in_all: Some(60),
                sections_source: "ours".to_owned(),
                draw_from: "the lottery of that Saturday".to_owned(),
                ..Rules::default()
            },
        }
    }

    /// What stands, as its own form sends it back, with some fields otherwise.
    fn sent(part: Part, otherwise: &[(&str, &str)]) -> Posted {
        let form = part.filled(&stands(), speaks());
        let fields = part.fields();
        let names = fields.iter().map(|(name, _)| name.as_str());
        Posted::from_pairs(names.map(|name| {
            let other = otherwise.iter().find(|(field, _)| *field == name);
            let text = other.map_or_else(|| form.typed(name), |(_, text)| *text);
            (name.to_owned(), text.to_owned())
        }))
    }

    #[test]
    fn every_form_reads_back_what_it_shows() {
        for part in Part::ALL {
            let read = part.read(&sent(part, &[]), &stands(), speaks());
            assert_eq!(read.expect("once each"), Ok(stands()), "{part:?}");
        }
    }

    #[test]
    fn what_cannot_be_is_refused_beside_its_field() {
        for (part, field, text) in [
            (Part::Days, "title", ""),
            (Part::Days, "closes_on", "some day"),
            (Part::Days, "drop_off_until", "2030-04-30"),
            (Part::Days, "judged_on", "2030-05-09"),
            (Part::Days, "fee", "much"),
            (Part::Days, "most_per_member", "0"),
            (Part::Days, "most_in_all", "1.5"),
            (Part::Days, "bottles", ""),
            (Part::Days, "held_back", "3"),
            (Part::Days, "bottle_ml", "5"),
            (Part::Days, "withdraw_until", "whenever"),
            (Part::Sheet, "name_2", ""),
            (Part::Sheet, "most_1", "0"),
            (Part::Sheet, "most_3", "many"),
            (Part::Sheet, "from_2", "900"),
            (Part::Sheet, "from_3", "15"),
            (Part::Sheet, "words_4", ""),
            (Part::Tables, "tie_2", "tasted_again"),
            (Part::Tables, "tie_1", "luck"),
            (Part::Tables, "draw_from", ""),
            (Part::Tables, "split_above", "5"),
            (Part::Tables, "flight_most", "5"),
            (Part::Tables, "flight_strong", "9"),
            (Part::Tables, "glasses_a_day", "200"),
            (Part::Tables, "rest_minutes", ""),
            (Part::Tables, "spread_most", "51"),
            (Part::Tables, "go_on", "9"),
        ] {
            let read = part.read(&sent(part, &[(field, text)]), &stands(), speaks());
            let form = read.expect("once each").expect_err(field);
            assert!(form.fault(field).is_some(), "{field} {:?}", form.faults());
            assert_eq!(form.typed(field), text);
        }
    }
}
