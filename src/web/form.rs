//! What a form sent, as text: read once, strictly, and kept so that no answer loses it.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::Arc;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;

use super::error::Error;

/// The most bytes a form may have.
pub const MAX_BYTES: usize = 256 * 1024;
/// The most fields a form may have.
pub const MAX_FIELDS: usize = 2_000;
/// How much more a sign-in may have, since it carries another form inside.
pub const CARRIED_BYTES: usize = 32 * 1024;
/// How many more fields a sign-in may have, for the same reason.
pub const CARRIED_FIELDS: usize = 16;

/// The ordered fields of a posted form. Empty for requests without one.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Posted(Arc<Vec<(String, String)>>);

/// Why a body could not be read as a form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unreadable {
    /// More fields than any form of ours has.
    TooManyFields,
    /// Bytes that are no text.
    NotText,
    /// A character that no text of ours holds.
    ZeroCharacter,
}

impl Posted {
    /// Reads a body in the encoding of browsers' forms, refusing more than `max_fields`.
    pub fn read(body: &[u8], max_fields: usize) -> Result<Posted, Unreadable> {
        let pieces = || body.split(|byte| *byte == b'&');
        if pieces().take(max_fields + 1).count() > max_fields {
            return Err(Unreadable::TooManyFields);
        }
        let mut fields = Vec::new();
        for piece in pieces().filter(|piece| !piece.is_empty()) {
            let cut = piece
                .iter()
                .position(|byte| *byte == b'=')
                .unwrap_or(piece.len());
            let (name, value) = piece.split_at(cut);
            fields.push((decode(name)?, decode(value.get(1..).unwrap_or_default())?));
        }
        Ok(Posted(Arc::new(fields)))
    }

    /// Reads what an address asks, refusing more than `max_fields`.
    ///
    /// # Errors
    /// An address that no page of ours leads to.
    pub fn asked(query: Option<String>, max_fields: usize) -> Result<Posted, Error> {
        Posted::read(query.unwrap_or_default().as_bytes(), max_fields).map_err(|_| {
            Error::bad_request("This address cannot be read. Begin afresh from the page.")
        })
    }

    /// A form made by hand, for tests and for text that is carried on.
    pub fn from_pairs(pairs: impl IntoIterator<Item = (String, String)>) -> Posted {
        Posted(Arc::new(pairs.into_iter().collect()))
    }

    /// The single field of this name, or nothing typed. Two of them are refused.
    pub fn one(&self, name: &str) -> Result<&str, Error> {
        let mut found = self.0.iter().filter(|(field, _)| field == name);
        let first = found.next().map_or("", |(_, value)| value.as_str());
        match found.next() {
            None => Ok(first),
            Some(_) => Err(Error::bad_request(
                "The form came with one of its fields twice.",
            )),
        }
    }

    /// Every field of this name, in order.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.0
            .iter()
            .filter(move |(field, _)| field == name)
            .map(|(_, value)| value.as_str())
    }

    /// Whether a field or button of this name came.
    pub fn has(&self, name: &str) -> bool {
        self.0.iter().any(|(field, _)| field == name)
    }

    /// All fields, in order.
    pub fn pairs(&self) -> &[(String, String)] {
        &self.0
    }

    /// Whether nothing came.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The fields that may be written back into a page: all but passwords.
    pub fn keepable(&self) -> impl Iterator<Item = (&str, &str)> {
        let pairs = self.0.iter().filter(|(name, _)| !is_secret(name));
        pairs.map(|(name, value)| (name.as_str(), value.as_str()))
    }
}

/// Whether a field of this name is never written back.
pub fn is_secret(name: &str) -> bool {
    name.contains("password")
}

fn decode(text: &[u8]) -> Result<String, Unreadable> {
    let digit = |at: usize| text.get(at).and_then(|byte| (*byte as char).to_digit(16));
    let mut bytes = Vec::with_capacity(text.len());
    let mut at = 0;
    while let Some(byte) = text.get(at) {
        at += 1;
        match (byte, digit(at), digit(at + 1)) {
            (b'+', ..) => bytes.push(b' '),
            (b'%', Some(high), Some(low)) => {
                bytes.push((high * 16 + low) as u8);
                at += 2;
            }
            _ => bytes.push(*byte),
        }
    }
    if bytes.contains(&0) {
        return Err(Unreadable::ZeroCharacter);
    }
    String::from_utf8(bytes).map_err(|_| Unreadable::NotText)
}

