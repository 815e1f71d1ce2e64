//! From a row of a table to entries: each cell as it would be typed, each fault with its row.

use std::collections::{HashMap, HashSet};
use std::fmt::Write as _;

use chrono::{DateTime, NaiveDateTime, NaiveTime, TimeDelta, Utc};
use sha2::{Digest, Sha256};

use super::columns::{MEANINGS, Table};
use crate::batches::model::{CameFrom, NewEntry};
use crate::batches::start::Speaks;
use crate::engine::density::sg_of_fraction;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Note, Reading};
use crate::engine::log::ranges::range_of;
use crate::web::dates::moment;
use crate::web::day;
use crate::web::typed::{instant, time_of_day};
use crate::web::units::{self, parse_gravity, parse_number_within, parse_temperature};
use crate::web::viewer::MemberId;

/// Day and time in one cell.
const BOTH: &[&str] = &[
    "%Y-%m-%d %H:%M",
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%dT%H:%M",
    "%Y-%m-%dT%H:%M:%S",
    "%d.%m.%Y %H:%M",
    "%d.%m.%Y %H:%M:%S",
];
/// The longest note, in characters.
const NOTE_MAX: usize = 2000;

/// Which column is what, and how its gravities are told.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chosen {
    /// For each of [`MEANINGS`].
    pub columns: Vec<Option<usize>>,
    /// Bare gravities are mass percent: °P or °Bx.
    pub in_percent: bool,
}

/// A row as it would be taken in, or why not.
pub struct Row {
    /// Its number among the rows below the heads.
    pub number: usize,
    pub when: String,
    pub words: String,
    pub fault: String,
    /// Why nothing of it is written although it reads: all that it says is there.
    pub again: String,
    pub entries: Vec<NewEntry>,
}

impl Row {
    /// Whether something of it is written.
    pub fn is_new(&self) -> bool {
        self.fault.is_empty() && self.again.is_empty()
    }
}

/// Reads every row.
pub fn rows(
    table: &Table,
    chosen: &Chosen,
    to: Speaks,
    began_at: DateTime<Utc>,
    by: MemberId,
) -> Vec<Row> {
    let all = table.rows.iter().enumerate();
    all.map(|(at, cells)| {
        let cell = |meaning: &str| cell(cells, chosen, meaning);
        let mut row = Row {
            number: at + 1,
            when: cell("when").to_owned(),
            words: String::new(),
            fault: String::new(),
            again: String::new(),
            entries: Vec::new(),
        };
        match one(&cell, chosen, to, began_at) {
            Ok((at, reading, note)) => {
                row.when = moment(at, to.zone);
                row.words = words(&reading, note.as_deref(), to);
                row.entries = entries(at, reading, note, by);
            }
            Err(fault) => row.fault = fault,
        }
        row
    })
    .collect()
}

/// What the rows would be known by in a log.
pub fn keys(rows: &[Row]) -> Vec<String> {
    let entries = rows.iter().flat_map(|row| &row.entries);
    entries
        .filter_map(|entry| entry.source_key.clone())
        .collect()
}

/// Leaves out what was taken in before, and what an earlier row says.
pub fn once_each(rows: &mut [Row], before: &HashSet<String>) {
    let mut seen: HashMap<String, usize> = HashMap::new();
    for row in rows.iter_mut().filter(|row| row.fault.is_empty()) {
        let mut earlier = None;
        row.entries.retain(|entry| {
            let key = entry.source_key.clone().unwrap_or_default();
            if before.contains(&key) {
                return false;
            }
            let first = *seen.entry(key).or_insert(row.number);
            if first != row.number {
                earlier = Some(first);
            }
            first == row.number
        });
        row.again = match earlier {
            _ if !row.entries.is_empty() => String::new(),
            Some(number) => format!("The same as row {number}."),
            None => "Taken in before.".to_owned(),
        };
    }
}

fn cell<'a>(cells: &'a [String], chosen: &Chosen, meaning: &str) -> &'a str {
    let place = MEANINGS.iter().position(|(name, _)| *name == meaning);
    let column = place.and_then(|place| chosen.columns.get(place).copied().flatten());
    column
        .and_then(|at| cells.get(at))
        .map_or("", String::as_str)
}

type Told = (DateTime<Utc>, Reading, Option<String>);

