//! A form that is carried through the sign-in, so that an ended session loses nobody's text. It is shown afterwards,
//! never sent by itself, and only to the member who typed it. Nothing of it is stored.

use crate::web::Error;
use crate::web::form::Posted;
use crate::web::legible::legible;
use crate::web::once;
use crate::web::paths::Base;

const TO: &str = "kept_to";
const WHOSE: &str = "kept_whose";
const PREFIX: &str = "kept.";

/// The carried form: where it goes, whose it is, its fields.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Carried {
    to: String,
    whose: String,
    fields: Vec<(String, String)>,
}

impl Carried {
    /// Picks up a form that a stranger posted to `path`. `cookie_of` is the member of the session that has ended.
    pub fn pick_up(path: &str, posted: &Posted, cookie_of: Option<&str>) -> Carried {
        let fields: Vec<_> = posted
            .keepable()
            .map(|(name, value)| (name.to_owned(), value.to_owned()))
            .collect();
        match fields.is_empty() {
            true => Carried::default(),
            false => Carried {
                to: path.to_owned(),
                whose: once::whose(posted)
                    .or(cookie_of)
                    .unwrap_or_default()
                    .to_owned(),
                fields,
            },
        }
    }

    /// Reads what the sign-in page carried.
    pub fn read(posted: &Posted, base: &Base) -> Result<Carried, Error> {
        let to = posted.one(TO)?;
        let path = to.split('?').next().unwrap_or_default();
        // An address that is not plainly ours is not sent to; the text is shown all the same.
        let to = base
            .local(to)
            .or_else(|| base.local(path))
            .unwrap_or_default();
        let kept = posted.keepable().filter_map(|(name, value)| {
            Some((name.strip_prefix(PREFIX)?.to_owned(), value.to_owned()))
        });
        Ok(Carried {
            to: to.to_owned(),
            whose: posted.one(WHOSE)?.to_owned(),
            fields: kept.collect(),
        })
    }

    /// Whether nothing is carried.
    pub fn is_empty(&self) -> bool {
        self.fields.is_empty()
    }

    /// Whether this member typed it, or nobody knows who did.
    pub fn belongs_to(&self, public_id: &str) -> bool {
        let key = self.fields.iter().find(|(name, _)| name == once::FIELD);
        let of_key = key
            .and_then(|(_, key)| key.split_once('.'))
            .map_or("", |(whose, _)| whose);
        [self.whose.as_str(), of_key]
            .into_iter()
            .all(|whose| whose.is_empty() || whose == public_id || whose == "-")
    }

    /// Where "Send again" sends it; empty when it cannot be sent.
    pub fn to(&self) -> &str {
        &self.to
    }

    /// Its fields as they were.
    pub fn fields(&self) -> &[(String, String)] {
        &self.fields
    }

    /// Its fields that a person wrote: for the eye.
    pub fn readable(&self) -> Vec<(String, &str)> {
        let fields = self.fields.iter();
        legible(fields.map(|(name, value)| (name.as_str(), value.as_str())))
    }

    /// The hidden fields of the sign-in page.
    pub fn hidden(&self) -> Vec<(String, String)> {
        if self.is_empty() {
            return Vec::new();
        }
        let ends = [
            (TO.to_owned(), self.to.clone()),
            (WHOSE.to_owned(), self.whose.clone()),
        ];
        let fields = self
            .fields
            .iter()
            .map(|(name, value)| (format!("{PREFIX}{name}"), value.clone()));
        ends.into_iter().chain(fields).collect()
    }
}
