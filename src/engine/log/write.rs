//! An entry as it is kept: its kind in a word, its data as JSON.

use serde::ser::{Serialize, SerializeMap, SerializeStruct, Serializer};

use super::entry::{Deed, Entry};

impl Deed {
    /// The word for its kind.
    pub fn kind(&self) -> &'static str {
        match self {
            Deed::Mixed(_) => "mixed",
            Deed::Pitch(_) => "pitch",
            Deed::Reading(_) => "reading",
            Deed::Feed(_) => "feed",
            Deed::Addition(_) => "addition",
            Deed::Degas => "degas",
            Deed::Aerate => "aerate",
            Deed::Rack(_) => "rack",
            Deed::Sample(_) => "sample",
            Deed::Package(_) => "package",
            Deed::Part(_) => "part",
            Deed::Note(_) => "note",
            Deed::Tasting(_) => "tasting",
            Deed::Step(_) => "step",
            Deed::Move(_) => "move",
            Deed::Trial(_) => "trial",
        }
    }

    /// Every kind, in the order of [`Deed`].
    pub const KINDS: &'static [&'static str] = &[
        "mixed", "pitch", "reading", "feed", "addition", "degas", "aerate", "rack", "sample",
        "package", "part", "note", "tasting", "step", "move", "trial",
    ];
}

/// The data alone, as they stand under `data`.
impl Serialize for Deed {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Deed::Mixed(data) => data.serialize(serializer),
            Deed::Pitch(data) => data.serialize(serializer),
            Deed::Reading(data) => data.serialize(serializer),
            Deed::Feed(data) => data.serialize(serializer),
            Deed::Addition(data) => data.serialize(serializer),
            Deed::Degas | Deed::Aerate => serializer.serialize_map(Some(0))?.end(),
            Deed::Rack(data) => data.serialize(serializer),
            Deed::Sample(data) => data.serialize(serializer),
            Deed::Package(data) => data.serialize(serializer),
            Deed::Part(data) => data.serialize(serializer),
            Deed::Note(data) => data.serialize(serializer),
            Deed::Tasting(data) => data.serialize(serializer),
            Deed::Step(data) => data.serialize(serializer),
            Deed::Move(data) => data.serialize(serializer),
            Deed::Trial(data) => data.serialize(serializer),
        }
    }
}

impl Serialize for Entry {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut entry = serializer.serialize_struct("Entry", 4)?;
        entry.serialize_field("entry", &self.entry)?;
        entry.serialize_field("hours", &self.hours)?;
        entry.serialize_field("kind", self.deed.kind())?;
        entry.serialize_field("data", &self.deed)?;
        entry.end()
    }
}
