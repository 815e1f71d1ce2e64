//! JSON as it was written: keys in order, twice when they stand twice, so that strict reading can name them.

use std::collections::HashSet;
use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde::ser::{Serialize, SerializeMap, Serializer};

use super::problem::{Arguments, Problem, ProblemCode};

/// A JSON value that forgets nothing a reader must judge.
#[derive(Clone, Debug, PartialEq)]
pub enum Json {
    /// `null`
    Null,
    /// `true` or `false`
    Bool(bool),
    /// Any number, as a double.
    Number(f64),
    /// A string.
    Text(String),
    /// An array.
    List(Vec<Json>),
    /// An object, its members in order.
    Object(Vec<(String, Json)>),
}

/// The input is no JSON; the text says where.
#[derive(Clone, Debug, PartialEq)]
pub struct NotJson(pub String);

impl Json {
    /// Reads a text.
    ///
    /// # Errors
    /// [`NotJson`] when the text is no JSON, or holds a number beyond the doubles.
    pub fn parse(text: &str) -> Result<Json, NotJson> {
        serde_json::from_str(text).map_err(|fault| NotJson(fault.to_string()))
    }

    /// What kind of value this is, in one word.
    pub fn kind(&self) -> &'static str {
        match self {
            Json::Null => "null",
            Json::Bool(_) => "true or false",
            Json::Number(_) => "a number",
            Json::Text(_) => "a text",
            Json::List(_) => "a list",
            Json::Object(_) => "an object",
        }
    }
}

impl From<f64> for Json {
    /// A number that is not finite becomes null: NaN and infinity never leave the engine.
    fn from(number: f64) -> Self {
        if number.is_finite() {
            Json::Number(number)
        } else {
            Json::Null
        }
    }
}

impl From<Option<f64>> for Json {
    fn from(number: Option<f64>) -> Self {
        number.map_or(Json::Null, Json::from)
    }
}

impl Serialize for Json {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Json::Null => serializer.serialize_unit(),
            Json::Bool(flag) => serializer.serialize_bool(*flag),
            Json::Number(number) => serializer.serialize_f64(*number),
            Json::Text(text) => serializer.serialize_str(text),
            Json::List(items) => serializer.collect_seq(items),
            Json::Object(members) => {
                let mut map = serializer.serialize_map(Some(members.len()))?;
                for (key, value) in members {
                    map.serialize_entry(key, value)?;
                }
                map.end()
            }
        }
    }
}

impl<'de> Deserialize<'de> for Json {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Json;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("any JSON value")
            }
            fn visit_unit<E>(self) -> Result<Json, E> {
                Ok(Json::Null)
            }
            fn visit_bool<E>(self, value: bool) -> Result<Json, E> {
                Ok(Json::Bool(value))
            }
            fn visit_i64<E>(self, value: i64) -> Result<Json, E> {
                Ok(Json::Number(value as f64))
            }
            fn visit_u64<E>(self, value: u64) -> Result<Json, E> {
                Ok(Json::Number(value as f64))
            }
            fn visit_f64<E>(self, value: f64) -> Result<Json, E> {
                // Nobody means −0.
                Ok(Json::Number(value + 0.0))
            }
            fn visit_str<E>(self, value: &str) -> Result<Json, E> {
                Ok(Json::Text(value.to_owned()))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Json, A::Error> {
                let mut list = Vec::new();
                while let Some(item) = items.next_element()? {
                    list.push(item);
                }
                Ok(Json::List(list))
            }
            fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Json, A::Error> {
                let mut object = Vec::new();
                while let Some(entry) = entries.next_entry()? {
                    object.push(entry);
                }
                Ok(Json::Object(object))
            }
        }
        deserializer.deserialize_any(Any)
    }
}

/// Extends a JSON Pointer by one member (RFC 6901: `~` and `/` escaped).
pub fn pointer(parent: &str, member: &str) -> String {
    let mut path = String::with_capacity(parent.len() + member.len() + 1);
    path.push_str(parent);
    path.push('/');
    for c in member.chars() {
        match c {
            '~' => path.push_str("~0"),
            '/' => path.push_str("~1"),
            other => path.push(other),
        }
    }
    path
}

/// Reads values strictly and collects every problem with its place.
#[derive(Debug, Default)]
pub struct Reader {
    /// What was found so far.
    pub problems: Vec<Problem>,
}

/// The members of one object, with the place where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Members<'a> {
    /// JSON Pointer of the object.
    pub path: &'a str,
    members: &'a [(String, Json)],
}

impl<'a> Members<'a> {
    /// The member of that name; `null` counts as absent.
    pub fn get(&self, key: &str) -> Option<&'a Json> {
        self.members
            .iter()
            .find(|(name, _)| name == key)
            .map(|(_, value)| value)
            .filter(|value| **value != Json::Null)
    }

    /// Every member in order.
    pub fn iter(&self) -> impl Iterator<Item = (&'a str, &'a Json)> {
        self.members
            .iter()
            .map(|(name, value)| (name.as_str(), value))
    }
}