fn one<'a>(
    cell: &dyn Fn(&str) -> &'a str,
    chosen: &Chosen,
    to: Speaks,
    began_at: DateTime<Utc>,
) -> Result<Told, String> {
    let at = when(cell("when"), cell("time"), to).ok_or("The day cannot be read.")?;
    if at > to.now + TimeDelta::minutes(5) {
        return Err("That lies ahead.".to_owned());
    }
    if at < began_at - TimeDelta::days(1) {
        return Err("That is before the batch was mixed.".to_owned());
    }
    let bare = |text: &str| text.trim().replace(',', ".").parse::<f64>().ok();
    let sg = read(cell("gravity"), |text| {
        match bare(text).filter(|_| chosen.in_percent) {
            Some(percent) if (0.0..=80.0).contains(&percent) => Ok(sg_of_fraction(percent / 100.0)),
            _ => parse_gravity(text, sg_of_fraction).map_err(|fault| fault.to_string()),
        }
    })?;
    let must_temperature_c = read(cell("temperature"), |text| {
        parse_temperature(text, to.units).map_err(|fault| fault.to_string())
    })?;
    let ph = read(cell("ph"), |text| {
        parse_number_within(text, 2.0, 8.0).map_err(|_| "Its pH is none from 2 to 8.".to_owned())
    })?;
    for (key, value) in [("sg", sg), ("must_temperature_c", must_temperature_c)] {
        let beyond = value
            .zip(range_of(key))
            .is_some_and(|(value, range)| !range.holds(value));
        if beyond {
            return Err("That is beyond anything a mead can be.".to_owned());
        }
    }
    let note: String = cell("note")
        .chars()
        .filter(|c| !c.is_control())
        .take(NOTE_MAX)
        .collect();
    let note = Some(note).filter(|note| !note.is_empty());
    let reading = Reading {
        sg,
        must_temperature_c,
        ph,
        ..Reading::default()
    };
    match reading == Reading::default() && note.is_none() {
        true => Err("Nothing stands in the columns chosen.".to_owned()),
        false => Ok((at, reading, note)),
    }
}

fn read(text: &str, read: impl Fn(&str) -> Result<f64, String>) -> Result<Option<f64>, String> {
    match text {
        "" | "-" | "–" => Ok(None),
        text => read(text).map(Some),
    }
}

/// Day and time, in one cell or two. Of a day without a time nobody said it: noon stands for it.
fn when(day_cell: &str, time_cell: &str, to: Speaks) -> Option<DateTime<Utc>> {
    if let Ok(at) = DateTime::parse_from_rfc3339(day_cell) {
        return Some(at.with_timezone(&Utc));
    }
    let both = BOTH
        .iter()
        .find_map(|form| NaiveDateTime::parse_from_str(day_cell, form).ok());
    if let Some(both) = both {
        return instant(both.date(), both.time(), to.zone);
    }
    let day = day::read_past(day_cell, to.today(), to.units)?;
    let time = match time_cell {
        "" => NaiveTime::from_hms_opt(12, 0, 0)?,
        text => NaiveTime::parse_from_str(text, "%H:%M:%S")
            .ok()
            .or_else(|| time_of_day(text))?,
    };
    let at = instant(day, time, to.zone)?;
    // Today's noon may lie ahead.
    Some(if time_cell.is_empty() && day == to.today() {
        at.min(to.now)
    } else {
        at
    })
}

fn words(reading: &Reading, note: Option<&str>, to: Speaks) -> String {
    let sg = reading.sg.map(units::gravity);
    let heat = reading
        .must_temperature_c
        .map(|c| units::temperature(c, to.units));
    let ph = reading.ph.map(|ph| format!("pH {}", units::plain(ph, 2)));
    let note = note.map(|note| format!("“{}”", note.chars().take(60).collect::<String>()));
    let all: Vec<String> = [sg, heat, ph, note].into_iter().flatten().collect();
    all.join(", ")
}

/// The entries of a row, known by what they say: the same row again is the same entry.
fn entries(
    at: DateTime<Utc>,
    reading: Reading,
    note: Option<String>,
    by: MemberId,
) -> Vec<NewEntry> {
    let measured = (reading != Reading::default()).then_some(Deed::Reading(reading));
    let said = note.map(|text| Deed::Note(Note { text: Some(text) }));
    let deeds = measured.into_iter().chain(said);
    deeds
        .map(|deed| NewEntry {
            came_from: CameFrom::File,
            source_key: Some(source_key(at, &deed)),
            ..NewEntry::of(deed, at, by)
        })
        .collect()
}

