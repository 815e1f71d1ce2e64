//! One text for one value, whatever way it went: the database keeps keys in an order of its own and numbers as decimals.

use std::collections::BTreeMap;

use serde_json::Value;

/// The text of a value: keys in order, no spaces, a number by what it is worth.
pub fn text(value: &Value) -> String {
    let mut text = String::new();
    write(value, &mut text);
    text
}

fn write(value: &Value, text: &mut String) {
    match value {
        Value::Null => text.push_str("null"),
        Value::Bool(true) => text.push_str("true"),
        Value::Bool(false) => text.push_str("false"),
        Value::Number(number) => text.push_str(&worth(number)),
        Value::String(string) => quoted(string, text),
        Value::Array(values) => {
            text.push('[');
            for (at, value) in values.iter().enumerate() {
                if at > 0 {
                    text.push(',');
                }
                write(value, text);
            }
            text.push(']');
        }
        Value::Object(members) => {
            let members: BTreeMap<&String, &Value> = members.iter().collect();
            text.push('{');
            for (at, (key, value)) in members.into_iter().enumerate() {
                if at > 0 {
                    text.push(',');
                }
                quoted(key, text);
                text.push(':');
                write(value, text);
            }
            text.push('}');
        }
    }
}

fn quoted(string: &str, text: &mut String) {
    text.push_str(&Value::from(string).to_string());
}

/// Without exponent, and without a fraction where there is none: 12, 12.0 and 1.2e1 are one.
fn worth(number: &serde_json::Number) -> String {
    match (number.as_i64(), number.as_u64(), number.as_f64()) {
        (Some(whole), ..) => whole.to_string(),
        (_, Some(whole), _) => whole.to_string(),
        (.., Some(0.0)) => "0".to_owned(),
        (.., Some(float)) => float.to_string(),
        _ => number.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn the_same_said_otherwise_is_the_same_text() {
        let read = |text: &str| self::text(&serde_json::from_str(text).expect("a value"));
        for (one, other) in [
            (
                r#"{"b":1,"a":[{"y":2,"x":3}]}"#,
                r#"{ "a": [{"x":3,"y":2}], "b": 1 }"#,
            ),
            (
                "[12, 1e16, 0.1, 0]",
                "[12.0, 10000000000000000, 1e-1, -0.0]",
            ),
            (r#""\u00e9\n""#, "\"é\\n\""),
        ] {
            assert_eq!(read(one), read(other));
        }
        assert_ne!(text(&json!({"a": "1"})), text(&json!({"a": 1})));
        assert_ne!(text(&json!([1, [2]])), text(&json!([[1], 2])));
    }
}
