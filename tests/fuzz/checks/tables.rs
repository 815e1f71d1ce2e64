//! What holds of any text as a table of readings.

use std::collections::HashSet;

use chrono::{DateTime, TimeDelta, Utc};
use mustwright::batches::start::Speaks;
use mustwright::batches::table::columns::{guess, read};
use mustwright::batches::table::rows::{Chosen, Row, keys, once_each, rows};
use mustwright::engine::log::Deed;
use mustwright::web::units::Units;
use mustwright::web::viewer::MemberId;

/// The first byte says whose units and how bare gravities are told, the rest is the table.
pub fn check(bytes: &[u8]) {
    let Some((first, rest)) = bytes.split_first() else {
        return;
    };
    let text = String::from_utf8_lossy(rest);
    let table = match read(&text) {
        Ok(table) => table,
        Err(why) => {
            assert!(!why.to_string().is_empty());
            return;
        }
    };
    assert!(!table.rows.is_empty());
    assert!(table.rows.iter().all(|row| row.len() <= table.names.len()));
    let columns = guess(&table);
    let chosen: Vec<usize> = columns.iter().flatten().copied().collect();
    let different: HashSet<usize> = chosen.iter().copied().collect();
    assert_eq!(different.len(), chosen.len(), "one column for two things");
    assert!(chosen.iter().all(|at| *at < table.names.len()));
    let to = Speaks {
        units: [Units::Metric, Units::Us, Units::Imperial][usize::from(first % 3)],
        zone: chrono_tz::Europe::Copenhagen,
        now: moment("2026-11-28T18:00:00Z"),
    };
    let chosen = Chosen {
        columns,
        in_percent: first / 3 % 2 == 1,
    };
    let began_at = moment("2026-11-01T10:00:00Z");
    let mut found = rows(&table, &chosen, to, began_at, MemberId(1));
    assert_eq!(found.len(), table.rows.len());
    for row in &found {
        sound(row, to.now, began_at);
    }
    once_each(&mut found, &HashSet::new());
    let written = keys(&found);
    let different: HashSet<String> = written.iter().cloned().collect();
    assert_eq!(different.len(), written.len(), "an entry stands twice");
    once_each(&mut found, &different);
    assert!(
        keys(&found).is_empty(),
        "taken in again it is written again"
    );
}

fn moment(text: &str) -> DateTime<Utc> {
    text.parse().expect("a moment")
}

/// A row with a fault writes nothing; any other says what is possible, of a time that was.
fn sound(row: &Row, now: DateTime<Utc>, began_at: DateTime<Utc>) {
    assert_eq!(row.fault.is_empty(), !row.entries.is_empty());
    for entry in &row.entries {
        assert!(
            entry.at <= now + TimeDelta::minutes(5) && entry.at >= began_at - TimeDelta::days(1)
        );
        match &entry.deed {
            Deed::Reading(reading) => {
                let numbers = [reading.sg, reading.must_temperature_c, reading.ph];
                assert!(numbers.iter().flatten().all(|number| number.is_finite()));
                assert!(reading.sg.is_none_or(|sg| (0.5..2.0).contains(&sg)));
                assert!(reading.ph.is_none_or(|ph| (2.0..=8.0).contains(&ph)));
            }
            Deed::Note(note) => {
                let text = note.text.as_deref().unwrap_or_default();
                assert!(!text.is_empty() && !text.contains(char::is_control));
            }
            other => panic!("nobody typed that: {other:?}"),
        }
    }
}