impl Reader {
    /// Notes a problem.
    pub fn problem(&mut self, code: ProblemCode, path: impl Into<String>, arguments: Arguments) {
        self.problems.push(Problem::new(code, path, arguments));
    }

    /// Notes that another kind of value was expected.
    pub fn wrong_kind(&mut self, path: String, expected: &str) {
        self.problem(
            ProblemCode::WrongKind,
            path,
            Arguments::none().with("expected", expected),
        );
    }

    /// An object whose keys are all among `known` and stand once. With no `known`, any key is taken.
    pub fn object<'a>(
        &mut self,
        json: &'a Json,
        path: &'a str,
        known: &[&str],
    ) -> Option<Members<'a>> {
        let Json::Object(members) = json else {
            self.wrong_kind(path.to_owned(), "an object");
            return None;
        };
        // A set is for the few objects with a great many keys; looking back is quicker for all others.
        let mut seen = HashSet::new();
        for (index, (key, _)) in members.iter().enumerate() {
            let place = || pointer(path, key);
            let again = if members.len() > 32 {
                !seen.insert(key.as_str())
            } else {
                members.iter().take(index).any(|(before, _)| before == key)
            };
            if !known.is_empty() && !known.contains(&key.as_str()) {
                self.problem(
                    ProblemCode::UnknownKey,
                    place(),
                    Arguments::none().with("key", key.as_str()),
                );
            } else if again {
                self.problem(
                    ProblemCode::DuplicateKey,
                    place(),
                    Arguments::none().with("key", key.as_str()),
                );
            }
        }
        Some(Members { path, members })
    }

    /// A member that must be there.
    pub fn required<'a>(&mut self, members: &Members<'a>, key: &str) -> Option<&'a Json> {
        let found = members.get(key);
        if found.is_none() {
            self.problem(
                ProblemCode::Missing,
                pointer(members.path, key),
                Arguments::none().with("key", key),
            );
        }
        found
    }

    /// An optional number.
    pub fn number(&mut self, members: &Members<'_>, key: &str) -> Option<f64> {
        self.as_number(members.get(key)?, || pointer(members.path, key))
    }

    /// A value that must be a number.
    pub fn as_number(&mut self, json: &Json, path: impl FnOnce() -> String) -> Option<f64> {
        match json {
            Json::Number(number) => Some(*number),
            _ => {
                self.wrong_kind(path(), "a number");
                None
            }
        }
    }

    /// A number that must be there; NaN stands for a missing one, and a problem has been noted.
    pub fn required_number(&mut self, members: &Members<'_>, key: &str) -> f64 {
        match self.required(members, key) {
            Some(_) => self.number(members, key).unwrap_or(f64::NAN),
            None => f64::NAN,
        }
    }

    /// An optional text.
    pub fn text(&mut self, members: &Members<'_>, key: &str) -> Option<String> {
        self.as_text(members.get(key)?, || pointer(members.path, key))
    }

    /// A value that must be a text.
    pub fn as_text(&mut self, json: &Json, path: impl FnOnce() -> String) -> Option<String> {
        match json {
            Json::Text(text) => Some(text.clone()),
            _ => {
                self.wrong_kind(path(), "a text");
                None
            }
        }
    }

    /// A text that must be there; empty when missing, and a problem has been noted.
    pub fn required_text(&mut self, members: &Members<'_>, key: &str) -> String {
        match self.required(members, key) {
            Some(_) => self.text(members, key).unwrap_or_default(),
            None => String::new(),
        }
    }

    /// An optional `true` or `false`.
    pub fn flag(&mut self, members: &Members<'_>, key: &str) -> Option<bool> {
        match members.get(key)? {
            Json::Bool(flag) => Some(*flag),
            _ => {
                self.wrong_kind(pointer(members.path, key), "true or false");
                None
            }
        }
    }

    /// An optional word out of a known set, read by `from_word`.
    pub fn word<T>(
        &mut self,
        members: &Members<'_>,
        key: &str,
        from_word: impl Fn(&str) -> Option<T>,
        known: impl FnOnce() -> String,
    ) -> Option<T> {
        let given = self.text(members, key)?;
        let found = from_word(&given);
        if found.is_none() {
            self.problem(
                ProblemCode::UnknownWord,
                pointer(members.path, key),
                Arguments::none()
                    .with("given", given.as_str())
                    .with("known", known().as_str()),
            );
        }
        found
    }

    /// An optional list; its items with their places.
    pub fn list<'a>(&mut self, members: &Members<'a>, key: &str) -> Vec<(String, &'a Json)> {
        let path = pointer(members.path, key);
        match members.get(key) {
            None => Vec::new(),
            Some(Json::List(items)) => items
                .iter()
                .enumerate()
                .map(|(index, item)| (format!("{path}/{index}"), item))
                .collect(),
            Some(_) => {
                self.wrong_kind(path, "a list");
                Vec::new()
            }
        }
    }
}