impl<S: Send + Sync> FromRequestParts<S> for Posted {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(parts
            .extensions
            .get::<Posted>()
            .cloned()
            .unwrap_or_default())
    }
}

/// A form as it is shown again: the text of each field as typed, the fault beside it, the faults of the whole.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FormState {
    typed: BTreeMap<String, String>,
    faults: Vec<(String, String)>,
    whole: Vec<String>,
}

impl FormState {
    /// An empty form.
    pub fn new() -> FormState {
        FormState::default()
    }

    /// A form with what was posted in it, passwords excepted. Of repeated names the first counts; rows have names
    /// of their own.
    pub fn of(posted: &Posted) -> FormState {
        let mut state = FormState::new();
        for (name, value) in posted.keepable() {
            state
                .typed
                .entry(name.to_owned())
                .or_insert_with(|| value.to_owned());
        }
        state
    }

    /// Puts a text into a field.
    pub fn set(&mut self, name: &str, text: impl Into<String>) {
        self.typed.insert(name.to_owned(), text.into());
    }

    /// The text of a field, empty if none.
    pub fn typed(&self, name: &str) -> &str {
        self.typed.get(name).map_or("", String::as_str)
    }

    /// Whether the field's text is `text`: for choices.
    pub fn is(&self, name: &str, text: &str) -> bool {
        self.typed(name) == text
    }

    /// Puts a fault beside a field.
    pub fn refuse(&mut self, name: &str, why: impl Into<String>) {
        self.faults.push((name.to_owned(), why.into()));
    }

    /// Notes a fault of the whole form.
    pub fn refuse_whole(&mut self, why: impl Into<String>) {
        self.whole.push(why.into());
    }

    /// The fault beside a field.
    pub fn fault(&self, name: &str) -> Option<&str> {
        self.faults
            .iter()
            .find(|(field, _)| field == name)
            .map(|(_, why)| why.as_str())
    }

    /// The fault beside a field as a text, empty if none.
    pub fn message(&self, name: &str) -> &str {
        self.fault(name).unwrap_or_default()
    }

    /// The faults of fields, in the order found: for the summary, whose entries lead to the fields.
    pub fn faults(&self) -> &[(String, String)] {
        &self.faults
    }

    /// The faults of the whole form.
    pub fn whole(&self) -> &[String] {
        &self.whole
    }

    /// Whether nothing is wrong.
    pub fn is_sound(&self) -> bool {
        self.faults.is_empty() && self.whole.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(body: &str) -> Result<Posted, Unreadable> {
        Posted::read(body.as_bytes(), 3)
    }

    #[test]
    fn fields_keep_their_order_and_text() {
        let posted = read("a=1+2&b=%C3%A9%&a=").unwrap();
        let pairs: Vec<_> = posted
            .pairs()
            .iter()
            .map(|(n, v)| (n.as_str(), v.as_str()))
            .collect();
        assert_eq!(pairs, [("a", "1 2"), ("b", "é%"), ("a", "")]);
        assert_eq!(posted.one("b").unwrap(), "é%");
        assert_eq!(posted.one("none").unwrap(), "");
        assert!(posted.one("a").is_err());
        assert_eq!(posted.all("a").collect::<Vec<_>>(), ["1 2", ""]);
    }

    #[test]
    fn hostile_bodies_are_refused() {
        assert_eq!(read("a=%00"), Err(Unreadable::ZeroCharacter));
        assert_eq!(read("a=%ff"), Err(Unreadable::NotText));
        assert_eq!(read("&&&"), Err(Unreadable::TooManyFields));
    }

    #[test]
    fn what_an_address_asks_is_read_within_its_limit() {
        assert!(Posted::asked(None, 1).unwrap().is_empty());
        let asked = |query: &str| Posted::asked(Some(query.to_owned()), 1);
        assert_eq!(asked("a=1+2").unwrap().one("a").unwrap(), "1 2");
        assert!(asked("a=1&b=2").is_err() && asked("a=%ff").is_err());
    }

    #[test]
    fn passwords_are_not_kept() {
        let posted = read("name=Ada&new_password=secret").unwrap();
        assert_eq!(posted.keepable().collect::<Vec<_>>(), [("name", "Ada")]);
        assert_eq!(FormState::of(&posted).typed("new_password"), "");
    }
}