fn source_key(at: DateTime<Utc>, deed: &Deed) -> String {
    let told = format!("{}|{deed:?}", at.timestamp_micros());
    let mut key = "row=".to_owned();
    for byte in Sha256::digest(told.as_bytes()) {
        let _ = write!(key, "{byte:02x}");
    }
    key
}

#[cfg(test)]
mod tests {
    use super::super::columns;
    use super::*;
    use crate::web::units::Units;

    fn to() -> Speaks {
        Speaks {
            units: Units::default(),
            zone: chrono_tz::Europe::Copenhagen,
            now: "2026-11-28T18:00:00Z".parse().unwrap(),
        }
    }

    fn of(text: &str, in_percent: bool) -> Vec<Row> {
        let table = columns::read(text).unwrap();
        let chosen = Chosen {
            columns: columns::guess(&table),
            in_percent,
        };
        let began_at = "2026-11-01T10:00:00Z".parse().unwrap();
        rows(&table, &chosen, to(), began_at, MemberId(1))
    }

    #[test]
    fn rows_are_read_as_they_would_be_typed() {
        let rows = of(
            "Date;Time;Gravity;Temp;pH;Note\n01.11.2026;18:00;1,090;20;3,8;\n2026-11-02;;1085;;;fizzes\n2026-11-03;;;-;;\n\
             soon;;1.09;;;\n2026-12-24;;1.09;;;\n2026-11-04;;sweet;;;\n2020-01-01;;1.1;;;\n2026-11-05;;1.04;;99;\n",
            false,
        );
        let sound: Vec<usize> = rows
            .iter()
            .filter(|row| row.fault.is_empty())
            .map(|row| row.number)
            .collect();
        assert_eq!(sound, [1, 2]);
        assert_eq!(
            rows[0].entries[0].at.to_rfc3339(),
            "2026-11-01T17:00:00+00:00"
        );
        let Deed::Reading(reading) = &rows[0].entries[0].deed else {
            panic!("a reading");
        };
        assert_eq!(
            (reading.sg, reading.must_temperature_c, reading.ph),
            (Some(1.09), Some(20.0), Some(3.8))
        );
        assert_eq!(rows[1].entries.len(), 2, "a reading and a note");
        assert_eq!(
            rows[1].entries[0].at.to_rfc3339(),
            "2026-11-02T11:00:00+00:00"
        );
    }

    #[test]
    fn percent_is_turned_and_the_same_row_has_the_same_key() {
        let rows = of(
            "when,brix\n2026-11-02T18:00:00Z,10\n2026-11-02T18:00:00Z,10\n2026-11-02T18:00:00Z,11\n",
            true,
        );
        let Deed::Reading(reading) = &rows[0].entries[0].deed else {
            panic!("a reading");
        };
        assert!((reading.sg.unwrap() - sg_of_fraction(0.1)).abs() < 1e-12);
        let key = |row: &Row| row.entries[0].source_key.clone().unwrap();
        assert_eq!(key(&rows[0]), key(&rows[1]));
        assert_ne!(key(&rows[0]), key(&rows[2]));
        assert!(key(&rows[0]).len() <= 200);
    }

    #[test]
    fn what_is_there_is_left_out_and_what_is_new_beside_it_is_not() {
        let mut rows = of(
            "when,sg,note\n2026-11-02T18:00:00Z,1.08,fizzes\n2026-11-02T18:00:00Z,1.08,\n2026-11-02T18:00:00Z,1.08,still\n\
             2026-11-03T18:00:00Z,1.07,\nsoon,1.07,\n",
            false,
        );
        let before = HashSet::from([rows[3].entries[0].source_key.clone().unwrap()]);
        once_each(&mut rows, &before);
        let again: Vec<&str> = rows.iter().map(|row| row.again.as_str()).collect();
        assert_eq!(
            again,
            ["", "The same as row 1.", "", "Taken in before.", ""]
        );
        let left: Vec<usize> = rows.iter().map(|row| row.entries.len()).collect();
        assert_eq!(left, [2, 0, 1, 0, 0], "the third has a note of its own");
        assert_eq!(keys(&rows).len(), 3);
    }
}
