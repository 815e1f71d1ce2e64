//! Reading the check tables of tests/reference, comparing within a tolerance, and numbers of every kind.

use std::collections::HashMap;
use std::path::Path;

use mustwright::engine::units::SpecificGravity;
use proptest::prelude::*;

/// One line of a check table.
pub struct Row {
    place: String,
    cells: HashMap<String, String>,
}

impl Row {
    /// The cell as written; fails the test when there is no such column.
    pub fn text(&self, column: &str) -> &str {
        match self.cells.get(column) {
            Some(cell) => cell,
            None => panic!("{}: no column {column}", self.place),
        }
    }

    /// The cell as a number.
    pub fn number(&self, column: &str) -> f64 {
        match self.text(column).parse() {
            Ok(number) => number,
            Err(_) => panic!("{}: {column} is no number", self.place),
        }
    }

    /// The cell as a number, `None` where it is blank.
    pub fn optional(&self, column: &str) -> Option<f64> {
        (!self.text(column).is_empty()).then(|| self.number(column))
    }

    /// Fails the test unless `found` is within `tolerance` of the cell.
    pub fn expect(&self, column: &str, found: f64, tolerance: f64) {
        let wanted = self.number(column);
        close(
            found,
            wanted,
            tolerance,
            &format!("{}, {column}", self.place),
        );
    }
}

/// Every row of a check table, its comment lines skipped; fails the test when a row is lost or there is none.
pub fn table(name: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/reference")
        .join(format!("{name}.csv"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{name}.csv: {e}"));
    let lines = text
        .lines()
        .filter(|line| !line.starts_with('#') && !line.trim().is_empty())
        .count();
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let headers = reader.headers().expect("a header line").clone();
    let rows: Vec<Row> = reader
        .records()
        .enumerate()
        .map(|(i, record)| Row {
            place: format!("{name}.csv row {}", i + 1),
            cells: headers
                .iter()
                .map(str::to_owned)
                .zip(record.expect("a whole row").iter().map(str::to_owned))
                .collect(),
        })
        .collect();
    assert!(!rows.is_empty(), "{name}.csv is empty");
    assert_eq!(rows.len(), lines - 1, "{name}.csv: rows lost in reading");
    rows
}

/// Fails the test unless the two agree; the hair added is for decimals that binary numbers cannot hold.
#[track_caller]
pub fn close(found: f64, wanted: f64, tolerance: f64, what: &str) {
    assert!(
        (found - wanted).abs() <= tolerance + 1e-12,
        "{what}: found {found}, wanted {wanted} ± {tolerance}"
    );
}

/// A specific gravity; fails the test when the number is none.
pub fn sg(number: f64) -> SpecificGravity {
    SpecificGravity::new(number).unwrap_or_else(|| panic!("{number} is no gravity"))
}

/// Every number a form or a document can carry: ordinary ones, and NaN, infinities, the largest, the smallest, negative ones.
pub fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        prop::num::f64::ANY,
        prop::sample::select(vec![
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::MAX,
            f64::MIN,
            1e308,
            -1e308,
            f64::MIN_POSITIVE,
            5e-324,
            0.0,
            -0.0,
            1.0,
            -1.0,
        ]),
        -1.0..2.0,
        0.9..1.5,
        -50.0..150.0,
        0.0..2000.0,
    ]
}
