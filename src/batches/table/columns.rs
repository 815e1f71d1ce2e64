//! A table as text: what parts its columns, whether its first row names them, and which is which.

use csv::{ReaderBuilder, Trim};

/// The most rows and the most columns.
pub const MAX_ROWS: usize = 5_000;
const MAX_COLUMNS: usize = 40;

/// What a column may be, in the order of the form: its field, and words of which one stands in its name.
pub const MEANINGS: &[(&str, &[&str])] = &[
    ("when", &["date", "day", "when", "timestamp", "datum"]),
    ("time", &["time", "hour", "clock"]),
    (
        "gravity",
        &[
            "gravity", "sg", "density", "brix", "plato", "°bx", "°p", "extract",
        ],
    ),
    ("temperature", &["temp", "°c", "°f"]),
    ("ph", &["ph"]),
    ("note", &["note", "comment", "remark", "what"]),
];

/// A table, cell by cell.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// What its columns are called, or their numbers.
    pub names: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

/// Why a text is no table. Each message says what to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoTable {
    #[error("Paste the rows of the table, with a comma, a semicolon or a tab between their cells.")]
    Empty,
    #[error("This has more than {MAX_ROWS} rows or {MAX_COLUMNS} columns. Take a part of it.")]
    TooMuch,
    #[error("A row cannot be read: a quotation mark that opens and never closes, perhaps.")]
    Broken,
}

/// Reads a table.
///
/// # Errors
/// [`NoTable`].
pub fn read(text: &str) -> Result<Table, NoTable> {
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = ReaderBuilder::new()
        .delimiter(between(text))
        .has_headers(false)
        .flexible(true)
        .trim(Trim::All)
        .from_reader(text.as_bytes());
    let mut rows: Vec<Vec<String>> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|_| NoTable::Broken)?;
        if record.iter().all(str::is_empty) {
            continue;
        }
        if rows.len() > MAX_ROWS || record.len() > MAX_COLUMNS {
            return Err(NoTable::TooMuch);
        }
        rows.push(record.iter().map(str::to_owned).collect());
    }
    // What opens in the middle swallows every row behind it.
    let swallowed = |row: &Vec<String>| row.iter().any(|cell| cell.contains('\n'));
    let is_open = !text.matches('"').count().is_multiple_of(2);
    if is_open && rows.last().is_some_and(swallowed) {
        return Err(NoTable::Broken);
    }
    let width = rows.iter().map(Vec::len).max().unwrap_or(0);
    let Some(first) = rows.first() else {
        return Err(NoTable::Empty);
    };
    let named = first
        .iter()
        .all(|cell| !cell.starts_with(|c: char| c.is_ascii_digit()));
    let heads = match named {
        true => rows.remove(0),
        false => Vec::new(),
    };
    if rows.is_empty() {
        return Err(NoTable::Empty);
    }
    let name = |at: usize| match heads.get(at).filter(|name| !name.is_empty()) {
        Some(name) => name.clone(),
        None => format!("column {}", at + 1),
    };
    Ok(Table {
        names: (0..width).map(name).collect(),
        rows,
    })
}

/// What stands between cells: whichever parts the first line most often.
fn between(text: &str) -> u8 {
    let line = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or_default();
    let count = |mark: &u8| line.bytes().filter(|byte| byte == mark).count();
    // A comma may be a decimal one: it comes last.
    [b'\t', b';', b',']
        .into_iter()
        .rev()
        .max_by_key(|mark| (count(mark) > 0, *mark != b',', count(mark)))
        .unwrap_or(b',')
}

/// Which column is what: the number of the column for each of [`MEANINGS`].
pub fn guess(table: &Table) -> Vec<Option<usize>> {
    let mut taken = vec![false; table.names.len()];
    MEANINGS
        .iter()
        .map(|(_, words)| {
            let lower = |name: &str| name.to_lowercase();
            let is = |name: &str| {
                let name = lower(name);
                words.iter().any(|word| match word.len() {
                    // Short words are words of their own, else "ph" is in "graph".
                    0..=2 => name
                        .split(|c: char| !c.is_alphanumeric() && c != '°')
                        .any(|one| one == *word),
                    _ => name.contains(word),
                })
            };
            let mut free = table.names.iter().enumerate().filter(|(at, _)| !taken[*at]);
            let found = free.find(|(_, name)| is(name)).map(|(at, _)| at);
            if let Some(at) = found {
                taken[at] = true;
            }
            found
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_of_spreadsheets_are_read_and_their_columns_guessed() {
        for (text, wanted) in [
            (
                "Date,SG,Temp (°C),pH,Notes\n2026-11-01,1.090,20,3.8,\"pitched, well\"\n",
                [0, 9, 1, 2, 3, 4],
            ),
            (
                "Datum;Uhr time;Gravity;Comment\n01.11.2026;18:00;1,090;x\n",
                [0, 1, 2, 9, 9, 3],
            ),
            (
                "Timestamp\tDensity\tTemperature\n2026-11-01 18:00\t1.09\t20\n",
                [0, 9, 1, 2, 9, 9],
            ),
        ] {
            let table = read(text).unwrap();
            let found: Vec<usize> = guess(&table)
                .into_iter()
                .map(|at| at.unwrap_or(9))
                .collect();
            assert_eq!(found, wanted, "{text}");
            assert_eq!(table.rows.len(), 1);
        }
        let bare = read("2026-11-01,1.090\n\n2026-11-02,1.080\n").unwrap();
        assert_eq!(bare.names, ["column 1", "column 2"]);
        assert_eq!(bare.rows.len(), 2);
    }

    #[test]
    fn what_is_no_table_is_refused() {
        assert_eq!(read(""), Err(NoTable::Empty));
        assert_eq!(read("Date,SG\n"), Err(NoTable::Empty));
        assert_eq!(read(&"1,2\n".repeat(MAX_ROWS + 2)), Err(NoTable::TooMuch));
        assert_eq!(read(&"1,".repeat(50)), Err(NoTable::TooMuch));
        let open = "Date,SG,Note\n2026-11-01,1.09,\"fizzes\n2026-11-02,1.08,\n2026-11-03,1.07,\n";
        assert_eq!(read(open), Err(NoTable::Broken));
    }

    #[test]
    fn what_spreadsheets_write_besides_is_no_fault() {
        let odd = "\u{feff}Date,SG,SG,Note\r\n2026-11-01,1.09,1.1,\"two\nlines, \"\"quoted\"\"\"\r\n2026-11-02,1.08,,a 5\" hose\r\n";
        let table = read(odd).unwrap();
        assert_eq!(guess(&table)[2], Some(1), "of two of one name the first");
        assert_eq!(table.names[0], "Date");
        let notes: Vec<&str> = table.rows.iter().map(|row| row[3].as_str()).collect();
        assert_eq!(notes, ["two\nlines, \"quoted\"", "a 5\" hose"]);
    }
}
