//! Data inside a page for whoever reads it by machine: JSON in which no character can end the element around it.

use std::fmt;

use serde_json::Value;

/// JSON that may stand inside a `script` element of a data type: no browser runs it.
#[derive(Clone, Debug, PartialEq)]
pub struct DataBlock(String);

impl DataBlock {
    /// Writes the value so that nothing in its texts is markup.
    pub fn of(value: &Value) -> DataBlock {
        let mut text = String::new();
        for c in value.to_string().chars() {
            match c {
                // Each of them stands inside a text only, where its number means the same.
                '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => {
                    text.push_str(&format!("\\u{:04x}", u32::from(c)));
                }
                _ => text.push(c),
            }
        }
        DataBlock(text)
    }
}

impl fmt::Display for DataBlock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl askama::filters::HtmlSafe for DataBlock {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back_and_has_no_markup() {
        let hostile = "</script><!-- & \u{2028} \" \\ é";
        let value = serde_json::json!({ hostile: [hostile, 1.5, null] });
        let text = DataBlock::of(&value).to_string();
        assert!(!text.contains(['<', '>', '&', '\u{2028}']), "{text}");
        assert_eq!(serde_json::from_str::<Value>(&text).expect("JSON"), value);
    }
}
