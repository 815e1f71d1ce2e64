//! Tables for spreadsheets: RFC 4180, a head with units, and no cell that a spreadsheet would carry out.

use csv::{QuoteStyle, Terminator, Writer, WriterBuilder};
use serde_json::Value;

/// A column: its head, and the JSON Pointer at which an item has it; `^` before it looks in the item around the line.
pub type Column = (&'static str, &'static str);

/// The table of `items`: one line each, or one for each entry of the list at `place`.
pub fn table(columns: &[Column], place: &str, items: &[Value]) -> Vec<u8> {
    let mut whole = head(columns);
    whole.extend(lines(columns, place, items));
    whole
}

fn writer() -> Writer<Vec<u8>> {
    WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .quote_style(QuoteStyle::Necessary)
        .from_writer(Vec::new())
}

/// The first line of a table.
pub fn head(columns: &[Column]) -> Vec<u8> {
    let mut writer = writer();
    // A vector takes everything.
    let _ = writer.write_record(columns.iter().map(|(head, _)| head));
    writer.into_inner().unwrap_or_default()
}

/// The lines below it.
pub fn lines(columns: &[Column], place: &str, items: &[Value]) -> Vec<u8> {
    let mut writer = writer();
    let own = [Value::Null];
    for item in items {
        let list = match place {
            "" => own.iter(),
            place => item
                .pointer(place)
                .and_then(Value::as_array)
                .map_or([].iter(), |list| list.iter()),
        };
        for line in list {
            let line = if place.is_empty() { item } else { line };
            let cells = columns.iter().map(|(_, place)| {
                match place.strip_prefix('^') {
                    Some(around) => item.pointer(around),
                    None => line.pointer(place),
                }
                .map(cell)
                .unwrap_or_default()
            });
            let _ = writer.write_record(cells);
        }
    }
    writer.into_inner().unwrap_or_default()
}

/// What stands in a cell. A number stays one, also a negative one; a text that a spreadsheet would take for a formula
/// begins with an apostrophe.
fn cell(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => harmless(text),
        Value::Array(items) => {
            let cells: Vec<String> = items.iter().map(cell).collect();
            harmless(&cells.join("; "))
        }
        Value::Object(_) => harmless(&value.to_string()),
    }
}

fn harmless(text: &str) -> String {
    match text.starts_with([
        '=', '+', '-', '@', '\t', '\r', '\0', '\n', '＝', '＋', '－', '＠',
    ]) {
        true => format!("'{text}"),
        false => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn a_table_is_what_rfc_4180_says() {
        let items = [
            json!({"title": "Dry, \"plain\"", "lines": [{"og": 1.09, "note": "a\nb"}, {"og": null}]}),
            json!({"title": "None", "lines": []}),
        ];
        let columns = [("title", "^/title"), ("OG", "/og"), ("note", "/note")];
        let text = String::from_utf8(table(&columns, "/lines", &items)).unwrap();
        assert_eq!(
            text,
            "title,OG,note\r\n\"Dry, \"\"plain\"\"\",1.09,\"a\nb\"\r\n\"Dry, \"\"plain\"\"\",,\r\n"
        );
    }

    #[test]
    fn no_cell_is_carried_out() {
        let hostile = [
            "=1+1",
            "+1",
            "-1",
            "@SUM(A1)",
            "\t=1",
            "\r=1",
            "\0=1",
            "=cmd|' /C calc'!A0",
            "－1",
        ];
        for text in hostile {
            let made = table(&[("x", "/x")], "", &[json!({"x": text})]);
            let mut reader = csv::Reader::from_reader(&made[..]);
            let record = reader.records().next().unwrap().unwrap();
            assert_eq!(&record[0], format!("'{text}"));
        }
        let made = table(
            &[("x", "/x")],
            "",
            &[json!({"x": -1.5}), json!({"x": "plain"})],
        );
        assert_eq!(String::from_utf8(made).unwrap(), "x\r\n-1.5\r\nplain\r\n");
    }
}
